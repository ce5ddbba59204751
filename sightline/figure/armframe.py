"""Which way is outward and which is front, all along a bent arm."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from sightline.figure.arm import Side, outward
from sightline.geometry.frame import FloatArray, unit

# Below the first bend (degrees) the elbow's hinge cannot be told from the joints and the arm is taken as swung up from
# hanging; above the second the hinge alone decides; between them the two are mixed. Common practice, no source.
_STRAIGHT_DEG = (3.0, 15.0)


class ArmFrame(NamedTuple):
    """Unit axes (3,) of the left arm's two bones: along, outward (outer side) and front (the side the elbow closes)."""

    upper_along: FloatArray
    upper_out: FloatArray
    upper_front: FloatArray
    fore_along: FloatArray
    fore_out: FloatArray
    fore_front: FloatArray


def mirrored(point: ArrayLike) -> FloatArray:
    """A point or direction of the right arm as the left arm's, and back."""
    return np.asarray(np.asarray(point, dtype=float) * np.array([-1.0, 1.0, 1.0]))


def as_left(side: Side, *points: ArrayLike) -> list[FloatArray]:
    """Points of the given side as those of a left arm."""
    if outward(side) > 0:
        return [np.asarray(p, dtype=float) for p in points]
    return [mirrored(p) for p in points]


def left_frame(shoulder: FloatArray, elbow: FloatArray, wrist: FloatArray) -> ArmFrame:
    """The frame of a left arm from its joints (3,)."""
    u, w = unit(elbow - shoulder), unit(wrist - elbow)
    swung = _swung_front(u)
    closing = w - (w @ u) * u
    size = float(np.linalg.norm(closing))
    bend = np.degrees(np.arctan2(size, float(w @ u)))
    # Folded flat upon itself, the arm tells no hinge either.
    share = 0.0 if size < 1e-6 else np.clip((bend - _STRAIGHT_DEG[0]) / (_STRAIGHT_DEG[1] - _STRAIGHT_DEG[0]), 0.0, 1.0)
    share = share * share * (3.0 - 2.0 * share)
    front = swung
    if share > 0.0:
        mixed = share * closing / size + (1.0 - share) * swung
        # Opposite fronts cancel when a nearly straight arm bends backwards; the hinge then decides.
        front = unit(mixed) if np.linalg.norm(mixed) > 1e-3 else closing / size
    out = np.cross(front, u)
    fore_out = unit(out - (out @ w) * w) if np.linalg.norm(np.cross(out, w)) > 1e-6 else _any_square(w)
    return ArmFrame(u, out, front, w, fore_out, np.cross(w, fore_out))


def _swung_front(u: FloatArray) -> FloatArray:
    """Front of a straight left arm along `u`: that of the hanging arm (-y), swung up by the shortest way."""
    down, front = np.array([0.0, 0.0, -1.0]), np.array([0.0, -1.0, 0.0])
    cosine = float(u @ down)
    if cosine < -1.0 + 1e-9:
        return np.array([0.0, 1.0, 0.0])
    axis = np.cross(down, u)
    turned = front * cosine + np.cross(axis, front) + axis * (axis @ front) / (1.0 + cosine)
    return unit(turned - (turned @ u) * u)


def _any_square(w: FloatArray) -> FloatArray:
    other = np.eye(3)[int(np.argmin(np.abs(w)))]
    return unit(np.cross(w, other))


def wrist_twist(frame: ArmFrame, hand: FloatArray, palm: FloatArray) -> float:
    """Turn, radians in (-pi/2, pi/2], of the wrist's broad axis from the forearm's outward axis towards its front.

    The broad axis runs thumb side to little-finger side; which end is which does not matter to the outline.
    """
    thumb = np.cross(palm, hand)
    x, y = float(thumb @ frame.fore_out), float(thumb @ frame.fore_front)
    if np.hypot(x, y) < 1e-6:
        return 0.0
    turn = float(np.arctan2(y, x))
    return turn - np.pi * float(np.round(turn / np.pi))
