"""Darts where they help most: tried on a coarse grid, the one that takes off most strain kept, until the sheet stands it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.pattern.arap import Sheet
from sightline.pattern.conformal import conformal
from sightline.pattern.cutting import Ground, Surface, grounds
from sightline.pattern.plan import Dart, Plan
from sightline.pattern.slit import Named, Rim, slit
from sightline.pattern.strain import strain_of

IntArray = NDArray[np.int64]
# The coarse grid: so many rows and columns at most.
_ROWS, _COLUMNS = 25, 33
# Where darts are tried: places across an edge, and lengths as shares of the way in. Common practice, no source.
PLACES, FIRST_LENGTH, LENGTHS = 7, 0.4, (0.2, 0.3, 0.55, 0.7)
ROUND_LENGTHS = (0.25, 0.45)
# A dart must take off this share of the rms strain to be worth its seam. Common practice, no source.
WORTH = 0.12
# Cells of the coarse grid between two darts, and between a dart and the sheet's side.
APART = 2


def with_darts(surface: Surface, plan: Plan, limit: float, most: int, progress: Callable[[str], None]) -> Plan:
    """The plan with darts in the sheets whose 99th percentile of strain is over the limit; `most` in each."""
    if most == 0:
        return plan
    darts: list[Dart] = []
    for number, ground in enumerate(grounds(surface, plan)):
        coarse = _Coarse(surface, ground, number)
        found: list[Dart] = []
        now = coarse.tried(found)
        while len(found) < most and (now.p99 > limit or now.overlaps):
            progress(f"darts, piece {number + 1}")
            best, then = coarse.best(found)
            if best is None or not (then.rms < (1.0 - WORTH) * now.rms or (now.overlaps and not then.overlaps)):
                break
            found.append(best)
            now = then
        darts += [coarse.fine(dart) for dart in found]
    return plan.with_darts(darts)


@dataclass(frozen=True)
class _Tried:
    rms: float
    p99: float
    overlaps: bool

    @property
    def rank(self) -> tuple[bool, float]:
        return self.overlaps, self.rms


class _Coarse:
    """One sheet with every few rows and columns of its grid, laid flat by itself."""

    def __init__(self, surface: Surface, ground: Ground, number: int):
        m, k = ground.columns.shape
        self.rows, self.columns = _every(m, _ROWS), _every(k, _COLUMNS)
        self.number, self.outward = number, surface.tube.outward
        points = surface.at(ground.first, ground.last, ground.columns)
        self.points = points[np.ix_(self.rows, self.columns)]
        elbow = surface.tube.elbow
        inside = elbow is not None and ground.first < elbow < ground.last
        self.elbow = int(np.argmin(np.abs(self.rows - (elbow or 0) + ground.first))) if inside else None
        self.shape = (len(self.rows), len(self.columns))
        self.flat: FloatArray | None = None

    def tried(self, darts: Sequence[Dart]) -> _Tried:
        """How the sheet lies with these darts."""
        from shapely.geometry import Polygon

        edge: Named = ("", "free", "a")
        shape = slit(self.shape, [("", dart) for dart in darts], Rim(edge, edge, edge, edge, {}), self.outward)
        vertices = self.points.reshape(-1, 3)[shape.of]
        known = self.flat
        start = conformal(vertices, shape.faces, apart=(0, len(vertices) - 1)) if known is None else known[shape.of]
        flat = Sheet(vertices, shape.faces).relaxed(start, steps=15, within=1e-4)
        if known is None:
            self.flat = flat
        strain = strain_of(vertices, shape.faces, flat, 1.0)
        return _Tried(strain.rms, strain.p99, not Polygon(flat[shape.outline]).is_valid)

    def best(self, found: Sequence[Dart]) -> tuple[Dart | None, _Tried]:
        """The dart that, beside those found, leaves least strain."""
        ranked = [(self.tried([*found, dart]), dart) for dart in self._first() if self._clear(dart, found)]
        if not ranked:
            return None, _Tried(np.inf, np.inf, True)
        then, best = min(ranked, key=lambda pair: pair[0].rank)
        others = [dart for dart in self._longer(best) if self._clear(dart, found)]
        ranked = [(then, best)] + [(self.tried([*found, dart]), dart) for dart in others]
        then, best = min(ranked, key=lambda pair: pair[0].rank)
        return best, then

    def _first(self) -> Iterator[Dart]:
        m, k = self.shape
        for place in sorted({round(p) for p in np.linspace(APART, k - 1 - APART, PLACES)}):
            for end in ("first", "last"):
                yield self._along(end, place, FIRST_LENGTH)
        levels = {round(p) for p in np.linspace(0, m - 1, 5)[1:-1]} | ({self.elbow} if self.elbow else set())
        for row in sorted(levels):
            for side in ("a", "b"):
                for share in ROUND_LENGTHS:
                    yield self._round(side, row, share)

    def _longer(self, dart: Dart) -> Iterator[Dart]:
        if dart.end in ("first", "last"):
            for share in LENGTHS:
                yield self._along(dart.end, dart.place, share)
            for beside in (-1, 1):
                yield Dart(self.number, dart.end, dart.place + beside, dart.tip)
        else:
            for share in (0.15, 0.35):
                yield self._round(dart.end, dart.place, share)

    def _along(self, end: Literal["first", "last", "a", "b"] | str, place: int, share: float) -> Dart:
        m = self.shape[0]
        far = max(1, min(m - 2, round(share * (m - 1))))
        return Dart(self.number, end, place, far if end == "first" else m - 1 - far)  # type: ignore[arg-type]

    def _round(self, side: str, row: int, share: float) -> Dart:
        k = self.shape[1]
        far = max(1, min(k - 2, round(share * (k - 1))))
        return Dart(self.number, side, row, far if side == "a" else k - 1 - far)  # type: ignore[arg-type]

    def _clear(self, dart: Dart, found: Sequence[Dart]) -> bool:
        m, k = self.shape
        across = dart.end in ("first", "last")
        if not (APART <= dart.place <= (k if across else m) - 1 - APART):
            return False
        own = self._cells(dart)
        return all(np.abs(own[:, None] - self._cells(other)[None]).max(axis=2).min() > APART for other in found)

    def _cells(self, dart: Dart) -> IntArray:
        m, k = self.shape
        start = {"first": 0, "last": m - 1, "a": 0, "b": k - 1}[dart.end]
        way = np.arange(min(start, dart.tip), max(start, dart.tip) + 1)
        still = np.full(len(way), dart.place)
        return np.stack([way, still] if dart.end in ("first", "last") else [still, way], axis=1)

    def fine(self, dart: Dart) -> Dart:
        """The same dart on the sheet's own grid."""
        if dart.end in ("first", "last"):
            return Dart(self.number, dart.end, int(self.columns[dart.place]), int(self.rows[dart.tip]))
        return Dart(self.number, dart.end, int(self.rows[dart.place]), int(self.columns[dart.tip]))


def _every(count: int, most: int) -> IntArray:
    return np.unique(np.round(np.linspace(0, count - 1, min(count, most))).astype(np.int64))
