"""The handler's clock: for an act with people all round, from which side, how near and how low nothing is exposed.

Bearings are radians from the performer's own front, positive to the performer's own left; 12 o'clock is straight ahead
and 3 o'clock the performer's right. Distances are metres from the mark, heights metres above the performing floor.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import product

import numpy as np

from sightline.blocking.ring import BEARINGS, DISTANCES_M, GROUPS, KINDS, STEP_RAD, Clean, Ring
from sightline.geometry.frame import FloatArray
from sightline.sight.looking import Tick

# Sectors are told for the first ring of a crowd and for one that keeps its distance (1.5 to 3 m, common practice).
SECTORS_M = (1.5, 3.0)
# Somebody who steps round the performer does it in the first ring.
STEPS_ROUND_M = 1.5
# A photograph is taken from 1.2 to 2.5 m (common practice), at most this far to the side of the front (likewise).
PHOTO_M = (1.5, 2.0)
PHOTO_SIDE_RAD = math.radians(60.0)
MOST_POSTS = 3
# More than this one handler does not watch. Common practice, no source.
WATCH_RAD = math.radians(120.0)
HONEST = "No facing works when surrounded: add a back flap, or stand at a wall."


@dataclass(frozen=True)
class Ray:
    """One bearing. `clean` (6,) by distance, at all heights; where nobody can stand counts as clean.

    `nearest_m`: from there on outward all distances are clean; None where not even the farthest is. `kind` and
    `secret`: the eye that sees most, nearest first, where one does. `left_rad` and `right_rad`: the least turn to the
    performer's own left and right after which somebody at STEPS_ROUND_M on this bearing sees nothing; None without any.
    """

    bearing_rad: float
    clean: tuple[bool, ...]
    nearest_m: float | None
    kind: str | None
    secret: str | None
    left_rad: float | None
    right_rad: float | None


@dataclass(frozen=True)
class Hour:
    """The bearings of one hour, 30 deg together: what holds for all of them. `first`: the one that leaks farthest out.

    `left_rad` and `right_rad` as of a single bearing, but one turn for the whole hour; 0 where none is needed.
    """

    hour: int
    nearest_m: float | None
    first: Ray
    left_rad: float | None
    right_rad: float | None

    @property
    def least_rad(self) -> float | None:
        """The smaller turn, positive to the performer's left; None where none helps."""
        turns = [
            turn for turn in (self.left_rad, None if self.right_rad is None else -self.right_rad) if turn is not None
        ]
        return min(turns, key=abs, default=None)

    def turn_words(self) -> str:
        """`10 deg left or 20 deg right`, by the performer's own sides."""
        if self.least_rad == 0:
            return "none needed"
        turns = [
            f"{math.degrees(turn):.0f} deg {own}"
            for turn, own in ((self.left_rad, "left"), (self.right_rad, "right"))
            if turn is not None
        ]
        return " or ".join(turns) or "no turn works"


@dataclass(frozen=True)
class Sector:
    """From one bearing on to the performer's left to the other, all clean from `distance_m` on outward."""

    from_rad: float
    to_rad: float
    distance_m: float

    @property
    def wide_rad(self) -> float:
        """0 for a single bearing; a whole turn where it closes."""
        span = self.to_rad - self.from_rad
        return span if span >= 0 else span + 2 * math.pi


@dataclass(frozen=True)
class Spot:
    """Where to photograph from, and what share (0 to 1) of each must-see is clear from there."""

    bearing_rad: float
    distance_m: float
    clear: dict[str, float]


@dataclass(frozen=True)
class Post:
    """Where a handler watches: the middle of bearings that leak, how wide they are, how far out they still do."""

    bearing_rad: float
    wide_rad: float
    leaks_to_m: float


@dataclass(frozen=True)
class Clock:
    """All of it, for one mark and facing."""

    mark_m: tuple[float, float]
    facing_rad: float
    rays: tuple[Ray, ...]
    hours: tuple[Hour, ...]
    sectors: tuple[Sector, ...]
    photo: Spot | None
    posts: tuple[Post, ...]

    def clean_share(self, distance_m: float) -> float:
        """The share of bearings that are clean from this distance on outward."""
        return float(np.mean([ray.nearest_m is not None and ray.nearest_m <= distance_m for ray in self.rays]))


def clock_of(ring: Ring, tick: Tick | None = None) -> Clock:
    """Ask all round."""
    steps, done = 2 + BEARINGS, 0

    def step() -> None:
        nonlocal done
        done += 1
        if tick:
            tick(done, steps)

    eyes = [ring.eye(b, d, kind) for b, d, kind in product(ring.bearings.tolist(), DISTANCES_M, KINDS)]
    free = ring.free(eyes)
    there = np.flatnonzero(free)
    worst, found = ring.seen([eyes[i] for i in there], ring.facing_rad)
    step()
    verdict = np.zeros(len(eyes), dtype=np.int8)
    verdict[there] = worst
    size = np.zeros(len(eyes))
    secret = np.full(len(eyes), "", dtype=object)
    if found is not None:
        for name, here in found.secrets.items():
            larger = np.where(here.verdict > 0, here.size_arcmin, 0.0) > size[there]
            size[there[larger]], secret[there[larger]] = here.size_arcmin[larger], name
    shape = (BEARINGS, len(DISTANCES_M), len(KINDS))
    verdict, size, secret = verdict.reshape(shape), size.reshape(shape), secret.reshape(shape)
    clean = (verdict == 0).all(axis=2)
    (left, left_hours), (right, right_hours) = (_recoveries(ring, clean, way, step) for way in (1, -1))
    rays = []
    for k, bearing in enumerate(ring.bearings.tolist()):
        nearest = _nearest(clean[k])
        kind, what = None, None
        leaking = np.flatnonzero(~clean[k])
        if len(leaking):
            d = int(leaking[0])
            h = int(np.argmax(size[k, d] + verdict[k, d] * 1e-9))
            kind, what = KINDS[h], str(secret[k, d, h]) or None
        rays.append(Ray(bearing, tuple(clean[k].tolist()), nearest, kind, what, left[k], right[k]))
    sectors = tuple(s for d in SECTORS_M for s in sectors_of(rays, d))
    photo = _photo(ring, rays, sector_runs([_within(ray, PHOTO_M) and _in_front(ray) for ray in rays]))
    step()
    hours = tuple(
        _hour(hour, [rays[k] for k in group], left_hours[n], right_hours[n]) for n, (hour, group) in enumerate(GROUPS)
    )
    return Clock(ring.mark_m, ring.facing_rad, tuple(rays), hours, sectors, photo, posts_of(rays))


def _nearest(clean: Clean) -> float | None:
    """The nearest distance from which on outward all of `clean` (6,) holds."""
    leaks = np.flatnonzero(~clean)
    first = int(leaks[-1]) + 1 if len(leaks) else 0
    return DISTANCES_M[first] if first < len(DISTANCES_M) else None


def _within(ray: Ray, distances_m: Iterable[float]) -> bool:
    return all(ray.clean[DISTANCES_M.index(d)] for d in distances_m)


def _in_front(ray: Ray) -> bool:
    return abs(ray.bearing_rad) <= PHOTO_SIDE_RAD + 1e-9


def _hour(hour: int, rays: list[Ray], left_rad: float | None, right_rad: float | None) -> Hour:
    first = max(rays, key=lambda ray: math.inf if ray.nearest_m is None else ray.nearest_m)
    return Hour(hour, first.nearest_m, first, left_rad, right_rad)


def _recoveries(
    ring: Ring, clean: Clean, way: int, step: Callable[[], None]
) -> tuple[list[float | None], list[float | None]]:
    """The least turn (way 1: to the performer's left), in steps of the grid, that hides all: by bearing, and by hour.

    Turning left by t, whoever stays in place is seen by the performer t farther to the right: what is clean there is
    looked up, and asked again with scenery as it really stands.
    """
    at = clean[:, DISTANCES_M.index(STEPS_ROUND_M)]
    wanted = [*[[k] for k in range(BEARINGS)], *[group for _, group in GROUPS]]
    out: list[float | None] = [0.0 if at[group].all() else None for group in wanted]
    for turn in range(1, BEARINGS // 2 + 1):
        there = at[(np.arange(BEARINGS) - way * turn) % BEARINGS]
        waiting = [n for n, group in enumerate(wanted) if out[n] is None and there[group].all()]
        bearings = sorted({k for n in waiting for k in wanted[n]})
        if bearings:
            eyes = [ring.eye(float(ring.bearings[k]), STEPS_ROUND_M, kind) for k in bearings for kind in KINDS]
            free = ring.free(eyes)
            hidden = ~free
            hidden[free] = (
                ring.seen([eyes[i] for i in np.flatnonzero(free)], ring.facing_rad + way * turn * STEP_RAD)[0] == 0
            )
            holds = set(np.array(bearings)[hidden.reshape(-1, len(KINDS)).all(axis=1)].tolist())
            for n in waiting:
                out[n] = turn * STEP_RAD if holds.issuperset(wanted[n]) else None
        step()
    return out[:BEARINGS], out[BEARINGS:]


def sector_runs(holds: list[bool]) -> list[list[int]]:
    """Runs of neighbouring bearings that hold, round the circle; one that closes begins behind the performer."""
    count = len(holds)
    behind = count // 2
    if all(holds):
        return [[(behind + k) % count for k in range(count)]]
    start = next(k for k in range(behind, behind + count) if not holds[k % count])
    out: list[list[int]] = []
    for k in range(start, start + count):
        if not holds[k % count]:
            out.append([])
        elif out:
            out[-1].append(k % count)
    return [run for run in out if run]


def sectors_of(rays: list[Ray], distance_m: float) -> list[Sector]:
    """The clean sectors from a distance on outward, the widest first."""
    runs = sector_runs([ray.nearest_m is not None and ray.nearest_m <= distance_m for ray in rays])
    out = []
    for run in runs:
        first, last = rays[run[0]].bearing_rad, rays[run[-1]].bearing_rad
        out.append(Sector(first, first + 2 * math.pi if len(run) == len(rays) else last, distance_m))
    return sorted(out, key=lambda sector: -sector.wide_rad)


def posts_of(rays: list[Ray]) -> tuple[Post, ...]:
    """Where handlers stand: in the middle of the widest runs that leak in the first ring or beyond it."""
    near = DISTANCES_M.index(STEPS_ROUND_M)
    parts: list[list[int]] = []
    for run in sector_runs([not all(ray.clean[near:]) for ray in rays]):
        pieces = math.ceil(len(run) * STEP_RAD / WATCH_RAD - 1e-9)
        parts += [part.tolist() for part in np.array_split(run, pieces)]
    out = []
    for part in sorted(parts, key=lambda part: -len(part))[:MOST_POSTS]:
        first = rays[part[0]].bearing_rad
        middle = math.remainder(first + (len(part) - 1) * STEP_RAD / 2, 2 * math.pi)
        far = max(d for k in part for d, clean in zip(DISTANCES_M, rays[k].clean, strict=True) if not clean)
        out.append(Post(middle, len(part) * STEP_RAD, far))
    return tuple(out)


def _photo(ring: Ring, rays: list[Ray], runs: list[list[int]]) -> Spot | None:
    """The middle of the widest clean run in front, at the distance with the clearest view of what must be seen.

    Of the run's middle half that bearing is taken from which most is clear; the run nearest to the front, of two.
    """
    if not runs:
        return None
    run = max(runs, key=lambda run: (len(run), -abs(sum(rays[k].bearing_rad for k in run) / len(run))))
    cut = len(run) // 4
    middle = (len(run) - 1) / 2
    inner = sorted(run[cut : len(run) - cut], key=lambda k: abs(run.index(k) - middle))
    places = [(rays[k].bearing_rad, d) for k in inner for d in PHOTO_M]
    names = ring.placing.own.must_see_names()
    if not names:
        return Spot(*places[0], {})
    eyes = [ring.eye(b, d, "standing") for b, d in places]
    found = ring.placing.exact(ring.mark_m, ring.facing_rad, tuple(eyes), must_sees=True)
    clear = {name: found.must_see[name].without_heads for name in names}
    together: FloatArray = np.mean(list(clear.values()), axis=0)
    # What is as clear to a twentieth is as good: then the middle, and the nearer.
    best = int(np.flatnonzero(together >= together.max() - 0.05)[0])
    return Spot(*places[best], {name: float(shares[best]) for name, shares in clear.items()})
