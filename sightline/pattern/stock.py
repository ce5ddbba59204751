"""Sheets of foam as they are sold, by name, and sheets of one's own size."""

from __future__ import annotations

import difflib
import re

from sightline.errors import SightlineError
from sightline.pattern.layout import Stock
from sightline.units import QuantityError, Unknown, parse, say_length

# Sizes that foam, felt and floor-mat sheets are often sold in. Common practice, no source.
_METRIC_CM = ((50, 50), (60, 60), (70, 50), (100, 50), (100, 100), (120, 60), (150, 100), (200, 100))
_INCH = ((24, 24), (24, 36), (24, 48), (24, 72), (36, 60), (36, 72), (48, 48), (48, 96))
SIDE_RANGE_M = (0.05, 10.0)

STOCK: dict[str, Stock] = {
    **{f"{w}x{h} cm": Stock(f"{w} x {h} cm", w / 100, h / 100) for w, h in _METRIC_CM},
    **{f"{w}x{h} in": Stock(f"{w} x {h} in", w * 0.0254, h * 0.0254) for w, h in _INCH},
}
DEFAULT = STOCK["120x60 cm"]
_BY = re.compile(r"\s*(?:[xX×*]|\bby\b)\s*")


def stock_of(text: str) -> Stock:
    """The sheet that `text` states: `120 x 60 cm`, `24 x 48 in`, `4 ft by 2 ft`; width first. Raises SightlineError."""
    parts = _BY.split(text.strip())
    if len(parts) != 2 or not all(parts):
        close = difflib.get_close_matches(text.strip().casefold(), STOCK, n=1, cutoff=0.6)
        hint = f" Did you mean {close[0].replace('x', ' x ')}?" if close else ""
        raise SightlineError(
            f"'{_short(text)}' is no size of a sheet; write for example 120 x 60 cm or 24 x 48 in.{hint}"
        )
    if not re.search(r"[A-Za-z'\"′″’”]", parts[0]):
        # `120 x 60 cm`: the first length has the second one's unit.
        unit = re.search(r"(?:[A-Za-z]+|['\"′″’”]+)\s*$", parts[1])
        parts[0] += f" {unit[0]}" if unit else ""
    sides = []
    for part in parts:
        try:
            side = parse(part, "length")
        except QuantityError as error:
            raise SightlineError(f"The sheet's size '{_short(text)}': {error}.") from error
        except Unknown:
            raise SightlineError("The sheet's size must be known before anything is laid out on it.") from None
        if side.is_range:
            raise SightlineError(
                f"The sheet's size '{_short(text)}' must be two lengths, not a range: measure the sheet."
            )
        low, high = SIDE_RANGE_M
        if not low <= side.value <= high:
            raise SightlineError(
                f"A sheet side of {say_length(side.value)} is none; sheets of {say_length(low)} to {say_length(high)} can be laid out."
            )
        sides.append(side.value)
    for known in STOCK.values():
        if abs(known.width_m - sides[0]) < 1e-9 and abs(known.height_m - sides[1]) < 1e-9:
            return known
    return Stock(f"{parts[0]} x {parts[1]}", sides[0], sides[1])


def _short(text: str) -> str:
    said = "".join(c if c.isprintable() else "?" for c in text)
    return said if len(said) <= 40 else said[:37] + "..."
