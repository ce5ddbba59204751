"""Drift: how far, and how much, the performer may stray or turn from the mark before any eye's verdict gets worse.

Places are metres from the mark in the frame of the stage (+x stage left, +y upstage); bearings radians as facings: 0
is downstage, positive to stage left; turns radians, positive to the performer's own left.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sightline.blocking.lozenge import Lozenge, notched, within
from sightline.blocking.nearby import Answer, Nearby, limit
from sightline.geometry.frame import FloatArray
from sightline.sight.looking import Tick

# Nobody who misses a mark by more than this, or turns farther, was aiming at it. Common practice, no source.
FARTHEST_M = 1.5
MOST_TURN_RAD = math.radians(45.0)
STEPS_M = (0.05, 0.10, 0.20, 0.30, 0.45, 0.60, 0.80, 1.0, 1.25, FARTHEST_M)
STEPS_RAD = tuple(
    math.radians(d) for d in (1.0, 2.0, 3.0, 5.0, 7.5, 10.0, 14.0, 18.0, 22.5, 27.0, 31.5, 36.0, 40.5, 45.0)
)
FINE_M = 0.005
FINE_RAD = math.radians(0.25)
BEARINGS = 24
# The disc is asked for again on a ring of so many bearings, and inside it at places so far apart.
RING, INSIDE_M = 48, 0.10
EXACT_BEARINGS = 8
# Tape is 12 to 25 mm wide: no corner nearer than this can be taped. Common practice, no source.
LEAST_TAPED_M = 0.02
# A taped edge is asked every so far, and by rays alone at so many places between two corners, these included.
EDGE_STEP_M, EXACT_ON_EDGE = 0.02, 4
# A facing nearer than this to the middle of its range is not worth changing. Common practice, no source.
WORTH_A_TURN_RAD = math.radians(2.0)
SLICES_RAD = tuple(math.radians(d) for d in (-10.0, -5.0, 5.0, 10.0))
SLICE_SIDE = 7
SLICE_HALF_M = (0.10, 0.60)


@dataclass(frozen=True)
class Reach:
    """Along one bearing nothing gets worse up to here; just beyond, `eye` first sees more of `secret`.

    No eye: nothing got worse up to FARTHEST_M. An eye and no secret: the performer would run into it.
    """

    bearing_rad: float
    distance_m: float
    eye: str | None
    secret: str | None

    @property
    def at_m(self) -> tuple[float, float]:
        return on_bearing(self.bearing_rad, self.distance_m)


@dataclass(frozen=True)
class Turn:
    """So far nothing gets worse turning one way, on the mark; without an eye not up to MOST_TURN_RAD."""

    turn_rad: float
    eye: str | None
    secret: str | None


@dataclass(frozen=True)
class Slice:
    """Where (row: y, column: x) nothing is worse than on the mark, for one turn; `offsets_m` (n,) serve both axes."""

    turn_rad: float
    offsets_m: FloatArray
    clean: NDArray[np.bool_]


@dataclass(frozen=True)
class Drift:
    """What was found. `disc_m`: the largest disc about the mark; disc, lozenge and turns were confirmed by rays alone."""

    mark_m: tuple[float, float]
    facing_rad: float
    eyes: int
    eyes_seen: int
    left: Turn
    right: Turn
    region: tuple[Reach, ...]
    disc_m: float
    lozenge: Lozenge
    slices: tuple[Slice, ...]
    asked: int

    @property
    def polygon_m(self) -> FloatArray:
        """The region's corners (n, 2), from the mark."""
        return np.array([reach.at_m for reach in self.region])


def on_bearing(bearing_rad: float, distance_m: float) -> tuple[float, float]:
    return distance_m * math.sin(bearing_rad), -distance_m * math.cos(bearing_rad)


def drift_of(nearby: Nearby, tick: Tick | None = None) -> Drift:
    """Search round the mark. Raises Misfit where the mark itself cannot be asked."""
    steps = 4 + BEARINGS + len(SLICES_RAD)
    done = 0

    def step() -> None:
        nonlocal done
        done += 1
        if tick:
            tick(done, steps)

    seen = int((nearby.finding.worst_verdict() == 2).sum())
    left, right = (_turn(nearby, way) for way in (1.0, -1.0))
    step()
    region = []
    for k in range(BEARINGS):
        region.append(_reach(nearby, math.remainder(2 * math.pi * k / BEARINGS, 2 * math.pi), STEPS_M))
        step()
    region = _between(nearby, region)
    step()
    region, disc = _disc(nearby, region)
    step()
    shape = _lozenge(nearby, np.array([reach.at_m for reach in region]))
    step()
    half = float(np.clip(1.3 * max(reach.distance_m for reach in region), *SLICE_HALF_M))
    slices = []
    for turn in SLICES_RAD:
        slices.append(_slice(nearby, turn, half))
        step()
    return Drift(
        nearby.mark_m, nearby.facing_rad, len(nearby.eyes), seen, left, right, tuple(region), disc, shape,
        tuple(slices), nearby.asked,
    )  # fmt: skip


def _turn(nearby: Nearby, way: float) -> Turn:
    """The turn one way (1 to the performer's left), asked quickly, then taken back until rays alone agree."""
    free, beyond = limit(lambda turn: nearby.ask(0.0, 0.0, way * turn), STEPS_RAD, FINE_RAD)
    while free > 0:
        answer = nearby.ask(0.0, 0.0, way * free, exact=True)
        if not answer.worse:
            break
        free, beyond = max(0.0, free - FINE_RAD), answer
    return Turn(free, *_who(beyond))


def _who(answer: Answer | None) -> tuple[str | None, str | None]:
    return (None, None) if answer is None else (answer.eye, answer.secret)


def _along(nearby: Nearby, bearing_rad: float) -> Callable[[float], Answer]:
    return lambda distance: nearby.ask(*on_bearing(bearing_rad, distance), 0.0)


def _reach(nearby: Nearby, bearing_rad: float, steps_m: tuple[float, ...]) -> Reach:
    distance, beyond = limit(_along(nearby, bearing_rad), steps_m, FINE_M)
    return Reach(bearing_rad, distance, *_who(beyond))


def _between(nearby: Nearby, region: list[Reach]) -> list[Reach]:
    """The region with a corner more wherever the straight line from one to the next does not hold."""
    out = []
    for here, after in zip(region, [*region[1:], region[0]], strict=True):
        out.append(here)
        middle = np.add(here.at_m, after.at_m) / 2
        if (
            here.distance_m <= 0
            or after.distance_m <= 0
            or not nearby.ask(float(middle[0]), float(middle[1]), 0.0).worse
        ):
            continue
        bearing = math.atan2(middle[0], -middle[1])
        far = float(np.hypot(*middle))
        out.append(_reach(nearby, bearing, (*[s for s in STEPS_M if s < far], far)))
    return out


def _disc(nearby: Nearby, region: list[Reach]) -> tuple[list[Reach], float]:
    """The largest disc about the mark that holds wherever it is asked, on its edge and inside; and the region, mended
    where it did not."""
    radius = min(reach.distance_m for reach in region)
    # Half a step aside from the bearings that were searched.
    edge = [(math.remainder(2 * math.pi * (k + 0.5) / RING, 2 * math.pi), math.inf) for k in range(RING)]
    # The edge comes last: it is asked where the disc has become smaller for a place inside.
    for bearing, out in (*_places_inside(radius), *edge):
        if radius <= 0:
            return region, 0.0
        if radius < out < math.inf:
            continue
        far = min(out, radius)
        if not nearby.ask(*on_bearing(bearing, far), 0.0).worse:
            continue
        found = _reach(nearby, bearing, (*[s for s in STEPS_M if s < far], far))
        radius = min(radius, found.distance_m)
        region = [*(reach for reach in region if not _along_one(reach.bearing_rad, bearing)), found]
        region.sort(key=lambda reach: reach.bearing_rad % (2 * math.pi))
    k = 0
    while k < EXACT_BEARINGS and radius > 0:
        bearing = math.remainder(2 * math.pi * k / EXACT_BEARINGS, 2 * math.pi)
        answer = nearby.ask(*on_bearing(bearing, radius), 0.0, exact=True)
        if answer.worse:
            radius, k = max(0.0, radius - FINE_M), 0
            # These bearings were all searched: the region gives way there, too.
            region = [
                replace(r, distance_m=radius, eye=answer.eye, secret=answer.secret)
                if _along_one(r.bearing_rad, bearing)
                else r
                for r in region
            ]
        else:
            k += 1
    return region, radius


def _along_one(bearing_rad: float, other_rad: float) -> bool:
    return abs(math.remainder(bearing_rad - other_rad, 2 * math.pi)) < 1e-9


def _places_inside(radius_m: float) -> list[tuple[float, float]]:
    """Bearings and distances of the places inside a disc, on a triangular grid INSIDE_M apart, the nearest first."""
    out = []
    # Rows are 0.87 of the spacing apart, and every other one starts half a place aside.
    most = math.ceil(1.2 * radius_m / INSIDE_M) + 1
    for row in range(-most, most + 1):
        y = row * INSIDE_M * math.sqrt(3) / 2
        for column in range(-most, most + 1):
            x = (column + row % 2 / 2) * INSIDE_M
            # On the mark itself nothing is worse than on the mark.
            if 0 < math.hypot(x, y) < radius_m:
                out.append((math.atan2(x, -y), math.hypot(x, y)))
    return sorted(out, key=lambda place: (place[1], place[0]))


def _lozenge(nearby: Nearby, polygon_m: FloatArray) -> Lozenge:
    """The lozenge inside the region, made smaller wherever a place on its edges or inside it does not hold.

    The region is known along its bearings only; between two of them a leak may reach in. So the lozenge is asked
    along its edges and inside, and at its corners and along its edges by rays alone.
    """
    while True:
        shape = within(polygon_m)
        if min(shape.down_m, shape.up_m, shape.left_m, shape.right_m) < LEAST_TAPED_M:
            return shape.scaled(0.0)
        for exact, spots in ((False, shape.inside_m(EDGE_STEP_M)), (True, shape.edge_m(EXACT_ON_EDGE))):
            bad = [(x, y) for x, y in spots.tolist() if nearby.ask(x, y, 0.0, exact=exact).worse]
            if bad:
                break
        if not bad:
            return shape
        for spot in bad:
            polygon_m = notched(polygon_m, spot, EDGE_STEP_M / 2)


def _slice(nearby: Nearby, turn_rad: float, half_m: float) -> Slice:
    offsets = np.linspace(-half_m, half_m, SLICE_SIDE)
    clean = [[not nearby.ask(x, y, turn_rad).worse for x in offsets.tolist()] for y in offsets.tolist()]
    return Slice(turn_rad, offsets, np.array(clean))


def first_leaks(drift: Drift) -> list[list[Reach]]:
    """Neighbouring bearings with one eye that leaks first, together; the widest first. Bearings without a leak left out."""
    runs: list[list[Reach]] = []
    for reach in drift.region:
        if runs and (runs[-1][-1].eye, runs[-1][-1].secret) == (reach.eye, reach.secret):
            runs[-1].append(reach)
        else:
            runs.append([reach])
    ends = (runs[0][0], runs[-1][-1])
    if len(runs) > 1 and (ends[0].eye, ends[0].secret) == (ends[1].eye, ends[1].secret):
        runs[0] = runs.pop() + runs[0]
    return sorted((run for run in runs if run[0].eye is not None), key=len, reverse=True)


def middle_turn(drift: Drift) -> float | None:
    """The turn, rad, after which as much is left one way as the other; None where it is about so already."""
    aside = (drift.left.turn_rad - drift.right.turn_rad) / 2
    return aside if abs(aside) >= WORTH_A_TURN_RAD else None
