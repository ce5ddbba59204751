"""A still picture cast with the same rays as the check: needs no OpenGL."""

from __future__ import annotations

import numpy as np
from matplotlib.colors import to_rgb
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Cover, Mesh
from sightline.pictures import style
from sightline.pictures.camera import Camera
from sightline.sight.rays import Blockers

FARTHEST_M = 300.0
SMOOTH_DEG = 40.0


def cast(covers: list[Cover], camera: Camera, finer: int = 2) -> tuple[FloatArray, NDArray[np.intp]]:
    """The picture (down, across, 3) in 0..1 and, per pixel of the finer grid, the index of the cover met (-1: none)."""
    across, down = camera.size
    dense = Camera(camera.eye, camera.target, camera.width_rad, (across * finer, down * finer))
    ways = dense.directions()
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    blockers = Blockers([c.mesh for c in covers], camera.target)
    starts = np.broadcast_to(camera.eye, ways.shape)
    hits = blockers.first(starts, camera.eye + ways * FARTHEST_M)
    normals = _smooth_normals(covers, hits.mesh, hits.facet, hits.weights)
    normals *= np.where(np.einsum("ij,ij->i", normals, ways) > 0, -1.0, 1.0)[:, None]
    colours = np.array([*[to_rgb(style.material(c.name)) for c in covers], (0.93, 0.925, 0.905)])
    shade = light(normals)
    shade *= 1.0 - 0.45 * _shadow(blockers, camera.eye + ways * hits.distance_m[:, None], normals, hits.mesh >= 0)
    picture = colours[hits.mesh] * np.where(hits.mesh >= 0, shade, 1.0)[:, None]
    picture = np.clip(picture, 0, 1).reshape(down, finer, across, finer, 3).mean(axis=(1, 3))
    return picture, hits.mesh.reshape(down * finer, across * finer)


def light(normals: FloatArray) -> FloatArray:
    """Soft light (n,): a key from the front above stage left, a fill from stage right, a lift from below."""
    key = unit([0.45, -0.75, 0.75])
    fill = unit([-0.8, -0.5, 0.25])
    bright = 0.46 + 0.52 * np.clip(normals @ key, 0, 1) + 0.20 * np.clip(normals @ fill, 0, 1)
    return np.asarray(bright + 0.06 * np.clip(-normals[:, 2], 0, 1))


def _shadow(blockers: Blockers, points: FloatArray, normals: FloatArray, met: NDArray[np.bool_]) -> FloatArray:
    """Where a surface close by stands before the key light (1) or not (0)."""
    out = np.zeros(len(points))
    where = np.flatnonzero(met)
    start = points[where] + normals[where] * 2e-3
    out[where] = blockers.blocked(start, start + unit([0.45, -0.75, 0.75]) * 1.2)
    return out


def _smooth_normals(
    covers: list[Cover], mesh: NDArray[np.intp], facet: NDArray[np.intp], weights: FloatArray
) -> FloatArray:
    out = np.tile([0.0, 0.0, 1.0], (len(mesh), 1))
    for index in np.unique(mesh[mesh >= 0]):
        here = np.flatnonzero(mesh == index)
        corner = corner_normals(covers[index].mesh)[facet[here]]
        u, v = weights[here, 0], weights[here, 1]
        blended = (1 - u - v)[:, None] * corner[:, 0] + u[:, None] * corner[:, 1] + v[:, None] * corner[:, 2]
        out[here] = blended / np.maximum(np.linalg.norm(blended, axis=1, keepdims=True), 1e-9)
    return out


def corner_normals(mesh: Mesh) -> FloatArray:
    """Normals (m, 3, 3) for shading: the vertex's mean where the surface is rounded, the facet's own at an edge."""
    merged_key = np.unique(np.round(mesh.vertices / 1e-6).astype(np.int64), axis=0, return_inverse=True)[1].reshape(-1)
    keys = merged_key[mesh.faces]
    total = np.zeros((int(merged_key.max()) + 1, 3))
    for k in range(3):
        np.add.at(total, keys[:, k], mesh.area_normals)
    total /= np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-300)
    flat = mesh.area_normals / np.maximum(mesh.areas, 1e-300)[:, None]
    smooth = total[keys]
    rounded = np.einsum("mij,mj->mi", smooth, flat) > np.cos(np.radians(SMOOTH_DEG))
    return np.where(rounded[:, :, None], smooth, flat[:, None, :])
