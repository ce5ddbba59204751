"""Pieces laid on as few sheets as may be: lowest place first, the same every time, and measured afterwards.

Bottom-left filling on a raster that errs on the careful side (footprint.py), with the exact places beside other
pieces tried too (sheetgrid.py). A few orders and both ways of laying the sheet are tried; the best is kept. It finds
good layouts, not the best there is: bestnest.py looks longer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from sightline.errors import SightlineError, printable
from sightline.pattern.flatshape import polygon_of
from sightline.pattern.footprint import Footprint, footprint
from sightline.pattern.layout import Layout, Placed, Stock, on_sheet
from sightline.pattern.piece import Piece
from sightline.pattern.sheetgrid import Fill, SheetGrid, Transforms, overlap
from sightline.units import say_length

# Between pieces, for the blade and for a wandering hand. Common practice, no source.
GAP_M = 0.005
GAP_RANGE_M = (0.0, 0.1)
CELL_M = 0.002
# With a grain, pieces may lie head to foot; without, in quarter turns.
GRAIN_TURNS = (0.0, 180.0)
QUARTER_TURNS = (0.0, 90.0, 180.0, 270.0)
MOST_PIECES = 200
# Beyond this many pieces one order is tried, not all.
FEW = 24
MEASURED_M = 1e-6
_ORDERS: tuple[Callable[[Footprint], float], ...] = (
    lambda foot: float(foot.polygon.area),
    lambda foot: max(foot.size_m),
    lambda foot: foot.size_m[1],
)


def free_turns(step_deg: float) -> tuple[float, ...]:
    """Every turn by whole steps, for foam without a grain. Raises SightlineError for a step that is none."""
    if not 1.0 <= step_deg <= 180.0:
        raise SightlineError(f"Pieces can be turned in steps of 1 to 180 deg, not {step_deg:g}.")
    return tuple(float(step_deg * k) for k in range(math.ceil(360.0 / step_deg - 1e-9)))


def nest(
    pieces: Sequence[Piece], stock: Stock, gap_m: float = GAP_M, turns_deg: Sequence[float] = GRAIN_TURNS,
    cell_m: float = CELL_M,
) -> Layout:  # fmt: skip
    """All pieces on sheets of this stock, none mirrored, at least `gap_m` apart. They may touch a sheet's edge.

    Turns are the same for all pieces; with `GRAIN_TURNS` the whole sheet may be laid the other way instead.
    Raises SightlineError naming every piece that no sheet can hold and what would do.
    """
    _refuse(pieces, stock, gap_m, turns_deg)
    stocks = [stock]
    by_quarter = any((turn + 90.0) % 360.0 in [t % 360.0 for t in turns_deg] for turn in turns_deg)
    if not by_quarter and stock.width_m != stock.height_m:
        stocks.append(Stock(stock.name, stock.height_m, stock.width_m))
    stocks = [sheet for sheet in stocks if not _too_large(pieces, sheet, turns_deg)]
    if not stocks:
        raise SightlineError(_says_too_large(pieces, stock, turns_deg))
    for piece in pieces:
        polygon_of(piece)
    feet = {
        piece.number: [footprint(piece.number, piece.flat[piece.outline], turn, gap_m, cell_m) for turn in turns_deg]
        for piece in pieces
    }
    best: tuple[tuple[float, ...], Stock, list[SheetGrid]] | None = None
    for sheet in stocks:
        transforms = Transforms(sheet, cell_m)
        for order in _ORDERS if len(pieces) <= FEW else _ORDERS[:1]:
            numbers = sorted(feet, key=lambda n: (-round(order(feet[n][0]), 9), n))
            for fill in ("up", "across"):
                most = len(best[2]) if best else len(pieces)
                filled = _fill([feet[n] for n in numbers], sheet, gap_m, transforms, fill, most)
                if filled is None:
                    continue
                score = (len(filled), round(_extent(filled[-1]), 9))
                if best is None or score < best[0]:
                    best = (score, sheet, filled)
    assert best is not None
    return _layout(pieces, best[1], gap_m, best[2])


def _fill(
    feet: Sequence[Sequence[Footprint]], stock: Stock, gap_m: float, transforms: Transforms, fill: Fill, most: int
) -> list[SheetGrid] | None:
    """The pieces in this order, each on the first sheet that has room; None if more than `most` sheets were needed."""
    sheets: list[SheetGrid] = []
    for ways in feet:
        for sheet in sheets:
            found = _best_place(sheet, ways, fill)
            if found is not None:
                sheet.put(*found)
                break
        else:
            if len(sheets) == most:
                return None
            sheets.append(SheetGrid(stock, gap_m, transforms))
            first = _best_place(sheets[-1], ways, fill)
            assert first is not None
            sheets[-1].put(*first)
    return sheets


def _best_place(sheet: SheetGrid, ways: Sequence[Footprint], fill: Fill) -> tuple[Footprint, float, float] | None:
    found = [(place, k) for k, foot in enumerate(ways) if (place := sheet.place(foot, fill)) is not None]
    if not found:
        return None
    (_, x, y), k = min(found)
    return ways[k], x, y


def _extent(sheet: SheetGrid) -> float:
    """The area of the strip that the pieces of a sheet take, the smaller way: the rest is left as one offcut."""
    right = max(x + foot.size_m[0] for foot, x, _ in sheet.placed)
    top = max(y + foot.size_m[1] for foot, _, y in sheet.placed)
    return min(right * sheet.stock.height_m, top * sheet.stock.width_m)


def _layout(pieces: Sequence[Piece], stock: Stock, gap_m: float, sheets: Sequence[SheetGrid]) -> Layout:
    placed = [
        Placed(foot.number, k + 1, math.radians(foot.turn_deg), (x + foot.moved_m[0], y + foot.moved_m[1]))
        for k, sheet in enumerate(sheets)
        for foot, x, y in sheet.placed
    ]
    placed.sort(key=lambda p: p.number)
    layout = Layout(stock, gap_m, len(sheets), tuple(placed), used_share(pieces, stock, len(sheets)))
    wrong = faults(layout, pieces)
    if wrong:
        raise RuntimeError("the layout does not hold: " + " ".join(wrong))
    return layout


def used_share(pieces: Sequence[Piece], stock: Stock, sheets: int) -> float:
    """The share of so many sheets' area that becomes pieces."""
    area = sum(float(polygon_of(piece).area) for piece in pieces)
    return area / (sheets * stock.width_m * stock.height_m)


def faults(layout: Layout, pieces: Sequence[Piece]) -> list[str]:
    """What is wrong with a layout, measured exactly (to 1e-6 m): nothing, if it may be cut."""
    from shapely import Polygon

    by_number = {piece.number: piece for piece in pieces}
    numbers = [placed.number for placed in layout.placed]
    if sorted(numbers) != sorted(by_number):
        return ["Not every piece is placed once."]
    wrong = []
    laid = []
    for placed in layout.placed:
        piece = by_number[placed.number]
        polygon = Polygon(on_sheet(piece.flat[piece.outline], placed))
        low_x, low_y, high_x, high_y = polygon.bounds
        inside = min(low_x, low_y, layout.stock.width_m - high_x, layout.stock.height_m - high_y) >= -MEASURED_M
        if not inside or not 1 <= placed.sheet <= layout.sheets:
            wrong.append(f"Piece {placed.number} lies beyond its sheet.")
        laid.append((placed, polygon))
    for k, (one, polygon) in enumerate(laid):
        for other, beside in laid[k + 1 :]:
            if one.sheet != other.sheet:
                continue
            if overlap(polygon, beside, MEASURED_M):
                wrong.append(f"Pieces {one.number} and {other.number} overlap.")
            elif polygon.distance(beside) < layout.gap_m - MEASURED_M:
                wrong.append(f"Pieces {one.number} and {other.number} are nearer than the gap.")
    return wrong


def _refuse(pieces: Sequence[Piece], stock: Stock, gap_m: float, turns_deg: Sequence[float]) -> None:
    if not pieces:
        raise SightlineError("There is no piece to lay out.")
    if len(pieces) > MOST_PIECES:
        raise SightlineError(f"A pattern of {len(pieces)} pieces is too many to lay out; {MOST_PIECES} are the most.")
    if not turns_deg:
        raise SightlineError("A piece must be allowed to lie at least one way round.")
    low, high = GAP_RANGE_M
    if not low <= gap_m <= high:
        raise SightlineError(
            f"A gap of {gap_m * 1000:g} mm between pieces is none; take {low * 1000:g} to {high * 1000:g} mm."
        )
    if not min(stock.width_m, stock.height_m) > 0.0:
        raise SightlineError("A sheet without width or height holds nothing.")


def _sizes(piece: Piece, turns_deg: Sequence[float]) -> list[tuple[float, float]]:
    out = []
    for turn in turns_deg:
        points = on_sheet(piece.flat[piece.outline], Placed(piece.number, 1, math.radians(turn), (0.0, 0.0)))
        width, height = points.max(axis=0) - points.min(axis=0)
        out.append((float(width), float(height)))
    return out


def _too_large(pieces: Sequence[Piece], stock: Stock, turns_deg: Sequence[float]) -> list[Piece]:
    return [
        piece
        for piece in pieces
        if not any(w <= stock.width_m + 1e-9 and h <= stock.height_m + 1e-9 for w, h in _sizes(piece, turns_deg))
    ]


def _says_too_large(pieces: Sequence[Piece], stock: Stock, turns_deg: Sequence[float]) -> str:
    """One sentence for every piece that the sheet cannot hold, and what would do."""
    alone = [Stock(stock.name, *size) for size in ((stock.width_m, stock.height_m), (stock.height_m, stock.width_m))]
    both = [set(p.number for p in _too_large(pieces, sheet, turns_deg)) for sheet in alone]
    never = [piece for piece in pieces if all(piece.number in numbers for numbers in both)]
    said = []
    for piece in never or [piece for piece in pieces if piece.number in both[0] | both[1]]:
        width, height = _sizes(piece, (0.0,))[0]
        said.append(f"Piece {piece.number}, '{printable(piece.name)}', is {_pair(width, height)}.")
    if not never:
        why = f"On the sheet of {stock.name} these pieces fit only with the sheet laid different ways, which the grain forbids."
        return " ".join([why, *said, "Allow quarter turns, or take a larger sheet."])
    need = np.max([sorted(_sizes(piece, (0.0,))[0]) for piece in never], axis=0)
    name = _pair(float(np.ceil(need[1] * 100) / 100), float(np.ceil(need[0] * 100) / 100))
    why = f"The sheet of {stock.name} is too small."
    freely = [t for t in free_turns(5.0) if not _too_large(never, stock, (t,))]
    would = f"A sheet of at least {name} would do"
    if all(not _too_large([piece], stock, free_turns(5.0)) for piece in never):
        how = f"turning them by {freely[0]:g} deg" if freely else "turning each piece freely"
        would += f", or {how}, against the grain"
    return " ".join([why, *said, f"{would}, or a seam more across the piece."])


def _pair(width_m: float, height_m: float) -> str:
    return f"{say_length(width_m)} x {say_length(height_m)}"
