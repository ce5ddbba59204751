"""Pieces laid out on stock sheets."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray


@dataclass(frozen=True)
class Stock:
    """A sheet as it is sold. Laid the other way, width and height are exchanged and the name is kept."""

    name: str
    width_m: float
    height_m: float


@dataclass(frozen=True)
class Placed:
    """Piece `number` on sheet `sheet` (from 1): its `flat` turned by `turn_rad` anticlockwise, then moved by `shift_m` (x, y).

    A piece is never mirrored.
    """

    number: int
    sheet: int
    turn_rad: float
    shift_m: tuple[float, float]


@dataclass(frozen=True)
class Layout:
    """All pieces placed; `used` is the share of all sheets' area that becomes pieces."""

    stock: Stock
    gap_m: float
    sheets: int
    placed: tuple[Placed, ...]
    used: float


def turned(points: FloatArray, turn_deg: float) -> FloatArray:
    """Points (k, 2) turned anticlockwise about the origin; whole quarter turns are exact."""
    quarter, rest = divmod(turn_deg % 360.0, 90.0)
    if rest == 0.0:
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter)]
    else:
        c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    return np.asarray(points @ np.array([[c, s], [-s, c]]))


def on_sheet(points: FloatArray, placed: Placed) -> FloatArray:
    """Points (k, 2) of a piece's table where they lie on the sheet."""
    return turned(points, math.degrees(placed.turn_rad)) + np.array(placed.shift_m)
