"""Eyes of our own all round the performer, from a child on the floor to a raised phone, and what they see.

Bearings are radians from the performer's own front, positive to the performer's own left; 12 o'clock is straight ahead
and 3 o'clock the performer's right. Distances are metres from the mark, heights metres above the performing floor.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sightline.blocking.placing import Placing
from sightline.house.eyes import Eye
from sightline.house.people import EYE_HEIGHT_M
from sightline.sight.check import Finding
from sightline.sight.scenery import Scenery

BEARINGS = 36
DISTANCES_M = (1.0, 1.5, 2.0, 3.0, 4.0, 6.0)
# From a child that sits on the floor to a phone held over the heads: heights of house/people.py.
KINDS = ("floor child", "child", "wheelchair", "standing", "phone")
HEIGHTS_M = tuple(EYE_HEIGHT_M[kind] for kind in KINDS)
STEP_RAD = 2 * math.pi / BEARINGS

Verdicts = NDArray[np.int8]
Clean = NDArray[np.bool_]


def hour_of(bearing_rad: float) -> int:
    """12 straight ahead, 3 the performer's right, 9 the performer's left."""
    return round(-math.degrees(bearing_rad) / 30.0) % 12 or 12


# The bearings of every hour, from 12 on clockwise.
GROUPS = [(hour, [k for k in range(BEARINGS) if hour_of(k * STEP_RAD) == hour]) for hour in (12, *range(1, 12))]


class Ring:
    """The eyes of our own all round the performer, and what they see. Raises Misfit where nothing can be asked."""

    def __init__(self, placing: Placing, mark_m: tuple[float, float], facing_rad: float):
        # Nobody of the audience is there, and the heads of a grid of eyes are no crowd.
        self.placing = Placing(replace(placing.staged, heads_count=False), placing.thresholds, placing.cache)
        self.mark_m, self.facing_rad = mark_m, facing_rad
        self.bearings = np.array([math.remainder(k * STEP_RAD, 2 * math.pi) for k in range(BEARINGS)])

    def eye(self, bearing_rad: float, distance_m: float, kind: str) -> Eye:
        """In the frame of the stage, looking at the performer."""
        way = self.facing_rad + bearing_rad
        x, y = self.mark_m[0] + distance_m * math.sin(way), self.mark_m[1] - distance_m * math.cos(way)
        name = f"{hour_of(bearing_rad)} o'clock, {distance_m:g} m, {kind}"
        return Eye(
            name, kind, (x, y, EYE_HEIGHT_M[kind]), floor_m=0.0, facing=(-math.sin(way), math.cos(way), 0.0)
        )  # fmt: skip

    def free(self, eyes: list[Eye]) -> Clean:
        """Which eyes (e,) are not inside something: where they are, somebody can be."""
        moment = self.placing.moment(self.mark_m, self.facing_rad, tuple(eyes))
        scenery = Scenery(moment, self.placing.fields.scenery)
        out = np.ones(len(eyes), dtype=bool)
        for cover in (*scenery.still_covers, *moment.setting):
            solid = scenery.solid(cover.mesh)
            if solid is not None:
                out &= ~solid.holds(moment.eye_points())
        return out

    def seen(self, eyes: list[Eye], facing_rad: float) -> tuple[Verdicts, Finding | None]:
        """The worst verdict (e,) of each eye; what is called hidden was confirmed by rays alone."""
        if not eyes:
            return np.zeros(0, dtype=np.int8), None
        found = self.placing.quick(self.mark_m, facing_rad, tuple(eyes))
        worst = found.worst_verdict()
        hidden = np.flatnonzero(worst == 0)
        if len(hidden):
            again = self.placing.exact(self.mark_m, facing_rad, tuple(eyes[i] for i in hidden))
            worst[hidden] = again.worst_verdict()
        return worst, found
