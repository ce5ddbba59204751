"""What of a stage each seat of a house sees, before any act is on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.house.build import House
from sightline.house.heads import heads_of
from sightline.sight.rays import Blockers

# Heads end so far before the eye, so that nobody's own head is in the way; as must-sees are looked for.
OWN_HEAD_M = 0.30


@dataclass(frozen=True)
class HouseView:
    """For eyes (n,) and reference points (p,): what scenery hides, and what other people's heads hide besides, (n, p)."""

    by_scenery: NDArray[np.bool_]
    by_heads: NDArray[np.bool_] | None


def look_at(house: House, points_m: FloatArray, heads: bool) -> HouseView:
    """Whether each eye sees each point (p, 3) of the stage; heads only when asked. Mirrors show nothing here."""
    eyes = house.positions_m
    focus = points_m.mean(axis=0) if len(points_m) else np.zeros(3)
    scenery = Blockers([cover.mesh for cover in house.scenery], focus)
    by_scenery = _blocked(scenery, points_m, eyes)
    if not heads:
        return HouseView(by_scenery, None)
    people = Blockers(heads_of(house.eyes), focus, short_m=OWN_HEAD_M)
    return HouseView(by_scenery, _blocked(people, points_m, eyes) & ~by_scenery)


def _blocked(blockers: Blockers, points_m: FloatArray, eyes_m: FloatArray) -> NDArray[np.bool_]:
    out = np.zeros((len(eyes_m), len(points_m)), dtype=bool)
    for k, point in enumerate(points_m):
        out[:, k] = blockers.blocked(np.repeat(point[None], len(eyes_m), axis=0), eyes_m)
    return out
