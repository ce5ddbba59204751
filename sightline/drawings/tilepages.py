"""The pages of a tiled drawing as they are printed: tiles with marks to join them by, and the map of them on the first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sightline.drawings.drawing import Drawing, Rect, Stroke, Words, moved, moved_words, refuse_broken
from sightline.drawings.lettering import fitted
from sightline.drawings.pagemap import map_page
from sightline.drawings.paper import PAPERS_MM, Page, PaperName, Part
from sightline.drawings.pdf import pdf_of_pages
from sightline.drawings.strip import SMALL_MM, size_words, strip
from sightline.drawings.tiles import Grid, Tile, grid_of
from sightline.geometry.frame import FloatArray

# What most printers leave white, and within it the line of words naming the neighbour. Common practice, no source.
EDGE_MM, NAMES_MM = 7.0, 5.0
MARGIN_MM = EDGE_MM + NAMES_MM
LABEL_MM, _LABEL_ROOM_MM = 8.0, 34.0
# Crop marks stand off the picture; circles to register by have their cross a little beyond.
_CROP_MM, _OFF_MM, _RING_MM, _CROSS_MM = 3.5, 0.7, 1.6, 2.6
_MOST_PAGES = 400


def tiled_pdf(drawings: Drawing | Sequence[Drawing], paper: PaperName) -> bytes:
    """Each drawing over pages of A4 or Letter, a map before those of more than one page; same drawings, same bytes.

    Raises ValueError for a drawing that is none or needs more than 400 pages.
    """
    several = [drawings] if isinstance(drawings, Drawing) else list(drawings)
    if not several:
        raise ValueError("There is no drawing to put on paper.")
    pages = [page for k, drawing in enumerate(several) for page in pages_of(drawing, paper, (k + 1, len(several)))]
    return pdf_of_pages(pages, several[0].title)


@dataclass(frozen=True)
class Layout:
    """Where on a page the tile is: the lower left corner of its frame, and the frame's size, mm."""

    paper_mm: tuple[float, float]
    corner_mm: tuple[float, float]
    frame_mm: tuple[float, float]


def layout_of(drawing: Drawing, paper: PaperName) -> Layout:
    """The page with room kept for its strip, whose height depends on the legend."""
    wide, high = PAPERS_MM[paper]
    _, _, foot = strip(drawing, wide - 2 * MARGIN_MM, "", 100.0, ("join",))
    corner = (MARGIN_MM, EDGE_MM + foot + 2.0 + NAMES_MM)
    return Layout((wide, high), corner, (wide - 2 * MARGIN_MM, high - MARGIN_MM - corner[1]))


def pages_of(drawing: Drawing, paper: PaperName, number: tuple[int, int] = (1, 1)) -> list[Page]:
    """All pages of one drawing, the map first where there is more than one; `number` is which drawing of how many."""
    refuse_broken(drawing)
    layout = layout_of(drawing, paper)
    grid = grid_of(drawing, layout.frame_mm)
    if len(grid.tiles) > _MOST_PAGES:
        raise ValueError(f"'{drawing.title}' would take {len(grid.tiles)} pages; print it on one large sheet.")
    several = len(grid.tiles) > 1
    pages = [_page(drawing, grid, tile, layout, number) for tile in grid.printed]
    if not several:
        return pages or [_page(drawing, grid, grid.tiles[0], layout, number)]
    return [map_page(drawing, grid, layout.paper_mm, MARGIN_MM, _which(number)), *pages]


def _which(number: tuple[int, int]) -> str:
    return f"Sheet {number[0]} of {number[1]}. " if number[1] > 1 else ""


def _page(drawing: Drawing, grid: Grid, tile: Tile, layout: Layout, number: tuple[int, int]) -> Page:
    by = (layout.corner_mm[0] - tile.frame[0], layout.corner_mm[1] - tile.frame[1])
    x0, y0 = layout.corner_mm
    within: Rect = (x0, y0, x0 + layout.frame_mm[0], y0 + layout.frame_mm[1])
    content = Part([moved(s, by) for s in tile.strokes], [moved_words(w, by) for w in tile.words], within)
    joins = _joins(grid, tile)
    several = len(grid.tiles) > 1
    strokes = _crops(tile) if several else []
    words: list[Words] = []
    for side, other in joins.items():
        if not other.empty:
            strokes += _join(tile, side)
        words.append(_neighbour(tile, side, other))
    marks = Part([moved(s, by) for s in strokes], [moved_words(w, by) for w in words])
    count = len(grid.printed)
    place = grid.printed.index(tile) + 1 if tile in grid.printed else 1
    said = f"{_which(number)}Page {tile.label}, {place} of {count}. Full size, 1:1. {size_words(drawing)}"
    room = layout.frame_mm[0]
    foot, foot_words, high = strip(drawing, room, said, room - _LABEL_ROOM_MM, ("join",) if several else ())
    line = Stroke(np.array([[0.0, high + 1.0], [room, high + 1.0]]), "bar")
    label = Words(tile.label, (room, high - LABEL_MM - 1.5), height_mm=LABEL_MM, anchor="end")
    edge = (MARGIN_MM, EDGE_MM)
    footer = Part([moved(s, edge) for s in (line, *foot)], [moved_words(w, edge) for w in (label, *foot_words)])
    return Page(*layout.paper_mm, [content, marks, footer], tile.label)


_SIDES = {"left": (0, -1), "right": (0, 1), "top": (-1, 0), "bottom": (1, 0)}


def _joins(grid: Grid, tile: Tile) -> dict[str, Tile]:
    """The neighbours, by side."""
    found = {side: grid.at(tile.row + down, tile.column + right) for side, (down, right) in _SIDES.items()}
    return {side: other for side, other in found.items() if other is not None}


def _line(cell: Rect, side: str) -> tuple[FloatArray, FloatArray]:
    """Both ends of the cell's side."""
    x0, y0, x1, y1 = cell
    ends = {
        "left": ((x0, y0), (x0, y1)), "right": ((x1, y0), (x1, y1)),
        "bottom": ((x0, y0), (x1, y0)), "top": ((x0, y1), (x1, y1)),
    }[side]  # fmt: skip
    return np.array(ends[0]), np.array(ends[1])


def _join(tile: Tile, side: str) -> list[Stroke]:
    """The line to join at, with two circled crosses that the neighbour has in the same places."""
    start, end = _line(tile.cell, side)
    strokes = [Stroke(np.array([start, end]), "join")]
    turn = np.linspace(0.0, 2 * np.pi, 25)[:-1]
    ring = _RING_MM * np.column_stack([np.cos(turn), np.sin(turn)])
    for share in (0.25, 0.75):
        at = start + share * (end - start)
        strokes.append(Stroke(at + ring, "mark", True))
        strokes += [Stroke(np.array([at - arm, at + arm]), "mark") for arm in _CROSS_MM * np.eye(2)]
    return strokes


def _crops(tile: Tile) -> list[Stroke]:
    """Short lines in the margin at both ends of each side of the cell, to lay a ruler to."""
    x0, y0, x1, y1 = tile.frame
    strokes = []
    for x in (tile.cell[0], tile.cell[2]):
        for y, way in ((y0, -1.0), (y1, 1.0)):
            strokes.append(Stroke(np.array([[x, y + way * _OFF_MM], [x, y + way * (_OFF_MM + _CROP_MM)]]), "mark"))
    for y in (tile.cell[1], tile.cell[3]):
        for x, way in ((x0, -1.0), (x1, 1.0)):
            strokes.append(Stroke(np.array([[x + way * _OFF_MM, y], [x + way * (_OFF_MM + _CROP_MM), y]]), "mark"))
    return strokes


def _neighbour(tile: Tile, side: str, other: Tile) -> Words:
    """The neighbour's name in the margin beside the middle of the side, to be read from the tile."""
    x0, y0, x1, y1 = tile.frame
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    said = f"{other.label} is empty: left out" if other.empty else _JOINING[side].format(other.label)
    away = 1.6
    place, turn = {
        "left": ((x0 - away, middle[1]), 90.0), "right": ((x1 + away + SMALL_MM, middle[1]), 90.0),
        "top": ((middle[0], y1 + away), 0.0), "bottom": ((middle[0], y0 - away - SMALL_MM), 0.0),
    }[side]  # fmt: skip
    return Words(fitted(said, SMALL_MM, 120.0), place, height_mm=SMALL_MM, turn_deg=turn, anchor="middle")


_JOINING = {
    "left": "{0} joins here: cut this page at the dashed line and lay it on {0}",
    "top": "{0} joins here: cut this page at the dashed line and lay it on {0}",
    "right": "{0} joins here, on top of this page",
    "bottom": "{0} joins here, on top of this page",
}
