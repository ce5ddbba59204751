"""Rays against every triangle in doubles: slow, and built on nothing that the planner or a ray library uses.

The line from start to end passes inside a triangle where the tetrahedra that it spans with the three edges have volumes
of one sign, and crosses it strictly between start and end where these lie on opposite sides of its plane. (Segura &
Feito 2001, WSCG 9:76, test a segment by signed volumes; nothing is divided, so that nothing is lost near an edge.)
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Pairs of ray and triangle worked on at a time: bounds the memory to some tens of MB.
PAIRS_AT_A_TIME = 1_000_000
# What cannot meet is first left out by sums good to about this share of the farthest coordinate, or of its square.
ROUGHLY = 1e-12


def blocked(starts: Points, ends: Points, triangles: Points, short_m: float = 0.0) -> Bools:
    """Whether any triangle (t, 3, 3) stands strictly between each start and its end, both (n, 3) metres: (n,).

    So far as `short_m` before its end a ray stops, as those of the check do. One that runs exactly through an edge is
    blocked; one that starts or ends on a triangle, or lies within its plane, is not blocked by that triangle.
    """
    starts, ends, triangles = _checked(starts, ends, triangles)
    if short_m:
        step = ends - starts
        length = np.linalg.norm(step, axis=1, keepdims=True)
        ends = starts + step * np.maximum(1.0 - short_m / np.maximum(length, 1e-300), 0.0)
    found = np.zeros(len(starts), dtype=bool)
    if not len(triangles):
        return found
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    normals = np.cross(b - a, c - a)
    size = max(1, PAIRS_AT_A_TIME // len(triangles))
    for at in range(0, len(starts), size):
        p, q = starts[at : at + size], ends[at : at + size]
        rows, columns = _near(p, q, triangles)
        met = _crossed(p[rows], q[rows], a[columns], normals[columns])
        met &= _inside(p[rows], q[rows], a[columns], b[columns], c[columns])
        found[at + rows[met]] = True
    return found


def _near(p: Points, q: Points, triangles: Points) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of ray and triangle that may meet: the line through p and q (n, 3) passes the ball round the triangle."""
    farthest = max(float(np.abs(part).max()) for part in (p, q, triangles))
    middle = triangles.mean(axis=1)
    reach2 = ((triangles - middle[:, None]) ** 2).sum(axis=2).max(axis=1)
    step = q - p
    length = np.linalg.norm(step, axis=1, keepdims=True)
    way = step / np.maximum(length, 1e-300)
    along = way @ middle.T - (way * p).sum(axis=1)[:, None]
    away2 = (middle**2).sum(axis=1) - 2.0 * (p @ middle.T) + (p**2).sum(axis=1)[:, None]
    rows, columns = np.nonzero(away2 - along**2 <= reach2 * (1.0 + ROUGHLY) + 100.0 * ROUGHLY * farthest**2)
    return rows, columns


def _crossed(p: Points, q: Points, a: Points, normals: Points) -> Bools:
    """Whether p and q (n, 3) lie strictly on opposite sides of the planes through a (n, 3)."""
    return ((p - a) * normals).sum(axis=1) * ((q - a) * normals).sum(axis=1) < 0


def _inside(p: Points, q: Points, a: Points, b: Points, c: Points) -> Bools:
    """Whether the lines through p and q (n, 3) pass within the triangles a, b, c (n, 3), their edges included."""
    step = q - p
    # Two triangles that share an edge run along it in opposite ways; this form then gives exactly opposite values, so
    # that no rounding lets a ray slip through between them.
    u = (np.cross(a - p, b - p) * step).sum(axis=1)
    v = (np.cross(b - p, c - p) * step).sum(axis=1)
    w = (np.cross(c - p, a - p) * step).sum(axis=1)
    return ((u >= 0) & (v >= 0) & (w >= 0)) | ((u <= 0) & (v <= 0) & (w <= 0))


def edge_distance_m(starts: Points, ends: Points, triangles: Points) -> Points:
    """The least distance (n,) in metres from each ray to an edge of the triangles: how near its answer is to another.

    Without triangles it is infinite. An edge between two triangles of one surface counts too.
    """
    starts, ends, triangles = _checked(starts, ends, triangles)
    least = np.full(len(starts), np.inf)
    if not len(triangles):
        return least
    ones, others = triangles.reshape(-1, 3), np.roll(triangles, -1, axis=1).reshape(-1, 3)
    size = max(1, PAIRS_AT_A_TIME // len(ones))
    for at in range(0, len(starts), size):
        p, q = starts[at : at + size, None], ends[at : at + size, None]
        least[at : at + size] = _apart(p, q - p, ones[None], (others - ones)[None]).min(axis=1)
    return least


def _apart(p: Points, d: Points, q: Points, e: Points) -> Points:
    """Distance between the straight pieces p + s d and q + t e, s and t from 0 to 1, over the leading axes.

    Nearest places of two segments by clamping (Ericson 2005, Real-Time Collision Detection, section 5.1.9).
    """
    r = p - q
    dd, ee = np.maximum((d * d).sum(-1), 1e-300), np.maximum((e * e).sum(-1), 1e-300)
    de, dr, er = (d * e).sum(-1), (d * r).sum(-1), (e * r).sum(-1)
    below = dd * ee - de * de
    s = np.clip(np.where(below > 1e-14 * dd * ee, (de * er - dr * ee) / np.maximum(below, 1e-300), 0.0), 0.0, 1.0)
    t = np.clip((de * s + er) / ee, 0.0, 1.0)
    s = np.clip((de * t - dr) / dd, 0.0, 1.0)
    return np.asarray(np.linalg.norm(r + s[..., None] * d - t[..., None] * e, axis=-1))


def _checked(starts: Points, ends: Points, triangles: Points) -> tuple[Points, Points, Points]:
    starts, ends = np.asarray(starts, dtype=np.float64), np.asarray(ends, dtype=np.float64)
    triangles = np.asarray(triangles, dtype=np.float64)
    if starts.shape != ends.shape or starts.ndim != 2 or starts.shape[1] != 3 or triangles.shape[1:] != (3, 3):
        raise ValueError("rays need starts and ends (n, 3), and triangles (t, 3, 3)")
    if not all(np.isfinite(part).all() for part in (starts, ends, triangles)):
        raise ValueError("a ray or a triangle is not finite")
    return starts, ends, triangles
