"""A layout as a small file, so that one that was found once is cut again as it was."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from sightline.errors import SightlineError
from sightline.pattern.layout import Layout, Placed, Stock
from sightline.pattern.nesting import faults, used_share
from sightline.pattern.piece import Piece

KIND = "sightline layout"
MOST_CHARACTERS = 200_000


def layout_text(layout: Layout) -> str:
    """The layout as JSON; the same layout gives the same bytes."""
    stock = layout.stock
    told = {
        "kind": KIND,
        "version": 1,
        "stock": {"name": stock.name, "width_m": stock.width_m, "height_m": stock.height_m},
        "gap_m": layout.gap_m,
        "sheets": layout.sheets,
        "placed": [
            {"piece": p.number, "sheet": p.sheet, "turn_rad": p.turn_rad, "shift_m": list(p.shift_m)}
            for p in layout.placed
        ],
    }
    return json.dumps(told, indent=1) + "\n"


def layout_from(text: str, pieces: Sequence[Piece], name: str = "the layout") -> Layout:
    """The layout in a text, if it still holds for these pieces. Raises SightlineError."""
    if len(text) > MOST_CHARACTERS:
        raise SightlineError(f"'{name}' is too large for a layout.")
    try:
        told: Any = json.loads(text)
        if told["kind"] != KIND or told["version"] != 1:
            raise ValueError
        stock = Stock(str(told["stock"]["name"]), _number(told["stock"]["width_m"]), _number(told["stock"]["height_m"]))
        placed = tuple(
            Placed(
                int(p["piece"]),
                int(p["sheet"]),
                _number(p["turn_rad"]),
                (_number(p["shift_m"][0]), _number(p["shift_m"][1])),
            )
            for p in told["placed"]
        )
        sheets, gap_m = int(told["sheets"]), _number(told["gap_m"])
        if sheets < 1 or min(stock.width_m, stock.height_m) <= 0.0 or gap_m < 0.0:
            raise ValueError
    except (ValueError, TypeError, KeyError, IndexError, RecursionError, OverflowError):
        raise SightlineError(f"'{name}' is no layout that was kept; lay the pieces out anew.") from None
    layout = Layout(stock, gap_m, sheets, placed, used_share(pieces, stock, sheets))
    wrong = faults(layout, pieces)
    if wrong:
        raise SightlineError(f"'{name}' no longer fits the pieces: {wrong[0]} Lay them out anew.")
    return layout


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError
    return float(value)
