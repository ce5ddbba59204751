"""A first flat state of a patch: least squares conformal maps, exact up to scale where the patch rolls out flat."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray


def laid(vertices: FloatArray, faces: NDArray[np.int64]) -> FloatArray:
    """Each triangle (f, 3, 2) laid in a plane of its own: first corner at 0, second along +x, metres."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    ab, ac = b - a, c - a
    long = np.linalg.norm(ab, axis=1)
    x = (ab * ac).sum(axis=1) / long
    y = np.linalg.norm(np.cross(ab, ac), axis=1) / long
    zero = np.zeros_like(x)
    return np.stack([np.stack([zero, zero], -1), np.stack([long, zero], -1), np.stack([x, y], -1)], axis=1)


def gradients(rest: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How a triangle's three corner values give the slope on it: (f, 3, 2), and its area (f,)."""
    edge = np.roll(rest, -2, axis=1) - np.roll(rest, -1, axis=1)
    twice = rest[:, 1, 0] * rest[:, 2, 1]
    return np.stack([-edge[..., 1], edge[..., 0]], axis=-1) / twice[:, None, None], twice / 2.0


def conformal(vertices: FloatArray, faces: NDArray[np.int64], *, apart: tuple[int, int]) -> FloatArray:
    """Flat places (n, 2) that keep angles in the least-squares sense, the patch's own area kept; two vertices pinned.

    Levy, Petitjean, Ray, Maillot 2002, "Least squares conformal maps", ACM Transactions on Graphics 21:362, section 3.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.linalg import splu

    slope, area = gradients(laid(vertices, faces))
    n, f = len(vertices), len(faces)
    weight = np.sqrt(area)[:, None]
    gx, gy = slope[..., 0] * weight, slope[..., 1] * weight
    rows = np.repeat(np.arange(f), 3)
    x, y = faces.ravel(), faces.ravel() + n
    # The two conditions of an angle-keeping map: u_x = v_y and u_y = -v_x, one row each a triangle.
    at = (
        np.concatenate([rows, rows, rows + f, rows + f]),
        np.concatenate([x, y, x, y]),
    )
    values = np.concatenate([gx.ravel(), -gy.ravel(), gy.ravel(), gx.ravel()])
    system = coo_array((values, at), shape=(2 * f, 2 * n)).tocsc()
    pinned = np.array([apart[0], apart[1], apart[0] + n, apart[1] + n])
    given = np.array([0.0, np.linalg.norm(vertices[apart[1]] - vertices[apart[0]]), 0.0, 0.0])
    free = np.setdiff1d(np.arange(2 * n), pinned)
    left, right = system[:, free], -(system[:, pinned] @ given)
    out = np.empty(2 * n)
    out[pinned] = given
    out[free] = splu((left.T @ left).tocsc(), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}).solve(
        left.T @ right
    )
    flat = out.reshape(2, n).T
    a, b, c = (flat[faces[:, k]] for k in range(3))
    ab, ac = b - a, c - a
    now = float((ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]).sum() / 2.0)
    return np.asarray(flat * np.sqrt(float(area.sum()) / abs(now)))
