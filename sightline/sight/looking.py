"""Looking at a moment: every eye, every secret, every pose and position of the head, the worst of them kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.heads import heads_of
from sightline.moment import Moment, MustSee, Pose, Secret
from sightline.sight.leak import leak_of
from sightline.sight.lines import Line, line_leak, line_on
from sightline.sight.noticing import EYES_APART_M, LEAN_M, sways
from sightline.sight.patches import Patches, outside_solids, patches_of
from sightline.sight.rays import Blockers, IndexArray, Solid

Tick = Callable[[int, int], None]
"""Called with (done, of) as the work goes on."""


@dataclass
class Sighting:
    """What the eyes (e,) see of one secret, each in its worst pose and head position.

    `pose` and `position` are indices into the moment's poses and the eye's five head positions.
    """

    secret: Secret
    patches: Patches | None
    area_m2: float
    count: int
    fraction: FloatArray
    solid_angle_sr: FloatArray
    missable_rad: FloatArray
    pose: IndexArray
    position: IndexArray
    length_m: FloatArray | None = None
    run_m: FloatArray | None = None
    run_arcmin: FloatArray | None = None
    width_arcmin: FloatArray | None = None
    buried: int = 0


@dataclass
class Showing:
    """What the eyes (e,) see of one must-see, the least over poses, other people's heads in the way.

    The fraction is of what would be seen with every cover but itself gone; `without_heads` leaves heads out.
    """

    name: str
    clear_fraction: FloatArray
    solid_angle_sr: FloatArray
    without_heads: FloatArray


@dataclass
class Looked:
    """The raw finding of one moment: sightings and showings by name, and the blockers used."""

    sightings: dict[str, Sighting] = field(default_factory=dict)
    showings: dict[str, Showing] = field(default_factory=dict)


class Scenery:
    """The blockers of a moment: what stands still, and what each pose adds, each built once."""

    def __init__(self, moment: Moment):
        self.moment = moment
        self.centre_m = moment.focus_m
        self.still_covers = moment.still.surfaces()
        self.still = Blockers([c.mesh for c in self.still_covers], self.centre_m)
        self._poses: dict[int, tuple[list[Cover], Blockers]] = {}
        self._solids: dict[int, tuple[Mesh, Solid | None]] = {}

    def pose(self, index: int) -> tuple[list[Cover], Blockers]:
        if index not in self._poses:
            covers = self.moment.poses[index].surfaces()
            self._poses[index] = (covers, Blockers([c.mesh for c in covers], self.centre_m))
        return self._poses[index]

    def solid(self, mesh: Mesh) -> Solid | None:
        """The mesh ready to be asked what is inside it; None when it encloses nothing."""
        key = id(mesh)
        if key not in self._solids:
            self._solids[key] = (mesh, Solid(mesh, self.centre_m) if mesh.closed else None)
        return self._solids[key][1]

    @cached_property
    def heads(self) -> Blockers:
        """The heads of all people in the audience; rays stop short of the one that looks."""
        return Blockers(heads_of(self.moment.eyes), self.centre_m, short_m=0.30)

    def surfaces(self, index: int) -> list[Blockers]:
        """All that blocks in one pose, heads left out."""
        return [self.still, self.pose(index)[1]]

    def groups(self, index: int) -> list[Blockers]:
        """All that blocks a secret in one pose: heads only where the scene says that they count."""
        return [*self.surfaces(index), self.heads] if self.moment.heads_count else self.surfaces(index)

    def covers(self, index: int) -> list[Cover]:
        return [*self.still_covers, *self.pose(index)[0]]


def head_positions(moment: Moment, sway: bool) -> FloatArray:
    """Where each eye may be (5, e, 3): as given; an eye and a lean to each side; leaned up and down.

    Eyes that do not sway (cameras, bare points) have the same place five times.
    """
    at = moment.eye_points()
    to_focus = moment.focus_m - at
    flat = np.hypot(to_focus[:, 0], to_focus[:, 1])
    right = np.zeros_like(at)
    right[:, 0], right[:, 1] = 1.0, 0.0
    far = flat > 1e-6
    right[far, 0] = to_focus[far, 1] / flat[far]
    right[far, 1] = -to_focus[far, 0] / flat[far]
    moving = np.array([sway and sways(eye.kind) for eye in moment.eyes], dtype=float)[:, None]
    side, up = (EYES_APART_M / 2 + LEAN_M) * right * moving, np.array([0, 0, LEAN_M]) * moving
    return np.stack([at, at + side, at - side, at + up, at - up])


def look(moment: Moment, sway: bool = True, tick: Tick | None = None) -> Looked:
    """See every secret and must-see of the moment from every eye. Raises SightlineError for eyes inside a body."""
    scenery = Scenery(moment)
    places = head_positions(moment, sway)
    if not any(sway and sways(eye.kind) for eye in moment.eyes):
        places = places[:1]
    _refuse_buried_eyes(moment, scenery)
    out = Looked()
    poses = moment.poses
    names = moment.secret_names()
    steps, done = max(1, len(names) * len(poses) + len(moment.must_see_names())), 0
    for name in names:
        sighting: Sighting | None = None
        prepared: Prepared | None = None
        for index, pose in enumerate(poses):
            secret, moving = _named(name, pose, moment.still)
            if secret is None:
                continue
            if prepared is None or moving:
                prepared = Prepared(secret, scenery, index)
            sighting = _worst(sighting, prepared.see(scenery.groups(index), places, index))
            done += 1
            if tick:
                tick(done, steps)
        if sighting is not None:
            out.sightings[name] = _closer(sighting, name, moment, scenery, places)
    for name in moment.must_see_names():
        out.showings[name] = _show(name, moment, scenery, places[0])
        done += 1
        if tick:
            tick(done, steps)
    return out


def _named(name: str, pose: Pose, still: Pose) -> tuple[Secret | None, bool]:
    for secret in pose.secrets:
        if secret.name == name:
            return secret, True
    return next((s for s in still.secrets if s.name == name), None), False


class Prepared:
    """A secret cut into patches or samples, ready to be looked at."""

    def __init__(self, secret: Secret, scenery: Scenery, pose: int):
        self.secret = secret
        self.line: Line | None = None
        self.patches: Patches | None = None
        if secret.path is not None:
            on = next((c.mesh for c in scenery.covers(pose) if c.name == secret.on), None)
            self.line = line_on(secret.path, on, secret.width_m)
            return
        spacing = _spacing(secret, scenery.moment.detail_m)
        cut = patches_of(secret.mesh, spacing, secret.two_sided)
        self.area_m2 = cut.area_m2
        self.reach_m = float(cut.radius_m.max()) * 2.0 if cut.count else 0.0
        others = [c.mesh for c in scenery.covers(pose) if c.name != secret.name and _meets(c.mesh, secret.mesh)]
        self.patches = outside_solids(cut, [solid for mesh in others if (solid := scenery.solid(mesh))])

    def see(self, groups: list[Blockers], places: FloatArray, pose: int) -> Sighting:
        """The worst of the head positions for every eye."""
        worst: Sighting | None = None
        for position, eyes in enumerate(places):
            here = np.full(len(eyes), position)
            if self.line is not None:
                seen = line_leak(self.line, groups, eyes)
                share = seen.length_m / max(self.line.length_m, 1e-300)
                missable = self.line.longest_m / _nearest(eyes, self.line.points)
                sighting = Sighting(
                    self.secret, None, self.line.length_m * self.line.width_m, len(self.line.points), share,
                    seen.solid_angle_sr, missable, np.full(len(eyes), pose), here,
                    seen.length_m, seen.run_m, seen.run_arcmin, seen.width_arcmin,
                )  # fmt: skip
            else:
                assert self.patches is not None
                leak = leak_of(self.patches, groups, eyes)
                # A surface that turns its back on the eye altogether can hide nothing between its samples.
                missable = np.where(leak.turned, self.reach_m / _nearest(eyes, self.patches.centres), 0.0)
                sighting = Sighting(
                    self.secret, self.patches, self.area_m2, self.patches.count, leak.area_m2 / max(self.area_m2, 1e-300),
                    leak.solid_angle_sr, missable, np.full(len(eyes), pose), here, buried=self.patches.dropped,
                )  # fmt: skip
            worst = _worst(worst, sighting)
        assert worst is not None
        return worst


def _spacing(secret: Secret, detail_m: float) -> float:
    """The longest patch edge: the moment's detail, finer where the secret itself is small."""
    return min(detail_m, max(float(np.sqrt(secret.mesh.area_m2)) / 5.0, 1e-4))


def _nearest(eyes: FloatArray, points: FloatArray) -> FloatArray:
    """Distance (e,) from each eye to the nearest of the points, from below: to their bounding box."""
    if not len(points):
        return np.full(len(eyes), np.inf)
    low, high = points.min(axis=0), points.max(axis=0)
    gap = np.maximum(np.maximum(low - eyes, eyes - high), 0.0)
    return np.maximum(np.linalg.norm(gap, axis=1), 1e-3)


def _meets(a: Mesh, b: Mesh) -> bool:
    return bool(np.all(a.bounds[0] < b.bounds[1]) and np.all(b.bounds[0] < a.bounds[1]))


def _worst(one: Sighting | None, other: Sighting) -> Sighting:
    """Per eye the sighting that shows more; the earlier one on a tie."""
    if one is None:
        return other
    if one.run_arcmin is not None and other.run_arcmin is not None:
        longer, same = other.run_arcmin > one.run_arcmin, other.run_arcmin == one.run_arcmin
        worse = longer | (same & (other.solid_angle_sr > one.solid_angle_sr))
    else:
        worse = other.solid_angle_sr > one.solid_angle_sr
    for key in ("fraction", "solid_angle_sr", "pose", "position", "length_m", "run_m", "run_arcmin", "width_arcmin"):
        a, b = getattr(one, key), getattr(other, key)
        if a is not None:
            setattr(one, key, np.where(worse, b, a))
    one.missable_rad = np.maximum(one.missable_rad, other.missable_rad)
    one.count, one.buried = max(one.count, other.count), max(one.buried, other.buried)
    return one


def _closer(sighting: Sighting, name: str, moment: Moment, scenery: Scenery, places: FloatArray) -> Sighting:
    """Split the patches beside visible ones, for every eye in its own worst pose and position."""
    if sighting.patches is None:
        return sighting
    seen = sighting.solid_angle_sr > 0
    for index in np.unique(sighting.pose[seen]):
        secret, _ = _named(name, moment.poses[index], moment.still)
        if secret is None:
            continue
        prepared = Prepared(secret, scenery, int(index))
        assert prepared.patches is not None
        eyes = np.flatnonzero(seen & (sighting.pose == index))
        points = places[sighting.position[eyes], eyes]
        finer = leak_of(prepared.patches, scenery.groups(int(index)), points, split=True)
        sighting.solid_angle_sr[eyes] = np.maximum(sighting.solid_angle_sr[eyes], finer.solid_angle_sr)
    return sighting


def _show(name: str, moment: Moment, scenery: Scenery, eyes: FloatArray) -> Showing:
    """The least clear view of a must-see over the poses that show it."""
    clear, omega, bare = np.full(len(eyes), np.inf), np.full(len(eyes), np.inf), np.full(len(eyes), np.inf)
    for index, mesh in _must_see_meshes(name, moment):
        patches = patches_of(mesh, moment.detail_m, two_sided=not mesh.closed)
        itself = leak_of(patches, [Blockers([mesh], scenery.centre_m)], eyes).solid_angle_sr
        without = leak_of(patches, scenery.surfaces(index), eyes).solid_angle_sr
        through = leak_of(patches, [*scenery.surfaces(index), scenery.heads], eyes).solid_angle_sr
        share, alone = (np.divide(x, itself, out=np.zeros_like(x), where=itself > 0) for x in (through, without))
        less = share < clear
        clear, omega = np.where(less, share, clear), np.where(less, through, omega)
        bare = np.minimum(bare, alone)
    return Showing(name, clear, omega, bare)


def _must_see_meshes(name: str, moment: Moment) -> Iterable[tuple[int, Mesh]]:
    seen: list[bytes] = []
    for index, pose in enumerate(moment.poses):
        for thing in (*pose.must_see, *moment.still.must_see):
            key = thing.mesh.vertices.tobytes()
            if thing.name == name and key not in seen:
                seen.append(key)
                yield index, thing.mesh


def _refuse_buried_eyes(moment: Moment, scenery: Scenery) -> None:
    points = moment.eye_points()
    for cover in scenery.still_covers:
        solid = scenery.solid(cover.mesh)
        if solid is not None:
            buried = np.flatnonzero(solid.holds(points))
            if len(buried):
                names = ", ".join(moment.eyes[i].id for i in buried[:5])
                more = f" and {len(buried) - 5} more" if len(buried) > 5 else ""
                raise SightlineError(f"These eyes are inside '{cover.name}': {names}{more}. Move the performer or the eyes.")


__all__ = ["Looked", "MustSee", "Scenery", "Showing", "Sighting", "head_positions", "look"]
