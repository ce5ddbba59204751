"""Eyes as columns, before they are made into `Eye`s: what every source of eyes hands over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import repeat

import numpy as np
from numpy.typing import ArrayLike

from sightline.geometry.frame import FloatArray
from sightline.house.drawn import Drawn
from sightline.house.eyes import Camera, Eye


@dataclass(frozen=True)
class Places:
    """`n` eyes: `positions_m` (n, 3), `floors_m` (n,) or None, and lists as long for the rest.

    `level` is that of all of them, unless `levels` names one for each; `floors` are floors of which some are not known.
    """

    ids: list[str]
    kinds: list[str]
    positions_m: FloatArray
    weights: list[float]
    level: str | None = None
    rows: Sequence[str | None] | None = None
    seats: Sequence[str | None] | None = None
    floors_m: FloatArray | None = None
    cameras: list[Camera | None] | None = None
    levels: list[str | None] | None = None
    floors: list[float | None] | None = None
    drawn: list[Drawn | None] | None = None

    def all_levels(self) -> list[str]:
        """Every level there is, in the order met."""
        named = self.levels if self.levels is not None else [self.level]
        return list(dict.fromkeys(level for level in named if level is not None))

    def eyes(self, looks_at_m: ArrayLike) -> list[Eye]:
        """The eyes, each turned to `looks_at_m` (3,); one that is at that very point faces upstage."""
        if not self.ids:
            return []
        toward = np.asarray(looks_at_m, dtype=float) - self.positions_m
        length = np.linalg.norm(toward, axis=1, keepdims=True)
        facing = np.where(length > 1e-9, toward / np.maximum(length, 1e-9), [0.0, 1.0, 0.0])
        return [
            Eye(*columns)
            for columns in zip(
                self.ids,
                self.kinds,
                map(tuple, self.positions_m.tolist()),
                self.weights,
                self.levels or repeat(self.level, len(self.ids)),
                self.rows or repeat(None),
                self.seats or repeat(None),
                self.floors_m.tolist() if self.floors_m is not None else self.floors or repeat(None),
                map(tuple, facing.tolist()),
                self.cameras or repeat(None),
                self.drawn or repeat(None),
                strict=False,
            )
        ]
