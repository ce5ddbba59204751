"""The sheets to cut: full size, everything inside the paper, and the words that a builder reads first."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sightline.drawings.drawing import Drawing, refuse_broken
from sightline.drawings.pieces import FOOTER, sheet_drawings
from sightline.pattern.arrows import UP, Way
from sightline.pattern.layout import Layout, Placed, Stock
from sightline.pattern.lettering import words_width
from sightline.pattern.marks import mark
from sightline.pattern.nesting import nest
from sightline.pattern.piece import Piece
from sightline.pattern.stock import stock_of
from tests.pattern.testpieces import ell, panels, pattern_of, rectangle, with_dart

WAYS = (UP, Way("THUMB", np.array([0.8, -0.6, 0.0])), Way("PALM", np.array([0.0, 1.0, 0.0])))


def pieces_of(*more: Piece) -> list[Piece]:
    pieces = [*panels(2), *more]
    return [replace(piece, number=k + 1, of=len(pieces)) for k, piece in enumerate(pieces)]


def drawings_of(pieces: list[Piece], sheet: str = "120 x 60 cm") -> tuple[Layout, list[Drawing]]:
    layout = nest(pieces, stock_of(sheet))
    return layout, sheet_drawings(layout, mark(pattern_of(pieces), WAYS), "The Night Courier")


def outlines(drawing: Drawing) -> list[np.ndarray]:
    return [np.asarray(stroke.points) for stroke in drawing.strokes if stroke.layer == "cut"]


def test_one_drawing_for_every_sheet() -> None:
    layout, made = drawings_of(pieces_of(ell(), with_dart()), "60 x 60 cm")
    assert len(made) == layout.sheets
    assert sum(len(outlines(drawing)) for drawing in made) == 4
    assert [drawing.title for drawing in made] == [
        f"The Night Courier: false left arm, LEFT, sheet {k + 1} of {layout.sheets}" for k in range(layout.sheets)
    ]


def test_outlines_are_full_size() -> None:
    """Every side of an outline is its length on the table in millimetres, turned but not mirrored."""
    pieces = pieces_of(ell())
    _, (drawing,) = drawings_of(pieces)
    for piece, points in zip(pieces, outlines(drawing), strict=True):
        flat = piece.flat[piece.outline]
        sides = np.linalg.norm(np.roll(flat, -1, axis=0) - flat, axis=1) * 1000.0
        assert np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1) == pytest.approx(sides, abs=1e-9)
        x, y = points.T
        assert float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) > 0.0
    (sheet,) = (np.asarray(stroke.points) for stroke in drawing.strokes if stroke.layer == "sheet")
    assert np.ptp(sheet, axis=0) == pytest.approx([1200.0, 600.0])


@pytest.mark.parametrize("sheet", ["120 x 60 cm", "60 x 60 cm", "24 x 36 in"])
def test_nothing_lies_off_the_drawing(sheet: str) -> None:
    _, made = drawings_of(pieces_of(ell(), with_dart(), rectangle(0.014, 0.03), rectangle(0.006, 0.2)), sheet)
    for drawing in made:
        refuse_broken(drawing)
        for words in drawing.words:
            assert words.height_mm >= 3.0
            assert 0.0 <= words.at[0] <= drawing.width_mm
            assert 0.0 <= words.at[1] <= drawing.height_mm


def test_the_words_below_the_sheet() -> None:
    _, (drawing,) = drawings_of(pieces_of())
    said = " ".join(words.text for words in drawing.words)
    assert FOOTER in said
    assert "The Night Courier: false left arm, LEFT" in said
    assert "Scale 1:1." in said
    assert "Sheet 1 of 1: 120 x 60 cm" in said
    assert "Pieces on this sheet: 1 panel 1, 2 panel 2." in said
    # The footer is no piece's: it stands below the sheet.
    low = min(float(np.asarray(stroke.points)[:, 1].min()) for stroke in drawing.strokes if stroke.layer == "sheet")
    assert next(words for words in drawing.words if words.text == FOOTER).at[1] < low


def test_long_names_are_broken_into_lines() -> None:
    pieces = pieces_of()
    layout = nest(pieces, stock_of("60 x 60 cm"))
    (drawing,) = sheet_drawings(layout, mark(pattern_of(pieces, limb="an arm " * 20)), "A title that goes on " * 10)
    refuse_broken(drawing)
    sheet = [words for words in drawing.words if words.anchor == "start"]
    assert len(sheet) > 6
    assert len({words.at for words in sheet}) == len(sheet)


def test_layers() -> None:
    _, (drawing,) = drawings_of(pieces_of(with_dart()))
    assert {stroke.layer for stroke in drawing.strokes} == {"cut", "mark", "fold", "sheet"}
    assert all(stroke.closed for stroke in drawing.strokes if stroke.layer in ("cut", "sheet"))


@pytest.mark.parametrize("turn_deg", [0.0, 180.0, 90.0, 30.0])
def test_words_turn_with_their_piece(turn_deg: float) -> None:
    """A word keeps its place on its piece, and reads the way the piece lies."""
    piece = ell()
    marked = mark(pattern_of([piece]), WAYS)
    placed = Placed(1, 1, math.radians(turn_deg), (0.4, 0.4))
    (drawing,) = sheet_drawings(Layout(Stock("own", 0.8, 0.8), 0.005, 1, (placed,), 0.1), marked, "T")
    corner = outlines(drawing)[0][0]
    along = outlines(drawing)[0][1] - corner
    angle = math.atan2(along[1], along[0])
    assert math.degrees(angle) == pytest.approx((turn_deg + 180) % 360 - 180, abs=1e-9) or turn_deg == 180.0
    for letters in marked[0].letters:
        words = next(w for w in drawing.words if w.text == letters.text and w.anchor == "middle")
        assert words.turn_deg == pytest.approx((letters.turn_deg + turn_deg) % 360.0)
        off = np.array(words.at) - corner
        back = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]]) @ off
        assert back == pytest.approx(np.array(letters.at_m) * 1000.0, abs=1e-6)


def test_what_has_no_room_on_a_piece_is_led_beside_it() -> None:
    """A sliver's words stand on free foam, touch no piece, and a line leads to the sliver over no other piece."""
    from shapely import LineString, Polygon

    pieces = pieces_of(rectangle(0.006, 0.2))
    marked = mark(pattern_of(pieces), WAYS)
    # The sliver stands by itself: there is room beside it.
    layout = nest(pieces[:2], stock_of("120 x 60 cm"))
    laid = Layout(layout.stock, 0.005, 1, (*layout.placed, Placed(3, 1, 0.0, (1.0, 0.3))), 0.2)
    (drawing,) = sheet_drawings(laid, marked, "T")
    lines = [LineString(stroke.points) for stroke in drawing.strokes if stroke.layer == "guide"]
    assert lines
    *others, sliver = (Polygon(points) for points in outlines(drawing))
    for line in lines:
        assert line.intersects(sliver)
        assert not any(line.intersects(other) for other in others)
    said = " ".join(words.text for words in drawing.words)
    for led in marked[2].leaders:
        assert led.text in said


def test_with_no_free_foam_the_words_stand_below() -> None:
    pieces = [rectangle(0.006, 0.2)]
    layout = Layout(Stock("its own size", 0.006, 0.2), 0.0, 1, (Placed(1, 1, 0.0, (0.0, 0.0)),), 1.0)
    (drawing,) = sheet_drawings(layout, mark(pattern_of(pieces), WAYS), "T")
    assert "No room on piece 1 for:" in " ".join(words.text for words in drawing.words)
    low = min(float(np.asarray(stroke.points)[:, 1].min()) for stroke in drawing.strokes)
    below = [words for words in drawing.words if words.anchor == "start"]
    assert all(words.at[1] + words.height_mm < low for words in below)
    assert all(words.at[0] + words_width(words.text, words.height_mm) < drawing.width_mm for words in below)


def test_the_same_drawing_every_time() -> None:
    one, two = (drawings_of(pieces_of(ell()))[1][0] for _ in range(2))
    assert one.words == two.words
    assert [stroke.points.tobytes() for stroke in one.strokes] == [stroke.points.tobytes() for stroke in two.strokes]
