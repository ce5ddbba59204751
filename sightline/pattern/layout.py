"""Pieces laid out on stock sheets."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Stock:
    """A sheet as it is sold."""

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
