"""Pieces of floor: their outline, their area, and the grid of places on them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.house.outline import Outline, area, line
from sightline.scene.ground import Ground, Ring

# A ring is drawn with one corner in this many radians.
_ARC_STEP_RAD = np.radians(3.0)
_ROW_SHARE = np.sqrt(3.0) / 2.0  # Rows of a triangular grid are this share of the spacing apart.


def bearing_points(centre: tuple[float, float], radius_m: float, bearings_rad: FloatArray) -> FloatArray:
    """Points (n, 2) on a circle at bearings: 0 towards -y, growing towards stage left (+x)."""
    return np.column_stack([np.sin(bearings_rad), -np.cos(bearings_rad)]) * radius_m + centre


def corners_of(ground: Ground) -> FloatArray:
    """The corners (n, 2) of a rectangle, polygon or line."""
    if ground.rectangle is not None:
        (x0, y0), (x1, y1) = ground.rectangle.start, ground.rectangle.to
        return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    return np.array(ground.polygon if ground.polygon is not None else ground.line)


def outlines(ground: Ground, name: str, kind: str) -> list[Outline]:
    """A piece of floor as lines of the plan: a whole ring has two, everything else one."""
    if ground.ring is None:
        return [(line if ground.line is not None else area)(name, kind, corners_of(ground))]
    ring = ground.ring
    steps = int(np.ceil(ring.span_rad / _ARC_STEP_RAD)) + 2
    bearings = ring.start + np.linspace(0.0, ring.span_rad, steps)
    outer, inner = (bearing_points(ring.centre, radius, bearings) for radius in (ring.outer, ring.inner))
    if _whole(ring):
        circles = [outer] if ring.inner in (0.0, ring.outer) else [outer, inner]
        return [area(name, kind, circle[:-1]) for circle in circles]
    if ring.inner == ring.outer:
        return [line(name, kind, outer)]
    return [area(name, kind, np.vstack([outer, inner[::-1]]))]


def _whole(ring: Ring) -> bool:
    return ring.span_rad >= 2 * np.pi - 1e-9


def most_places(ground: Ground, spacing_m: float) -> float:
    """A bound on how many places `places` gives, known before anything is laid out."""
    if ground.ring is not None:
        rows = (ground.ring.outer - ground.ring.inner) / (spacing_m * _ROW_SHARE) + 1
        return float(rows * max(1.0, ground.ring.span_rad * ground.ring.outer / spacing_m))
    corners = corners_of(ground)
    if ground.line is not None:
        return float(np.linalg.norm(np.diff(corners, axis=0), axis=1).sum()) / spacing_m + 1
    width, depth = np.ptp(corners, axis=0)
    return float((width / spacing_m + 2) * (depth / (spacing_m * _ROW_SHARE) + 2))


def places(ground: Ground, spacing_m: float) -> FloatArray:
    """Where people stand (n, 2), nearest neighbours `spacing_m` apart; the same every time.

    Round a ring they stand in rows, the first on its inner edge; elsewhere on a triangular grid about the middle
    of the area, so that a symmetrical area fills symmetrically.
    """
    if ground.ring is not None:
        return _ring_places(ground.ring, spacing_m)
    corners = corners_of(ground)
    if ground.line is not None:
        return _line_places(corners, spacing_m)
    low, high = corners.min(axis=0), corners.max(axis=0)
    middle, half = (low + high) / 2, (high - low) / 2
    step = spacing_m * _ROW_SHARE
    down = int(half[1] / step + 1e-9)
    rows = np.arange(-down, down + 1)
    out = []
    for row in rows:
        # Rows lie at k and k + 1/2 spacings from the middle by turns, never lopsided.
        most = int(half[0] / spacing_m) + 1
        across = (np.arange(-most, most + 1) + (0.0 if row % 2 == 0 else 0.5)) * spacing_m
        across = across[np.abs(across) <= half[0] + 1e-9]
        out.append(np.column_stack([middle[0] + across, np.full(len(across), middle[1] + row * step)]))
    grid = np.concatenate(out)
    return grid if ground.rectangle is not None else grid[inside(corners, grid)]


def _ring_places(ring: Ring, spacing_m: float) -> FloatArray:
    out = []
    rows = int((ring.outer - ring.inner) / (spacing_m * _ROW_SHARE) + 1e-9) + 1
    for row in range(rows):
        radius = ring.inner + row * spacing_m * _ROW_SHARE
        count = max(1, int(ring.span_rad * radius / spacing_m + 1e-9))
        shift = 0.5 if not _whole(ring) or row % 2 == 0 else 0.0
        bearings = ring.start + (np.arange(count) + shift) * ring.span_rad / count
        out.append(bearing_points(ring.centre, radius, bearings))
    return np.concatenate(out)


def _line_places(corners: FloatArray, spacing_m: float) -> FloatArray:
    lengths = np.linalg.norm(np.diff(corners, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    count = int(along[-1] / spacing_m + 1e-9) + 1
    at = (along[-1] - (count - 1) * spacing_m) / 2 + np.arange(count) * spacing_m
    return np.column_stack([np.interp(at, along, corners[:, 0]), np.interp(at, along, corners[:, 1])])


def inside(polygon: FloatArray, points: FloatArray) -> NDArray[np.bool_]:
    """Which of the points (n, 2) lie in a polygon (m, 2); its edge counts as inside. Crossing number."""
    within = np.zeros(len(points), dtype=bool)
    edge = np.zeros(len(points), dtype=bool)
    x, y = points[:, 0], points[:, 1]
    for (x0, y0), (x1, y1) in zip(polygon, np.roll(polygon, -1, axis=0), strict=True):
        length = np.hypot(x1 - x0, y1 - y0)
        if length == 0.0:
            continue
        across = ((x - x0) * (y1 - y0) - (y - y0) * (x1 - x0)) / length
        along = ((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / length
        edge |= (np.abs(across) < 1e-9) & (along > -1e-9) & (along < length + 1e-9)
        crosses = (y0 > y) != (y1 > y)
        if np.any(crosses):
            at = x0 + (y[crosses] - y0) * (x1 - x0) / (y1 - y0)
            within[crosses] ^= x[crosses] < at
    return within | edge


def way_to_way_m(way_m: FloatArray, other_m: FloatArray) -> float:
    """Least distance between two lines (n, 2) and (m, 2) of one or more points; 0 where they cross."""
    if _crosses(way_m, other_m):
        return 0.0
    return min(_points_to_way_m(way_m, other_m), _points_to_way_m(other_m, way_m))


def _points_to_way_m(points: FloatArray, way: FloatArray) -> float:
    """Least distance from any point (n, 2) to a line (m, 2)."""
    starts, ends = (way[:-1], way[1:]) if len(way) > 1 else (way, way)
    steps = ends - starts
    length2 = np.einsum("ij,ij->i", steps, steps)
    to = points[:, None] - starts[None]
    along = np.einsum("nij,ij->ni", to, steps) / np.where(length2 > 0, length2, 1.0)
    nearest = starts[None] + np.clip(along, 0.0, 1.0)[..., None] * steps[None]
    return float(np.linalg.norm(points[:, None] - nearest, axis=2).min())


def _crosses(way: FloatArray, other: FloatArray) -> bool:
    """Whether any two segments properly cross; touching is left to the distances of their ends."""
    if len(way) < 2 or len(other) < 2:
        return False

    def turn(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
        return np.asarray(
            (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
        )

    a, b = way[:-1, None], way[1:, None]
    c, d = other[None, :-1], other[None, 1:]
    return bool(((turn(a, b, c) * turn(a, b, d) < 0) & (turn(c, d, a) * turn(c, d, b) < 0)).any())
