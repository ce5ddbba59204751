"""Sheets laid flat together: each as rigid as possible, both sides of every seam equally long."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.arap import Sheet, Springs
from sightline.pattern.conformal import conformal
from sightline.pattern.piece import Edge

IntArray = NDArray[np.int64]
# What may be left between the two sides of a seam: in all, and of one stretch between nodes.
WHOLE_OFF_M, STRETCH_OFF_SHARE = 0.0003, 0.005
# How stiff the sides of seams are, in rows of triangles; raised little by little, for a stiff edge that must give way
# at once buckles.
_STIFF = (0.5, 2.0, 10.0, 50.0, 250.0, 1250.0, 6250.0, 31250.0)


@dataclass(frozen=True)
class Patch:
    """What is laid flat: `vertices` (k, 3) m, `faces` (f, 3) wound outward, its edges and outline; `flat` (k, 2) once it is."""

    name: str
    vertices: FloatArray
    faces: IntArray
    edges: tuple[Edge, ...]
    outline: IntArray
    flat: FloatArray


Pair = tuple[tuple[int, IntArray], tuple[int, IntArray]]
"""Two edges that meet: (which patch, nodes (k,)) of either side."""


def flattened(patches: list[Patch], pairs: list[Pair], *, within: float = 1e-6) -> list[Patch]:
    """All patches flat, seen from outside. Raises SightlineError where two sides of a seam cannot be made to agree."""
    out = []
    for patch in patches:
        start = patch.flat
        if not len(start):
            start = conformal(patch.vertices, patch.faces, apart=far_apart(patch))
        out.append(replace(patch, flat=Sheet(patch.vertices, patch.faces).relaxed(start, within=within)))
    for stiff in _STIFF:
        worst = disagreement(out, pairs)
        if worst is None:
            return out
        out = _agreed(out, pairs, stiff, within)
    if disagreement(out, pairs, slack=2.0) is not None:
        names = " and ".join(sorted({out[which].name for which in disagreement(out, pairs) or ()}))
        raise SightlineError(
            f"The two sides of a seam of {names} do not come out equally long when they are laid flat; take another place for "
            "the seam, more panels, or more darts."
        )
    return out


def far_apart(patch: Patch) -> tuple[int, int]:
    """Two vertices of the outline as far from each other as may be found at once."""
    rim = patch.vertices[patch.outline]
    first = int(np.argmax(np.linalg.norm(rim - rim.mean(axis=0), axis=1)))
    second = int(np.argmax(np.linalg.norm(rim - rim[first], axis=1)))
    return int(patch.outline[first]), int(patch.outline[second])


def stretches(points: FloatArray, nodes: IntArray) -> FloatArray:
    """Lengths (k - 1,) between the nodes of an edge."""
    return np.asarray(np.linalg.norm(np.diff(points[nodes], axis=0), axis=1))


def disagreement(patches: list[Patch], pairs: list[Pair], slack: float = 1.0) -> tuple[int, int] | None:
    """The patches of the first seam whose sides differ by more than may be; None where all agree."""
    for (i, a), (j, b) in pairs:
        one, other = stretches(patches[i].flat, a), stretches(patches[j].flat, b)
        mean = (one + other) / 2.0
        if abs(one.sum() - other.sum()) > slack * WHOLE_OFF_M:
            return i, j
        if np.any(np.abs(one - other) > slack * STRETCH_OFF_SHARE * np.maximum(mean, mean.mean())):
            return i, j
    return None


def _agreed(patches: list[Patch], pairs: list[Pair], stiff: float, within: float) -> list[Patch]:
    """Laid again, every side of a seam drawn to the mean of both sides' lengths."""
    edges: list[list[IntArray]] = [[] for _ in patches]
    wanted: list[list[FloatArray]] = [[] for _ in patches]
    for (i, a), (j, b) in pairs:
        mean = (stretches(patches[i].flat, a) + stretches(patches[j].flat, b)) / 2.0
        for which, nodes in ((i, a), (j, b)):
            edges[which].append(np.stack([nodes[:-1], nodes[1:]], axis=1))
            wanted[which].append(mean)
    out = []
    for patch, pair, length in zip(patches, edges, wanted, strict=True):
        springs = Springs(np.concatenate(pair), np.concatenate(length), stiff) if pair else None
        flat = Sheet(patch.vertices, patch.faces, springs).relaxed(patch.flat, steps=12, within=10.0 * within)
        out.append(replace(patch, flat=flat))
    return out
