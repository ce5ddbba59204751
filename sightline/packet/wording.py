"""What the page says in words: the one sentence, who can see, by level and row."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.house.eyes import Eye
from sightline.sight.check import Finding


def overview(finding: Finding, venue: str) -> str:
    """The whole finding in one sentence."""
    worst = finding.worst_verdict()
    total, seen, faint = len(worst), int((worst == 2).sum()), int((worst == 1).sum())
    where = f" in {venue}" if venue else ""
    if not seen:
        tail = f"; {faint} get a glimpse too faint to notice" if faint else ""
        known = spare_deg(finding)
        spare = f", with {known.min():.1f} deg to spare at the tightest seat" if len(known) and not faint else ""
        return f"Nobody{where} can see a secret from this mark, in the poses looked at{tail}{spare}."
    size = finding.size_of_leak()
    eye = finding.moment.eyes[max(range(total), key=lambda i: (int(worst[i]), float(size[i]), -i))].id
    names = [name for name, found in finding.secrets.items() if (found.verdict == 2).any()]
    what = _list([f"the {name}" for name in names])
    return f"{seen} of {total} {noun(finding.moment.eyes, total)}{where} can see {what} from this mark; the worst is {eye}."


def noun(eyes: Sequence[Eye], count: int = 2) -> str:
    """What the eyes are called: seats where everybody sits."""
    word = "seat" if all(eye.kind in ("seated", "wheelchair") for eye in eyes) else "eye"
    return word if count == 1 else f"{word}s"


def spare_deg(finding: Finding) -> FloatArray:
    """What the eyes from which everything is hidden have to spare, where that is known."""
    least = finding.least_margin()
    if least is None:
        return np.zeros(0)
    return np.asarray(least[(finding.worst_verdict() == 0) & ~np.isnan(least)])


def _list(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def places(eyes: Sequence[Eye], which: Sequence[int]) -> list[tuple[str, str]]:
    """Eyes as (level and row, "3-7, 9"), in their order; an eye in no row by its own name, its number apart."""
    rows: dict[str, list[str]] = {}
    for i in which:
        eye = eyes[i]
        numbered = re.fullmatch(r"(.*\S) (\d+)", eye.id)
        if eye.row and eye.seat:
            key, seat = " ".join(part for part in (eye.level, eye.row) if part), eye.seat
        elif numbered:
            key, seat = numbered[1], numbered[2]
        else:
            key, seat = "", eye.id
        rows.setdefault(key, []).append(seat)
    return [(key or "others", _ranges(seats)) for key, seats in rows.items()]


def _ranges(seats: Sequence[str]) -> str:
    """`3-7, 9`: runs of numbers that follow each other."""
    out: list[list[str]] = []
    for seat in seats:
        last = out[-1] if out else None
        if last and re.fullmatch(r"\d+", seat) and re.fullmatch(r"\d+", last[-1]) and int(seat) == int(last[-1]) + 1:
            last.append(seat)
        else:
            out.append([seat])
    return ", ".join(run[0] if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in out)
