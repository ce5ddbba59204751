"""Registration marks: short lines across both edges of a seam that come together when it is glued.

Why they are spaced unevenly. The first interval is a quarter longer than the others and the last a quarter shorter
(1.25 d, d, d, ..., 0.75 d). Turned end for end, the marks of an edge lie half an interval beside those of its partner,
every one of them, so a piece that lies upside down shows it at every mark; evenly spaced marks would all meet. And a
number stands at each mark, once in the pattern, the same on both sides.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.flatshape import inward_sign
from sightline.pattern.joints import Joint, joints_of
from sightline.pattern.pattern import Pattern
from sightline.pattern.piece import Edge, EdgeKind, Piece

SPACING_M = 0.050
SPACING_RANGE_M = (0.010, 0.500)
# First interval over the mean one; see above.
FIRST = 1.25
# What two sides of a seam may differ by before it is written on both: an interval by 1 % or 1 mm, whichever is more,
# the whole seam by 0.5 mm (the figures). What is below 0.05 mm is no ease that anyone can glue.
INTERVAL_SHARE = 0.01
INTERVAL_M = 0.001
TOTAL_M = 0.0005
LEAST_EASE_M = 0.00005


@dataclass(frozen=True)
class Notch:
    """One registration mark on one edge. `at_m` (2,) on the table, `inward` (2,) the way into the piece, length 1.

    `along_m` is measured along this edge from its first node, `common_m` along the mean of both edges.
    """

    number: int
    seam: str
    kind: EdgeKind
    partner: int
    at_m: FloatArray
    inward: FloatArray
    along_m: float
    common_m: float


@dataclass(frozen=True)
class Interval:
    """From one mark to the next on one edge; None stands for the seam's own end. `middle_m` (2,) and `inward` as above.

    `ease_m` is how much longer this side is than its partner where that is worth saying (then on both), else 0.
    """

    seam: str
    start: int | None
    end: int | None
    length_m: float
    other_m: float
    ease_m: float
    middle_m: FloatArray
    inward: FloatArray


@dataclass(frozen=True)
class EdgeMarks:
    """The marks of one edge: `intervals` is one more than `notches`."""

    piece: int
    edge: int
    joint: int
    notches: tuple[Notch, ...]
    intervals: tuple[Interval, ...]


def notch_shares(length_m: float, spacing_m: float = SPACING_M) -> FloatArray:
    """Where (n,) the marks of a seam lie, as shares of its length: about `spacing_m` apart, never none.

    Raises SightlineError for a spacing that no one can use.
    """
    low, high = SPACING_RANGE_M
    if not low <= spacing_m <= high:
        raise SightlineError(
            f"Marks {spacing_m * 1000:g} mm apart are of no use; take {low * 1000:g} to {high * 1000:g} mm."
        )
    count = max(1, round(length_m / spacing_m) - 1)
    return (np.arange(count) + FIRST) / (count + 1)


def edge_marks(pattern: Pattern, spacing_m: float = SPACING_M) -> tuple[EdgeMarks, ...]:
    """Marks for both edges of every joint, numbered through the pattern. Raises SightlineError (see `joints_of`)."""
    by_number = {piece.number: piece for piece in pattern.pieces}
    out: list[EdgeMarks] = []
    first = 1
    for index, joint in enumerate(joints_of(pattern)):
        made = _of_joint(by_number, joint, index, first, spacing_m)
        first += len(made[0].notches)
        out += made
    return tuple(out)


def _of_joint(pieces: dict[int, Piece], joint: Joint, index: int, first: int, spacing_m: float) -> list[EdgeMarks]:
    ends = [(pieces[number], pieces[number].edges[edge]) for number, edge in (joint.a, joint.b)]
    walked = [_walk(piece, edge) for piece, edge in ends]
    common = (walked[0] + walked[1]) / 2.0
    total = float(common[-1])
    stops = np.concatenate([[0.0], notch_shares(total, spacing_m) * total, [total]])
    alongs = [np.interp(stops, common, along) for along in walked]
    lengths = [np.diff(along) for along in alongs]
    differ = lengths[0] - lengths[1]
    told = (np.abs(differ) > np.maximum(INTERVAL_M, INTERVAL_SHARE * (lengths[0] + lengths[1]) / 2)).any()
    told = bool(told or abs(float(walked[0][-1] - walked[1][-1])) > TOTAL_M)
    numbers: list[int | None] = [None, *range(first, first + len(stops) - 2), None]
    out = []
    for side, (piece, edge) in enumerate(ends):
        ease = np.where(told & (np.abs(differ) >= LEAST_EASE_M), differ if side == 0 else -differ, 0.0)
        partner = ends[1 - side][0].number
        notches = []
        for k in range(1, len(stops) - 1):
            at, inward = _at(piece, edge, walked[side], float(alongs[side][k]))
            notches.append(
                Notch(first + k - 1, edge.seam, edge.kind, partner, at, inward, float(alongs[side][k]), float(stops[k]))
            )
        intervals = []
        for k in range(len(stops) - 1):
            middle, inward = _at(piece, edge, walked[side], float(alongs[side][k : k + 2].mean()))
            own, other = float(lengths[side][k]), float(lengths[1 - side][k])
            intervals.append(
                Interval(edge.seam, numbers[k], numbers[k + 1], own, other, float(ease[k]), middle, inward)
            )
        number, at_edge = (joint.a, joint.b)[side]
        out.append(EdgeMarks(number, at_edge, index, tuple(notches), tuple(intervals)))
    return out


def _walk(piece: Piece, edge: Edge) -> FloatArray:
    """How far along the edge each of its nodes is, flat."""
    steps = np.linalg.norm(np.diff(piece.flat[edge.nodes], axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _at(piece: Piece, edge: Edge, walked: FloatArray, along_m: float) -> tuple[FloatArray, FloatArray]:
    """The place that far along an edge, and the way into the piece there."""
    points = piece.flat[edge.nodes]
    k = int(np.clip(np.searchsorted(walked, along_m, side="right") - 1, 0, len(points) - 2))
    # A step without length has no direction: take the next one that has.
    while k > 0 and walked[k + 1] - walked[k] <= 0.0:
        k -= 1
    step = points[k + 1] - points[k]
    size = float(np.linalg.norm(step))
    direction = step / size if size > 0.0 else np.array([1.0, 0.0])
    at = points[k] + direction * (along_m - walked[k])
    return at, np.array([-direction[1], direction[0]]) * inward_sign(piece, edge)


def ease_words(ease_m: float) -> str | None:
    """`ease +2 mm` on the longer side, `ease -2 mm` on its partner; None for nothing worth saying."""
    size = round(ease_m * 1000.0, 1)
    return None if size == 0.0 else f"ease {size:+.1f}".removesuffix(".0") + " mm"
