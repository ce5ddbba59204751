"""Margins: how far an eye that sees nothing of a secret is from seeing some of it.

The eye moves on the sphere about each patch at constant distance while everything else is held; the margin is the
smallest angle to a direction from which that patch is visible, least over patches and poses. Direction fields say
where to look, exact rays find the edge to a tenth of a degree.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.moment import Moment, Secret
from sightline.sight import octahedral
from sightline.sight.edges import Spots, Tasks, first_shown, followed, joined, no_tasks
from sightline.sight.fields import Field, Fields
from sightline.sight.leak import on_all_cores
from sightline.sight.prepared import PreparedLine, PreparedSurface
from sightline.sight.rays import BoolArray, IndexArray
from sightline.sight.scenery import Scenery

NOTHING_UNCOVERS_DEG = 180.0
# Per eye: clusters looked at, those asked by rays, directions of each, and patches of a cluster.
CLUSTERS_SORTED, CLUSTERS_ASKED, DIRECTIONS_ASKED, PATCHES_ASKED = 16, 6, 3, 12
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
            again = []
            for e in np.flatnonzero(np.isinf(found) & (at_least < np.pi)):
                wide, _ = _from_fields(secret, spots, fields, moves, eyes[part[e : e + 1]], ready, thorough=True)
                again.append(first_shown(spots, replace(wide, eye=wide.eye + e)))
            found = np.minimum(found, followed(spots, joined(again), len(part)))
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
    if not sum(sizes):
        return no_tasks(), np.full(len(eyes), np.pi)
    rings = np.concatenate(
        [f.rings[np.arange(len(f.centres)), f.cells(eyes)[0]] for f in made if len(f.centres)], axis=1
    )
    which = np.repeat(np.arange(len(made)), sizes)
    inside = np.concatenate([np.arange(size) for size in sizes])
    most = min(CLUSTERS_SORTED, rings.shape[1])
    best = np.argpartition(rings, most - 1, axis=1)[:, :most]
    at_least = np.full(len(eyes), np.pi)
    tasks: list[Tasks] = []
    for e, eye in enumerate(eyes):
        found = []
        for flat in best[e]:
            field, k = made[which[flat]], int(inside[flat])
            lit = field.lit(k)
            if not len(lit):
                continue
            toward = eye - field.centres[k]
            far = float(np.linalg.norm(toward))
            cosine = octahedral.centre_directions(field.side)[lit] @ (toward / far)
            nearest = np.argsort(-cosine, kind="stable")
            # Half a cell is lost between its middle and its rim, and what the width of a cluster does to directions.
            slack = np.sqrt(4 * np.pi) / field.side + field.reach_m[k] / far
            at_least[e] = min(at_least[e], max(0.0, np.arccos(np.clip(cosine[nearest[0]], -1, 1)) - slack))
            found.append((which[flat], k, lit[nearest[_thinned(len(nearest))]]))
        if thorough:
            tasks += [_asked(spots, made[w], poses[w], k, cells, e, eye, middles=True) for w, k, cells in found]
        elif found:
            tasks += _worth_asking(spots, made, poses, found, e, eye)
    return joined(tasks), at_least


def _thinned(count: int) -> IndexArray:
    """The first so many, then fewer and fewer: scenery may hide a whole side on which the act would show."""
    steps = np.concatenate([np.arange(16), np.arange(16, 144, 4), np.arange(144, 4096, 32)])
    return np.asarray(steps[steps < count])


def _worth_asking(
    spots: Spots,
    made: list[Field],
    poses: list[int],
    found: list[tuple[int, int, IndexArray]],
    e: int,
    eye: FloatArray,
) -> list[Tasks]:
    """For the clusters (field, cluster, lit cells) of one eye: those of which a first ray shows something nearest."""
    first = []
    for w, k, cells in found:
        order, starts = made[w].members
        # One patch in the middle of the cluster speaks for it here.
        spot = order[(starts[k] + starts[k + 1]) // 2]
        step = eye - spots.points[poses[w]][spot]
        far, count = float(np.linalg.norm(step)), len(cells)
        first.append(
            Tasks(
                np.full(count, e), np.full(count, poses[w]), np.full(count, spot), np.tile(step / far, (count, 1)),
                np.full(count, far), octahedral.centre_directions(made[w].side)[cells],
            )
        )  # fmt: skip
    shown = spots.reach(asked := joined(first), asked.direction)
    ends = np.cumsum([len(cells) for _, _, cells in found])
    chosen = []
    for (w, k, cells), lit, cosine in zip(
        found,
        np.split(shown, ends[:-1]),
        np.split(np.einsum("ij,ij->i", asked.toward, asked.direction), ends[:-1]),
        strict=True,
    ):
        some = np.flatnonzero(lit)[:DIRECTIONS_ASKED]
        if len(some):
            chosen.append((-float(cosine[some[0]]), w, k, cells[some]))
        # The middle patch need not be the one that shows: the nearest cells are asked of all.
        chosen.append((-float(cosine[0]), w, k, cells[:1]))
    chosen.sort(key=lambda item: item[:3])
    return [_asked(spots, made[w], poses[w], k, cells, e, eye) for _, w, k, cells in chosen[: 2 * CLUSTERS_ASKED]]


def _asked(
    spots: Spots, field: Field, pose: int, k: int, cells: IndexArray, e: int, eye: FloatArray, middles: bool = False
) -> Tasks:
    """Some patches of a cluster, each in all samples, or only the middles, of some cells."""
    order, starts = field.members
    members = order[starts[k] : starts[k + 1]]
    members = members[:: max(1, -(-len(members) // PATCHES_ASKED))]
    step = eye - spots.points[pose][members]
    far = np.linalg.norm(step, axis=1)
    samples = octahedral.centre_directions(field.side)[cells] if middles else octahedral.samples_of(cells, field.side)
    count = len(samples)
    return Tasks(
        np.full(len(members) * count, e), np.full(len(members) * count, pose), np.repeat(members, count),
        np.repeat(step / far[:, None], count, axis=0), np.repeat(far, count), np.tile(samples, (len(members), 1)),
    )  # fmt: skip


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
                np.tile(direction_part, (len(points), 1)),
            )  # fmt: skip
            tasks.append(here.only(spots.reach(here, here.direction)))
    found = joined(tasks)
    closest = np.argsort(-np.einsum("ij,ij->i", found.toward, found.direction), kind="stable")[:400]
    return found.only(closest), np.full(1, np.pi)
