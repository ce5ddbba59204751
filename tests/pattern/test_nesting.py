"""Pieces on sheets: none overlaps, the gap is kept, all are placed or the error says which are not and what would do."""

from __future__ import annotations

import importlib.util
import json
import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.bestnest import _packed, best_nest
from sightline.pattern.flatshape import polygon_of
from sightline.pattern.footprint import touched
from sightline.pattern.keptlayout import layout_from, layout_text
from sightline.pattern.layout import Layout, Placed, Stock, on_sheet, turned
from sightline.pattern.nesting import GRAIN_TURNS, QUARTER_TURNS, faults, free_turns, nest
from sightline.pattern.piece import Piece
from sightline.pattern.stock import STOCK, stock_of
from tests.pattern.testpieces import ell, panels, polygon_piece, rectangle, with_dart


def numbered(pieces: list[Piece]) -> list[Piece]:
    return [replace(piece, number=k + 1, of=len(pieces)) for k, piece in enumerate(pieces)]


def limb() -> list[Piece]:
    return numbered(panels(2) + panels(2, 0.05, 0.028, 0.26) + [ell(), with_dart()])


def least_gap_m(layout: Layout, pieces: list[Piece]) -> float:
    """The smallest distance between two pieces of one sheet, by shapely on outlines turned here, not by the nesting."""
    from shapely import Polygon
    from shapely.affinity import rotate, translate

    by_number = {piece.number: piece for piece in pieces}
    laid = [
        (p.sheet, translate(rotate(Polygon(by_number[p.number].flat[by_number[p.number].outline]), p.turn_rad, (0, 0), True), *p.shift_m))
        for p in layout.placed
    ]  # fmt: skip
    least = math.inf
    for k, (sheet, one) in enumerate(laid):
        low_x, low_y, high_x, high_y = one.bounds
        assert min(low_x, low_y) > -1e-6
        assert high_x < layout.stock.width_m + 1e-6
        assert high_y < layout.stock.height_m + 1e-6
        for other_sheet, other in laid[k + 1 :]:
            if sheet == other_sheet:
                assert one.intersection(other).area < 1e-9
                least = min(least, one.distance(other))
    return least


@pytest.mark.parametrize(
    ("size", "sheet", "turns"),
    [
        ((0.3, 0.305), (1.2, 0.61), GRAIN_TURNS),
        ((0.305, 0.3), (1.22, 0.6), QUARTER_TURNS),
        # Inches, which fall on no raster of millimetres.
        ((12 * 0.0254, 12 * 0.0254), (48 * 0.0254, 24 * 0.0254), GRAIN_TURNS),
        ((0.1501, 0.3203), (0.3203 * 2, 0.1501 * 4), QUARTER_TURNS),
    ],
)
def test_eight_rectangles_tile_a_sheet(
    size: tuple[float, float], sheet: tuple[float, float], turns: tuple[float, ...]
) -> None:
    """Known use: eight rectangles of a sheet's eighth fill it wholly."""
    pieces = [rectangle(*size, k + 1, 8) for k in range(8)]
    layout = nest(pieces, Stock("own", *sheet), 0.0, turns)
    assert layout.sheets == 1
    assert layout.used == pytest.approx(1.0, abs=1e-9)
    least_gap_m(layout, pieces)


def test_one_rectangle_more_takes_a_second_sheet() -> None:
    pieces = [rectangle(0.3, 0.305, k + 1, 9) for k in range(9)]
    layout = nest(pieces, Stock("own", 1.2, 0.61), 0.0)
    assert layout.sheets == 2
    assert layout.used == pytest.approx(9 / 16, abs=1e-9)


def test_a_gap_counts() -> None:
    """Four of 297.5 mm and three gaps of 5 mm make 1205 mm; with 3.3 mm they fit in 1200."""
    pieces = [rectangle(0.2975, 0.3, k + 1, 4) for k in range(4)]
    assert nest(pieces, Stock("own", 1.2, 0.3), 0.005).sheets == 2
    layout = nest(pieces, Stock("own", 1.2, 0.3), 0.0033)
    assert layout.sheets == 1
    assert least_gap_m(layout, pieces) == pytest.approx(0.0033, abs=1e-6)


def test_the_published_sector_fits_the_rectangle_computed_by_hand() -> None:
    """Frustum d1 5, d2 8, h 4 (references.md 12, ceemrr.com): radii 7.120 and 11.392, sector 126.404 deg, in cm here.

    By hand: 2 x 11.392 x sin 63.202 = 20.337 wide; 11.392 - 7.120 x cos 63.202 = 8.182 high; area 87.236.
    """
    half = math.radians(126.404439 / 2)
    angles = np.linspace(-half, half, 181)
    ring = np.stack([np.sin(angles), np.cos(angles)], axis=1)
    outline = np.concatenate([0.11392005 * ring[::-1], 0.07120003 * ring])
    sector = polygon_piece(outline, name="sector")
    assert polygon_of(sector).area == pytest.approx(87.235783e-4, rel=2e-4)
    width, height = 0.20337, 0.08182
    layout = nest([sector], Stock("by hand", width + 2e-5, height + 2e-5))
    assert layout.sheets == 1
    assert layout.used == pytest.approx(87.236e-4 / (width * height), rel=1e-3)
    with pytest.raises(SightlineError, match="too small"):
        nest([sector], Stock("a little less", width - 2e-4, height + 2e-5))


@pytest.mark.parametrize("turns", [GRAIN_TURNS, QUARTER_TURNS, free_turns(45.0)], ids=["grain", "quarters", "free"])
@pytest.mark.parametrize("name", ["120 x 60 cm", "24 x 36 in", "70 x 50 cm"])
def test_a_limb_is_laid_out(name: str, turns: tuple[float, ...]) -> None:
    pieces = limb()
    layout = nest(pieces, stock_of(name), 0.005, turns)
    assert faults(layout, pieces) == []
    assert least_gap_m(layout, pieces) >= 0.005 - 1e-6
    assert {round(math.degrees(p.turn_rad)) for p in layout.placed} <= {round(t) for t in turns}
    area = sum(polygon_of(piece).area for piece in pieces)
    assert layout.used == pytest.approx(area / (layout.sheets * layout.stock.width_m * layout.stock.height_m))


def test_no_piece_is_mirrored() -> None:
    pieces = limb()
    for placed in nest(pieces, stock_of("120 x 60 cm"), turns_deg=QUARTER_TURNS).placed:
        outline = on_sheet(pieces[placed.number - 1].flat[pieces[placed.number - 1].outline], placed)
        x, y = outline.T
        assert float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) > 0.0


def star(radii: list[float]) -> FloatArray:
    """A polygon round the origin that does not cross itself, counter-clockwise, its corners this far out."""
    angles = 2 * np.pi * np.arange(len(radii)) / len(radii)
    return np.array(radii)[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)


STARS = st.lists(st.lists(st.floats(0.02, 0.14), min_size=3, max_size=9).map(star), min_size=1, max_size=6)


@given(STARS, st.sampled_from([0.0, 0.003, 0.005, 0.017]), st.sampled_from([GRAIN_TURNS, QUARTER_TURNS]))
@settings(derandomize=True, max_examples=30, deadline=None)
def test_any_pieces_are_laid_out_apart(outlines: list[FloatArray], gap_m: float, turns: tuple[float, ...]) -> None:
    pieces = [polygon_piece(outline, k + 1, len(outlines)) for k, outline in enumerate(outlines)]
    layout = nest(pieces, Stock("own", 0.45, 0.30), gap_m, turns)
    assert sorted(p.number for p in layout.placed) == [p.number for p in pieces]
    assert least_gap_m(layout, pieces) >= gap_m - 1e-6
    assert faults(layout, pieces) == []
    assert layout_text(nest(pieces, Stock("own", 0.45, 0.30), gap_m, turns)) == layout_text(layout)


@given(st.lists(st.floats(0.02, 0.14), min_size=3, max_size=9).map(star), st.floats(0.002, 0.011))
@settings(derandomize=True, max_examples=30, deadline=None)
def test_cells_cover_the_polygon(outline: FloatArray, cell_m: float) -> None:
    """Every place of the outline, and every place inside, lies in a cell that is taken."""
    from shapely import Polygon, area, box, distance, intersection

    polygon = Polygon(outline - outline.min(axis=0))
    size = np.ceil(np.array(polygon.bounds[2:]) / cell_m).astype(int) + 1
    cells = touched(polygon, (0.0, 0.0), (int(size[1]), int(size[0])), cell_m)
    row, column = np.nonzero(~cells)
    left_out = box(column * cell_m, row * cell_m, (column + 1) * cell_m, (row + 1) * cell_m)
    assert (area(intersection(left_out, polygon)) < 1e-12).all()
    # And not many more than those: none farther off than a cell's diagonal.
    row, column = np.nonzero(cells)
    taken = box(column * cell_m, row * cell_m, (column + 1) * cell_m, (row + 1) * cell_m)
    assert (distance(taken, polygon) < 1e-5).all()


def test_faults_are_found() -> None:
    pieces = [rectangle(0.1, 0.1, 1, 2), rectangle(0.1, 0.1, 2, 2)]

    def laid(x: float, y: float, sheet: int = 1, number: int = 2) -> list[str]:
        placed = (Placed(1, 1, 0.0, (0.0, 0.0)), Placed(number, sheet, 0.0, (x, y)))
        return faults(Layout(Stock("own", 0.3, 0.3), 0.005, 1, placed, 0.2), pieces)

    assert laid(0.105, 0.0) == []
    assert "nearer" in laid(0.10499, 0.0)[0]
    assert "overlap" in laid(0.0999, 0.05)[0]
    assert "beyond" in laid(0.2001, 0.0)[0]
    assert "beyond" in laid(0.15, 0.0, sheet=2)[0]
    assert "once" in laid(0.15, 0.0, number=1)[0]


def test_what_does_not_fit_is_named() -> None:
    pieces = [rectangle(0.7, 0.65, 1, 3, "upper outer"), rectangle(0.1, 0.1, 2, 3), rectangle(1.3, 0.1, 3, 3, "spiral")]
    with pytest.raises(SightlineError) as caught:
        nest(pieces, stock_of("120 x 60 cm"))
    said = str(caught.value)
    assert "Piece 1, 'upper outer', is 70.0 cm x 65.0 cm." in said
    assert "Piece 3, 'spiral', is 1.30 m x 10.0 cm." in said
    assert "Piece 2" not in said
    assert "A sheet of at least 1.30 m x 65.0 cm would do" in said
    # And it would.
    assert nest(pieces, stock_of("130 x 65 cm")).sheets >= 1


def test_a_sheet_laid_the_other_way_is_tried_before_giving_up() -> None:
    """With a grain only the whole sheet may be turned; two pieces that need it different ways are told so."""
    tall, wide = rectangle(0.5, 1.1, 1, 2, "tall"), rectangle(1.1, 0.5, 2, 2, "wide")
    layout = nest([tall], stock_of("120 x 60 cm"))
    assert (layout.stock.width_m, layout.stock.height_m) == (0.6, 1.2)
    with pytest.raises(SightlineError, match=r"the grain forbids.*'tall'.*'wide'.*quarter turns"):
        nest([tall, wide], stock_of("120 x 60 cm"))
    assert nest([tall, wide], stock_of("120 x 60 cm"), turns_deg=QUARTER_TURNS).sheets == 2


def test_a_slanting_piece_is_told_to_turn() -> None:
    """A strip of 1.25 m fits the diagonal of 120 x 60 cm (1.342 m) and no other way."""
    strip = polygon_piece(turned(np.array([[0, 0], [1.25, 0], [1.25, 0.02], [0, 0.02]]), 0.0), name="strip")
    with pytest.raises(SightlineError, match=r"turning them by .* against the grain"):
        nest([strip], stock_of("120 x 60 cm"))
    assert nest([strip], stock_of("120 x 60 cm"), turns_deg=free_turns(5.0)).sheets == 1


@pytest.mark.parametrize(
    ("pieces", "options", "words"),
    [
        ([], {}, "no piece"),
        ([rectangle(0.1, 0.1)], {"gap_m": -0.001}, "gap"),
        ([rectangle(0.1, 0.1)], {"gap_m": math.nan}, "gap"),
        ([rectangle(0.1, 0.1)], {"turns_deg": ()}, "at least one way"),
        ([rectangle(0.1, 0.1)] * 201, {}, "too many"),
    ],
)
def test_what_cannot_be_asked(pieces: list[Piece], options: dict[str, Any], words: str) -> None:
    with pytest.raises(SightlineError, match=words):
        nest(pieces, stock_of("120 x 60 cm"), **options)


@pytest.mark.parametrize("step", [0.0, -5.0, math.nan, 200.0])
def test_steps_of_turning(step: float) -> None:
    with pytest.raises(SightlineError, match="steps"):
        free_turns(step)


@pytest.mark.parametrize(
    ("text", "width_m", "height_m"),
    [
        ("120 x 60 cm", 1.2, 0.6), ("1200x600mm", 1.2, 0.6), ("24 x 48 in", 0.6096, 1.2192), ('24" x 48"', 0.6096, 1.2192),
        ("4 ft by 2 ft", 1.2192, 0.6096), ("1 m x 50 cm", 1.0, 0.5), ("24 1/2 in x 36 in", 0.6223, 0.9144), ("60 × 60 cm", 0.6, 0.6),
    ],
)  # fmt: skip
def test_sheets_by_their_size(text: str, width_m: float, height_m: float) -> None:
    stock = stock_of(text)
    assert stock.width_m == pytest.approx(width_m, abs=1e-12)
    assert stock.height_m == pytest.approx(height_m, abs=1e-12)


@pytest.mark.parametrize("name", STOCK)
def test_every_sheet_is_found_by_its_name(name: str) -> None:
    assert stock_of(name) == STOCK[name] == stock_of(STOCK[name].name)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("big", "no size"), ("", "no size"), ("120 x 60", "no unit"), ("120 x", "no size"), ("1 x 2 x 3 m", "no size"),
        ("unknown x 2 m", "must be known"), ("100-120 cm x 50 cm", "range"), ("about 1 m x 50 cm", "range"), ("1 mm x 2 m", "none"),
        ("-1 m x 2 m", "none"), ("0 x 60 cm", "none"), ("99 m x 2 m", "none"), ("12 kg x 3 kg", "no unit of length"),
        ("\x1b[2J x 3 m" * 9, "no size"),
    ],
)  # fmt: skip
def test_sheets_that_are_none(text: str, words: str) -> None:
    with pytest.raises(SightlineError, match=words) as caught:
        stock_of(text)
    assert str(caught.value).isprintable()


def test_a_kept_layout_comes_back() -> None:
    pieces = limb()
    layout = nest(pieces, stock_of("24 x 48 in"))
    assert layout_from(layout_text(layout), pieces) == layout
    grown = [replace(pieces[0], flat=pieces[0].flat * 1.5), *pieces[1:]]
    with pytest.raises(SightlineError, match="no longer fits"):
        layout_from(layout_text(layout), grown)


@pytest.mark.parametrize("spoil", ["", "[]", "{}", "null", "version", "nan", "sheets", "long"])
def test_a_broken_layout_is_refused(spoil: str) -> None:
    pieces = limb()
    text = layout_text(nest(pieces, stock_of("24 x 48 in")))
    told = json.loads(text)
    if spoil == "version":
        text = json.dumps(told | {"version": 2})
    elif spoil == "nan":
        told["placed"][0]["turn_rad"] = math.nan
        text = json.dumps(told)
    elif spoil == "sheets":
        text = json.dumps(told | {"sheets": 0})
    else:
        text = " " * 300_000 if spoil == "long" else spoil
    with pytest.raises(SightlineError, match="layout"):
        layout_from(text, pieces)


class Panic(BaseException):
    """As a Rust panic reaches Python."""


def packer(solve: Any) -> Any:
    return SimpleNamespace(
        Item=lambda *_: None,
        StripPackingConfig=lambda **_: None,
        StripPackingInstance=lambda *_: SimpleNamespace(solve=solve),
    )


def test_a_panic_of_the_packer_is_no_layout() -> None:
    def solve(_: Any) -> Any:
        raise Panic

    assert _packed(packer(solve), [rectangle(0.1, 0.1)], stock_of("60 x 60 cm"), 0.005, GRAIN_TURNS, 1, 1) is None


def test_a_packer_that_breaks_the_rules_is_not_followed() -> None:
    """Both pieces on one spot: measured, and not taken."""
    on_one_spot = SimpleNamespace(
        placed_items=[SimpleNamespace(id=str(k), translation=(0.0, 0.0), rotation=0.0) for k in (1, 2)]
    )
    pieces = [rectangle(0.1, 0.1, 1, 2), rectangle(0.1, 0.1, 2, 2)]
    assert _packed(packer(lambda _: on_one_spot), pieces, stock_of("60 x 60 cm"), 0.005, GRAIN_TURNS, 1, 1) is None


def test_without_the_packer_the_error_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "spyrrow", None)
    with pytest.raises(SightlineError, match=r"pip install 'sightline\[nest\]'"):
        best_nest(limb(), stock_of("120 x 60 cm"))


@pytest.mark.parametrize("seconds", [0, 10_000])
def test_the_time_to_look_is_bounded(seconds: int) -> None:
    with pytest.raises(SightlineError, match="looked for during"):
        best_nest(limb(), stock_of("120 x 60 cm"), seconds=seconds)


@pytest.mark.skipif(
    importlib.util.find_spec("spyrrow") is None, reason="the optional packer is not installed (extra nest)"
)
def test_looking_longer_is_never_worse() -> None:
    pieces = limb()
    plain = nest(pieces, stock_of("70 x 50 cm"))
    best, said = best_nest(pieces, stock_of("70 x 50 cm"), seconds=3)
    assert best.sheets <= plain.sheets
    assert least_gap_m(best, pieces) >= 0.005 - 1e-6
    assert said.endswith(".")
