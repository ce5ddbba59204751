"""The storeys of a house: who sits on the ground floor, and who above somebody else's head."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sightline.house.eyes import Eye

# A level whose floor is so much above the lowest is a balcony, not a step. Common practice, no source.
BALCONY_M = 1.8


@dataclass(frozen=True)
class Storey:
    """Levels that do not lie over each other: a name, which levels, and indices (n,) of their eyes."""

    name: str
    levels: tuple[str | None, ...]
    members: NDArray[np.intp]


def storeys(eyes: Sequence[Eye]) -> list[Storey]:
    """The ground floor, steps and single eyes included, then each balcony in the order of the eyes; at least one."""
    lowest = min((eye.floor_m for eye in eyes if eye.floor_m is not None), default=0.0)
    levels = list(dict.fromkeys(eye.level for eye in eyes))
    upper = [level for level in levels if level is not None and _floor(eyes, level, lowest) - lowest > BALCONY_M]
    ground = tuple(level for level in levels if level not in upper)
    named = [level for level in ground if level is not None]
    out = [_storey(named[0] if len(named) == 1 else "ground floor", ground, eyes)]
    out += [_storey(level, (level,), eyes) for level in upper]
    return [storey for storey in out if len(storey.members)] or out[:1]


def _floor(eyes: Sequence[Eye], level: str, otherwise: float) -> float:
    return min((eye.floor_m for eye in eyes if eye.level == level and eye.floor_m is not None), default=otherwise)


def _storey(name: str, levels: tuple[str | None, ...], eyes: Sequence[Eye]) -> Storey:
    return Storey(name, levels, np.array([i for i, eye in enumerate(eyes) if eye.level in levels], dtype=np.intp))
