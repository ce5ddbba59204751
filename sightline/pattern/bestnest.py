"""Looking longer for a layout: the optional packer `spyrrow` (extra `nest`), given a time and then held to the same rules.

It packs one strip without end, does not give the same layout twice, and ends in a panic on shapes it dislikes; so it
starts from the layout of nesting.py, its result is measured like any other, and what is not better is not taken. Keep
a layout that it found (keptlayout.py): nobody can be sure to find it again.
"""

from __future__ import annotations

import importlib
import math
from collections.abc import Sequence
from typing import Any

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.flatshape import polygon_of
from sightline.pattern.layout import Layout, Placed, Stock, on_sheet
from sightline.pattern.nesting import GAP_M, GRAIN_TURNS, faults, nest, used_share
from sightline.pattern.piece import Piece

SECONDS = 20
SECONDS_RANGE = (1, 600)
# The packer counts in floats of its own; this much more than the gap is asked of it, mm.
_SPARE_MM = 0.05


def best_nest(
    pieces: Sequence[Piece], stock: Stock, gap_m: float = GAP_M, turns_deg: Sequence[float] = GRAIN_TURNS,
    seconds: int = SECONDS,
) -> tuple[Layout, str]:  # fmt: skip
    """The better layout of two, and a sentence which it is: fewer sheets, or a longer offcut on the last one.

    Takes about `seconds` longer than `nest`. Raises SightlineError as `nest` does, and where the packer is not installed.
    """
    low, high = SECONDS_RANGE
    if not low <= seconds <= high:
        raise SightlineError(f"The best layout can be looked for during {low} to {high} s, not {seconds:g} s.")
    try:
        packer = importlib.import_module("spyrrow")
    except ImportError:
        raise SightlineError(
            "The best layout needs the package spyrrow: pip install 'sightline[nest]'. Without it the plain layout does."
        ) from None
    plain = nest(pieces, stock, gap_m, turns_deg)
    area = sum(float(polygon_of(piece).area) for piece in pieces)
    least = max(1, math.ceil(area / (stock.width_m * stock.height_m) - 1e-9))
    # One try for each number of sheets that would be fewer, or one for a longer offcut.
    counts = list(range(least, plain.sheets)) or [plain.sheets]
    share = max(1, seconds // sum(counts))
    best = plain
    for count in counts:
        found = _packed(packer, pieces, best.stock, gap_m, turns_deg, count, share)
        if found is not None and _score(found, pieces) < _score(best, pieces):
            best = found
            break
    if best is plain:
        return plain, f"Looking for {seconds} s found no better layout than the plain one."
    kept = "This layout was found by looking longer and may not be found again: keep its file."
    if best.sheets < plain.sheets:
        return best, f"{kept} It takes {best.sheets} of the plain layout's {plain.sheets} sheets."
    return best, f"{kept} It takes as many sheets as the plain one and leaves a larger offcut."


def _score(layout: Layout, pieces: Sequence[Piece]) -> tuple[int, float]:
    """The smaller the better: sheets, then the strip of the last sheet that is taken, m2."""
    by_number = {piece.number: piece for piece in pieces}
    last = [
        on_sheet(by_number[p.number].flat[by_number[p.number].outline], p)
        for p in layout.placed
        if p.sheet == layout.sheets
    ]
    right, top = (max(float(points[:, k].max()) for points in last) for k in range(2))
    return layout.sheets, min(right * layout.stock.height_m, top * layout.stock.width_m)


def _packed(
    packer: Any,
    pieces: Sequence[Piece],
    stock: Stock,
    gap_m: float,
    turns_deg: Sequence[float],
    count: int,
    seconds: int,
) -> Layout | None:
    """The pieces on `count` sheets, shared out by area, each sheet packed for `seconds`. None where one overflows."""
    groups: list[list[Piece]] = [[] for _ in range(count)]
    areas = [0.0] * count
    for piece in sorted(pieces, key=lambda p: (-round(float(polygon_of(p).area), 9), p.number)):
        k = areas.index(min(areas))
        groups[k].append(piece)
        areas[k] += float(polygon_of(piece).area)
    placed: list[Placed] = []
    for k, group in enumerate(groups):
        found = _strip(packer, group, stock, gap_m, turns_deg, k + 1, seconds) if group else None
        if found is None:
            return None
        placed += found
    layout = Layout(
        stock, gap_m, count, tuple(sorted(placed, key=lambda p: p.number)), used_share(pieces, stock, count)
    )
    return None if faults(layout, pieces) else layout


def _strip(
    packer: Any,
    pieces: Sequence[Piece],
    stock: Stock,
    gap_m: float,
    turns_deg: Sequence[float],
    sheet: int,
    seconds: int,
) -> list[Placed] | None:
    items = [packer.Item(str(p.number), _ring_mm(p.flat[p.outline]), 1, [float(t) for t in turns_deg]) for p in pieces]
    try:
        config = packer.StripPackingConfig(
            early_termination=True, total_computation_time=seconds, num_workers=1, seed=0,
            min_items_separation=gap_m * 1000.0 + _SPARE_MM,
        )  # fmt: skip
        solution = packer.StripPackingInstance("sheet", stock.height_m * 1000.0, items).solve(config)
    except (KeyboardInterrupt, SystemExit, MemoryError):
        raise
    except BaseException:  # its panics are no Exceptions
        return None
    placed = []
    low: list[float] = []
    for item in solution.placed_items:
        shift = (item.translation[0] / 1000.0, item.translation[1] / 1000.0)
        placed.append(Placed(int(item.id), sheet, math.radians(item.rotation), shift))
        piece = next(p for p in pieces if p.number == int(item.id))
        low.append(float(on_sheet(piece.flat[piece.outline], placed[-1])[:, 0].min()))
    # What the packer leaves free on the left is given to the offcut.
    left = min(low, default=0.0)
    return [Placed(p.number, p.sheet, p.turn_rad, (p.shift_m[0] - left, p.shift_m[1])) for p in placed]


def _ring_mm(outline: FloatArray) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in outline * 1000.0]
