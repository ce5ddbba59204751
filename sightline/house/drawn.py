"""A crowd whose people are drawn at random, and the place of one of them in it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Crowd:
    """`count` people on a floor at `floor_m`, by shares of 1 in the file's words; children between two ages, years."""

    name: str
    shares: tuple[tuple[str, float], ...]
    count: int
    seed: int
    floor_m: float
    ages_y: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Drawn:
    """Person `number` (from 0) of a crowd."""

    crowd: Crowd
    number: int
