"""Looking at a moment: every eye, every secret, every pose and position of the head, the worst of them kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.house.mirrors import Mirror
from sightline.moment import Moment, Secret
from sightline.sight import mirrors
from sightline.sight.fields import Fields
from sightline.sight.leak import eye_slices, facing, over_eyes, summed, unblocked
from sightline.sight.noticing import HEAD_REACH_M, LEAN_M, sways
from sightline.sight.patches import patches_of
from sightline.sight.prepared import PreparedLine, PreparedSurface, Seen, cut_up
from sightline.sight.rays import Blockers, BoolArray, on_all_cores
from sightline.sight.scenery import Scenery
from sightline.sight.shields import Clusters
from sightline.sight.slits import SPACING_M, open_slits

Tick = Callable[[int, int], None]
"""Called with (done, of) as the work goes on."""

FEW_PLACES = 400
# A must-see is judged on so many patches at most: its share in view needs no finer ones.
MUST_SEE_PATCHES = 600


@dataclass
class Sighting:
    """What the eyes see of one secret at worst. `ready` is the secret cut up, in each pose in which it differs."""

    secret: Secret
    ready: dict[int, PreparedSurface | PreparedLine]
    seen: Seen
    missable_rad: FloatArray
    count: int
    buried: int

    @property
    def first(self) -> PreparedSurface | PreparedLine:
        return next(iter(self.ready.values()))

    def in_pose(self, pose: int) -> PreparedSurface | PreparedLine:
        """The secret cut up as it is in a pose."""
        return self.ready.get(pose, self.first)

    @property
    def fraction(self) -> FloatArray:
        return self.seen.area_m2 / max(self.first.area_m2, 1e-300)


@dataclass
class Showing:
    """What the eyes (e,) see of one must-see at rest, other people's heads in the way.

    The fraction is of what would be seen with every cover but itself gone; `without_heads` leaves heads out.
    """

    clear_fraction: FloatArray
    solid_angle_sr: FloatArray
    without_heads: FloatArray


@dataclass
class Looked:
    """The raw finding of one moment: sightings and showings by name, with the blockers used."""

    scenery: Scenery
    sightings: dict[str, Sighting] = field(default_factory=dict)
    showings: dict[str, Showing] = field(default_factory=dict)


def head_positions(moment: Moment, sway: bool) -> FloatArray:
    """Where each eye may be (5, e, 3): as given; an eye and a lean to each side; leaned up and down.

    Without any eye that sways (cameras and bare points do not) there is one position (1, e, 3).
    """
    at = moment.eye_points()
    moving = np.array([sway and sways(eye.kind) for eye in moment.eyes], dtype=float)[:, None]
    if not moving.any():
        return at[None]
    to_focus = moment.focus_m - at
    flat = np.hypot(to_focus[:, 0], to_focus[:, 1])
    right = np.tile([1.0, 0.0, 0.0], (len(at), 1))
    far = flat > 1e-6
    right[far, :2] = np.column_stack([to_focus[far, 1], -to_focus[far, 0]]) / flat[far, None]
    side, up = HEAD_REACH_M * right * moving, np.array([0, 0, LEAN_M]) * moving
    return np.stack([at, at + side, at - side, at + up, at - up])


def look(
    moment: Moment,
    sway: bool = True,
    tick: Tick | None = None,
    fields: Fields | None = None,
    must_sees: bool = True,
    known: Scenery | None = None,
    brief: bool = False,
) -> Looked:
    """See every secret and must-see of the moment from every eye.

    `fields`: of the same act, in the frame of the moment; what they settle as hidden costs no ray. `known`: the scenery of the same
    act, made before. `brief`: without the smallest size that could be missed, which only a report tells. Without `must_sees`
    only secrets are looked at. Raises Misfit for eyes inside a body, with the path ("eyes", ID)."""
    scenery = Scenery(moment, fields.scenery if fields else known)
    _refuse_buried_eyes(moment, scenery)
    mirrors.refuse_buried(moment.mirrors, scenery)
    places = head_positions(moment, sway)
    guide = Guide(Clusters.over(places), places, fields, brief)
    out = Looked(scenery)
    still = {secret.name: secret for secret in moment.still.secrets}
    names, musts = moment.secret_names(), moment.must_see_names() if must_sees else []
    # One step per secret, but one per pose for those that move.
    steps = len(musts) + sum(1 if name in still else len(moment.poses) for name in names)
    done = 0

    def step() -> None:
        nonlocal done
        done += 1
        if tick:
            tick(done, steps)

    for name in names:
        if name in still:
            sighting = _see_still(still[name], scenery, places, guide)
            step()
        else:
            sighting = _see_moving(name, scenery, places, guide, step)
        if moment.slits and not brief:
            _look_through_slits(sighting, still.get(name), scenery, places)
        out.sightings[name] = sighting
    for name in musts:
        out.showings[name] = _show(name, moment, scenery, places[0])
        step()
    return out


@dataclass(frozen=True)
class Guide:
    """What spares rays: direction fields where there are some, or else the large flat faces of the moment."""

    clusters: Clusters
    places: FloatArray
    fields: Fields | None
    brief: bool = False

    def missable_rad(self, ready: PreparedSurface | PreparedLine, hung: tuple[Mirror, ...]) -> FloatArray:
        """The widest disc (rad) that can lie between samples from any position of the head; nothing where nobody is told."""
        if self.brief:
            return np.zeros(self.places.shape[1])
        return np.asarray(np.max([mirrors.missable_rad(ready, hung, at) for at in self.places], axis=0))

    @cached_property
    def stray_m(self) -> float:
        """The farthest that a head is from its eye."""
        return float(np.linalg.norm(self.places - self.places[0], axis=2).max(initial=0.0))

    @cached_property
    def near(self) -> BoolArray:
        """Which eyes no field serves."""
        assert self.fields is not None
        return self.fields.near(self.places[0], self.stray_m)

    def prepare(
        self, ready: PreparedSurface | PreparedLine, secret: Secret, scenery: Scenery, pose: int, moves: bool
    ) -> None:
        if self.fields is None:
            # For a few eyes proofs cost more than the rays that they spare.
            few = self.places.shape[0] * self.places.shape[1] < FEW_PLACES
            ready.shield(scenery, pose, None if few else self.clusters)
        else:
            field = self.fields.of(secret, pose, moves)
            ready.settle(field, field.unsettled(self.places[0], self.stray_m, self.near))


def _see_still(secret: Secret, scenery: Scenery, places: FloatArray, guide: Guide) -> Sighting:
    """A secret that stays where it is: what stands still is asked once, then what each pose adds."""
    ready = scenery.prepared(secret, 0)
    guide.prepare(ready, secret, scenery, 0, moves=False)
    eyes = places.shape[1]
    seen = Seen.nothing(eyes)
    groups = [scenery.pose(i)[1] for i in range(len(scenery.moment.poses))]
    adds = [i for i, group in enumerate(groups) if group.indices] or [0]
    hung = scenery.moment.mirrors

    def work(part: slice) -> Seen:
        worst = Seen.nothing(part.stop - part.start)
        for position, at in enumerate(places):
            started: Any = ready.start(at[part], scenery.before_poses, part)
            for pose in adds:
                worst.take(slice(None), ready.finish(started, at[part], [groups[pose]], pose, position))
            added = [(pose, groups[pose]) for pose in adds]
            mirrors.take_reflected(worst, ready, hung, at[part], scenery.before_poses, added, position)
        return worst

    parts = eye_slices(eyes, ready.count)
    for part, found in zip(parts, on_all_cores(parts, work), strict=True):
        seen.take(part, found)
    _look_closer(secret.name, ready, seen, scenery, places)
    missable = guide.missable_rad(ready, hung)
    return Sighting(secret, {0: ready}, seen, missable, ready.count, ready.buried)


def _see_moving(name: str, scenery: Scenery, places: FloatArray, guide: Guide, step: Callable[[], None]) -> Sighting:
    """A secret that is somewhere else in every pose, all poses at once on all cores."""
    poses = scenery.moment.poses
    eyes = places.shape[1]
    having = [(i, s) for i, pose in enumerate(poses) for s in pose.secrets if s.name == name]
    ready: dict[int, PreparedSurface | PreparedLine] = {}
    hung = scenery.moment.mirrors
    for index, secret in having:
        scenery.pose(index)
        ready[index] = scenery.prepared(secret, index)
        guide.prepare(ready[index], secret, scenery, index, moves=True)

    def work(index: int) -> Seen:
        worst = Seen.nothing(eyes)
        groups = [*scenery.before_poses, scenery.pose(index)[1]]
        for part in eye_slices(eyes, ready[index].count):
            here = Seen.nothing(part.stop - part.start)
            for position, at in enumerate(places):
                started: Any = ready[index].start(at[part], groups, part)
                here.take(slice(None), ready[index].finish(started, at[part], [], index, position))
                added = [(index, scenery.pose(index)[1])]
                mirrors.take_reflected(here, ready[index], hung, at[part], scenery.before_poses, added, position)
            worst.take(part, here)
        step()
        return worst

    seen = Seen.nothing(eyes)
    for found in on_all_cores([index for index, _ in having], work):
        seen.take(slice(None), found)
    missable = np.max([guide.missable_rad(ready[i], hung) for i, _ in having], axis=0)
    for index, _ in having:
        _look_closer(name, ready[index], seen, scenery, places, only=index)
    count, buried = (max(getattr(r, key) for r in ready.values()) for key in ("count", "buried"))
    return Sighting(having[0][1], ready, seen, missable, count, buried)


def _look_closer(
    name: str,
    ready: PreparedSurface | PreparedLine,
    seen: Seen,
    scenery: Scenery,
    places: FloatArray,
    only: int | None = None,
) -> None:
    """Split the patches beside visible ones, for every eye in its own worst pose and position."""
    if not isinstance(ready, PreparedSurface):
        return
    shown = seen.solid_angle_sr > 0
    for pose in np.unique(seen.pose[shown]) if only is None else [only]:
        groups = [*scenery.before_poses, scenery.pose(int(pose))[1]]
        for via in np.unique(seen.via[shown & (seen.pose == pose)]):
            eyes = np.flatnonzero(shown & (seen.pose == pose) & (seen.via == via))
            at = places[seen.position[eyes], eyes]
            if via < 0:
                finer = ready.closer(at, eyes, groups)
            else:
                mirror = scenery.moment.mirrors[via]
                finer = ready.closer(mirror.reflected(at), None, [mirrors.TwoLegs(mirror, groups)])
            seen.solid_angle_sr[eyes] = np.maximum(seen.solid_angle_sr[eyes], finer)


def _look_through_slits(sighting: Sighting, still: Secret | None, scenery: Scenery, places: FloatArray) -> None:
    """For the eyes that see nothing of a surface: whether they do between two covers. In mirrors nobody looks for slits."""
    seen, name = sighting.seen, sighting.secret.name
    if sighting.secret.path is not None:
        return
    spacing = max(SPACING_M, scenery.moment.detail_m)
    patches = cut_up(still, scenery, 0, spacing)[1] if still else None
    for index, pose in enumerate(scenery.moment.poses):
        hidden = np.flatnonzero(seen.rank <= 0)
        secret = still or next((s for s in pose.secrets if s.name == name), None)
        if secret is None or not len(hidden):
            continue
        if still is None or patches is None:
            patches = cut_up(secret, scenery, index, spacing)[1]
        groups = [*scenery.before_poses, scenery.pose(index)[1]]
        for position, at in enumerate(places):
            found = Seen.nothing(len(hidden))
            found.area_m2, found.solid_angle_sr = open_slits(patches, at[hidden], groups)
            found.rank = found.solid_angle_sr
            found.pose[:], found.position[:] = index, position
            seen.take(hidden, found)


def _show(name: str, moment: Moment, scenery: Scenery, eyes: FloatArray) -> Showing:
    """How clear a must-see is in the first pose: at rest, for a puppet may duck out of sight on purpose."""
    thing = next(m for m in (*moment.poses[0].must_see, *moment.still.must_see) if m.name == name)
    patches = patches_of(thing.mesh, moment.detail_m, two_sided=not thing.mesh.closed).thinned(MUST_SEE_PATCHES)
    itself, without, through = (np.zeros(len(eyes)) for _ in range(3))
    alone = Blockers([thing.mesh], scenery.centre_m)

    def work(part: slice) -> None:
        # Each step only asks about what the one before left: what it hides from, all else, then heads.
        some, pairs = eyes[part], facing(patches, eyes[part])
        for out, groups in ((itself, [alone]), (without, scenery.surfaces(0)), (through, [scenery.heads])):
            pairs = unblocked(patches, pairs, groups, some)
            out[part] = summed(patches, some, pairs)[0]

    over_eyes(len(eyes), patches.count, work)
    share, bare = (np.divide(x, itself, out=np.zeros_like(x), where=itself > 0) for x in (through, without))
    return Showing(share, through, bare)


def _refuse_buried_eyes(moment: Moment, scenery: Scenery) -> None:
    points = moment.eye_points()
    for cover in (*scenery.still_covers, *scenery.moment.setting):
        solid = scenery.solid(cover.mesh)
        if solid is not None:
            buried = np.flatnonzero(solid.holds(points))
            if len(buried):
                names = ", ".join(moment.eyes[i].id for i in buried[:5])
                more = f" and {len(buried) - 5} more" if len(buried) > 5 else ""
                raise Misfit(
                    ("eyes", moment.eyes[buried[0]].id),
                    f"These eyes are inside '{cover.name}': {names}{more}. Move the performer or the eyes.",
                )
