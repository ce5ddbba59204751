"""Margins: how far an eye that sees nothing of a secret is from seeing some of it.

The eye moves on the sphere about each patch at constant distance while everything else is held; the margin is the
smallest angle to a direction from which that patch is visible, least over patches and poses. Direction fields say
where to look, exact rays find the edge to a tenth of a degree.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sightline.geometry.frame import FloatArray, unit
from sightline.moment import Moment, Secret
from sightline.sight import octahedral
from sightline.sight.edges import Spots, Tasks, first_shown, followed, joined, no_tasks
from sightline.sight.fields import Field, Fields
from sightline.sight.leak import expanded
from sightline.sight.prepared import PreparedLine, PreparedSurface
from sightline.sight.rays import BoolArray, IndexArray, on_all_cores
from sightline.sight.scenery import Scenery

NOTHING_UNCOVERS_DEG = 180.0
# Per eye: clusters looked at, those asked by rays, and directions of each.
CLUSTERS_SORTED, CLUSTERS_ASKED, DIRECTIONS_ASKED = 16, 6, 3
# And so many peepholes of each pose; many more where nothing else showed.
PEEPHOLES_ASKED, MOST_PEEPHOLES = 24, 240
# An eye that no field serves is asked about directly, with at most so many rays for all patches and poses.
DIRECT_SIDE, MOST_DIRECT_RAYS, MOST_DIRECT_EYES = 32, 6_000_000, 24
EYES_AT_A_TIME = 64


def margins(moment: Moment, hidden: dict[str, BoolArray], fields: Fields) -> dict[str, FloatArray]:
    """Margin in degrees per secret and eye (e,): 0 where it is not hidden, NaN where it was too much to find.

    `hidden` (e,) says per secret which eyes see nothing of it. `fields` are those of the act in the moment's frame.
    """
    scenery = Scenery(moment, fields.scenery)
    out = {}
    still = {secret.name: secret for secret in moment.still.secrets}
    for name in moment.secret_names():
        having = {
            i: secret for i, pose in enumerate(moment.poses) for secret in pose.secrets if secret.name == name
        } or {0: still[name]}
        ready = {i: scenery.prepared(secret, i) for i, secret in having.items()}
        secret = next(iter(having.values()))
        out[name] = _margin(secret, ready, scenery, hidden[name], fields, moves=name not in still)
    return out


def _margin(
    secret: Secret,
    ready: dict[int, PreparedSurface | PreparedLine],
    scenery: Scenery,
    hidden: BoolArray,
    fields: Fields,
    moves: bool,
) -> FloatArray:
    eyes = scenery.moment.eye_points()
    out = np.zeros(len(eyes))
    todo = np.flatnonzero(hidden)
    spots = Spots(ready, scenery, moves)
    near = fields.near(eyes, 0.0)
    if near[todo].sum() > MOST_DIRECT_EYES:
        out[todo[near[todo]]] = np.nan
        todo = todo[~near[todo]]

    def work(part: IndexArray) -> FloatArray:
        if not near[part[0]]:
            tasks, at_least = _from_fields(secret, spots, fields, moves, eyes[part], ready)
            found = followed(spots, tasks, len(part))
            again = np.flatnonzero(np.isinf(found) & (at_least < np.pi))
            if len(again):
                wide, at_least[again] = _from_fields(
                    secret, spots, fields, moves, eyes[part[again]], ready, thorough=True
                )
                shown = first_shown(spots, replace(wide, eye=again[wide.eye]))
                found = np.minimum(found, followed(spots, shown, len(part)))
        else:
            tasks, at_least = _directly(spots, eyes[part])
            found = followed(spots, tasks, len(part))
        # What the act shows but scenery hides from every direction asked: the act's own bound, on the low side.
        return np.degrees(np.where(np.isinf(found), at_least, found))

    parts = [
        group[i : i + EYES_AT_A_TIME if side else i + 1]
        for side, group in ((1, todo[~near[todo]]), (0, todo[near[todo]]))
        for i in range(0, len(group), EYES_AT_A_TIME if side else 1)
    ]
    if len(todo) and not near[todo].all():
        # Made beforehand: making them takes all cores itself.
        for pose in ready:
            fields.of(_secret_in(secret, scenery, pose), pose, moves)
    for part, found in zip(parts, on_all_cores(parts, work), strict=True):
        out[part] = found
    return out


def _secret_in(secret: Secret, scenery: Scenery, pose: int) -> Secret:
    """The secret as it is in a pose."""
    return next((s for s in scenery.moment.poses[pose].secrets if s.name == secret.name), secret)


@dataclass(frozen=True)
class _Entries:
    """Places to ask (n,): of which eye, field (its place in the list), cluster and cell, with the cosine of the angle
    from the eye's own direction to the cell's."""

    eye: IndexArray
    field: IndexArray
    cluster: IndexArray
    cell: IndexArray
    cosine: FloatArray

    def only(self, keep: BoolArray | IndexArray) -> _Entries:
        return _Entries(*(getattr(self, key)[keep] for key in self.__dataclass_fields__))

    @staticmethod
    def joined(parts: list[_Entries]) -> _Entries:
        return _Entries(*(np.concatenate([getattr(p, key) for p in parts]) for key in _Entries.__dataclass_fields__))


def _from_fields(
    secret: Secret,
    spots: Spots,
    fields: Fields,
    moves: bool,
    eyes: FloatArray,
    ready: dict[int, PreparedSurface | PreparedLine],
    thorough: bool = False,
) -> tuple[Tasks, FloatArray]:
    """What to ask for eyes (e, 3), all served by the fields, and the margin (e,) in rad that no ray need confirm.

    `thorough`: many directions of every patch, for eyes of which the nearest directions showed nothing.
    """
    poses = list(ready)
    made = [fields.of(_secret_in(secret, spots.scenery, pose), pose, moves) for pose in poses]
    sizes = [len(field.centres) for field in made]
    at_least = np.full(len(eyes), np.pi)
    if not sum(sizes):
        return no_tasks(), at_least
    rings = np.concatenate(
        [f.rings[np.arange(len(f.centres)), f.cells(eyes)[0]] for f in made if len(f.centres)], axis=1
    )
    which = np.repeat(np.arange(len(made)), sizes)
    inside = np.concatenate([np.arange(size) for size in sizes])
    most = min(CLUSTERS_SORTED, rings.shape[1])
    best = np.argpartition(rings, most - 1, axis=1)[:, :most]
    parts = []
    for flat in np.unique(best):
        who = np.flatnonzero((best == flat).any(axis=1))
        field, k = made[which[flat]], int(inside[flat])
        lit = field.lit(k)
        if not len(lit):
            continue
        toward = eyes[who] - field.centres[k]
        far = np.linalg.norm(toward, axis=1)
        cosine = octahedral.centre_directions(field.side)[lit] @ (toward / far[:, None]).T
        order = np.argsort(-cosine, axis=0, kind="stable")
        # Half a cell is lost between its middle and its rim, and what the width of a cluster does to directions.
        slack = np.sqrt(4 * np.pi) / field.side + field.reach_m[k] / far
        nearest = np.arccos(np.clip(np.take_along_axis(cosine, order[:1], axis=0)[0], -1, 1))
        at_least[who] = np.minimum(at_least[who], np.maximum(0.0, nearest - slack))
        some = order[_thinned(len(lit))[:: 3 if thorough else 1]]
        count = some.size
        parts.append(
            _Entries(
                np.tile(who, len(some)), np.full(count, which[flat]), np.full(count, k), lit[some].ravel(),
                np.take_along_axis(cosine, some, axis=0).ravel(),
            )
        )  # fmt: skip
    asked: list[Tasks] = []
    if parts:
        entries = _Entries.joined(parts)
        if not thorough:
            entries = _worth_asking(spots, made, poses, entries, eyes)
        asked.append(_tasks(spots, made, poses, entries, eyes, corners=not thorough))
    for field, pose in zip(made, poses, strict=True):
        tasks, left = _peeping(spots, field, pose, eyes, MOST_PEEPHOLES if thorough else PEEPHOLES_ASKED)
        asked.append(tasks)
        at_least = np.minimum(at_least, left)
    return joined(asked), at_least


def _thinned(count: int) -> IndexArray:
    """The first so many, then fewer and fewer: scenery may hide a whole side on which the act would show."""
    steps = np.concatenate([np.arange(16), np.arange(16, 144, 4), np.arange(144, 4096, 32)])
    return np.asarray(steps[steps < count])


def _worth_asking(spots: Spots, made: list[Field], poses: list[int], entries: _Entries, eyes: FloatArray) -> _Entries:
    """Of every cluster the nearest cells from which a first ray shows something, and its nearest cell in any case."""
    asked = _tasks(spots, made, poses, entries, eyes, corners=False, one_of_each=True)
    shown = np.zeros(len(entries.eye), dtype=bool)
    shown[asked.entry] = spots.reach(asked, asked.direction)
    order = np.lexsort((-entries.cosine, entries.cluster, entries.field, entries.eye))
    entries, shown = entries.only(order), shown[order]
    group = np.concatenate([[0], np.cumsum(_changes(entries.eye, entries.field, entries.cluster))])
    first = np.searchsorted(group, group)
    # How many of the group before this one show something.
    before = np.cumsum(shown) - shown
    rank = before - before[first]
    keep = (shown & (rank < DIRECTIONS_ASKED)) | (np.arange(len(group)) == first)
    entries = entries.only(keep)
    entries = entries.only(np.lexsort((-entries.cosine, entries.eye)))
    place = np.arange(len(entries.eye)) - np.searchsorted(entries.eye, entries.eye)
    return entries.only(place < 2 * CLUSTERS_ASKED)


def _changes(*keys: IndexArray) -> BoolArray:
    """Where any of the sorted keys (n,) differs from the one before (n - 1,)."""
    return np.asarray(np.any([key[1:] != key[:-1] for key in keys], axis=0))


def _tasks(
    spots: Spots, made: list[Field], poses: list[int], entries: _Entries, eyes: FloatArray, corners: bool,
    one_of_each: bool = False,
) -> Tasks:  # fmt: skip
    """The patches of each entry's cluster (or only its middle one), towards its cell's middle, or all its samples."""
    out: list[Tasks] = []
    for w in np.unique(entries.field):
        field, pose = made[w], poses[w]
        mine = np.flatnonzero(entries.field == w)
        order, starts = field.members
        if one_of_each:
            clusters = entries.cluster[mine]
            rows, spot = mine, order[(starts[clusters] + starts[clusters + 1]) // 2]
        else:
            rows, spot, _ = expanded(mine, entries.cluster[mine], order, starts)
            if not corners:
                # Of many directions every other patch will do: neighbours show much the same.
                rows, spot = rows[::2], spot[::2]
        eye = entries.eye[rows]
        step = eyes[eye] - spots.points[pose][spot]
        far = np.linalg.norm(step, axis=1)
        samples = octahedral.sample_table(field.side)[entries.cell[rows]][:, : 5 if corners else 1]
        count = samples.shape[1]
        out.append(
            Tasks(
                np.repeat(eye, count), np.full(len(rows) * count, pose), np.repeat(spot, count),
                np.repeat(step / far[:, None], count, axis=0), np.repeat(far, count), samples.reshape(-1, 3),
                np.repeat(rows, count),
            )
        )  # fmt: skip
    return joined(out)


def _peeping(spots: Spots, field: Field, pose: int, eyes: FloatArray, most: int) -> tuple[Tasks, FloatArray]:
    """For every eye the peepholes nearest to its direction, for all patches beside; and how far the others are (e,), rad."""
    others = np.full(len(eyes), np.pi)
    count = min(most, len(field.peep_of))
    if not count:
        return no_tasks(), others
    own = spots.points[pose][field.peep_of]
    step = eyes[:, None] - own
    cosine = np.einsum("enx,nx->en", unit(step), unit(field.peep_at_m - own))
    order = np.argpartition(-cosine, count - 1, axis=1)
    if count < len(field.peep_of):
        # What the width of a cluster does to directions is lost.
        slack = field.reach_m.max() / np.linalg.norm(step, axis=2).min(axis=1)
        next_best = np.take_along_axis(cosine, order[:, count:], axis=1).max(axis=1)
        others = np.maximum(0.0, np.arccos(np.clip(next_best, -1, 1)) - 2 * slack)
    nearest = order[:, :count].ravel()
    patches, starts = field.members
    rows, spot, _ = expanded(np.arange(len(nearest)), field.of[field.peep_of[nearest]], patches, starts)
    eye = rows // count
    step = eyes[eye] - spots.points[pose][spot]
    far = np.linalg.norm(step, axis=1)
    past = unit(field.peep_at_m[nearest[rows]] - spots.points[pose][spot])
    return Tasks(eye, np.full(len(eye), pose), spot, step / far[:, None], far, past, rows), others


def _directly(spots: Spots, eyes: FloatArray) -> tuple[Tasks, FloatArray]:
    """The same for one eye that no field serves: every patch towards every direction, at the eye's own distance."""
    (eye,) = eyes
    directions = np.concatenate([octahedral.corner_directions(DIRECT_SIDE), octahedral.centre_directions(DIRECT_SIDE)])
    total = sum(len(points) for points in spots.points.values())
    if total * len(directions) > MOST_DIRECT_RAYS:
        return no_tasks(), np.full(1, np.nan)
    tasks: list[Tasks] = []
    for pose, points in spots.points.items():
        if not len(points):
            continue
        step = eye - points
        far = np.linalg.norm(step, axis=1)
        toward = step / far[:, None]
        # Near directions first, so that for most patches few are cast.
        for direction_part in np.array_split(directions, max(1, len(points) * len(directions) // 400_000)):
            count = len(direction_part)
            spot = np.repeat(np.arange(len(points)), count)
            here = Tasks(
                np.zeros(len(spot), dtype=np.intp), np.full(len(spot), pose), spot, toward[spot], far[spot],
                np.tile(direction_part, (len(points), 1)), spot,
            )  # fmt: skip
            tasks.append(here.only(spots.reach(here, here.direction)))
    found = joined(tasks)
    closest = np.argsort(-np.einsum("ij,ij->i", found.toward, found.direction), kind="stable")[:400]
    return found.only(closest), np.full(1, np.pi)
