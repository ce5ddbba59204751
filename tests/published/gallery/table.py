"""The gallery as a page: what was expected of every scene and what each way of looking said."""

from __future__ import annotations

from collections.abc import Sequence

from tests.published.gallery.audience import AUDIENCE
from tests.published.gallery.case import REASONS, Case
from tests.published.gallery.covers import COVERS
from tests.published.gallery.lines import LINES
from tests.published.gallery.margins import MARGINS
from tests.published.gallery.mirrors import MIRRORS
from tests.published.gallery.paths import SIDE, Got
from tests.published.gallery.sizes import SIZES

SECTIONS = (
    ("Sizes, with nothing in the way", SIZES), ("Plates, holes, slats and flaps", COVERS), ("Seams", LINES),
    ("Several eyes and rows", AUDIENCE), ("Mirrors", MIRRORS), ("Margins", MARGINS),
)  # fmt: skip

HEAD = f"""# Gallery of scenes with known answers

{{count}} scenes of plain geometry, each with an answer that can be worked out on paper. The planner is asked for it in
three ways. This page is written by `python -m tests.published.gallery` and by nothing else; `tests/published/test_gallery.py`
holds every figure to its tolerance and this page to what the command would write.

- **expected**: the closed form, with its source below each table.
- **exact rays**: the check as `sightline check` makes it. For margins: the eye is turned about the secret, and the check
  asked again, until it sees something.
- **field**: direction fields of {SIDE} x {SIDE} cells settle what is hidden, rays decide the rest, as in searches over many
  marks. For margins: as `sightline check` prints them. A star: the eye stands too near or inside, where no field serves.
- **brute force**: the same check with no ray library. Every ray meets every triangle in double precision.
- **error**: the largest difference of the three from what was expected, in the unit asked for.
- **tolerance**: how large it may be, with the reason below each table.

Figures are rounded to four digits. Lengths are in metres where nothing else is said. Reasons for tolerances:

{{reasons}}
"""


def figure(value: float, digits: int = 4) -> str:
    """Four digits; nothing is written as nothing."""
    return "0" if abs(value) < 1e-12 else f"{value:.{digits}g}"


def error_of(case: Case, got: Got) -> float:
    return max(abs(value - case.expected) for value in (got.exact, got.field, got.doubles))


def head() -> str:
    reasons = "\n".join(f"- *{word}*: {reason}." for word, reason in REASONS.items())
    return HEAD.replace("{count}", str(sum(len(cases) for _, cases in SECTIONS))).replace("{reasons}", reasons)


def section(title: str, cases: Sequence[Case], found: Sequence[Got]) -> str:
    """One table with its notes. Scenes are numbered through the whole page."""
    everything = [case.name for _, those in SECTIONS for case in those]
    rows = ["| | scene | asked | expected | exact rays | field | brute force | error | tolerance |", "|" + "---|" * 9]
    notes = []
    for case, got in zip(cases, found, strict=True):
        number = everything.index(case.name) + 1
        field = figure(got.field) + ("" if got.served else " *")
        cells = [
            str(number), case.name, case.asked, figure(case.expected), figure(got.exact), field, figure(got.doubles),
            figure(error_of(case, got), 1), figure(case.tolerance, 2),
        ]  # fmt: skip
        rows.append("| " + " | ".join(cells) + " |")
        notes.append(f"{number}. {case.formula}. Tolerance: {case.because}.")
    return "\n".join([f"## {title}\n", *rows, "", *notes, ""])
