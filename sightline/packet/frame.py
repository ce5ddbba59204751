"""The frame of a paper: border, title block and footer, so that every sheet says what it is, of when and for whom.

Follows conventions of drawing practice (title block at the foot, sheet n of N, scale, revision, status); lengths are
millimetres from the page's upper left corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sightline.packet.paper import FOOTERS, SIZES_MM, Openness, PaperName
from sightline.pictures import style
from sightline.pictures.page import MARGIN_MM, Page, sized
from sightline.scene.papers import Papers

TEXT_PT = 8.5
# The rows of the block and the line under it.
ROWS_MM, FOOT_MM = (9.5, 8.5), 5.5
BLOCK_MM = sum(ROWS_MM) + FOOT_MM
NAME_PT, VALUE_PT, FOOT_PT = 4.8, 8.0, 6.6
# Where the footer of a page laid out by others stands, from the lower edge.
READY_FOOT_MM = 5.6
_LISTED = "What the plan rests on and what was not checked: the director's book and packet.json."
# The last line of every sheet, by whom it is for and how far the work is.
RESTS: dict[Openness, dict[str, str]] = {
    "closed": {
        "planned": f"Planned, not walked in this house. {_LISTED}",
        "mock-up checked": f"Planned and tried in a mock-up, not walked in this house. {_LISTED}",
        "as built": f"Checked as built. {_LISTED}",
    },
    "open": {
        "planned": "By the company's plan; not yet walked in this house.",
        "mock-up checked": "By the company's plan, tried in a room; not yet walked in this house.",
        "as built": "By the company's plan, checked as built.",
    },
}


@dataclass(frozen=True)
class Block:
    """What the title block says. `said` are the company's own words; what they leave out is left blank to write in."""

    title: str
    venue: str
    scene: str
    paper: str
    for_whom: str
    openness: Openness
    said: Papers

    @property
    def status(self) -> str:
        return self.said.status.upper()


def leaf(paper: PaperName, landscape: bool = False, text_pt: float = TEXT_PT) -> Page:
    """An empty page that keeps room for the title block."""
    wide, tall = SIZES_MM[paper]
    return sized((tall, wide) if landscape else (wide, tall), text_pt)


def room_of(page: Page) -> tuple[float, float, float, float]:
    """What is left inside the frame: left, top, right, foot, in mm."""
    wide, tall = page.size_mm
    return MARGIN_MM, MARGIN_MM, wide - MARGIN_MM, tall - MARGIN_MM - BLOCK_MM - 2.0


def heading(page: Page, title: str, said: str = "") -> float:
    """The sheet's heading at the top. Gives the height at which the rest may begin."""
    left, top, right, _ = room_of(page)
    y = top + 4.6
    page.say(left, y, title, style.TITLE_PT, weight="bold", width_mm=right - left)
    for line in page.lines_of(said, right - left) if said else []:
        y += page.line_mm
        page.say(left, y + 0.6, line, page.text_pt, color=style.QUIET)
    return y + 5.0


def framed(page: Page, block: Block, sheet: tuple[int, int], scale: str = "") -> None:
    """Draw the title block and the footer on a page."""
    left, _, right, _ = room_of(page)
    top = page.size_mm[1] - MARGIN_MM - BLOCK_MM
    wide = right - left
    said = block.said
    number = f"{sheet[0]} of {sheet[1]}"
    rows = (
        (("production", said.production or block.title, 0.37), ("paper", block.paper, 0.33), ("sheet", number, 0.09),
         ("status", block.status, 0.21)),
        (("company", said.company or "", 0.24), ("venue", block.venue, 0.24), ("drawn by", said.drawn_by or "", 0.16),
         ("revision", said.revision or "", 0.08), ("date", said.date or "", 0.12), ("scale", scale or "no scale", 0.16)),
    )  # fmt: skip
    y = top
    for row, tall in zip(rows, ROWS_MM, strict=True):
        x = left
        for name, value, share in row:
            _cell(page, x, y, share * wide, tall, name, value, name in ("production", "status"))
            x += share * wide
            if x < right - 0.1:
                page.line([x, x], [y, y + tall], style.THIN)
        y += tall
        page.line([left, right], [y, y], style.MEDIUM if row is rows[-1] else style.THIN)
    page.line([left, right, right, left, left], [top, top, y, y, top], style.HEAVY)
    _footer(page.axes, page, block, left, right, y + FOOT_MM - 1.2)
    rests = RESTS[block.openness][said.status]
    page.foot(rests)


def stamped(page: Page, block: Block, sheet: tuple[int, int]) -> None:
    """Only the footer, with status, revision and sheet in it, on a page that others laid out."""
    wide, tall = page.size_mm
    more = [block.status, f"rev. {block.said.revision}" if block.said.revision else "", block.said.date or ""]
    more += [f"sheet {sheet[0]} of {sheet[1]}"]
    _footer(page.axes, page, block, MARGIN_MM, wide - MARGIN_MM, tall - READY_FOOT_MM, " | ".join(x for x in more if x))


def _cell(
    page: Page, x: float, y: float, wide: float, tall: float, name: str, value: str, strong: bool
) -> None:  # fmt: skip
    page.say(x + 1.2, y + 2.4, name, NAME_PT, color=style.QUIET)
    weight = "bold" if strong else "normal"
    page.say(x + 1.2, y + tall - 1.9, value, VALUE_PT, weight=weight, width_mm=wide - 2.2)


def _footer(axes: Any, page: Page, block: Block, left: float, right: float, base: float, more: str = "") -> None:
    """Open or closed in a box that tells it without colour: closed is white on ink, open is ink in a line."""
    from matplotlib.patches import Rectangle

    word = FOOTERS[block.openness]
    wide = page.width_mm(word, FOOT_PT, "bold") + 3.0
    closed = block.openness == "closed"
    box = Rectangle((left, base - 2.7), wide, 3.8, fc=style.INK if closed else "white", ec=style.INK, lw=style.THIN)
    axes.add_patch(box)
    page.say(left + 1.5, base, word, FOOT_PT, weight="bold", color="white" if closed else style.INK)
    # A file's name may tell what an open paper must not.
    end = f"from {block.scene}" if closed else ""
    at = right - page.width_mm(end, FOOT_PT)
    page.say(at, base, end, FOOT_PT, color=style.QUIET)
    # What must never be cut off stands first.
    said = " | ".join(x for x in (more, f"for {block.for_whom}") if x)
    page.say(left + wide + 3.0, base, said, FOOT_PT, width_mm=at - left - wide - 6.0)
