"""The crowd that goes with the performer: who of the eyes moves, and where they are at a mark and facing.

Seats, cameras and bare points stay. Who stands keeps the same place to the mark (`follows`), or to mark and facing
(`rings`), as at the first beat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from sightline.house.eyes import Eye
from sightline.staging.stage import Mark

STANDING = ("standing", "child", "floor child", "wheelchair", "phone")


@dataclass(frozen=True)
class Company:
    """The eyes as the house has them, and the mark and facing (rad) at which they are so."""

    eyes: tuple[Eye, ...]
    crowd: str
    mark_m: Mark
    facing_rad: float

    @property
    def moving(self) -> list[int]:
        """Indices of the eyes that can move: those on their own feet or wheels, in no row."""
        if self.crowd == "stands":
            return []
        return [i for i, eye in enumerate(self.eyes) if eye.row is None and eye.kind in STANDING]

    def at(self, mark_m: Mark, facing_rad: float) -> tuple[Eye, ...]:
        """All eyes, in their order, when the performer is on a mark; the very same objects where nobody moved."""
        turn = facing_rad - self.facing_rad if self.crowd == "rings" else 0.0
        if not self.moving or (mark_m == self.mark_m and turn == 0.0):
            return self.eyes
        out = list(self.eyes)
        cos, sin = math.cos(turn), math.sin(turn)
        for i in self.moving:
            x, y, z = out[i].position_m
            dx, dy = x - self.mark_m[0], y - self.mark_m[1]
            fx, fy, fz = out[i].facing
            out[i] = replace(
                out[i],
                position_m=(mark_m[0] + cos * dx - sin * dy, mark_m[1] + sin * dx + cos * dy, z),
                facing=(cos * fx - sin * fy, sin * fx + cos * fy, fz),
            )
        return tuple(out)

    def note(self) -> str:
        """What is taken for granted of the crowd, in a sentence."""
        count = len(self.moving)
        if self.crowd == "stands":
            return "The crowd stands where it is while the performer moves (blocking: crowd)."
        if not count:
            return f"The crowd '{self.crowd}', but nobody stands: all eyes stay where they are."
        how = (
            "keep their place to the performer, and turn along" if self.crowd == "rings"
            else "keep their place to the performer's mark, without turning"
        )  # fmt: skip
        return f"The crowd {self.crowd}: {count} standing eyes {how}; seats, cameras and bare points stay."
