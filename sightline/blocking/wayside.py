"""Whether the ways between marks can be walked: nothing built stands in them, and they keep clear of what must be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from sightline.blocking.beats import Step
from sightline.blocking.keepout import BODY_RADIUS_M, obstacles
from sightline.errors import FileError, Problem, gathering
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover
from sightline.house.build import House
from sightline.house.ground import inside
from sightline.house.outline import Outline
from sightline.moment import Moment
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.rays import Blockers, Solid

# A walking body is felt for by a lattice of rays in the space it goes through: along the way, across it, and upright.
# What is narrower than the lattice both ways can slip through. Common practice, no source.
HEIGHTS_M = np.arange(0.1, 1.75, 0.1)
LATERAL_M = np.linspace(-BODY_RADIUS_M, BODY_RADIUS_M, 7)
EVERY_M = 0.05
FLOOR_M, HEAD_M = 0.05, 1.75
ROUND = 16

NOT_DRAWN = "covers that the scene itself places, and people: not taken for obstacles on the way"


def check_ways(written: Written[Scene], steps: Sequence[Step], house: House) -> str | None:
    """Raises FileError with every mark and way that cannot be used; returns what is not drawn, to be said."""
    keep, away = obstacles(house), written.model.blocking.from_edges
    beats = written.model.blocking.beats
    bump = _Bump(house.scenery)
    problems: list[Problem] = []
    for step in steps:
        if not beats:
            path: tuple[str | int, ...] = ("blocking", "mark")
        else:
            path = ("blocking", "beats", step.index, "path" if beats[step.index].path else "mark")
        walked = step.way_m > 0
        if step.index and not walked:
            continue
        said = keep.refusal(step.path_m if walked else step.path_m[:1], away) or bump.into(step.path_m)
        if said:
            with gathering(problems):
                raise written.problem(path, said if not beats else f"{said[:-1]} (to '{step.name}').")
    if problems:
        raise FileError(problems)
    return keep.not_checked()


def mark_warnings(written: Written[Scene], moment: Moment) -> list[str]:
    """Why nobody should stand on the scene's own mark: a way out, an edge, in something, off the stage; none if all is well."""
    if moment.plan.mark_m is None:
        return []
    lines = [line for line in moment.plan.outlines if isinstance(line, Outline)]
    house = House(outlines=lines, scenery=list(moment.setting))
    mark = np.array([moment.plan.mark_m])
    said = obstacles(house).refusal(mark, written.model.blocking.from_edges)
    floors = [line for line in lines if line.kind == "stage edge" and line.closed]
    raised = any(line.kind == "plaster line" for line in lines)
    if said is None and raised and floors and not any(inside(f.points_m[:-1], mark).any() for f in floors):
        said = "The mark is not on the stage."
    return [said] if said else []


class _Bump:
    """What is built, ready to be walked into."""

    def __init__(self, scenery: Sequence[Cover]):
        self.covers = [cover for cover in scenery if len(cover.mesh.faces) and cover.mesh.bounds[1][2] > FLOOR_M]
        low = np.min([c.mesh.bounds[0] for c in self.covers], axis=0) if self.covers else np.zeros(3)
        high = np.max([c.mesh.bounds[1] for c in self.covers], axis=0) if self.covers else np.zeros(3)
        self.centre_m = (low + high) / 2
        self.blockers = Blockers([cover.mesh for cover in self.covers], self.centre_m)
        self.solids = [
            (cover.name, Solid(cover.mesh, self.centre_m)) for cover in self.covers if cover.mesh.closed
        ]  # fmt: skip

    def into(self, way_m: FloatArray) -> str | None:
        """What a body that goes along (n, 2) walks into, and where; None if nothing."""
        if not self.covers:
            return None
        starts, ends = (np.concatenate(list(rays)) for rays in zip(*_lattice(way_m), strict=True))
        hits = self.blockers.first(starts, ends)
        met = np.flatnonzero(hits.mesh >= 0)
        what = "goes" if np.ptp(way_m, axis=0).any() else "is"
        if len(met):
            first = int(met[np.argmin(np.linalg.norm(starts[met, :2] - way_m[0], axis=1))])
            step = ends[first] - starts[first]
            at = starts[first] + step / np.linalg.norm(step) * hits.distance_m[first]
            return self._said(self.covers[int(hits.mesh[first])].name, what, at)
        chest = np.column_stack([_along(way_m), np.full(len(_along(way_m)), 0.9)])
        for name, solid in self.solids:
            held = solid.holds(chest)
            if held.any():
                return self._said(name, what, chest[int(np.argmax(held))])
        return None

    @staticmethod
    def _said(name: str, what: str, at: FloatArray) -> str:
        subject = "The way goes through" if what == "goes" else "The mark is in, or too near to,"
        return (
            f"{subject} '{name}': near [{at[0]:.2f} m, {at[1]:.2f} m], {max(float(at[2]), 0.0):.1f} m up; "
            f"a body needs {BODY_RADIUS_M:g} m to either side."
        )


def _along(way_m: FloatArray) -> FloatArray:
    """Points (n, 2) on a way, at most EVERY_M apart, its own corners among them."""
    out = [way_m[:1]]
    for a, b in pairwise(way_m):
        count = int(np.ceil(np.linalg.norm(b - a) / EVERY_M))
        if count:
            out.append(a + (b - a) * (np.arange(1, count + 1) / count)[:, None])
    return np.concatenate(out)


def _lattice(way_m: FloatArray) -> Iterator[tuple[FloatArray, FloatArray]]:
    """Starts and ends (n, 3) of the rays of one way."""
    for a, b in pairwise(way_m):
        length = float(np.linalg.norm(b - a))
        if length == 0.0:
            continue
        ahead = (b - a) / length
        across = np.array([ahead[1], -ahead[0]])
        lanes = across[None] * LATERAL_M[:, None]
        yield _raised(a + lanes, b + lanes)
        count = int(np.ceil(length / EVERY_M)) + 1
        middle = a + (b - a) * np.linspace(0.0, 1.0, count)[:, None]
        yield _raised(middle - across * BODY_RADIUS_M, middle + across * BODY_RADIUS_M)
        spots = (middle[:, None] + lanes[None]).reshape(-1, 2)
        yield _upright(spots)
    # Round every corner, both ends included, the whole body turns.
    bearings = np.arange(ROUND) * 2 * np.pi / ROUND
    rim = np.column_stack([np.cos(bearings), np.sin(bearings)]) * BODY_RADIUS_M
    for corner in np.unique(way_m, axis=0):
        yield _raised(np.broadcast_to(corner, rim.shape), corner + rim)
        yield _raised(corner + rim, corner + np.roll(rim, 1, axis=0))
        yield _upright(np.concatenate([corner[None], corner + rim, corner + rim / 2]))


def _raised(starts: FloatArray, ends: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Level rays between points in plan (n, 2), at every height."""
    levels = np.repeat(HEIGHTS_M, len(starts))[:, None]
    return (
        np.hstack([np.tile(starts, (len(HEIGHTS_M), 1)), levels]),
        np.hstack([np.tile(ends, (len(HEIGHTS_M), 1)), levels]),
    )


def _upright(spots: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Rays from just above the floor to a head's height."""
    column = np.ones((len(spots), 1))
    return np.hstack([spots, FLOOR_M * column]), np.hstack([spots, HEAD_M * column])
