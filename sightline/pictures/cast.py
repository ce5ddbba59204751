"""A still picture cast with the same rays as the check: needs no OpenGL."""

from __future__ import annotations

import numpy as np
from matplotlib.colors import to_rgb
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Cover, Mesh
from sightline.pictures import style
from sightline.pictures.camera import Camera
from sightline.sight.rays import Blockers, Hits

FARTHEST_M = 300.0
SMOOTH_DEG = 40.0


def cast(covers: list[Cover], camera: Camera, finer: int = 2) -> FloatArray:
    """The picture (down, across, 3) in 0..1, cast on a grid `finer` times as dense and averaged."""
    across, down = camera.size
    blockers, ways, hits = _hits(covers, camera, finer)
    normals = _smooth_normals(covers, hits)
    normals *= np.where(np.einsum("ij,ij->i", normals, ways) > 0, -1.0, 1.0)[:, None]
    colours = np.array([*[to_rgb(style.material(c.name)) for c in covers], to_rgb(style.BACKDROP)])
    met = hits.mesh >= 0
    shade = light(normals)
    shade *= 1.0 - 0.35 * _shadow(blockers, camera.eye + ways * hits.distance_m[:, None], normals, met)
    picture = colours[hits.mesh] * np.where(met, shade, 1.0)[:, None]
    return np.asarray(np.clip(picture, 0, 1).reshape(down, finer, across, finer, 3).mean(axis=(1, 3)))


def indices(covers: list[Cover], camera: Camera, finer: int) -> NDArray[np.intp]:
    """Which cover each pixel of the dense grid (down, across) shows; -1 for none."""
    across, down = camera.size
    return _hits(covers, camera, finer)[2].mesh.reshape(down * finer, across * finer)


def _hits(covers: list[Cover], camera: Camera, finer: int) -> tuple[Blockers, FloatArray, Hits]:
    across, down = camera.size
    ways = Camera(camera.eye, camera.target, camera.width_rad, (across * finer, down * finer)).directions()
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    blockers = Blockers([c.mesh for c in covers], camera.target)
    return blockers, ways, blockers.first(np.broadcast_to(camera.eye, ways.shape), camera.eye + ways * FARTHEST_M)


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


def _smooth_normals(covers: list[Cover], hits: Hits) -> FloatArray:
    out = np.tile([0.0, 0.0, 1.0], (len(hits.mesh), 1))
    for index in np.unique(hits.mesh[hits.mesh >= 0]):
        here = np.flatnonzero(hits.mesh == index)
        corner = corner_normals(covers[index].mesh)[hits.facet[here]]
        u, v = hits.weights[here, 0], hits.weights[here, 1]
        blended = (1 - u - v)[:, None] * corner[:, 0] + u[:, None] * corner[:, 1] + v[:, None] * corner[:, 2]
        out[here] = blended / np.maximum(np.linalg.norm(blended, axis=1, keepdims=True), 1e-9)
    return out


def corner_normals(mesh: Mesh) -> FloatArray:
    """Normals (m, 3, 3) for shading: the vertex's mean where the surface is rounded, the facet's own at an edge."""
    own = mesh.vertex_keys(1e-6)
    keys = own[mesh.faces]
    total = np.zeros((int(own.max()) + 1, 3))
    for k in range(3):
        np.add.at(total, keys[:, k], mesh.area_normals)
    total /= np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-300)
    flat = mesh.area_normals / np.maximum(mesh.areas, 1e-300)[:, None]
    smooth = total[keys]
    rounded = np.einsum("mij,mj->mi", smooth, flat) > np.cos(np.radians(SMOOTH_DEG))
    return np.where(rounded[:, :, None], smooth, flat[:, None, :])
