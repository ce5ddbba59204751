"""The performer's joints as named points, standing on the mark.

Performer's frame: origin on the floor between the feet, facing -y, +x = the performer's own left, z up, metres.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from sightline.figure.arm import Side, outward
from sightline.figure.sheet import BodySheet
from sightline.geometry.frame import FloatArray, Placement, about_x, toward, unit

# The shoulder joint lies below and inside the bony tip of the shoulder. Shares of stature; from memory of de Leva 1996.
JOINT_BELOW_TIP = 0.019
JOINT_INSIDE_TIP = 0.020
# How far a head turns and nods on the neck before the eyes do the rest, degrees: from memory, about the active range.
HEAD_TURN_DEG = 70.0
HEAD_UP_DEG = 45.0
HEAD_DOWN_DEG = 45.0


class ArmPose(NamedTuple):
    """One arm: joints (3,) metres; `hand` from wrist to fingertips and `palm` out of the palm, unit (3,)."""

    shoulder: FloatArray
    elbow: FloatArray
    wrist: FloatArray
    hand: FloatArray
    palm: FloatArray


@dataclass(frozen=True, eq=False)
class Skeleton:
    """Joints (3,), metres. `trunk` and `skull` carry the upright trunk and the straight head to where they are.

    `left_hand`/`right_hand` point from wrist to fingertips, `left_palm`/`right_palm` out of the palm, `left_foot`/
    `right_foot` to the toes; `gaze` where the eyes look: unit vectors.
    """

    left_shoulder: FloatArray
    left_elbow: FloatArray
    left_wrist: FloatArray
    left_hand: FloatArray
    left_palm: FloatArray
    right_shoulder: FloatArray
    right_elbow: FloatArray
    right_wrist: FloatArray
    right_hand: FloatArray
    right_palm: FloatArray
    left_hip: FloatArray
    left_knee: FloatArray
    left_ankle: FloatArray
    left_foot: FloatArray
    right_hip: FloatArray
    right_knee: FloatArray
    right_ankle: FloatArray
    right_foot: FloatArray
    neck: FloatArray
    head: FloatArray
    crown: FloatArray
    left_eye: FloatArray
    right_eye: FloatArray
    gaze: FloatArray
    trunk: Placement
    skull: Placement
    shoe_m: float

    @property
    def eye(self) -> FloatArray:
        """Midpoint between the pupils (3,)."""
        return (self.left_eye + self.right_eye) / 2.0

    def arm(self, side: Side) -> ArmPose:
        outward(side)
        return ArmPose(*(getattr(self, f"{side}_{name}") for name in ("shoulder", "elbow", "wrist", "hand", "palm")))

    def joints(self) -> dict[str, FloatArray]:
        """Every named point by name, spaces for underscores; directions left out."""
        directions = {"left_hand", "right_hand", "left_palm", "right_palm", "left_foot", "right_foot", "gaze"}
        return {
            f.name.replace("_", " "): getattr(self, f.name)
            for f in fields(self)
            if f.name not in directions | {"trunk", "skull", "shoe_m"}
        }

    def with_arm(
        self, side: Side, elbow: ArrayLike, wrist: ArrayLike, hand_direction: ArrayLike, palm_normal: ArrayLike
    ) -> Skeleton:
        """The same body with one arm elsewhere; `palm_normal` is made square to `hand_direction`.

        Raises ValueError when a direction has no length or the two are parallel.
        """
        outward(side)
        hand = unit(hand_direction)
        normal = np.asarray(palm_normal, dtype=float)
        palm = unit(normal - (normal @ hand) * hand)
        return replace(
            self,
            **{
                f"{side}_elbow": np.asarray(elbow, dtype=float),
                f"{side}_wrist": np.asarray(wrist, dtype=float),
                f"{side}_hand": hand,
                f"{side}_palm": palm,
            },  # type: ignore[arg-type]
        )

    def placed(self, placement: Placement) -> Skeleton:
        """The whole body carried rigidly, for example to a mark on the stage."""
        directions = {"left_hand", "right_hand", "left_palm", "right_palm", "left_foot", "right_foot", "gaze"}
        moved: dict[str, object] = {}
        for f in fields(self):
            value = getattr(self, f.name)
            if f.name in directions:
                moved[f.name] = placement.directions(value)
            elif isinstance(value, Placement):
                moved[f.name] = value.after(placement)
            elif f.name != "shoe_m":
                moved[f.name] = placement.points(value)
        return replace(self, **moved)  # type: ignore[arg-type]


def shoulder_offset(sheet: BodySheet) -> tuple[float, float]:
    """The shoulder joint's half spread from the midline and its height above the bare floor, metres."""
    half = sheet.biacromial_m / 2.0 - JOINT_INSIDE_TIP * sheet.stature_m
    return half, sheet.shoulder_height_m - JOINT_BELOW_TIP * sheet.stature_m


def head_pivot_height(sheet: BodySheet) -> float:
    """Height above the bare floor where the head turns on the neck: the ear lobe's level, a third of the head up."""
    return sheet.chin_height_m + 0.30 * sheet.head_height_m


def head_back(sheet: BodySheet) -> float:
    """How far the head's middle stands in front of the mark (-y), metres: heads hang forward of the trunk's column."""
    return -0.012 * sheet.stature_m


def standing(
    sheet: BodySheet,
    *,
    feet_apart_m: float | None = None,
    lean_rad: float = 0.0,
    gaze: ArrayLike | None = None,
    shoe_m: float = 0.025,
) -> Skeleton:
    """A body standing at ease on the mark, arms hanging.

    `feet_apart_m` between the ankles (default 0.115 of stature), `lean_rad` of the trunk from the hips (positive
    forward, within 1.2), `gaze` a direction in the performer's frame (default straight ahead). Raises ValueError.
    """
    h = sheet.stature_m
    at_ease = 0.115 * h
    apart = at_ease if feet_apart_m is None else feet_apart_m
    if not (np.isfinite(apart) and 0.0 <= apart <= 0.7 * h):
        raise ValueError(f"feet_apart_m: got {apart:g} m; it must be 0 to {0.7 * h:.2f} m for this body")
    if not (np.isfinite(lean_rad) and abs(lean_rad) <= 1.2):
        raise ValueError(f"lean_rad: got {lean_rad:g}; it must be within 1.2 rad either way")
    if not (np.isfinite(shoe_m) and 0.0 <= shoe_m <= 0.3):
        raise ValueError(f"shoe_m: got {shoe_m:g} m; it must be 0 to 0.3 m")
    look = np.array([0.0, -1.0, 0.0]) if gaze is None else unit(gaze)

    points: dict[str, FloatArray] = {}
    hip_half = 0.263 * sheet.hip_breadth_m
    ankle_back = 0.022 * h
    ankle_z, hip_z = sheet.ankle_height_m + shoe_m, sheet.hip_height_m + shoe_m
    # The published hip height is that of feet at ease; feet farther apart lower the hips, for legs keep their length.
    leg2 = (hip_z - ankle_z) ** 2 + (at_ease / 2.0 - hip_half) ** 2
    drop = hip_z - ankle_z - np.sqrt(leg2 - (apart / 2.0 - hip_half) ** 2)
    for sign, side in ((1.0, "left"), (-1.0, "right")):
        hip = np.array([sign * hip_half, 0.004 * h, hip_z - drop])
        ankle = np.array([sign * apart / 2.0, ankle_back, ankle_z])
        share = (sheet.hip_height_m - sheet.knee_height_m) / (sheet.hip_height_m - sheet.ankle_height_m)
        knee = hip + (ankle - hip) * share + [0.0, -0.004 * h, 0.0]
        turn = np.radians(8.0) * sign
        points |= {f"{side}_hip": hip, f"{side}_knee": knee, f"{side}_ankle": ankle}
        points[f"{side}_foot"] = np.array([np.sin(turn), -np.cos(turn), 0.0])

    pivot = np.array([0.0, 0.004 * h, hip_z])
    turned = about_x(lean_rad)
    trunk = Placement(turned, pivot - turned @ pivot - [0.0, 0.0, drop])
    half, high = shoulder_offset(sheet)
    for sign, side in ((1.0, "left"), (-1.0, "right")):
        shoulder = trunk.points([sign * half, 0.006 * h, high + shoe_m])
        # At ease the arm hangs a little out and the forearm a little forward; it hangs by weight, so not with the lean.
        out = unit([sign * 0.165, 0.045, -1.0])
        elbow = shoulder + sheet.upper_arm_m * out
        fore = unit([sign * 0.045, -0.27, -1.0])
        hand = unit([-sign * 0.03, -0.22, -1.0])
        palm = np.array([-sign * 0.94, 0.34, 0.0])
        points |= {f"{side}_shoulder": shoulder, f"{side}_elbow": elbow, f"{side}_hand": hand}
        points[f"{side}_wrist"] = elbow + sheet.forearm_m * fore
        points[f"{side}_palm"] = unit(palm - (palm @ hand) * hand)

    neck = trunk.points([0.0, 0.012 * h, sheet.shoulder_height_m + 0.022 * h + shoe_m])
    base = np.array([0.0, head_back(sheet), head_pivot_height(sheet) + shoe_m])
    skull = Placement(head_turn(look, lean_rad), trunk.points(base))
    up_eye = sheet.eye_height_m - head_pivot_height(sheet)
    eye_front = -0.395 * sheet.head_length_m
    eyes = [skull.points([s * sheet.interpupillary_m / 2.0, eye_front, up_eye]) for s in (1.0, -1.0)]
    crown = skull.points([0.0, 0.0, sheet.stature_m - head_pivot_height(sheet)])
    return Skeleton(
        **points, neck=neck, head=skull.origin, crown=crown, left_eye=eyes[0], right_eye=eyes[1], gaze=look,
        trunk=trunk, skull=skull, shoe_m=shoe_m,
    )  # fmt: skip


def head_turn(gaze: FloatArray, lean_rad: float = 0.0) -> FloatArray:
    """Rotation (3, 3) of a head that looks along `gaze` as far as a neck turns; the eyes do what is left."""
    yaw = np.arctan2(gaze[0], -gaze[1]) if np.hypot(gaze[0], gaze[1]) > 1e-9 else 0.0
    pitch = np.arctan2(gaze[2], np.hypot(gaze[0], gaze[1]))
    yaw = np.clip(yaw, -np.radians(HEAD_TURN_DEG), np.radians(HEAD_TURN_DEG))
    # Nodding is counted from the trunk, so that a leaning body can still look ahead.
    pitch = np.clip(pitch + lean_rad, -np.radians(HEAD_DOWN_DEG), np.radians(HEAD_UP_DEG)) - lean_rad
    return toward([np.sin(yaw) * np.cos(pitch), -np.cos(yaw) * np.cos(pitch), np.sin(pitch)])
