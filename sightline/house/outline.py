"""Lines of the plan, for drawing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sightline.geometry.frame import FloatArray

OUTLINE_KINDS = (
    "stage edge", "plaster line", "centre line", "proscenium", "wall", "masking", "rail", "column", "box", "aisle",
    "standing area", "balcony front", "exit", "keep clear", "edge", "mirror", "lamp",
)  # fmt: skip


@dataclass(frozen=True)
class Outline:
    """A line in plan: `points_m` (n, 2); an area repeats its first point. `kind` is one of OUTLINE_KINDS."""

    name: str
    kind: str
    points_m: FloatArray

    @property
    def closed(self) -> bool:
        return len(self.points_m) > 2 and bool(np.array_equal(self.points_m[0], self.points_m[-1]))


def line(name: str, kind: str, points_m: ArrayLike) -> Outline:
    return Outline(name, kind, np.array(points_m, dtype=float).reshape(-1, 2))


def area(name: str, kind: str, points_m: ArrayLike) -> Outline:
    """The same, closed."""
    points = np.array(points_m, dtype=float).reshape(-1, 2)
    return Outline(name, kind, points if np.array_equal(points[0], points[-1]) else np.vstack([points, points[:1]]))
