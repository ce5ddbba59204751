"""Which few seats to name on a plan: those that see most, or have least to spare, from directions that differ."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray

# Two seats whose directions differ by less tell the same. Common practice, no source.
DISTINCT_DEG = 12.0


def worst_seats(
    eyes_m: FloatArray,
    focus_m: FloatArray,
    verdict: NDArray[np.int8],
    size_arcmin: FloatArray,
    margin_deg: FloatArray | None = None,
    most: int = 3,
) -> list[int]:
    """Indices of at most so many eyes (e, 3), the worst first, then the next from another direction.

    By verdict and size of what they see; with `margin_deg` (e,) those from whom all is hidden follow by what they
    have to spare.
    """
    if margin_deg is None:
        order = [int(i) for i in np.lexsort((-size_arcmin, -verdict.astype(int))) if verdict[i] > 0]
    else:
        least = np.where(verdict > 0, -1.0, np.nan_to_num(margin_deg, nan=np.inf))
        order = [int(i) for i in np.lexsort((-size_arcmin, least)) if least[i] < 180.0]
    return from_other_ways(eyes_m, focus_m, order, most, DISTINCT_DEG)


def from_other_ways(
    eyes_m: FloatArray,
    focus_m: FloatArray,
    order: Sequence[int],
    most: int,
    apart_deg: float,
    beside: Sequence[int] = (),
) -> list[int]:
    """The first of `order` whose directions from the focus are `apart_deg` from each other's and from those of `beside`."""
    ways = eyes_m - focus_m
    ways = ways / np.maximum(np.linalg.norm(ways, axis=1, keepdims=True), 1e-9)
    near = np.cos(np.radians(apart_deg))
    chosen: list[int] = []
    for i in order:
        if len(chosen) == most:
            break
        if all(float(ways[i] @ ways[j]) < near for j in (*beside, *chosen)):
            chosen.append(int(i))
    return chosen
