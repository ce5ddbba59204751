"""Large flat faces that hide by proof: where one stands wholly between a patch and a cluster of eyes, no ray is cast.

A wall of a box hides most of what is in it from most of a house. For a convex flat face, a point and a box of eyes:
if the eyes' box lies within the cone from the point over the face, and beyond its plane, every line from the point to
those eyes crosses the face. Margins are kept so that rounding can only make the proof fail, never succeed wrongly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray, dots
from sightline.geometry.mesh import Mesh
from sightline.sight.patches import Patches
from sightline.sight.rays import LIFT_M, BoolArray, IndexArray

LEAST_AREA_M2 = 0.01
MOST_FACES = 16
EYES_PER_CLUSTER = 12
# Points this near a face's plane, and eyes this near the edge of its cone, are left to rays.
MARGIN_M = 1e-3


@dataclass(frozen=True)
class Clusters:
    """Eyes (e,) gathered into boxes: `of` (e,) is each eye's box; middles and half sizes (c, 3) in metres."""

    of: IndexArray
    middle: FloatArray
    half: FloatArray

    @staticmethod
    def over(places: FloatArray, most: int = EYES_PER_CLUSTER) -> Clusters:
        """Boxes of at most so many neighbouring eyes that hold all their head positions (k, e, 3)."""
        groups, todo = [], [np.arange(places.shape[1])]
        while todo:
            members = todo.pop()
            if len(members) <= most:
                groups.append(members)
                continue
            at = places[0, members]
            axis = int(np.ptp(at, axis=0).argmax())
            order = np.argsort(at[:, axis], kind="stable")
            todo += [members[order[len(order) // 2 :]], members[order[: len(order) // 2]]]
        of = np.empty(places.shape[1], dtype=np.intp)
        low, high = np.empty((len(groups), 3)), np.empty((len(groups), 3))
        for i, members in enumerate(groups):
            of[members] = i
            low[i], high[i] = places[:, members].min(axis=(0, 1)), places[:, members].max(axis=(0, 1))
        return Clusters(of, (low + high) / 2, (high - low) / 2)


def flat_faces(mesh: Mesh) -> list[FloatArray]:
    """The large convex flat faces of a mesh, each as its corners (k, 3) in order; round holes in strips."""
    normals = mesh.area_normals / np.maximum(mesh.areas, 1e-300)[:, None]
    large = np.flatnonzero(mesh.areas >= LEAST_AREA_M2 / 8)
    if not len(large):
        return []
    offsets = np.einsum("ij,ij->i", normals[large], mesh.corners[large, 0])
    planes = np.column_stack([np.round(normals[large], 5), np.round(offsets, 5)])
    _, group = np.unique(planes, axis=0, return_inverse=True)
    keys = mesh.vertex_keys(1e-7)[mesh.faces]
    out: list[FloatArray] = []
    for g in range(int(group.max()) + 1):
        face = large[int(np.flatnonzero(group.reshape(-1) == g)[0])]
        # All triangles of the plane, small ones too, or a hole's rim would be taken for an edge.
        level = np.abs(normals @ normals[face] - 1) < 1e-7
        level &= np.abs(mesh.corners[:, 0] @ normals[face] - mesh.corners[face, 0] @ normals[face]) < 1e-6
        if mesh.areas[level].sum() < LEAST_AREA_M2:
            continue
        where = {int(k): p for k, p in zip(keys[level].ravel(), mesh.corners[level].reshape(-1, 3), strict=True)}
        loops = [np.array([where[k] for k in loop]) for loop in _loops(keys[level])]
        outlines = [loop for loop in loops if _twice_area(loop) @ normals[face] > 0]
        if len(outlines) == 1 and _convex(outlines[0], normals[face]):
            holes = [loop for loop in loops if loop is not outlines[0]]
            out += _strips(outlines[0], np.concatenate(holes)) if holes else outlines
    return out


def _loops(faces: NDArray[np.intp]) -> list[list[int]]:
    """The closed outlines of a patch of triangles, as vertex keys; none where the patch touches itself in a point."""
    edges = {(int(f[k]), int(f[(k + 1) % 3])) for f in faces for k in range(3)}
    rim = [(a, b) for a, b in edges if (b, a) not in edges]
    step = dict(rim)
    if len(step) != len(rim) or set(step) != set(step.values()):
        return []
    loops = []
    while step:
        start, at = step.popitem()
        loop = [start]
        while at != start:
            loop.append(at)
            at = step.pop(at)
        loops.append(loop)
    return loops


def _strips(outline: FloatArray, holes: FloatArray) -> list[FloatArray]:
    """A rectangle with holes as the rectangles round the box of all its holes; nothing for another outline."""
    step = np.roll(outline, -1, axis=0) - outline
    # Corners on straight edges are left out: what remains must be a rectangle.
    turns = np.linalg.norm(np.cross(np.roll(step, 1, axis=0), step), axis=1) > 1e-9
    corners = outline[turns]
    if len(corners) != 4 or np.linalg.norm(corners[0] + corners[2] - corners[1] - corners[3]) > 1e-6:
        return []
    u, v = corners[1] - corners[0], corners[3] - corners[0]
    if abs(u @ v) > 1e-9:
        return []
    a = (holes - corners[0]) @ u / (u @ u)
    b = (holes - corners[0]) @ v / (v @ v)
    boxes = [(0, 1, 0, b.min()), (0, 1, b.max(), 1), (0, a.min(), b.min(), b.max()), (a.max(), 1, b.min(), b.max())]
    return [
        np.array([corners[0] + x * u + y * v for x, y in ((p, r), (q, r), (q, s), (p, s))])
        for p, q, r, s in boxes
        if (q - p) * (s - r) * np.linalg.norm(u) * np.linalg.norm(v) >= LEAST_AREA_M2 / 4
    ]


def _convex(corners: FloatArray, normal: FloatArray) -> bool:
    step = np.roll(corners, -1, axis=0) - corners
    turn = np.cross(step, np.roll(step, -1, axis=0)) @ normal
    return bool(len(corners) <= 12 and np.all(turn > -1e-9))


class Shields:
    """The flat faces of a set of covers near what is secret, largest first and one of each parallel pair."""

    def __init__(self, meshes: list[Mesh], centre_m: FloatArray, within_m: float = 0.8):
        near = [m for m in meshes if len(m.faces) and _gap(m.vertices, centre_m) < within_m]
        faces = [face for mesh in near for face in flat_faces(mesh) if _gap(face, centre_m) < within_m]
        faces.sort(key=lambda face: -_area(face))
        self.faces: list[FloatArray] = []
        for face in faces:
            if len(self.faces) < MOST_FACES and not any(_twin(face, other) for other in self.faces):
                self.faces.append(face)

    def hide_patches(self, patches: Patches, eyes: Clusters) -> BoolArray:
        """Which patches (p) no eye of which cluster can see, for certain: (c, p), from wherever their rays start.

        Rays start a hair off the patch; of a two-sided one the proof must hold off both sides, or it would hide what a
        ray past the very edge of a face still reaches.
        """
        lift = patches.normals * LIFT_M
        hidden = self.hide(patches.centres + lift, eyes)
        return hidden & self.hide(patches.centres - lift, eyes) if patches.two_sided else hidden

    def hide(self, points: FloatArray, eyes: Clusters) -> BoolArray:
        """Which points (p, 3) no eye of which cluster can see, for certain: (c, p)."""
        out = np.zeros((len(eyes.middle), len(points)), dtype=bool)
        for face in self.faces:
            todo = np.flatnonzero(~out.all(axis=0))
            if not len(todo):
                break
            out[:, todo] |= _hides(face, points[todo], eyes)
        return out


def _hides(face: FloatArray, points: FloatArray, eyes: Clusters) -> BoolArray:
    normal = _normal(face)
    height = (points - face[0]) @ normal
    clear = np.abs(height) > MARGIN_M
    beyond = (eyes.middle - face[0]) @ normal
    room = eyes.half @ np.abs(normal) + MARGIN_M
    out = np.where(height > 0, (beyond < -room)[:, None], (beyond > room)[:, None]) & clear
    for a, b in zip(face, np.roll(face, -1, axis=0), strict=True):
        side = np.cross(a - points, b - points)
        size = np.linalg.norm(side, axis=1)
        side /= np.maximum(size, 1e-12)[:, None]
        # Inward is the side of the face's middle.
        side *= np.sign(np.einsum("ij,ij->i", face.mean(axis=0) - points, side))[:, None]
        inward = dots(eyes.middle, side) - np.einsum("ij,ij->i", points, side)
        out &= (inward > dots(eyes.half, np.abs(side)) + MARGIN_M) & (size > 1e-9)
    return out


def _gap(points: FloatArray, centre_m: FloatArray) -> float:
    """Distance from a point to the bounding box of points (n, 3)."""
    return float(
        np.linalg.norm(np.maximum(np.maximum(points.min(axis=0) - centre_m, centre_m - points.max(axis=0)), 0.0))
    )


def _twice_area(face: FloatArray) -> FloatArray:
    """Normal of a flat outline times twice its area; corners may lie on straight edges."""
    spokes = face[1:] - face[0]
    return np.asarray(np.cross(spokes[:-1], spokes[1:]).sum(axis=0))


def _area(face: FloatArray) -> float:
    return float(np.linalg.norm(_twice_area(face)) / 2)


def _normal(face: FloatArray) -> FloatArray:
    across = _twice_area(face)
    return np.asarray(across / np.linalg.norm(across))


def _twin(face: FloatArray, other: FloatArray) -> bool:
    """Two faces of one thin wall: as good as each other for what is on either side of both."""
    if len(face) != len(other):
        return False
    return bool(np.all(np.linalg.norm(face[:, None] - other[None], axis=2).min(axis=1) < 0.02))
