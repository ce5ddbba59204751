"""A still picture cast with the same rays as the check: needs no OpenGL."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.colors import to_rgb
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Cover, Mesh
from sightline.pictures import style
from sightline.pictures.camera import Camera
from sightline.pictures.palette import Palette
from sightline.sight.rays import Blockers, Hits

FARTHEST_M = 300.0
SMOOTH_DEG = 40.0
# Two soft lights in the frame of the stage, from the front above stage left and from stage right, and what comes from
# everywhere; so strong that a surface turned to the first is a little brighter than its own colour.
KEY, FILL = unit([0.45, -0.75, 0.75]), unit([-0.8, -0.5, 0.25])
AMBIENT, KEY_STRENGTH, FILL_STRENGTH, FROM_BELOW = 0.58, 0.44, 0.20, 0.06
# The first light is a pane this wide (as a share of its distance): its shadows have a soft rim.
SOFT = 0.10
SHADOW, SHADOW_REACH_M = 0.30, 1.2
# An edge is drawn where depth jumps by more than this share of the distance, or one thing ends on another.
JUMP = 0.012
EDGE_ALIKE, EDGE_OTHER, ALIKE = 0.52, 0.16, 0.22


@dataclass(frozen=True)
class Traced:
    """What every point of a dense grid (down x finer, across x finer, row by row) shows."""

    covers: list[Cover]
    camera: Camera
    finer: int
    blockers: Blockers
    ways: FloatArray
    hits: Hits

    @property
    def shape(self) -> tuple[int, int]:
        across, down = self.camera.size
        return down * self.finer, across * self.finer

    @property
    def index(self) -> NDArray[np.intp]:
        """Which cover each point of the grid (down, across) shows; -1 for none."""
        return self.hits.mesh.reshape(self.shape)

    def averaged(self, dense: FloatArray) -> FloatArray:
        """Of values (down x finer, across x finer, ...) one per pixel."""
        across, down = self.camera.size
        shaped = dense.reshape(down, self.finer, across, self.finer, *dense.shape[2:])
        return np.asarray(shaped.mean(axis=(1, 3)))


def trace(covers: list[Cover], camera: Camera, finer: int = 2) -> Traced:
    """Cast one ray for every point of a grid `finer` times as dense as the picture."""
    across, down = camera.size
    ways = Camera(camera.eye, camera.target, camera.width_rad, (across * finer, down * finer)).directions()
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    blockers = Blockers([c.mesh for c in covers], camera.target)
    hits = blockers.first(np.broadcast_to(camera.eye, ways.shape), camera.eye + ways * FARTHEST_M)
    return Traced(covers, camera, finer, blockers, ways, hits)


def cast(covers: list[Cover], camera: Camera, finer: int = 2, palette: Palette | None = None) -> FloatArray:
    """The picture (down, across, 3) in 0..1, cast on a grid `finer` times as dense and averaged."""
    return shaded(trace(covers, camera, finer), palette or Palette())


def shaded(traced: Traced, palette: Palette) -> FloatArray:
    """The picture (down, across, 3) in 0..1 of what was traced."""
    hits, ways = traced.hits, traced.ways
    normals = _smooth_normals(traced.covers, hits)
    normals *= np.where(np.einsum("ij,ij->i", normals, ways) > 0, -1.0, 1.0)[:, None]
    met = hits.mesh >= 0
    points = traced.camera.eye + ways * np.where(met, hits.distance_m, 0.0)[:, None]
    colours = np.tile(to_rgb(style.BACKDROP), (len(ways), 1))
    for index in np.unique(hits.mesh[met]):
        here = np.flatnonzero(hits.mesh == index)
        colours[here] = palette.colours(traced.covers[index], points[here])
    shade = light(normals) * (1.0 - SHADOW * _shadow(traced, points, normals, met))
    colours *= np.where(met, shade, 1.0)[:, None]
    picture = traced.averaged(colours.reshape(*traced.shape, 3))
    return np.asarray(np.clip(picture * edges(traced, palette)[..., None], 0, 1))


def indices(covers: list[Cover], camera: Camera, finer: int) -> NDArray[np.intp]:
    """Which cover each pixel of the dense grid (down, across) shows; -1 for none."""
    return trace(covers, camera, finer).index


def light(normals: FloatArray) -> FloatArray:
    """Soft light (n,): a key from the front above stage left, a fill from stage right, a lift from below."""
    bright = AMBIENT + KEY_STRENGTH * np.clip(normals @ KEY, 0, 1) + FILL_STRENGTH * np.clip(normals @ FILL, 0, 1)
    return np.asarray(bright + FROM_BELOW * np.clip(-normals[:, 2], 0, 1))


def edges(traced: Traced, palette: Palette) -> FloatArray:
    """How much of its brightness each pixel (down, across) keeps: less where one thing ends before another.

    Strong where both have about one colour, so that a lip is told from its box; faint where colour tells already.
    """
    index = traced.index
    depth = np.where(np.isfinite(traced.hits.distance_m), traced.hits.distance_m, FARTHEST_M).reshape(traced.shape)
    base = np.array([*[palette.base(c.name) for c in traced.covers], to_rgb(style.BACKDROP)])
    kept = np.ones(traced.shape)
    for axis in (0, 1):
        a, b = (index[:-1], index[1:]) if axis == 0 else (index[:, :-1], index[:, 1:])
        da, db = (depth[:-1], depth[1:]) if axis == 0 else (depth[:, :-1], depth[:, 1:])
        jumps = (a == b) & (a >= 0) & (np.abs(da - db) > JUMP * np.minimum(da, db))
        alike = np.abs(base[a] - base[b]).max(axis=2) < ALIKE
        dark = np.where(a != b, np.where(alike, EDGE_ALIKE, EDGE_OTHER), np.where(jumps, EDGE_ALIKE, 0.0))
        first, second = (kept[:-1], kept[1:]) if axis == 0 else (kept[:, :-1], kept[:, 1:])
        np.minimum(first, 1 - dark, out=first)
        np.minimum(second, 1 - dark, out=second)
    return traced.averaged(kept)


def _shadow(traced: Traced, points: FloatArray, normals: FloatArray, met: NDArray[np.bool_]) -> FloatArray:
    """Where a surface close by stands before the key light (1) or not (0); each point asks another part of the light."""
    out = np.zeros(len(points))
    where = np.flatnonzero(met)
    aside = unit(np.cross(KEY, [0.0, 0.0, 1.0]))
    over = np.cross(aside, KEY)
    down, across = np.divmod(where, traced.shape[1])
    turn = np.pi / 4 + np.pi / 2 * (2 * (down % 2) + across % 2)
    ways = KEY + SOFT * (np.cos(turn)[:, None] * aside + np.sin(turn)[:, None] * over)
    start = points[where] + normals[where] * 2e-3
    out[where] = traced.blockers.blocked(start, start + ways * SHADOW_REACH_M)
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
