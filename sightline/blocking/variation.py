"""One thing that may be off on the night: a change of the scene that `check --robust` tries."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sightline.blocking.nudges import Nudge

# In the order in which they are tried and told; what leaks first is named first.
ALLOWANCES = {
    "stray": "straying and turning from the mark",
    "body": "body sizes that are uncertain",
    "late": "late in the set",
    "cloth": "edges of cloth drawn back",
    "build": "cut and mounted not quite as drawn",
    "ranges": "ranges and unknowns of the scene",
    "back light": "thin cloth with a lamp behind it",
    "together": "all of it at once",
}


@dataclass(frozen=True)
class Variation:
    """One thing that is off: `nudges` of the file, a `stray` (dx m, dy m, turn rad), or covers that are `bare`ly there.

    Of those with one `axis` only one can be at a time. `measure` is what would settle it.
    """

    allowance: str
    axis: str
    words: str
    measure: str
    nudges: tuple[Nudge, ...] = ()
    stray: tuple[float, float, float] = (0.0, 0.0, 0.0)
    bare: frozenset[str] = frozenset()


def either_way(allowance: str, axis: str, says: str, measure: str, nudge: Nudge) -> Iterator[Variation]:
    for sign, way in ((1.0, "more"), (-1.0, "less")):
        moved = Nudge(nudge.path, sign * nudge.by, None, nudge.kind, nudge.base, nudge.row)
        yield Variation(allowance, axis, says.format(way=way), measure, (moved,))
