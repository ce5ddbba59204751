"""A page to print, A4 or of any other size, laid out in millimetres: lines of text, tables, and a bar to check the printer by."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from sightline.pictures import style

# ISO 216 A4; margins that any printer keeps are common practice, no source.
PAGE_MM = (210.0, 297.0)
MARGIN_MM = 12.0
CHECK_BAR_MM = 100.0
# Where the last line of a page stands, from the lower edge: under the check bar, over what a packet stamps there.
FOOT_MM = 9.2
MM_IN = 1 / 25.4
MM_PER_PT = 25.4 / 72
# Height of a line of text, as a share of its size.
LEADING = 1.27


def a4(text_pt: float) -> Page:
    """An empty page, exactly A4, white as it comes from the printer; running text in this size."""
    return sized(PAGE_MM, text_pt)


def sized(size_mm: tuple[float, float], text_pt: float) -> Page:
    """An empty page of this width and height."""
    figure = style.figure(size_mm[0] * MM_IN, size_mm[1] * MM_IN)
    figure.set_facecolor("white")
    return Page(figure, text_pt, size_mm)


def pdf_of(figures: Sequence[Any], said: dict[str, str] | None = None) -> bytes:
    """All figures as the pages of one PDF; the same figures give the same bytes.

    `said`: more properties of the document (Title, Subject, Keywords).
    """
    import io

    from matplotlib.backends.backend_pdf import PdfPages

    buffer = io.BytesIO()
    own = {"CreationDate": None, "ModDate": None, "Creator": "sightline", "Producer": "sightline"}
    with PdfPages(buffer, metadata=own | (said or {})) as pages:
        for figure in figures:
            pages.savefig(figure, facecolor=figure.get_facecolor())
    return buffer.getvalue()


class Page:
    """The whole page as one pair of axes in millimetres, y downwards."""

    def __init__(self, figure: Any, text_pt: float, size_mm: tuple[float, float] = PAGE_MM):
        self.size_mm = size_mm
        self.figure, self.text_pt, self.line_mm = figure, text_pt, text_pt * LEADING * MM_PER_PT
        self.axes = figure.add_axes((0, 0, 1, 1))
        self.axes.set_xlim(0, size_mm[0])
        self.axes.set_ylim(size_mm[1], 0)
        self.axes.set_axis_off()

    def width_mm(self, text: str, size: float, weight: str = "normal") -> float:
        """How wide a line is in print: by the outlines of its letters, not by their pixels on a screen."""
        from matplotlib.font_manager import FontProperties
        from matplotlib.textpath import text_to_path

        font = FontProperties(size=size, weight=weight)
        return float(text_to_path.get_text_width_height_descent(text, font, False)[0]) * MM_PER_PT

    def say(
        self, x: float, y: float, text: str, size: float, *, width_mm: float | None = None, weight: str = "normal",
        color: str = style.INK,
    ) -> None:  # fmt: skip
        """One line, its baseline at y; cut with three dots where it is wider than `width_mm`."""
        if width_mm is not None and self.width_mm(text, size, weight) > width_mm:
            while text and self.width_mm(text + "...", size, weight) > width_mm:
                text = text[:-1]
            text += "..."
        # A name may hold a dollar sign, which is no formula.
        self.axes.text(
            x, y, text, fontsize=size, va="baseline", parse_math=False, weight=weight, color=color
        )  # fmt: skip

    def line(self, x: Sequence[float], y: Sequence[float], weight: float, colour: str = style.INK) -> None:
        self.axes.plot(x, y, color=colour, lw=weight, solid_capstyle="butt")

    def lines_of(self, text: str, width_mm: float, weight: str = "normal") -> list[str]:
        """The text broken to a width: at spaces, a word that is too long within."""
        out: list[str] = []
        for part in text.split("\n"):
            line = ""
            for word in part.split():
                while len(word) > 1 and self.width_mm(word, self.text_pt, weight) > width_mm:
                    fits = len(word) - 1
                    while fits > 1 and self.width_mm(word[:fits], self.text_pt, weight) > width_mm:
                        fits -= 1
                    out += [line, word[:fits]] if line else [word[:fits]]
                    line, word = "", word[fits:]
                wider = f"{line} {word}".strip()
                if line and self.width_mm(wider, self.text_pt, weight) > width_mm:
                    out.append(line)
                    line = word
                else:
                    line = wider
            out.append(line)
        return out

    def table(
        self, top: float, end: float, columns: Sequence[tuple[str, float]], rows: Sequence[Sequence[str]]
    ) -> tuple[float, list[float]]:  # fmt: skip
        """Head and as many rows as fit above `end`. Gives where it ends and the first baseline of each row drawn."""
        starts = MARGIN_MM + np.concatenate([[0.0], np.cumsum([width for _, width in columns])])
        y, bases = top, []
        for k, cells in enumerate([[name for name, _ in columns], *rows]):
            broken = [self.lines_of(cell, columns[c][1] - 1.6) for c, cell in enumerate(cells)]
            tall = max(len(lines) for lines in broken) * self.line_mm + 1.5
            if y + tall > end:
                break
            for c, lines in enumerate(broken):
                colour = style.INK if k else style.QUIET
                for n, said in enumerate(lines):
                    self.say(float(starts[c]), y + self.line_mm * (n + 1) - 0.2, said, self.text_pt, color=colour)
            if k:
                bases.append(y + self.line_mm - 0.2)
            y += tall
            self.line([MARGIN_MM, float(starts[-1])], [y, y], style.MEDIUM if k == 0 else style.THIN / 2, style.QUIET)
        return y, bases

    def foot(self, said: str) -> None:
        """The one line at the foot of a page, the same on every sheet: what it rests on, and where the list is."""
        wide, tall = self.size_mm
        self.say(
            MARGIN_MM, tall - FOOT_MM, said, style.FOOT_PT, width_mm=wide - 2 * MARGIN_MM, color=style.QUIET
        )  # fmt: skip

    def check_bar(self, y: float | None = None) -> None:
        """At the foot, or at this height, exactly 100 mm on paper when the page is printed at its own size."""
        y, x = self.size_mm[1] - 13.0 if y is None else y, MARGIN_MM
        self.line([x, x + CHECK_BAR_MM], [y, y], style.MEDIUM)
        for tick in range(0, int(CHECK_BAR_MM) + 1, 10):
            tall = 1.6 if tick % 50 == 0 else 0.9
            self.line([x + tick, x + tick], [y - tall, y + tall], style.THIN)
        said = "100 mm: measure it; print at 100 %, not fitted to the page"
        self.say(x + CHECK_BAR_MM + 3, y + 0.8, said, self.text_pt, color=style.QUIET)
