"""All directions on one square: the octahedral map, its cells and their neighbours over the folded edges.

The unit sphere is laid on an octahedron, whose lower half is folded out: +z is the middle of the square, -z all four
corners. Cells are nearly of one size (within a factor of about three) and have no pole.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.sight.rays import BoolArray, IndexArray


def directions(places: FloatArray) -> FloatArray:
    """Unit vectors (n, 3) of places (n, 2) on the square [-1, 1] x [-1, 1]."""
    u, v = places[:, 0], places[:, 1]
    z = 1.0 - np.abs(u) - np.abs(v)
    fold = np.maximum(-z, 0.0)
    out = np.column_stack([u - np.copysign(fold, u), v - np.copysign(fold, v), z])
    return np.asarray(out / np.linalg.norm(out, axis=1, keepdims=True))


def cells(x: FloatArray, y: FloatArray, z: FloatArray, side: int) -> IndexArray:
    """Flat index of the cell that holds each direction, given by components of one shape and of any length."""
    total = np.abs(x) + np.abs(y) + np.abs(z)
    u, v = x / total, y / total
    lower = z < 0
    fold_u = np.copysign(1.0 - np.abs(v), u)
    fold_v = np.copysign(1.0 - np.abs(u), v)
    u, v = np.where(lower, fold_u, u), np.where(lower, fold_v, v)
    half = side / 2.0
    column = np.minimum(((u + 1.0) * half).astype(np.int32), side - 1)
    row = np.minimum(((v + 1.0) * half).astype(np.int32), side - 1)
    return np.asarray(row * side + column)


@cache
def corner_directions(side: int) -> FloatArray:
    """Directions ((side + 1)^2, 3) of the corners of all cells, row by row."""
    steps = np.linspace(-1.0, 1.0, side + 1)
    v, u = np.meshgrid(steps, steps, indexing="ij")
    return directions(np.column_stack([u.ravel(), v.ravel()]))


@cache
def centre_directions(side: int) -> FloatArray:
    """Directions (side^2, 3) of the middles of all cells, row by row."""
    steps = (np.arange(side) + 0.5) * 2.0 / side - 1.0
    v, u = np.meshgrid(steps, steps, indexing="ij")
    return directions(np.column_stack([u.ravel(), v.ravel()]))


@cache
def sample_table(side: int) -> FloatArray:
    """The directions (side^2, 5, 3) of the middle and the corners of every cell."""
    cell = np.arange(side * side)
    row, column = cell // side, cell % side
    corners = [(row + i) * (side + 1) + column + j for i in (0, 1) for j in (0, 1)]
    return np.stack([centre_directions(side), *[corner_directions(side)[at] for at in corners]], axis=1)


@cache
def narrowest_rad(side: int) -> float:
    """The least angle from one corner of a cell to the next."""
    grid = corner_directions(side).reshape(side + 1, side + 1, 3)
    across = np.linalg.norm(grid[:, 1:] - grid[:, :-1], axis=2).min()
    along = np.linalg.norm(grid[1:] - grid[:-1], axis=2).min()
    return float(min(across, along))


def spread(marked: BoolArray) -> BoolArray:
    """Cells (k, side, side) that are marked or touch a marked one by an edge or corner, over the folds too."""
    padded = np.zeros((marked.shape[0], marked.shape[1] + 2, marked.shape[2] + 2), dtype=bool)
    padded[:, 1:-1, 1:-1] = marked
    # Beyond an edge lies the same edge run backwards; beyond a corner, the opposite corner.
    padded[:, 0, 1:-1], padded[:, -1, 1:-1] = marked[:, 0, ::-1], marked[:, -1, ::-1]
    padded[:, 1:-1, 0], padded[:, 1:-1, -1] = marked[:, ::-1, 0], marked[:, ::-1, -1]
    padded[:, 0, 0], padded[:, -1, -1] = marked[:, -1, -1], marked[:, 0, 0]
    padded[:, 0, -1], padded[:, -1, 0] = marked[:, -1, 0], marked[:, 0, -1]
    rows = padded[:, :-2] | padded[:, 1:-1] | padded[:, 2:]
    return np.asarray(rows[:, :, :-2] | rows[:, :, 1:-1] | rows[:, :, 2:])
