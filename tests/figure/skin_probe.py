"""What a test asks of a skin: its girth where a plane cuts it, and how deep points lie in it."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import toward
from sightline.geometry.mesh import Mesh


def girth(mesh: Mesh, point: np.ndarray, normal: np.ndarray) -> float:
    """Length of the outline nearest to `point` where a plane cuts the mesh."""
    front = toward(normal)
    # Columns across, back, up of a frame whose -y is the normal; laid so that the normal is z.
    turn = np.array([front[:, 0], front[:, 2], -front[:, 1]])
    turn[1] *= np.sign(np.linalg.det(turn))
    flat = Mesh((mesh.vertices - point) @ turn.T, mesh.faces).manifold().slice(0.0)
    loops = [np.asarray(loop) for loop in flat.to_polygons()]
    nearest = min(loops, key=lambda loop: float(np.linalg.norm(loop.mean(axis=0))))
    return float(np.linalg.norm(np.roll(nearest, -1, axis=0) - nearest, axis=1).sum())


def depth(mesh: Mesh, points: np.ndarray) -> np.ndarray:
    """Distance (n,) to the skin, positive inside, by winding number; points (n, 3)."""
    from scipy.spatial import cKDTree

    near = cKDTree(mesh.corners.mean(axis=1)).query(points, k=24)[1]
    distance = np.min([_to_triangles(points, mesh.corners[near[:, k]]) for k in range(24)], axis=0)
    inside = np.array([_winding(mesh.corners - p) > 0.5 for p in points])
    return np.where(inside, distance, -distance)


def _winding(corners: np.ndarray) -> float:
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    top = np.einsum("ij,ij->i", a, np.cross(b, c))
    low = la * lb * lc + np.sum(a * b, 1) * lc + np.sum(b * c, 1) * la + np.sum(c * a, 1) * lb
    return float(2.0 * np.arctan2(top, low).sum() / (4.0 * np.pi))


def _to_triangles(points: np.ndarray, corners: np.ndarray) -> np.ndarray:
    """Distance (n,) from each point to its own triangle (n, 3, 3)."""
    best = np.full(len(points), np.inf)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(normal, axis=1)
    above = np.ones(len(points), bool)
    for i in range(3):
        start, edge = corners[:, i], corners[:, (i + 1) % 3] - corners[:, i]
        t = np.clip(np.sum((points - start) * edge, 1) / np.maximum(np.sum(edge * edge, 1), 1e-18), 0, 1)
        best = np.minimum(best, np.linalg.norm(points - start - t[:, None] * edge, axis=1))
        above &= np.sum(np.cross(edge, points - start) * normal, 1) >= 0
    plane = np.abs(np.sum((points - corners[:, 0]) * normal, 1)) / np.maximum(size, 1e-18)
    return np.where(above & (size > 1e-15), np.minimum(best, plane), best)
