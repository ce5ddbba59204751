"""Slits: gaps between two covers that are too narrow for samples, however long; a thorough look goes after them.

From the middle of each patch three spokes run to the middles of its sides. Where a spoke passes from behind one cover to
behind another, the place of the change is halved until it is known to half of SLIT_M: a gap between the two that is as
wide as SLIT_M on the spoke has a clear place there, which a ray then finds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.sight.leak import facing, over_eyes
from sightline.sight.patches import Patches
from sightline.sight.rays import LIFT_M, Blockers, BoolArray, IndexArray, nearest_mesh

# Narrower gaps are not told from the way in which meshes meet: rays start half as far off their surface.
SLIT_M = 2 * LIFT_M
# How much finer a slit's own edges are found than the slit is looked for, in halvings.
FINER = 4
# Patches no longer than this: between two spokes a gap is crossed by one of them or shorter than a patch.
SPACING_M = 0.010
CLEAR = -1


@dataclass(frozen=True)
class _Spokes:
    """Spokes (n,): the eye and patch of each, its `start` and `step` (n, 3), and what covers either end (CLEAR: nothing)."""

    eye: IndexArray
    patch: IndexArray
    start: FloatArray
    step: FloatArray
    at_start: IndexArray
    at_end: IndexArray

    def only(self, keep: BoolArray | IndexArray) -> _Spokes:
        return _Spokes(*(getattr(self, key)[keep] for key in self.__dataclass_fields__))


def open_slits(patches: Patches, eyes: FloatArray, groups: Sequence[Blockers]) -> tuple[FloatArray, FloatArray]:
    """What eyes (e, 3) see through slits: visible area (e,) in m2 and solid angle (e,) in sr, from below a whole patch up."""
    area, angle = np.zeros(len(eyes)), np.zeros(len(eyes))

    def work(part: slice) -> None:
        some = eyes[part]
        spokes = _spokes(patches, some, groups)
        share = _clear_share(spokes, some, groups)
        # Half of a slit may lie on the next patch; a tenth less, for its edges are not found exactly.
        shown = np.flatnonzero(share * np.linalg.norm(spokes.step, axis=1) >= 0.4 * SLIT_M)
        if not len(shown):
            return
        patch, eye = spokes.patch[shown], spokes.eye[shown]
        # Each spoke stands for a third of its patch.
        size = share[shown] * patches.areas[patch] / 3.0
        toward = some[eye] - patches.centres[patch]
        far = np.linalg.norm(toward, axis=1)
        slant = np.abs(np.einsum("ij,ij->i", toward, patches.normals[patch])) / far
        area[part] = np.bincount(eye, size, len(some))
        angle[part] = np.bincount(eye, size * slant / far**2, len(some))

    over_eyes(len(eyes), 4 * patches.count, work)
    return area, angle


def _cover(places: FloatArray, eyes: FloatArray, groups: Sequence[Blockers]) -> IndexArray:
    """What covers each place (n, 3) from its eye (n, 3): the number of the mesh nearest to the place; CLEAR: none."""
    return nearest_mesh(groups, places, eyes)[0]


def _spokes(patches: Patches, eyes: FloatArray, groups: Sequence[Blockers]) -> _Spokes:
    """Those spokes of which anything may be clear: not both of their ends are behind the same cover."""
    pairs = facing(patches, eyes)
    side = np.ones(len(pairs.rows)) if pairs.side is None else pairs.side
    lift = patches.normals[pairs.columns] * (side * LIFT_M)[:, None]
    corners = patches.corners[pairs.columns]
    middle = patches.centres[pairs.columns] + lift
    ends = (corners + np.roll(corners, -1, axis=1)) / 2.0 + lift[:, None]
    eye = np.repeat(pairs.rows, 3)
    start, end = np.repeat(middle, 3, axis=0), ends.reshape(-1, 3)
    spokes = _Spokes(
        eye, np.repeat(pairs.columns, 3), start, end - start,
        np.repeat(_cover(middle, eyes[pairs.rows], groups), 3), _cover(end, eyes[eye], groups),
    )  # fmt: skip
    return spokes.only((spokes.at_start != spokes.at_end) | (spokes.at_start == CLEAR))


def _clear_share(spokes: _Spokes, eyes: FloatArray, groups: Sequence[Blockers]) -> FloatArray:
    """The share (n,) of each spoke on which nothing covers it, about the first clear place that is found."""
    count = len(spokes.eye)
    low, high = np.zeros(count), np.ones(count)
    clear = np.full(count, np.nan)
    clear[spokes.at_end == CLEAR] = 1.0
    clear[spokes.at_start == CLEAR] = 0.0
    length = np.linalg.norm(spokes.step, axis=1)
    halvings = int(np.ceil(np.log2(max(2.0, float(length.max(initial=0.0)) / (SLIT_M / 2)))))
    for _ in range(halvings):
        todo = np.flatnonzero(np.isnan(clear))
        if not len(todo):
            break
        at = (low[todo] + high[todo]) / 2
        found = _cover(_places(spokes, todo, at), eyes[spokes.eye[todo]], groups)
        clear[todo[found == CLEAR]] = at[found == CLEAR]
        before = (found == spokes.at_start[todo]) & (found != CLEAR)
        low[todo[before]] = at[before]
        high[todo[~before & (found != CLEAR)]] = at[~before & (found != CLEAR)]
    some = np.flatnonzero(~np.isnan(clear))

    def edge(at: IndexArray, covered: FloatArray, beyond: float) -> FloatArray:
        """Where the clear ends on the side of `covered`; at the spoke's own end, `beyond`, where that is clear as well."""
        behind = np.where(at[some] == CLEAR, np.nan, covered[some])
        found = _edge(spokes, eyes, groups, some, clear[some], behind, halvings + FINER)
        return np.where(np.isnan(found), beyond, found)

    out = np.zeros(count)
    out[some] = edge(spokes.at_end, high, 1.0) - edge(spokes.at_start, low, 0.0)
    return out


def _edge(
    spokes: _Spokes, eyes: FloatArray, groups: Sequence[Blockers], which: IndexArray, clear: FloatArray, covered: FloatArray, halvings: int
) -> FloatArray:  # fmt: skip
    """Where on the spokes `which`, between a clear place and a covered one (n,), the clear ends; NaN where none is covered."""
    clear, covered = clear.copy(), covered.copy()
    todo = np.flatnonzero(~np.isnan(covered))
    for _ in range(halvings if len(todo) else 0):
        at = (clear[todo] + covered[todo]) / 2
        open_there = _cover(_places(spokes, which[todo], at), eyes[spokes.eye[which[todo]]], groups) == CLEAR
        clear[todo[open_there]] = at[open_there]
        covered[todo[~open_there]] = at[~open_there]
    return np.where(np.isnan(covered), np.nan, clear)


def _places(spokes: _Spokes, which: IndexArray, share: FloatArray) -> FloatArray:
    return np.asarray(spokes.start[which] + spokes.step[which] * share[:, None])
