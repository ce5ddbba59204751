"""The arm as two bones: every elbow that lets a hand be where it must be.

The elbow of a given hand stands anywhere on a circle about the shoulder-wrist line. The angle on that circle is the
swivel: 0 puts the elbow straight down, positive carries it outward from the body. On a vertical line, where "down" says
nothing, 0 is the limit of a hand coming in from the front: behind for a hanging arm, in front for a raised one.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sightline.errors import UnreachableError
from sightline.figure.limits import DEFAULT_LIMITS, ArmLimits
from sightline.figure.tables import PALM_CENTRE
from sightline.geometry.frame import FloatArray, unit

Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")

# Targets this much beyond reach are taken as the rounding of a caller's sum, not as out of reach.
SLACK_M = 1e-6


def outward(side: Side) -> float:
    """+1 for the left arm (+x in the performer's frame), -1 for the right."""
    if side not in ("left", "right"):
        raise ValueError(f"side must be 'left' or 'right', got {side!r}")
    return 1.0 if side == "left" else -1.0


def shoulder_wrist_distance(upper_m: ArrayLike, fore_m: ArrayLike, flexion_rad: ArrayLike) -> FloatArray:
    """Straight distance, metres, from shoulder to wrist joint at an elbow flexion (0 = straight arm). Broadcasts."""
    a, b = np.asarray(upper_m, dtype=float), np.asarray(fore_m, dtype=float)
    return np.asarray(np.sqrt(a * a + b * b + 2.0 * a * b * np.cos(flexion_rad)))


def flexion_at_distance(upper_m: ArrayLike, fore_m: ArrayLike, distance_m: ArrayLike) -> FloatArray:
    """Elbow flexion, radians, at a straight shoulder-wrist distance: how a maker measures the bend with a tape.

    Raises UnreachableError when no bend gives that distance.
    """
    a, b, d = (np.asarray(v, dtype=float) for v in (upper_m, fore_m, distance_m))
    worst = float(np.max(np.maximum(d - (a + b), np.abs(a - b) - d)))
    if worst > SLACK_M:
        raise UnreachableError(
            f"no bend of the elbow makes shoulder to wrist that long: off by {worst * 1000:.0f} mm", worst
        )
    return np.asarray(np.arccos(np.clip((d * d - a * a - b * b) / (2.0 * a * b), -1.0, 1.0)))


def flexion(shoulder: ArrayLike, elbow: ArrayLike, wrist: ArrayLike) -> FloatArray:
    """Elbow flexion (...,), radians, of points (..., 3); 0 is a straight arm."""
    a = np.asarray(elbow, dtype=float) - np.asarray(shoulder, dtype=float)
    b = np.asarray(wrist, dtype=float) - np.asarray(elbow, dtype=float)
    # atan2 keeps its accuracy near a straight arm, where arccos loses half its digits.
    return np.asarray(np.arctan2(np.linalg.norm(np.cross(a, b), axis=-1), np.sum(a * b, axis=-1)))


def shortfall(
    shoulder: ArrayLike, wrist: ArrayLike, upper_m: float, fore_m: float, limits: ArmLimits = DEFAULT_LIMITS
) -> FloatArray:
    """How much (...,) metres a wrist target (..., 3) is out of reach: 0 reached, > 0 too far, < 0 too near."""
    distance = np.linalg.norm(np.asarray(wrist, dtype=float) - np.asarray(shoulder, dtype=float), axis=-1)
    near = float(shoulder_wrist_distance(upper_m, fore_m, limits.elbow_flexion_rad))
    over = distance - (upper_m + fore_m)
    return np.asarray(np.where(over > SLACK_M, over, np.where(distance < near - SLACK_M, distance - near, 0.0)))


def solve(
    shoulder: ArrayLike,
    wrist: ArrayLike,
    upper_m: float,
    fore_m: float,
    swivels_rad: ArrayLike,
    side: Side,
    *,
    limits: ArmLimits = DEFAULT_LIMITS,
) -> FloatArray:
    """Elbows (..., k, 3) in metres for wrist targets (..., 3), a shoulder (3,) and swivels (k,), performer's frame.

    Raises UnreachableError, with the worst target's shortfall, when a target is beyond a straight arm or nearer than
    the elbow's flexion limit allows; ValueError for lengths that are not positive or points that are not finite.
    """
    sign = outward(side)
    s, w = np.asarray(shoulder, dtype=float), np.asarray(wrist, dtype=float)
    turn = np.atleast_1d(np.asarray(swivels_rad, dtype=float))
    if not (upper_m > 0 and fore_m > 0):
        raise ValueError(f"bone lengths must be positive, got upper_m={upper_m}, fore_m={fore_m}")
    if not (np.all(np.isfinite(s)) and np.all(np.isfinite(w)) and np.all(np.isfinite(turn))):
        raise ValueError("the shoulder, wrist and swivels must be finite numbers")
    gap = shortfall(s, w, upper_m, fore_m, limits)
    if np.any(gap != 0.0):
        raise _unreachable(gap, upper_m, fore_m, side, limits)
    line = w - s
    distance = np.linalg.norm(line, axis=-1, keepdims=True)
    u = line / distance
    down, out = _circle_axes(u)
    # Where the circle's centre stands on the line, and its radius: the two bones' triangle.
    reach = np.minimum(distance, upper_m + fore_m)
    foot = (upper_m**2 - fore_m**2 + reach**2) / (2.0 * reach)
    radius = np.sqrt(np.maximum(upper_m**2 - foot**2, 0.0))
    c, t = np.cos(turn)[:, None], sign * np.sin(turn)[:, None]
    ring = c * down[..., None, :] + t * out[..., None, :]
    return np.asarray(s + (u * foot)[..., None, :] + radius[..., None, :] * ring)


def _circle_axes(u: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Down and left-outward axes (..., 3), square to the shoulder-wrist directions `u` (..., 3)."""
    flat = np.linalg.norm(u[..., :2], axis=-1, keepdims=True)
    down = np.array([0.0, 0.0, -1.0]) + u[..., 2:] * u
    upright = np.concatenate([np.zeros_like(flat), -np.sign(u[..., 2:]), np.zeros_like(flat)], axis=-1)
    down = np.where(flat > 1e-6, down / np.maximum(flat, 1e-12), upright)
    return down, np.cross(u, down)


def _unreachable(gap: FloatArray, upper_m: float, fore_m: float, side: Side, limits: ArmLimits) -> UnreachableError:
    worst = float(gap.reshape(-1)[np.argmax(np.abs(gap))])
    mm = abs(worst) * 1000.0
    if worst > 0:
        sentence = f"the {side} hand is {mm:.0f} mm short: a straight arm reaches {(upper_m + fore_m) * 1000:.0f} mm"
    else:
        near = float(shoulder_wrist_distance(upper_m, fore_m, limits.elbow_flexion_rad))
        sentence = (
            f"the {side} wrist is {mm:.0f} mm too near the shoulder: an elbow bent to its limit of "
            f"{limits.elbow_flexion_deg:.0f} deg leaves {near * 1000:.0f} mm"
        )
    return UnreachableError(sentence, abs(worst))


def swivel_family(side: Side, count: int = 9, limits: ArmLimits = DEFAULT_LIMITS) -> FloatArray:
    """The elbow swivels (count,) an arm is taken to use, radians, from drawn in to raised outward."""
    outward(side)
    if count < 1:
        raise ValueError(f"count must be at least 1, got {count}")
    if count == 1:
        return np.zeros(1)
    return np.radians(np.linspace(-limits.swivel_in_deg, limits.swivel_out_deg, count))


def problems(
    shoulder: ArrayLike, elbow: ArrayLike, wrist: ArrayLike, side: Side, limits: ArmLimits = DEFAULT_LIMITS
) -> list[str]:
    """What one arm (points (3,), performer's frame) does that the joints do not allow, as sentences; [] when nothing.

    Shoulder flexion is the upper arm's angle from hanging; extension is how far it points behind the body's side plane;
    across is how far it points inward.
    """
    v = unit(np.asarray(elbow, dtype=float) - np.asarray(shoulder, dtype=float))
    measured = [
        ("elbow bend", np.degrees(float(flexion(shoulder, elbow, wrist))), limits.elbow_flexion_deg),
        ("lift at the shoulder", np.degrees(np.arctan2(np.hypot(v[0], v[1]), -v[2])), limits.shoulder_flexion_deg),
        ("reach behind", np.degrees(np.arcsin(np.clip(v[1], -1, 1))), limits.shoulder_extension_deg),
        ("reach across", np.degrees(np.arcsin(np.clip(-outward(side) * v[0], -1, 1))), limits.across_deg),
    ]
    return [
        f"the {side} arm's {name} is {got:.0f} deg, more than the {limit:.0f} deg taken as its limit"
        for name, got, limit in measured
        if got > limit + 1e-6
    ]


def allowed(
    shoulder: ArrayLike, elbows: ArrayLike, wrist: ArrayLike, side: Side, limits: ArmLimits = DEFAULT_LIMITS
) -> NDArray[np.bool_]:
    """Which elbows (..., 3) keep every joint within its limits: the vectorised question behind `problems`."""
    s, e = np.asarray(shoulder, dtype=float), np.asarray(elbows, dtype=float)
    v = unit(e - s)
    tiny = 1e-9
    return np.asarray(
        (flexion(s, e, wrist) <= limits.elbow_flexion_rad + tiny)
        & (np.arctan2(np.hypot(v[..., 0], v[..., 1]), -v[..., 2]) <= np.radians(limits.shoulder_flexion_deg) + tiny)
        & (np.arcsin(np.clip(v[..., 1], -1, 1)) <= np.radians(limits.shoulder_extension_deg) + tiny)
        & (np.arcsin(np.clip(-outward(side) * v[..., 0], -1, 1)) <= np.radians(limits.across_deg) + tiny)
    )


def palm_centre(hand_length_m: float) -> float:
    """Wrist joint to the middle of the palm, metres: mean of the two published shares of hand length."""
    return hand_length_m * (PALM_CENTRE["male"] + PALM_CENTRE["female"]) / 2.0


def grip_wrist(grip: ArrayLike, hand_direction: ArrayLike, hand_length_m: float) -> FloatArray:
    """Wrist joints (..., 3) that put the middle of the palm on `grip` (..., 3), fingers along `hand_direction`."""
    return np.asarray(np.asarray(grip, dtype=float) - unit(hand_direction) * palm_centre(hand_length_m))
