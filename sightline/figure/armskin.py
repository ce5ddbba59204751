"""The skin of a whole arm: upper arm, forearm and hand as one solid, at any bend of the elbow."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from sightline.figure.arm import Side, outward
from sightline.figure.armframe import ArmFrame, as_left, left_frame, wrist_twist
from sightline.figure.hand import WRIST_ASPECT, HandSize, left_hand, to_body
from sightline.figure.limb import Flesh, bone
from sightline.figure.loft import solid
from sightline.figure.sheet import BodySheet
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh

if TYPE_CHECKING:
    from manifold3d import Manifold

# Where along its bone each taped girth is taken; the skin has exactly that girth there.
BICEPS_AT, FOREARM_AT, WRIST_AT = 0.56, 0.22, 1.0

FINE_SIDES, FINE_STEP_M = 32, 0.012
COARSE_SIDES, COARSE_STEP_M = 12, 0.025


def upper_flesh(sheet: BodySheet) -> Flesh:
    """Deltoid, biceps, elbow. Shares of the taped girths are from memory of arms in general."""
    b, e = sheet.biceps_girth_m, sheet.elbow_girth_m
    r = b / (2.0 * np.pi)
    return Flesh(
        at=(0.0, 0.12, 0.28, 0.42, BICEPS_AT, 0.72, 0.86, 0.95, 1.0),
        girth_m=(0.95 * b, 1.06 * b, 1.05 * b, 0.99 * b, b, 0.52 * b + 0.48 * e, 0.15 * b + 0.86 * e, e, e),
        aspect=(0.94, 0.93, 0.92, 0.91, 0.90, 0.93, 0.98, 1.0, 1.0),
        shift_m=(0.0, 0.0, 0.0, 0.02 * r, 0.06 * r, 0.03 * r, 0.0, 0.0, 0.0),
        start=0.70,
        end=1.0,
    )


def fore_flesh(sheet: BodySheet) -> Flesh:
    """Elbow, the forearm's swell, wrist. Shares from memory of arms in general."""
    e, f, w = sheet.elbow_girth_m, sheet.forearm_girth_m, sheet.wrist_girth_m
    return Flesh(
        at=(0.0, 0.03, 0.10, FOREARM_AT, 0.42, 0.65, 0.84, WRIST_AT),
        girth_m=(e, e, 0.45 * e + 0.55 * f, f, 0.78 * f + 0.22 * w, 0.36 * f + 0.64 * w, 0.06 * f + 0.95 * w, w),
        aspect=(1.0, 1.0, 1.04, 1.12, 1.16, 1.24, 1.33, WRIST_ASPECT),
        shift_m=(0.0,) * 8,
        start=1.0,
        end=0.6,
    )


def arm_mesh(
    sheet: BodySheet,
    side: Side,
    shoulder: ArrayLike,
    elbow: ArrayLike,
    wrist: ArrayLike,
    hand_direction: ArrayLike,
    palm_normal: ArrayLike,
    *,
    scale_girth: float = 1.0,
    extra_thickness_m: float = 0.0,
    coarse: bool = False,
    hand: bool = True,
    curl: float = 0.16,
) -> Mesh:
    """One arm as a closed solid through its joints (3,), metres, in the joints' own frame.

    `hand_direction` runs wrist to fingertips, `palm_normal` out of the palm (made square to it). `scale_girth`
    multiplies every girth, `extra_thickness_m` then adds radius (a glove, a foam limb). `coarse` gives about a thousand
    triangles of 15 to 20 mm, fingers together; `curl` 0 is a flat hand, 1 a fist. Bone lengths come from the joints.
    Raises ValueError for a side or direction that is none, or joints that stand in one place.
    """
    from manifold3d import Manifold, OpType

    s, e, w, d, n = as_left(side, shoulder, elbow, wrist, hand_direction, palm_normal)
    d = unit(d)
    n = unit(n - (n @ d) * d)
    solids = bone_solids(sheet, s, e, w, d, n, scale_girth, extra_thickness_m, coarse)
    if hand:
        size = HandSize(
            sheet.hand_length_m,
            sheet.hand_breadth_m * scale_girth,
            sheet.hand_girth_m * scale_girth,
            sheet.wrist_girth_m * scale_girth,
            extra_thickness_m,
        )
        solids.append(left_hand(size, coarse, round(float(curl), 3)).transform(to_body(w, d, n)))
    mesh = Mesh.from_manifold(Manifold.batch_boolean(solids, OpType.Add).simplify(3e-4 if coarse else 5e-5))
    return mesh if outward(side) > 0 else mesh.mirrored_x()


def bone_solids(
    sheet: BodySheet,
    s: FloatArray,
    e: FloatArray,
    w: FloatArray,
    d: FloatArray,
    n: FloatArray,
    scale: float = 1.0,
    extra_m: float = 0.0,
    coarse: bool = False,
) -> list[Manifold]:
    """Upper arm and forearm of a left arm as two solids that meet in one ball at the elbow."""
    frame = left_frame(s, e, w)
    how = (
        {"sides": COARSE_SIDES, "step_m": COARSE_STEP_M, "domes": 1}
        if coarse
        else {"sides": FINE_SIDES, "step_m": FINE_STEP_M, "domes": 5}
    )
    upper = upper_flesh(sheet).swollen(scale, extra_m)
    fore = fore_flesh(sheet).swollen(scale, extra_m)
    twist = (0.0, wrist_twist(frame, d, n))
    return [
        solid(bone(upper, s, e, frame.upper_out, frame.upper_front, **how)),
        solid(bone(fore, e, w, frame.fore_out, frame.fore_front, twist_rad=twist, **how)),
    ]


__all__ = ["ArmFrame", "arm_mesh", "bone_solids", "fore_flesh", "upper_flesh"]
