"""Where nobody may stand or walk: areas to be kept clear, exits, and a strip along edges that one can fall from.

Everything is in plan, metres, in the frame of the stage (+x stage left, +y upstage).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sightline.blocking.notation import opening_half_m
from sightline.geometry.frame import FloatArray
from sightline.house.build import House
from sightline.house.ground import inside, way_to_way_m
from sightline.house.outline import Outline

# Half the width of a walking body. Common practice, no source.
BODY_RADIUS_M = 0.25
# A floor lower than this below the stage is a step that hurts. Common practice, no source.
RAISED_M = 0.02
# What is drawn as a circle has so many corners at least.
CIRCLE_CORNERS = 60
TINY_M = 1e-9


@dataclass(frozen=True, eq=False)
class Ground:
    """A piece of floor: one outline (n, 2), its first point repeated where `closed`, and perhaps a round `hole` in it."""

    name: str
    kind: str
    points_m: FloatArray
    closed: bool
    hole_m: FloatArray | None = None

    def holds(self, points_m: FloatArray) -> bool:
        """Whether any of the points (n, 2) is in it; its edge counts."""
        if not self.closed:
            return False
        within = inside(self.points_m[:-1], points_m)
        if self.hole_m is not None:
            within &= ~inside(self.hole_m[:-1], points_m)
        return bool(within.any())

    def lines(self) -> Iterator[FloatArray]:
        yield self.points_m
        if self.hole_m is not None:
            yield self.hole_m

    def distance_m(self, way_m: FloatArray) -> float:
        """From a way (n, 2), or a single point, to the nearest of its lines; 0 where they cross."""
        return min(way_to_way_m(way_m, line) for line in self.lines())


@dataclass(frozen=True, eq=False)
class KeepOut:
    """`areas` must not be entered by any part of a body; `edges` must be kept away from."""

    areas: tuple[Ground, ...]
    edges: tuple[Ground, ...]

    @property
    def drawn(self) -> bool:
        """Whether there is anything to keep away from."""
        return bool(self.areas or self.edges)

    def not_checked(self) -> str | None:
        """What is not drawn, so that nothing was kept away from it; None where exits and edges both are."""
        missing = [
            word
            for word, there in (
                ("exits", any(area.kind == "exit" for area in self.areas)),
                ("edges", bool(self.edges)),
            )
            if not there
        ]
        return f"{' and '.join(missing)} not drawn: not checked" if missing else None

    def refusal(self, points_m: FloatArray, from_edges_m: float) -> str | None:
        """One sentence why nobody may stand at a point (1, 2) or walk along a way (n, 2); None if they may."""
        way = np.asarray(points_m, dtype=float).reshape(-1, 2)
        who = "The mark" if len(way) == 1 or not np.ptp(way, axis=0).any() else "The way"
        for area in self.areas:
            near = area.distance_m(way)
            word = "the exit" if area.kind == "exit" else "the area to be kept clear,"
            if area.holds(way) or near <= TINY_M:
                verb = "is in" if who == "The mark" else "goes through"
                return f"{who} {verb} {word} '{area.name}'."
            if near < BODY_RADIUS_M - TINY_M:
                return (
                    f"{who} comes within {near:.2f} m of {word} '{area.name}'; "
                    f"half a body's width is {BODY_RADIUS_M:g} m."
                )
        for edge in self.edges:
            near = edge.distance_m(way)
            if near < from_edges_m - TINY_M:
                return (
                    f"{who} comes within {near:.2f} m of the edge '{edge.name}'; "
                    f"'from edges' keeps {from_edges_m:.2f} m."
                )
        return None


def obstacles(house: House) -> KeepOut:
    """What the venue draws: exits, areas to be kept clear, edges, and the open edge of a raised stage."""
    areas = [ground for kind in ("keep clear", "exit") for ground in grounds_of(house.outlines, kind)]
    edges = list(grounds_of(house.outlines, "edge"))
    if _raised(house):
        edges += _stage_edges(house.outlines)
    return KeepOut(tuple(areas), tuple(edges))


def grounds_of(outlines: Sequence[Outline], kind: str) -> Iterator[Ground]:
    """Every outline of a kind; a circle within another one of its name is the hole of a ring."""
    mine = [outline for outline in outlines if outline.kind == kind]
    taken = False
    for outline, after in pairwise([*mine, None]):
        assert outline is not None
        if taken:
            taken = False
            continue
        taken = after is not None and _is_ring(outline, after)
        hole = after.points_m if taken and after is not None else None
        yield Ground(outline.name, kind, outline.points_m, outline.closed, hole)


def _is_ring(outer: Outline, inner: Outline) -> bool:
    """Whether two outlines are the two circles of one ring: only then is what is inside the second left out."""
    if outer.name != inner.name or not (outer.closed and inner.closed):
        return False
    if min(len(outer.points_m), len(inner.points_m)) < CIRCLE_CORNERS:
        return False
    centre = outer.points_m[:-1].mean(axis=0)
    radii = [np.linalg.norm(line.points_m - centre, axis=1) for line in (outer, inner)]
    return all(float(np.ptp(r)) < 1e-6 for r in radii) and radii[1][0] < radii[0][0]


def _raised(house: House) -> bool:
    """Whether the performing floor stands above what is before it."""
    return any(
        cover.name == "stage" and cover.mesh.bounds[0][2] < -RAISED_M and abs(cover.mesh.bounds[1][2]) < RAISED_M
        for cover in house.scenery
        if len(cover.mesh.faces)
    )


def _stage_edges(outlines: Sequence[Outline]) -> Iterator[Ground]:
    """The open edge of a raised stage: all of it in the round, else what lies at or before the plaster line."""
    behind, half = any(outline.kind == "plaster line" for outline in outlines), opening_half_m(outlines)
    for outline in outlines:
        if outline.kind != "stage edge":
            continue
        runs: list[list[FloatArray]] = [[]]
        for a, b in pairwise(outline.points_m):
            part = (a, b) if not behind else _before_line(a, b)
            if part is None or (half is not None and _at_the_wall(part[0], part[1], half)):
                runs.append([])
            else:
                runs[-1] += [part[0], part[1]] if not runs[-1] else [part[1]]
        for run in runs:
            if run:
                yield Ground("of the stage", "edge", np.array(run), False)


def _at_the_wall(a: FloatArray, b: FloatArray, half_m: float) -> bool:
    """Whether a piece of the edge lies on the plaster line beside the opening, where the proscenium wall stands."""
    ends = np.array([a, b])
    return bool((np.abs(ends[:, 1]) <= TINY_M).all() and (np.abs(ends[:, 0]) >= half_m - TINY_M).all())


def _before_line(a: FloatArray, b: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """The piece of a segment with y <= 0; None where there is none, or a single point."""
    if max(a[1], b[1]) <= TINY_M:
        return a, b
    if min(a[1], b[1]) > -TINY_M:
        return None
    at = a + (b - a) * (a[1] / (a[1] - b[1]))
    return (a, at) if a[1] < 0 else (at, b)
