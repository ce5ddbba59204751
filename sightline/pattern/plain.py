"""Tubes of plain geometry, whose flat pieces are known by formula: what the checks and the teaching pictures use."""

from __future__ import annotations

import numpy as np

from sightline.figure.arm import Side
from sightline.geometry.frame import FloatArray
from sightline.pattern.bent import STEP_M, Bone, bent_tube
from sightline.pattern.tube import AROUND, Tube


def cylinder(radius_m: float, height_m: float, *, around: int = AROUND, name: str = "cylinder") -> Tube:
    return frustum(radius_m, radius_m, height_m, around=around, name=name)


def frustum(
    top_m: float, low_m: float, height_m: float, *, around: int = AROUND, side: Side = "left", name: str = "frustum"
) -> Tube:
    """A cone's trunk hanging down from the origin: radii at the shoulder and the wrist, and height, metres."""
    t = np.linspace(0.0, 1.0, max(2, int(np.ceil(height_m / STEP_M))) + 1)
    turn = _turns(around)
    ring = _ring(turn, side)
    points = _radius(top_m, low_m, t, around)[:, None, None] * ring + (t * height_m)[:, None, None] * _DOWN
    return Tube(name, side, points, *_shares(t, turn), None, _outward(side))


def oblique(radius_m: float, height_m: float, angle_rad: float, *, around: int = AROUND) -> Tube:
    """A cylinder with its wrist end cut at an angle; `height_m` is its shortest side, at the outer side (angle 0)."""
    turn = _turns(around)
    radius = float(_radius(radius_m, radius_m, np.zeros(1), around)[0])
    long = height_m + radius_m * np.tan(angle_rad) * (1.0 - np.cos(turn))
    t = np.linspace(0.0, 1.0, max(2, int(np.ceil(long.max() / STEP_M))) + 1)
    points = radius * _ring(turn, "left") + (t[:, None] * long)[..., None] * _DOWN
    return Tube("oblique cylinder", "left", points, *_shares(t, turn), None, _outward("left"))


def elbow(
    radii_m: tuple[float, float, float],
    lengths_m: tuple[float, float],
    bend_rad: float,
    *,
    around: int = AROUND,
    side: Side = "left",
) -> Tube:
    """Two cones that meet at a bent elbow, a crease inside and a ball outside: radii at shoulder, elbow and wrist."""
    turn = _turns(around)
    ring = _ring(turn, side)
    t = np.linspace(0.0, 1.0, 61)
    out, front = ring[0], np.array([0.0, -1.0, 0.0])
    joint = lengths_m[0] * _DOWN
    along = np.cos(bend_rad) * _DOWN + np.sin(bend_rad) * front
    fore_front = np.cos(bend_rad) * front - np.sin(bend_rad) * _DOWN
    fore_ring = np.cos(turn)[:, None] * out + np.sin(turn)[:, None] * fore_front
    wrist = joint + lengths_m[1] * along
    upper = _radius(radii_m[0], radii_m[1], t, around)[:, None, None] * ring + (t * lengths_m[0])[:, None, None] * _DOWN
    # From the wrist to the elbow.
    back = wrist + (t * lengths_m[1])[:, None, None] * -along
    fore = _radius(radii_m[2], radii_m[1], t, around)[:, None, None] * fore_ring + back
    return bent_tube(
        "elbow", side, Bone(upper, np.zeros(3), joint), Bone(fore, wrist, joint), turn, _outward(side)
    )  # fmt: skip


_DOWN = np.array([0.0, 0.0, -1.0])


def _turns(around: int) -> FloatArray:
    return np.asarray(2.0 * np.pi * np.arange(around) / around)


def _ring(turn: FloatArray, side: Side) -> FloatArray:
    """Unit circle (n, 3) from the outer side (+x of a left limb) through the front (-y)."""
    x = 1.0 if side == "left" else -1.0
    return np.stack([x * np.cos(turn), -np.sin(turn), np.zeros_like(turn)], axis=-1)


def _radius(first_m: float, last_m: float, t: FloatArray, around: int) -> FloatArray:
    """Radii of the corners whose polygon is as long as the circle."""
    chord = (np.pi / around) / np.sin(np.pi / around)
    return np.asarray((first_m + (last_m - first_m) * t) * chord)


def _shares(t: FloatArray, turn: FloatArray) -> tuple[FloatArray, FloatArray]:
    share = np.repeat(t[:, None], len(turn), axis=1)
    return share, np.broadcast_to(turn, share.shape).copy()


def _outward(side: Side) -> int:
    """(next ring) x (next column): down x front points inwards on the outer side of a left limb."""
    return -1 if side == "left" else 1
