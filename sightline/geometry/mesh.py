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
    def joined(meshes: Iterable[Mesh]) -> Mesh:
        """All meshes laid into one, nothing merged."""
        parts = list(meshes)
        if not parts:
            return Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int32))
        starts = np.cumsum([0, *[len(part.vertices) for part in parts[:-1]]])
        return Mesh(
            np.concatenate([part.vertices for part in parts]),
            np.concatenate([part.faces + np.int32(s) for part, s in zip(parts, starts, strict=True)]),
        )

    @staticmethod
    def from_manifold(solid: Manifold) -> Mesh:
        out = solid.to_mesh64()
        return Mesh.of(np.asarray(out.vert_properties)[:, :3], out.tri_verts)

    def manifold(self) -> Manifold:
        """The solid for boolean work; ValueError when the mesh does not enclose one."""
        from manifold3d import Error, Manifold, Mesh64

        merged = self.merged()
        solid = Manifold(Mesh64(merged.vertices, merged.faces.astype(np.uint64)))
        if solid.status() != Error.NoError or solid.is_empty():
            raise ValueError("the mesh does not enclose a solid")
        return solid

    def merged(self, within_m: float = 1e-9) -> Mesh:
        """The same surface with vertices that stand in one place made one."""
        keys = np.round(self.vertices / within_m).astype(np.int64)
        _, first, inverse = np.unique(keys, axis=0, return_index=True, return_inverse=True)
        faces = inverse.reshape(-1)[self.faces]
        whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
        return Mesh(self.vertices[first], faces[whole].astype(np.int32))

    def vertex_keys(self, within_m: float) -> NDArray[np.intp]:
        """A number for each vertex (n,), the same for those that stand in one place."""
        grid = np.round(self.vertices / within_m).astype(np.int64)
        return np.unique(grid, axis=0, return_inverse=True)[1].reshape(-1)

    def placed(self, placement: Placement) -> Mesh:
        return Mesh(placement.points(self.vertices), self.faces)

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
        merged = self.merged()
        if not len(merged.faces):
            return False
        edges = np.concatenate([merged.faces[:, [0, 1]], merged.faces[:, [1, 2]], merged.faces[:, [2, 0]]]).astype(
            np.int64
        )
        n = np.int64(len(merged.vertices))
        there = np.sort(edges[:, 0] * n + edges[:, 1])
        back = np.sort(edges[:, 1] * n + edges[:, 0])
        return bool(np.all(there[1:] != there[:-1]) and np.array_equal(there, back))

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


@dataclass(frozen=True)
class Cover:
    """A named surface that blocks a view from both its sides."""

    name: str
    mesh: Mesh
