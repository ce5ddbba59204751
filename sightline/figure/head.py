"""The head with its face, and the neck that carries it."""

from __future__ import annotations

import numpy as np

from sightline.figure.loft import girths, smooth, solid, superellipse, swept, tube
from sightline.figure.sheet import BodySheet
from sightline.figure.skeleton import Skeleton, head_pivot_height
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh

# One ring a row, chin to crown. Shares: front point (height of the head above the chin, half head length forward), back
# point the same, half breadth over half the head breadth, egg shape (positive = narrower in front), exponent.
# A profile of our own, drawn to the published head length, breadth and height.
_PROFILE = np.array(
    [
        (0.010, 0.580, 0.205, -0.280, 0.42, 0.34, 2.1),
        (0.012, 0.690, 0.190, -0.420, 0.575, 0.36, 2.1),
        (0.050, 0.765, 0.195, -0.520, 0.675, 0.37, 2.1),
        (0.105, 0.785, 0.215, -0.590, 0.735, 0.36, 2.1),
        (0.160, 0.795, 0.240, -0.640, 0.775, 0.34, 2.1),
        (0.215, 0.805, 0.275, -0.690, 0.805, 0.31, 2.1),
        (0.265, 0.812, 0.310, -0.740, 0.832, 0.28, 2.1),
        (0.325, 0.822, 0.355, -0.800, 0.862, 0.24, 2.1),
        (0.390, 0.838, 0.405, -0.865, 0.895, 0.20, 2.15),
        (0.455, 0.855, 0.460, -0.920, 0.922, 0.17, 2.2),
        (0.515, 0.878, 0.515, -0.962, 0.942, 0.14, 2.2),
        (0.570, 0.905, 0.570, -0.990, 0.965, 0.11, 2.2),
        (0.625, 0.925, 0.628, -1.000, 0.988, 0.09, 2.15),
        (0.700, 0.922, 0.700, -0.983, 1.000, 0.08, 2.1),
        (0.780, 0.862, 0.780, -0.918, 0.955, 0.06, 2.1),
        (0.860, 0.728, 0.860, -0.790, 0.830, 0.04, 2.05),
        (0.925, 0.525, 0.925, -0.590, 0.640, 0.02, 2.0),
        (0.970, 0.295, 0.970, -0.365, 0.400, 0.0, 2.0),
        (0.992, 0.115, 0.992, -0.185, 0.195, 0.0, 2.0),
    ]
)
_CROWN = (1.0, -0.03)


def head_rings(sheet: BodySheet, sides: int, count: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Rings (count, sides, 3) from jaw to crown about the head's pivot, face to -y, and both end points."""
    row = np.arange(len(_PROFILE), dtype=float)
    read = smooth(row, _PROFILE, np.linspace(0.0, row[-1], count))
    tall, half, wide = sheet.head_height_m, sheet.head_length_m / 2.0, sheet.head_breadth_m / 2.0
    down = sheet.chin_height_m - head_pivot_height(sheet)
    # Angles crowd towards the face, where nose and eyes need them.
    even = 2.0 * np.pi * np.arange(sides) / sides
    turn = even - 0.42 * np.sin(even)
    c, s = np.cos(turn), np.sin(turn)
    power = (2.0 / read[:, 6])[:, None]
    ahead = np.sign(c) * np.abs(c) ** power
    aside = np.sign(s) * np.abs(s) ** power * read[:, 4:5] * (1.0 - read[:, 5:6] * c)
    front, back = read[:, 0:2], read[:, 2:4]
    share = (1.0 + ahead) / 2.0
    v = back[:, None, 0] + (front[:, None, 0] - back[:, None, 0]) * share
    f = back[:, None, 1] + (front[:, None, 1] - back[:, None, 1]) * share
    f = f + _features(v, aside * wide / half, ahead)
    rings = np.stack([aside * wide, -f * half, v * tall + down], axis=-1)
    # The tape runs above the brows and over the occiput; scaled about the axis, the face keeps its shape.
    band = np.array([np.interp(0.66, read[:, 0], girths(rings[..., :2]))])
    rings[..., :2] *= sheet.head_girth_m / band[0]
    low = np.array([0.0, -0.16 * half, 0.13 * tall + down])
    return rings, low, np.array([0.0, -_CROWN[1] * half, tall + down])


def _features(v: FloatArray, x: FloatArray, ahead: FloatArray) -> FloatArray:
    """Nose, eye hollows, brow, cheeks and mouth as forward shares of half the head length."""
    face = np.clip(ahead, 0.0, 1.0) ** 0.5

    def swell(at: float, off: float, tall: float, wide: float) -> FloatArray:
        return np.asarray(np.exp(-(((v - at) / tall) ** 2) - ((np.abs(x) - off) / wide) ** 2))

    ridge = np.interp(v, [0.285, 0.315, 0.345, 0.40, 0.47, 0.53, 0.59], [0.0, 0.13, 0.195, 0.155, 0.085, 0.025, 0.0])
    width = np.interp(v, [0.30, 0.34, 0.40, 0.53], [0.105, 0.098, 0.075, 0.068])
    nose = ridge * np.exp(-((np.abs(x) / width) ** 2.2))
    wings = 0.050 * swell(0.325, 0.125, 0.028, 0.055)
    eyes = -0.085 * swell(0.508, 0.30, 0.050, 0.15) + 0.045 * swell(0.500, 0.31, 0.027, 0.085)
    bridge = -0.030 * swell(0.520, 0.0, 0.030, 0.08)
    brow = 0.022 * swell(0.578, 0.22, 0.030, 0.20)
    cheek = 0.030 * swell(0.385, 0.42, 0.075, 0.15)
    lips = 0.026 * swell(0.248, 0.0, 0.017, 0.150) + 0.030 * swell(0.205, 0.0, 0.018, 0.125)
    mouth = -0.020 * swell(0.227, 0.0, 0.008, 0.165)
    groove = -0.030 * swell(0.155, 0.0, 0.025, 0.16)
    chin = 0.040 * swell(0.085, 0.0, 0.045, 0.15)
    return np.asarray(face * (nose + wings + eyes + bridge + brow + cheek + lips + mouth + groove + chin))


def _ear(sheet: BodySheet) -> Mesh:
    """A left ear: a flattened oval shell standing off the head."""
    tall, half, wide = sheet.head_height_m, sheet.head_length_m / 2.0, sheet.head_breadth_m / 2.0
    girth = sheet.head_girth_m / 0.57
    pole = np.linspace(-1.0, 1.0, 13)[1:-1]
    width = np.sqrt(1.0 - pole**2) * np.interp(pole, [-1, -0.3, 0.5, 1], [0.75, 0.85, 1.0, 0.95])
    flat = superellipse(14, 2.0) * (width[:, None] * np.array([0.0085 * girth, 0.155 * half]))[:, None, :]
    down = sheet.chin_height_m - head_pivot_height(sheet)
    z = (0.45 + 0.135 * pole) * tall + down
    # Set back a little towards the top, and standing off behind.
    centres = np.column_stack([np.full(11, 0.955 * wide), (0.12 + 0.05 * pole) * half, z])
    out, back = unit([0.90, 0.44, 0.0]), unit([-0.44, 0.90, 0.0])
    rings = swept(centres + 0.004 * girth * out, out, back, flat)
    lean = np.array([0.0, 0.03 * half, 0.0])
    return tube(rings, centres[0] - [0, 0, 0.016 * tall] - lean, centres[-1] + [0, 0, 0.016 * tall])


def head_mesh(sheet: BodySheet, skeleton: Skeleton, *, coarse: bool = False) -> Mesh:
    """Head, ears and neck as one closed solid where the skeleton's skull and trunk put them."""
    from manifold3d import Manifold, OpType

    rings, low, top = head_rings(sheet, 28 if coarse else 64, 18 if coarse else 50)
    skull = tube(rings, low, top)
    parts = [skull.placed(skeleton.skull)]
    if not coarse:
        ear = _ear(sheet)
        parts += [ear.placed(skeleton.skull), ear.mirrored_x().placed(skeleton.skull)]
    parts.append(neck_mesh(sheet, skeleton, coarse=coarse))
    return Mesh.from_manifold(Manifold.batch_boolean([solid(p) for p in parts], OpType.Add).simplify(2e-5))


def neck_mesh(sheet: BodySheet, skeleton: Skeleton, *, coarse: bool = False) -> Mesh:
    """A neck from inside the trunk to inside the skull, bent to follow the head; girth exact at its middle."""
    tall, h = sheet.head_height_m, sheet.stature_m
    radius = sheet.neck_girth_m / (2.0 * np.pi)
    up = skeleton.trunk.rotation[:, 2]
    base = skeleton.neck - 0.020 * h * up
    top = skeleton.skull.points([0.0, 0.16 * sheet.head_length_m / 2.0, 0.06 * tall])
    sides, count = (16, 6) if coarse else (40, 16)
    t = np.linspace(0.0, 1.0, count)[:, None]
    # A quadratic through the trunk's own direction at the root keeps the nape smooth under a turned head.
    knee = base + 0.55 * np.linalg.norm(top - base) * up
    centres = (1 - t) ** 2 * base + 2 * t * (1 - t) * knee + t**2 * top
    tangent = unit(2 * (1 - t) * (knee - base) + 2 * t * (top - knee))
    side = unit((1 - t) * skeleton.trunk.rotation[:, 0] + t * skeleton.skull.rotation[:, 0])
    side = unit(side - np.sum(side * tangent, axis=1, keepdims=True) * tangent)
    ahead = np.cross(tangent, side)
    swell = smooth([0.0, 0.3, 0.5, 0.75, 1.0], [0.74, 0.97, 1.0, 0.99, 0.93], t[:, 0])
    flat = superellipse(sides, np.full(count, 2.0)) * np.array([0.97, 1.03])
    flat = flat * (2.0 * np.pi * radius * swell / girths(flat))[:, None, None]
    return tube(swept(centres, side, ahead, flat), None, None)
