"""Skins stretched over rings of points: the way every limb, the trunk, the head and the hands are made."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import FaceArray, Mesh

if TYPE_CHECKING:
    from manifold3d import Manifold


def smooth(at: ArrayLike, values: ArrayLike, wanted: ArrayLike) -> FloatArray:
    """Values (k,) or (k, c) given at rising `at` (k,), read at `wanted` (m,) without overshoot.

    Monotone cubic Hermite with the harmonic-mean slopes of Fritsch & Butland 1984 (SIAM J. Sci. Stat. Comput. 5:300);
    held constant beyond both ends.
    """
    x = np.asarray(at, dtype=float)
    y = np.asarray(values, dtype=float)
    flat = y.ndim == 1
    y = y.reshape(len(x), -1)
    q = np.clip(np.asarray(wanted, dtype=float), x[0], x[-1])
    h = np.diff(x)[:, None]
    rise = np.diff(y, axis=0) / h
    slope = np.zeros_like(y)
    before, after = rise[:-1], rise[1:]
    same = before * after > 0
    w1, w2 = 2 * h[1:] + h[:-1], h[1:] + 2 * h[:-1]
    safe_before, safe_after = np.where(same, before, 1.0), np.where(same, after, 1.0)
    slope[1:-1] = np.where(same, (w1 + w2) / (w1 / safe_before + w2 / safe_after), 0.0)
    slope[0], slope[-1] = rise[0], rise[-1]
    i = np.clip(np.searchsorted(x, q, side="right") - 1, 0, len(x) - 2)
    t = ((q - x[i]) / h[i, 0])[:, None]
    out = (
        (1 + 2 * t) * (1 - t) ** 2 * y[i]
        + t * (1 - t) ** 2 * h[i] * slope[i]
        + t * t * (3 - 2 * t) * y[i + 1]
        + t * t * (t - 1) * h[i] * slope[i + 1]
    )
    return np.asarray(out[:, 0] if flat else out)


def superellipse(sides: int, exponent: ArrayLike = 2.0) -> FloatArray:
    """Unit sections (m, sides, 2) for exponents (m,): |x|^p + |y|^p = 1, from +x through +y; 2 is a circle."""
    p = np.atleast_1d(np.asarray(exponent, dtype=float))[:, None]
    turn = 2.0 * np.pi * np.arange(sides) / sides
    c, s = np.cos(turn), np.sin(turn)
    x = np.sign(c) * np.abs(c) ** (2.0 / p)
    y = np.sign(s) * np.abs(s) ** (2.0 / p)
    return np.stack([x, y], axis=-1)


def girths(rings: FloatArray) -> FloatArray:
    """Lengths (m,) of closed rings (m, n, d)."""
    return np.asarray(np.linalg.norm(np.roll(rings, -1, axis=1) - rings, axis=-1).sum(axis=1))


def sections(sides: int, girth_m: ArrayLike, aspect: ArrayLike, exponent: ArrayLike = 2.0) -> FloatArray:
    """Flat sections (m, sides, 2) whose own outline is exactly `girth_m` long; `aspect` = extent along x over y."""
    wide = np.sqrt(np.asarray(aspect, dtype=float))
    shape = superellipse(sides, np.broadcast_to(np.asarray(exponent, dtype=float), wide.shape)) * np.stack(
        [wide, 1.0 / wide], axis=-1
    ).reshape(-1, 1, 2)
    return np.asarray(shape * (np.asarray(girth_m, dtype=float) / girths(shape))[:, None, None])


@lru_cache(maxsize=256)
def _tube_faces(rings: int, sides: int) -> FaceArray:
    i = np.arange(sides)
    j = (i + 1) % sides
    rows = (np.arange(rings - 1) * sides)[:, None]
    a, b, c, d = rows + i, rows + j, rows + sides + j, rows + sides + i
    grid = np.concatenate([np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)])
    last, pole = (rings - 1) * sides, rings * sides
    low = np.column_stack([j, i, np.full(sides, pole)])
    high = np.column_stack([last + i, last + j, np.full(sides, pole + 1)])
    return np.concatenate([grid, low, high]).astype(np.int32)


def tube(rings: FloatArray, start: ArrayLike | None = None, end: ArrayLike | None = None) -> Mesh:
    """A closed skin over rings (m, n, 3), its ends drawn to the points `start` and `end` (ring centres by default)."""
    first = rings[0].mean(axis=0) if start is None else np.asarray(start, dtype=float)
    final = rings[-1].mean(axis=0) if end is None else np.asarray(end, dtype=float)
    mesh = Mesh(
        np.concatenate([rings.reshape(-1, 3), first[None], final[None]]), _tube_faces(rings.shape[0], rings.shape[1])
    )
    # Whether a ring runs left or right about its axis depends on the caller's frame; outward is settled here once.
    return mesh if mesh.volume_m3 > 0 else mesh.flipped()


def swept(centres: FloatArray, across: FloatArray, along: FloatArray, flat: FloatArray) -> FloatArray:
    """Flat sections (m, n, 2) stood up at `centres` (m, 3) on axes `across` and `along` (m, 3) or (3,)."""
    a = np.broadcast_to(across, centres.shape)[:, None, :]
    b = np.broadcast_to(along, centres.shape)[:, None, :]
    return centres[:, None, :] + flat[..., :1] * a + flat[..., 1:] * b


def dome(height_m: float, steps: int) -> tuple[FloatArray, FloatArray]:
    """A rounded end: heights (steps,) beyond the last full ring and the share (steps,) of its size, rim first."""
    turn = np.pi / 2.0 * np.arange(1, steps + 1) / (steps + 1)
    return height_m * np.sin(turn), np.cos(turn)


def solid(mesh: Mesh) -> Manifold:
    """A closed loft as a solid, without the merging that imported meshes need. Raises ValueError when it is none."""
    from manifold3d import Error, Manifold, Mesh64

    made = Manifold(Mesh64(mesh.vertices, mesh.faces.astype(np.uint64)))
    if made.status() != Error.NoError or made.is_empty():
        raise ValueError("the loft does not enclose a solid")
    return made
