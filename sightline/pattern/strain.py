"""How far flattening has stretched a piece, edge by edge."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.pattern.piece import Strain

IntArray = NDArray[np.int64]


def strain_of(vertices: FloatArray, faces: IntArray, flat: FloatArray, limit: float) -> Strain:
    """Shares of edge length; rms over all edges, p95, p99 and largest of their sizes, area over the limit."""
    edges, of = face_edges(faces)
    was = np.linalg.norm(vertices[edges[:, 1]] - vertices[edges[:, 0]], axis=1)
    now = np.linalg.norm(flat[edges[:, 1]] - flat[edges[:, 0]], axis=1)
    edge = now / was - 1.0
    size = np.abs(edge)
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2.0
    over = area @ (size[of].max(axis=1) > limit) / area.sum()
    p95, p99 = np.percentile(size, [95.0, 99.0])
    return Strain(
        edges, edge, float(np.sqrt((edge**2).mean())), float(p95), float(p99), float(size.max()), float(over)
    )  # fmt: skip


def face_edges(faces: IntArray) -> tuple[IntArray, IntArray]:
    """Every edge once (e, 2), and the three of each face (f, 3)."""
    pairs = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]], axis=2)
    edges, of = np.unique(pairs.reshape(-1, 2), axis=0, return_inverse=True)
    return edges, of.reshape(-1, 3)


def face_strain(strain: Strain, faces: IntArray) -> FloatArray:
    """The largest strain of each face's edges (f,), a share."""
    _, of = face_edges(faces)
    return np.asarray(np.abs(strain.edge)[of].max(axis=1))
