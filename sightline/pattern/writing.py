"""Putting words on a piece one after another, each where there is room left, or on the list of those led outside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.pattern.lettering import ABOVE, AIR, BELOW, balanced, words_width
from sightline.pattern.marked import Arrow, Leader, Letters, Ring, Saying, Tick
from sightline.pattern.room import Room

# No words smaller than this. Common practice for shop drawings read at arm's length, no source.
LEAST_M = 0.003
# Clear of the cut, and clear of one another.
BORDER_M = 0.002
CLEAR_M = 0.001


@dataclass(frozen=True)
class Line:
    """A line of a block of words: its height is `share` of the block's, but never under LEAST_M."""

    text: str
    share: float
    saying: Saying

    def height(self, block_m: float) -> float:
        return max(LEAST_M, self.share * block_m)


@dataclass
class Writing:
    """What is on one piece so far, and the room that is left. `scale` is the share of the largest sizes to begin with."""

    polygon: Any
    scale: float = 1.0
    room: Room = field(init=False)
    ticks: list[Tick] = field(default_factory=list)
    arrows: list[Arrow] = field(default_factory=list)
    rings: list[Ring] = field(default_factory=list)
    folds: list[FloatArray] = field(default_factory=list)
    letters: list[Letters] = field(default_factory=list)
    leaders: list[Leader] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.room = Room(self.polygon, BORDER_M)

    def block(
        self,
        lines: Sequence[Line],
        height_m: float,
        near: FloatArray,
        reach_m: float | None = None,
        turns: str = "0 90",
    ) -> bool:
        """Write lines of a block below one another, if there is room at this height, upright or turned a quarter."""
        heights = [line.height(height_m) for line in lines]
        wide = max(words_width(line.text, h) for line, h in zip(lines, heights, strict=True)) + 2 * CLEAR_M
        # From baseline to baseline: what hangs below one line, what rises of the next, and some air.
        steps = [BELOW * one + (1.0 + ABOVE + AIR) * two for one, two in pairwise(heights)]
        high = (1.0 + ABOVE) * heights[0] + sum(steps) + BELOW * heights[-1] + 2 * CLEAR_M
        for turn in (float(t) for t in turns.split()):
            size = (wide, high) if turn == 0.0 else (high, wide)
            corner = self.room.place(*size, near, reach_m)
            if corner is None:
                continue
            self.room.take_box(*corner, *size)
            down = CLEAR_M + (1.0 + ABOVE) * heights[0]
            for line, h, step in zip(lines, heights, [*steps, 0.0], strict=True):
                x, y = (wide / 2, high - down) if turn == 0.0 else (down, wide / 2)
                at = (corner[0] + x, corner[1] + y)
                self.letters.append(Letters(line.text, at, h, turn, line.saying))
                down += step
            return True
        return False

    def words(
        self, text: str, saying: Saying, heights_m: Sequence[float], near: FloatArray, reach_m: float | None = None,
        most_lines: int = 1, turns: str = "0 90",
    ) -> bool:  # fmt: skip
        """Write one sentence at the largest of these heights that has room, in as few lines as may be."""
        for height in [h for h in heights_m if h <= heights_m[0] * self.scale] or [heights_m[-1]]:
            for count in range(1, most_lines + 1):
                lines = [Line(part, 1.0, saying) for part in balanced(text, count)]
                if self.block(lines, height, near, reach_m, turns):
                    return True
        return False

    def lead(self, text: str, saying: Saying, at: FloatArray) -> None:
        self.leaders.append(Leader(text, (float(at[0]), float(at[1])), saying))

    def tick(self, number: int, at: FloatArray, inward: FloatArray, length_m: float) -> FloatArray:
        """A mark from the edge inwards, shorter where the piece is narrow. Returns its inner end."""
        from shapely import LineString, Point

        for share in (1.0, 0.7, 0.5, 0.3):
            end = at + inward * length_m * share
            # The end of a line square to a straight edge is its own length away from it; nearer means another edge.
            off = Point(end).distance(self.polygon.exterior)
            inner = LineString([at + inward * 1e-5, end]).within(self.polygon)
            if inner and off >= 0.6 * length_m * share:
                break
        self.ticks.append(Tick(number, np.stack([at, end])))
        self.room.take_line(np.stack([at, end]), CLEAR_M)
        return np.asarray(end)
