"""Seams and other lines: samples along a path, lifted onto the surface they lie on.

A tessellated tube is not round: judged by its flat facets a ring would show five twelfths or seven twelfths of
its length. Samples therefore take the smooth normal and the smooth height between the facets, so that a ring
on 12, 24 or 96 sides shows the same length.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from sightline.geometry.frame import FloatArray, dots
from sightline.geometry.mesh import Mesh
from sightline.sight.rays import LIFT_M, Blockers, BoolArray, IndexArray

STEP_M = 0.005
# Facets that meet at less than this are taken for a rounded surface, at more for a true edge.
CREASE_DEG = 50.0
# Where the way off all faces of an edge is nearer than this (its cosine) to lying in one of them, the ridge is too
# pointed for it: rays start off one face alone.
POINTED = 0.1


@dataclass(frozen=True)
class Line:
    """Samples of a line: points (n, 3), unit normals (n, 3), lengths (n,) that add up to the whole.

    Two-sided lines (a free cord, a seam on an open sheet) are seen from all round. `ring` closes on itself.
    `meeting` (k, n, 3): unit normals of all faces that meet where a sample lies on a sharp edge, and zeros.
    """

    points: FloatArray
    normals: FloatArray
    lengths: FloatArray
    width_m: float
    two_sided: bool
    ring: bool
    meeting: FloatArray = field(default_factory=lambda: np.zeros((0, 0, 3)))

    @property
    def sides(self) -> FloatArray:
        """Normals (1 + k, n, 3): a sample turns to whatever is before any of its own."""
        return np.concatenate([self.normals[None], self.meeting]) if len(self.meeting) else self.normals[None]

    @property
    def length_m(self) -> float:
        return float(self.lengths.sum())

    @property
    def gap_m(self) -> float:
        """The farthest that neighbouring samples are apart, or that an end is from twice over."""
        steps = np.roll(self.points, -1, axis=0) - self.points
        apart = np.linalg.norm(steps if self.ring else steps[:-1], axis=1)
        return float(max(apart.max(initial=0.0), self.lengths.max(initial=0.0)))


@dataclass(frozen=True)
class LineLeak:
    """Per eye (e,): visible length m, longest unbroken run m, its angular length and the line's width in arcmin."""

    length_m: FloatArray
    run_m: FloatArray
    run_arcmin: FloatArray
    width_arcmin: FloatArray
    solid_angle_sr: FloatArray


def line_on(path: FloatArray, surface: Mesh | None, width_m: float) -> Line:
    """Sample a path (n, 3) at most 5 mm apart and lay it on `surface` (None: it hangs free)."""
    steps = np.linalg.norm(np.diff(path, axis=0), axis=1)
    keep = np.concatenate([[True], steps > 1e-9])
    path, steps = path[keep], steps[steps > 1e-9]
    if len(path) < 2:
        raise ValueError("a line needs two points that are apart")
    counts = np.maximum(1, np.ceil(steps / STEP_M)).astype(int)
    points, lengths = [], []
    for start, end, step, count in zip(path[:-1], path[1:], steps, counts, strict=True):
        shares = (np.arange(count) + 0.5)[:, None] / count
        points.append(start + shares * (end - start))
        lengths.append(np.full(count, step / count))
    samples, sizes = np.concatenate(points), np.concatenate(lengths)
    ring = bool(np.linalg.norm(path[0] - path[-1]) < 2 * STEP_M)
    if surface is None or not len(surface.faces):
        return Line(samples, np.zeros_like(samples), sizes, width_m, True, ring)
    along = np.repeat(np.diff(path, axis=0) / steps[:, None], counts, axis=0)
    onto, normals, lift, meeting = _laid_over_edges(samples, along, surface, width_m)
    # On a sheet, rays start on either side of it: along the lift.
    turned = normals if surface.closed else lift
    return Line(onto + lift * LIFT_M, turned, sizes, width_m, not surface.closed, ring, meeting)


def laid_on(points: FloatArray, surface: Mesh) -> tuple[FloatArray, FloatArray]:
    """The nearest place on the surface, raised to where a smooth one would be, and the smooth normal there."""
    return _smoothed(*closest(points, surface), surface)


def _laid_over_edges(
    points: FloatArray, along: FloatArray, surface: Mesh, width_m: float
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """`laid_on` for a line that runs `along` (n, 3): places and normals; also the unit way off the surface (n, 3) and
    the normals (k, n, 3) of the faces that meet under it.

    A line bends over a sharp edge that lies within half its width to its side: there it is on every face that meets at
    that edge, so its place is moved to the edge. One that ends at an edge or goes straight over it does not: the edge
    is ahead of its samples.
    """
    nearest, own, weights = closest(points, surface)
    onto, normals = _smoothed(nearest, own, weights, surface)
    sample, other, edge = _edges_beside(nearest, own, along, surface, width_m)
    if not len(sample):
        return onto, normals, normals, np.zeros((0, 0, 3))
    tri = surface.corners
    shares = _nearest_shares(edge[sample], tri[other])
    places = np.einsum("ni,nij->nj", shares, tri[other])
    raised, theirs = _smoothed(places, other, shares, surface)
    # The place between rounded facets that is raised most, so that a rim is as round as its wall.
    rising = np.argsort(np.linalg.norm(raised - places, axis=1), kind="stable")
    onto[sample[rising]] = raised[rising]
    edged, slot = np.unique(sample), np.arange(len(sample)) - np.searchsorted(sample, sample)
    meeting = np.zeros((len(points), int(slot.max()) + 1, 3))
    meeting[sample, slot] = theirs
    # The way that stands equally off all faces, into however many triangles each is cut.
    here = meeting[edged]
    filled = np.linalg.norm(here, axis=2) > 0.5
    middle = np.einsum("nij,nj->ni", np.linalg.pinv(here, rcond=1e-3), filled.astype(float))
    middle /= np.maximum(np.linalg.norm(middle, axis=1, keepdims=True), 1e-300)
    blunt = np.where(filled, np.einsum("nij,nj->ni", here, middle), np.inf).min(axis=1) >= POINTED
    lift = normals.copy()
    lift[edged[blunt]] = middle[blunt]
    if not surface.closed:
        # Where a sheet's facets are wound against each other they are no two faces.
        meeting[edged[~blunt]] = 0.0
    return onto, normals, lift, meeting.transpose(1, 0, 2)


def _edges_beside(
    nearest: FloatArray, own: IndexArray, along: FloatArray, surface: Mesh, width_m: float
) -> tuple[IndexArray, IndexArray, FloatArray]:
    """The samples that lie on a sharp edge and the facets that meet there, pair by pair (m,) in the order of samples,
    the sample's own facet first; and where on the edge each of all samples is then (n, 3)."""
    tri, flat = surface.corners, _flat(surface)
    touched, back = np.unique(own, return_inverse=True)
    corners, faces = _neighbours(surface.vertex_keys(1e-7)[surface.faces], touched)
    met = np.unique(np.stack([corners // 3, faces // 3], axis=1), axis=0)
    met = met[np.einsum("ij,ij->i", flat[touched[met[:, 0]]], flat[met[:, 1]]) <= np.cos(np.radians(CREASE_DEG))]
    sample, at = _matches(met[:, 0], back)
    other = met[at, 1]
    off = _on_facets(nearest[sample], tri[other]) - nearest[sample]
    far = np.linalg.norm(off, axis=1)
    ahead = np.abs(np.einsum("ij,ij->i", off, along[sample]))
    beside = (far <= LIFT_M) | ((far <= width_m / 2) & (ahead <= far * np.sqrt(0.5)))
    sample, other, off, far = sample[beside], other[beside], off[beside], far[beside]
    edge = nearest.copy()
    # The nearest edge comes last, and so stays.
    for i in np.argsort(-far, kind="stable"):
        edge[sample[i]] = nearest[sample[i]] + off[i]
    there = np.linalg.norm(_on_facets(edge[sample], tri[other]) - edge[sample], axis=1) <= LIFT_M
    edged = np.unique(sample)
    sample, other = np.concatenate([edged, sample[there]]), np.concatenate([own[edged], other[there]])
    order = np.argsort(sample, kind="stable")
    return sample[order], other[order], edge


def _on_facets(points: FloatArray, tri: FloatArray) -> FloatArray:
    """The place (n, 3) on each triangle (n, 3, 3) that is nearest to its point (n, 3)."""
    return np.asarray(np.einsum("ni,nij->nj", _nearest_shares(points, tri), tri))


def _flat(surface: Mesh) -> FloatArray:
    """Unit normals (m, 3) of the facets."""
    return surface.area_normals / np.maximum(surface.areas, 1e-300)[:, None]


def _smoothed(
    nearest: FloatArray, facets: IndexArray, weights: FloatArray, surface: Mesh
) -> tuple[FloatArray, FloatArray]:
    """Places (n, 3) on `facets`, by barycentric `weights`, raised as `laid_on` does, and the smooth normals there."""
    flat = _flat(surface)
    touched, back = np.unique(facets, return_inverse=True)
    corner_normals = _corner_normals(surface, flat, touched)[back]
    corners = surface.corners[facets]
    normals = np.einsum("ni,nij->nj", weights, corner_normals)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-300)
    # Phong tessellation: mean of the projections onto the tangent planes at the corners.
    off = np.einsum("nij,nij->ni", nearest[:, None] - corners, corner_normals)
    raised = nearest - np.einsum("ni,ni,nij->nj", weights, off, corner_normals)
    outward = np.einsum("ij,ij->i", raised - nearest, flat[facets])
    return np.where(outward[:, None] > 0, raised, nearest), normals


def _corner_normals(surface: Mesh, flat: FloatArray, facets: IndexArray) -> FloatArray:
    """Normals (f, 3, 3) at the corners of `facets` (f,), averaged over the neighbours met without a crease.

    Neighbours count by their angle at the corner, so that the way a flat face is cut up tilts nothing.
    """
    keys = surface.vertex_keys(1e-7)[surface.faces]
    corners, faces = _neighbours(keys, facets)
    limit = np.cos(np.radians(CREASE_DEG))
    own = np.repeat(facets, 3)[corners]
    smooth = np.einsum("ij,ij->i", flat[own], flat[faces // 3]) > limit
    weights = _angles(surface, faces) * smooth
    total = np.zeros((3 * len(facets), 3))
    np.add.at(total, corners, weights[:, None] * flat[faces // 3])
    size = np.linalg.norm(total, axis=1, keepdims=True)
    return np.where(size > 1e-12, total / np.maximum(size, 1e-300), np.repeat(flat[facets], 3, axis=0)).reshape(
        -1, 3, 3
    )


def _neighbours(keys: IndexArray, facets: IndexArray) -> tuple[IndexArray, IndexArray]:
    """Pairs (n,) of a corner of `facets` (index 3 f + k) and a mesh corner (3 face + k) that stand in one place."""
    every = keys.ravel()
    order = np.argsort(every, kind="stable")
    corners, at = _matches(every[order], keys[facets].ravel())
    return corners, order[at]


def _matches(known: IndexArray, asked: IndexArray) -> tuple[IndexArray, IndexArray]:
    """Pairs (n,) of an index into `asked` and one into `known`, which is sorted, whose values are the same."""
    first = np.searchsorted(known, asked, side="left")
    count = np.searchsorted(known, asked, side="right") - first
    of = np.repeat(np.arange(len(asked)), count)
    within = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    return of, np.repeat(first, count) + within


def _angles(surface: Mesh, corners: IndexArray) -> FloatArray:
    """The angle each triangle makes at the given corners (index 3 face + k)."""
    faces, k = np.divmod(corners, 3)
    here = surface.corners[faces, k]
    one = surface.corners[faces, (k + 1) % 3] - here
    two = surface.corners[faces, (k + 2) % 3] - here
    sizes = np.linalg.norm(one, axis=1) * np.linalg.norm(two, axis=1)
    return np.arccos(np.clip(np.einsum("ij,ij->i", one, two) / np.maximum(sizes, 1e-300), -1.0, 1.0))


def closest(points: FloatArray, surface: Mesh, most: int = 48) -> tuple[FloatArray, IndexArray, FloatArray]:
    """Nearest point on a mesh to each of `points` (n, 3): place (n, 3), facet (n,), barycentric weights (n, 3).

    The `most` facets whose bounding balls are nearest are tried; where another's is nearer still, all such are.
    """
    tri = surface.corners
    middle = tri.mean(axis=1)
    reach = np.linalg.norm(tri - middle[:, None], axis=2).max(axis=1)
    weights, facets = np.empty((len(points), 3)), np.empty(len(points), dtype=np.intp)

    def try_facets(which: IndexArray, some: IndexArray) -> FloatArray:
        """Keep for points `which` (n,) the best of facets `some` (n, k); squared distance (n,)."""
        shares = _nearest_shares(points[which][:, None], tri[some])
        distance2 = ((np.einsum("nki,nkij->nkj", shares, tri[some]) - points[which][:, None]) ** 2).sum(axis=2)
        rows, best = np.arange(len(which)), distance2.argmin(axis=1)
        weights[which], facets[which] = shares[rows, best], some[rows, best]
        return np.asarray(distance2[rows, best])

    for at in range(0, len(points), 64):
        which = np.arange(at, min(at + 64, len(points)))
        away = np.sqrt(sum((points[which, k, None] - middle[None, :, k]) ** 2 for k in range(3)))
        bound = np.maximum(away - reach, 0.0) ** 2
        if bound.shape[1] <= most:
            try_facets(which, np.tile(np.arange(bound.shape[1]), (len(which), 1)))
            continue
        some = np.argpartition(bound, most, axis=1)
        found = try_facets(which, some[:, :most])
        rest = np.take_along_axis(bound, some[:, most:], axis=1).min(axis=1)
        for i in np.flatnonzero(rest < found):
            try_facets(which[i : i + 1], np.flatnonzero(bound[i] <= found[i])[None])
    return np.einsum("ni,nij->nj", weights, tri[facets]), facets, weights


def _nearest_shares(points: FloatArray, tri: FloatArray) -> FloatArray:
    """Barycentric weights (..., 3) of the place on each triangle (..., 3, 3) that is nearest to its point (..., 3).

    Within the triangle that is the foot of the perpendicular; otherwise the nearest place on one of the edges.
    (Our own: importing a library for it would cost a short check a tenth of its time.)
    """
    a, ab, ac = tri[..., 0, :], tri[..., 1, :] - tri[..., 0, :], tri[..., 2, :] - tri[..., 0, :]
    ap = points - a
    aa, bb, mixed = (ab * ab).sum(-1), (ac * ac).sum(-1), (ab * ac).sum(-1)
    pa, pb = (ap * ab).sum(-1), (ap * ac).sum(-1)
    below = np.maximum(aa * bb - mixed * mixed, 1e-300)
    v, w = (bb * pa - mixed * pb) / below, (aa * pb - mixed * pa) / below
    best = np.stack([1 - v - w, v, w], axis=-1)
    outside = (best < 0).any(axis=-1)
    nearest2 = np.where(outside, np.inf, 0.0)
    for i, j in ((0, 1), (1, 2), (2, 0)):
        edge = tri[..., j, :] - tri[..., i, :]
        share = ((points - tri[..., i, :]) * edge).sum(-1) / np.maximum((edge * edge).sum(-1), 1e-300)
        share = np.clip(share, 0.0, 1.0)
        away2 = ((tri[..., i, :] + share[..., None] * edge - points) ** 2).sum(-1)
        on_edge = np.zeros_like(best)
        on_edge[..., i], on_edge[..., j] = 1 - share, share
        nearer = outside & (away2 < nearest2)
        best = np.where(nearer[..., None], on_edge, best)
        nearest2 = np.where(nearer, away2, nearest2)
    return best


def line_facing(line: Line, eyes: FloatArray) -> BoolArray:
    """Which samples (e, n) turn towards which eye; all of a two-sided line's do."""
    if line.two_sided:
        return np.ones((len(eyes), len(line.points)), dtype=bool)
    out = np.zeros((len(eyes), len(line.points)), dtype=bool)
    for normals in line.sides:
        out |= dots(eyes, normals) - np.einsum("ij,ij->i", line.points, normals) > 0
    return out


def line_unblocked(line: Line, seen: BoolArray, groups: Sequence[Blockers], eyes: FloatArray) -> BoolArray:
    """Which of the samples `seen` (e, n) still reach their eye past all groups."""
    for group in groups:
        rows, columns = np.nonzero(seen)
        if not len(rows):
            break
        points, targets = line.points[columns], eyes[rows]
        if line.two_sided:
            # On an open sheet the sample lies on the side that is looked at.
            behind = ~(np.einsum("ij,kij->ki", targets - points, line.sides[:, columns]) > 0).any(axis=0)
            points = points - 2 * LIFT_M * line.normals[columns] * behind[:, None]
        blocked = group.blocked_here(points, targets)
        seen = seen.copy()
        seen[rows[blocked], columns[blocked]] = False
    return seen


def measured(line: Line, seen: BoolArray, eyes: FloatArray) -> LineLeak:
    """How much of a line each eye (e, 3) sees, given the samples (e, n) that reach it."""
    distance = np.linalg.norm(eyes[:, None, :] - line.points[None], axis=2)
    # Along the line foreshortening is not taken off: doubt counts as seen.
    angles = np.where(seen, line.lengths / distance, 0.0)
    run_rad, run_m = _longest_runs(seen, angles, line)
    widest = np.where(seen, line.width_m / distance, 0.0).max(axis=1)
    return LineLeak(
        np.where(seen, line.lengths, 0.0).sum(axis=1), run_m, np.degrees(run_rad) * 60, np.degrees(widest) * 60,
        (angles * line.width_m / distance).sum(axis=1),
    )  # fmt: skip


def _longest_runs(seen: BoolArray, angles: FloatArray, line: Line) -> tuple[FloatArray, FloatArray]:
    """The longest unbroken stretch per eye, in radians and in metres; a ring runs on past its end."""
    count = len(line.points)
    run, run_m, best, best_m = (np.zeros(len(seen)) for _ in range(4))
    for k in range(2 * count if line.ring else count):
        column = seen[:, k % count]
        run = np.where(column, run + angles[:, k % count], 0.0)
        run_m = np.where(column, run_m + line.lengths[k % count], 0.0)
        longer = run > best
        best, best_m = np.where(longer, run, best), np.where(longer, run_m, best_m)
    # Going twice round counts a ring that is seen all round twice.
    return np.minimum(best, angles.sum(axis=1)), np.minimum(best_m, line.length_m)
