"""Boxes in boxes: whether packed parts go into a case or a car, each any way round, and through a door.

A layout that was found is a proof. That none was found is one only where a part alone, or all volumes together, are
too large; otherwise packing by hand may still do it. Parts stand square to the case; soft things are boxes here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from typing import Literal

Size = tuple[float, float, float]
Answer = Literal["fits", "does not fit", "no way found"]

# Places looked at before giving up; deterministic, a second or two.
MOST_TRIED = 60_000
# A part as large as its case to this much goes in. A hundredth of a millimetre: rounding, no room.
ROUNDING_M = 1e-5


@dataclass(frozen=True)
class Placed:
    """One part in the case: its corner nearest left, front and bottom, and its size as turned, metres."""

    name: str
    at_m: Size
    size_m: Size


@dataclass(frozen=True)
class Packed:
    """`why` says in a sentence what is in the way; `placed` is the layout that was found."""

    answer: Answer
    placed: tuple[Placed, ...] = ()
    why: str = ""


def ways_round(size: Size) -> list[Size]:
    """The orientations of a box square to the case, at most six, each once."""
    return sorted(set(permutations(size)))  # type: ignore[arg-type]


def goes_into(size: Size, inside: Size) -> bool:
    """Whether one box goes square into another, some way round: sides in order of size."""
    return all(a <= b + ROUNDING_M for a, b in zip(sorted(size), sorted(inside), strict=True))


def pack(parts: Sequence[tuple[str, Size]], inside: Size) -> Packed:
    """Search a layout of named parts in a box of clear inside size (width, depth, height)."""
    if not parts:
        return Packed("fits")
    for name, size in parts:
        if not goes_into(size, inside):
            return Packed("does not fit", why=f"'{name}' alone is larger, whichever way round.")
    filled = sum(math.prod(size) for _, size in parts) / math.prod(inside)
    if filled > 1.0 + 1e-9:
        return Packed("does not fit", why=f"All parts together fill {filled * 100:.0f} % of it.")
    orders = {
        "volume": sorted(parts, key=lambda p: (-math.prod(p[1]), p[0])),
        "longest side": sorted(parts, key=lambda p: (-max(p[1]), p[0])),
        "broadest face": sorted(parts, key=lambda p: (min(p[1]) / math.prod(p[1]), p[0])),
    }
    for order in orders.values():
        search = _Search(order, inside, MOST_TRIED // len(orders))
        if search.place(0):
            return Packed("fits", tuple(search.placed))
    return Packed("no way found", why=f"They fill {filled * 100:.0f} % of it; try it by hand.")


class _Search:
    """Depth first: each part in turn, every way round, into every corner that walls and parts before it make."""

    def __init__(self, order: Sequence[tuple[str, Size]], inside: Size, most: int):
        self.order, self.inside, self.left = order, inside, most
        self.placed: list[Placed] = []

    def place(self, n: int) -> bool:
        if n == len(self.order):
            return True
        name, size = self.order[n]
        for at in self._corners():
            for turned in ways_round(size):
                self.left -= 1
                if self.left < 0:
                    return False
                if not self._free(at, turned):
                    continue
                self.placed.append(Placed(name, at, turned))
                if self.place(n + 1):
                    return True
                self.placed.pop()
        return False

    def _corners(self) -> list[Size]:
        """Bottom first, then from the front, then from the left."""
        spans = [
            sorted({0.0, *(p.at_m[k] + p.size_m[k] for p in self.placed if p.at_m[k] + p.size_m[k] < self.inside[k])})
            for k in range(3)
        ]
        return [(x, y, z) for z in spans[2] for y in spans[1] for x in spans[0]]

    def _free(self, at: Size, size: Size) -> bool:
        if any(at[k] + size[k] > self.inside[k] + ROUNDING_M for k in range(3)):
            return False
        return not any(
            all(
                at[k] < p.at_m[k] + p.size_m[k] - ROUNDING_M and p.at_m[k] < at[k] + size[k] - ROUNDING_M
                for k in range(3)
            )
            for p in self.placed
        )


def through_door(size: Size, door: tuple[float, float]) -> tuple[float, float] | None:
    """The face (long side, short side), metres, with which a box goes through a door (width, height); None for none.

    Square to the frame first, then turned in its plane: a rectangle p by q (p > q) goes into a by b (a > b) turned where
    p > a and b >= (2 p q a + (p^2 - q^2) sqrt(p^2 + q^2 - a^2)) / (p^2 + q^2) (Carver 1957, from memory).
    """
    wide, narrow = max(door), min(door)
    faces = sorted({(max(a, b), min(a, b)) for a, b in ((size[0], size[1]), (size[0], size[2]), (size[1], size[2]))})
    for long, short in faces:
        if long <= wide + ROUNDING_M and short <= narrow + ROUNDING_M:
            return long, short
    for long, short in faces:
        if long > wide and turned_fits(long, short, wide, narrow):
            return long, short
    return None


def turned_fits(p: float, q: float, a: float, b: float) -> bool:
    """Whether a rectangle p by q goes turned into one of a by b, where p > a >= b and p >= q."""
    square = p * p + q * q
    if q > b or a > math.sqrt(square) or p <= a:
        return False
    return b >= (2 * p * q * a + (p * p - q * q) * math.sqrt(square - a * a)) / square - 1e-12
