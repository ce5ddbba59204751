"""Text, tables and lists to tick that run over as many sheets as they take; lengths in mm from the upper left corner."""

from __future__ import annotations

from collections.abc import Sequence

from sightline.packet.frame import TEXT_PT, heading, leaf, room_of
from sightline.packet.paper import PaperName
from sightline.pictures import style
from sightline.pictures.page import Page

HEAD_PT = 10.0
BOX_MM = 3.0
# Room for a pencil on a line to write on.
PENCIL_MM = 8.0


class Flow:
    """Sheets under one heading; `page` and `y` are where the next thing goes."""

    def __init__(self, paper: PaperName, title: str, said: str = "", landscape: bool = False, text_pt: float = TEXT_PT):
        self.paper, self.title, self.landscape, self.text_pt = paper, title, landscape, text_pt
        self.pages: list[Page] = []
        self.page, self.y = self._next(said)

    @property
    def wide(self) -> float:
        left, _, right, _ = room_of(self.page)
        return right - left

    @property
    def left(self) -> float:
        return room_of(self.page)[0]

    @property
    def foot(self) -> float:
        return room_of(self.page)[3]

    def _next(self, said: str = "") -> tuple[Page, float]:
        page = leaf(self.paper, self.landscape, self.text_pt)
        title = self.title if not self.pages else f"{self.title}, continued"
        self.pages.append(page)
        return page, heading(page, title, said)

    def need(self, tall_mm: float) -> None:
        """Go overleaf where so much does not fit any more."""
        if self.y + tall_mm > self.foot:
            self.page, self.y = self._next()

    def head(self, text: str, keep_mm: float = 14.0) -> None:
        """A heading that never stands alone at the foot."""
        self.need(keep_mm + 8.0)
        self.y += 5.0
        self.page.say(self.left, self.y, text, HEAD_PT, weight="bold", width_mm=self.wide)
        self.y += 1.6
        self.page.line([self.left, self.left + self.wide], [self.y, self.y], style.MEDIUM)
        self.y += 1.4

    def para(self, text: str, weight: str = "normal", colour: str = style.INK, indent_mm: float = 0.0) -> None:
        for line in self.page.lines_of(text, self.wide - indent_mm, weight):
            self.need(self.page.line_mm)
            self.y += self.page.line_mm
            self.page.say(self.left + indent_mm, self.y - 0.6, line, self.text_pt, weight=weight, color=colour)
        self.y += 1.0

    def bullets(self, lines: Sequence[str], sign: str = "-") -> None:
        for text in lines:
            tall = len(self.page.lines_of(text, self.wide - 4.5)) * self.page.line_mm
            self.need(min(tall, 30.0))
            self.page.say(self.left + 0.5, self.y + self.page.line_mm - 0.6, sign, self.text_pt, weight="bold")
            self.para(text, indent_mm=4.5)

    def ticks(self, lines: Sequence[tuple[str, str]], notes_mm: float = 0.0) -> None:
        """Boxes to tick, each with what is done and in grey what goes with it; `notes_mm`: a line to write on at right."""
        for words, small in lines:
            room = self.wide - 7.0 - (notes_mm + 3.0 if notes_mm else 0.0)
            main, quiet = self.page.lines_of(words, room), self.page.lines_of(small, room) if small else []
            tall = (len(main) + len(quiet)) * self.page.line_mm + 2.2
            self.need(tall)
            x, top = self.left + 0.5, self.y + 1.0
            self.page.line([x, x + BOX_MM, x + BOX_MM, x, x], [top, top, top + BOX_MM, top + BOX_MM, top], style.MEDIUM)
            y = self.y
            for k, line in enumerate([*main, *quiet]):
                y += self.page.line_mm
                colour = style.INK if k < len(main) else style.QUIET
                self.page.say(self.left + 7.0, y - 0.2, line, self.text_pt, color=colour)
            if notes_mm:
                right = self.left + self.wide
                base = self.y + self.page.line_mm + 0.6
                self.page.line([right - notes_mm, right], [base, base], style.THIN, style.QUIET)
            self.y += tall

    def table(self, columns: Sequence[tuple[str, float]], rows: Sequence[Sequence[str]], head: str = "") -> None:
        """Columns by their share of the width. What finds no room goes overleaf under its column heads again."""
        if head:
            self.head(head, 22.0)
        total = sum(share for _, share in columns)
        sized = [(name, share / total * self.wide) for name, share in columns]
        left = list(rows)
        while True:
            self.need(14.0)
            self.y, bases = self.page.table(self.y, self.foot, sized, left)
            left = left[len(bases) :]
            if not left:
                break
            fresh = self.y < 40.0
            self.page, self.y = self._next()
            if not bases and fresh:
                # A row taller than a sheet: it is cut, not looped over for ever.
                self.para("A row that is taller than a sheet is left out here.")
                left = left[1:]
        self.y += 2.0

    def blanks(self, lines: Sequence[str], tall_mm: float = PENCIL_MM) -> None:
        """Words with a line behind them to write on."""
        for words in lines:
            self.need(tall_mm)
            self.y += tall_mm
            self.page.say(self.left, self.y - 0.8, words, self.text_pt)
            start = self.left + (self.page.width_mm(words, self.text_pt) + 2.0 if words else 0.0)
            self.page.line([start, self.left + self.wide], [self.y, self.y], style.THIN, style.QUIET)

    def space(self, tall_mm: float) -> tuple[Page, float]:
        """Room for a picture; gives the page and its top."""
        self.need(tall_mm)
        top = self.y
        self.y += tall_mm
        return self.page, top
