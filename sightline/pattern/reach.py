"""How far a hand must go inside a half-built limb to press the last of a seam.

A butt seam of foam is pressed together over a hand that backs it from inside. While it closes, the hand reaches in
through what is still open of it; its last place must be reached through something else: a free end, or a seam
that is not yet closed. Inside one piece the hand goes straight; from piece to piece across the seams that are closed.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.pattern.joints import edge_points, joints_of
from sightline.pattern.pattern import Pattern

# A hand goes in as far as it is long, through an end that it passes; through a narrower one two fingers do. Girth of a
# hand over its thumb. From memory.
HAND_M, FINGERS_M = 0.19, 0.08
HAND_GIRTH_M = 0.25
# Two places nearer than this are one corner.
SAME_M = 1e-6
_SAMPLES = 9


@dataclass(frozen=True)
class Access:
    """How the last place of a seam is reached: through what, how far in, metres; at which end of the joint (0 or -1).

    `through` is the name of a free end (`free`) or of an open seam; `reached` is false where no hand gets there.
    """

    through: str
    far_m: float
    end: int
    reached: bool
    free: bool


class Inside:
    """The inside of a pattern, to be asked which seam can be pressed while which others are closed."""

    def __init__(self, pattern: Pattern):
        self.pattern = pattern
        self.joints = joints_of(pattern)
        self._known: dict[tuple[int, frozenset[int]], Access] = {}

    @cached_property
    def _stretches(self) -> dict[int, list[_Stretch]]:
        """Every edge of every piece by piece number: the joint it belongs to, or the free end."""
        of: dict[tuple[int, int], int] = {}
        for j, own in enumerate(self.joints):
            of[own.a] = of[own.b] = j
        girths: dict[str, float] = {}
        out: dict[int, list[_Stretch]] = {}
        for piece in self.pattern.pieces:
            for i, edge in enumerate(piece.edges):
                points = edge_points(piece, edge)
                long = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
                at = points[np.linspace(0, len(points) - 1, min(_SAMPLES, len(points))).round().astype(int)]
                joint = of.get((piece.number, i))
                if joint is None:
                    girths[edge.seam] = girths.get(edge.seam, 0.0) + long
                out.setdefault(piece.number, []).append(_Stretch(piece.number, edge.seam, joint, at, long))
        self._girths = girths
        return out

    def access(self, joint: int, closed: frozenset[int]) -> Access:
        """How the last place of a joint is pressed when those in `closed` are closed already. Both ends are tried."""
        key = (joint, closed)
        if key not in self._known:
            both = [self._from(joint, end, closed | {joint}) for end in (-1, 0)]
            self._known[key] = min(both, key=_worse)
        return self._known[key]

    def _from(self, joint: int, end: int, closed: frozenset[int]) -> Access:
        """The nearest way in to one end of a joint, by the shortest path from sample to sample."""
        stretches = self._stretches
        own = self.joints[joint]
        # Where a hand may be: (piece, place); a closed joint leads on to the same place of its other side.
        best: dict[tuple[int, int, int], float] = {}
        queue: list[tuple[float, int, int, int]] = []
        for number, i in (own.a, own.b):
            last = len(stretches[number][i].at) - 1 if end else 0
            heapq.heappush(queue, (0.0, number, i, last))
        nearest: Access | None = None
        found: Access | None = None
        while queue:
            far, number, i, k = heapq.heappop(queue)
            if found is not None and far > found.far_m + SAME_M:
                return found
            if best.get((number, i, k), np.inf) <= far:
                continue
            best[(number, i, k)] = far
            here = stretches[number][i]
            if here.joint is None or here.joint not in closed:
                way = Access(here.name, far, end, far <= self._allowed_m(here), here.joint is None)
                if way.reached:
                    found = way if found is None else min(found, way, key=_worse)
                nearest = nearest or way
                continue
            for to, stretch in enumerate(stretches[number]):
                away = np.linalg.norm(stretch.at - here.at[k], axis=1)
                for m, step in enumerate(away):
                    if best.get((number, to, m), np.inf) > far + step:
                        heapq.heappush(queue, (far + (0.0 if step < SAME_M else float(step)), number, to, m))
            across = self._other(here.joint, (number, i))
            heapq.heappush(queue, (far, *across, k))
        return found or nearest or Access("", np.inf, end, False, False)

    def _other(self, joint: int, side: tuple[int, int]) -> tuple[int, int]:
        own = self.joints[joint]
        return own.b if side == own.a else own.a

    def _allowed_m(self, way: _Stretch) -> float:
        """How far in one gets through a free end of this girth, or a slit of this length."""
        girth = self._girths[way.name] if way.joint is None else 2.0 * way.long_m
        return HAND_M if girth >= HAND_GIRTH_M else FINGERS_M


def _worse(way: Access) -> tuple[bool, float, bool, int]:
    """Sorts ways in: reached first, then near, then free ends, for those stay open."""
    return (not way.reached, round(way.far_m, 6), not way.free, way.end)


@dataclass(frozen=True)
class _Stretch:
    """One edge of a piece: samples `at` (k, 3) m along it, the joint it belongs to or None where it is free."""

    piece: int
    name: str
    joint: int | None
    at: FloatArray
    long_m: float


def ends_words(access: Access) -> str:
    """How the last of a seam is reached, for the sheet."""
    if not access.reached:
        way = "it has no way in"
        if access.through:
            way = f"the nearest way in is '{access.through}', {access.far_m * 100:.0f} cm off"
        return f"no hand reaches the last of it from inside ({way}): press it from outside over a stick or a filled bag"
    if access.far_m < 0.005:
        return f"its last place lies at '{access.through}', which is still open"
    return f"its last place is {access.far_m * 100:.0f} cm in through '{access.through}'"
