"""A piece with everything that is drawn on its inside, on the table, metres. Nothing here is mirrored."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sightline.figure.arm import Side
from sightline.geometry.frame import FloatArray
from sightline.pattern.lettering import ABOVE, BELOW, words_width
from sightline.pattern.notches import Interval, Notch
from sightline.pattern.piece import Piece

Saying = Literal["side", "name", "limb", "count", "inside", "notch", "ease", "dart", "grain", "way", "edge", "fold"]


@dataclass(frozen=True)
class Letters:
    """One line of words, capital height `height_m`. `at_m` is the middle of its baseline, `turn_deg` 0 or 90."""

    text: str
    at_m: tuple[float, float]
    height_m: float
    turn_deg: float
    saying: Saying

    def box(self) -> tuple[float, float, float, float]:
        """(x, y, width, height) of the upright box that holds the words in any usual lettering; x, y its lower left."""
        wide = words_width(self.text, self.height_m)
        below, high = BELOW * self.height_m, (1.0 + BELOW + ABOVE) * self.height_m
        x, y = self.at_m
        if self.turn_deg == 0.0:
            return x - wide / 2, y - below, wide, high
        # Turned a quarter anticlockwise, what was below the baseline lies to its right.
        return x + below - high, y - wide / 2, high, wide


@dataclass(frozen=True)
class Tick:
    """The line (2, 2) of a registration mark, from the edge inwards."""

    number: int
    points: FloatArray


@dataclass(frozen=True)
class Arrow:
    """An arrow from `tail_m` to `tip_m`: the grain, or the way to a side of the hand (`name`)."""

    name: str
    tail_m: tuple[float, float]
    tip_m: tuple[float, float]


@dataclass(frozen=True)
class Ring:
    """A small circle: a dart's end, or the spot that faces a way."""

    name: str
    centre_m: tuple[float, float]
    radius_m: float


@dataclass(frozen=True)
class Leader:
    """Words that found no room on the piece: they are written beside it, with a line to `at_m`."""

    text: str
    at_m: tuple[float, float]
    saying: Saying


@dataclass(frozen=True)
class MarkedPiece:
    """A piece and its marks. `outline` (q, 2) is cut; `ticks`, `arrows`, `rings`, `letters` are drawn, `folds` dashed."""

    piece: Piece
    limb: str
    side: Side
    outline: FloatArray
    notches: tuple[Notch, ...]
    intervals: tuple[Interval, ...]
    ticks: tuple[Tick, ...]
    arrows: tuple[Arrow, ...]
    rings: tuple[Ring, ...]
    folds: tuple[FloatArray, ...]
    letters: tuple[Letters, ...]
    leaders: tuple[Leader, ...]
