"""A secret cut up and ready to be looked at, and what the eyes then see of it at worst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.moment import Secret
from sightline.sight.leak import Pairs, any_facing, facing, leak_of, summed, unblocked
from sightline.sight.lines import Line, line_facing, line_on, line_unblocked, measured
from sightline.sight.patches import Patches, outside_solids, patches_of
from sightline.sight.rays import LIFT_M, Blockers, BoolArray, IndexArray
from sightline.sight.scenery import Scenery
from sightline.sight.shields import Clusters


@dataclass
class Seen:
    """What eyes (e,) see at worst: the pose and head position are those that show most.

    `rank` orders how much is shown: solid angle, for lines the angle of the longest run.
    """

    rank: FloatArray
    area_m2: FloatArray
    solid_angle_sr: FloatArray
    pose: IndexArray
    position: IndexArray
    length_m: FloatArray
    run_m: FloatArray
    run_arcmin: FloatArray
    width_arcmin: FloatArray

    @staticmethod
    def nothing(eyes: int) -> Seen:
        zero = [np.zeros(eyes) for _ in range(7)]
        index = [np.zeros(eyes, dtype=np.intp) for _ in range(2)]
        return Seen(zero[0], zero[1], zero[2], index[0], index[1], *zero[3:7])

    def take(self, at: slice | IndexArray, other: Seen) -> None:
        """Keep for the eyes `at` whichever shows more; the one held already on a tie."""
        worse = other.rank > self.rank[at]
        for key in (
            "rank",
            "area_m2",
            "solid_angle_sr",
            "pose",
            "position",
            "length_m",
            "run_m",
            "run_arcmin",
            "width_arcmin",
        ):
            mine = getattr(self, key)
            mine[at] = np.where(worse, getattr(other, key), mine[at])


class PreparedSurface:
    """A surface as patches."""

    def __init__(self, secret: Secret, scenery: Scenery, pose: int):
        # Finer than the moment's detail where the secret itself is small.
        spacing = min(scenery.moment.detail_m, max(float(np.sqrt(secret.mesh.area_m2)) / 5.0, 1e-4))
        try:
            cut = patches_of(secret.mesh, spacing, secret.two_sided)
        except Misfit as misfit:
            raise Misfit(("secrets", secret.name), misfit.sentence) from misfit
        others = [c.mesh for c in scenery.covers(pose) if c.name != secret.name and _meets(c.mesh, secret.mesh)]
        self.patches: Patches = outside_solids(cut, [solid for mesh in others if (solid := scenery.solid(mesh))])
        self.count, self.buried, self.area_m2 = self.patches.count, self.patches.dropped, cut.area_m2
        self._ruled_out: BoolArray | None = None
        self._cluster: IndexArray = np.zeros(0, dtype=np.intp)
        self._widest_m = 2.0 * float(cut.radius_m.max()) if cut.count else 0.0

    def shield(self, scenery: Scenery, pose: int, eyes: Clusters) -> None:
        """Rule out by proof the pairs that large flat faces hide, before any ray is cast for them."""
        points = self.patches.centres
        if not self.patches.two_sided:
            points = points + self.patches.normals * LIFT_M
        self._ruled_out = scenery.shields.hide(points, eyes)
        self._cluster = eyes.of

    def start(self, eyes: FloatArray, groups: Sequence[Blockers], part: slice) -> Pairs:
        """The pairs of the eyes of `part` that turn to each other and that no group blocks."""
        out = None if self._ruled_out is None else self._ruled_out[self._cluster[part]]
        return unblocked(self.patches, facing(self.patches, eyes, out), groups, eyes)

    def finish(self, started: Pairs, eyes: FloatArray, groups: Sequence[Blockers], pose: int, position: int) -> Seen:
        """What is seen of the pairs begun with when these groups block as well."""
        out = Seen.nothing(len(eyes))
        left = unblocked(self.patches, started, groups, eyes)
        if len(left.rows):
            out.solid_angle_sr, out.area_m2 = summed(self.patches, eyes, left)
            out.rank = out.solid_angle_sr
        out.pose[:], out.position[:] = pose, position
        return out

    def closer(self, eyes: FloatArray, which: IndexArray, groups: Sequence[Blockers]) -> FloatArray:
        """Solid angle (e,) with the patches beside visible ones split; `which` (e,) eyes of the moment they are."""
        out = None if self._ruled_out is None else self._ruled_out[self._cluster[which]]
        return leak_of(self.patches, groups, eyes, split=True, ruled_out=out).solid_angle_sr

    def missable_rad(self, eyes: FloatArray) -> FloatArray:
        """The widest disc (rad) that can lie between samples: twice the reach of a patch about its centre.

        A surface that turns its back on the eye altogether hides nothing between its samples.
        """
        return np.where(any_facing(self.patches, eyes), self._widest_m / _nearest(eyes, self.patches.centres), 0.0)


class PreparedLine:
    """A seam or cord as samples."""

    def __init__(self, secret: Secret, scenery: Scenery, pose: int):
        assert secret.path is not None
        on = next((c.mesh for c in scenery.covers(pose) if c.name == secret.on), None)
        self.line: Line = line_on(secret.path, on, secret.width_m)
        self.count, self.buried = len(self.line.points), 0
        self.area_m2 = self.line.length_m * self.line.width_m

    def shield(self, scenery: Scenery, pose: int, eyes: Clusters) -> None:
        """Lines have too few samples for it to be worth while."""

    def start(self, eyes: FloatArray, groups: Sequence[Blockers], part: slice) -> BoolArray:
        """The samples that turn to the eyes and that no group blocks."""
        return line_unblocked(self.line, line_facing(self.line, eyes), groups, eyes)

    def finish(
        self, started: BoolArray, eyes: FloatArray, groups: Sequence[Blockers], pose: int, position: int
    ) -> Seen:
        """What is seen of the samples begun with when these groups block as well."""
        out = Seen.nothing(len(eyes))
        seen = line_unblocked(self.line, started, groups, eyes)
        some = np.flatnonzero(seen.any(axis=1))
        if len(some):
            leak = measured(self.line, seen[some], eyes[some])
            out.length_m[some], out.run_m[some], out.run_arcmin[some] = leak.length_m, leak.run_m, leak.run_arcmin
            out.width_arcmin[some], out.solid_angle_sr[some] = leak.width_arcmin, leak.solid_angle_sr
            out.area_m2 = out.length_m * self.line.width_m
            out.rank = out.run_arcmin + 1e-9 * out.length_m
        out.pose[:], out.position[:] = pose, position
        return out

    def missable_rad(self, eyes: FloatArray) -> FloatArray:
        """A stretch as long as the step between samples."""
        return self.line.longest_m / _nearest(eyes, self.line.points)


def prepare(secret: Secret, scenery: Scenery, pose: int) -> PreparedSurface | PreparedLine:
    return PreparedSurface(secret, scenery, pose) if secret.path is None else PreparedLine(secret, scenery, pose)


def _nearest(eyes: FloatArray, points: FloatArray) -> FloatArray:
    """Distance (e,) from each eye to the nearest of the points, from below: to their bounding box."""
    if not len(points):
        return np.full(len(eyes), np.inf)
    gap = np.maximum(np.maximum(points.min(axis=0) - eyes, eyes - points.max(axis=0)), 0.0)
    return np.maximum(np.linalg.norm(gap, axis=1), 1e-3)


def _meets(a: Mesh, b: Mesh) -> bool:
    return bool(np.all(a.bounds[0] < b.bounds[1]) and np.all(b.bounds[0] < a.bounds[1]))
