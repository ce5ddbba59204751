"""What of a surface reaches each eye: the visible patches, their area and their solid angle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.sight import solid_angle
from sightline.sight.patches import Patches
from sightline.sight.rays import LIFT_M, Blockers, BoolArray, IndexArray

# (eye, patch) pairs worked on at a time: bounds memory whatever the number of eyes.
PAIRS_AT_A_TIME = 2_000_000


@dataclass(frozen=True)
class Leak:
    """Per eye (e,): solid angle in sr, visible area in m2, and whether any patch turns towards the eye at all."""

    solid_angle_sr: FloatArray
    area_m2: FloatArray
    turned: BoolArray


def facing(patches: Patches, eyes: FloatArray) -> BoolArray:
    """Which patches (e, p) turn their front, or for two-sided ones either side, to which eye."""
    heights = eyes @ patches.normals.T - np.einsum("ij,ij->i", patches.centres, patches.normals)
    return heights != 0.0 if patches.two_sided else heights > 0.0


def starts(patches: Patches, points: FloatArray, eyes: FloatArray, which: IndexArray) -> FloatArray:
    """Ray origins: the points lifted off their patch towards the side of the eye."""
    normals = patches.normals[which]
    if patches.two_sided:
        side = np.sign(np.einsum("ij,ij->i", eyes - points, normals))
        normals = normals * side[:, None]
    return points + normals * LIFT_M


def visible(patches: Patches, blockers: list[Blockers], eyes: FloatArray, front: BoolArray | None = None) -> BoolArray:
    """Which patches (e, p) reach which eye (e, 3) past all blockers. `front` is `facing` where it is known."""
    seen = facing(patches, eyes) if front is None else front.copy()
    rows, columns = np.nonzero(seen)
    for group in blockers:
        if not len(rows):
            break
        origins = starts(patches, patches.centres[columns], eyes[rows], columns)
        free = ~group.blocked(origins, eyes[rows])
        seen[rows[~free], columns[~free]] = False
        rows, columns = rows[free], columns[free]
    return seen


def pair_solid_angles(patches: Patches, eyes: FloatArray, rows: IndexArray, columns: IndexArray) -> FloatArray:
    """Solid angle (n,) sr of patch `columns` from eye `rows`, exact where the patch is near."""
    to_eye = eyes[rows] - patches.centres[columns]
    distance2 = np.einsum("ij,ij->i", to_eye, to_eye)
    distance = np.sqrt(distance2)
    slant = np.abs(np.einsum("ij,ij->i", to_eye, patches.normals[columns]))
    omega = patches.areas[columns] * slant / (distance2 * distance)
    near = distance < solid_angle.FAR * patches.radius_m[columns]
    if near.any():
        omega[near] = solid_angle.triangle(eyes[rows[near]], patches.corners[columns[near]])
    return omega


def eye_chunks(eyes: int, patches: int) -> list[slice]:
    """Slices of eyes such that a chunk is never more than PAIRS_AT_A_TIME pairs."""
    size = max(1, PAIRS_AT_A_TIME // max(1, patches))
    return [slice(start, min(start + size, eyes)) for start in range(0, eyes, size)]


def leak_of(patches: Patches, blockers: list[Blockers], eyes: FloatArray, split: bool = False) -> Leak:
    """The leak of a surface to each eye (e, 3). With `split`, patches beside a visible one are looked at closer.

    Splitting only ever adds to the solid angle; areas stay on the base patches.
    """
    omega, area, turned = np.zeros(len(eyes)), np.zeros(len(eyes)), np.zeros(len(eyes), dtype=bool)
    beside = _beside(patches) if split and patches.count else None
    for part in eye_chunks(len(eyes), patches.count):
        some = eyes[part]
        front = facing(patches, some)
        turned[part] = front.any(axis=1)
        seen = visible(patches, blockers, some, front)
        rows, columns = np.nonzero(seen)
        if not len(rows):
            continue
        here = pair_solid_angles(patches, some, rows, columns)
        omega[part] += np.bincount(rows, here, len(some))
        area[part] += np.bincount(rows, patches.areas[columns], len(some))
        if beside is not None:
            omega[part] += _split_gain(patches, blockers, some, seen, beside)
    return Leak(omega, area, turned)


def _beside(patches: Patches) -> IndexArray:
    """Pairs (n, 2) of patches that lie beside each other."""
    from scipy.spatial import cKDTree

    reach = 3.0 * float(np.median(patches.radius_m))
    return np.asarray(cKDTree(patches.centres).query_pairs(reach, output_type="ndarray"), dtype=np.intp)


def _split_gain(
    patches: Patches, blockers: list[Blockers], eyes: FloatArray, seen: BoolArray, beside: IndexArray
) -> FloatArray:
    """Solid angle (e,) added by the visible sixteenths of hidden patches beside visible ones."""
    a, b = beside[:, 0], beside[:, 1]
    near = np.zeros_like(seen)
    for row in np.flatnonzero(seen.any(axis=1)):
        near[row, a[seen[row, b]]] = True
        near[row, b[seen[row, a]]] = True
    rows, columns = np.nonzero(near & ~seen & facing(patches, eyes))
    if not len(rows):
        return np.zeros(len(eyes))
    parts = patches.split()
    gain = np.zeros(len(eyes))
    for at in range(0, len(rows), 50_000):
        r, c = rows[at : at + 50_000], columns[at : at + 50_000]
        points, targets, which = parts[c].reshape(-1, 3), np.repeat(eyes[r], 16, axis=0), np.repeat(c, 16)
        blocked = np.zeros(len(points), dtype=bool)
        for group in blockers:
            todo = np.flatnonzero(~blocked)
            blocked[todo] = group.blocked(starts(patches, points[todo], targets[todo], which[todo]), targets[todo])
        share = (~blocked).reshape(-1, 16).mean(axis=1)
        gain += np.bincount(r, share * pair_solid_angles(patches, eyes, r, c), len(eyes))
    return gain
