"""A left hand: palm, four fingers, opposed thumb. Right hands are its mirror image.

Hand's own frame: wrist joint at the origin, +x to the thumb side, +y out of the palm, +z to the fingertips, metres.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from sightline.figure.loft import dome, girths, smooth, solid, superellipse, swept, tube
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh

if TYPE_CHECKING:
    from manifold3d import Manifold

# Wrist breadth over depth. From memory.
WRIST_ASPECT = 1.38


class HandSize(NamedTuple):
    """Metres: length wrist to fingertip, breadth and girth at the knuckles, wrist girth, extra radius of a glove."""

    length_m: float
    breadth_m: float
    girth_m: float
    wrist_girth_m: float
    extra_m: float = 0.0


class _Finger(NamedTuple):
    """Knuckle as shares of hand breadth (x) and length (z); length, share of hand length; sideways lean, degrees."""

    across: float
    along: float
    length: float
    lean_deg: float
    thick: float


# Index, middle, ring, little: shares read off hand outlines in general; from memory.
_FINGERS = (
    _Finger(0.345, 0.470, 0.445, 3.5, 1.00),
    _Finger(0.115, 0.485, 0.500, 0.5, 1.03),
    _Finger(-0.115, 0.470, 0.465, -2.5, 0.98),
    _Finger(-0.335, 0.435, 0.385, -6.0, 0.87),
)
_PHALANGES = (0.0, 0.50, 0.78, 1.0)


@lru_cache(maxsize=64)
def left_hand(size: HandSize, coarse: bool, curl: float) -> Manifold:
    """The hand as one solid in its own frame; `curl` 0 is a flat hand, 1 a fist."""
    from manifold3d import Manifold, OpType

    parts = [_palm(size, coarse)]
    if coarse:
        parts += [_mitten(size, curl), _thumb(size, coarse, curl)]
    else:
        parts += [_finger(size, finger, curl * (0.92 + 0.08 * i)) for i, finger in enumerate(_FINGERS)]
        parts.append(_thumb(size, coarse, curl))
    return Manifold.batch_boolean([solid(part) for part in parts], OpType.Add)


def _palm(size: HandSize, coarse: bool) -> Mesh:
    length, breadth = size.length_m, size.breadth_m
    wrist_wide = size.wrist_girth_m / np.pi * 1.158
    wrist_deep = wrist_wide / WRIST_ASPECT
    at = [-0.03, 0.0, 0.12, 0.25, 0.38, 0.45, 0.49]
    wide = [wrist_wide, wrist_wide, 0.86 * breadth, 0.97 * breadth, breadth, 0.995 * breadth, 0.95 * breadth]
    deep = [wrist_deep, wrist_deep, 0.43 * breadth, 0.39 * breadth, 0.33 * breadth, 0.30 * breadth, 0.25 * breadth]
    middle = [0.0, 0.0, 0.03 * breadth, 0.03 * breadth, 0.01 * breadth, -0.005 * breadth, 0.0]
    power = [2.1, 2.1, 2.4, 2.6, 2.7, 2.7, 2.6]
    sides, count = (10, 4) if coarse else (28, 13)
    z = np.linspace(-0.03, 0.49, count)
    read = smooth(at, np.column_stack([wide, deep, middle, power]), z)
    flat = superellipse(sides, read[:, 3]) * (read[:, None, :2] / 2.0)
    # The tape's girth fixes the outline at the knuckles, and fades out towards the wrist's own girth.
    knuckles = superellipse(sides, [2.7]) * (np.array([breadth, 0.33 * breadth]) / 2.0)
    fit = size.girth_m / float(girths(knuckles)[0])
    flat = flat * (1.0 + (fit - 1.0) * np.clip(z / 0.35, 0.0, 1.0))[:, None, None]
    flat = _thicker(flat, size.extra_m)
    flat[..., 1] += read[:, 2:3]
    rise, share = dome(0.035 * length, 1 if coarse else 3)
    centres = np.column_stack([np.zeros(count), np.zeros(count), z * length])
    caps = flat[-1] * share[:, None, None]
    tops = np.column_stack([np.zeros(len(rise)), np.zeros(len(rise)), 0.49 * length + rise])
    across, out = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    rings = swept(np.concatenate([centres, tops]), across, out, np.concatenate([flat, caps]))
    # Knuckles end in an arc that falls off towards the little finger.
    slope = np.clip(rings[..., 2] / (0.49 * length), 0.0, 1.0) ** 2
    rings[..., 2] -= slope * 0.16 * (0.25 * rings[..., 0] ** 2 / breadth * 4 - 0.35 * (rings[..., 0] - 0.1 * breadth))
    return tube(rings, [0.0, 0.0, -0.06 * length], None)


def _thicker(flat: FloatArray, extra_m: float) -> FloatArray:
    if extra_m == 0.0:
        return flat
    size = np.linalg.norm(flat, axis=-1, keepdims=True)
    return np.asarray(flat * (1.0 + extra_m / np.maximum(size, 1e-6)))


def _path(
    start: FloatArray, direction: FloatArray, bend: FloatArray, lengths: FloatArray, turns: FloatArray
) -> FloatArray:
    """Joints (k, 3) of a digit: from `start` along `direction`, turning by `turns` towards `bend` before each bone."""
    points, heading, toward_palm = [start], direction, bend
    for length, turn in zip(lengths, turns, strict=True):
        c, s = np.cos(turn), np.sin(turn)
        heading, toward_palm = c * heading + s * toward_palm, c * toward_palm - s * heading
        points.append(points[-1] + length * heading)
    return np.array(points)


def _digit(joints: FloatArray, radii: FloatArray, side_axis: FloatArray, sides: int, count: int, domes: int) -> Mesh:
    """A rounded tube through `joints` (k, 3), radius `radii` (k,) at them; bends are smoothed over the finger."""
    steps = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(joints, axis=0), axis=1))])
    total = steps[-1]
    # Corners are rounded by averaging the path over about one finger thickness.
    at = np.linspace(0.0, total - radii[-1] * 0.9, count)
    spread = np.linspace(-0.9, 0.9, 7) * radii.mean()
    path = np.mean([_along(joints, steps, at + o) for o in spread], axis=0)
    tangent = unit(np.gradient(path, axis=0))
    across = unit(side_axis - (tangent @ side_axis)[:, None] * tangent)
    along = np.cross(tangent, across)
    radius = smooth(steps, radii, at)
    flat = superellipse(sides, 2.2) * radius[:, None, None]
    rise, share = dome(radii[-1] * 0.9, domes)
    rings = swept(
        np.concatenate([path, path[-1] + rise[:, None] * tangent[-1]]),
        np.concatenate([across, np.repeat(across[-1:], domes, 0)]),
        np.concatenate([along, np.repeat(along[-1:], domes, 0)]),
        np.concatenate([flat, flat[-1] * share[:, None, None]]),
    )
    tip = path[-1] + radii[-1] * 0.9 * tangent[-1]
    return tube(rings, path[0] - tangent[0] * radius[0] * 0.5, tip)


def _along(joints: FloatArray, steps: FloatArray, at: FloatArray) -> FloatArray:
    """Points (m, 3) at arc lengths `at` on the polyline, carried straight on beyond both ends."""
    inside = np.clip(at, 0.0, steps[-1])
    points = np.column_stack([np.interp(inside, steps, joints[:, k]) for k in range(3)])
    before = np.minimum(at, 0.0)[:, None] * unit(joints[1] - joints[0])
    after = np.maximum(at - steps[-1], 0.0)[:, None] * unit(joints[-1] - joints[-2])
    return np.asarray(points + before + after)


def _finger(size: HandSize, finger: _Finger, curl: float) -> Mesh:
    length, breadth = size.length_m, size.breadth_m
    lean = np.radians(finger.lean_deg)
    start = np.array([finger.across * breadth, -0.005 * breadth, finger.along * length])
    direction = np.array([np.sin(lean), 0.0, np.cos(lean)])
    bones = np.diff(_PHALANGES) * finger.length * length
    turns = np.radians([2.0 + 78.0 * curl, 3.0 + 92.0 * curl, 2.0 + 60.0 * curl])
    joints = _path(start, direction, np.array([0.0, 1.0, 0.0]), bones, turns)
    radii = np.array([0.118, 0.112, 0.100, 0.083]) * breadth * finger.thick + size.extra_m
    return _digit(joints, radii, np.array([1.0, 0.0, 0.0]), 12, 13, 3)


def _thumb(size: HandSize, coarse: bool, curl: float) -> Mesh:
    length, breadth = size.length_m, size.breadth_m
    start = np.array([0.20 * breadth, 0.06 * breadth, 0.10 * length])
    direction = unit([0.56 - 0.2 * curl, 0.26 + 0.3 * curl, 0.80])
    inward = unit(np.cross(direction, [0.55, -0.83, 0.0]))
    inward = inward if inward[0] < 0 else -inward
    bones = np.array([0.235, 0.175, 0.145]) * length
    turns = np.array([0.0, 0.22 + 0.3 * curl, 0.05 + 0.5 * curl])
    joints = _path(start, direction, inward, bones, turns)
    radii = np.array([0.185, 0.150, 0.122, 0.100]) * breadth + size.extra_m
    sides, count, domes = (5, 4, 1) if coarse else (14, 13, 3)
    return _digit(joints, radii, unit(np.cross(joints[1] - joints[0], inward)), sides, count, domes)


def _mitten(size: HandSize, curl: float) -> Mesh:
    """Four fingers as one slab: covers what the fingers cover, with far fewer triangles."""
    length, breadth = size.length_m, size.breadth_m
    bones = np.diff(_PHALANGES) * 0.485 * length
    turns = np.radians([2.0 + 78.0 * curl, 3.0 + 92.0 * curl, 2.0 + 60.0 * curl])
    joints = _path(np.array([0.0, 0.0, 0.47 * length]), np.array([0, 0, 1.0]), np.array([0, 1.0, 0]), bones, turns)
    steps = np.concatenate([[0.0], np.cumsum(bones)])
    at = np.linspace(0.0, steps[-1] - 0.06 * breadth, 5)
    spread = np.linspace(-0.1, 0.1, 5) * breadth
    path = np.mean([_along(joints, steps, at + o) for o in spread], axis=0)
    tangent = unit(np.gradient(path, axis=0))
    wide = smooth([0.0, 0.5, 0.8, 1.0], [0.475, 0.47, 0.40, 0.22], at / steps[-1]) * breadth + size.extra_m
    thick = smooth([0.0, 0.5, 1.0], [0.115, 0.105, 0.075], at / steps[-1]) * breadth + size.extra_m
    flat = superellipse(8, 2.6) * np.stack([wide, thick], axis=-1)[:, None, :]
    rings = swept(path, np.array([1.0, 0.0, 0.0]), np.cross(tangent, [1.0, 0.0, 0.0]), flat)
    rings[..., 0] += np.linspace(0.0, 0.03, len(at))[:, None] * breadth
    return tube(rings, None, path[-1] + 0.06 * breadth * tangent[-1])


def to_body(wrist: FloatArray, hand: FloatArray, palm: FloatArray) -> FloatArray:
    """Affine (3, 4) that carries a left hand to its wrist, fingers along `hand`, palm facing `palm` (square units)."""
    return np.column_stack([np.cross(palm, hand), palm, hand, wrist])
