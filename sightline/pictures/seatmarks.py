"""Seats on a plan: a shape and a colour for each eye, rings and sightlines for the worst, letters at the rows' ends."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.house.eyes import Eye
from sightline.pictures import style
from sightline.pictures.labels import Labels, outward_first
from sightline.pictures.layer import LARGEST_ARCMIN, LARGEST_DEG, SMALLEST_ARCMIN, SMALLEST_DEG, Layer
from sightline.sight.check import VerdictArray
from sightline.sight.rays import IndexArray

# A seat's mark over the room that it has on the sheet, and its least and most size, points.
SHARE, LEAST_PT, MOST_PT = 0.60, 2.2, 7.0


def mark_pt(points: FloatArray, inch_per_m: float) -> float:
    """How large a seat is drawn so that neighbours do not touch."""
    from scipy.spatial import cKDTree

    if len(points) < 2:
        return MOST_PT
    gaps = cKDTree(points).query(points, k=2)[0][:, 1]
    gap = float(np.quantile(gaps, 0.25))
    return float(np.clip(gap * inch_per_m * 72 * SHARE, LEAST_PT, MOST_PT))


def draw_seats(axes: Any, layer: Layer, members: IndexArray, points: FloatArray, size_pt: float) -> None:
    """The members' marks: ring hidden, triangle faint, square seen; or what there is to spare."""
    from matplotlib.colors import LogNorm

    verdict, at, area = layer.verdict[members], points[members], size_pt**2
    if layer.margin_deg is not None:
        _spare(axes, verdict, layer.margin_deg[members], at, area)
        return
    hidden, faint, seen = (verdict == k for k in range(3))
    thin = min(0.6, size_pt * 0.14)
    _dots(axes, at[hidden], area * 0.55, "o", "none", style.HIDDEN, thin, 3)
    _dots(axes, at[faint], area * 0.9, "^", style.SCALE_STOPS[0], style.INK, thin, 4)
    if seen.any():
        # The largest leaks last, so that nothing lies over them.
        size = layer.size_arcmin[members][seen]
        order = np.argsort(size, kind="stable")
        axes.scatter(
            *at[seen][order].T, s=area, marker="s", c=size[order], cmap=style.scale(),
            norm=LogNorm(SMALLEST_ARCMIN, LARGEST_ARCMIN, clip=True), edgecolors=style.INK, linewidths=thin / 2, zorder=5,
        )  # fmt: skip


def _dots(
    axes: Any, at: FloatArray, area: float, marker: str, face: str, edge: str, width: float, zorder: float
) -> None:
    if len(at):
        axes.scatter(*at.T, s=area, marker=marker, facecolors=face, edgecolors=edge, linewidths=width, zorder=zorder)


def _spare(axes: Any, verdict: VerdictArray, margin_deg: FloatArray, at: FloatArray, area: float) -> None:
    """Hidden eyes as discs, the darker the less they have to spare; a cross where something is seen."""
    from matplotlib.colors import LogNorm

    hidden, known = verdict == 0, ~np.isnan(margin_deg)
    if (~hidden).any():
        axes.scatter(*at[~hidden].T, s=area * 0.9, marker="x", color=style.MARKED, linewidths=1.1, zorder=6)
    _dots(axes, at[hidden & ~known], area * 0.55, "o", "none", style.HIDDEN, 0.6, 3)
    some = np.flatnonzero(hidden & known)
    some = some[np.argsort(-margin_deg[some], kind="stable")]
    if len(some):
        axes.scatter(
            *at[some].T, s=area, marker="o", c=np.maximum(margin_deg[some], SMALLEST_DEG),
            cmap=style.scale().reversed(), norm=LogNorm(SMALLEST_DEG, LARGEST_DEG, clip=True), edgecolors=style.INK,
            linewidths=0.3, zorder=5,
        )  # fmt: skip


def draw_held(axes: Any, points: FloatArray, size_pt: float) -> None:
    """Seats that nobody has: a crossed square."""
    if len(points):
        _dots(axes, points, size_pt**2 * 0.8, "s", "none", style.QUIET, 0.5, 3)
        axes.scatter(*points.T, s=size_pt**2 * 0.6, marker="x", color=style.QUIET, linewidths=0.5, zorder=3)


def draw_worst(
    axes: Any, labels: Labels | None, layer: Layer, named: Sequence[int], eyes: Sequence[Eye], points: FloatArray,
    start: FloatArray, size_pt: float, worst: int,
) -> None:  # fmt: skip
    """A sightline to each named seat, the worst of all ringed heaviest, and its name with what it sees."""
    for i in named:
        first = i == worst
        weight = style.MEDIUM if first else style.THIN
        axes.plot(
            [start[0], points[i, 0]], [start[1], points[i, 1]], color=style.MARKED, lw=weight, alpha=0.75, zorder=2
        )
        ring = (size_pt * (2.1 if first else 1.6)) ** 2
        _dots(axes, points[i : i + 1], ring, "o", "none", style.MARKED, style.HEAVY if first else style.MEDIUM, 8)
        if labels is not None:
            much = layer.beside(i)
            said = f"{eyes[i].id}{': ' + much if much else ''}"
            gap = size_pt * 1.25 / 72 / labels.inch_per_m
            ways = outward_first(points[i] - start)
            labels.put(said, points[i], ways, gap, weight="bold" if first else "normal", must=True, paper=True)


def draw_row_ends(labels: Labels, eyes: Sequence[Eye], members: IndexArray, points: FloatArray, size_pt: float) -> None:
    """Row and seat at both ends of each row of seats, where there is room for it."""
    gap = size_pt * 0.75 / 72 / labels.inch_per_m
    for row in _rows(eyes, members):
        ends = (row[0], row[1 if len(row) > 1 else 0]), (row[-1], row[-2 if len(row) > 1 else 0])
        for end, inner in ends:
            way = points[end] - points[inner]
            way = way / max(float(np.hypot(*way)), 1e-9) if end != inner else np.array([1.0, 0.0])
            name = f"{eyes[end].row}{eyes[end].seat}"
            labels.put(name, points[end], [(float(way[0]), float(way[1]))], gap, style.SMALL_PT, style.QUIET)


def _rows(eyes: Sequence[Eye], members: IndexArray) -> list[list[int]]:
    """The seats of each row of each block, in their order."""
    rows: dict[tuple[str, str], list[int]] = {}
    for i in members.tolist():
        eye = eyes[i]
        if eye.row is not None and eye.seat is not None:
            rows.setdefault((eye.id.removesuffix(f"{eye.row}{eye.seat}"), eye.row), []).append(i)
    return list(rows.values())
