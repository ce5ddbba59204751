"""The one place that casts rays. Wraps embree so that nothing it would accept silently gets through.

embree takes a NaN, an infinite or a zero direction for "no hit", that is for "visible", reads past short
arrays, and ignores meshes added late; all of that is refused or made impossible here.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh

BoolArray = NDArray[np.bool_]
IndexArray = NDArray[np.intp]

# Rays start this far off their own surface: 1e-6 m hits the surface itself at 25 m in single precision.
LIFT_M = 1e-4
CHUNK = 400_000

Result = TypeVar("Result")


def threads() -> int:
    """How many threads cast; never changes a result. SIGHTLINE_THREADS says so where processes share a machine."""
    said = os.environ.get("SIGHTLINE_THREADS", "")
    if said.isdecimal() and said != "0":
        return min(8, int(said))
    return max(1, min(8, len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1))


def on_all_cores(items: Sequence[Any], work: Callable[[Any], Result]) -> list[Result]:
    """`work` of each item, in order, on all cores. Not to be nested."""
    if len(items) <= 1 or threads() == 1:
        return [work(item) for item in items]
    pool = ThreadPoolExecutor(threads())
    try:
        return list(pool.map(work, items))
    finally:
        # After Ctrl-C, or one that failed, nobody waits for what has not begun.
        pool.shutdown(cancel_futures=True)


def in_chunks(count: int, work: Callable[[slice], Result], size: int = CHUNK) -> list[Result]:
    """`work` over slices of `count` items on all cores, results in order."""
    return on_all_cores([slice(start, min(start + size, count)) for start in range(0, count, size)], work)


class Blockers:
    """A set of meshes that block. Which one is met is told by its index in `meshes`."""

    def __init__(self, meshes: Sequence[Mesh], centre_m: FloatArray | None = None, short_m: float = LIFT_M):
        """`short_m`: how far before the eye rays stop, so that a head does not blind its own eyes."""
        try:
            from embreex.mesh_construction import TriangleMesh
            from embreex.rtcore_scene import EmbreeScene
        except ImportError as error:
            raise SightlineError(
                "The ray library embreex is not there for this kind of machine; sightline runs on x86-64 Linux, "
                "Windows and macOS (and macOS arm64)."
            ) from error
        self.centre_m = np.zeros(3) if centre_m is None else np.asarray(centre_m, dtype=float)
        self.short_m, self.count = short_m, len(meshes)
        self.indices = [i for i, mesh in enumerate(meshes) if len(mesh.faces)]
        self._scene: Any = None
        if self.indices:
            self._scene = EmbreeScene(robust=True)
            for i in self.indices:
                vertices = np.ascontiguousarray(meshes[i].vertices - self.centre_m, dtype=np.float32)
                if not np.all(np.isfinite(vertices)):
                    raise ValueError("a mesh has a corner that is not finite")
                TriangleMesh(self._scene, vertices, np.ascontiguousarray(meshes[i].faces, dtype=np.int32))
            # embree commits on the first run; do it before threads share the scene.
            self._scene.run(np.zeros((1, 3), np.float32), np.ones((1, 3), np.float32), query="OCCLUDED")

    def _rays(self, starts: FloatArray, ends: FloatArray) -> tuple[Any, Any, Any]:
        if starts.shape != ends.shape or starts.ndim != 2 or starts.shape[1] != 3:
            raise ValueError("rays need starts and ends of one shape (n, 3)")
        every = np.arange(len(starts))
        return self._gathered(starts, every, ends, every)

    def _gathered(
        self, starts: FloatArray, of_start: IndexArray, ends: FloatArray, of_end: IndexArray
    ) -> tuple[Any, Any, Any]:
        """Origins, steps and reach (n,) in single precision, about the centre, of the rays between chosen points."""
        origins = (starts - self.centre_m).astype(np.float32).take(of_start, axis=0)
        steps = (ends - self.centre_m).astype(np.float32).take(of_end, axis=0)
        steps -= origins
        lengths = np.sqrt(np.einsum("ij,ij->i", steps, steps))
        # One sum tells of every NaN and infinity there may be.
        if not (np.isfinite(lengths.sum()) and lengths.min() > 0):
            raise ValueError("a ray has no direction or is not finite")
        # Distances are shares of the step; the ray stops just short of the eye.
        reach = np.maximum(np.float32(1.0) - np.float32(self.short_m) / lengths, np.float32(0.0))
        return origins, steps, reach

    def blocked_here(self, starts: FloatArray, ends: FloatArray) -> BoolArray:
        """`blocked` on the calling thread, for work that is spread over cores already."""
        every = np.arange(len(starts))
        return self.blocked_pairs(starts, every, ends, every)

    def blocked_pairs(
        self, starts: FloatArray, of_start: IndexArray, ends: FloatArray, of_end: IndexArray
    ) -> BoolArray:
        """Whether anything stands between `starts[of_start]` and `ends[of_end]` (n,), on the calling thread."""
        if self._scene is None or not len(of_start):
            return np.zeros(len(of_start), dtype=bool)
        origins, steps, reach = self._gathered(starts, of_start, ends, of_end)
        return np.asarray(self._scene.run(origins, steps, reach, query="OCCLUDED") != -1)

    def blocked(self, starts: FloatArray, ends: FloatArray) -> BoolArray:
        """Whether anything stands strictly between each start and its end, both (n, 3) metres."""
        parts = in_chunks(len(starts), lambda part: self.blocked_here(starts[part], ends[part]))
        return np.concatenate(parts) if parts else np.zeros(0, dtype=bool)

    def first(self, starts: FloatArray, ends: FloatArray) -> Hits:
        """What each ray from `starts` towards `ends`, both (n, 3) metres, meets first before it ends."""
        count = len(starts)
        hits = Hits(
            np.full(count, -1, dtype=np.intp), np.full(count, -1, dtype=np.intp), np.zeros((count, 2)),
            np.full(count, np.inf), np.zeros((count, 3)),
        )  # fmt: skip
        if self._scene is None or not count:
            return hits
        names = np.array([*self.indices, -1], dtype=np.intp)

        def cast(part: slice) -> None:
            origins, steps, reach = self._rays(starts[part], ends[part])
            out = self._scene.run(origins, steps, reach, query="INTERSECT", output=True)
            met = out["geomID"] != -1
            hits.mesh[part] = names[out["geomID"]]
            hits.facet[part] = np.where(met, out["primID"], -1)
            hits.weights[part] = np.column_stack([out["u"], out["v"]])
            hits.distance_m[part] = np.where(met, out["tfar"] * np.linalg.norm(steps, axis=1), np.inf)
            ng = out["Ng"].astype(float)
            size = np.linalg.norm(ng, axis=1, keepdims=True)
            hits.normals[part] = np.divide(ng, size, out=np.zeros_like(ng), where=size > 0)

        in_chunks(count, cast)
        return hits


def nearest_mesh(
    groups: Sequence[Blockers], starts: FloatArray, ends: FloatArray
) -> tuple[IndexArray, FloatArray, FloatArray]:
    """What rays (n, 3) meet first of all groups: its index counted on through their meshes (-1: none), distance m, unit normal."""
    best, nearest, shift = np.full(len(starts), -1, dtype=np.intp), np.full(len(starts), np.inf), 0
    normals = np.zeros((len(starts), 3))
    for group in groups:
        hits = group.first(starts, ends)
        closer = hits.distance_m < nearest
        best = np.where(closer, hits.mesh + shift, best)
        normals = np.where(closer[:, None], hits.normals, normals)
        nearest = np.where(closer, hits.distance_m, nearest)
        shift += group.count
    return best, nearest, normals


@dataclass(frozen=True)
class Hits:
    """What rays (n,) met first: index of the mesh and its facet (-1 for nothing), weights (n, 2) of the facet's second
    and third corner, distance m (inf for nothing), unit normal (n, 3) of the facet."""

    mesh: IndexArray
    facet: IndexArray
    weights: FloatArray
    distance_m: FloatArray
    normals: FloatArray


class Solid:
    """A closed mesh that can be asked which points are inside it."""

    def __init__(self, mesh: Mesh, centre_m: FloatArray):
        if not mesh.closed:
            raise ValueError("an open mesh has no inside")
        self._mesh, self._centre_m = mesh, centre_m
        self.low, self.high = mesh.bounds

    @cached_property
    def _blockers(self) -> Blockers:
        """Built when the first point is near: most solids are never asked about one."""
        return Blockers([Mesh.joined(_turned_outward(_closed_parts(self._mesh)))], self._centre_m)

    def holds(self, points: FloatArray) -> BoolArray:
        """Which points (n, 3) are inside. Doubt counts as outside.

        The first facet met in each of three directions must be met from behind.
        """
        near = np.all((points > self.low) & (points < self.high), axis=1)
        if not near.any():
            return near
        reach = float(np.linalg.norm(self.high - self.low)) * 2.0 + 1.0
        some = points[near]
        verdict = np.ones(len(some), dtype=bool)
        # Three fixed directions that no modelled face or edge is likely to be parallel to.
        for direction in np.array([[0.267, 0.535, 0.802], [-0.743, 0.371, -0.557], [0.577, -0.789, 0.211]]):
            hits = self._blockers.first(some, some + direction * reach)
            verdict &= (hits.mesh >= 0) & (hits.normals @ direction > 0)
        out = np.zeros(len(points), dtype=bool)
        out[near] = verdict
        return out

    def holds_whole(self, mesh: Mesh) -> bool:
        """Whether a mesh is inside: all its corners are, and no edge of it leaves the solid on the way between them."""
        if not self.holds(mesh.vertices).all():
            return False
        starts, ends = mesh.corners.reshape(-1, 3), np.roll(mesh.corners, -1, axis=1).reshape(-1, 3)
        # What is shorter than a ray's own shortening leaves nothing.
        long = np.linalg.norm(ends - starts, axis=1) > 2 * LIFT_M
        return not self._blockers.blocked(starts[long], ends[long]).any()


def _closed_parts(mesh: Mesh) -> list[Mesh]:
    """The closed surfaces that a closed mesh is made of: the facets that hang together by shared edges."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    # Parts that touch keep their own corners where the file gives them; else corners in one place are one.
    for whole in (mesh, mesh.merged()):
        count = len(whole.faces)
        start, end = (np.roll(whole.faces, -k, axis=1).astype(np.int64).T.ravel() for k in (0, 1))
        there, back = start * len(whole.vertices) + end, end * len(whole.vertices) + start
        one, other = np.argsort(there), np.argsort(back)
        if np.array_equal(there[one], back[other]):
            pairs = (one % count, other % count)
            _, of = connected_components(coo_matrix((np.ones(len(one)), pairs), shape=(count, count)), directed=False)
            return [Mesh(whole.vertices, whole.faces[of == i]).compact() for i in range(int(of.max()) + 1)]
    return [mesh]


def _turned_outward(parts: Sequence[Mesh]) -> list[Mesh]:
    """The closed parts of a mesh, each turned so that its front is towards what is outside the material.

    A part that stands free, or free within a hollow, encloses material however it is wound. One within material is the
    wall of a hollow where it is wound against the part that it lies in, and more material where it is wound alike.
    """
    bounds = np.array([part.bounds for part in parts])
    # About its own middle: far from the origin a small volume would drown in rounding.
    volumes = np.array([Mesh(p.vertices - p.bounds.mean(axis=0), p.faces).volume_m3 for p in parts])
    order = np.argsort(-np.abs(volumes), kind="stable")
    solids: dict[int, Solid] = {}
    turned, hollow = np.zeros(len(parts), dtype=bool), np.zeros(len(parts), dtype=bool)
    for k, i in enumerate(order.tolist()):
        # Of the larger ones round it, the smallest that holds all of it is the one it lies in.
        larger = order[:k][::-1]
        about = (bounds[larger, 0] < bounds[i, 0]).all(axis=1) & (bounds[larger, 1] > bounds[i, 1]).all(axis=1)
        for j in larger[about].tolist():
            solids.setdefault(j, Solid(parts[j], bounds[j].mean(axis=0)))
            if solids[j].holds_whole(parts[i]):
                turned[i] = volumes[i] < 0 if hollow[j] else turned[j]
                hollow[i] = (volumes[i] < 0) != turned[i]
                break
        else:
            turned[i] = volumes[i] < 0
    return [part.flipped() if turned[i] else part for i, part in enumerate(parts)]
