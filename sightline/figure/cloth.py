"""Sleeves and shirts: cloth held off the posed body, as shells with a thickness."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from sightline.figure.arm import Side, outward
from sightline.figure.armframe import as_left, left_frame, wrist_twist
from sightline.figure.armskin import FINE_SIDES, FINE_STEP_M, fore_flesh, upper_flesh
from sightline.figure.limb import Flesh, bone
from sightline.figure.loft import solid, tube
from sightline.figure.sheet import BodySheet
from sightline.figure.skeleton import Skeleton
from sightline.figure.torso import FINE, heights, torso_rings
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh

if TYPE_CHECKING:
    from manifold3d import Manifold

# The inner face of a sleeve runs on this far past its ends, so that the shell is open there.
_PAST_M = 0.02
# Rise of a neckline to the back, per length. Common practice, no source.
_NECKLINE = 0.35


def sleeve_mesh(
    sheet: BodySheet,
    side: Side,
    shoulder: ArrayLike,
    elbow: ArrayLike,
    wrist: ArrayLike,
    *,
    start: float = 0.0,
    end: float = 1.0,
    ease_m: float = 0.012,
    thickness_m: float = 0.001,
    scale_girth: float = 1.0,
    extra_thickness_m: float = 0.0,
    hand_direction: ArrayLike | None = None,
    palm_normal: ArrayLike | None = None,
    coarse: bool = False,
) -> Mesh:
    """A cloth tube round the arm, open at both ends: a closed shell `thickness_m` thick, metres.

    `start` and `end` are shares of shoulder joint (0) to wrist joint (1); `ease_m` is the gap between skin and cloth
    all round (a girth ease over 2 pi). `scale_girth` and `extra_thickness_m` dress the limb of the same `arm_mesh`.
    With `hand_direction` and `palm_normal` the cuff follows the wrist's flat outline; without, it is round and clears
    the wrist however it turns. An elbow folded past about 110 deg presses the forearm through the edge of a short
    sleeve: cloth is not squeezed here. `coarse` is for families of many poses. Raises ValueError.
    """
    if not 0.0 <= start < end <= 1.0:
        raise ValueError(f"a sleeve's start and end must rise within 0 to 1, got {start} and {end}")
    if not (ease_m >= 0.0 and thickness_m > 0.0):
        raise ValueError(f"ease_m must be 0 or more and thickness_m positive, got {ease_m} and {thickness_m}")
    s, e, w = as_left(side, shoulder, elbow, wrist)
    inner = extra_thickness_m + ease_m
    twist = None
    if hand_direction is not None and palm_normal is not None:
        d, n = as_left(side, hand_direction, palm_normal)
        d = unit(d)
        twist = wrist_twist(left_frame(s, e, w), d, unit(n - (n @ d) * d))
    how = (sheet, s, e, w, start, end, scale_girth, twist, coarse)
    shell = _sleeve(*how, inner + thickness_m, 0.0) - _sleeve(*how, inner, _PAST_M)
    mesh = Mesh.from_manifold(shell)
    return mesh if outward(side) > 0 else mesh.mirrored_x()


def _sleeve(
    sheet: BodySheet,
    s: FloatArray,
    e: FloatArray,
    w: FloatArray,
    start: float,
    end: float,
    scale: float,
    twist: float | None,
    coarse: bool,
    extra_m: float,
    past_m: float,
) -> Manifold:
    """The solid that the cloth's outer or inner face encloses, its ends cut flat, `past_m` longer at either end."""
    frame = left_frame(s, e, w)
    upper_m, fore_m = float(np.linalg.norm(e - s)), float(np.linalg.norm(w - e))
    total = upper_m + fore_m
    low, high = start * total - past_m, end * total + past_m
    how = (
        {"sides": 18, "step_m": 0.022, "domes": 3}
        if coarse
        else {"sides": FINE_SIDES, "step_m": FINE_STEP_M, "domes": 5}
    )
    parts = []
    if low < upper_m:
        ends_here = high <= upper_m
        flesh = replace(upper_flesh(sheet).swollen(scale, extra_m), start=0.0, end=0.0 if ends_here else 1.0)
        span = (low / upper_m, min(high / upper_m, 1.0))
        parts.append(bone(flesh, s, e, frame.upper_out, frame.upper_front, span=span, **how))
    if high > upper_m:
        starts_here = low >= upper_m
        bare = fore_flesh(sheet) if twist is not None else _rounded(fore_flesh(sheet))
        flesh = replace(bare.swollen(scale, extra_m), start=0.0 if starts_here else 1.0, end=0.0)
        span = (max((low - upper_m) / fore_m, 0.0), (high - upper_m) / fore_m)
        turn = (0.0, twist or 0.0)
        parts.append(bone(flesh, e, w, frame.fore_out, frame.fore_front, span=span, twist_rad=turn, **how))
    made = solid(parts[0])
    return made + solid(parts[1]) if len(parts) == 2 else made


def _rounded(flesh: Flesh) -> Flesh:
    """The same limb with round sections as wide as its broad side."""
    girth = tuple(g * max(a, 1.0 / a) ** 0.5 for g, a in zip(flesh.girth_m, flesh.aspect, strict=True))
    return replace(flesh, girth_m=girth, aspect=(1.0,) * len(girth))


def shirt_mesh(
    sheet: BodySheet,
    skeleton: Skeleton,
    *,
    ease_m: float = 0.015,
    thickness_m: float = 0.001,
    hem: float = 0.0,
    sleeve: float = 0.30,
) -> Mesh:
    """A shirt's body over trunk and shoulders as a closed shell `thickness_m` thick, open at neck, hem and sleeves.

    `ease_m` is the gap to the skin, metres; `hem` 0 ends it at the hip, 1 at the waist; `sleeve` is how far down the
    upper arms it reaches, as a share of the upper arm (0 leaves the shoulders to `sleeve_mesh`). Metres, skeleton's
    frame. Raises ValueError.
    """
    if not (ease_m >= 0.0 and thickness_m > 0.0):
        raise ValueError(f"ease_m must be 0 or more and thickness_m positive, got {ease_m} and {thickness_m}")
    if not (0.0 <= hem <= 1.0 and 0.0 <= sleeve <= 0.9):
        raise ValueError(f"hem must be 0 to 1 and sleeve 0 to 0.9, got {hem} and {sleeve}")
    shell = _shirt(sheet, skeleton, ease_m + thickness_m, sleeve, 0.0) - _shirt(
        sheet, skeleton, ease_m, sleeve, _PAST_M
    )
    at = heights(sheet)
    up = skeleton.trunk.rotation[:, 2]
    low = at["hip"] + hem * (at["waist"] - at["hip"]) + skeleton.shoe_m
    high = at["shoulder"] + 0.036 * sheet.stature_m + skeleton.shoe_m
    bottom, top = (skeleton.trunk.points([0.0, 0.0, z]) for z in (low, high))
    # A neckline lies lower in front than behind.
    neck = skeleton.trunk.directions(unit([0.0, _NECKLINE, -1.0]))
    shell = shell.trim_by_plane(up.tolist(), float(up @ bottom)).trim_by_plane(neck.tolist(), float(neck @ top))
    return Mesh.from_manifold(shell)


def _shirt(sheet: BodySheet, skeleton: Skeleton, off_m: float, sleeve: float, past_m: float) -> Manifold:
    rings, low, top = torso_rings(sheet, *FINE)
    lift = np.array([0.0, 0.0, skeleton.shoe_m])
    body = swollen(tube(rings + lift, low + lift, top + lift), off_m).placed(skeleton.trunk)
    made: Manifold = solid(body)
    if sleeve <= 0.0:
        return made
    for side in ("left", "right"):
        arm = skeleton.arm(side)
        s, e, w = as_left(side, arm.shoulder, arm.elbow, arm.wrist)
        frame = left_frame(s, e, w)
        flesh = replace(upper_flesh(sheet).swollen(1.0, off_m), end=0.0)
        span = (0.0, sleeve + past_m / float(np.linalg.norm(e - s)))
        cap = bone(flesh, s, e, frame.upper_out, frame.upper_front, span=span, sides=FINE_SIDES, step_m=FINE_STEP_M)
        made = made + solid(cap if side == "left" else cap.mirrored_x())
    return made


def swollen(mesh: Mesh, off_m: float) -> Mesh:
    """The same triangles with every vertex moved out along its normal by `off_m`; for smooth meshes and small gaps."""
    normals = np.zeros_like(mesh.vertices)
    for corner in range(3):
        np.add.at(normals, mesh.faces[:, corner], mesh.area_normals)
    size = np.linalg.norm(normals, axis=1, keepdims=True)
    return Mesh(mesh.vertices + off_m * normals / np.maximum(size, 1e-12), mesh.faces)
