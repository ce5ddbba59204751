"""Solids that scenery is made of: prisms, boxes between corners, strips that follow a line."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import box


def box_between(low_m: ArrayLike, high_m: ArrayLike) -> Mesh:
    """A closed box from its lowest to its highest corner, (3,) each."""
    low, high = np.asarray(low_m, dtype=float), np.asarray(high_m, dtype=float)
    size = high - low
    mesh = box(float(size[0]), float(size[1]), float(size[2]))
    return Mesh(mesh.vertices + (low + high) / 2, mesh.faces)


def prism(polygon: FloatArray, low_m: float, high_m: float) -> Mesh:
    """A closed prism over a convex polygon (n, 2), counter-clockwise seen from above."""
    n = len(polygon)
    bottom = np.column_stack([polygon, np.full(n, low_m)])
    top = np.column_stack([polygon, np.full(n, high_m)])
    i = np.arange(1, n - 1)
    lid = np.column_stack([np.zeros_like(i), i, i + 1])
    a = np.arange(n)
    b = (a + 1) % n
    sides = np.concatenate([np.column_stack([a, b, b + n]), np.column_stack([a, b + n, a + n])])
    return Mesh.of(np.vstack([bottom, top]), np.concatenate([lid[:, ::-1], lid + n, sides]))


def strip(outer: FloatArray, inner: FloatArray, low_m: float, high_m: float) -> Mesh:
    """A closed band between two lines of as many points (n, 2), `outer` on the right of the way along them."""
    n = len(outer)
    rings = [
        np.column_stack([outer, np.full(n, low_m)]),
        np.column_stack([inner, np.full(n, low_m)]),
        np.column_stack([inner, np.full(n, high_m)]),
        np.column_stack([outer, np.full(n, high_m)]),
    ]
    i = np.arange(n - 1)
    faces = []
    for k in range(4):
        a, b = k * n, (k + 1) % 4 * n
        faces += [np.column_stack([a + i, b + i, b + i + 1]), np.column_stack([a + i, b + i + 1, a + i + 1])]
    caps = [[0, 2 * n, n], [0, 3 * n, 2 * n], [n - 1, 2 * n - 1, 3 * n - 1], [n - 1, 3 * n - 1, 4 * n - 1]]
    return Mesh.of(np.vstack(rings), np.concatenate([*faces, caps]))


def sheet(lines_m: list[FloatArray]) -> Mesh:
    """An open surface through lines (n, 3) of as many points each, one after the other."""
    n, rows = len(lines_m[0]), len(lines_m)
    i = np.arange(n - 1)
    faces = []
    for row in range(rows - 1):
        a, b = row * n, (row + 1) * n
        faces += [np.column_stack([a + i, a + i + 1, b + i + 1]), np.column_stack([a + i, b + i + 1, b + i])]
    return Mesh.of(np.vstack(lines_m), np.concatenate(faces))
