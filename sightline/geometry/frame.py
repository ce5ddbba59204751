"""The frame: right-handed, metres, +x stage left, +y upstage, +z up, facing 0 towards -y.

A facing is an angle in radians; positive turns to the performer's own left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


def about_x(angle_rad: float) -> FloatArray:
    """Rotation matrix (3, 3) about +x; positive takes +y towards +z."""
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])


def about_z(angle_rad: float) -> FloatArray:
    """Rotation matrix (3, 3) about +z; positive turns a performer to their own left."""
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def unit(vector: ArrayLike) -> FloatArray:
    """The vector(s) (..., 3) at length one; ValueError when one has no direction."""
    v = np.asarray(vector, dtype=float)
    length = np.linalg.norm(v, axis=-1, keepdims=True)
    if not np.all(length > 0) or not np.all(np.isfinite(length)):
        raise ValueError("a direction must have a length")
    return v / length


def dots(one: FloatArray, other: FloatArray) -> FloatArray:
    """Dot products (n, m) of vectors (n, 3) with vectors (m, 3).

    Not by the matrix library: it would spin threads of its own beside ours, and halve the speed of both.
    """
    # With the axes this way round the sum runs along memory, seven times faster.
    return np.asarray(np.einsum("ni,im->nm", one, np.ascontiguousarray(other.T)))


def toward(direction: ArrayLike) -> FloatArray:
    """Rotation matrix (3, 3) that turns a shape's front (-y) to `direction`, keeping its width level.

    Straight up or down keeps the width along x.
    """
    front = unit(direction)
    back = -front
    flat = np.hypot(front[0], front[1])
    across = np.array([1.0, 0.0, 0.0]) if flat < 1e-9 else np.array([back[1], -back[0], 0.0]) / flat
    return np.column_stack([across, back, np.cross(across, back)])


@dataclass(frozen=True)
class Placement:
    """A rigid placement: a point p of the thing itself stands at `rotation @ p + origin`."""

    rotation: FloatArray
    origin: FloatArray

    @staticmethod
    def still() -> Placement:
        return Placement(np.eye(3), np.zeros(3))

    def points(self, points: ArrayLike) -> FloatArray:
        """Own coordinates (..., 3) to placed coordinates, metres."""
        return np.asarray(points, dtype=float) @ self.rotation.T + self.origin

    def directions(self, directions: ArrayLike) -> FloatArray:
        return np.asarray(directions, dtype=float) @ self.rotation.T

    def after(self, outer: Placement) -> Placement:
        """This placement, itself carried by `outer`."""
        return Placement(outer.rotation @ self.rotation, outer.points(self.origin))

    def inverse(self) -> Placement:
        back = self.rotation.T
        return Placement(back, -back @ self.origin)
