"""The hidden arm's way through its opening, for many arms at once: does it fit the joints, and does it clear the edge.

Everything here is in the prop's frame unless it says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sightline.figure import arm as arms
from sightline.figure.arm import Side
from sightline.figure.armskin import fore_flesh, upper_flesh
from sightline.figure.limits import ArmLimits
from sightline.figure.sheet import BodySheet
from sightline.geometry.frame import FloatArray, Placement
from sightline.props.box import box_size, wall_of
from sightline.scene.prop import CarriedBox, Opening
from sightline.workshop.clearance import within_hole

BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]
STATIONS = 21
RIM_POINTS = 48
CHUNK = 4000


class Crossing(NamedTuple):
    """Where arms (n,) go through the wall: `met` or not, place from the opening's middle (n, 2), which bone (n,) (0 upper
    arm, 1 forearm, 2 hand), how far along it (n,), and along which direction (n, 3)."""

    met: BoolArray
    at: FloatArray
    bone: IntArray
    share: FloatArray
    along: FloatArray


@dataclass(frozen=True)
class ArmWay:
    """One arm and the opening it goes through. `opening` None: nothing is in its way.

    `shoulder` (3,) is in the performer's frame, `cloth_m` what clothing adds to the arm's radius.
    """

    sheet: BodySheet
    side: Side
    shoulder: FloatArray
    limits: ArmLimits
    box: CarriedBox | None
    opening: Opening | None
    prop: Placement
    cloth_m: float

    def shortfall(self, wrists: FloatArray) -> FloatArray:
        """How far (n,) metres wrists (n, 3), performer's frame, are out of reach: > 0 too far, < 0 too near."""
        return arms.shortfall(self.shoulder, wrists, self.sheet.upper_arm_m, self.sheet.forearm_m, self.limits)

    def elbows(self, wrists: FloatArray, swivels_rad: FloatArray) -> FloatArray:
        """Elbows (n, k, 3), performer's frame, of wrists (n, 3) that are within reach."""
        return arms.solve(
            self.shoulder, wrists, self.sheet.upper_arm_m, self.sheet.forearm_m, swivels_rad, self.side,
            limits=self.limits,
        )  # fmt: skip

    def allowed(self, elbows: FloatArray, wrists: FloatArray) -> BoolArray:
        """Which elbows (n, k, 3) of wrists (n, 3), performer's frame, keep every joint within its limits."""
        return arms.allowed(self.shoulder, elbows, wrists[:, None], self.side, self.limits)

    def crossing(self, elbows: FloatArray, wrists: FloatArray, grips: FloatArray) -> Crossing:
        """Where the middle lines of arms go through the opening's wall: points (n, 3), performer's frame."""
        assert self.box is not None
        assert self.opening is not None
        line = self._line(elbows, wrists, grips)
        wall = wall_of(box_size(self.box), self.opening.wall)
        depth = (line - wall.middle) @ wall.outward + self.box.wall / 2
        enters = (depth[:, :-1] > 0) & (depth[:, 1:] <= 0)
        met = np.asarray(enters.any(axis=1))
        bone = enters.argmax(axis=1)
        row = np.arange(len(line))
        a, b, p, q = line[row, bone], line[row, bone + 1], depth[row, bone], depth[row, bone + 1]
        share = np.where(met, p / np.where(p - q == 0, 1.0, p - q), 0.0)
        place = a + (b - a) * share[:, None] - wall.middle
        at = np.column_stack([place @ wall.across, place @ wall.up]) - np.array(self.opening.at)
        long = np.linalg.norm(b - a, axis=1, keepdims=True)
        return Crossing(met, at, bone, share, (b - a) / np.where(long == 0, 1.0, long))

    def passes(self, elbows: FloatArray, wrists: FloatArray, grips: FloatArray) -> tuple[BoolArray, BoolArray]:
        """Of arms (n, 3) each: whose middle line (n,) goes through the hole, and whose clothed flesh (n,) does.

        The flesh is taken as round at the wall, as wide there as the limb's broader side; the test is the distance of
        the hole's rim from the limb's middle line, which is exact for a round limb however slanted.
        """
        if self.box is None or self.opening is None:
            every = np.ones(len(elbows), dtype=bool)
            return every, every
        way = self.crossing(elbows, wrists, grips)
        inside = within_hole(self.opening, way.at)
        line = way.met & (inside <= 0)
        radius = self.radius(way.bone, way.share)
        clear = line & (inside <= -radius)
        for start in range(0, len(clear), CHUNK):
            part = np.flatnonzero(clear[start : start + CHUNK]) + start
            if len(part):
                clear[part] = self._rim_apart(way, part) >= radius[part]
        return line, clear

    def radius(self, bone: IntArray, share: FloatArray) -> FloatArray:
        """Half the breadth (n,) of the clothed arm at places along its bones, metres."""
        table = np.stack([self._half(upper_flesh), self._half(fore_flesh), self._hand()])
        at = np.clip(share, 0.0, 1.0) * (STATIONS - 1)
        low = np.minimum(at.astype(int), STATIONS - 2)
        return np.asarray(table[bone, low] * (low + 1 - at) + table[bone, low + 1] * (at - low) + self.cloth_m)

    def _half(self, flesh: object) -> FloatArray:
        outlines = flesh(self.sheet).outlines(np.linspace(0.0, 1.0, STATIONS), 32)  # type: ignore[operator]
        size = outlines.max(axis=1) - outlines.min(axis=1)
        return np.asarray(size.max(axis=1) / 2)

    def _hand(self) -> FloatArray:
        # From the wrist to the middle of a fist: half the hand's breadth is soon reached.
        half = self.sheet.hand_breadth_m / 2
        wrist = float(self._half(fore_flesh)[-1])
        return np.asarray(np.interp(np.linspace(0.0, 1.0, STATIONS), (0.0, 0.6, 1.0), (wrist, half, half)))

    def _line(self, elbows: FloatArray, wrists: FloatArray, grips: FloatArray) -> FloatArray:
        shoulder = np.broadcast_to(self.shoulder, elbows.shape)
        return self.prop.inverse().points(np.stack([shoulder, elbows, wrists, grips], axis=1))

    def _rim_apart(self, way: Crossing, part: IntArray) -> FloatArray:
        """Least distance (n,) of the rim, on both faces of the wall, from the middle lines of some arms."""
        assert self.box is not None
        assert self.opening is not None
        rim = rim_points(self.opening)
        outward = wall_of(box_size(self.box), self.opening.wall)
        axes = np.column_stack([outward.across, outward.up, outward.outward])
        along = way.along[part] @ axes
        least = np.full(len(part), np.inf)
        for off in (-self.box.wall / 2, self.box.wall / 2):
            points = np.column_stack([rim, np.full(len(rim), off)])
            apart = points[None] - np.column_stack([way.at[part], np.zeros(len(part))])[:, None]
            square = (apart**2).sum(axis=2) - np.einsum("nrk,nk->nr", apart, along) ** 2
            least = np.minimum(least, np.sqrt(np.maximum(square, 0.0)).min(axis=1))
        return least


def rim_points(opening: Opening) -> FloatArray:
    """Points (RIM_POINTS, 2) on the outline of a hole, from its middle."""
    turn = 2 * np.pi * np.arange(RIM_POINTS) / RIM_POINTS
    ray = np.column_stack([np.cos(turn), np.sin(turn)])
    low, high = np.zeros(RIM_POINTS), np.full(RIM_POINTS, float(np.hypot(*opening.size_m)))
    for _ in range(40):  # halving: the outline is met once along each ray
        middle = (low + high) / 2
        inside = within_hole(opening, ray * middle[:, None]) <= 0
        low, high = np.where(inside, middle, low), np.where(inside, high, middle)
    return np.asarray(ray * low[:, None])
