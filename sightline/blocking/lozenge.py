"""A four-cornered shape to tape out round a mark, inside a region that is known along its bearings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray

# Bearings are as facings: 0 is downstage, 90 deg stage left. One corner on each.
CORNERS_RAD = (0.0, np.pi / 2, np.pi, -np.pi / 2)
# Corners are grown one after the other this often; no more is gained after that.
ROUNDS = 4
# Nobody tapes out more than this. Common practice, no source.
MOST_M = 0.60
SAMPLES = 720
# A place that does not hold pulls the region in this far to either side.
NOTCH_RAD = float(np.radians(3.0))


@dataclass(frozen=True)
class Lozenge:
    """How far its corners are from the mark, m: downstage, to stage left, upstage, to stage right."""

    down_m: float
    left_m: float
    up_m: float
    right_m: float

    @property
    def corners_m(self) -> FloatArray:
        """(4, 2), from the mark."""
        return np.array([(0.0, -self.down_m), (self.left_m, 0.0), (0.0, self.up_m), (-self.right_m, 0.0)])

    def edge_m(self, count: int) -> FloatArray:
        """Places (4 count, 2) along its edges, `count` from each corner to the next, corners included."""
        corners = self.corners_m
        share = np.arange(count)[None, :, None] / count
        return np.asarray((corners[:, None] + share * (np.roll(corners, -1, axis=0) - corners)[:, None]).reshape(-1, 2))

    def inside_m(self, step_m: float) -> FloatArray:
        """Places (n, 2) on its edges about `step_m` apart, and at three quarters, half and a quarter of the way in."""
        longest = float(np.linalg.norm(np.roll(self.corners_m, -1, axis=0) - self.corners_m, axis=1).max())
        edge = self.edge_m(max(2, int(np.ceil(longest / step_m))))
        return np.round(
            np.concatenate([edge, *[edge[:: 3 - k] * share for k, share in enumerate((0.75, 0.5, 0.25))]]), 6
        )

    def scaled(self, share: float) -> Lozenge:
        return Lozenge(self.down_m * share, self.left_m * share, self.up_m * share, self.right_m * share)


def within(polygon_m: FloatArray) -> Lozenge:
    """The lozenge with about the most area inside a polygon (n, 2) round the mark at (0, 0), which sees all of it, and
    with no corner farther out than MOST_M.

    In the quarter between corners at distances a and b, its edge at an angle t from the first is where
    cos t / a + sin t / b = 1 / r; it is inside while that sum is at least 1 / (the polygon's radius at t).
    """
    bearing = np.linspace(-np.pi, np.pi, SAMPLES, endpoint=False)
    radius = _capped(polygon_m, bearing)
    least = float(radius.min())
    if least <= 1e-6:
        return Lozenge(0.0, 0.0, 0.0, 0.0)
    inverse = np.full(4, 1.0 / least)  # one over the distance of each corner; the inscribed square to begin with
    at = np.array(CORNERS_RAD)
    quarter = [np.remainder(bearing - corner, 2 * np.pi) for corner in at]
    for _ in range(ROUNDS):
        for k in np.argsort(-_capped(polygon_m, at)):
            needed = float(1.0 / _capped(polygon_m, at[k : k + 1])[0])
            for own, turn in ((k, 1), ((k - 1) % 4, -1)):
                inside = quarter[own] <= np.pi / 2 - 1e-9
                t = quarter[own][inside]
                mine, other = (np.cos(t), np.sin(t)) if turn == 1 else (np.sin(t), np.cos(t))
                neighbour = inverse[(k + turn) % 4]
                some = mine > 1e-6
                rest = 1.0 / radius[inside][some] - other[some] * neighbour
                needed = max(needed, float((rest / mine[some]).max()))
            inverse[k] = needed
    return Lozenge(*(1.0 / inverse).tolist())


def notched(polygon_m: FloatArray, spot_m: tuple[float, float], back_m: float) -> FloatArray:
    """The polygon (n, 2) pulled in to `back_m` before a spot within it that does not hold, over a few degrees there."""
    bearing = float(np.arctan2(spot_m[0], -spot_m[1]))
    radius = max(0.0, float(np.hypot(*spot_m)) - back_m)
    own = np.arctan2(polygon_m[:, 0], -polygon_m[:, 1])
    aside = np.remainder(own - bearing + np.pi, 2 * np.pi) - np.pi
    length = np.linalg.norm(polygon_m, axis=1)
    kept = np.where(np.abs(aside) <= NOTCH_RAD, np.minimum(length, radius), length)
    turns = bearing + np.array([-NOTCH_RAD, 0.0, NOTCH_RAD])
    here = np.minimum(radii(polygon_m, turns), radius)
    every, far = np.concatenate([own, turns]), np.concatenate([kept, here])
    order = np.argsort(np.remainder(every, 2 * np.pi), kind="stable")
    return np.column_stack([far * np.sin(every), -far * np.cos(every)])[order]


def _capped(polygon_m: FloatArray, bearing_rad: FloatArray) -> FloatArray:
    return np.minimum(radii(polygon_m, bearing_rad), MOST_M)


def radii(polygon_m: FloatArray, bearing_rad: FloatArray) -> FloatArray:
    """How far a polygon (n, 2) reaches from (0, 0) along bearings (b,): where each meets an edge; the nearest one."""
    start, step = polygon_m, np.roll(polygon_m, -1, axis=0) - polygon_m
    ahead = np.column_stack([np.sin(bearing_rad), -np.cos(bearing_rad)])
    # r * ahead = start + s * step, solved by Cramer's rule for every bearing (b) and edge (n).
    across = ahead[:, None, 0] * step[None, :, 1] - ahead[:, None, 1] * step[None, :, 0]
    across = np.where(np.abs(across) < 1e-15, np.nan, across)
    out = (start[None, :, 0] * step[None, :, 1] - start[None, :, 1] * step[None, :, 0]) / across
    share = (start[None, :, 0] * ahead[:, None, 1] - start[None, :, 1] * ahead[:, None, 0]) / across
    good = (share >= -1e-9) & (share <= 1 + 1e-9) & (out >= 0)
    return np.asarray(np.where(good, out, np.inf).min(axis=1, initial=np.inf))
