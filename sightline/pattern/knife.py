"""Flat sections of a mesh round an axis: the loop that is the limb's skin, read at even angles."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh
from sightline.pattern.tube import where_words

# Corners nearer than this are one corner: scans often come with every triangle on its own.
_MERGE_M = 1e-7


class Cut(NamedTuple):
    """One plane: `at` (3,) on the bone, `normal` (3,) from shoulder to wrist or back, `along` and `out` (3,) the bone's axes,
    `share` of the limb for words."""

    at: FloatArray
    normal: FloatArray
    along: FloatArray
    out: FloatArray
    share: float


class NotClosed(SightlineError):
    """A section that is no closed loop round the bone."""


class Knife:
    """Cuts a limb's mesh. `long_m` is the limb's length, for words."""

    def __init__(self, name: str, mesh: Mesh, long_m: float, around: int):
        whole = mesh.merged(_MERGE_M)
        self.name, self.long_m = name, long_m
        self.vertices, self.faces = whole.vertices, whole.faces.astype(np.int64)
        self.turn = 2.0 * np.pi * np.arange(around) / around

    def ring(self, cut: Cut) -> FloatArray:
        """The skin (n, 3) at even angles about the bone, from `out` on; the farthest where it folds.

        Raises NotClosed for a hole, SightlineError for a skin that crosses itself.
        """
        closed, broken = self._loops(cut)
        front = np.cross(cut.along, cut.out)
        axes = np.stack([cut.out, front], axis=1)
        flat = [(loop - cut.at) @ axes for loop in closed]
        rounds = [loop for loop in flat if abs(_turns(loop)) > 0.5]
        where = where_words(cut.share, self.long_m)
        if not rounds:
            what = "has a hole: its skin does not close round the bone" if broken else "has no skin round the bone"
            raise NotClosed(f"'{self.name}' {what} {where}. Close the mesh there, or move its landmarks onto the limb.")
        skin = max(rounds, key=lambda loop: abs(_area(loop)))
        if self._crosses(skin, flat):
            raise SightlineError(
                f"'{self.name}' crosses itself {where}: no sheet can follow its skin. Make one outer skin of the mesh (a union), "
                "or open the elbow."
            )
        reach = _farthest(skin, self.turn)
        x, y = reach * np.cos(self.turn), reach * np.sin(self.turn)
        back = -(x * (cut.normal @ cut.out) + y * (cut.normal @ front)) / (cut.normal @ cut.along)
        return np.asarray(cut.at + x[:, None] * cut.out + y[:, None] * front + back[:, None] * cut.along)

    def _loops(self, cut: Cut) -> tuple[list[FloatArray], bool]:
        """Closed loops (k, 3) of the section, and whether any other line of it ends somewhere."""
        beyond = (self.vertices - cut.at) @ unit(cut.normal) >= 0.0
        above = beyond[self.faces]
        faces = self.faces[above.any(axis=1) & ~above.all(axis=1)]
        if not len(faces):
            return [], False
        pairs = np.stack([faces, np.roll(faces, -1, axis=1)], axis=-1)
        crossing = beyond[pairs[..., 0]] != beyond[pairs[..., 1]]
        # Every such face has two crossed edges: the ends of its piece of the section.
        ends = np.sort(pairs[crossing], axis=1)
        edges, of = np.unique(ends, axis=0, return_inverse=True)
        of = of.reshape(-1, 2)
        a, b = self.vertices[edges[:, 0]], self.vertices[edges[:, 1]]
        high, low = (a - cut.at) @ cut.normal, (b - cut.at) @ cut.normal
        points = a + (high / (high - low))[:, None] * (b - a)
        beside: list[list[int]] = [[] for _ in edges]
        for one, other in of.tolist():
            beside[one].append(other)
            beside[other].append(one)
        return _walked(points, beside)

    def _crosses(self, skin: FloatArray, loops: list[FloatArray]) -> bool:
        from shapely.geometry import LinearRing

        ring = LinearRing(skin)
        if not ring.is_simple:
            return True
        others = [loop for loop in loops if loop is not skin and len(loop) > 2]
        return any(ring.crosses(LinearRing(loop)) for loop in others)


def _walked(points: FloatArray, beside: list[list[int]]) -> tuple[list[FloatArray], bool]:
    """Lines from points that know their neighbours; where more than two meet, or a line ends, it is no loop."""
    seen: NDArray[np.bool_] = np.zeros(len(points), dtype=bool)
    loops, broken = [], False
    for start in range(len(points)):
        if seen[start]:
            continue
        line, stack = [], [start]
        fine = True
        while stack:
            here = stack.pop()
            if seen[here]:
                continue
            seen[here] = True
            line.append(here)
            fine &= len(beside[here]) == 2
            stack += [other for other in beside[here] if not seen[other]][-1:] if fine else beside[here]
        if fine and len(line) > 2:
            loops.append(points[line])
        broken |= not fine
    return loops, broken


def _turns(loop: FloatArray) -> float:
    """How often a flat loop (k, 2) goes round the origin."""
    angle = np.arctan2(loop[:, 1], loop[:, 0])
    step = np.diff(np.append(angle, angle[0]))
    return float(((step + np.pi) % (2 * np.pi) - np.pi).sum() / (2 * np.pi))


def _area(loop: FloatArray) -> float:
    nxt = np.roll(loop, -1, axis=0)
    return float((loop[:, 0] * nxt[:, 1] - loop[:, 1] * nxt[:, 0]).sum() / 2.0)


def _farthest(loop: FloatArray, turn: FloatArray) -> FloatArray:
    """How far from the origin rays at angles (n,) leave a loop (k, 2) that goes round it."""
    way = np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    p, q = loop, np.roll(loop, -1, axis=0)
    side_p = np.outer(way[:, 0], p[:, 1]) - np.outer(way[:, 1], p[:, 0])
    side_q = np.outer(way[:, 0], q[:, 1]) - np.outer(way[:, 1], q[:, 0])
    crossed = (side_p >= 0.0) != (side_q >= 0.0)
    t = side_p / np.where(crossed, side_p - side_q, 1.0)
    far = np.outer(way[:, 0], p[:, 0]) + np.outer(way[:, 1], p[:, 1])
    far = far + t * (np.outer(way[:, 0], (q - p)[:, 0]) + np.outer(way[:, 1], (q - p)[:, 1]))
    return np.asarray(np.where(crossed, far, -np.inf).max(axis=1))
