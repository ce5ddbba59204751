"""The surface of a limb as a grid: rings from the shoulder to the wrist, each walked round the limb."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.figure.arm import Side
from sightline.geometry.frame import FloatArray, unit

# Columns round a limb: a polygon of so many sides is 0.02 % shorter than its circle.
AROUND = 96


@dataclass(frozen=True)
class Tube:
    """A limb's skin without the hand, in the performer's frame, metres.

    `points` (m, n, 3): ring i runs from the shoulder (0) to the wrist (m - 1); column j goes round the limb from its
    outer side through its front, its first column not repeated. `share` (m, n) is how far along the limb each point
    is, 0 to 1, and `around_rad` (m, n) where round it, both as a seam of the scene says them (`scene/prop.LimbSeam`).
    `elbow` is the row that lies in the mitre plane, None in a straight tube. `outward` is +1 where
    (next ring - this) x (next column - this) points out of the limb, else -1.
    """

    name: str
    side: Side
    points: FloatArray
    share: FloatArray
    around_rad: FloatArray
    elbow: int | None
    outward: int

    @property
    def girth_m(self) -> FloatArray:
        """Length (m,) of each ring."""
        return np.asarray(np.linalg.norm(np.roll(self.points, -1, axis=1) - self.points, axis=2).sum(axis=1))

    @property
    def middles(self) -> FloatArray:
        """Middle (m, 3) of each ring."""
        return np.asarray(self.points.mean(axis=1))

    @property
    def length_m(self) -> float:
        """Along the middles of its rings, shoulder to wrist."""
        return float(np.linalg.norm(np.diff(self.middles, axis=0), axis=1).sum())

    @property
    def normals(self) -> FloatArray:
        """Unit normal (m, 3) of each ring's own plane, from the shoulder to the wrist."""
        area = np.cross(self.points, np.roll(self.points, -1, axis=1)).sum(axis=1)
        ahead = np.gradient(self.middles, axis=0)
        return unit(area * np.where((area * ahead).sum(axis=1) < 0.0, -1.0, 1.0)[:, None])

    @property
    def bend_deg(self) -> float:
        """How far the elbow is bent: between its end rings, which are square to their bones; 0 in a straight tube."""
        if self.elbow is None:
            return 0.0
        normals = self.normals
        return float(np.degrees(np.arccos(np.clip(float(normals[0] @ normals[-1]), -1.0, 1.0))))

    def where(self, row: int) -> str:
        """A ring in words, for errors."""
        return where_words(float(self.share[row].mean()), self.length_m)


def where_words(share: float, length_m: float) -> str:
    return f"{share * length_m * 100:.0f} cm from the shoulder (share {share:.2f} of the limb)"
