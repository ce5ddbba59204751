"""A flat piece turned some way, and the cells of a raster that it touches; the grid on which pieces are tried.

The cells are a superset: every cell that the piece reaches into is among them. So are the cells of its surroundings
(`wide`), those nearer than the gap. Two pieces whose cells and surroundings share nothing are therefore truly apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.pattern.layout import turned

# Corners of a widened outline are drawn as arcs of this many chords a quarter; the chords lie inside the arc by
# 1 - cos(half their angle), for which the width is raised.
_CHORDS = 16
_HAIR_M = 1e-7


@dataclass(frozen=True)
class Footprint:
    """`polygon` with its lower left corner at 0, 0; `cells` (h, w) from there; `wide` begins `reach` cells before it.

    `moved_m` is what was added to the turned outline to bring it there.
    """

    number: int
    turn_deg: float
    polygon: Any
    moved_m: tuple[float, float]
    size_m: tuple[float, float]
    cells: NDArray[np.bool_]
    wide: NDArray[np.bool_]
    reach: int


def footprint(number: int, outline: FloatArray, turn_deg: float, gap_m: float, cell_m: float) -> Footprint:
    """The piece with this outline (k, 2), turned, on cells of `cell_m`."""
    from shapely import Polygon

    points = turned(outline, turn_deg)
    low = points.min(axis=0)
    points = points - low
    size = points.max(axis=0)
    polygon = Polygon(points)
    reach = int(np.ceil(gap_m / cell_m)) + 1
    width = gap_m / np.cos(np.pi / (4 * _CHORDS)) + _HAIR_M
    around = polygon.buffer(width, quad_segs=_CHORDS)
    count = np.ceil(size / cell_m).astype(int) + 1
    cells = touched(polygon, (0.0, 0.0), (int(count[1]), int(count[0])), cell_m)
    wide = touched(
        around, (-reach * cell_m, -reach * cell_m), (int(count[1]) + 2 * reach, int(count[0]) + 2 * reach), cell_m
    )
    return Footprint(
        number,
        turn_deg,
        polygon,
        (float(-low[0]), float(-low[1])),
        (float(size[0]), float(size[1])),
        cells,
        wide,
        reach,
    )


def touched(polygon: Any, low: tuple[float, float], shape: tuple[int, int], cell_m: float) -> NDArray[np.bool_]:
    """Which cells of a raster from `low` the polygon touches."""
    from shapely import contains_xy, prepare

    prepare(polygon)
    x = low[0] + (np.arange(shape[1]) + 0.5) * cell_m
    y = low[1] + (np.arange(shape[0]) + 0.5) * cell_m
    out: NDArray[np.bool_] = contains_xy(polygon, *np.meshgrid(x, y))
    for ring in (polygon.exterior, *polygon.interiors):
        column, row = _crossed((np.asarray(ring.coords) - np.array(low)) / cell_m)
        out[np.clip(row, 0, shape[0] - 1), np.clip(column, 0, shape[1] - 1)] = True
    return out


def _crossed(points: FloatArray) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Columns and rows of all cells of side 1 that a line passes through.

    Each stretch is cut where it meets a grid line; the middle of every cut lies in the cell that it crosses. Where a
    stretch runs along a grid line, the cells on both sides of it are taken.
    """
    columns, rows = [], []
    for one, other in pairwise(points):
        step = other - one
        cuts = [np.array([0.0, 1.0])]
        for k in range(2):
            if step[k] != 0.0:
                low, high = sorted((one[k], other[k]))
                lines = np.arange(np.ceil(low), np.floor(high) + 1)
                cuts.append((lines - one[k]) / step[k])
        at = np.clip(np.sort(np.concatenate(cuts)), 0.0, 1.0)
        middle = one + ((at[1:] + at[:-1]) / 2)[:, None] * step
        for aside in ((-1e-6, -1e-6), (1e-6, 1e-6), (1e-6, -1e-6), (-1e-6, 1e-6)):
            cell = np.floor(middle + np.array(aside)).astype(np.int64)
            columns.append(cell[:, 0])
            rows.append(cell[:, 1])
    return np.concatenate(columns), np.concatenate(rows)
