"""A second opinion on a moment: leak and verdict of each eye by other libraries' rays, in lines of its own.

Of the planner it takes what is to be looked at (the triangles of covers and secrets, the base patches of a surface,
the samples of a seam, the eyes) and nothing of how it is looked at: no field, no proof by flat faces, no ray code, no
sum, no threshold is shared. Patches that the planner drops as buried in a solid are cast for here like all others.

Every ray is asked of each library, and beside them of the planner's own ray code. Wherever two of them answer
otherwise, and for a seeded sample of all rays, doubles decide (`brute.py`). So there is one table by each library, and
one with those rays settled.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sightline.house.eyes import Eye
from sightline.house.mirrors import Mirror
from sightline.moment import Moment, Pose, Secret
from sightline.sight.scenery import Scenery
from tests.sight.brute import Bools, Points, blocked, edge_distance_m
from tests.sight.oracles import Caster
from tests.sight.seconds import heads, line_verdict, noticed, threshold
from tests.sight.spots import LIFT_M, Spots, image, omega, sixteenths, spots_of, towards

# What lies no farther than this from a mirror's plane lies in it (sight/mirrors.py says why).
FLUSH_M = 2e-4
PAIRS_AT_A_TIME = 300_000
# So many pairs of ray and triangle are looked at in doubles beside those in dispute.
SAMPLED_PAIRS = 30_000_000
# The sample is taken from few looks, but many rays of each: doubles first sort the triangles.
LOOKS_SAMPLED = 0.2
# How far round a ray edges are looked for.
LOOKED_ROUND_M = 0.01
SETTLED = "settled"

Makers = dict[str, Callable[[Points, Points], Caster]]
Legs = list[tuple[Points, Points]]


@dataclass
class Rays:
    """How many rays were asked, how many doubles decided, and who erred: how near (m) each such ray passes to an edge."""

    asked: int = 0
    decided: int = 0
    in_dispute: int = 0
    hidden_wrongly: dict[str, list[float]] = field(default_factory=dict)
    seen_wrongly: dict[str, list[float]] = field(default_factory=dict)


@dataclass
class Opinion:
    """Of one secret, per eye (e,): verdicts (0 hidden, 1 faint, 2 seen) by each library's rays and by SETTLED ones, the
    solid angle in sr of the settled base patches at worst, and how near (a logarithm) a size came to its threshold."""

    verdicts: dict[str, NDArray[np.int8]]
    solid_angle_sr: Points
    from_threshold: Points


@dataclass(frozen=True)
class _Look:
    """A few eyes (e,) where they are (e, 3) and, of a mirror, their images; the secret, its spots and their sizes."""

    eyes: tuple[Eye, ...]
    places: Points
    mirror: Mirror | None
    secret: Secret
    spots: Spots

    @property
    def seats(self) -> Points:
        return self.places if self.mirror is None else image(self.places, self.mirror)


class Judge:
    def __init__(self, moment: Moment, makers: Makers, seed: int = 8):
        self.moment, self.scenery = moment, Scenery(moment)
        names = ("planner", *makers)
        self.rays = Rays(hidden_wrongly={n: [] for n in names}, seen_wrongly={n: [] for n in names})
        still = [_surfaces(moment.still), *(c.mesh.vertices[c.mesh.faces] for c in moment.setting)]
        self.still, self.added = np.concatenate(still), [_surfaces(pose) for pose in moment.poses]
        centre = moment.focus_m
        self._still = {name: make(self.still, centre) for name, make in makers.items()}
        self._added = {name: [make(part, centre) for part in self.added] for name, make in makers.items()}
        self._chance = np.random.default_rng(seed)
        self._share = 0.0

    def opinion(self, name: str) -> Opinion:
        """What the eyes see of a secret at worst, over all poses, head positions and mirrors."""
        moment, eyes = self.moment, len(self.moment.eyes)
        out = Opinion(
            {key: np.zeros(eyes, np.int8) for key in (*self._still, SETTLED)}, np.zeros(eyes), np.full(eyes, np.inf)
        )
        looks = [(s, list(range(len(moment.poses)))) for s in moment.still.secrets if s.name == name]
        looks += [(s, [i]) for i, pose in enumerate(moment.poses) for s in pose.secrets if s.name == name]
        places = heads(moment)
        for secret, poses in looks:
            spots = spots_of(secret, self.scenery, poses[0])
            pairs = len(places) * eyes * len(spots.base) * len(poses) * len(looks) * len(moment.secret_names()) / 2
            self._share = SAMPLED_PAIRS / max(pairs * len(self.still), 1.0)
            for at in places:
                for mirror in (None, *moment.mirrors):
                    for part in _parts(eyes, len(spots.base)):
                        self._take(out, part, _Look(moment.eyes[part], at[part], mirror, secret, spots), poses)
        return out

    def _take(self, out: Opinion, part: slice, look: _Look, poses: list[int]) -> None:
        """Put what a few eyes are shown into the opinion, where it is worse than what stands there."""
        solid = omega(look.spots, look.seats)
        for pose, shown in self._shown(look, poses):
            if not any(mask.any() for mask in shown.values()):
                continue
            here = np.where(shown[SETTLED], solid, 0.0).sum(axis=1)
            out.solid_angle_sr[part] = np.maximum(out.solid_angle_sr[part], here)
            for key, mask in shown.items():
                verdict = out.verdicts[key][part]
                for i in np.flatnonzero(mask.any(axis=1) & (verdict < 2)):
                    found, near = self._verdict(look, int(i), mask[i], solid[i], pose)
                    verdict[i] = max(verdict[i], found)
                    out.from_threshold[part.start + i] = min(out.from_threshold[part.start + i], near)

    def _verdict(self, look: _Look, i: int, shown: Bools, solid: Points, pose: int) -> tuple[int, float]:
        """What an eye makes of the spots (n,) that it is shown, and how near that comes to its threshold."""
        eye, secret = look.eyes[i], look.secret
        if secret.moves:
            return 2, math.inf
        if secret.path is not None:
            return line_verdict(secret, look.spots, shown, look.seats[i], eye), math.inf
        least, solid_sr = threshold(eye), float(solid[shown].sum())
        if noticed(solid_sr, secret.contrast) < least:
            solid_sr += self._closer(look, i, shown, solid, pose)
        size = noticed(solid_sr, secret.contrast)
        return (2 if size >= least else 1), (abs(math.log(size / least)) if least else math.inf)

    def _shown(self, look: _Look, poses: list[int]) -> Iterator[tuple[int, dict[str, Bools]]]:
        """Per pose which spots (e, n) reach which eye: by each library's rays, and settled in doubles."""
        spots = look.spots
        front, side = towards(spots, look.seats)
        rows, columns = np.nonzero(front)
        starts = spots.base[columns] + LIFT_M * side[rows, columns][:, None] * spots.normals[columns]
        arrive, legs = _legs(starts, look.places[rows], look.mirror)
        rows, columns = rows[arrive], columns[arrive]
        still = {name: _any(caster.blocked, legs) for name, caster in self._still.items()}
        still["planner"] = spots.dropped[columns].copy()
        for group in self.scenery.before_poses:
            still["planner"] |= _any(group.blocked, legs)
        watched = self._chance.choice(poses) if self._chance.random() < LOOKS_SAMPLED else -1
        sampled = self._chance.random(len(rows)) < self._share * len(poses) / LOOKS_SAMPLED * (watched >= 0)
        left = np.flatnonzero(sampled | ~np.logical_and.reduce(list(still.values())))
        rows, columns, legs = rows[left], columns[left], [(a[left], b[left]) for a, b in legs]
        for pose in poses:
            # What blocks already is not asked about again.
            answers = {name: found[left] for name, found in still.items()}
            asks = {name: casters[pose].blocked for name, casters in self._added.items()}
            asks["planner"] = self.scenery.pose(pose)[1].blocked
            for name, ask in asks.items():
                free = np.flatnonzero(~answers[name])
                answers[name][free] = _any(ask, [(a[free], b[free]) for a, b in legs])
            self.rays.asked += len(arrive) if pose == poses[0] else len(left)
            answers[SETTLED] = self._settled(answers, sampled[left] & (pose == watched), legs, pose)
            out = {name: np.zeros(front.shape, dtype=bool) for name in answers if name != "planner"}
            for name, mask in out.items():
                mask[rows, columns] = ~answers[name]
            yield pose, out

    def _settled(self, answers: dict[str, Bools], sampled: Bools, legs: Legs, pose: int) -> Bools:
        """The answers with all that are in dispute decided in doubles, and a note of who was wrong, and how nearly."""
        every = np.array(list(answers.values()))
        dispute = every.any(axis=0) & ~every.all(axis=0)
        some = np.flatnonzero(dispute | sampled)
        out = every[0].copy()
        if not len(some):
            return out
        triangles = np.concatenate([self.still, self.added[pose]])
        legs = [(a[some], b[some]) for a, b in legs]
        out[some] = truth = _any(lambda a, b: blocked(a, b, triangles), legs)
        self.rays.decided += len(some)
        self.rays.in_dispute += int(dispute.sum())
        for i in np.flatnonzero((every[:, some] != truth).any(axis=0)):
            near = min(_edge_m(a[i], b[i], triangles) for a, b in legs)
            for name, answer in answers.items():
                if answer[some[i]] != truth[i]:
                    (self.rays.seen_wrongly if truth[i] else self.rays.hidden_wrongly)[name].append(near)
        return out

    def _closer(self, look: _Look, i: int, shown: Bools, solid: Points, pose: int) -> float:
        """The solid angle that sixteenths of hidden patches beside visible ones add for an eye (design.md section 5)."""
        spots, at = look.spots, look.places[i]
        assert spots.corners is not None
        front, side = towards(spots, look.seats[i : i + 1])
        beside = np.isin(spots.corner_keys, np.unique(spots.corner_keys[shown])).any(axis=1)
        todo = np.flatnonzero(beside & ~shown & front[0] & ~spots.dropped)
        if not len(todo):
            return 0.0
        lift = LIFT_M * side[0, todo][:, None] * spots.normals[todo]
        starts = (sixteenths(spots.corners[todo]) + lift[:, None]).reshape(-1, 3)
        arrive, legs = _legs(starts, np.broadcast_to(at, starts.shape), look.mirror)
        library = next(iter(self._still))
        free = np.zeros(len(starts), dtype=bool)
        free[arrive] = ~_any(self._still[library].blocked, legs) & ~_any(self._added[library][pose].blocked, legs)
        return float((free.reshape(-1, 16).mean(axis=1) * solid[todo]).sum())


def _legs(starts: Points, ends: Points, mirror: Mirror | None) -> tuple[NDArray[np.intp], Legs]:
    """Which rays (n,) can arrive at all, and the straight legs of those."""
    if mirror is None:
        return np.arange(len(starts)), [(starts, ends)]
    front, middle = mirror.normal, mirror.centre_m
    before, away = (starts - middle) @ front, (ends - middle) @ front
    ok = (before > FLUSH_M) & (away > FLUSH_M)
    share = before / np.where(ok, before + away, 1.0)
    glass = starts + share[:, None] * (ends - 2.0 * away[:, None] * front - starts)
    u, v = (glass - middle) @ mirror.placement.rotation[:, 0], (glass - middle) @ mirror.placement.rotation[:, 2]
    wide, high = mirror.half_m
    ok &= (u * u + v * v <= wide * wide) if mirror.disc else (np.abs(u) <= wide) & (np.abs(v) <= high)
    # A hair before the glass, so that neither the mirror nor what it hangs on is met.
    glass = glass + LIFT_M * front
    return np.flatnonzero(ok), [(starts[ok], glass[ok]), (glass[ok], ends[ok])]


def _surfaces(pose: Pose) -> Points:
    """The triangles (t, 3, 3) of all that blocks in a pose: covers, secrets and must-sees that are material."""
    material = [s.mesh for s in pose.secrets if s.covers] + [m.mesh for m in pose.must_see if m.covers]
    parts = [mesh.vertices[mesh.faces] for mesh in (*(c.mesh for c in pose.covers), *material) if len(mesh.faces)]
    return np.concatenate(parts) if parts else np.zeros((0, 3, 3))


def _any(ask: Callable[[Points, Points], Bools], legs: Legs) -> Bools:
    return np.logical_or.reduce([ask(a, b) for a, b in legs])


def _edge_m(start: Points, end: Points, triangles: Points) -> float:
    """How near a ray passes to an edge, or LOOKED_ROUND_M where none is that near."""
    middle, step = triangles.mean(axis=1), end - start
    reach = np.linalg.norm(triangles - middle[:, None], axis=2).max(axis=1)
    share = np.clip((middle - start) @ step / (step @ step), 0.0, 1.0)
    near = np.linalg.norm(start + share[:, None] * step - middle, axis=1) <= reach + LOOKED_ROUND_M
    return min(LOOKED_ROUND_M, float(edge_distance_m(start[None], end[None], triangles[near])[0]))


def _parts(eyes: int, spots: int) -> list[slice]:
    size = max(1, PAIRS_AT_A_TIME // max(1, spots))
    return [slice(at, min(at + size, eyes)) for at in range(0, eyes, size)]
