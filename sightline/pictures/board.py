"""A sheet laid out in inches from its upper left corner: axes, lines of text, the title that every picture has."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sightline.pictures import style
from sightline.pictures.typeset import PT_IN, broken, cut, line_in


class Board:
    """An empty sheet; `room_in` is what is left between its edges."""

    def __init__(self, wide_in: float, tall_in: float, dots: int = 150):
        # Whole pixels, so that the same sheet has the same size everywhere.
        self.wide_in, self.tall_in = (round(x * dots) / dots for x in (wide_in, tall_in))
        self.figure: Any = style.figure(self.wide_in, self.tall_in, dots)

    @property
    def room_in(self) -> float:
        return self.wide_in - 2 * style.EDGE_IN

    def axes(self, left: float, top: float, wide: float, tall: float) -> Any:
        box = (left / self.wide_in, 1 - (top + tall) / self.tall_in, wide / self.wide_in, tall / self.tall_in)
        return self.figure.add_axes(box)

    def plain_axes(self, left: float, top: float, wide: float, tall: float) -> Any:
        """Axes in inches, y downwards, without a frame."""
        axes = self.axes(left, top, wide, tall)
        axes.set_xlim(0, wide)
        axes.set_ylim(tall, 0)
        axes.set_axis_off()
        return axes

    def say(
        self, left: float, top: float, lines: Sequence[str], size_pt: float, colour: str = style.INK,
        weight: str = "normal", ha: str = "left",
    ) -> float:  # fmt: skip
        """Lines of text from a height down. Gives where they end."""
        for line in lines:
            # The baseline is placed, so that lines of one size stand evenly.
            base = top + 0.86 * size_pt * PT_IN
            self.figure.text(
                left / self.wide_in, 1 - base / self.tall_in, line, fontsize=size_pt, color=colour, fontweight=weight,
                ha=ha, va="baseline", parse_math=False,
            )  # fmt: skip
            top += line_in(size_pt)
        return top

    def heading(self, title: str, said: str) -> float:
        """The picture's title and what it shows. Gives where they end."""
        top = self.say(
            style.EDGE_IN,
            style.EDGE_IN,
            broken(title, self.room_in, style.TITLE_PT, "bold"),
            style.TITLE_PT,
            weight="bold",
        )
        return self.say(style.EDGE_IN, top, broken(said, self.room_in, style.TEXT_PT), style.TEXT_PT, style.QUIET)

    def foot(self, said: str) -> None:
        """The one line within the lower edge, the same on every picture; cut where the sheet is too narrow for it."""
        top = self.tall_in - style.EDGE_IN / 2 - line_in(style.FOOT_PT) / 2
        self.say(style.EDGE_IN, top, [cut(said, self.room_in, style.FOOT_PT)], style.FOOT_PT, style.QUIET)


def heading_in(title: str, said: str, room_in: float) -> float:
    """How tall the edge and heading of a sheet are, inches."""
    lines = len(broken(title, room_in, style.TITLE_PT, "bold")), len(broken(said, room_in, style.TEXT_PT))
    return style.EDGE_IN + lines[0] * line_in(style.TITLE_PT) + lines[1] * line_in(style.TEXT_PT)
