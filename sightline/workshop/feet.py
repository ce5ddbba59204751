"""The feet on the floor: what they stand on, and how far a point is from the edge of it. Plan view, metres."""

from __future__ import annotations

import numpy as np

from sightline.figure.sheet import BodySheet
from sightline.figure.skeleton import Skeleton
from sightline.geometry.frame import FloatArray

# How much of the foot lies behind the ankle joint. From memory.
HEEL_SHARE = 0.25


def footprints(sheet: BodySheet, skeleton: Skeleton) -> list[FloatArray]:
    """Each bare foot as a rectangle (4, 2), left then right; shoes are left out, which is on the careful side."""
    out = []
    for ankle, toes in ((skeleton.left_ankle, skeleton.left_foot), (skeleton.right_ankle, skeleton.right_foot)):
        ahead = toes[:2] / np.linalg.norm(toes[:2])
        across = np.array([-ahead[1], ahead[0]])
        heel = ankle[:2] - HEEL_SHARE * sheet.foot_length_m * ahead
        toe = heel + sheet.foot_length_m * ahead
        half = sheet.foot_breadth_m / 2 * across
        out.append(np.array([heel - half, toe - half, toe + half, heel + half]))
    return out


def hull(points: FloatArray) -> FloatArray:
    """The convex outline (m, 2) of points (n, 2), counter-clockwise."""
    from scipy.spatial import ConvexHull

    return np.asarray(points[ConvexHull(points).vertices])


def room_m(outline: FloatArray, at: FloatArray, way: FloatArray) -> float:
    """How far from `at` (2,) to the edge of a convex outline, going `way` (2,); negative: it is already beyond."""
    edges = np.roll(outline, -1, axis=0) - outline
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    inside = ((outline - at) * normals).sum(axis=1)
    if (inside < 0).any():
        return float(inside.min())
    toward = normals @ (way / np.linalg.norm(way))
    met = toward > 1e-12
    return float((inside[met] / toward[met]).min())


def gap_m(one: FloatArray, other: FloatArray) -> float:
    """How far apart two convex outlines (n, 2) are; negative: how deep they overlap, by the axis that parts them best."""
    best = -np.inf
    for outline in (one, other):
        edges = np.roll(outline, -1, axis=0) - outline
        normals = np.column_stack([edges[:, 1], -edges[:, 0]])
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        for normal in normals:
            a, b = one @ normal, other @ normal
            best = max(best, float(b.min() - a.max()), float(a.min() - b.max()))
    return best
