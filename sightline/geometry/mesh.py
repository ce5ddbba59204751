"""A triangle mesh and the questions asked of it. Everything that can be seen or that covers is one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray, Placement

if TYPE_CHECKING:
    from manifold3d import Manifold

FaceArray = NDArray[np.int32]


@dataclass(frozen=True)
class Mesh:
    """Triangles: `vertices` (n, 3) metres, `faces` (m, 3) indices, counter-clockwise seen from outside."""

    vertices: FloatArray
    faces: FaceArray

    @staticmethod
    def of(vertices: object, faces: object) -> Mesh:
        """A mesh from anything array-like; ValueError for wrong shapes, indices or non-finite points."""
        v = np.ascontiguousarray(vertices, dtype=np.float64).reshape(-1, 3)
        f = np.ascontiguousarray(faces, dtype=np.int32).reshape(-1, 3)
        if not np.all(np.isfinite(v)):
            raise ValueError("a mesh vertex is not a finite number")
        if len(f) and (f.min() < 0 or f.max() >= len(v)):
            raise ValueError("a mesh face names a vertex that is not there")
        return Mesh(v, f)

    @staticmethod
    def empty() -> Mesh:
        """A mesh without faces: for what is told by a path."""
        return Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))

    @staticmethod
    def joined(meshes: Iterable[Mesh]) -> Mesh:
        """All meshes laid into one, nothing merged."""
        parts = list(meshes)
        if not parts:
            return Mesh.empty()
        starts = np.cumsum([0, *[len(part.vertices) for part in parts[:-1]]])
        return Mesh(
            np.concatenate([part.vertices for part in parts]),
            np.concatenate([part.faces + np.int32(s) for part, s in zip(parts, starts, strict=True)]),
        )

    @staticmethod
    def from_manifold(solid: Manifold) -> Mesh:
        out = solid.to_mesh64()
        mesh = Mesh.of(np.asarray(out.vert_properties)[:, :3], out.tri_verts)
        # What came from a solid is one, and need not be asked again.
        mesh.__dict__.update(_solid=solid, closed=bool(len(mesh.faces)))
        return mesh

    def manifold(self) -> Manifold:
        """The solid for boolean work; ValueError when the mesh does not enclose one."""
        from manifold3d import Error, Manifold, Mesh64

        if "_solid" in self.__dict__:
            known: Manifold = self.__dict__["_solid"]
            return known
        for mesh in (self, self.merged()):
            # Copies: what came from a solid before may be read-only, which it does not take back.
            solid = Manifold(
                Mesh64(np.array(mesh.vertices, order="C"), np.array(mesh.faces, dtype=np.uint64, order="C"))
            )
            if solid.status() == Error.NoError and not solid.is_empty():
                return solid
        raise ValueError("the mesh does not enclose a solid")

    def merged(self, within_m: float = 1e-9) -> Mesh:
        """The same surface with vertices that stand in one place made one."""
        keys = self.vertex_keys(within_m)
        faces = keys[self.faces]
        whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
        vertices = np.empty((int(keys.max()) + 1 if len(keys) else 0, 3))
        vertices[keys] = self.vertices
        return Mesh(vertices, faces[whole].astype(np.int32))

    def vertex_keys(self, within_m: float) -> NDArray[np.intp]:
        """A number for each vertex (n,), the same for those that stand in one place."""
        grid = np.round(self.vertices / within_m)
        order = np.lexsort(grid.T)
        new = np.any(np.diff(grid[order], axis=0) != 0, axis=1)
        keys = np.zeros(len(grid), dtype=np.intp)
        keys[order[1:]] = np.cumsum(new)
        return keys

    def placed(self, placement: Placement) -> Mesh:
        """The same mesh elsewhere; what is known of its faces stays known."""
        out = Mesh(placement.points(self.vertices), self.faces)
        if "closed" in self.__dict__:
            out.__dict__["closed"] = self.closed
        return out

    def flipped(self) -> Mesh:
        return Mesh(self.vertices, np.ascontiguousarray(self.faces[:, ::-1]))

    def mirrored_x(self) -> Mesh:
        """The mirror image across x = 0, still facing outward."""
        return Mesh(self.vertices * [-1.0, 1.0, 1.0], self.faces).flipped()

    @cached_property
    def corners(self) -> FloatArray:
        """Triangle corners (m, 3, 3)."""
        return self.vertices[self.faces]

    @cached_property
    def area_normals(self) -> FloatArray:
        """Normal times area (m, 3), m2."""
        a, b, c = self.corners[:, 0], self.corners[:, 1], self.corners[:, 2]
        return np.cross(b - a, c - a) / 2.0

    @cached_property
    def areas(self) -> FloatArray:
        return np.linalg.norm(self.area_normals, axis=1)

    @property
    def area_m2(self) -> float:
        return float(self.areas.sum())

    @cached_property
    def volume_m3(self) -> float:
        """Signed volume; meaningful only for a closed mesh, negative when it is inside out."""
        a, b, c = self.corners[:, 0], self.corners[:, 1], self.corners[:, 2]
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)

    @cached_property
    def closed(self) -> bool:
        """Watertight and consistently wound: every edge is run through once each way."""
        # Most meshes are made with their corners shared; the others are merged first.
        return _closed(self.faces, len(self.vertices)) or _closed((m := self.merged()).faces, len(m.vertices))

    def shells(self) -> list[Mesh]:
        """The parts that hang together by shared corners, in the order of their first face."""
        from scipy.sparse import coo_matrix
        from scipy.sparse.csgraph import connected_components

        keys = self.vertex_keys(1e-9)[self.faces]
        count = int(keys.max()) + 1 if len(keys) else 0
        pairs = np.concatenate([keys[:, [0, 1]], keys[:, [1, 2]]])
        graph = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
        _, label = connected_components(graph, directed=False)
        of = label[keys[:, 0]]
        _, first = np.unique(of, return_index=True)
        return [Mesh(self.vertices, self.faces[of == of[i]]).compact() for i in np.sort(first)]

    def compact(self) -> Mesh:
        """The same faces without the vertices that none of them uses."""
        used, faces = np.unique(self.faces, return_inverse=True)
        return Mesh(self.vertices[used], faces.reshape(-1, 3).astype(np.int32))

    @cached_property
    def bounds(self) -> FloatArray:
        """Lowest and highest corner (2, 3)."""
        return np.array([self.vertices.min(axis=0), self.vertices.max(axis=0)])

    def meets(self, other: Mesh, within_m: float = 0.0) -> bool:
        """Whether the bounding boxes overlap, or come nearer than `within_m`."""
        low, high = np.maximum(self.bounds[0], other.bounds[0]), np.minimum(self.bounds[1], other.bounds[1])
        return bool(np.all(low < high + within_m))


def _closed(faces: FaceArray, vertices: int) -> bool:
    if not len(faces):
        return False
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]).astype(np.int64)
    there = np.sort(edges[:, 0] * vertices + edges[:, 1])
    back = np.sort(edges[:, 1] * vertices + edges[:, 0])
    return bool(np.all(there[1:] != there[:-1]) and np.array_equal(there, back))


@dataclass(frozen=True)
class Cover:
    """A named surface that blocks a view from both its sides."""

    name: str
    mesh: Mesh
