"""Direction fields: from which directions the act itself shows a secret, sampled once and asked for every placement.

Performer, prop and limbs are small and rigid during a pose, so for an eye outside them it depends on direction alone
whether they hide a patch. Patches within a few centimetres share one map of all directions. For every cell of it the
map holds how many cells away the nearest direction is from which anything shows. What is far from any such direction
is settled as hidden; all else goes to exact rays. Scenery can only hide more, and is left to exact rays as well.
Holes narrower than a cell are found along the outlines of what covers (`peepholes`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray, dots
from sightline.geometry.mesh import Cover
from sightline.moment import Secret
from sightline.sight import octahedral
from sightline.sight.fieldcache import FieldCache, digest
from sightline.sight.leak import expanded, eye_slices, facing, facing_among, unblocked
from sightline.sight.lines import line_facing, line_unblocked
from sightline.sight.peepholes import Edges, Showing, beside, edges_of, outlines, peepholes
from sightline.sight.prepared import PreparedLine, PreparedSurface
from sightline.sight.rays import Blockers, IndexArray, on_all_cores
from sightline.sight.scenery import Scenery
from sightline.sight.shields import Clusters

SIDE = 64
CLUSTER_M = 0.05
# Rays of a field end so far away that all patches see their end in one direction, within a thousandth of a radian.
FAR_M = 1_000.0
FAR_TARGETS_PER_CLUSTER = 40
# A field serves only eyes this far outside the act.
CLEAR_OF_ACT_M = 0.10
MOST_RINGS = 15
# A cell is hidden only if its eight neighbours are as well.
RINGS = 2
# Clusters within cubes of this size look for peepholes together.
NEIGHBOURS_M = 0.10


@dataclass(frozen=True)
class Field:
    """One secret in one pose. Clusters of patches: `centres` (k, 3) and `reach_m` (k,) from there to the farthest patch.

    `of` (p,) is each patch's cluster. `rings` (k, side^2): how many cells from each to the nearest one from which
    something of the cluster shows, at most MOST_RINGS. `glow_m2` (k, (side/2)^2): projected area that shows, for
    cells twice as wide. The patches `peep_of` (n,) show through peepholes, past the points `peep_at_m` (n, 3); `wide`
    (k, side^2) are the cells in which something shows otherwise.
    """

    side: int
    of: IndexArray
    centres: FloatArray
    reach_m: FloatArray
    rings: NDArray[np.uint8]
    glow_m2: NDArray[np.float32]
    peep_of: IndexArray
    peep_at_m: FloatArray
    wide: NDArray[np.bool_]

    @cached_property
    def members(self) -> tuple[IndexArray, IndexArray]:
        """Patches in order of cluster, and where each cluster starts (k + 1,)."""
        return _members(self.of, len(self.centres))

    def lit(self, k: int) -> IndexArray:
        """The cells from which something of a cluster shows at their middle or a corner."""
        return np.flatnonzero(self.wide[k])

    def cells(self, eyes: FloatArray) -> tuple[IndexArray, FloatArray]:
        """Cell of the direction, and distance m, from every cluster to every eye: both (e, k)."""
        step = eyes[:, None, :] - self.centres[None]
        distance = np.sqrt(np.einsum("ekx,ekx->ek", step, step))
        return octahedral.cells(step[..., 0], step[..., 1], step[..., 2], self.side), distance

    def unsettled(self, eyes: FloatArray, stray_m: float, near: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """The pairs of eye and cluster (e, k) that the field cannot call hidden.

        `stray_m` is how far a head moves about its eye (e, 3); `near` (e,) marks eyes that no field serves.
        """
        cell, distance = self.cells(eyes)
        rings = self.rings[np.arange(len(self.centres)), cell]
        aside = (self.reach_m + stray_m) / np.maximum(distance - stray_m, 1e-3)
        needed = RINGS + np.floor(aside / octahedral.narrowest_rad(self.side) + 0.5)
        return np.asarray((rings < needed) | near[:, None])

    def glow_sr(self, eyes: FloatArray) -> FloatArray:
        """About how large (e,), in sr, what shows is from each eye, scenery left away: for ranking only."""
        cell, distance = self.cells(eyes)
        row, column = cell // self.side // 2, cell % self.side // 2
        glow = self.glow_m2[np.arange(len(self.centres)), row * (self.side // 2) + column]
        return np.asarray((glow / distance**2).sum(axis=1))


class Fields:
    """The fields of an act in its own frame, each made or fetched when first asked for."""

    def __init__(self, scenery: Scenery, side: int = SIDE, cache: FieldCache | None = None):
        self.scenery, self.side, self.cache = scenery, side, cache
        self._fields: dict[tuple[int, int], Field] = {}

    def of(self, secret: Secret, pose: int, moves: bool) -> Field:
        """The field of a secret in a pose; for one that stays in place, of what stands still alone (`moves` False)."""
        key = (id(secret), pose if moves else -1)
        if key not in self._fields:
            groups = [self.scenery.still, *([self.scenery.pose(pose)[1]] if moves else [])]
            ready = self.scenery.prepared(secret, pose)
            name = digest(
                self.side, self._still, points_of(ready), *_arrays(self.scenery.pose(pose)[0] if moves else [])
            )
            stored = self.cache.fetch(name) if self.cache else None
            made = _stored(stored, ready, self.side) if stored else None
            if made is None:
                covers = self.scenery.pose(pose)[0] if moves else []
                edges = Edges.joined([self._still_edges, edges_of([cover.mesh for cover in covers])])
                made = build(ready, self.scenery, groups, self.side, edges)
                if self.cache:
                    self.cache.store(name, _to_store(made))
            self._fields[key] = made
        return self._fields[key]

    @cached_property
    def _still(self) -> str:
        """A name for what stands still: most of what blocks, and the same for every pose."""
        return digest(*_arrays(self.scenery.still_covers))

    @cached_property
    def _still_edges(self) -> Edges:
        return edges_of([cover.mesh for cover in self.scenery.still_covers])

    @cached_property
    def _supports(self) -> tuple[FloatArray, FloatArray]:
        """Directions (26, 3) and how far the act reaches along each (26,)."""
        steps = np.array([[x, y, z] for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if x or y or z], float)
        steps /= np.linalg.norm(steps, axis=1, keepdims=True)
        covers = [
            *self.scenery.still_covers,
            *[c for i in range(len(self.scenery.moment.poses)) for c in self.scenery.pose(i)[0]],
        ]
        reach = [dots(c.mesh.vertices, steps).max(axis=0) for c in covers if len(c.mesh.vertices)]
        secrets = [s.path for s in self.scenery.moment.still.secrets if s.path is not None]
        reach += [dots(path, steps).max(axis=0) for path in secrets]
        return steps, np.max(reach, axis=0) if reach else np.zeros(len(steps))

    def near(self, eyes: FloatArray, stray_m: float) -> NDArray[np.bool_]:
        """Which eyes (e, 3) are too near the act, or inside it, for direction alone to tell."""
        steps, reach = self._supports
        return np.asarray((dots(eyes, steps) <= reach + CLEAR_OF_ACT_M + stray_m).all(axis=1))


def _members(of: IndexArray, count: int) -> tuple[IndexArray, IndexArray]:
    """Patches in order of their cluster (p,), and where each of `count` clusters starts (count + 1,)."""
    order = np.argsort(of, kind="stable")
    return order, np.searchsorted(of[order], np.arange(count + 1))


def _arrays(covers: list[Cover]) -> list[NDArray[Any]]:
    return [array for cover in covers for array in (cover.mesh.vertices, cover.mesh.faces)]


def build(
    ready: PreparedSurface | PreparedLine, scenery: Scenery, groups: list[Blockers], side: int, edges: Edges
) -> Field:
    """Cast the rays of one field: from every patch to the corners and the middle of every cell.

    First every other corner, and the corner between them, which are the middles of cells twice as wide; then, near
    where a cluster shows anything, all the rest; then close by the `edges` of what covers, where nothing showed so far.
    """
    of, centres, reach = _clusters(points_of(ready))
    count, half = len(centres), side // 2
    order, starts = _members(of, count)
    corner = np.zeros((count, side + 1, side + 1), dtype=bool)
    i, j = np.indices((side + 1, side + 1))
    glow = np.zeros((count, half, half), dtype=np.float32)
    at = octahedral.corner_directions(side).reshape(side + 1, side + 1, 3) * FAR_M
    for first, middles in ((0, False), (1, True)):
        rough = (i % 2 == first) & (j % 2 == first)
        shown, area = _cast(ready, scenery, groups, at[rough], of, count)
        corner[:, rough] = shown
        if middles:
            glow[:] = area.reshape(count, half, half)
    ends, wide = corner[:, ::2, ::2], corner[:, 1::2, 1::2]
    wide = wide | ends[:, 1:, 1:] | ends[:, 1:, :-1] | ends[:, :-1, 1:] | ends[:, :-1, :-1]
    near = octahedral.spread(wide).repeat(2, axis=1).repeat(2, axis=2)
    cells = _of_corners(corner)
    todo = near & ~cells
    # The corners not yet asked about of the cells in doubt, then, where those show nothing, their middles.
    touched = np.zeros_like(corner)
    for rows in (slice(None, -1), slice(1, None)):
        for columns in (slice(None, -1), slice(1, None)):
            touched[:, rows, columns] |= todo
    fine = (i + j) % 2 == 1
    corner[:, fine] = _cast_some(ready, groups, at[fine], touched[:, fine], order, starts)
    cells = _of_corners(corner)
    left = (todo & ~cells).reshape(count, side * side)
    middle = octahedral.centre_directions(side) * FAR_M
    cells |= _cast_some(ready, groups, middle, left, order, starts).reshape(cells.shape)
    wide = cells.reshape(count, side * side).copy()
    peep_of, peep_at_m = _peep(ready, groups, edges, of, centres, cells)
    return Field(side, of, centres, reach, _rings(cells), glow.reshape(count, half * half), peep_of, peep_at_m, wide)


def _peep(
    ready: PreparedSurface | PreparedLine,
    groups: list[Blockers],
    edges: Edges,
    of: IndexArray,
    centres: FloatArray,
    cells: NDArray[np.bool_],
) -> tuple[IndexArray, FloatArray]:
    """Which patches (n,) show through peepholes, past which points (n, 3); their cells (k, side, side) are marked."""
    side = cells.shape[-1]
    # About wide regions that show rays are cast anyway; a few cells by themselves may be a hole, which is looked at closely.
    open_wide = ~octahedral.spread(~cells)
    known = octahedral.spread(octahedral.spread(open_wide)).reshape(len(cells), side * side)
    flat = cells.reshape(len(cells), side * side)
    _, among = np.unique(np.floor(centres / NEIGHBOURS_M).astype(np.int64), axis=0, return_inverse=True)
    among = among.reshape(-1)

    def work(group: int) -> tuple[IndexArray, FloatArray]:
        some, mine = np.flatnonzero(among == group), np.flatnonzero(among[of] == group)
        middle = centres[some].mean(axis=0)
        targets = beside(outlines(edges, middle), middle)
        targets = targets[~known[some, _cells(targets[:, None] - centres[some], side)].all(axis=1)]
        rows, which, toward = peepholes(Showing.of(ready, mine), groups, targets, FAR_M)
        spot, cell = mine[which], _cells(toward, side)
        flat[of[spot], cell] = True
        # One patch of a cluster stands for all of it.
        _, one = np.unique(np.stack([of[spot], rows]), axis=1, return_index=True)
        return spot[one], targets[rows[one]]

    found = on_all_cores(range(int(among.max()) + 1 if len(among) else 0), work)
    if not found:
        return np.zeros(0, dtype=np.intp), np.zeros((0, 3))
    return np.concatenate([spot for spot, _ in found]), np.concatenate([at_m for _, at_m in found])


def _of_corners(corner: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Cells (k, side, side) of which any corner (k, side + 1, side + 1) is marked."""
    return corner[:, 1:, 1:] | corner[:, 1:, :-1] | corner[:, :-1, 1:] | corner[:, :-1, :-1]


def _cast(
    ready: PreparedSurface | PreparedLine,
    scenery: Scenery,
    groups: list[Blockers],
    targets: FloatArray,
    of: IndexArray,
    count: int,
) -> tuple[NDArray[np.bool_], NDArray[np.float32]]:
    """What of each cluster shows to targets (t, 3): whether any, and the projected area in m2, both (k, t)."""
    shown = np.zeros((count, len(targets)), dtype=bool)
    area = np.zeros((count, len(targets)), dtype=np.float32)
    if not count:
        return shown, area
    ruled_out, eyes = None, Clusters.over(targets[None], FAR_TARGETS_PER_CLUSTER)
    if isinstance(ready, PreparedSurface):
        ruled_out = scenery.shields.hide_patches(ready.patches, eyes)

    def work(part: slice) -> None:
        some = targets[part]
        size = part.stop - part.start
        if isinstance(ready, PreparedSurface):
            patches = ready.patches
            out = None if ruled_out is None else ruled_out[eyes.of[part]]
            seen = unblocked(patches, facing(patches, some, out), groups, some)
            rows, columns = seen.rows, seen.columns
            slant = np.abs(np.einsum("ij,ij->i", some[rows], patches.normals[columns])) / FAR_M
            weight = slant * patches.areas[columns]
        else:
            line = ready.line
            rows, columns = np.nonzero(line_unblocked(line, line_facing(line, some), groups, some))
            weight = line.lengths[columns] * line.width_m
        flat = of[columns] * size + rows
        area[:, part] = np.bincount(flat, weight, count * size).reshape(count, size)
        shown[:, part] = np.bincount(flat, minlength=count * size).reshape(count, size) > 0

    on_all_cores(eye_slices(len(targets), ready.count), work)
    return shown, area


def _cast_some(
    ready: PreparedSurface | PreparedLine,
    groups: list[Blockers],
    targets: FloatArray,
    wanted: NDArray[np.bool_],
    order: IndexArray,
    starts: IndexArray,
) -> NDArray[np.bool_]:
    """Whether any of a cluster shows to a target, for the pairs `wanted` (k, t); False for the others."""
    shown = np.zeros_like(wanted)

    def work(part: slice) -> None:
        some = targets[part]
        rows, clusters = np.nonzero(wanted[:, part].T)
        rows, columns, clusters = expanded(rows, clusters, order, starts)
        if isinstance(ready, PreparedSurface):
            of_column = np.empty(ready.count, dtype=np.intp)
            of_column[columns] = clusters
            seen = unblocked(ready.patches, facing_among(ready.patches, some, rows, columns), groups, some)
            shown[of_column[seen.columns], part.start + seen.rows] = True
        else:
            asked = np.zeros((len(some), len(ready.line.points)), dtype=bool)
            asked[rows, columns] = True
            of_column = np.empty(len(ready.line.points), dtype=np.intp)
            of_column[columns] = clusters
            found = np.nonzero(line_unblocked(ready.line, line_facing(ready.line, some) & asked, groups, some))
            shown[of_column[found[1]], part.start + found[0]] = True

    on_all_cores(eye_slices(len(targets), ready.count), work)
    return shown


def _rings(cells: NDArray[np.bool_]) -> NDArray[np.uint8]:
    """Steps (k, side^2) from each cell to the nearest marked one."""
    out = np.full(cells.shape, MOST_RINGS, dtype=np.uint8)
    for ring in range(MOST_RINGS):
        out[cells & (out == MOST_RINGS)] = ring
        if cells.all():
            break
        cells = octahedral.spread(cells)
    return out.reshape(len(out), cells.shape[1] * cells.shape[2])


def points_of(ready: PreparedSurface | PreparedLine) -> FloatArray:
    """The spots (p, 3) of a secret that rays start from."""
    return ready.patches.centres if isinstance(ready, PreparedSurface) else ready.line.points


def _cells(directions: FloatArray, side: int) -> IndexArray:
    """The cell of each direction (..., 3)."""
    return octahedral.cells(directions[..., 0], directions[..., 1], directions[..., 2], side)


def _clusters(points: FloatArray) -> tuple[IndexArray, FloatArray, FloatArray]:
    """Patches gathered by cubes whose diagonal is CLUSTER_M: cluster of each, centres, reach."""
    if not len(points):
        return np.zeros(0, dtype=np.intp), np.zeros((0, 3)), np.zeros(0)
    cube = np.floor(points / (CLUSTER_M / math.sqrt(3.0))).astype(np.int64)
    _, of = np.unique(cube, axis=0, return_inverse=True)
    of = of.reshape(-1)
    count = int(of.max()) + 1
    sizes = np.bincount(of, minlength=count)
    centres = np.column_stack([np.bincount(of, points[:, i], count) for i in range(3)]) / sizes[:, None]
    reach = np.zeros(count)
    np.maximum.at(reach, of, np.linalg.norm(points - centres[of], axis=1))
    return of, centres, reach


def _stored(stored: dict[str, NDArray[np.generic]], ready: PreparedSurface | PreparedLine, side: int) -> Field | None:
    """The field as stored, unless what was stored is no such field."""
    of, centres, reach = _clusters(points_of(ready))
    rings, glow = stored.get("rings"), stored.get("glow")
    peep_of, peep_at_m = stored.get("peep_of"), stored.get("peep_at_m")
    if rings is None or glow is None or rings.shape != (len(centres), side * side) or rings.dtype != np.uint8:
        return None
    if glow.shape != (len(centres), side * side // 4):
        return None
    if peep_of is None or peep_at_m is None or peep_at_m.shape != (*peep_of.shape, 3):
        return None
    if len(peep_of) and not 0 <= int(peep_of.min()) <= int(peep_of.max()) < len(of):
        return None
    at_m = peep_at_m.astype(float)
    wide = stored.get("wide")
    if wide is None or wide.shape != rings.shape or wide.dtype != bool:
        return None
    return Field(
        side, of, centres, reach, rings.astype(np.uint8), glow.astype(np.float32), peep_of.astype(np.intp), at_m,
        wide.astype(bool),
    )  # fmt: skip


def _to_store(field: Field) -> dict[str, NDArray[Any]]:
    return {
        "rings": field.rings, "glow": field.glow_m2.astype(np.float16), "peep_of": field.peep_of,
        "peep_at_m": field.peep_at_m, "wide": field.wide,
    }  # fmt: skip
