"""A page of the packet as a board in inches, so that the plan's own panels and legend are drawn on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sightline.packet.frame import room_of
from sightline.pictures import style
from sightline.pictures.board import Board
from sightline.pictures.page import MM_IN, Page
from sightline.pictures.typeset import PT_IN, line_in


class LeafBoard(Board):
    """What is drawn at a board's edge stands at the page's margin."""

    def __init__(self, page: Page):
        left, _, right, _ = room_of(page)
        self.figure = page.figure
        self._size = page.size_mm[0] * MM_IN, page.size_mm[1] * MM_IN
        self._shift = left * MM_IN - style.EDGE_IN
        self.wide_in, self.tall_in = (right - left) * MM_IN + 2 * style.EDGE_IN, self._size[1]

    def axes(self, left: float, top: float, wide: float, tall: float) -> Any:
        width, height = self._size
        box = ((left + self._shift) / width, 1 - (top + tall) / height, wide / width, tall / height)
        return self.figure.add_axes(box)

    def say(
        self, left: float, top: float, lines: Sequence[str], size_pt: float, colour: str = style.INK,
        weight: str = "normal", ha: str = "left",
    ) -> float:  # fmt: skip
        width, height = self._size
        for line in lines:
            base = top + 0.86 * size_pt * PT_IN
            self.figure.text(
                (left + self._shift) / width, 1 - base / height, line, fontsize=size_pt, color=colour,
                fontweight=weight, ha=ha, va="baseline", parse_math=False,
            )  # fmt: skip
            top += line_in(size_pt)
        return top
