"""The surface of a limb as a grid: rings from the shoulder to the wrist, each walked round the limb."""

from __future__ import annotations

from dataclasses import dataclass

from sightline.figure.arm import Side
from sightline.geometry.frame import FloatArray


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
