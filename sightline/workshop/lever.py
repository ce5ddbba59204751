"""How far the joints of a false limb move when its mount is a little off: a rigid body on one wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray, unit


@dataclass(frozen=True)
class Lever:
    """What one joint does when the mount errs, for small errors.

    `shift` metres per metre by which the hand is put elsewhere on the wall (always 1: the limb is stiff), `turn_m` and
    `tilt_m` metres per radian of a turn on the wall, and of a hand that does not lie flat (the worse of both ways).
    """

    joint: str
    turn_m: float
    tilt_m: float
    shift: float = 1.0

    def turn_m_per_deg(self) -> float:
        return float(np.radians(1.0)) * self.turn_m

    def tilt_m_per_deg(self) -> float:
        return float(np.radians(1.0)) * self.tilt_m


def lever(joint: str, at: FloatArray, pivot: FloatArray, outward: FloatArray, across: FloatArray) -> Lever:
    """The lever of a joint (3,) about a mount at `pivot` (3,) on a wall with unit axes (3,), all in one frame.

    A point moves by its distance from the axis of the turn times the angle: about the wall's normal for a hand turned on
    the wall, about an axis in the wall for one that is packed up on one side; of the latter the axis square to the
    joint's place on the wall carries it farthest.
    """
    arm = np.asarray(at, dtype=float) - pivot
    up = np.cross(outward, across)
    turn = float(np.hypot(arm @ across, arm @ up))
    # About an axis in the wall the farthest a point can be is its whole distance, when the axis is square to it.
    return Lever(joint, turn, float(np.linalg.norm(arm)))


def turned(at: FloatArray, pivot: FloatArray, axis: FloatArray, angle_rad: float) -> FloatArray:
    """Where a point (3,) goes when the body is turned about an axis through `pivot` (Rodrigues)."""
    k, v = unit(axis), np.asarray(at, dtype=float) - pivot
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    return np.asarray(pivot + v * c + np.cross(k, v) * s + k * (k @ v) * (1.0 - c))


def allowed_deg(limit_m: float, metres_per_radian: float) -> float:
    """The angle, degrees, that moves a joint by `limit_m`; 90 where nothing does."""
    if metres_per_radian <= limit_m / (np.pi / 2):
        return 90.0
    return float(np.degrees(limit_m / metres_per_radian))


def screw_tolerance_m(limit_m: float, reach_m: float, apart_m: float) -> float:
    """How far, metres, each of two screws may be off its place so that a joint stays within `limit_m`.

    Both may be off by t at once: together they carry the limb t along and turn it by 2 t / `apart_m`; a joint `reach_m`
    from between them (measured in the wall's plane) then moves by no more than t (1 + 2 reach / apart).
    """
    return limit_m / (1.0 + 2.0 * reach_m / apart_m)
