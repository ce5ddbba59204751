"""One stock sheet being filled: what is taken, and the lowest free place for a footprint."""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.pattern.footprint import Footprint
from sightline.pattern.layout import Stock

Fill = Literal["up", "across"]
# Exact places tried beside those of the raster, the best ones first.
_MOST_EXACT = 60
_HAIR_M = 1e-9
# Two pieces with no gap may touch; they overlap when each shrunk by this still meets the other.
_SHRINK_M = 1e-7


class Transforms:
    """The spectra of footprints on one raster, each made once; also the raster's own size."""

    def __init__(self, stock: Stock, cell_m: float) -> None:
        from scipy.fft import next_fast_len

        self.cell_m = cell_m
        self.shape = (int(np.ceil(stock.height_m / cell_m)) + 2, int(np.ceil(stock.width_m / cell_m)) + 2)
        self.padded = tuple(next_fast_len(n, real=True) for n in self.shape)
        self._made: dict[tuple[int, float], Any] = {}

    def of(self, foot: Footprint) -> Any:
        from scipy.fft import rfft2

        key = (foot.number, foot.turn_deg)
        if key not in self._made:
            self._made[key] = rfft2(foot.cells[::-1, ::-1].astype(float), self.padded)
        return self._made[key]


class SheetGrid:
    """A sheet with the pieces laid on it so far. Places are of a footprint's lower left corner, metres."""

    def __init__(self, stock: Stock, gap_m: float, transforms: Transforms) -> None:
        self.stock, self.gap_m, self._transforms = stock, gap_m, transforms
        self._taken: NDArray[np.bool_] = np.zeros(transforms.shape, dtype=bool)
        self._spectrum: Any = None
        self._boxes: list[tuple[float, float, float, float]] = []
        self._polygons: list[Any] = []
        self.placed: list[tuple[Footprint, float, float]] = []

    def put(self, foot: Footprint, x: float, y: float) -> None:
        from shapely.affinity import translate

        cell = self._transforms.cell_m
        # Places between cells: the surroundings of both cells are taken.
        for column in {int(np.floor(x / cell + _HAIR_M)), int(np.ceil(x / cell - _HAIR_M))}:
            for row in {int(np.floor(y / cell + _HAIR_M)), int(np.ceil(y / cell - _HAIR_M))}:
                self._take(foot.wide, row - foot.reach, column - foot.reach)
        self._spectrum = None
        self._boxes.append((x, y, x + foot.size_m[0], y + foot.size_m[1]))
        self._polygons.append(translate(foot.polygon, x, y))
        self.placed.append((foot, x, y))

    def _take(self, cells: NDArray[np.bool_], row: int, column: int) -> None:
        high, wide = self._taken.shape
        top, right = min(row + cells.shape[0], high), min(column + cells.shape[1], wide)
        low, left = max(row, 0), max(column, 0)
        if top > low and right > left:
            self._taken[low:top, left:right] |= cells[low - row : top - row, left - column : right - column]

    def place(self, foot: Footprint, fill: Fill) -> tuple[tuple[float, float], float, float] | None:
        """(how far it reaches, x, y) of the best free place, the smaller the better; None where there is none.

        `up` keeps the pieces low, then left; `across` left, then low.
        """
        spare = (self.stock.width_m - foot.size_m[0], self.stock.height_m - foot.size_m[1])
        if min(spare) < -_HAIR_M:
            return None
        if not self.placed:
            return (_reach(foot, 0.0, 0.0, fill), 0.0, 0.0)
        counts = self._counts(foot, spare)
        found = self._on_raster(foot, counts, fill)
        exact = self._beside(foot, spare, counts, fill, found[0] if found else None)
        return exact or found

    def _counts(self, foot: Footprint, spare: tuple[float, float]) -> FloatArray:
        """How many taken cells the footprint would lie on, for its corner in each cell (rows, columns)."""
        from scipy.fft import irfft2, rfft2

        if self._spectrum is None:
            self._spectrum = rfft2(self._taken.astype(float), self._transforms.padded)
        both = irfft2(self._spectrum * self._transforms.of(foot), self._transforms.padded)
        columns, rows = (int(np.floor(max(s, 0.0) / self._transforms.cell_m + 1e-6)) + 1 for s in spare)
        high, wide = foot.cells.shape
        # A sheet's last cells may be cut by its edge; what lies beyond the raster is never taken.
        out = np.asarray(both[high - 1 : high - 1 + rows, wide - 1 : wide - 1 + columns])
        return out

    def _on_raster(
        self, foot: Footprint, counts: FloatArray, fill: Fill
    ) -> tuple[tuple[float, float], float, float] | None:
        free = counts < 0.5
        if not free.any():
            return None
        if fill == "up":
            row = int(np.argmax(free.any(axis=1)))
            column = int(np.argmax(free[row]))
        else:
            column = int(np.argmax(free.any(axis=0)))
            row = int(np.argmax(free[:, column]))
        x, y = column * self._transforms.cell_m, row * self._transforms.cell_m
        return _reach(foot, x, y, fill), x, y

    def _beside(
        self,
        foot: Footprint,
        spare: tuple[float, float],
        counts: FloatArray,
        fill: Fill,
        least: tuple[float, float] | None,
    ) -> tuple[tuple[float, float], float, float] | None:
        """A better place than `least` whose sides touch the sheet's edges or, a gap away, the boxes round other pieces.

        Measured, not on the raster: so do pieces that just fill a sheet find their places.
        """
        boxes = np.array(self._boxes)
        sides = []
        for k in range(2):
            at = [np.array([0.0, spare[k]]), boxes[:, k + 2] + self.gap_m, boxes[:, k] - self.gap_m - foot.size_m[k]]
            all_at = np.unique(np.round(np.concatenate(at), 12))
            sides.append(np.clip(all_at[(all_at >= -_HAIR_M) & (all_at <= spare[k] + _HAIR_M)], 0.0, None))
        x, y = (grid.ravel() for grid in np.meshgrid(*sides))
        # Where far more cells are taken than lie along its outline, it would lie on another piece.
        cell = self._transforms.cell_m
        row = np.clip(np.round(y / cell).astype(int), 0, counts.shape[0] - 1)
        column = np.clip(np.round(x / cell).astype(int), 0, counts.shape[1] - 1)
        good = counts[row, column] <= 12 * sum(foot.cells.shape)
        places = sorted(
            (_reach(foot, float(a), float(b), fill), float(a), float(b)) for a, b in zip(x[good], y[good], strict=True)
        )
        for place in places[:_MOST_EXACT]:
            if least is not None and place[0] >= least:
                return None
            if self._free(foot, place[1], place[2]):
                return place
        return None

    def _free(self, foot: Footprint, x: float, y: float) -> bool:
        from shapely.affinity import translate

        polygon = translate(foot.polygon, x, y)
        right, top = x + foot.size_m[0], y + foot.size_m[1]
        for other, box in zip(self._polygons, self._boxes, strict=True):
            off = max(box[0] - right, x - box[2], box[1] - top, y - box[3])
            if off >= self.gap_m - _HAIR_M and off >= -_HAIR_M:
                continue
            if self.gap_m > 0.0:
                if polygon.distance(other) < self.gap_m - _HAIR_M:
                    return False
            elif overlap(polygon, other):
                return False
        return True


def overlap(one: Any, other: Any, by_m: float = _SHRINK_M) -> bool:
    """Whether two polygons lie on one another by more than a hair; touching is no overlap."""
    return bool(one.buffer(-by_m, join_style="mitre").intersects(other.buffer(-by_m, join_style="mitre")))


def _reach(foot: Footprint, x: float, y: float, fill: Fill) -> tuple[float, float]:
    right, top = round(x + foot.size_m[0], 9), round(y + foot.size_m[1], 9)
    return (top, right) if fill == "up" else (right, top)
