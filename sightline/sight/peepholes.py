"""Peepholes: what a grid of directions steps over, found along the edges of what covers.

Whatever hole or gap there is, its rim is made of outlines of covers. So rays go close by every outline on both its sides,
and find a hole however narrow it is from where the secret is, unless it is narrower than they pass by.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray, dots
from sightline.geometry.mesh import Mesh
from sightline.sight import octahedral
from sightline.sight.prepared import PreparedLine, PreparedSurface
from sightline.sight.rays import LIFT_M, Blockers, BoolArray, IndexArray

# Outlines are asked about every so far, seen from the secret, and every edge once at least.
STEP_RAD = np.radians(1.0)
# So far beside an outline rays pass, in turn: close by for narrow gaps, farther off for outlines of what is round.
BESIDE_M = (0.0005, 0.004)
# Of outlines of one cover in so narrow a direction one is asked: cells of about 0.7 of a degree.
FINE_SIDE = 256
# So far beyond its outline a ray has passed it.
BEYOND_M = 0.002


@dataclass(frozen=True)
class Edges:
    """Edges of triangles: `ends` (n, 2, 3), the area normals (n, 2, 3) of the two faces at each, zeros beyond a rim, and
    which mesh it is of (n,)."""

    ends: FloatArray
    normals: FloatArray
    of: IndexArray

    @staticmethod
    def joined(parts: Sequence[Edges]) -> Edges:
        return Edges(*(np.concatenate([getattr(p, key) for p in parts]) for key in Edges.__dataclass_fields__))


def edges_of(meshes: Sequence[Mesh]) -> Edges:
    """All edges that could be an outline from somewhere; those within a flat face are left out."""
    none = Edges(np.zeros((0, 2, 3)), np.zeros((0, 2, 3)), np.zeros(0, dtype=np.intp))
    return Edges.joined([none, *[_edges(mesh, i) for i, mesh in enumerate(meshes) if len(mesh.faces)]])


def _edges(mesh: Mesh, index: int) -> Edges:
    keys = mesh.vertex_keys(1e-7)[mesh.faces].astype(np.int64)
    pairs = np.sort(np.stack([keys, np.roll(keys, -1, axis=1)], axis=-1).reshape(-1, 2), axis=1)
    names = pairs[:, 0] * (int(keys.max()) + 1) + pairs[:, 1]
    order = np.argsort(names, kind="stable")
    first = np.flatnonzero(np.diff(names[order], prepend=-1))
    count = np.diff(first, append=len(names))
    one, two = order[first], order[np.minimum(first + 1, len(names) - 1)]
    normals = np.stack([mesh.area_normals[one // 3], mesh.area_normals[two // 3]], axis=1)
    # A rim, and where more than two faces meet, is an outline from everywhere.
    normals[count != 2] = 0.0
    across = np.linalg.norm(np.cross(normals[:, 0], normals[:, 1]), axis=1)
    sizes = np.linalg.norm(normals, axis=2).prod(axis=1)
    keep = (count != 2) | (across > 1e-6 * sizes)
    corner, after = one % 3, (one + 1) % 3
    ends = np.stack([mesh.corners[one // 3, corner], mesh.corners[one // 3, after]], axis=1)
    return Edges(ends[keep], normals[keep], np.full(int(keep.sum()), index, dtype=np.intp))


def outlines(edges: Edges, centre: FloatArray) -> Edges:
    """Those edges at which a surface turns from facing a point (3,) to facing away from it, and all rims."""
    toward = centre - edges.ends[:, 0]
    heights = np.einsum("nkx,nx->nk", edges.normals, toward)
    turned = (heights[:, 0] > 0) != (heights[:, 1] > 0)
    rim = ~edges.normals.any(axis=(1, 2))
    keep = turned | rim
    return Edges(edges.ends[keep], edges.normals[keep], edges.of[keep])


def beside(edges: Edges, centre: FloatArray) -> FloatArray:
    """Points (n, 3) close by the outlines on both sides, as a point (3,) sees them, thinned where they crowd."""
    a, b = edges.ends[:, 0] - centre, edges.ends[:, 1] - centre
    angle = np.arctan2(np.linalg.norm(np.cross(a, b), axis=1), np.einsum("ij,ij->i", a, b))
    counts = np.maximum(1, np.ceil(angle / STEP_RAD)).astype(np.intp)
    which = np.repeat(np.arange(len(counts)), counts)
    part = (np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts) + 0.5) / counts[which]
    # Even steps of angle, not of length: an edge that runs away from the point is near it at one end.
    to_a = np.linalg.norm(a, axis=1)[which] * np.sin(part * angle[which])
    to_b = np.linalg.norm(b, axis=1)[which] * np.sin((1.0 - part) * angle[which])
    share = np.divide(to_a, to_a + to_b, out=np.full(len(which), 0.5), where=to_a + to_b > 0)
    points = a[which] + share[:, None] * (b - a)[which]
    fine = octahedral.cells(points[:, 0], points[:, 1], points[:, 2], FINE_SIDE)
    _, kept = np.unique(edges.of[which].astype(np.int64) * FINE_SIDE**2 + fine, return_index=True)
    which, points = which[kept], points[kept]
    side = np.cross(b[which] - a[which], points)
    side /= np.maximum(np.linalg.norm(side, axis=1, keepdims=True), 1e-300)
    off = np.resize(np.array(BESIDE_M), len(points))[:, None] * side
    return np.asarray(centre + np.concatenate([points + off, points - off]))


@dataclass(frozen=True)
class Showing:
    """What may show: points (p, 3) and unit normals (p, 3); `own_side` False: it may show on both sides."""

    points: FloatArray
    normals: FloatArray
    own_side: bool

    @staticmethod
    def of(ready: PreparedSurface | PreparedLine, some: IndexArray) -> Showing:
        """Some of the patches or samples of a secret. Samples are off their surface already, which is in their way."""
        if isinstance(ready, PreparedSurface):
            return Showing(ready.patches.centres[some], ready.patches.normals[some], not ready.patches.two_sided)
        points = ready.line.points[some]
        return Showing(points, np.zeros_like(points), False)

    def turned(self, targets: FloatArray) -> BoolArray:
        """Which targets (t, 3) each spot turns to (t, p)."""
        if not self.own_side:
            return np.ones((len(targets), len(self.points)), dtype=bool)
        return np.asarray(dots(targets, self.normals) > np.einsum("ij,ij->i", self.points, self.normals))

    def starts(self, which: IndexArray, targets: FloatArray) -> FloatArray:
        """Where rays (n, 3) from spots to their targets (n, 3) start: lifted off the side that looks there."""
        height = np.einsum("ij,ij->i", targets - self.points[which], self.normals[which])
        return np.asarray(self.points[which] + LIFT_M * np.sign(height)[:, None] * self.normals[which])


def peepholes(
    showing: Showing, groups: Sequence[Blockers], targets: FloatArray, far_m: float
) -> tuple[IndexArray, IndexArray, FloatArray]:
    """The targets (n,) past which a spot (n,) shows, and the unit direction (n, 3) in which it does.

    One spot that turns to a target, another one each time, is asked whether it gets past its outline at all. If it does,
    so many spots are asked as the target lies in directions of its own from, for what is behind a near hole is another
    thing from each; and where any of them shows, all.
    """
    toward = showing.turned(targets)
    many = toward.sum(axis=1)
    # Those that turn to the target come first.
    sorted_spots = np.argsort(~toward, axis=1, kind="stable")
    rows = np.flatnonzero(many)
    rows, _, _ = _free(showing, groups, targets, rows, sorted_spots[rows, 7 * np.arange(len(rows)) % many[rows]])
    far = np.linalg.norm(targets[rows] - showing.points.mean(axis=0), axis=1)
    wide = np.linalg.norm(np.ptp(showing.points, axis=0)) / np.maximum(far, 1e-3)
    counts = np.clip(np.ceil(wide / STEP_RAD), 1, many[rows]).astype(np.intp)
    each = np.repeat(np.arange(len(rows)), counts)
    rank = np.arange(len(each)) - np.repeat(np.cumsum(counts) - counts, counts)
    which = sorted_spots[rows[each], ((rank + 0.5) * (many[rows] / counts)[each]).astype(np.intp)]
    rows, _, _ = _free(showing, groups, targets, rows[each], which, far_m)
    rows = np.unique(rows)
    some, which = np.nonzero(toward[rows])
    return _free(showing, groups, targets, rows[some], which, far_m)


def _free(
    showing: Showing,
    groups: Sequence[Blockers],
    targets: FloatArray,
    rows: IndexArray,
    which: IndexArray,
    far_m: float | None = None,
) -> tuple[IndexArray, IndexArray, FloatArray]:
    """Of the pairs of target and spot (n,) those between which nothing is met, with the unit direction (n, 3).

    Rays go `far_m` from their spot; without it to a little beyond their target.
    """
    starts = showing.starts(which, targets[rows])
    step = targets[rows] - starts
    size = np.maximum(np.linalg.norm(step, axis=1, keepdims=True), 1e-12)
    step /= size
    ends = starts + step * (size + BEYOND_M if far_m is None else far_m)
    left = np.arange(len(rows))
    for group in groups:
        left = left[~group.blocked_here(starts[left], ends[left])]
    return rows[left], which[left], step[left]
