"""The working cards, each one side of A4: type as large as fits, ink alone, nothing told by colour."""

from __future__ import annotations

from bisect import bisect_left
from typing import Any

from sightline.pictures import style
from sightline.pictures.backview import draw_back
from sightline.pictures.page import LEADING, MARGIN_MM, MM_PER_PT, PAGE_MM, Page, a4
from sightline.workshop.cards import Block, Card, Row

# Read at arm's length: the largest of these that fits the sheet is taken. Common practice, no source.
SIZES_PT = (17.0, 16.0, 15.0, 14.0, 13.0, 12.0, 11.0, 10.0, 9.0, 8.0)
SMALL = 0.86
# What comes first is long, and must not push the rest off the sheet.
FIRST_PT = 11.0
# Letters on a screen run this much wider than in print.
ROOM = 0.97
TITLE_PT = 30.0
FOOT_PT = 9.0
# Below the foot there is room for one line more, such as the packet's.
FOOT_TOP_MM = PAGE_MM[1] - 20.0
RIGHT_MM = PAGE_MM[0] - MARGIN_MM
FIGURE_MM = 72.0
MARK_MM = 0.78  # width of the column of marks, in mm for each point of the text


def draw_card(card: Card, title: str) -> Any:
    """The figure, exactly A4; the text is as large as lets it all stand on one side."""
    page = a4(size_of(card))
    _Layout(page, card, title)
    return page.figure


def size_of(card: Card) -> float:
    """The largest size in which it fits, points; the smallest of all where none does."""
    return SIZES_PT[min(bisect_left(SIZES_PT, True, key=lambda size: fits(card, size)), len(SIZES_PT) - 1)]


def fits(card: Card, size_pt: float) -> bool:
    return _Layout(a4(size_pt), card, "").end_mm <= FOOT_TOP_MM


class _Layout:
    """One card set in one size, from the top; `end_mm` is where it ends."""

    def __init__(self, page: Page, card: Card, title: str):
        self.page, self.size, self.y = page, page.text_pt, MARGIN_MM + 9.0
        page.say(MARGIN_MM, self.y, card.title, TITLE_PT, weight="bold")
        beside = MARGIN_MM + page.width_mm(card.title, TITLE_PT, "bold") + 8
        page.say(beside, self.y, title, 13.0, width_mm=RIGHT_MM - beside)
        self.y += 2.5
        page.line([MARGIN_MM, RIGHT_MM], [self.y, self.y], 2.0)
        self.y += 1.5
        self._lines(card.lead, MARGIN_MM, RIGHT_MM, self.size * 0.9)
        self._first(card.first)
        top = self.y
        if card.figure is not None:
            self.right = RIGHT_MM - FIGURE_MM
            floor = draw_back(page, card.figure, RIGHT_MM - FIGURE_MM / 2 + 3, top + 4, FIGURE_MM - 6)
        else:
            self.right, floor = RIGHT_MM, top
        for block in card.blocks:
            # Beside the figure the column is narrow, below it the whole sheet.
            if self.y > floor:
                self.right = RIGHT_MM
            self._block(block)
        self.end_mm = max(self.y, floor)
        self._foot(card.foot)

    def _lines(self, text: str, left: float, right: float, size: float, weight: str = "normal") -> None:
        self.page.text_pt = size
        for said in self.page.lines_of(text, (right - left) * ROOM, weight):
            self.y += size * LEADING * MM_PER_PT
            self.page.say(left, self.y - size * 0.25 * MM_PER_PT, said, size, weight=weight)
        self.page.text_pt = self.size

    def _first(self, first: tuple[str, ...]) -> None:
        if not first:
            return
        self.y += 2.0
        top, pad = self.y, 3.0
        self.y += 1.5
        head = "FIRST OF ALL: clear these before anybody puts it on"
        self._lines(head, MARGIN_MM + pad, RIGHT_MM - pad, min(self.size, FIRST_PT + 3.0), "bold")
        size = min(self.size * 0.9, FIRST_PT)
        for said in first:
            base = self.y + size * (LEADING - 0.25) * MM_PER_PT
            self.page.say(MARGIN_MM + pad, base, "!", size, weight="bold")
            self._lines(said, MARGIN_MM + pad + 4, RIGHT_MM - pad, size)
        self.y += 2.0
        frame = [MARGIN_MM, RIGHT_MM, RIGHT_MM, MARGIN_MM, MARGIN_MM], [top, top, self.y, self.y, top]
        self.page.line(*frame, 2.5)

    def _block(self, block: Block) -> None:
        self.y += self.size * 0.28
        aside = self.page.width_mm(block.aside, self.size * 0.9) if block.aside else 0.0
        start = self.y
        self._lines(block.heading, MARGIN_MM, self.right - aside - 3, self.size, "bold")
        if block.aside:
            base = start + self.size * (LEADING - 0.25) * MM_PER_PT
            self._at_right(base, block.aside, self.size * 0.9)
        self.y += 0.8
        self.page.line([MARGIN_MM, self.right], [self.y, self.y], style.HEAVY)
        # Rows without any mark need no column for it.
        marked = any(row.mark for row in block.rows)
        for n, row in enumerate(block.rows):
            if n:
                self.page.line([MARGIN_MM, self.right], [self.y, self.y], style.THIN)
            self._row(row, marked)

    def _row(self, row: Row, marked: bool) -> None:
        self.y += self.size * 0.06
        start = self.y
        column = self.size * MARK_MM if marked else 0.0
        left = MARGIN_MM + column
        if row.mark == "[ ]":
            self._box(start)
        elif row.mark:
            base = start + self.size * (LEADING - 0.25) * MM_PER_PT
            self.page.say(MARGIN_MM + 1, base, row.mark, self.size, weight="bold")
        small = self.size * SMALL
        beside = left + self.page.width_mm(row.words, self.size) + 5
        if row.small and beside + self.page.width_mm(row.small, small) / ROOM <= self.right:
            # Short ones stand on one line, the small part at the right end.
            self._lines(row.words, left, self.right, self.size)
            base = start + self.size * (LEADING - 0.25) * MM_PER_PT
            self._at_right(base, row.small, small)
        else:
            self._lines(row.words, left, self.right, self.size)
            if row.small:
                self._lines(row.small, left, self.right, small)
        self.y += self.size * 0.10

    def _at_right(self, base: float, text: str, size: float) -> None:
        self.page.axes.text(self.right, base, text, fontsize=size, ha="right", va="baseline", parse_math=False)

    def _box(self, top: float) -> None:
        side = self.size * 0.75 * MM_PER_PT
        x, y = MARGIN_MM + 1, top + self.size * 0.30 * MM_PER_PT
        self.page.line([x, x + side, x + side, x, x], [y, y, y + side, y + side, y], style.HEAVY)

    def _foot(self, foot: tuple[str, ...]) -> None:
        self.y = FOOT_TOP_MM + 2
        self.page.line([MARGIN_MM, RIGHT_MM], [self.y, self.y], style.THIN)
        self.y += 0.5
        self._lines(" ".join(foot), MARGIN_MM, RIGHT_MM, FOOT_PT)
