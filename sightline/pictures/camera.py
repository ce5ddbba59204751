"""A view from one eye: where it looks, how wide, and which way every pixel goes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray, unit

ARCMIN_RAD = np.pi / 180 / 60


@dataclass(frozen=True)
class Camera:
    """`eye` and `target` (3,) metres, `width_rad` across the picture, size in pixels (across, down)."""

    eye: FloatArray
    target: FloatArray
    width_rad: float
    size: tuple[int, int]

    @property
    def axes(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Ahead, right and up of the picture, unit vectors."""
        ahead = unit(self.target - self.eye)
        right = np.cross(ahead, [0.0, 0.0, 1.0])
        right = unit(right) if np.linalg.norm(right) > 1e-6 else np.array([1.0, 0.0, 0.0])
        return ahead, right, np.cross(right, ahead)

    @property
    def height_rad(self) -> float:
        across, down = self.size
        return float(2 * np.arctan(np.tan(self.width_rad / 2) * down / across))

    def directions(self) -> FloatArray:
        """One direction per pixel, row by row from the top left (n, 3), not of unit length."""
        across, down = self.size
        half = np.tan(self.width_rad / 2)
        u = (2 * (np.arange(across) + 0.5) / across - 1) * half
        v = (1 - 2 * (np.arange(down) + 0.5) / down) * half * down / across
        ahead, right, up = self.axes
        return np.asarray(ahead + u[None, :, None] * right + v[:, None, None] * up).reshape(-1, 3)


def framing(
    eye: FloatArray, points: FloatArray, size: tuple[int, int], room: float = 1.25, target: FloatArray | None = None
) -> Camera:
    """The camera at `eye` that holds all `points` (n, 3), a little room round them; aimed at their middle or `target`."""
    low, high = points.min(axis=0), points.max(axis=0)
    camera = Camera(eye, (low + high) / 2 if target is None else target, 0.1, size)
    ahead, right, up = camera.axes
    away = points - eye
    depth = np.maximum(away @ ahead, 0.05)
    wide = np.abs(away @ right / depth).max()
    tall = np.abs(away @ up / depth).max() * size[0] / size[1]
    half = float(np.clip(np.arctan(max(wide, tall) * room), np.radians(0.3), np.radians(65)))
    return Camera(eye, camera.target, 2 * half, size)
