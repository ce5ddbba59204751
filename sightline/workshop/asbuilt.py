"""The as-built sheet read against its scene: what was measured, what of it moved, and what was seen from where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from typing import Any, Literal

from pydantic import TypeAdapter, ValidationError

from sightline.errors import FileError, Problem, SightlineError, gathering
from sightline.scene.asbuilt import AsBuiltSheet, SizeLine, TickLine
from sightline.scene.fields import Angle, Distance, Length, Offset
from sightline.scene.reading import Written
from sightline.units import Measure, parse
from sightline.workshop.asbuiltsize import Size, SizeKind, printed_size

# More than twice or less than half of what was planned is rather a slip of the unit. Common practice, no source.
SLIP = 2.0
# To look for the nearest of thousands of names takes long, and a file may hold thousands that are wrong.
MOST_HINTS = 5
_FIELDS: dict[str, Any] = {"length": Length, "distance": Distance, "offset": Offset, "angle": Angle}
EDGES = ("prop.at.front edge", "prop.at.back edge")

Saw = Literal["yes", "no", "not sure"]


@dataclass(frozen=True)
class Taken:
    """One size with what the tape said of it, and as it was written."""

    size: Size
    built: Measure
    said: str

    @property
    def moved(self) -> bool:
        return self.size.differs(self.built)

    def at(self, value: float) -> Taken:
        """The same, known to be so much."""
        return replace(self, built=Measure.exact(value), said=printed_size(self.size.kind, value))


@dataclass(frozen=True)
class Tick:
    """What was seen from an eye's place; `camera_m` where the mock-up's camera stood, in the performer's frame."""

    eye: str
    saw: Saw
    where: str
    camera_m: tuple[float, float, float] | None


@dataclass(frozen=True)
class Reading:
    """A sheet in terms of its scene. `unknown`: could not be measured; `blank`: was not."""

    taken: tuple[Taken, ...]
    unknown: tuple[Size, ...]
    blank: tuple[Size, ...]
    ticks: tuple[Tick, ...]
    warnings: tuple[str, ...]

    @property
    def moved(self) -> tuple[Taken, ...]:
        return tuple(taken for taken in self.taken if taken.moved)

    @property
    def as_planned(self) -> tuple[Taken, ...]:
        return tuple(taken for taken in self.taken if not taken.moved)

    @property
    def ranged(self) -> tuple[Taken, ...]:
        """What is known within a range only."""
        return tuple(taken for taken in self.taken if taken.built.is_range)

    @property
    def deviations(self) -> list[tuple[Taken, ...]]:
        """What moved, each by itself; the two edges of a prop that is held are one matter."""
        edges = tuple(taken for taken in self.taken if taken.size.key in EDGES and taken.size.path is None)
        found: list[tuple[Taken, ...]] = []
        for taken in self.moved:
            group = edges if taken in edges else (taken,)
            if group not in found:
                found.append(group)
        return found


def read_against(
    sheet: Written[AsBuiltSheet], title: str, sizes: Sequence[Size], eyes: Sequence[str]
) -> Reading:  # fmt: skip
    """The sheet in terms of a scene of this title, with these sizes and ids of eyes.

    Raises FileError with all problems: a sheet of another scene or of another state of it, sizes that the scene has
    not, eyes that it has not, what is no measure.
    """
    problems: list[Problem] = []
    model = sheet.model
    if model.as_built != title:
        sentence = f"This sheet was made for '{model.as_built}', and the scene is '{title}'."
        raise sheet.problem(("as built",), sentence)
    known = {size.key: size for size in sizes}
    taken, unknown = [], []
    for key, line in model.sizes.items():
        with gathering(problems):
            size = _known_size(sheet, key, known, len(problems) < MOST_HINTS)
            _refuse_other_plan(sheet, size, line)
            found = _measured(sheet, size, line)
            if found == "unknown":
                unknown.append(size)
            elif isinstance(found, Taken):
                taken.append(found)
    keys = {one.size.key for one in taken}
    with gathering(problems):
        _refuse_one_edge(sheet, keys, known)
    ticks = []
    ids = frozenset(eyes)
    for eye, tick in model.ticks.items():
        with gathering(problems):
            if eye not in ids:
                near = get_close_matches(eye, eyes, n=1, cutoff=0.5) if len(problems) < MOST_HINTS else []
                hint = f"; did you mean '{near[0]}'?" if near else f"; the first is '{eyes[0]}'."
                raise sheet.problem(("ticks", eye), f"The scene has no eye '{eye}'{hint}")
            saw = _saw(sheet, eye, tick)
            if saw is not None:
                ticks.append(Tick(eye, saw, tick.where, tick.camera))
    if problems:
        raise FileError(problems)
    out = {size.key for size in unknown} | keys
    blank = tuple(size for size in sizes if size.key not in out)
    return Reading(tuple(taken), tuple(unknown), blank, tuple(ticks), tuple(map(_slip, filter(_slipped, taken))))


def _known_size(sheet: Written[AsBuiltSheet], key: str, known: dict[str, Size], hints: bool) -> Size:
    if key not in known:
        near = get_close_matches(key, known, n=1, cutoff=0.5) if hints else []
        hint = (
            f"; did you mean '{near[0]}'?" if near else "; write the sheet anew: sightline mockup SCENE --sheet FILE."
        )
        raise sheet.problem(("sizes", key), f"The scene has no size '{key}'{hint}")
    return known[key]


def _refuse_other_plan(sheet: Written[AsBuiltSheet], size: Size, line: SizeLine) -> None:
    """A plan that changed since the sheet was made would be compared with what nobody built."""
    if not line.planned:
        return
    path = ("sizes", size.key, "planned")
    if size.differs(_quantity(sheet, path, size, line.planned)):
        sentence = (
            f"The sheet was made when the plan was {line.planned}, and the scene now says {size.said}: make the sheet "
        )
        raise sheet.problem(path, sentence + "anew, or compare with the scene that was built.")


@cache
def _reader(kind: SizeKind) -> TypeAdapter[float]:
    return TypeAdapter(_FIELDS[kind])


def _quantity(sheet: Written[AsBuiltSheet], path: tuple[str, ...], size: Size, text: str) -> Measure:
    if text.casefold() == "unknown":
        raise sheet.problem(path, "What is planned is never unknown; leave it as it was printed.")
    try:
        _reader(size.kind).validate_python(text)
        return parse(text, "angle" if size.kind == "angle" else "length")
    except ValidationError as error:
        raise sheet.problem(path, str(error.errors()[0]["ctx"]["sentence"])) from None


def _measured(sheet: Written[AsBuiltSheet], size: Size, line: SizeLine) -> Taken | Literal["unknown"] | None:
    if not line.measured:
        return None
    if line.measured.casefold() == "unknown":
        return "unknown"
    built = _quantity(sheet, ("sizes", size.key, "measured"), size, line.measured)
    return Taken(size, built, line.measured)


def _refuse_one_edge(sheet: Written[AsBuiltSheet], keys: set[str], known: dict[str, Size]) -> None:
    """One edge's height says neither how high the prop is held nor how it is tilted."""
    there = [key for key in EDGES if key in keys and known[key].path is None]
    if len(there) == 1:
        other = next(key for key in EDGES if key != there[0])
        sentence = "One edge alone does not say how the prop is held: measure "
        raise sheet.problem(("sizes", there[0], "measured"), f"{sentence}'{other}' as well, or leave both blank.")


def _saw(sheet: Written[AsBuiltSheet], eye: str, tick: TickLine) -> Saw | None:
    said = tick.saw.casefold()
    if said in ("yes", "true"):
        return "yes"
    if said in ("no", "false"):
        return "no"
    if said == "unknown":
        return "not sure"
    if said:
        sentence = f"'{tick.saw[:40]}' is neither yes nor no; write unknown if somebody looked and is not sure, and "
        raise sheet.problem(("ticks", eye, "saw"), sentence + "nothing if nobody looked.")
    return None


def _slipped(taken: Taken) -> bool:
    plan, built = abs(taken.size.planned.value), abs(taken.built.value)
    if taken.size.kind not in ("length", "distance") or not plan or not built:
        return False
    return max(plan / built, built / plan) > SLIP


def _slip(taken: Taken) -> str:
    return f"{taken.size.key} is {taken.said} where {taken.size.said} was planned: was the unit right?"


def as_measured(error: SightlineError, reading: Reading) -> SightlineError:
    """The error of a scene whose sizes are those measured: it is no fault of the file's."""
    slips = " ".join(f"But {said}" for said in reading.warnings)
    return SightlineError(
        f"As measured, the act does not go together: {error.sentence} "
        + (slips or "Measure again, or mend what was built.")
    )
