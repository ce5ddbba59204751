"""Edges of what is visible, found by exact rays: from a direction that shows a spot back to where it begins to show."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.sight.fields import points_of
from sightline.sight.prepared import PreparedLine, PreparedSurface
from sightline.sight.rays import LIFT_M, BoolArray, IndexArray
from sightline.sight.scenery import Scenery

# The edge is found this exactly.
FINE_RAD = np.radians(0.1)
# Per eye: so many patches whose edge is followed.
EDGES_FOLLOWED = 5
# Bearings round the eye's own direction that are tried on either side of the one found last.
BEARINGS = np.radians(np.linspace(-60.0, 60.0, 25))


@dataclass
class Tasks:
    """Spots of the secret in a pose (n,), the eye each is about, and directions (n, 3) from which they may show.

    `toward` (n, 3) is the unit vector from the spot to the eye and `far_m` (n,) its length. `entry` (n,) is what the
    task was made from.
    """

    eye: IndexArray
    pose: IndexArray
    spot: IndexArray
    toward: FloatArray
    far_m: FloatArray
    direction: FloatArray
    entry: IndexArray

    def only(self, keep: BoolArray | IndexArray) -> Tasks:
        return Tasks(*(getattr(self, key)[keep] for key in self.__dataclass_fields__))


class Spots:
    """The patches or samples of a secret in all its poses, ready for single rays."""

    def __init__(self, secret_in: dict[int, PreparedSurface | PreparedLine], scenery: Scenery, moves: bool):
        self.ready, self.scenery, self.moves = secret_in, scenery, moves
        self.points = {pose: points_of(ready) for pose, ready in secret_in.items()}
        groups = [scenery.pose(i)[1] for i in range(len(scenery.moment.poses))]
        # A pose that adds nothing hides nothing.
        self.poses = groups if all(group.indices for group in groups) else [next(g for g in groups if not g.indices)]

    def reach(self, tasks: Tasks, direction: FloatArray) -> BoolArray:
        """Whether each spot shows to an eye moved to `direction` (n, 3) at its own distance."""
        out = np.zeros(len(tasks.eye), dtype=bool)
        for pose in np.unique(tasks.pose):
            some = np.flatnonzero(tasks.pose == pose)
            starts, normals, two_sided = _surface(self.ready[int(pose)], tasks.spot[some])
            # On a sharp edge a sample turns to whatever is before any of the faces that meet there.
            heights = np.einsum("kij,ij->ki", normals, direction[some])
            front = (heights > 0.0).any(axis=0)
            if two_sided:
                starts = starts + normals[0] * LIFT_M * np.where(front, 1.0, np.sign(heights[0]))[:, None]
                front = np.ones(len(some), dtype=bool)
            some, starts = some[front], starts[front]
            ends = starts + direction[some] * tasks.far_m[some, None]
            free = np.ones(len(some), dtype=bool)
            for group in (self.scenery.still, self.scenery.setting):
                left = np.flatnonzero(free)
                free[left] = ~group.blocked_here(starts[left], ends[left])
            # What stays in place shows if it does in any pose; what moves has a pose of its own.
            shown = np.zeros(len(some), dtype=bool)
            for group in self.poses if not self.moves else [self.scenery.pose(int(pose))[1]]:
                left = np.flatnonzero(free & ~shown)
                shown[left] = ~group.blocked_here(starts[left], ends[left])
            out[some] = shown
        return out


def _surface(ready: PreparedSurface | PreparedLine, spot: IndexArray) -> tuple[FloatArray, FloatArray, bool]:
    """Where rays of spots start, their normals (k, n, 3), and whether both sides count."""
    if isinstance(ready, PreparedSurface):
        patches = ready.patches
        starts = patches.centres[spot]
        if not patches.two_sided:
            starts = starts + patches.normals[spot] * LIFT_M
        return starts, patches.normals[None, spot], patches.two_sided
    line = ready.line
    return line.points[spot], line.sides[:, spot], line.two_sided


def first_shown(spots: Spots, tasks: Tasks) -> Tasks:
    """For every eye those of its tasks that show something, asked from the nearest on, until some do."""
    tasks = tasks.only(np.lexsort((_angles(tasks), tasks.eye)))
    shown: list[Tasks] = []
    size = 128
    while len(tasks.eye):
        now = np.arange(len(tasks.eye)) - np.searchsorted(tasks.eye, tasks.eye) < size
        some = tasks.only(now)
        some = some.only(spots.reach(some, some.direction))
        shown.append(some)
        tasks = tasks.only(~now & ~np.isin(tasks.eye, some.eye))
        size *= 2
    return joined(shown)


def followed(spots: Spots, tasks: Tasks, eyes: int) -> FloatArray:
    """The margins (e,) in rad: from the directions that do show something to the edge that is nearest; inf for none."""
    best = np.full(eyes, np.inf)
    if len(tasks.eye):
        tasks = tasks.only(spots.reach(tasks, tasks.direction))
    if len(tasks.eye):
        angle = _angles(tasks)
        tasks, angle = _nearest(tasks, angle, 4 * EDGES_FOLLOWED)
        angle = _along_the_arc(spots, tasks, angle)
        tasks, angle = _nearest(tasks, angle, EDGES_FOLLOWED)
        angle = _round_the_eye(spots, tasks, angle)
        np.minimum.at(best, tasks.eye, angle)
    return best


def _angles(tasks: Tasks) -> FloatArray:
    return np.asarray(np.arccos(np.clip(np.einsum("ij,ij->i", tasks.toward, tasks.direction), -1.0, 1.0)))


def _nearest(tasks: Tasks, angle: FloatArray, most: int) -> tuple[Tasks, FloatArray]:
    """For every eye the tasks with the smallest angles, one for each spot."""
    order = np.lexsort((angle, tasks.eye))
    keys = np.stack([tasks.eye, tasks.pose, tasks.spot], axis=1)[order]
    _, first = np.unique(keys, axis=0, return_index=True)
    order = order[np.sort(first)]
    order = order[np.lexsort((angle[order], tasks.eye[order]))]
    eye = tasks.eye[order]
    place = np.arange(len(eye)) - np.searchsorted(eye, eye)
    keep = order[place < most]
    return tasks.only(keep), angle[keep]


def _tilted(tasks: Tasks, angle: FloatArray, bearing: FloatArray | None = None) -> FloatArray:
    """Directions at `angle` (n,) from the eye's, towards the task's own direction turned by `bearing` (n,) about it."""
    cosine = np.einsum("ij,ij->i", tasks.direction, tasks.toward)
    side = tasks.direction - cosine[:, None] * tasks.toward
    size = np.linalg.norm(side, axis=1, keepdims=True)
    side = np.where(size > 1e-9, side / np.maximum(size, 1e-300), _across(tasks.toward))
    if bearing is not None:
        side = side * np.cos(bearing)[:, None] + np.cross(tasks.toward, side) * np.sin(bearing)[:, None]
    return np.asarray(np.cos(angle)[:, None] * tasks.toward + np.sin(angle)[:, None] * side)


def _across(vectors: FloatArray) -> FloatArray:
    """Some unit vector square to each."""
    helper = np.where(np.abs(vectors[:, 2:]) < 0.9, [[0.0, 0.0, 1.0]], [[1.0, 0.0, 0.0]])
    out = np.cross(vectors, helper)
    return np.asarray(out / np.linalg.norm(out, axis=1, keepdims=True))


def _along_the_arc(spots: Spots, tasks: Tasks, angle: FloatArray) -> FloatArray:
    """The angle at which each spot begins to show on the way from the eye to the direction in which it does."""
    low, high = np.zeros(len(angle)), angle.copy()
    while len(high) and (high - low).max() > FINE_RAD / 2:
        middle = (low + high) / 2
        seen = spots.reach(tasks, _tilted(tasks, middle))
        high, low = np.where(seen, middle, high), np.where(seen, low, middle)
    return high


def _round_the_eye(spots: Spots, tasks: Tasks, angle: FloatArray) -> FloatArray:
    """The smallest angle at which each spot shows on a bearing near the one known, which follows the edge inward."""
    low, high = np.zeros(len(angle)), angle.copy()
    bearing = np.zeros(len(angle))
    count = len(BEARINGS)
    many = tasks.only(np.repeat(np.arange(len(angle)), count))
    while (high - low).max() > FINE_RAD / 2:
        middle = (low + high) / 2
        turned = (bearing[:, None] + BEARINGS).ravel()
        seen = spots.reach(many, _tilted(many, np.repeat(middle, count), turned)).reshape(-1, count)
        any_seen = seen.any(axis=1)
        mean = np.where(any_seen, (seen * BEARINGS).sum(axis=1) / np.maximum(seen.sum(axis=1), 1), 0.0)
        bearing += mean
        high, low = np.where(any_seen, middle, high), np.where(any_seen, low, middle)
    return high


def no_tasks() -> Tasks:
    none = np.zeros(0, dtype=np.intp)
    return Tasks(none, none, none, np.zeros((0, 3)), np.zeros(0), np.zeros((0, 3)), none)


def joined(tasks: list[Tasks]) -> Tasks:
    if not tasks:
        return no_tasks()
    return Tasks(*(np.concatenate([getattr(t, key) for t in tasks]) for key in Tasks.__dataclass_fields__))
