"""The rays behind the page's fields: what of each piece of a secret shows in which direction, in any pose."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.sight.leak import expanded, facing_among, unblocked
from sightline.sight.lines import line_unblocked
from sightline.sight.prepared import PreparedLine, PreparedSurface
from sightline.sight.rays import Blockers, BoolArray, IndexArray, on_all_cores

# Rays end so far away that all pieces see their end in one direction, within a thousandth of a radian.
FAR_M = 1_000.0
PAIRS_AT_A_TIME = 1_500_000

Part = tuple[PreparedSurface | PreparedLine, list[list[Blockers]]]
"""A secret cut up, and the groups of blockers of every pose in which it is so."""


def points_of(ready: PreparedSurface | PreparedLine) -> FloatArray:
    return ready.patches.centres if isinstance(ready, PreparedSurface) else ready.line.points


def over_all(
    ready: PreparedSurface | PreparedLine,
    poses: list[list[Blockers]],
    ways: FloatArray,
    of: IndexArray,
    known: BoolArray,
    sized: bool,
) -> tuple[BoolArray, FloatArray]:
    """What of each piece shows in which of all directions `ways` (d, 3): whether (k, d), and how much (k, d).

    Unless `sized`, pieces `known` to show (k, d) are not asked again.
    """  # fmt: skip
    count, targets = len(known), ways * FAR_M
    shown, much = np.zeros_like(known), np.zeros(known.shape)
    step = max(1, PAIRS_AT_A_TIME // max(len(of), 1))
    slices = [slice(at, at + step) for at in range(0, len(ways), step)]

    def work(part: slice) -> None:
        some = targets[part]
        front = _fronts(ready, ways[part])
        if not sized:
            front &= ~known[:, part].T[:, of]
        rows, columns = np.nonzero(front)
        rows, columns = _free(ready, poses, some, rows, columns)
        flat = of[columns] * len(some) + rows
        weight = _weights(ready, ways[part], rows, columns)
        much[:, part] = np.bincount(flat, weight, count * len(some)).reshape(count, -1)
        shown[:, part] = np.bincount(flat, minlength=count * len(some)).reshape(count, -1) > 0

    on_all_cores(slices, work)
    return shown, much


def _fronts(ready: PreparedSurface | PreparedLine, ways: FloatArray) -> BoolArray:
    """Which patches or samples (d, n) turn to each direction."""
    if isinstance(ready, PreparedLine):
        if ready.line.two_sided:
            return np.ones((len(ways), ready.count), dtype=bool)
        return np.asarray(np.any([ways @ normals.T > 0 for normals in ready.line.sides], axis=0))
    two, normals = ready.patches.two_sided, ready.patches.normals
    return np.ones((len(ways), len(normals)), dtype=bool) if two else np.asarray(ways @ normals.T > 0)


def _free(
    ready: PreparedSurface | PreparedLine,
    poses: Sequence[Sequence[Blockers]],
    targets: FloatArray,
    rows: IndexArray,
    columns: IndexArray,
) -> tuple[IndexArray, IndexArray]:
    """Of the pairs of target and patch those that are free in any pose. What blocks in all poses is asked once."""  # fmt: skip
    if isinstance(ready, PreparedSurface):
        pairs = facing_among(ready.patches, targets, rows, columns)
        pairs = unblocked(ready.patches, pairs, [poses[0][0]], targets)
        if not len(pairs.rows) or len(poses[0]) == 1:
            return pairs.rows, pairs.columns
        left = np.ones(len(pairs.rows), dtype=bool)
        key = pairs.rows.astype(np.int64) * ready.count + pairs.columns
        for groups in poses:
            asked = pairs.only(left)
            free = unblocked(ready.patches, asked, groups[1:], targets)
            left &= ~np.isin(key, free.rows.astype(np.int64) * ready.count + free.columns)
            if not left.any():
                break
        return pairs.rows[~left], pairs.columns[~left]
    seen = np.zeros((len(targets), ready.count), dtype=bool)
    seen[rows, columns] = True
    seen = line_unblocked(ready.line, seen, [poses[0][0]], targets)
    anyhow = np.zeros_like(seen)
    for groups in poses:
        anyhow |= line_unblocked(ready.line, seen & ~anyhow, groups[1:], targets)
    found = np.nonzero(anyhow)
    return found[0], found[1]


def _weights(
    ready: PreparedSurface | PreparedLine, ways: FloatArray, rows: IndexArray, columns: IndexArray
) -> FloatArray:
    """How large each pair looks from afar: projected area in m2, of a line projected length in m."""
    if isinstance(ready, PreparedSurface):
        slant = np.abs(np.einsum("ij,ij->i", ways[rows], ready.patches.normals[columns]))
        return np.asarray(slant * ready.patches.areas[columns])
    line = ready.line
    along = np.gradient(line.points, axis=0) if len(line.points) > 1 else np.zeros_like(line.points)
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    cosine = np.einsum("ij,ij->i", ways[rows], along[columns])
    return np.asarray(np.sqrt(np.maximum(1 - cosine**2, 0.0)) * line.lengths[columns])


def asked_finely(
    parts: list[Part], of_part: list[IndexArray], fine: FloatArray, rows: IndexArray, cells: IndexArray
) -> BoolArray:
    """Whether anything of piece `rows` (m,) shows in each fine direction of cell `cells` (m,): (m, FINER^2)."""
    out = np.zeros((len(rows), fine.shape[1]), dtype=bool)
    slices = [slice(at, at + 600) for at in range(0, len(rows), 600)]

    def work(part: slice) -> None:
        here, ways = rows[part], fine[cells[part]].reshape(-1, 3)
        piece = np.repeat(here, fine.shape[1])
        open_ = np.ones(len(ways), dtype=bool)
        for (ready, poses), of in zip(parts, of_part, strict=True):
            order = np.argsort(of, kind="stable")
            starts = np.searchsorted(of[order], np.arange(int(rows.max()) + 2))
            asked = np.flatnonzero(open_)
            if not len(asked):
                break
            some, columns, _ = expanded(asked, piece[asked], order, starts)
            sides = ready.patches.normals[None] if isinstance(ready, PreparedSurface) else ready.line.sides
            two = ready.patches.two_sided if isinstance(ready, PreparedSurface) else ready.line.two_sided
            front = np.ones(len(some), bool)
            if not two:
                front = (np.einsum("ij,kij->ki", ways[some], sides[:, columns]) > 0).any(axis=0)
            free, _ = _free(ready, poses, ways * FAR_M, some[front], columns[front])
            open_[free] = False
        out[part] = (~open_).reshape(-1, fine.shape[1])

    on_all_cores(slices, work)
    return out
