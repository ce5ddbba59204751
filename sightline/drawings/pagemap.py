"""The map of a tiled drawing's pages, and how to join them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sightline.drawings.drawing import Drawing, Rect, Stroke, Words, moved, moved_words
from sightline.drawings.lettering import wrapped
from sightline.drawings.paper import Page, Part
from sightline.drawings.strip import SMALL_MM, size_words, strip
from sightline.drawings.tiles import OVERLAP_MM, Grid
from sightline.geometry.frame import FloatArray

_TEXT_MM, _LINE_MM = 2.3, 4.4
_HEAD_MM = 5.0


def map_page(
    drawing: Drawing, grid: Grid, paper_mm: tuple[float, float], margin_mm: float, which: str
) -> Page:  # fmt: skip
    """The first page: the drawing in small with its pages over it, then what to do with them. `which` begins a line."""
    wide, high = paper_mm
    room = wide - 2 * margin_mm
    said = f"{which}Map of the pages. {size_words(drawing)}"
    foot, foot_words, foot_mm = strip(drawing, room, said, room, ("join",))
    line = Stroke(np.array([[0.0, foot_mm + 1.0], [room, foot_mm + 1.0]]), "bar")
    words: list[Words] = []
    y = high - margin_mm - _HEAD_MM
    words.append(Words("Map of the pages", (margin_mm, y), height_mm=_HEAD_MM))
    texts = [part for text in _told(grid) for part in (*wrapped(text, _TEXT_MM, room), "")]
    below = margin_mm + foot_mm + 6.0 + len(texts) * _LINE_MM
    for k, text in enumerate(texts):
        at = below - 2.0 - (k + 1) * _LINE_MM
        if text:
            words.append(Words(text, (margin_mm, at), height_mm=_TEXT_MM))
    strokes, names = _small(drawing, grid, (margin_mm, below + 2.0, wide - margin_mm, y - 5.0))
    edge = (margin_mm, margin_mm)
    return Page(wide, high, [
        Part(strokes, words + names),
        Part([moved(s, edge) for s in (line, *foot)], [moved_words(w, edge) for w in foot_words]),
    ], "map")  # fmt: skip


def _told(grid: Grid) -> list[str]:
    printed, empty = grid.printed, [tile.label for tile in grid.tiles if tile.empty]
    count = len(printed)
    left_out = (
        f"Left out, because nothing to cut is on them: {_named(empty)} (crossed out above)."
        if empty else "No page is left out."
    )  # fmt: skip
    return [
        f"{count} {'page follows' if count == 1 else 'pages follow'} in this order: {_named([t.label for t in printed])}. "
        f"{left_out}",
        "1. Print at 100 %. Measure both bars on every page; a page whose bars are off is printed again.",
        f"2. Neighbours share {OVERLAP_MM:g} mm. Cut each page at the dashed line on its left and at its top, wherever a page is "
        "named there; the short lines in the margin show where the ruler lies.",
        "3. Lay it on that neighbour so that the circled crosses meet, in the order above, and tape it on a flat table.",
        "4. Lines must run on over every join without a step. Only then cut the material.",
    ]


def _named(labels: list[str]) -> str:
    return ", ".join(labels)


def _small(drawing: Drawing, grid: Grid, box: Rect) -> tuple[list[Stroke], list[Words]]:
    """The drawing and the pages' cells, as large as the box allows, in its middle."""
    cells = np.array([tile.cell for tile in grid.tiles])
    low, high = cells[:, :2].min(axis=0), cells[:, 2:].max(axis=0)
    size = np.array(box[2:]) - box[:2]
    scale = float(np.min(size / (high - low)))
    corner = np.array(box[:2]) + (size - scale * (high - low)) / 2

    def put(points: FloatArray) -> FloatArray:
        return corner + scale * (np.asarray(points, dtype=float) - low)

    # In small the dashes of the layers would say nothing; pages have them.
    strokes = [Stroke(put(stroke.points), "mark", stroke.closed) for stroke in drawing.strokes]
    strokes += _lines(grid, put)
    words: list[Words] = []
    for tile in grid.tiles:
        x0, y0, x1, y1 = (float(v) for v in put(np.array(tile.cell).reshape(2, 2)).ravel())
        tall = min(6.0, (x1 - x0) * 0.2, (y1 - y0) * 0.3)
        words.append(Words(tile.label, (x0 + tall * 0.4, y1 - tall * 1.4), height_mm=tall))
        if tile.empty:
            words.append(Words("empty", (x0 + tall * 0.4, y1 - tall * 2.4), height_mm=min(SMALL_MM, tall * 0.7)))
    return strokes, words


def _lines(grid: Grid, put: Callable[[FloatArray], FloatArray]) -> list[Stroke]:
    """The edges of all cells, each once, and crosses over what is left out."""
    cells = np.array([tile.cell for tile in grid.tiles])
    low, high = cells[:, :2].min(axis=0), cells[:, 2:].max(axis=0)
    upright = [[[x, low[1]], [x, high[1]]] for x in sorted({*cells[:, 0], high[0]})]
    level = [[[low[0], y], [high[0], y]] for y in sorted({*cells[:, 1], high[1]})]
    strokes = [Stroke(put(np.array(ends)), "join") for ends in upright + level]
    for x0, y0, x1, y1 in (tile.cell for tile in grid.tiles if tile.empty):
        strokes += [Stroke(put(np.array(ends)), "mark") for ends in ([[x0, y0], [x1, y1]], [[x0, y1], [x1, y0]])]
    return strokes
