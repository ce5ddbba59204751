"""A4 sheets that follow one another, each with its title block and check bar: what finds no room goes on overleaf."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sightline.pictures import style
from sightline.pictures.page import MARGIN_MM, PAGE_MM, Page, a4

TEXT_PT = 7.4
TOP_MM, END_MM = 26.0, 277.0
WIDE_MM = PAGE_MM[0] - 2 * MARGIN_MM


class Sheets:
    """Pages in the order they are begun, each with the name that its title block shows; `rests` stands at every foot."""

    def __init__(self, title: str, under: str, text_pt: float = TEXT_PT, rests: str = ""):
        self.title, self.under, self.text_pt, self.rests = title, under, text_pt, rests
        self.pages: list[tuple[Page, str]] = []

    def page(self, name: str) -> Page:
        page = a4(self.text_pt)
        page.say(MARGIN_MM, 15.0, self.title, 13, weight="bold", width_mm=112.0)
        page.say(MARGIN_MM, 20.5, self.under, 8, color=style.QUIET, width_mm=112.0)
        page.check_bar()
        page.foot(self.rests)
        self.pages.append((page, name))
        return page

    def overleaf(self) -> Page:
        """The next page under the same name."""
        name = self.pages[-1][1]
        return self.page(name if name.endswith(", continued") else name + ", continued")

    def table(
        self, page: Page, y: float, head: str, columns: Sequence[tuple[str, float]], rows: Sequence[Sequence[str]],
        drawn: list[tuple[Page, float]] | None = None,
    ) -> tuple[Page, float]:  # fmt: skip
        """The table under its heading, on as many pages as it takes; the page and the height where it ends.

        In `drawn` the page and first baseline of every row are put.
        """
        left = list(rows)
        # A heading with no room for a row below it would stand alone.
        if y > END_MM - 25.0:
            page, y = self.overleaf(), TOP_MM + 4.0
        while True:
            page.say(MARGIN_MM, y, head, 9, weight="bold")
            y, bases = page.table(y + 1.5, END_MM, columns, left)
            left = left[len(bases) :]
            if drawn is not None:
                drawn += [(page, base) for base in bases]
            if not left or not bases:
                return page, y
            page, y = self.overleaf(), TOP_MM + 4.0

    def text(self, page: Page, y: float, said: str, weight: str = "normal") -> tuple[Page, float]:
        """A paragraph across the page, overleaf where it would run into the check bar."""
        if y + page.line_mm * len(page.lines_of(said, WIDE_MM, weight)) > END_MM + 2.0:
            page, y = self.overleaf(), TOP_MM
        return page, paragraph(page, y, said, WIDE_MM, weight)

    def done(self) -> list[Any]:
        """The figures, each with its title block: sheet n of N, and who made and checked it."""
        for n, (page, name) in enumerate(self.pages, 1):
            left, right, top, foot = 128.0, PAGE_MM[0] - MARGIN_MM, 9.0, 22.0
            page.line([left, right, right, left, left], [top, top, foot, foot, top], style.MEDIUM)
            page.line([left, right], [15.5, 15.5], style.THIN)
            page.line([right - 26, right - 26], [top, 15.5], style.THIN)
            page.say(left + 1.5, 13.4, name, 8, weight="bold", width_mm=right - left - 29)
            page.say(right - 24.5, 13.4, f"sheet {n} of {len(self.pages)}", 8)
            page.say(
                left + 1.5, 20.0, "date                      made                      checked", 7, color=style.QUIET
            )
        return [page.figure for page, _ in self.pages]


def paragraph(page: Page, y: float, text: str, width_mm: float, weight: str = "normal") -> float:
    """The text from the left margin, broken to a width; gives the last baseline."""
    for line in page.lines_of(text, width_mm, weight):
        y += page.line_mm
        page.say(MARGIN_MM, y, line, page.text_pt, weight=weight)
    return y
