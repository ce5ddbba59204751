"""Where on a piece there is room for words: a raster of what is free, on the careful side.

A cell counts as taken if anything that must not be touched reaches into it, so that what is placed on free cells
touches nothing; the exact test is in the tests, not here.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray

# Cells of 1 mm, on small pieces of a hundredth of their width.
CELL_M = 0.001
LEAST_CELL_M = 0.00025


class Room:
    """Free room inside a polygon, or several, metres. Boxes are upright: (x, y, width, height) with x, y their lower left corner."""

    def __init__(self, polygon: Any, border_m: float, cell_m: float | None = None) -> None:
        from scipy.ndimage import binary_dilation
        from shapely import contains_xy, prepare

        low_x, low_y, high_x, high_y = polygon.bounds
        narrow = min(high_x - low_x, high_y - low_y)
        self.cell_m = float(np.clip(narrow / 100.0, LEAST_CELL_M, CELL_M)) if cell_m is None else cell_m
        self.low = np.array([low_x, low_y]) - 2 * self.cell_m
        self.shape = (
            int(np.ceil((high_y - low_y) / self.cell_m)) + 4,
            int(np.ceil((high_x - low_x) / self.cell_m)) + 4,
        )
        prepare(polygon)
        x = self.low[0] + (np.arange(self.shape[1]) + 0.5) * self.cell_m
        y = self.low[1] + (np.arange(self.shape[0]) + 0.5) * self.cell_m
        inside = contains_xy(polygon, *np.meshgrid(x, y))
        edge = np.zeros(self.shape, dtype=bool)
        for part in getattr(polygon, "geoms", [polygon]):
            for ring in (part.exterior, *part.interiors):
                self._draw(edge, np.asarray(ring.coords))
        # A disc that reaches border and one cell's diagonal beyond.
        reach = int(np.ceil(border_m / self.cell_m + 1.5))
        step = np.arange(-reach, reach + 1)
        disc = step[:, None] ** 2 + step[None, :] ** 2 <= (border_m / self.cell_m + 1.5) ** 2
        near = binary_dilation(edge, disc)
        self.free: NDArray[np.bool_] = inside & ~near

    def take_box(self, x: float, y: float, width: float, height: float) -> None:
        """Nothing more may be put into this box."""
        low = np.floor((np.array([x, y]) - self.low) / self.cell_m).astype(int)
        high = np.ceil((np.array([x + width, y + height]) - self.low) / self.cell_m).astype(int)
        self.free[max(low[1], 0) : max(high[1], 0), max(low[0], 0) : max(high[0], 0)] = False

    def take_line(self, points: FloatArray, border_m: float) -> None:
        """Nothing more may be put within `border_m` of a line through `points` (k, 2)."""
        for at in _sampled(points, self.cell_m / 2):
            self.take_box(at[0] - border_m, at[1] - border_m, 2 * border_m, 2 * border_m)

    def widest_spot(self) -> FloatArray:
        """The middle (2,) of the largest free disc."""
        from scipy.ndimage import distance_transform_edt

        far = distance_transform_edt(self.free)
        row, column = np.unravel_index(int(np.argmax(far)), far.shape)
        return self.low + (np.array([float(column), float(row)]) + 0.5) * self.cell_m

    def place(
        self, width: float, height: float, near: FloatArray, reach_m: float | None = None
    ) -> tuple[float, float] | None:
        """Lower left corner of a free box of that size, its middle as near to `near` (2,) as may be, and within
        `reach_m` of it. None where there is none. The box is not taken."""
        wide, high = (int(np.ceil(size / self.cell_m - 1e-9)) + 1 for size in (width, height))
        first = np.zeros(2, dtype=int)
        last = np.array([self.shape[1], self.shape[0]])
        if reach_m is not None:
            half = np.array([wide, high]) / 2 + reach_m / self.cell_m + 1
            middle = (near - self.low) / self.cell_m
            first = np.clip(np.floor(middle - half).astype(int), 0, last)
            last = np.clip(np.ceil(middle + half).astype(int), 0, last)
        taken = ~self.free[first[1] : last[1], first[0] : last[0]]
        if taken.shape[0] < high or taken.shape[1] < wide:
            return None
        total = np.zeros((taken.shape[0] + 1, taken.shape[1] + 1), dtype=np.int64)
        total[1:, 1:] = taken.cumsum(0).cumsum(1)
        count = total[high:, wide:] - total[:-high, wide:] - total[high:, :-wide] + total[:-high, :-wide]
        rows, columns = np.nonzero(count == 0)
        if not len(rows):
            return None
        corner = self.low + (np.stack([columns + first[0], rows + first[1]], axis=1)) * self.cell_m
        middle = corner + np.array([wide, high]) * self.cell_m / 2
        away = np.round(np.linalg.norm(middle - near, axis=1), 9)
        best = int(np.argmin(away))
        if reach_m is not None and away[best] > reach_m:
            return None
        # Centred in the cells that were counted.
        x, y = middle[best] - np.array([width, height]) / 2
        return float(x), float(y)

    def _draw(self, onto: NDArray[np.bool_], points: FloatArray) -> None:
        cells = np.floor((_sampled(points, self.cell_m / 2) - self.low) / self.cell_m).astype(int)
        onto[cells[:, 1], cells[:, 0]] = True


def _sampled(points: FloatArray, step: float) -> FloatArray:
    """The line with points at most `step` apart."""
    out = [points[:1]]
    for one, other in pairwise(points):
        count = max(1, int(np.ceil(np.linalg.norm(other - one) / step)))
        out.append(one + (other - one) * (np.arange(1, count + 1) / count)[:, None])
    return np.concatenate(out)
