"""Rings of a bent limb that never cross: square to each bone, and tilted gradually into the mitre plane at the elbow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.errors import SightlineError
from sightline.figure.arm import Side
from sightline.geometry.frame import FloatArray, unit
from sightline.pattern.tube import Tube

# Rings at most this far apart along a bone.
STEP_M = 0.007
# An elbow bent less than this has no mitre plane that could be told from the section across the limb.
LEAST_BEND_DEG = 0.5
# The stretch over which rings tilt, in widths of what the mitre takes off the inside of the bend; more than 1, so that
# no ring meets the next.
TILT_WIDTHS, LEAST_TILT_M = 2.5, 0.04
# Points of a joint's ball count as this much short of the elbow's share, for the ball has no share of its own.
BALL_SHARE = 1e-6


@dataclass(frozen=True)
class Bone:
    """One bone's skin from its far end to the elbow: `points` (k, n, 3) m at even fractions, square to the bone."""

    points: FloatArray
    far: FloatArray
    joint: FloatArray

    @property
    def length_m(self) -> float:
        return float(np.linalg.norm(self.joint - self.far))

    @property
    def along(self) -> FloatArray:
        return unit(self.joint - self.far)


def bent_tube(name: str, side: Side, upper: Bone, fore: Bone, around: FloatArray, outward: int) -> Tube:
    """The tube of two bones that share `joint`; `around` (n,) are the columns' angles.

    On the inside of the bend the skins meet in a crease, outside they run on over a ball about the elbow, as the limb's
    mesh does. The ring of the mitre plane is the mean of both bones', and either bone's last rings are led to it.
    Raises SightlineError where the bend folds a bone's whole skin away.
    """
    u, w = upper.along, -fore.along
    bend = float(np.arccos(np.clip(u @ w, -1.0, 1.0)))
    whole = upper.length_m + fore.length_m
    split = upper.length_m / whole
    if np.degrees(bend) < LEAST_BEND_DEG:
        rows = [_resampled(upper, _even(upper.length_m)), _resampled(fore, _even(fore.length_m))[::-1][1:]]
        at = [_even(upper.length_m) * split, 1.0 - _even(fore.length_m)[::-1][1:] * (1.0 - split)]
        points, share = np.concatenate(rows), np.concatenate(at)
        shares = np.repeat(share[:, None], points.shape[1], axis=1)
        return Tube(name, side, points, shares, np.broadcast_to(around, shares.shape).copy(), None, outward)
    hinge, mitre = unit(np.cross(u, w)), unit(u + w)
    near = _Half(upper, mitre, hinge, bend / 2.0, name, "upper arm")
    away = _Half(fore, -mitre, hinge, -bend / 2.0, name, "forearm")
    ring = (near.end + away.end) / 2.0
    first, t_first = near.rows(ring)
    last, t_last = away.rows(ring)
    points = np.concatenate([first, last[::-1][1:]])
    # Fractions of the bones to shares of the limb; both halves meet in the elbow's own share.
    share = np.concatenate([_capped(t_first) * split, 1.0 - (_capped(t_last) * (1.0 - split))[::-1][1:]])
    elbow = len(first) - 1
    share[elbow] = split
    return Tube(name, side, points, share, np.broadcast_to(around, share.shape).copy(), elbow, outward)


def _capped(t: FloatArray) -> FloatArray:
    """Fractions of a bone, those on the ball (1 to 2) squeezed into the last `BALL_SHARE`."""
    ball = np.clip(t - 1.0, 0.0, 1.0)
    return np.asarray(np.where(t > 1.0 - BALL_SHARE, 1.0 - BALL_SHARE * (1.0 - ball), t))


def _even(length_m: float) -> FloatArray:
    return np.linspace(0.0, 1.0, max(2, int(np.ceil(length_m / STEP_M))) + 1)


def _resampled(bone: Bone, t: FloatArray) -> FloatArray:
    from scipy.interpolate import CubicSpline

    return np.asarray(CubicSpline(np.linspace(0.0, 1.0, len(bone.points)), bone.points, axis=0)(t))


class _Half:
    """One bone's columns, each from the far end to where it meets the mitre plane."""

    def __init__(self, bone: Bone, mitre: FloatArray, hinge: FloatArray, turn_rad: float, name: str, part: str):
        from scipy.interpolate import CubicSpline

        self.bone, self.hinge, self.turn = bone, hinge, turn_rad
        knots = np.linspace(0.0, 1.0, len(bone.points))
        self.curves = CubicSpline(knots, bone.points, axis=0)
        fine = np.linspace(0.0, 1.0, 481)
        beyond = (self.curves(fine) - bone.joint) @ mitre
        # How far along the bone each column gets: 1 outside the bend, less where the crease cuts it.
        crosses = beyond > 0.0
        cut = crosses.any(axis=0)
        k = np.where(cut, np.argmax(crosses, axis=0), len(fine) - 1)
        if np.any(k == 0):
            raise SightlineError(
                f"'{name}' is bent so far that the crease of the elbow takes off the whole {part}; open the elbow, or make "
                "the limb thinner."
            )
        columns = np.arange(len(k))
        before, after = beyond[k - 1, columns], beyond[k, columns]
        share = np.where(cut, -before / np.where(cut, after - before, 1.0), 1.0)
        self.stop = np.where(cut, fine[k - 1] + share * (fine[1] - fine[0]), 1.0)
        offset = bone.points[-1] - bone.joint
        # The ball: the last section turned about the hinge until it lies in the mitre plane.
        lever = np.linalg.norm(offset - (offset @ hinge)[:, None] * hinge, axis=1)
        self.arc = np.where(cut, 0.0, lever * abs(turn_rad))
        self.reach = self.stop * bone.length_m + self.arc
        self.end = self.at(self.reach[None])[0][0]
        self.end -= ((self.end - bone.joint) @ mitre)[:, None] * mitre
        taken = float(bone.length_m - self.reach.min())
        self.tilt = max(TILT_WIDTHS * taken, LEAST_TILT_M)
        if self.tilt >= 0.95 * bone.length_m:
            self.tilt = 0.95 * bone.length_m
            if self.tilt < 1.15 * taken:
                raise SightlineError(
                    f"'{name}' is bent so far, and is so thick, that its skin crosses itself at the {part}'s end at the elbow; open the "
                    "elbow, or make the limb thinner."
                )

    def at(self, far_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Points (m, n, 3) at distances (m, n) along each column, and fractions of the bone, 1 to 2 on the ball."""
        t = np.clip(far_m / self.bone.length_m, 0.0, 1.0)
        flat = np.stack([self.curves(t[:, j])[:, j] for j in range(t.shape[1])], axis=1)
        over = np.maximum(far_m - self.bone.length_m, 0.0)
        share = np.divide(over, self.arc, out=np.zeros_like(over), where=self.arc > 1e-9)
        ball = over > 0.0
        offset = flat - self.bone.joint
        angle = (share * self.turn)[..., None]
        along = (offset @ self.hinge)[..., None] * self.hinge
        turned = along + np.cos(angle) * (offset - along) + np.sin(angle) * np.cross(self.hinge, offset)
        return np.where(ball[..., None], self.bone.joint + turned, flat), np.where(ball, 1.0 + share, t)

    def rows(self, ring: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Rings (m, n, 3) from the far end to `ring` (n, 3), and their fractions of the bone (m, n)."""
        begin = self.bone.length_m - self.tilt
        straight = np.linspace(0.0, begin, max(1, int(np.ceil(begin / STEP_M))) + 1)[:-1]
        q = np.linspace(0.0, 1.0, int(np.ceil(self.tilt / STEP_M)) + 1)[:, None]
        far = np.concatenate([np.repeat(straight[:, None], len(self.reach), axis=1), begin + q * (self.reach - begin)])
        points, t = self.at(far)
        fade = np.concatenate([np.zeros((len(straight), 1)), q * q * (3.0 - 2.0 * q)])[..., None]
        points = points + fade * (ring - points[-1])
        return points, t
