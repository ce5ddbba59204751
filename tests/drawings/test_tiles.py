"""Pages of A4 and Letter: joined again they are the single sheet, and a millimetre of error shows."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from scipy import ndimage

from sightline.drawings.clip import clipped
from sightline.drawings.drawing import Drawing, Stroke, Words
from sightline.drawings.lettering import bounds
from sightline.drawings.paper import PaperName
from sightline.drawings.pdf import sheet_pdf
from sightline.drawings.strip import framed
from sightline.drawings.tilepages import layout_of, pages_of, tiled_pdf
from sightline.drawings.tiles import OVERLAP_MM, Grid, Tile, grid_of
from tests.drawings.raster import Ink, inked, large, ring, texts

PX = 8.0
# A dot of 0.18 mm across two pixels darkens each by less than half.
PAPER = 200
# Lines of the two prints may lie this far apart: two pixels of rounding.
APART_MM = 0.3
PAPERS: list[PaperName] = ["a4", "letter"]


def single(drawing: Drawing) -> Ink:
    """The single sheet's picture of the drawing itself, without paper and strip."""
    (ink,) = inked(sheet_pdf(drawing), PX, PAPER)
    made = framed(drawing)
    top, left = round(10 * PX), round(10 * PX)
    assert made.height_mm > drawing.height_mm
    return ink[top : top + round(drawing.height_mm * PX), left : left + round(drawing.width_mm * PX)]


def joined(drawing: Drawing, paper: PaperName, shift_mm: float = 0.0) -> tuple[Ink, Ink]:
    """The pages cut at their cells and laid together; and where their own marks are, which are not compared.

    `shift_mm` moves the second page to the right, as one who joins it badly.
    """
    layout, pages = layout_of(drawing, paper), inked(tiled_pdf(drawing, paper), PX, PAPER)
    grid = grid_of(drawing, layout.frame_mm)
    high, wide = round(drawing.height_mm * PX), round(drawing.width_mm * PX)
    whole, marks = np.zeros((high, wide), dtype=bool), np.zeros((high, wide), dtype=bool)
    tiles = grid.printed
    assert len(pages) == len(tiles) + (len(grid.tiles) > 1)
    for n, (tile, page) in enumerate(zip(tiles, pages[len(pages) - len(tiles) :], strict=True)):
        x0, y0, x1, y1 = tile.cell
        # Pixels whose middles lie in the cell; rows count from the top.
        columns = np.arange(max(math.ceil(x0 * PX - 0.5), 0), min(math.ceil(x1 * PX - 0.5), wide))
        rows = np.arange(max(math.ceil(high - y1 * PX - 0.5), 0), min(math.ceil(high - y0 * PX - 0.5), high))
        x, y = (columns + 0.5) / PX, (high - rows - 0.5) / PX
        at_x = x - tile.frame[0] + layout.corner_mm[0] - (shift_mm if n == 1 else 0.0)
        at_y = layout.paper_mm[1] - (y - tile.frame[1] + layout.corner_mm[1])
        whole[np.ix_(rows, columns)] = page[np.ix_((at_y * PX).astype(int), (at_x * PX).astype(int))]
        marks[np.ix_(rows, columns)] = _marked(tile, *np.meshgrid(x, y))
    return whole, marks


def _marked(tile: Tile, x: np.ndarray, y: np.ndarray) -> Ink:
    """Half a millimetre on either side of a join, and the circled crosses on it."""
    x0, y0, x1, y1 = tile.cell
    out = (np.abs(x - x0) < 0.5) | (np.abs(x - x1) < 0.5) | (np.abs(y - y0) < 0.5) | (np.abs(y - y1) < 0.5)
    for share in (0.25, 0.75):
        for cx, cy in (
            (x0, y0 + share * (y1 - y0)), (x1, y0 + share * (y1 - y0)), (x0 + share * (x1 - x0), y0), (x0 + share * (x1 - x0), y1),
        ):  # fmt: skip
            out |= np.hypot(x - cx, y - cy) < 3.2
    return out


def differing(one: Ink, other: Ink, marks: Ink) -> int:
    """Dark pixels of either that the other has not within `APART_MM`."""
    reach = round(APART_MM * PX)
    square = np.ones((2 * reach + 1, 2 * reach + 1), dtype=bool)
    lone = (one & ~ndimage.binary_dilation(other, square)) | (other & ~ndimage.binary_dilation(one, square))
    return int((lone & ~marks).sum())


@pytest.mark.parametrize("paper", PAPERS)
def test_joined_pages_are_the_single_sheet(paper: PaperName) -> None:
    drawing = large()
    whole, marks = joined(drawing, paper)
    sheet = single(drawing)
    assert sheet.sum() > 10_000
    assert (sheet & ~marks).sum() > 0.8 * sheet.sum()
    assert differing(whole, sheet, marks) == 0


@pytest.mark.parametrize("paper", PAPERS)
def test_a_page_joined_a_millimetre_off_is_seen(paper: PaperName) -> None:
    drawing = large()
    whole, marks = joined(drawing, paper, shift_mm=1.0)
    assert differing(whole, single(drawing), marks) > 200


def test_rows_are_letters_and_columns_numbers() -> None:
    labels = {
        (0, 0): "A1",
        (2, 4): "C5",
        (25, 0): "Z1",
        (26, 0): "AA1",
        (27, 11): "AB12",
        (701, 0): "ZZ1",
        (702, 0): "AAA1",
    }
    for (row, column), said in labels.items():
        assert Tile(row, column, (0, 0, 1, 1), (0, 0, 1, 1)).label == said


@pytest.mark.parametrize(
    "size", [(186.0, 180.0), (186.1, 100.0), (361.9, 500.0), (362.0, 176.0), (1300.0, 700.0), (5.0, 2000.0)]
)
def test_the_cells_cover_the_drawing_once(size: tuple[float, float]) -> None:
    frame = (186.0, 180.0)
    grid = grid_of(Drawing("t", *size, [Stroke(np.array([[0.0, 0.0], size]), "cut")]), frame)
    area = sum(
        max(min(t.cell[2], size[0]) - max(t.cell[0], 0), 0) * max(min(t.cell[3], size[1]) - max(t.cell[1], 0), 0)
        for t in grid.tiles
    )
    assert area == pytest.approx(size[0] * size[1])
    assert grid.columns == (1 if size[0] <= 186 else int(np.ceil((size[0] - 10) / 176)))
    for tile in grid.tiles:
        right = grid.at(tile.row, tile.column + 1)
        if right:
            assert tile.frame[2] - right.frame[0] == pytest.approx(OVERLAP_MM)
            assert tile.cell[2] == pytest.approx(right.cell[0])


def test_lines_end_at_the_frame() -> None:
    drawing = large()
    grid = grid_of(drawing, (186.0, 230.0))
    for tile in grid.tiles:
        for stroke in tile.strokes:
            assert np.all(stroke.points >= np.array(tile.frame[:2]) - 1e-9)
            assert np.all(stroke.points <= np.array(tile.frame[2:]) + 1e-9)


def test_clipping_worked_by_hand() -> None:
    """A line from (0, 5) to (30, 5) is 10 mm long in the square 10..20, and has gone 10 mm along its dashes there."""
    (part,) = clipped(Stroke(np.array([[0.0, 5.0], [30.0, 5.0]]), "fold"), (10, 0, 20, 10))
    assert part.points.tolist() == [[10, 5], [20, 5]]
    assert part.dash_from_mm == 10.0
    zigzag = Stroke(np.array([[0.0, 0.0], [20.0, 20.0], [40.0, 0.0]]), "cut")
    up, down = clipped(zigzag, (5, 0, 35, 10))
    assert up.points.tolist() == [[5, 5], [10, 10]]
    assert down.points.tolist() == [[30, 10], [35, 5]]
    assert down.dash_from_mm == pytest.approx(30 * np.sqrt(2))
    assert clipped(zigzag, (0, 20.5, 40, 30)) == []
    # It touches the corner (20, 20) in one point: nothing to draw.
    assert clipped(zigzag, (10, 20, 30, 30)) == []


def test_a_closed_line_stays_one_where_it_begins_within() -> None:
    begin_inside = Stroke(np.array([[5.0, 5.0], [30.0, 5.0], [30.0, 8.0], [5.0, 8.0]]), "cut", True)
    (part,) = clipped(begin_inside, (0, 0, 10, 10))
    assert part.points.tolist() == [[10, 8], [5, 8], [5, 5], [10, 5]]
    (whole,) = clipped(begin_inside, (0, 0, 40, 40))
    assert whole.closed


def test_no_length_is_lost_in_clipping() -> None:
    rng = np.random.default_rng(7)
    for _ in range(50):
        points = rng.uniform(0, 100, (12, 2))
        length = float(np.hypot(*np.diff(points, axis=0).T).sum())
        parts = [
            part
            for x in range(0, 100, 25)
            for y in range(0, 100, 20)
            for part in clipped(Stroke(points, "cut"), (x, y, x + 25, y + 20))
        ]
        assert sum(float(np.hypot(*np.diff(p.points, axis=0).T).sum()) for p in parts) == pytest.approx(
            length, rel=1e-9
        )


@pytest.mark.parametrize("paper", PAPERS)
def test_empty_pages_are_left_out_and_the_map_says_so(paper: PaperName) -> None:
    grid = grid_of(large(), layout_of(large(), paper).frame_mm)
    empty = [tile.label for tile in grid.tiles if tile.empty]
    assert empty
    first, *rest = texts(tiled_pdf(large(), paper))
    said = " ".join(first.split())
    assert f"Left out, because nothing to cut is on them: {', '.join(empty)}" in said
    assert f"in this order: {', '.join(t.label for t in grid.printed)}." in said
    assert len(rest) == len(grid.printed)
    for text, tile in zip(rest, grid.printed, strict=True):
        assert re.search(rf"Page {tile.label}, \d+ of {len(rest)}", text)
        for down, right in ((0, 1), (0, -1), (1, 0), (-1, 0)):
            other = grid.at(tile.row + down, tile.column + right)
            if other:
                assert f"{other.label} is empty" in text if other.empty else f"{other.label} joins here" in text


def test_nothing_is_lost_with_the_empty_pages() -> None:
    grid = grid_of(large(), (186.0, 230.0))
    for tile in grid.tiles:
        if tile.empty:
            assert not any(clipped(stroke, tile.cell) for stroke in large().strokes)


def _crossed(grid: Grid, drawing: Drawing) -> int:
    joins = {(k, tile.cell[k]) for tile in grid.tiles for k in range(2) if tile.cell[k] > 0.1}
    return sum(bounds(w)[k] < join < bounds(w)[k + 2] for w in drawing.words for k, join in joins)


def test_pages_lie_where_words_are_not_cut() -> None:
    """300 mm on two pages of 186 leave 62 mm to move the join in: words across its middle are spared."""
    drawing = Drawing(
        "t", 300, 100, [Stroke(np.array([[0.0, 5.0], [300.0, 5.0]]), "cut")], [Words("FOREARM", (140, 50))]
    )
    grid = grid_of(drawing, (186.0, 180.0))
    assert (grid.rows, grid.columns) == (1, 2)
    assert _crossed(grid, drawing) == 0


def test_words_over_a_join_are_on_both_pages() -> None:
    words = Words("A LINE THAT IS MUCH TOO LONG FOR ONE PAGE OF PAPER, LEFT", (20, 50), height_mm=8)
    drawing = Drawing("t", 340, 100, [Stroke(np.array([[0.0, 5.0], [340.0, 5.0]]), "cut")], [words])
    grid = grid_of(drawing, (186.0, 180.0))
    assert [len(tile.words) for tile in grid.printed] == [1, 1]


@pytest.mark.parametrize("paper", PAPERS)
def test_what_fits_one_page_is_one_page_without_a_map(paper: PaperName) -> None:
    drawing = Drawing("t", 150, 150, [Stroke(ring(75, 75, 70), "cut", True)])
    (page,) = pages_of(drawing, paper)
    assert page.label == "A1"
    whole, marks = joined(drawing, paper)
    assert differing(whole, single(drawing), marks & False) == 0


def test_several_drawings_follow_one_another() -> None:
    small = Drawing("second", 150, 150, [Stroke(ring(75, 75, 70), "cut", True)])
    said = texts(tiled_pdf([large(), small], "a4"))
    assert "Sheet 1 of 2" in said[0]
    assert "Sheet 2 of 2" in said[-1]
    assert len(inked(sheet_pdf([large(), small]), 1.0)) == 2


def test_a_drawing_of_too_many_pages_is_refused() -> None:
    with pytest.raises(ValueError, match="pages; print it on one large sheet"):
        tiled_pdf(Drawing("t", 5000, 5000), "a4")


def test_pages_with_nothing_but_the_stocks_edge_are_left_out() -> None:
    """A small piece on a large sheet of foam is not printed on twenty pages of paper."""
    edge = np.array([[0.0, 0.0], [800.0, 0.0], [800.0, 1200.0], [0.0, 1200.0]])
    piece = np.array([[10.0, 10.0], [90.0, 10.0], [50.0, 100.0]])
    strokes = [Stroke(edge, "sheet", closed=True), Stroke(piece, "cut", closed=True)]
    frame = layout_of(large(), "a4").frame_mm
    all_of_it = grid_of(Drawing("t", 800.0, 1200.0, strokes), frame)
    worth_it = grid_of(Drawing("t", 800.0, 1200.0, strokes, unprinted=frozenset({"sheet"})), frame)
    assert len(all_of_it.printed) > 10
    assert len(worth_it.printed) == 1
