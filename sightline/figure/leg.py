"""Legs with thigh, knee, calf and ankle, in shoes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from sightline.figure.arm import SIDES, Side, outward
from sightline.figure.armframe import as_left
from sightline.figure.limb import Flesh, bone
from sightline.figure.loft import smooth, solid, tube
from sightline.figure.sheet import BodySheet
from sightline.figure.skeleton import Skeleton
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh

if TYPE_CHECKING:
    from manifold3d import Manifold

# Where along its bone each taped girth is taken.
THIGH_AT, CALF_AT, ANKLE_AT = 0.27, 0.30, 0.88


def thigh_flesh(sheet: BodySheet) -> Flesh:
    t, k = sheet.thigh_girth_m, sheet.knee_girth_m
    r = t / (2.0 * np.pi)
    return Flesh(
        at=(0.0, 0.10, 0.19, THIGH_AT, 0.40, 0.55, 0.74, 0.93, 1.0),
        girth_m=(
            1.00 * t,
            1.09 * t,
            1.06 * t,
            t,
            0.90 * t + 0.08 * k,
            0.62 * t + 0.38 * k,
            0.27 * t + 0.74 * k,
            1.005 * k,
            k,
        ),
        aspect=(0.80, 0.80, 0.85, 0.93, 0.96, 0.96, 0.96, 0.95, 0.95),
        # The seat stands behind the bone at the top, the thigh's own muscle before it further down.
        shift_m=(-0.16 * r, -0.15 * r, -0.12 * r, -0.05 * r, 0.05 * r, 0.09 * r, 0.06 * r, 0.0, 0.0),
        start=0.5,
        end=1.0,
    )


def shank_flesh(sheet: BodySheet) -> Flesh:
    k, c, a = sheet.knee_girth_m, sheet.calf_girth_m, sheet.ankle_girth_m
    r = c / (2.0 * np.pi)
    return Flesh(
        at=(0.0, 0.05, 0.14, CALF_AT, 0.46, 0.68, ANKLE_AT, 1.0),
        girth_m=(k, k, 0.45 * k + 0.54 * c, c, 0.88 * c + 0.09 * a, 0.30 * c + 0.68 * a, a, 1.12 * a),
        aspect=(0.95, 0.95, 0.95, 0.95, 0.93, 0.90, 0.82, 0.80),
        shift_m=(0.0, 0.0, -0.12 * r, -0.24 * r, -0.22 * r, -0.08 * r, 0.0, 0.0),
        start=1.0,
        end=0.5,
    )


def leg_mesh(
    sheet: BodySheet,
    side: Side,
    hip: ArrayLike,
    knee: ArrayLike,
    ankle: ArrayLike,
    foot_direction: ArrayLike,
    *,
    sole_m: float = 0.025,
    scale_girth: float = 1.0,
    extra_thickness_m: float = 0.0,
    coarse: bool = False,
    foot: bool = True,
) -> Mesh:
    """One leg as a closed solid through its joints (3,), metres, in an upright frame (z up).

    `foot_direction` points to the toes (its level part is used); the sole lies the ankle's height and `sole_m` below
    the ankle joint. `scale_girth`, `extra_thickness_m` and `coarse` as for `arm_mesh`. Raises ValueError.
    """
    mesh = Mesh.from_manifold(
        _left_leg(
            sheet,
            as_left(side, hip, knee, ankle, foot_direction),
            sole_m,
            scale_girth,
            extra_thickness_m,
            coarse,
            foot,
        )
    )
    return mesh if outward(side) > 0 else mesh.mirrored_x()


def _left_leg(
    sheet: BodySheet,
    joints: list[FloatArray],
    sole_m: float,
    scale_girth: float,
    extra_thickness_m: float,
    coarse: bool,
    foot: bool,
) -> Manifold:
    from manifold3d import Manifold, OpType

    h, k, a, toes = joints
    toes = unit([toes[0], toes[1], 0.0])
    thigh_out, thigh_front = _axes(h, k, toes)
    shank_out, shank_front = _axes(k, a, toes)
    how = {"sides": 16, "step_m": 0.025, "domes": 2} if coarse else {"sides": 36, "step_m": 0.020, "domes": 5}
    parts = [
        bone(thigh_flesh(sheet).swollen(scale_girth, extra_thickness_m), h, k, thigh_out, thigh_front, **how),
        bone(shank_flesh(sheet).swollen(scale_girth, extra_thickness_m), k, a, shank_out, shank_front, **how),
    ]
    if foot:
        parts.append(_shoe(sheet, a, toes, sole_m, coarse))
    return Manifold.batch_boolean([solid(part) for part in parts], OpType.Add).simplify(2e-5)


def _axes(start: FloatArray, end: FloatArray, toes: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Outward and front axes of one bone of a left leg: front as near to the toes' direction as the bone allows."""
    along = unit(end - start)
    ahead = toes - (toes @ along) * along
    if np.linalg.norm(ahead) < 0.05:
        # A thigh that points where the toes do has its front upward.
        ahead = np.array([0.0, 0.0, 1.0]) - along[2] * along
    front = unit(ahead)
    return np.cross(front, along), front


def _shoe(sheet: BodySheet, ankle: FloatArray, toes: FloatArray, sole_m: float, coarse: bool) -> Mesh:
    """A plain closed shoe from heel to toe, its sole flat."""
    length, wide = sheet.foot_length_m + 0.018, sheet.foot_breadth_m + 0.010
    high = sheet.ankle_height_m + sole_m
    collar = sheet.ankle_girth_m / (2.0 * np.pi)
    # Along the foot (share of length from heel): half breadth, top height over the sole, middle's sideways offset.
    rows = np.array(
        [
            (0.000, 0.18 * wide, 0.50 * high, 0.0),
            (0.020, 0.29 * wide, 0.86 * high, 0.0),
            (0.080, 0.355 * wide, 1.12 * high, 0.0),
            (0.200, 0.375 * wide, 1.22 * high, 0.0),
            (0.330, 0.370 * wide, 1.16 * high, 0.01 * wide),
            (0.460, 0.400 * wide, 0.90 * high, 0.02 * wide),
            (0.600, 0.465 * wide, 0.68 * high, 0.0),
            (0.720, 0.500 * wide, 0.56 * high, -0.02 * wide),
            (0.850, 0.465 * wide, 0.48 * high, -0.05 * wide),
            (0.940, 0.350 * wide, 0.42 * high, -0.08 * wide),
            (0.985, 0.200 * wide, 0.34 * high, -0.10 * wide),
            (1.000, 0.080 * wide, 0.26 * high, -0.11 * wide),
        ]
    )
    sides, count = (12, 10) if coarse else (36, 34)
    share = (1.0 - np.cos(np.pi * np.linspace(0.0, 1.0, count))) / 2.0
    read = smooth(rows[:, 0], rows[:, 1:], share)
    turn = 2.0 * np.pi * (np.arange(sides) + 0.5) / sides
    c, s = np.cos(turn), np.sin(turn)
    # Square below for the sole, round above for the upper.
    x = np.sign(c) * np.abs(c) ** np.where(s < 0, 0.35, 0.85)
    z = np.where(s < 0, -(np.abs(s) ** 0.35), np.abs(s) ** 0.9)
    # The widest line of the shoe runs just above the sole.
    belt = np.minimum(0.30 * high, 0.45 * read[:, 1])[:, None]
    height = np.where(z < 0, belt * (1.0 + z), belt + (read[:, 1:2] - belt) * z)
    across = np.cross(toes, [0.0, 0.0, 1.0])
    across = across if across[0] > 0 else -across
    heel = ankle - toes * (0.075 * length + 1.30 * collar)
    start = np.array([heel[0], heel[1], ankle[2] - high])
    rings = (
        start
        + (share * length)[:, None, None] * toes
        + (x * read[:, 0:1] + read[:, 2:3])[..., None] * across
        + height[..., None] * np.array([0.0, 0.0, 1.0])
    )
    return tube(rings)


def legs_mesh(sheet: BodySheet, skeleton: Skeleton, *, coarse: bool = False) -> Mesh:
    """Both legs as one closed solid (two pieces where they do not touch), soles on the floor."""
    names = ("hip", "knee", "ankle", "foot")
    left, right = (
        _left_leg(
            sheet,
            as_left(side, *(getattr(skeleton, f"{side}_{name}") for name in names)),
            skeleton.shoe_m,
            1.0,
            0.0,
            coarse,
            True,
        )
        for side in SIDES
    )
    return Mesh.from_manifold(left + right.mirror((1.0, 0.0, 0.0)))
