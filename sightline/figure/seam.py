"""Lines on an arm's skin, for seams, darts and the edges of gloves and sleeves."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from sightline.figure.arm import Side, outward
from sightline.figure.armframe import ArmFrame, as_left, left_frame, mirrored, wrist_twist
from sightline.figure.armskin import fore_flesh, upper_flesh
from sightline.figure.limb import Flesh
from sightline.figure.sheet import BodySheet
from sightline.geometry.frame import FloatArray, unit

_SIDES = 144
# The skin slants against the bone by at most about 30 degrees, so points stand a little closer along the bone.
_SLANT = 1.15
# A share written with four digits is the elbow's own if it is so near.
ELBOW_SHARE = 6e-5


def arm_line(
    sheet: BodySheet,
    side: Side,
    shoulder: ArrayLike,
    elbow: ArrayLike,
    wrist: ArrayLike,
    along: tuple[float, float],
    around_rad: float,
    step_m: float = 0.005,
    *,
    hand_direction: ArrayLike | None = None,
    palm_normal: ArrayLike | None = None,
    scale_girth: float = 1.0,
    extra_thickness_m: float = 0.0,
) -> FloatArray:
    """Points (n, 3) on the skin running lengthwise at a fixed angle round the limb, metres, at most `step_m` apart.

    `along` are shares of shoulder joint (0) to wrist joint (1); `around_rad` 0 is the outer side, positive towards the
    front, the side to which the elbow closes. Points that a bent elbow folds into the other bone's flesh are left out.
    Hand and palm directions, where given, turn the forearm's outline as `arm_mesh` does.
    """
    if not 0.0 <= along[0] < along[1] <= 1.0:
        raise ValueError(f"along must rise within 0 to 1, got {along}")
    if not step_m > 0.0:
        raise ValueError(f"step_m must be positive, got {step_m}")
    limb = _Limb(sheet, side, shoulder, elbow, wrist, hand_direction, palm_normal, scale_girth, extra_thickness_m)
    pieces = []
    split = limb.split
    if along[0] < split:
        stop = min(along[1], split)
        count = max(2, int(np.ceil((stop - along[0]) * limb.total * _SLANT / step_m)) + 1)
        at = np.linspace(along[0], stop, count)
        pieces.append(limb.keep(limb.points(at, np.full(count, around_rad)), other=1))
    if along[0] < split < along[1]:
        pieces.append(limb.elbow_arc(around_rad, step_m))
    if along[1] > split:
        begin = max(along[0], split)
        count = max(2, int(np.ceil((along[1] - begin) * limb.total * _SLANT / step_m)) + 1)
        at = np.linspace(begin, along[1], count)
        at[0] = max(at[0], split + 1e-9)
        pieces.append(limb.keep(limb.points(at, np.full(count, around_rad)), other=0))
    return limb.back(np.concatenate(pieces))


def arm_ring(
    sheet: BodySheet,
    side: Side,
    shoulder: ArrayLike,
    elbow: ArrayLike,
    wrist: ArrayLike,
    along: float,
    *,
    count: int = 96,
    hand_direction: ArrayLike | None = None,
    palm_normal: ArrayLike | None = None,
    scale_girth: float = 1.0,
    extra_thickness_m: float = 0.0,
) -> FloatArray:
    """A closed ring of points (count, 3) on the skin at a share `along` of the arm, the first not repeated, metres.

    It starts on the outer side and runs towards the front. At a bent elbow some of it can lie inside the other bone's
    flesh: the caller's projection onto the skin settles that.
    """
    if not 0.0 <= along <= 1.0:
        raise ValueError(f"along must be within 0 to 1, got {along}")
    limb = _Limb(sheet, side, shoulder, elbow, wrist, hand_direction, palm_normal, scale_girth, extra_thickness_m)
    turn = 2.0 * np.pi * np.arange(count) / count
    return limb.back(limb.points(np.full(count, along), turn))


def arm_points(
    sheet: BodySheet, side: Side, shoulder: ArrayLike, elbow: ArrayLike, wrist: ArrayLike,
    along: ArrayLike, around_rad: ArrayLike, *, hand_direction: ArrayLike | None = None,
    palm_normal: ArrayLike | None = None, scale_girth: float = 1.0, extra_thickness_m: float = 0.0,
) -> FloatArray:  # fmt: skip
    """Skin points (k, 3) m at shares of the arm and angles round it (k,), both as in `arm_line`.

    Exactly at the elbow joint's share a point lies half-way over the ball of the elbow, in the crease on the inside of
    the bend. Points that a bent elbow folds into the other bone's flesh are where they would be without it.
    """
    limb = _Limb(sheet, side, shoulder, elbow, wrist, hand_direction, palm_normal, scale_girth, extra_thickness_m)
    at, turn = np.broadcast_arrays(np.asarray(along, dtype=float), np.asarray(around_rad, dtype=float))
    if at.size and not (at.min() >= 0.0 and at.max() <= 1.0):
        raise ValueError("along must be within 0 to 1")
    return limb.back(limb.mitred(at.reshape(-1), turn.reshape(-1)))


def arm_path(
    sheet: BodySheet, side: Side, shoulder: ArrayLike, elbow: ArrayLike, wrist: ArrayLike,
    path: ArrayLike, step_m: float = 0.005, *, hand_direction: ArrayLike | None = None,
    palm_normal: ArrayLike | None = None, scale_girth: float = 1.0, extra_thickness_m: float = 0.0,
) -> FloatArray:  # fmt: skip
    """Points (n, 3) m on the skin along `path` (k, 2) of shares and angles round the arm, at most `step_m` apart.

    Between its points share and angle change evenly. It runs on over the ball of a bent elbow without a gap. Raises
    ValueError for fewer than two points and shares outside 0 to 1.
    """
    turns = np.asarray(path, dtype=float).reshape(-1, 2)
    if len(turns) < 2 or turns[:, 0].min() < 0.0 or turns[:, 0].max() > 1.0:
        raise ValueError("a path needs two points or more, with shares within 0 to 1")
    limb = _Limb(sheet, side, shoulder, elbow, wrist, hand_direction, palm_normal, scale_girth, extra_thickness_m)
    pieces: list[FloatArray] = []
    last = 0 if _of(turns[0, 0], limb.split) == 0 else None
    for start, end in _cut_at(turns, limb.split):
        here = _of(start[0], limb.split) or _of(end[0], limb.split)
        if last is not None and here != last:
            pieces.append(limb.over_elbow(float(start[1]), last, here, step_m))
        pieces.append(limb.stretch(start, end, here, step_m))
        last = here
    if last and _of(turns[-1, 0], limb.split) == 0:
        pieces.append(limb.over_elbow(float(turns[-1, 1]), last, 0, step_m))
    return limb.back(_filled(np.concatenate(pieces), step_m))


def _of(along: float, split: float) -> int:
    """Which part a share is on: -1 the upper arm, 0 the elbow itself, 1 the forearm."""
    return 0 if abs(along - split) < ELBOW_SHARE else int(np.sign(along - split))


def _cut_at(path: FloatArray, split: float) -> list[tuple[FloatArray, FloatArray]]:
    """The stretches of a path (k, 2), those that cross the elbow's share cut in two there."""
    out = []
    for start, end in pairwise(path):
        if _of(start[0], split) * _of(end[0], split) < 0:
            t = (split - start[0]) / (end[0] - start[0])
            middle = np.array([split, start[1] + t * (end[1] - start[1])])
            out += [(start, middle), (middle, end)]
        else:
            out.append((start, end))
    return out


def _filled(points: FloatArray, step_m: float) -> FloatArray:
    """The same line (n, 3) with points between those that are more than a step apart, and none twice."""
    gaps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    points = points[np.concatenate([[True], gaps > 1e-9])]
    gaps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    counts = np.maximum(1, np.ceil(gaps / step_m - 1e-9)).astype(int)
    shares = np.concatenate([np.arange(n) / n for n in counts]) if len(counts) else np.zeros(0)
    of = np.repeat(np.arange(len(counts)), counts)
    return np.vstack([points[of] + shares[:, None] * (points[of + 1] - points[of]), points[-1:]])


class _Limb:
    """A left arm's bones, axes and flesh, with the questions both lines ask."""

    def __init__(
        self,
        sheet: BodySheet,
        side: Side,
        shoulder: ArrayLike,
        elbow: ArrayLike,
        wrist: ArrayLike,
        hand: ArrayLike | None,
        palm: ArrayLike | None,
        scale: float,
        extra_m: float,
    ):
        self.mirror = outward(side) < 0
        self.s, self.e, self.w = as_left(side, shoulder, elbow, wrist)
        self.frame: ArmFrame = left_frame(self.s, self.e, self.w)
        self.lengths = (float(np.linalg.norm(self.e - self.s)), float(np.linalg.norm(self.w - self.e)))
        self.total = sum(self.lengths)
        self.split = self.lengths[0] / self.total
        self.flesh: tuple[Flesh, Flesh] = (
            upper_flesh(sheet).swollen(scale, extra_m),
            fore_flesh(sheet).swollen(scale, extra_m),
        )
        self.twist = 0.0
        if hand is not None and palm is not None:
            d, n = as_left(side, hand, palm)
            d = unit(d)
            self.twist = wrist_twist(self.frame, d, unit(n - (n @ d) * d))

    def back(self, points: FloatArray) -> FloatArray:
        return mirrored(points) if self.mirror else points

    def _bone(self, which: int) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        f = self.frame
        if which == 0:
            return self.s, self.e - self.s, f.upper_out, f.upper_front
        return self.e, self.w - self.e, f.fore_out, f.fore_front

    def points(self, along: FloatArray, around: FloatArray) -> FloatArray:
        """Skin points (m, 3) at shares of the arm and angles (m,)."""
        out = np.empty((len(along), 3))
        upper = along <= self.split
        for which, rows in ((0, np.flatnonzero(upper)), (1, np.flatnonzero(~upper))):
            if not len(rows):
                continue
            t = along[rows] / self.split if which == 0 else (along[rows] - self.split) / (1.0 - self.split)
            start, axis, a, b = self._bone(which)
            flat = self.flesh[which].outlines(t, _SIDES, t * self.twist if which else 0.0)
            x, y = _at_angle(flat, around[rows])
            out[rows] = start + t[:, None] * axis + x[:, None] * a + y[:, None] * b
        return out

    def mitred(self, along: FloatArray, around: FloatArray) -> FloatArray:
        """Skin points (m, 3), those at the elbow's own share in the middle between the bones."""
        out = self.points(along, around)
        for i in np.flatnonzero(np.abs(along - self.split) < 1e-9):
            f, w = self.frame, around[i]
            first = np.cos(w) * f.upper_out + np.sin(w) * f.upper_front
            last = np.cos(w) * f.fore_out + np.sin(w) * f.fore_front
            middle = unit(first + last) if np.linalg.norm(first + last) > 1e-6 else first
            radius = self.flesh[0].girth_m[-1] / (2.0 * np.pi)
            # In the crease two flanks meet farther from the joint than either is thick; outside there is the ball.
            crease = (first + last) @ (f.upper_along - f.fore_along) < -1e-9
            out[i] = self.e + middle * (radius / max(float(first @ middle), 0.3) if crease else radius)
        return out

    def stretch(self, start: FloatArray, end: FloatArray, part: int, step_m: float) -> FloatArray:
        """The points (n, 3) from one (share, angle) to another on one `part`: -1 upper arm, 0 elbow, 1 forearm."""
        t = np.linspace(0.0, 1.0, 17)[:, None]

        def at(t: FloatArray) -> FloatArray:
            along, around = (start + t * (end - start)).T
            if part == 0:
                return self.mitred(np.full(len(along), self.split), around)
            return self.points(np.maximum(along, self.split + 1e-9) if part > 0 else along, around)

        length = float(np.linalg.norm(np.diff(at(t), axis=0), axis=1).sum())
        points = at(np.linspace(0.0, 1.0, max(2, int(np.ceil(length * _SLANT / step_m)) + 1))[:, None])
        # What runs along is folded away at the elbow's crease; what runs round is for the projection to settle.
        lengthwise = abs(end[0] - start[0]) * self.total > abs(end[1] - start[1]) * self.flesh[0].girth_m[-1] / 6.0
        return self.keep(points, other=int(part < 0)) if part and lengthwise else points

    def over_elbow(self, around: float, before: int, after: int, step_m: float) -> FloatArray:
        """The way over the ball of the elbow from one part to another; half of it from or to the elbow itself."""
        arc = self.elbow_arc(around, step_m)
        half = len(arc) // 2
        if 0 in (before, after):
            arc = arc[:half] if -1 in (before, after) else arc[half:]
        return arc if before < after else arc[::-1]

    def keep(self, points: FloatArray, other: int) -> FloatArray:
        """The points that are not inside the other bone's flesh."""
        start, axis, _, _ = self._bone(other)
        t = (points - start) @ axis / (axis @ axis)
        inside = np.clip(t, 0.0, 1.0)
        distance = np.linalg.norm(points - start - inside[:, None] * axis, axis=1)
        radius = self.flesh[other].read(inside)[0] / (2.0 * np.pi)
        return np.asarray(points[distance > radius * 0.985])

    def elbow_arc(self, around: float, step_m: float) -> FloatArray:
        """The stretch over the ball of the elbow between the two bones' end sections, if it lies outside both."""
        f = self.frame
        first = np.cos(around) * f.upper_out + np.sin(around) * f.upper_front
        last = np.cos(around) * f.fore_out + np.sin(around) * f.fore_front
        radius = self.flesh[0].girth_m[-1] / (2.0 * np.pi)
        angle = float(np.arccos(np.clip(first @ last, -1.0, 1.0)))
        count = int(np.ceil(angle * radius / step_m))
        # On the inside of the bend the arc would run through the flesh.
        if count < 2 or (first + last) @ (f.upper_along - f.fore_along) < -1e-9:
            return np.empty((0, 3))
        t = np.linspace(0.0, 1.0, count + 1)[1:-1, None]
        around_ball = (np.sin((1 - t) * angle) * first + np.sin(t * angle) * last) / max(np.sin(angle), 1e-9)
        return np.asarray(self.e + radius * around_ball)


def _at_angle(flat: FloatArray, around: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Where each outline (m, n, 2) is met by a ray from the bone at its own angle (m,)."""
    angle = np.arctan2(flat[..., 1], flat[..., 0])
    size = np.linalg.norm(flat, axis=-1)
    radius = np.array([np.interp(w, a, r, period=2.0 * np.pi) for w, a, r in zip(around, angle, size, strict=True)])
    return np.asarray(radius * np.cos(around)), np.asarray(radius * np.sin(around))
