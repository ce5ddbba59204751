"""Seams as the cheapest ways over a limb's skin: where few look, not too crooked, and where the pieces lie flat."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import permutations
from typing import Literal

import numpy as np

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.cheapest import ATONCE, cheapest
from sightline.pattern.exposure import Exposure, Shown, shown
from sightline.pattern.looks import Looks
from sightline.pattern.onskin import Skin, along, size_of
from sightline.pattern.pattern import SeamLine
from sightline.pattern.turns import evened, rounded

Weighting = Literal["hide", "flat", "balanced"]
# What a metre of seam in everybody's view costs, in metres of hidden seam. Common practice, no source.
SIGHT = {"hide": 100.0, "balanced": 3.0, "flat": 0.0}
Strain = Callable[[FloatArray, FloatArray], FloatArray]
"""What seams at shares and angles (k,) cost in strain, per length: 0 where the pieces lie flattest, 1 where worst."""

STEP_M = 0.006
COLUMNS = 72
# Seams nearer together than this leave a strip too narrow to glue. Common practice, no source.
APART_M = 0.040
# Corners of a route flatter than this are taken out: a knife does not follow them. Common practice, no source.
TRUE_M = 0.001
# Being beside a place in view costs this share of being there: a glued seam is never exactly where it was drawn, and
# who sways sees round the edge. Common practice, no source.
BESIDE = 0.25
# How far along the limb a ring may be moved. Common practice, no source.
RING_REACH_M = 0.050


@dataclass(frozen=True)
class Wish:
    """A seam that is wanted: lengthwise about the angle `home` (rad), or a ring about the share `home`.

    `span` are the shares between which a lengthwise one runs.
    """

    name: str
    kind: Literal["lengthwise", "ring"]
    home: float
    span: tuple[float, float] = (0.0, 1.0)

    @property
    def default(self) -> FloatArray:
        """Where a maker puts it without knowing who looks (2, 2): straight along its home."""
        if self.kind == "ring":
            return np.array([[self.home, 0.0], [self.home, 2 * np.pi]])
        return np.array([[self.span[0], self.home], [self.span[1], self.home]])


# Without the tool a maker closes a sleeve of foam along its inner side, against the body, as the seam of a sleeve is;
# with two pieces the other seam is opposite. Common practice, no source.
INNER = Wish("inner seam", "lengthwise", float(np.pi))
OUTER = Wish("outer seam", "lengthwise", 0.0)


@dataclass(frozen=True)
class Route:
    """One seam: its `turns` (k, 2) of share and angle as they are written, and what is seen of it before and after."""

    wish: Wish
    turns: FloatArray
    before: Shown
    after: Shown


@dataclass(frozen=True)
class Routing:
    """All seams of a limb. `said` tells how they were weighed and what was taken for granted."""

    weighting: Weighting
    routes: tuple[Route, ...]
    lines: tuple[SeamLine, ...]
    said: tuple[str, ...]

    @property
    def visible_before_m(self) -> float:
        """Length that the mean eye-second (the mean eye, without beats) sees of all seams at their default places."""
        return sum(route.before.visible_m for route in self.routes)

    @property
    def visible_after_m(self) -> float:
        return sum(route.after.visible_m for route in self.routes)


def route(
    looks: Looks,
    exposure: Exposure,
    wishes: Sequence[Wish],
    weighting: Weighting = "hide",
    strain: Strain | None = None,
    apart_m: float = APART_M,
) -> Routing:
    """Place every seam and measure it before and after by exact rays. Where the map misled and more would be seen than
    at the default places, those are kept. Raises SightlineError where the seams find no room beside each other."""
    skin = looks.skin
    turns = routed(skin, exposure, wishes, weighting, strain, apart_m)
    before = [shown(looks, wish.default) for wish in wishes]
    after = [
        old if np.array_equal(way, wish.default) else shown(looks, way)
        for wish, way, old in zip(wishes, turns, before, strict=True)
    ]
    said = [*exposure.said, _weighed(weighting)]
    if weighting != "flat" and sum(s.visible_m for s in after) > sum(s.visible_m for s in before):
        turns, after = [wish.default for wish in wishes], list(before)
        said.append("No place was found where less is seen of the seams; they stay where a maker puts them.")
    routes = tuple(Route(*parts) for parts in zip(wishes, turns, before, after, strict=True))
    lines = tuple(seam_line(skin, wish.name, wish.kind, way) for wish, way in zip(wishes, turns, strict=True))
    return Routing(weighting, routes, lines, tuple(said))


def _weighed(weighting: Weighting) -> str:
    default = "Before: straight along the inner side (a second seam opposite), as a maker puts it. Common practice."
    sight = f"A metre of seam that everybody sees is weighed as {SIGHT[weighting]:g} m of hidden seam ({weighting})."
    return f"{default} {sight if SIGHT[weighting] else 'Sight is not weighed (flat).'}"


def routed(
    skin: Skin,
    exposure: Exposure,
    wishes: Sequence[Wish],
    weighting: Weighting = "hide",
    strain: Strain | None = None,
    apart_m: float = APART_M,
) -> list[FloatArray]:
    """The ways (k, 2) of share and angle, in the order of `wishes`, placed together: the cheapest order wins."""
    ground = _Ground(skin, exposure, SIGHT[weighting], apart_m)
    best: tuple[float, list[FloatArray]] | None = None
    places = [i for i, wish in enumerate(wishes) if wish.kind == "lengthwise"]
    rings = {i: ground.ring(wish, strain) for i, wish in enumerate(wishes) if wish.kind == "ring"}
    for order in permutations(places) if len(places) <= ATONCE else [tuple(places)]:
        found, total = dict(rings), 0.0
        taken: list[FloatArray] = []
        for i in order:
            way = ground.lengthwise(wishes[i], strain, taken)
            if way is None:
                break
            found[i] = ground.cut(way[0], wishes[i])
            taken.append(found[i])
            total += way[1]
        else:
            if best is None or total < best[0] - 1e-9:
                best = (total, [found[i] for i in range(len(wishes))])
    if best is None:
        room = f"{len(places)} seams at least {apart_m * 1000:.0f} mm apart"
        raise SightlineError(f"The limb is too thin for {room}; take fewer seams, with --panels.")
    return best[1]


class _Ground:
    """The skin as a grid with what each place costs."""

    def __init__(self, skin: Skin, exposure: Exposure, sight: float, apart_m: float):
        self.skin, self.exposure, self.sight, self.apart_m = skin, exposure, sight, apart_m
        self.length, self.radius = size_of(skin)
        beside = exposure.seen
        for axis, mode in ((0, "edge"), (1, "wrap")):
            wide = np.pad(beside, [(1, 1) if k == axis else (0, 0) for k in range(2)], mode=mode)  # type: ignore[call-overload]
            beside = np.max([np.take(wide, range(k, k + beside.shape[axis]), axis) for k in range(3)], axis=0)
        weighed = exposure.seen + BESIDE * beside
        # Only what could be avoided counts: a limb seen alike all over is no reason to leave the straight.
        self.weighed = replace(exposure, seen=weighed - weighed.min())

    def _costs(
        self, share: FloatArray, around: FloatArray, strain: FloatArray
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Of a grid (m, n): places (m, n, 3), cost of a metre by sight, and by strain (m, n)."""
        shape = share.shape
        places = self.skin.points(share.ravel(), around.ravel()).reshape(*shape, 3)
        seen = self.weighed.at(share.ravel(), around.ravel()).reshape(shape)
        return places, self.sight * seen, strain

    def lengthwise(
        self, wish: Wish, strain: Strain | None, taken: Sequence[FloatArray]
    ) -> tuple[FloatArray, float] | None:
        """The cheapest way from one end of the span to the other, one column to each row; None where none is free."""
        rows = max(2, round((wish.span[1] - wish.span[0]) * self.length / STEP_M)) + 1
        # Columns are counted from the home, so that straight along it is a way of the grid.
        turn = wish.home + np.arange(COLUMNS) / COLUMNS * 2 * np.pi
        share, around = np.meshgrid(np.linspace(*wish.span, rows), turn, indexing="ij")
        cost = _strained(strain, share, around, 0.5 * (1 - np.cos(around - wish.home)))
        places, sight, crooked = self._costs(share, around, cost)
        radius = np.linalg.norm(places - places.mean(axis=1, keepdims=True), axis=2).mean(axis=1)
        banned = np.zeros(share.shape, dtype=bool)
        for way in taken:
            there = np.interp(share[:, 0], way[:, 0], way[:, 1])
            apart = np.abs(np.angle(np.exp(1j * (around - there[:, None])))) * radius[:, None]
            banned |= apart < self.apart_m
        flat = (np.diff(share[:, 0]).mean() * self.length, 2 * np.pi / COLUMNS * radius[:-1])
        found = cheapest(places, sight, crooked, banned, flat, ring=False)
        if found is None:
            return None
        moved, total = found
        return np.column_stack([share[:, 0], wish.home + moved * 2 * np.pi / COLUMNS]), total

    def ring(self, wish: Wish, strain: Strain | None) -> FloatArray:
        """The cheapest way round within reach of its home, back to where it starts."""
        step = STEP_M / 2
        count = int(RING_REACH_M / step)
        shares = wish.home + np.arange(-count, count + 1) * step / self.length
        shares = shares[(shares >= 0) & (shares <= 1)]
        turn = np.arange(COLUMNS + 1) / COLUMNS * 2 * np.pi
        around, share = np.meshgrid(turn, shares, indexing="ij")
        cost = _strained(strain, share, around, np.abs(share - wish.home) * self.length / RING_REACH_M)
        places, sight, crooked = self._costs(share, around, cost)
        flat = (2 * np.pi / COLUMNS * self.radius, np.full(COLUMNS, step))
        found = cheapest(places, sight, crooked, np.zeros(share.shape, dtype=bool), flat, ring=True)
        assert found is not None
        at = np.interp(found[0], np.arange(len(shares)), shares)
        return self.cut(np.column_stack([at, turn]), wish)

    def cut(self, way: FloatArray, wish: Wish) -> FloatArray:
        """The way made even, without corners that no knife follows, in the digits in which it is written."""
        raw = self.seen_m(way)
        for smooth, true_m in ((9, TRUE_M), (5, TRUE_M), (1, TRUE_M), (1, 0.0)):
            out = simplified(evened(way, smooth, wish.kind == "ring"), self.length, self.radius, true_m)
            out = rounded(out)
            if self.seen_m(out) <= raw + max(0.02 * raw, 2e-4):
                break
        return out

    def seen_m(self, way: FloatArray) -> float:
        """Length that is seen of a way, by the map."""
        turns = along(way, np.linspace(0, len(way) - 1, 400))
        points = self.skin.points(*turns.T)
        steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
        middle = (turns[1:] + turns[:-1]) / 2
        return float(steps @ self.exposure.at(*middle.T))


def _strained(strain: Strain | None, share: FloatArray, around: FloatArray, usual: FloatArray) -> FloatArray:
    """The strain's cost (m, n): what was passed in, or by how far a place is from the seam's usual one."""
    if strain is None:
        return usual
    return np.asarray(strain(share.ravel(), around.ravel()), dtype=float).reshape(share.shape)


def simplified(turns: FloatArray, length_m: float, radius_m: float, within_m: float) -> FloatArray:
    """The fewest points (j, 2) of a way (k, 2) from which it strays by at most `within_m` (Douglas & Peucker 1973)."""
    flat = turns * [length_m, radius_m]
    keep = np.zeros(len(flat), dtype=bool)
    keep[[0, -1]] = True
    todo = [(0, len(flat) - 1)]
    while todo:
        a, b = todo.pop()
        if b - a < 2:
            continue
        step, rest = flat[b] - flat[a], flat[a + 1 : b] - flat[a]
        off = np.abs(step[0] * rest[:, 1] - step[1] * rest[:, 0]) / max(float(np.hypot(*step)), 1e-12)
        worst = int(off.argmax())
        if off[worst] > within_m + 1e-9:
            keep[a + 1 + worst] = True
            todo += [(a, a + 1 + worst), (a + 1 + worst, b)]
    return turns[keep]


def seam_line(skin: Skin, name: str, kind: Literal["lengthwise", "ring", "dart"], turns: FloatArray) -> SeamLine:
    """The seam along `turns` (k, 2) as a pattern has it, its points about 6 mm apart but over the ball of the elbow."""
    length, radius = size_of(skin)
    steps = np.hypot(np.diff(turns[:, 0]) * length, np.diff(turns[:, 1]) * radius)
    counts = np.maximum(1, np.ceil(steps / STEP_M)).astype(int)
    where = np.concatenate([i + np.arange(n) / n for i, n in enumerate(counts)] + [np.array([len(turns) - 1.0])])
    split = skin.elbow_share
    if split is not None:
        # The elbow's own share is the middle of its ball: without it a seam would cut through the limb there.
        at = np.interp(where, np.arange(len(turns)), turns[:, 0]) - split
        k = np.flatnonzero(at[:-1] * at[1:] < 0)
        where = np.union1d(where, where[k] + at[k] / (at[k] - at[k + 1]) * (where[k + 1] - where[k]))
    dense = along(turns, where)
    if split is not None:
        dense[np.abs(dense[:, 0] - split) < 1e-12, 0] = split
    return SeamLine(name, kind, dense[:, 0], dense[:, 1], skin.points(dense[:, 0], dense[:, 1]))
