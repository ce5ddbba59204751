"""Lamps of a venue, each taken for a point."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray, Placement, unit
from sightline.house.outline import Outline, area
from sightline.scene.lighting import LampPiece

# How far the points of a lamp's star reach on the plan. Common practice, no source.
DRAWN_M = 0.25


@dataclass(frozen=True)
class Lamp:
    """A lamp at `at_m` that shines along `aim` (a unit vector) within `half_beam_rad` of it; None: all round."""

    name: str
    at_m: tuple[float, float, float]
    aim: tuple[float, float, float] | None = None
    half_beam_rad: float | None = None

    def shines_on(self, points: FloatArray) -> NDArray[np.bool_]:
        """Which points (n, 3) lie in its beam, whatever is in between."""
        if self.aim is None or self.half_beam_rad is None:
            return np.ones(len(points), dtype=bool)
        step = points - np.array(self.at_m)
        return np.asarray(step @ np.array(self.aim) >= math.cos(self.half_beam_rad) * np.linalg.norm(step, axis=1))

    def placed(self, placement: Placement) -> Lamp:
        """The same lamp carried by `placement`: for another frame."""
        x, y, z = placement.points(self.at_m).tolist()
        if self.aim is None:
            return replace(self, at_m=(x, y, z))
        a, b, c = placement.directions(self.aim).tolist()
        return replace(self, at_m=(x, y, z), aim=(a, b, c))

    def outline(self) -> Outline:
        """A small star where it hangs, for the plan: eyes are rings there."""
        turn = 2 * np.pi * np.arange(16) / 16
        reach = DRAWN_M * np.where(np.arange(16) % 2, 0.4, 1.0)[:, None]
        return area(self.name, "lamp", np.array(self.at_m[:2]) + reach * np.column_stack([np.cos(turn), np.sin(turn)]))


def lamp_of(written: LampPiece) -> Lamp:
    """The lamp as hung by the venue."""
    if written.aim is None or written.beam is None:
        return Lamp(written.name, written.at)
    x, y, z = unit(np.array(written.aim) - np.array(written.at)).tolist()
    # A beam of a full turn is a half angle of pi: every direction.
    return Lamp(written.name, written.at, (x, y, z), written.beam / 2)
