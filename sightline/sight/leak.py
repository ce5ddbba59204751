"""What of a surface reaches each eye: the kernel that every verdict rests on.

Work goes eye chunk by eye chunk on all cores; within a chunk a pair (eye, patch) is first asked whether the patch
turns towards the eye, and only then costs a ray. Results do not depend on the number of threads.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from sightline.geometry import solid_angle
from sightline.geometry.frame import FloatArray, dots
from sightline.sight.patches import Patches
from sightline.sight.rays import LIFT_M, Blockers, BoolArray, IndexArray, Result, on_all_cores, threads

# (eye, patch) pairs worked on at a time by one thread: small enough for caches, and it bounds the memory.
PAIRS_AT_A_TIME = 400_000


@dataclass(frozen=True)
class Pairs:
    """Pairs of eye `rows` and patch `columns` (n,), and for two-sided patches the `side` (n,) that is looked at."""

    rows: IndexArray
    columns: IndexArray
    side: FloatArray | None

    def only(self, keep: BoolArray) -> Pairs:
        return Pairs(self.rows[keep], self.columns[keep], None if self.side is None else self.side[keep])


@dataclass(frozen=True)
class Leak:
    """Per eye (e,): solid angle in sr, visible area in m2."""

    solid_angle_sr: FloatArray
    area_m2: FloatArray


def facing(patches: Patches, eyes: FloatArray, ruled_out: BoolArray | None = None) -> Pairs:
    """The pairs in which the patch turns its front, or for two-sided ones either side, to the eye (e, 3).

    Pairs `ruled_out` (e, p) are left away: they are known to be blocked.
    """
    some = np.arange(patches.count) if ruled_out is None else np.flatnonzero(~ruled_out.all(axis=0))
    heights = dots(eyes, patches.normals[some])
    heights -= np.einsum("ij,ij->i", patches.centres[some], patches.normals[some])
    towards = heights != 0.0 if patches.two_sided else heights > 0.0
    if ruled_out is not None:
        towards &= ~ruled_out[:, some]
    rows, columns = np.nonzero(towards)
    return Pairs(rows, some[columns], np.sign(heights[rows, columns]) if patches.two_sided else None)


def facing_among(patches: Patches, eyes: FloatArray, rows: IndexArray, columns: IndexArray) -> Pairs:
    """Of the pairs of eye `rows` and patch `columns` (n,), those in which the patch turns to the eye."""
    height = np.einsum("ij,ij->i", eyes[rows] - patches.centres[columns], patches.normals[columns])
    keep = height != 0.0 if patches.two_sided else height > 0.0
    return Pairs(rows[keep], columns[keep], np.sign(height[keep]) if patches.two_sided else None)


def expanded(
    rows: IndexArray, clusters: IndexArray, order: IndexArray, starts: IndexArray
) -> tuple[IndexArray, IndexArray, IndexArray]:
    """Pairs of row and cluster as pairs of row and patch; the cluster of each beside it."""
    sizes = starts[clusters + 1] - starts[clusters]
    total = int(sizes.sum())
    inside = np.arange(total) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    return np.repeat(rows, sizes), order[np.repeat(starts[clusters], sizes) + inside], np.repeat(clusters, sizes)


def any_facing(patches: Patches, eyes: FloatArray) -> BoolArray:
    """Whether any patch turns to the eye at all (e,)."""
    if patches.two_sided:
        return np.ones(len(eyes), dtype=bool)
    out = np.zeros(len(eyes), dtype=bool)
    own = np.einsum("ij,ij->i", patches.centres, patches.normals)
    # A few patches all over the surface turn to most eyes; only where none of them does all are asked.
    for step in (max(1, patches.count // 24), 1):
        left, some = np.flatnonzero(~out), slice(None, None, step)

        def work(part: slice, left: IndexArray = left, some: slice = some) -> None:
            heights = dots(eyes[left[part]], patches.normals[some]) - own[some]
            out[left[part]] = (heights > 0.0).any(axis=1)

        over_eyes(len(left), len(own[some]), work)
    return out


def origins(patches: Patches, pairs: Pairs) -> FloatArray:
    """Where the rays of the pairs start (n, 3): the patch's centre lifted towards the eye's side."""
    starts, which = _lifted(patches, pairs)
    return starts[which]


def _lifted(patches: Patches, pairs: Pairs) -> tuple[FloatArray, IndexArray]:
    """All centres lifted off their front, and for two-sided patches off their back too, and which each pair takes."""
    lift = patches.normals * LIFT_M
    if pairs.side is None:
        return patches.centres + lift, pairs.columns
    starts = np.concatenate([patches.centres + lift, patches.centres - lift])
    return starts, pairs.columns + patches.count * (pairs.side < 0)


def unblocked(patches: Patches, pairs: Pairs, groups: Sequence[Blockers], eyes: FloatArray) -> Pairs:
    """The pairs whose ray meets nothing of any group."""
    for group in groups:
        if not len(pairs.rows):
            break
        starts, which = _lifted(patches, pairs)
        pairs = pairs.only(~group.blocked_pairs(starts, which, eyes, pairs.rows))
    return pairs


def visible(patches: Patches, groups: Sequence[Blockers], eyes: FloatArray) -> BoolArray:
    """Which patches (e, p) reach which eye (e, 3) past all groups."""
    out = np.zeros((len(eyes), patches.count), dtype=bool)

    def work(part: slice) -> None:
        pairs = unblocked(patches, facing(patches, eyes[part]), groups, eyes[part])
        out[part.start + pairs.rows, pairs.columns] = True

    over_eyes(len(eyes), patches.count, work)
    return out


def pair_solid_angles(patches: Patches, eyes: FloatArray, pairs: Pairs) -> FloatArray:
    """Solid angle (n,) sr of each pair's patch from its eye, exact where the patch is near."""
    to_eye = eyes[pairs.rows] - patches.centres[pairs.columns]
    distance2 = np.einsum("ij,ij->i", to_eye, to_eye)
    distance = np.sqrt(distance2)
    slant = np.abs(np.einsum("ij,ij->i", to_eye, patches.normals[pairs.columns]))
    omega = patches.areas[pairs.columns] * slant / (distance2 * distance)
    near = distance < solid_angle.FAR * patches.radius_m[pairs.columns]
    if near.any():
        omega[near] = solid_angle.triangle(eyes[pairs.rows[near]], patches.corners[pairs.columns[near]])
    return np.asarray(omega)


def summed(patches: Patches, eyes: FloatArray, pairs: Pairs) -> tuple[FloatArray, FloatArray]:
    """Solid angle and area per eye (e,) over the pairs."""
    if not len(pairs.rows):
        return np.zeros(len(eyes)), np.zeros(len(eyes))
    omega, area = (
        np.bincount(pairs.rows, weights, len(eyes)).astype(float)
        for weights in (pair_solid_angles(patches, eyes, pairs), patches.areas[pairs.columns])
    )
    return omega, area


def leak_of(
    patches: Patches,
    groups: Sequence[Blockers],
    eyes: FloatArray,
    split: bool = False,
    ruled_out: BoolArray | None = None,
) -> Leak:
    """The leak of a surface to each eye (e, 3). With `split`, patches beside a visible one are looked at closer.

    Splitting only ever adds to the solid angle; areas stay on the base patches. Of pairs `ruled_out` (e, p) the
    patch's centre is known to be blocked; their parts are still looked at.
    """
    out = Leak(np.zeros(len(eyes)), np.zeros(len(eyes)))

    def work(part: slice) -> None:
        some = eyes[part]
        seen = unblocked(patches, facing(patches, some, None if ruled_out is None else ruled_out[part]), groups, some)
        omega, area = summed(patches, some, seen)
        if split and len(seen.rows):
            omega = omega + _split_gain(patches, groups, some, facing(patches, some), seen)
        out.solid_angle_sr[part], out.area_m2[part] = omega, area

    over_eyes(len(eyes), patches.count, work)
    return out


def eye_slices(eyes: int, patches: int) -> list[slice]:
    """Slices of eyes, each at most PAIRS_AT_A_TIME pairs, and enough of them that no core idles."""
    size = max(1, PAIRS_AT_A_TIME // max(1, patches))
    if eyes * patches > 20_000:
        size = max(1, min(size, -(-eyes // threads())))
    return [slice(at, min(at + size, eyes)) for at in range(0, eyes, size)]


def over_eyes(eyes: int, patches: int, work: Callable[[slice], Result]) -> list[Result]:
    """`work` over slices of eyes on all cores; results in order."""
    return on_all_cores(eye_slices(eyes, patches), work)


def _split_gain(
    patches: Patches, groups: Sequence[Blockers], eyes: FloatArray, front: Pairs, seen: Pairs
) -> FloatArray:
    """Solid angle (e,) added by the visible sixteenths of hidden patches that share a corner with a visible one."""
    shown = np.zeros((len(eyes), patches.count), dtype=bool)
    shown[seen.rows, seen.columns] = True
    keys = patches.corner_keys
    touched = np.zeros((len(eyes), int(keys.max()) + 1), dtype=bool)
    touched[seen.rows[:, None], keys[seen.columns]] = True
    near = touched[:, keys[:, 0]] | touched[:, keys[:, 1]] | touched[:, keys[:, 2]]
    todo = front.only((near & ~shown)[front.rows, front.columns])
    parts = patches.split()
    gain = np.zeros(len(eyes))
    for at in range(0, len(todo.rows), 20_000):
        here = Pairs(*(None if x is None else x[at : at + 20_000] for x in (todo.rows, todo.columns, todo.side)))  # type: ignore[arg-type]
        points = parts[here.columns].reshape(-1, 3)
        finer = Pairs(
            np.repeat(here.rows, 16),
            np.repeat(here.columns, 16),
            None if here.side is None else np.repeat(here.side, 16),
        )
        blocked = np.zeros(len(points), dtype=bool)
        for group in groups:
            free = np.flatnonzero(~blocked)
            part = finer.only(~blocked)
            up = patches.normals[part.columns] * LIFT_M
            starts = points[free] + (up if part.side is None else up * part.side[:, None])
            blocked[free] = group.blocked_here(starts, eyes[part.rows])
        share = (~blocked).reshape(-1, 16).mean(axis=1)
        gain += np.bincount(here.rows, share * pair_solid_angles(patches, eyes, here), len(eyes))
    return gain
