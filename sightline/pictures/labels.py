"""Labels on a drawing in metres: each is put where it covers no other label and, where that can be, no mark."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.pictures import style
from sightline.pictures.typeset import PT_IN, width_in

# A letter's box over its size, and the air round a label as a share of its height.
TALL, AIR = 1.16, 0.12
# Text on a screen of dots comes out a little wider than its outlines.
WIDER = 1.05


@dataclass
class Labels:
    """The labels of one pair of axes that shows `low` to `high` (2,), metres, at so many inches to the metre.

    `marks` (n, 2) are what labels should not cover, each a square of half width `mark_m`.
    """

    axes: Any
    low: FloatArray
    high: FloatArray
    inch_per_m: float
    marks: FloatArray = field(default_factory=lambda: np.zeros((0, 2)))
    mark_m: float = 0.0
    taken: list[tuple[float, float, float, float]] = field(default_factory=list)

    def put(
        self,
        text: str,
        at: Sequence[float] | FloatArray,
        ways: Sequence[tuple[float, float]],
        gap_m: float,
        size_pt: float = style.LABEL_PT,
        colour: str = style.INK,
        weight: str = "normal",
        must: bool = False,
        paper: bool = False,
    ) -> bool:
        """Write a label beside a point, in the first of the directions `ways` in which there is room.

        With `must` it may cover marks, never another label; it is left away only where even so there is no room.
        """
        wide, tall = self._size(text, size_pt, weight)
        # Near by first; a label that must be there may stand farther off, with a line that leads to it.
        far = (1.0, 3.0, 6.0, 10.0, 16.0, 24.0) if must else (1.0,)
        places = [(k, self._middle(at, way, gap_m * k, wide, tall)) for k in far for way in ways]
        for strict in (True, False) if must else (True,):
            for k, (x, y) in places:
                box = (x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2)
                if self._free(box, strict):
                    self.taken.append(box)
                    if k > 1:
                        near = np.clip(at, [box[0], box[1]], [box[2], box[3]])
                        self.axes.plot([at[0], near[0]], [at[1], near[1]], color=colour, lw=style.THIN, zorder=8)
                    self.axes.text(
                        x, y, text, ha="center", va="center", fontsize=size_pt, color=colour, fontweight=weight,
                        zorder=9, parse_math=False, clip_on=False,
                        bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 0.6, "alpha": 0.8} if paper else None,
                    )  # fmt: skip
                    return True
        return False

    def _size(self, text: str, size_pt: float, weight: str) -> tuple[float, float]:
        wide = width_in(text, size_pt, weight) * WIDER / self.inch_per_m
        tall = size_pt * TALL * PT_IN / self.inch_per_m
        return wide + tall * AIR, tall * (1 + AIR)

    @staticmethod
    def _middle(
        at: Sequence[float] | FloatArray, way: tuple[float, float], gap_m: float, wide: float, tall: float
    ) -> tuple[float, float]:
        """Where the label's middle must be so that its near side is `gap_m` away."""
        x, y = way
        size = max(np.hypot(x, y), 1e-9)
        x, y = x / size, y / size
        return float(at[0] + x * (gap_m + wide / 2)), float(at[1] + y * (gap_m + tall / 2))

    def _free(self, box: tuple[float, float, float, float], strict: bool) -> bool:
        x0, y0, x1, y1 = box
        if x0 < self.low[0] or x1 > self.high[0] or y0 < self.low[1] or y1 > self.high[1]:
            return False
        if any(x0 < b[2] and b[0] < x1 and y0 < b[3] and b[1] < y1 for b in self.taken):
            return False
        if not strict or not len(self.marks):
            return True
        x, y, r = self.marks[:, 0], self.marks[:, 1], self.mark_m
        return not bool(((x + r > x0) & (x - r < x1) & (y + r > y0) & (y - r < y1)).any())


ROUND = tuple((float(np.cos(a)), float(np.sin(a))) for a in np.radians([0, 180, 45, 135, -45, -135, 90, -90]))
"""Directions for a label that may stand anywhere beside its point."""


def outward_first(way: FloatArray) -> tuple[tuple[float, float], ...]:
    """All directions, those nearest to `way` (2,) first."""
    return tuple(sorted(ROUND, key=lambda r: -(r[0] * float(way[0]) + r[1] * float(way[1]))))
