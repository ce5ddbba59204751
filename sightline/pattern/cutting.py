"""A tube cut along a plan into sheets: grids of points between two lengthwise seams, slit where darts are."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.plan import Curve, Part, Plan
from sightline.pattern.tube import Tube

IntArray = NDArray[np.int64]
# Seams nearer to each other than this many columns leave no piece between them; at the elbow they are made to meet.
LEAST_COLUMNS, MEET_COLUMNS = 3.0, 1.0


@dataclass(frozen=True)
class Ground:
    """One sheet of a plan before it is slit: `columns` (m, k) are places round each row of the tube, in columns of the
    tube and running on past a full turn; `part` and `panel` say which sheet it is, `ring` where its columns are on the
    ring that all parts share (k,)."""

    part: int
    panel: int
    first: int
    last: int
    columns: FloatArray
    ring: IntArray


class Surface:
    """A tube's points anywhere round its rings, by a closed cubic through each ring."""

    def __init__(self, tube: Tube):
        self.tube = tube

    @cached_property
    def _cubics(self) -> FloatArray:
        from scipy.interpolate import CubicSpline

        rings = np.concatenate([self.tube.points, self.tube.points[:, :1]], axis=1)
        return np.asarray(CubicSpline(np.arange(rings.shape[1]), rings, axis=1, bc_type="periodic").c)

    def at(self, first: int, last: int, columns: FloatArray) -> FloatArray:
        """Points (m, k, 3) of rows `first` to `last` at columns (m, k)."""
        n = self.tube.points.shape[1]
        rows = np.arange(first, last + 1)[:, None]
        whole = np.floor(columns + 1e-9)
        part = np.clip(columns - whole, 0.0, 1.0)[..., None]
        # (4, n, m, 3): power, stretch of the ring, row.
        c = self._cubics[:, whole.astype(np.int64) % n, rows]
        return np.asarray(((c[0] * part + c[1]) * part + c[2]) * part + c[3])

    def said(self, first: int, last: int, columns: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Share and angle round the limb (m, k) at columns (m, k)."""
        n = self.tube.points.shape[1]
        rows = np.arange(first, last + 1)[:, None]
        low = np.floor(columns + 1e-9).astype(np.int64)
        part = np.clip(columns - low, 0.0, 1.0)
        share, around = self.tube.share, _unwound(self.tube)
        turn = 2.0 * np.pi * (low // n)
        next_turn = 2.0 * np.pi * ((low + 1) // n)
        here, there = around[rows, low % n] + turn, around[rows, (low + 1) % n] + next_turn
        return (
            share[rows, low % n] * (1 - part) + share[rows, (low + 1) % n] * part,
            here * (1 - part) + there * part,
        )

    def columns_of(self, curve: Curve, first: int, last: int) -> FloatArray:
        """Where a curve meets each row (m,), in columns."""
        tube, n = self.tube, self.tube.points.shape[1]
        around = _unwound(tube)[first : last + 1]
        ends = np.concatenate([around[:, -1:] - 2 * np.pi, around, around[:, :1] + 2 * np.pi], axis=1)
        out = np.empty(len(around))
        for i, row in enumerate(tube.share[first : last + 1]):
            # A ring is tilted at the elbow: its share depends on the place round it, which depends on the share.
            at = float(row.mean())
            for _ in range(8):
                angle = float(curve.at(np.array([at]))[0])
                turns = np.floor((angle - around[i, 0]) / (2 * np.pi))
                place = float(np.interp(angle - turns * 2 * np.pi, ends[i], np.arange(-1, n + 1)))
                low = int(np.floor(place))
                nearer = row[low % n] + (place - low) * (row[(low + 1) % n] - row[low % n])
                if abs(nearer - at) < 1e-9:
                    break
                at = float(nearer)
            out[i] = place + turns * n
        return out


def _unwound(tube: Tube) -> FloatArray:
    return np.asarray(np.unwrap(tube.around_rad, axis=1))


def grounds(surface: Surface, plan: Plan) -> list[Ground]:
    """All sheets of a plan. At a ring between two parts both have the same columns, so that node meets node.

    Raises SightlineError where two seams of a part come too near each other.
    """
    n = surface.tube.points.shape[1]
    seams = [_seams(surface, part, n) for part in plan.parts]
    if len(seams) == 2:
        _meet(seams, n)
    # The places round the ring where any seam ends, and the columns between them.
    shared = [
        cut[-1] if k == 0 and len(seams) == 2 else cut[0 if len(seams) == 2 else len(cut) // 2]
        for k, cut in enumerate(seams)
    ]
    stops = np.unique(np.round(np.concatenate(shared) % n, 6) % n)
    counts = np.maximum(1, np.round(np.diff(np.append(stops, stops[0] + n)))).astype(int)
    ring = np.concatenate([
        stop + wide * np.arange(count) / count
        for stop, wide, count in zip(stops, np.diff(np.append(stops, stops[0] + n)), counts, strict=True)
    ])  # fmt: skip
    out = []
    for k, part in enumerate(plan.parts):
        cut, at_ring = seams[k], shared[k]
        for panel in range(len(part.curves)):
            left = cut[:, panel]
            right = cut[:, panel + 1] if panel + 1 < len(part.curves) else cut[:, 0] + n
            start = int(np.argmin(np.abs((ring - at_ring[panel] + n / 2) % n - n / 2)))
            wide = (at_ring[panel + 1] if panel + 1 < len(part.curves) else at_ring[0] + n) - at_ring[panel]
            places = np.concatenate([ring + turn * n for turn in range(3)])[start:]
            places = places - places[0]
            count = int(np.argmin(np.abs(places - wide))) + 1
            share = places[:count] / places[count - 1]
            columns = left[:, None] + share * (right - left)[:, None]
            out.append(Ground(k, panel, part.first, part.last, columns, start + np.arange(count)))
    return out


def _seams(surface: Surface, part: Part, n: int) -> FloatArray:
    """Where the part's seams meet its rows (m, panels), rising from each to the next."""
    cut = np.stack([surface.columns_of(curve, part.first, part.last) for curve in part.curves], axis=1)
    gaps = np.diff(np.concatenate([cut, cut[:, :1] + n], axis=1), axis=1)
    if gaps.min() < LEAST_COLUMNS:
        row = part.first + int(np.argmin(gaps.min(axis=1)))
        raise SightlineError(
            f"Two seams of the {part.name} meet or cross {surface.tube.where(row)}; keep them apart, or take fewer panels."
        )
    return cut


def _meet(seams: list[FloatArray], n: int) -> None:
    """Seams of two parts that all but meet at the ring are led to one point, the second to the first's."""
    for k, place in enumerate(seams[1][0]):
        off = (seams[0][-1] - place + n / 2) % n - n / 2
        nearest = off[int(np.argmin(np.abs(off)))]
        if 1e-9 < abs(nearest) <= MEET_COLUMNS:
            rows = np.arange(len(seams[1]))
            seams[1][:, k] += nearest * np.clip(1.0 - rows / 6.0, 0.0, 1.0)
