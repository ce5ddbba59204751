"""A secret cut up and ready to be looked at, and what the eyes then see of it at worst."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.moment import Secret
from sightline.sight.leak import Pairs, any_facing, expanded, facing, facing_among, leak_of, summed, unblocked
from sightline.sight.lines import Line, closest, line_facing, line_on, line_unblocked, measured
from sightline.sight.patches import Patches, outside_solids, patches_of
from sightline.sight.rays import LIFT_M, Blockers, BoolArray, IndexArray
from sightline.sight.shields import Clusters

if TYPE_CHECKING:
    from sightline.sight.fields import Field
    from sightline.sight.scenery import Scenery

# A seam's points may be written so far off the cover that it lies on: what is measured with a tape, and a level circle
# for a ring about a limb held aslant (3 cm off one that is 10 cm thick, at 30 degrees). Farther off is a slip. Common
# practice, no source.
OFF_COVER_M = 0.040
# Paths of points this close are drawn by a program, which runs through the bend of an elbow up to 55 mm off its skin (a
# ring at the elbow of a thick arm bent by 145 degrees): such may be so far off.
DRAWN_STEP_M, OFF_DRAWN_M = 0.010, 0.100


@dataclass
class Seen:
    """What eyes (e,) see at worst: the pose and head position are those that show most.

    `rank` orders how much is shown: solid angle, for lines the angle of the longest run. `via` is the index of the
    mirror in which it is seen; -1 when it is seen directly.
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
    via: IndexArray

    @staticmethod
    def nothing(eyes: int) -> Seen:
        rank, area, angle, length, run, run_arcmin, width = (np.zeros(eyes) for _ in range(7))
        pose, position = (np.zeros(eyes, dtype=np.intp) for _ in range(2))
        directly = np.full(eyes, -1, dtype=np.intp)
        return Seen(rank, area, angle, pose, position, length, run, run_arcmin, width, directly)

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
            "via",
        ):
            mine = getattr(self, key)
            mine[at] = np.where(worse, getattr(other, key), mine[at])


class PreparedSurface:
    """A surface as patches."""

    def __init__(self, secret: Secret, scenery: Scenery, pose: int):
        cut, self.patches = cut_up(secret, scenery, pose, scenery.moment.detail_m)
        self.count, self.buried, self.area_m2 = self.patches.count, self.patches.dropped, cut.area_m2
        self._ruled_out: BoolArray | None = None
        self._cluster: IndexArray = np.zeros(0, dtype=np.intp)
        self._field: Field | None = None
        self._unsettled: BoolArray = np.zeros((0, 0), dtype=bool)
        # A patch whose centre is buried may still stick out at a corner.
        self._whole = cut

    def shield(self, scenery: Scenery, pose: int, eyes: Clusters | None) -> None:
        """Rule out by proof the pairs that large flat faces hide, before any ray is cast for them; None: no pair."""
        self._ruled_out, self._field = None, None
        if eyes is None:
            return
        self._ruled_out = scenery.shields.hide_patches(self.patches, eyes)
        self._cluster = eyes.of

    def settle(self, field: Field, unsettled: BoolArray) -> None:
        """Ask only about the pairs of eye and cluster (e, k) that a direction field left open."""
        self._ruled_out, self._field, self._unsettled = None, field, unsettled

    @property
    def bounds_m(self) -> FloatArray:
        """Lowest and highest corner (2, 3) of what is looked at."""
        corners = self.patches.corners.reshape(-1, 3)
        return np.array([corners.min(axis=0), corners.max(axis=0)]) if len(corners) else np.zeros((2, 3))

    def start(self, eyes: FloatArray, groups: Sequence[Blockers], part: slice | None) -> Pairs:
        """The pairs of the eyes of `part` that turn to each other and that no group blocks.

        `part` None: not the moment's own eyes but their images, of which nothing is ruled out beforehand.
        """
        if self._field is not None and part is not None:
            left = np.nonzero(self._unsettled[part])
            rows, columns, _ = expanded(left[0], left[1], *self._field.members)
            return unblocked(self.patches, facing_among(self.patches, eyes, rows, columns), groups, eyes)
        out = None if self._ruled_out is None or part is None else self._ruled_out[self._cluster[part]]
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

    def closer(self, eyes: FloatArray, which: IndexArray | None, groups: Sequence[Blockers]) -> FloatArray:
        """Solid angle (e,) with the patches beside visible ones split; `which` (e,) eyes of the moment they are.

        None: they are images.
        """
        out = None if self._ruled_out is None or which is None else self._ruled_out[self._cluster[which]]
        return leak_of(self.patches, groups, eyes, split=True, ruled_out=out).solid_angle_sr

    def missable_rad(self, eyes: FloatArray) -> FloatArray:
        """The widest disc (rad) that can lie between samples: twice the reach of a patch about its centre.

        A surface that turns its back on the eye altogether hides nothing between its samples.
        """
        if not self._whole.count:
            return np.zeros(len(eyes))
        # Rays start a hair off the patch, which is as if its centre lay so much aside.
        reach = float(self._whole.radius_m.max()) + LIFT_M
        widest = _across(reach, _nearest(eyes, self._whole.corners.reshape(-1, 3)))
        return np.where(any_facing(self._whole, eyes), widest, 0.0)


def cut_up(secret: Secret, scenery: Scenery, pose: int, spacing_m: float) -> tuple[Patches, Patches]:
    """The surface as patches no longer than `spacing_m`, and those of them that are not buried.

    Finer where the secret itself is small. Raises Misfit where they are too many."""
    spacing = min(spacing_m, max(float(np.sqrt(secret.mesh.area_m2)) / 5.0, 1e-4))
    try:
        cut = patches_of(secret.mesh, spacing, secret.two_sided)
    except Misfit as misfit:
        raise Misfit(("secrets", secret.name), misfit.sentence) from misfit
    others = [c.mesh for c in scenery.burying(secret, pose) if c.mesh.meets(secret.mesh)]
    return cut, outside_solids(cut, [solid for mesh in others if (solid := scenery.solid(mesh))])


class PreparedLine:
    """A seam or cord as samples."""

    def __init__(self, secret: Secret, scenery: Scenery, pose: int):
        assert secret.path is not None
        on = next((c.mesh for c in scenery.covers(pose) if c.name == secret.on), None)
        if on is not None and len(on.faces):
            _refuse_far(secret, secret.path, on)
        self.line: Line = line_on(secret.path, on, secret.width_m)
        self.count, self.buried = len(self.line.points), 0
        self._field: Field | None = None
        self._unsettled: BoolArray = np.zeros((0, 0), dtype=bool)
        self.area_m2 = self.line.length_m * self.line.width_m

    def shield(self, scenery: Scenery, pose: int, eyes: Clusters | None) -> None:
        """Lines have too few samples for it to be worth while."""
        self._field = None

    def settle(self, field: Field, unsettled: BoolArray) -> None:
        """Ask only about the pairs of eye and cluster (e, k) that a direction field left open."""
        self._field, self._unsettled = field, unsettled

    @property
    def bounds_m(self) -> FloatArray:
        """Lowest and highest corner (2, 3) of what is looked at."""
        return np.array([self.line.points.min(axis=0), self.line.points.max(axis=0)])

    def start(self, eyes: FloatArray, groups: Sequence[Blockers], part: slice | None) -> BoolArray:
        """The samples that turn to the eyes and that no group blocks."""
        front = line_facing(self.line, eyes)
        if self._field is not None and part is not None:
            front &= self._unsettled[part][:, self._field.of]
        return line_unblocked(self.line, front, groups, eyes)

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
        """The widest disc (rad) of the strip, or the longest stretch of a thin line, that can lie between samples."""
        gap, width = self.line.gap_m, self.line.width_m
        # A disc of diameter d in a strip w wide lies at most (w - d) / 2 off the middle line, on which samples are a
        # gap apart: it holds one once w d > (gap^2 + w^2) / 2.
        widest = gap if width <= gap else (gap**2 + width**2) / (2 * width)
        reach = max(widest, width) / 2
        return _across(widest / 2 + LIFT_M, _nearest(eyes, self.line.points, reach))


def _refuse_far(secret: Secret, path: FloatArray, on: Mesh) -> None:
    """Raises Misfit where a point of a seam's path (n, 3) is not on its cover: it would be moved there without a word."""
    off_m = np.linalg.norm(closest(path, on)[0] - path, axis=1)
    drawn = len(path) > 2 and np.linalg.norm(np.diff(path, axis=0), axis=1).max() <= DRAWN_STEP_M
    most_m, worst = OFF_DRAWN_M if drawn else OFF_COVER_M, int(off_m.argmax())
    if off_m[worst] > most_m:
        raise Misfit(
            ("secrets", secret.name),
            f"Point {worst + 1} of the path of '{secret.name}' lies {off_m[worst] * 100:.3g} cm off '{secret.on}', on "
            f"which this seam is said to lie; the most is {most_m * 100:.0f} cm. Move the path onto that cover, name the "
            "cover it does lie on, or take 'on' away if it hangs free.",
        )


def prepare(secret: Secret, scenery: Scenery, pose: int) -> PreparedSurface | PreparedLine:
    return PreparedSurface(secret, scenery, pose) if secret.path is None else PreparedLine(secret, scenery, pose)


def _nearest(eyes: FloatArray, points: FloatArray, around_m: float = 0.0) -> FloatArray:
    """Distance (e,) from each eye to the nearest place so near a point, from below: to the box round all of them."""
    low, high = points.min(axis=0) - around_m, points.max(axis=0) + around_m
    return np.asarray(np.linalg.norm(np.maximum(np.maximum(low - eyes, eyes - high), 0.0), axis=1))


def _across(reach_m: float, far_m: FloatArray) -> FloatArray:
    """The widest cone (rad) about a place at `far_m` (e,) that need not hold a point within `reach_m` of the place.

    Seen from the eye that point is at most asin(reach / far) aside, on whichever side it lies.
    """
    return np.asarray(2.0 * np.arcsin(reach_m / np.maximum(far_m, reach_m)))
