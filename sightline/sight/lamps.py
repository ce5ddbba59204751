"""Shadows that give a secret away: a lamp reaches it, and its shadow falls where the audience looks.

A lamp is a point, so a shadow has a sharp edge: what is behind a lit patch, on the straight line from the lamp, up to the
first surface but the secret itself. The line is then asked which eyes see its end, on the lit side of the surface.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.lamps import Lamp
from sightline.moment import Moment, Secret
from sightline.sight.leak import facing, over_eyes, unblocked
from sightline.sight.patches import Patches, patches_of
from sightline.sight.rays import LIFT_M, Blockers, BoolArray, IndexArray, nearest_mesh, on_all_cores
from sightline.sight.scenery import Scenery

FLOOR = "floor"
# The floor where nothing stands: the performing floor's own height (design, section 2).
FLOOR_M = 0.0
# A shadow farther from its lamp than this has faded into what other light there is. Common practice, no source.
REACH_M = 100.0
# Patches of a secret asked for light, and points of a shadow asked for eyes: its edge matters less than its place.
LIT_PATCHES, SHADOW_POINTS = 2_000, 24
# A shadow that falls slantwise is drawn out by no more than this. Common practice, no source.
LEAST_SLANT = 0.02


@dataclass(frozen=True)
class Shadow:
    """The shadow of a secret from one lamp on one surface: the middle at `at_m`, in the pose that most eyes see.

    `eyes` (n,) are the indices of the eyes that see some of it in any pose; `worst_eye` of the one to which it looks
    largest, None when nobody sees it.
    """

    lamp: str
    secret: str
    surface: str
    at_m: tuple[float, float, float]
    eyes: tuple[int, ...]
    worst_eye: int | None

    @property
    def eyes_seen(self) -> int:
        """How many eyes see it."""
        return len(self.eyes)


@dataclass(frozen=True)
class _Fall:
    """Where light stopped by a secret would have fallen: points (n, 3), the unit normals (n, 3) on the lit side, the
    area m2 of surface that each stands for (n,), and the index of the surface (n,), -1 for the floor."""

    points: FloatArray
    normals: FloatArray
    areas: FloatArray
    surface: IndexArray

    def only(self, keep: BoolArray | IndexArray) -> _Fall:
        return _Fall(self.points[keep], self.normals[keep], self.areas[keep], self.surface[keep])


class _Looked:
    """What is known of the shadow on one surface so far: which eyes see it, how much, and the pose most see it in."""

    def __init__(self, eyes: int):
        self.seen = np.zeros(eyes, dtype=bool)
        self.most = -1
        self.size = np.zeros(eyes)
        self.at_m = np.zeros(3)

    def take(self, size: FloatArray, fall: _Fall) -> None:
        """`size` (e,) is how large (sr) each eye sees the shadow in one more pose."""
        self.seen |= size > 0
        self.size = np.maximum(self.size, size)
        if (count := int((size > 0).sum())) > self.most:
            self.most, self.at_m = count, np.average(fall.points, axis=0, weights=fall.areas)


def shadows(moment: Moment, scenery: Scenery) -> tuple[Shadow, ...]:
    """All shadows that lamps throw of secrets, by lamp and secret, on each surface that some falls on."""
    if not moment.lamps:
        return ()
    found = []
    for name in moment.secret_names():
        falls = _Secret(name, moment, scenery)
        for lamp in moment.lamps:
            found += falls.from_lamp(lamp)
    order = {lamp.name: index for index, lamp in enumerate(moment.lamps)}
    return tuple(sorted(found, key=lambda shadow: order[shadow.lamp]))


class _Secret:
    """One secret in every pose, with what else light meets there."""

    def __init__(self, name: str, moment: Moment, scenery: Scenery):
        self.name, self.moment, self.scenery = name, moment, scenery
        still = [(None, s) for s in moment.still.secrets if s.name == name]
        moving = [(i, s) for i, pose in enumerate(moment.poses) for s in pose.secrets if s.name == name]
        # A hole in a wall stops no light, and a seam is part of what it is sewn to.
        self.having = [
            (pose, self._patches(secret))
            for index, secret in (still or moving)
            if secret.covers and len(secret.mesh.faces)
            for pose in ([index] if index is not None else range(len(moment.poses)))
        ]
        self._without: dict[int, Blockers] = {}

    def _patches(self, secret: Secret) -> Patches:
        # Both sides: a sheet stops light from either, and of a solid the far side lies in its own shade.
        spacing = min(self.moment.detail_m, max(float(np.sqrt(secret.mesh.area_m2)) / 20.0, 1e-4))
        return patches_of(secret.mesh, spacing, two_sided=True).thinned(LIT_PATCHES)

    def from_lamp(self, lamp: Lamp) -> list[Shadow]:
        """The shadows of this secret from one lamp, those that most eyes see first."""

        def work(item: tuple[int, Patches]) -> tuple[int, _Fall]:
            return item[0], self._fall(lamp, *item)

        known: dict[str, _Looked] = {}
        for pose, _ in self.having:
            self.scenery.pose(pose)  # built before the cores share it
        for pose, fall in on_all_cores(self.having, work):
            covers = self.scenery.covers(pose)
            for index in np.unique(fall.surface):
                name = covers[index].name if index >= 0 else FLOOR
                part = fall.only(fall.surface == index)
                known.setdefault(name, _Looked(len(self.moment.eyes))).take(self._sizes(part, pose), part)
        out = []
        for surface, looked in known.items():
            worst = int(looked.size.argmax()) if looked.seen.any() else None
            x, y, z = looked.at_m.tolist()
            out.append(
                Shadow(lamp.name, self.name, surface, (x, y, z), tuple(np.flatnonzero(looked.seen).tolist()), worst)
            )
        return sorted(out, key=lambda shadow: (-shadow.eyes_seen, shadow.surface))

    def _fall(self, lamp: Lamp, pose: int, patches: Patches) -> _Fall:
        """Where the light that this secret stops in one pose would have fallen."""
        at = np.array(lamp.at_m)
        pairs = unblocked(patches, facing(patches, at[None]), self.scenery.surfaces(pose), at[None])
        lit = pairs.columns[lamp.shines_on(patches.centres[pairs.columns])]
        points = patches.centres[lit]
        step = points - at
        distance = np.linalg.norm(step, axis=1)
        far = distance > 1e-3
        lit, points, step, distance = lit[far], points[far], step[far], distance[far]
        if not len(lit):
            return _Fall(np.zeros((0, 3)), np.zeros((0, 3)), np.zeros(0), np.zeros(0, dtype=np.intp))
        ahead = unit(step)
        facing_lamp = np.abs(np.einsum("ij,ij->i", ahead, patches.normals[lit]))
        solid_angle = patches.areas[lit] * facing_lamp / distance**2
        starts = points + LIFT_M * ahead
        surface, beyond, normals = self._first(starts, starts + REACH_M * ahead, pose)
        with np.errstate(divide="ignore", invalid="ignore"):
            down = (FLOOR_M - starts[:, 2]) / ahead[:, 2]
        floor = (surface < 0) & (ahead[:, 2] < 0) & (down > 0) & (down < REACH_M)
        beyond = np.where(floor, down, beyond)
        normals[floor] = [0.0, 0.0, 1.0]
        slant = np.einsum("ij,ij->i", normals, ahead)
        normals *= -np.sign(slant)[:, None]
        met = np.isfinite(beyond)
        ends = starts[met] + beyond[met, None] * ahead[met]
        areas = (solid_angle * (distance + beyond) ** 2 / np.maximum(np.abs(slant), LEAST_SLANT))[met]
        return _Fall(ends, normals[met], areas, surface[met])

    def _first(self, starts: FloatArray, ends: FloatArray, pose: int) -> tuple[IndexArray, FloatArray, FloatArray]:
        """What rays (n, 3) meet first but the secret itself: index of the cover (-1: none), distance m, unit normal."""
        every = zip(self.scenery.surfaces(pose), self.scenery.members(pose), strict=True)
        return nearest_mesh([self._but_itself(group, members) for group, members in every], starts, ends)

    def _but_itself(self, group: Blockers, members: list[Cover]) -> Blockers:
        """The same group of blockers without the secret, every other one in its place."""
        if all(cover.name != self.name for cover in members):
            return group
        if id(members) not in self._without:
            meshes = [Mesh.empty() if cover.name == self.name else cover.mesh for cover in members]
            self._without[id(members)] = Blockers(meshes, self.scenery.centre_m)
        return self._without[id(members)]

    def _sizes(self, fall: _Fall, pose: int) -> FloatArray:
        """How large (e,) sr each eye sees a shadow on one surface, from some points of it."""
        some = fall.only(_spread(fall.areas, SHADOW_POINTS))
        share = float(fall.areas.sum()) / len(some.areas)
        eyes = self.moment.eye_points()
        groups = [*self.scenery.before_poses, self.scenery.pose(pose)[1]]
        out = np.zeros(len(eyes))
        starts = some.points + LIFT_M * some.normals

        def work(part: slice) -> None:
            to_eye = eyes[part][:, None] - starts
            heights = np.einsum("eij,ij->ei", to_eye, some.normals)
            rows, columns = np.nonzero(heights > 0)
            for group in groups:
                free = ~group.blocked_pairs(starts, columns, eyes[part], rows)
                rows, columns = rows[free], columns[free]
            distance = np.linalg.norm(to_eye[rows, columns], axis=1)
            seen = share * heights[rows, columns] / distance**3
            out[part] = np.bincount(rows, seen, part.stop - part.start)

        over_eyes(len(eyes), len(starts), work)
        return out


def _spread(weights: FloatArray, most: int) -> IndexArray:
    """Indices of at most `most` entries, evenly by weight (n,)."""
    if len(weights) <= most:
        return np.arange(len(weights))
    total = np.cumsum(weights)
    return np.searchsorted(total, (np.arange(most) + 0.5) * total[-1] / most)
