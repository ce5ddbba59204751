"""A drawing divided over pages of ordinary paper: where the pages lie, which are needed, and what is on each."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product

import numpy as np

from sightline.drawings.clip import clipped
from sightline.drawings.drawing import Drawing, Rect, Stroke, Words
from sightline.drawings.lettering import bounds
from sightline.geometry.frame import FloatArray

OVERLAP_MM = 10.0
# Places that are tried for the pages within the room that is left over.
_TRIES = 9
# Spacing of the places by which pages are counted while trying; which are printed is found exactly.
_INKED_MM = 3.0
# A line that only just crosses a join is on the neighbour as well.
_NOTHING_MM = 1e-6
# Words that reach less than this over a join read on one page.
_READS_MM = 0.3


@dataclass(frozen=True)
class Tile:
    """One page's part of the drawing. `frame` is all that is printed on it, `cell` what is left once it is joined.

    `row` counts from the top, `column` from the left. A tile is empty, and not printed, when
    it shows nothing but layers that the drawing holds `unprinted`.
    """

    row: int
    column: int
    frame: Rect
    cell: Rect
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    empty: bool = False

    @property
    def label(self) -> str:
        """Row letter and column number: `B3`; rows after Z are AA, AB, ..."""
        letters, row = "", self.row + 1
        while row > 0:
            row, rest = divmod(row - 1, 26)
            letters = chr(ord("A") + rest) + letters
        return f"{letters}{self.column + 1}"


@dataclass(frozen=True)
class Grid:
    """All tiles, row by row from the top."""

    rows: int
    columns: int
    tiles: list[Tile]

    def at(self, row: int, column: int) -> Tile | None:
        """The tile there, printed or not; None outside."""
        if 0 <= row < self.rows and 0 <= column < self.columns:
            return self.tiles[row * self.columns + column]
        return None

    @property
    def printed(self) -> list[Tile]:
        return [tile for tile in self.tiles if not tile.empty]


def grid_of(drawing: Drawing, frame_mm: tuple[float, float], overlap_mm: float = OVERLAP_MM) -> Grid:
    """The drawing on pages that show `frame_mm` of it, each sharing `overlap_mm` with the next.

    As few rows and columns as hold it; within the room left over the pages lie where fewest are needed and fewest
    words are cut by a join. The drawing is one that `refuse_broken` lets pass.
    """
    sides = [_side(size, frame, overlap_mm) for size, frame in zip(_size(drawing), frame_mm, strict=True)]
    boxes = [bounds(words) for words in drawing.words]
    (columns, spare_x), (rows, spare_y) = sides
    inked = _inked(drawing, boxes)
    steps = np.array(frame_mm) - overlap_mm
    counts = (columns, rows)

    def price(begin: tuple[float, float]) -> tuple[int, int, float]:
        at = np.floor((inked - begin - overlap_mm / 2) / steps)
        places = np.clip(at, 0, np.array(counts) - 1)
        pages = len(np.unique(places[:, 0] * rows + places[:, 1]))
        cut = sum(_cuts(boxes, k, begin[k], counts[k], frame_mm[k], overlap_mm) for k in range(2))
        return pages, cut, abs(begin[0] + spare_x / 2) + abs(begin[1] + spare_y / 2)

    begin = min(product(_begins(spare_x), _begins(spare_y)), key=price)
    tiles = [
        _tile(drawing, boxes, (row, column), (rows, columns), begin, frame_mm, overlap_mm)
        for row in range(rows)
        for column in range(columns)
    ]
    return Grid(rows, columns, tiles)


def _size(drawing: Drawing) -> tuple[float, float]:
    return drawing.width_mm, drawing.height_mm


def _side(size: float, frame: float, overlap: float) -> tuple[int, float]:
    """How many pages in one direction, and how much of them is left over."""
    if frame <= 2 * overlap:
        raise ValueError(f"Pages that show {frame:.0f} mm cannot share {overlap:.0f} mm with both neighbours.")
    count = 1 if size <= frame + _NOTHING_MM else math.ceil((size - overlap - _NOTHING_MM) / (frame - overlap))
    return count, max(count * (frame - overlap) + overlap - size, 0.0)


def _inked(drawing: Drawing, boxes: list[Rect]) -> FloatArray:
    """Places (k, 2) mm that stand for all that is drawn, close enough to count the pages that it touches."""
    found = [np.array(boxes, dtype=float).reshape(-1, 2)]
    for stroke in _worth_a_page(drawing, drawing.strokes):
        points = np.asarray(stroke.points, dtype=float)
        walk = np.vstack([points, points[:1]]) if stroke.closed else points
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(walk, axis=0).T))])
        at = np.linspace(0.0, along[-1], max(2, math.ceil(along[-1] / _INKED_MM) + 1))
        found.append(np.column_stack([np.interp(at, along, walk[:, k]) for k in range(2)]))
    return np.vstack(found)


def _worth_a_page(drawing: Drawing, strokes: list[Stroke]) -> list[Stroke]:
    return [stroke for stroke in strokes if stroke.layer not in drawing.unprinted]


def _begins(spare: float) -> Iterator[float]:
    yield from (-spare * k / (_TRIES - 1) for k in range(_TRIES))


def _cuts(boxes: list[Rect], k: int, begin: float, count: int, frame: float, overlap: float) -> int:
    joins = [begin + overlap / 2 + n * (frame - overlap) for n in range(1, count)]
    return sum(box[k] + _READS_MM < join < box[k + 2] - _READS_MM for join in joins for box in boxes)


def _tile(
    drawing: Drawing, boxes: list[Rect], at: tuple[int, int], counts: tuple[int, int], begin: tuple[float, float],
    frame_mm: tuple[float, float], overlap: float,
) -> Tile:  # fmt: skip
    row, column = at
    # Rows count from the top, the drawing's y from the bottom.
    places, most = (column, counts[0] - 1 - row), (counts[1] - 1, counts[0] - 1)
    low = [begin[k] + places[k] * (frame_mm[k] - overlap) for k in range(2)]
    high = [low[k] + frame_mm[k] for k in range(2)]
    frame: Rect = (low[0], low[1], high[0], high[1])
    inner = [low[k] + (overlap / 2 if places[k] > 0 else 0.0) for k in range(2)]
    outer = [high[k] - (overlap / 2 if places[k] < most[k] else 0.0) for k in range(2)]
    cell: Rect = (inner[0], inner[1], outer[0], outer[1])
    strokes = [part for stroke in drawing.strokes for part in clipped(stroke, frame)]
    # What of a word is beyond the join lies under the neighbour, or was cut off.
    words = [w for w, box in zip(drawing.words, boxes, strict=True) if _meet(box, cell)]
    there = any(clipped(part, cell) for part in _worth_a_page(drawing, strokes)) or bool(words)
    return Tile(row, column, frame, cell, strokes, words, not there)


def _meet(a: Rect, b: Rect) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
