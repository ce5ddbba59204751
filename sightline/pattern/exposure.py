"""How much of a limb's skin the audience sees, place by place: the share of eye-seconds that reach it by exact rays."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.pattern.looks import Look, Looks
from sightline.pattern.onskin import size_of
from sightline.sight.leak import eye_slices
from sightline.sight.lines import Line, laid_on, line_facing, line_on, line_unblocked
from sightline.sight.mirrors import TwoLegs, looking_in
from sightline.sight.rays import LIFT_M, BoolArray, IndexArray, on_all_cores
from sightline.sight.shields import Clusters

SPACING_M = 0.015
COLUMNS = 32
# Pairs of eye, head position, place and look that the map asks about; more are thinned by letting one eye speak for
# its neighbours. What is reported of seams is never thinned.
MOST_PAIRS = 4_000_000


@dataclass(frozen=True)
class Exposure:
    """`seen` (m, n): which share, 0 to 1, of all eye-seconds (of all eyes by weight where not `timed`) can see the skin
    at `share` (m,) along and `around_rad` (n,) round it, evenly spaced from 0. `said` tells what was taken for granted.
    """

    limb: str
    share: FloatArray
    around_rad: FloatArray
    seen: FloatArray
    timed: bool
    said: tuple[str, ...] = ()

    def at(self, share: FloatArray, around_rad: FloatArray) -> FloatArray:
        """The share seen at places (k,), straight between the places asked."""
        m, n = self.seen.shape
        row = np.interp(share, self.share, np.arange(m))
        column = np.mod(around_rad, 2 * np.pi) / (2 * np.pi) * n
        i = np.minimum(row.astype(int), m - 2) if m > 1 else np.zeros(len(row), dtype=int)
        j = column.astype(int) % n
        t, u = row - i, column - np.floor(column)
        below, above = (
            (1 - u) * self.seen[r, j] + u * self.seen[r, (j + 1) % n] for r in (i, np.minimum(i + 1, m - 1))
        )
        return np.asarray((1 - t) * below + t * above)


def exposure_of(looks: Looks, spacing_m: float = SPACING_M, columns: int = COLUMNS) -> Exposure:
    """The map of one limb, its places about `spacing_m` apart along and `columns` round.

    A place counts as seen by an eye when it reaches it at any position of the head and in any pose of the look.
    """
    length, _ = size_of(looks.skin)
    share = _shares(length, spacing_m, looks.skin.elbow_share)
    around = np.arange(columns) / columns * 2 * np.pi
    at, turn = np.repeat(share, columns), np.tile(around, len(share))
    heads = sum(look.places.shape[0] * look.places.shape[1] for look in looks.looks)
    every = max(1, -(-heads * len(at) // MOST_PAIRS))
    seen, lines = np.zeros(len(at)), _Lines()
    for look in looks.looks:
        line = lines.of(look, partial(_dots, look, at, turn))
        eyes, weight = _speaking(look, every)
        seen += look.span * (weight @ reached(line, look, eyes))
    said = looks.said
    if every > 1:
        said += (f"For the map one eye speaks for {every} neighbours; the lengths reported are of every eye.",)
    return Exposure(looks.limb, share, around, (seen / looks.total).reshape(len(share), columns), looks.timed, said)


class _Lines:
    """Samples on the skin, made once for all looks in which the limb is held alike."""

    def __init__(self) -> None:
        self._made: dict[int, tuple[Look, Line]] = {}

    def of(self, look: Look, make: Callable[[], Line]) -> Line:
        if look.place is not None:
            return make()
        # The look is kept with its line, so that its surface's number is not given to another.
        if id(look.surface) not in self._made:
            self._made[id(look.surface)] = (look, make())
        return self._made[id(look.surface)][1]


def _dots(look: Look, share: FloatArray, around_rad: FloatArray) -> Line:
    """Single places on the skin as samples of a line without length."""
    points, normals = laid_on(look.points(share, around_rad), look.surface)
    nothing = np.zeros(len(points))
    return Line(points + normals * LIFT_M, normals, nothing, 0.0, not look.surface.closed, False)


def _drawn(look: Look, turns: FloatArray) -> Line:
    return line_on(look.path(turns), look.surface, 0.001)


def _shares(length_m: float, spacing_m: float, elbow: float | None) -> FloatArray:
    """Shares from 0 to 1 about so far apart, the elbow's own among them."""
    parts = [0.0, 1.0] if elbow is None else [0.0, elbow, 1.0]
    out = [np.zeros(1)]
    for start, end in pairwise(parts):
        count = max(1, int(np.ceil((end - start) * length_m / spacing_m - 1e-9)))
        out.append(np.linspace(start, end, count + 1)[1:])
    return np.concatenate(out)


def _speaking(look: Look, every: int) -> tuple[IndexArray, FloatArray]:
    """The eyes that are asked, and for how many people each speaks: of every few neighbours the one in the middle."""
    count = look.places.shape[1]
    if every <= 1 or count <= 1:
        return np.arange(count), look.weight
    clusters = Clusters.over(look.places, every)
    away = np.linalg.norm(look.places[0] - clusters.middle[clusters.of], axis=1)
    order = np.lexsort((away, clusters.of))
    _, first = np.unique(clusters.of[order], return_index=True)
    return order[first], np.bincount(clusters.of, look.weight, len(clusters.middle)).astype(float)


def reached(line: Line, look: Look, eyes: IndexArray) -> BoolArray:
    """Which samples (e, n) reach which of the `eyes` (e,), directly or in a mirror, at any position of the head."""
    scenery = look.scenery
    before, poses = scenery.before_poses, [scenery.pose(i)[1] for i in range(len(scenery.moment.poses))]
    bounds = np.array([line.points.min(axis=0), line.points.max(axis=0)])

    def work(part: slice) -> BoolArray:
        out = np.zeros((len(eyes[part]), len(line.points)), dtype=bool)
        for heads in look.places:
            at = heads[eyes[part]]
            left = line_unblocked(line, line_facing(line, at) & ~out, before, at)
            for pose in poses:
                # What one pose shows is seen; only the rest is asked of the next.
                out |= line_unblocked(line, left & ~out, [pose], at)
            for mirror in scenery.moment.mirrors:
                some = looking_in(mirror, bounds, at)
                images = mirror.reflected(at[some])
                front = line_facing(line, images) & ~out[some]
                left = line_unblocked(line, front, [TwoLegs(mirror, before)], images)
                for pose in poses:
                    adds = [TwoLegs(mirror, [pose])] if pose.indices else []
                    out[some] |= line_unblocked(line, left & ~out[some], adds, images)
        return out

    parts = eye_slices(len(eyes), len(line.points))
    return np.concatenate(on_all_cores(parts, work)) if parts else np.zeros((0, len(line.points)), dtype=bool)


@dataclass(frozen=True)
class Shown:
    """Of one seam: its length, the length that the mean eye(-second) sees, and which share of the audience ever sees any."""

    length_m: float
    visible_m: float
    audience: float


def shown(looks: Looks, turns: FloatArray, tick: Callable[[], None] | None = None) -> Shown:
    """What is seen of a seam along `turns` (k, 2) of share and angle, by exact rays to every eye in every look."""
    visible, length = 0.0, 0.0
    ever, lines = np.zeros(looks.looks[0].places.shape[1], dtype=bool), _Lines()
    for look in looks.looks:
        line = lines.of(look, partial(_drawn, look, turns))
        seen = reached(line, look, np.arange(look.places.shape[1]))
        visible += look.span * float(look.weight @ (seen @ line.lengths))
        length = length or line.length_m
        ever |= seen.any(axis=1)
        if tick:
            tick()
    weight = looks.looks[0].weight
    return Shown(length, visible / looks.total, float(weight[ever].sum() / weight.sum()))
