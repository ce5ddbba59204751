"""How well a house is seen from, by itself: clearance over the row in front, angles and distance, seat by seat and row
by row.

The clearance is the C-value of `rows.py`: D and R are those of the eye in FRONT, the line is the rear eye's to the
point of focus, here the nearest point of the stage's edge (or pitch's), on the floor. It is made for stadiums; EN 13200-1:2019 says
that it does not apply to theatres, so that here it is a borrowed yardstick.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.house import stage
from sightline.house.build import House
from sightline.house.eyes import Eye
from sightline.house.rows import c_value, riser_for
from sightline.scene.venue import Venue

# Who sits (or stands) in front is looked for so near and so little aside. Common practice, no source.
FARTHEST_FRONT_M, NEAREST_FRONT_M, ASIDE_M = 2.0, 0.3, 0.45
# A focus nearer to the eye in front than this says nothing of rows. Common practice, no source.
LEAST_FOCUS_M = 0.05
# The highest thing to be seen on a stage: a person's head 1 m upstage of the edge. Common practice, no source.
HEAD_TOP_M, UPSTAGE_M = 1.75, 1.0


@dataclass(frozen=True)
class SeatQuality:
    """Each eye by itself: `focus_m` (n, 3) the point its clearance is for, `front` (n,) index of the eye in front or -1.

    `c_m` is nan without an eye in front; `distance_m` is to the focus in plan; angles in degrees: `down_deg` below the
    horizontal to the focus, `up_deg` above it to the top of a head, `side_deg` off the centre line at `looks at`.
    """

    focus_m: FloatArray
    front: NDArray[np.intp]
    c_m: FloatArray
    distance_m: FloatArray
    down_deg: FloatArray
    up_deg: FloatArray
    side_deg: FloatArray


@dataclass(frozen=True)
class Row:
    """The seats of one row of one block: `members` are indices of eyes. `rise_m` is over the row in front."""

    level: str
    block: str
    row: str
    members: tuple[int, ...]
    c_least_m: float | None
    c_median_m: float | None
    rise_m: float | None
    rise_for_60_mm_m: float | None
    rise_for_120_mm_m: float | None


def block_of(eye: Eye) -> str:
    """The name of an eye's block: its id without row and seat."""
    ending = f" {eye.row}{eye.seat}"
    return eye.id[: -len(ending)] if eye.row and eye.seat and eye.id.endswith(ending) else ""


def edge_of(venue: Venue, looks_at_m: Sequence[float]) -> FloatArray:
    """What rows look over each other to: the front of a proscenium stage, the edge of any other (n, 2), or one point."""
    if venue.stage.kind == "proscenium":
        return stage.front_edge(venue.stage)
    outline = stage.outline_m(venue.stage)
    if outline is None:
        return np.array([looks_at_m[:2]], dtype=float)
    return np.vstack([outline, outline[:1]])


def nearest_on(way: FloatArray, points: FloatArray) -> FloatArray:
    """The nearest point (n, 2) of a line (m, 2) to each point (n, 2)."""
    if len(way) < 2:
        return np.repeat(way, len(points), axis=0)
    starts, steps = way[:-1], np.diff(way, axis=0)
    length2 = np.maximum(np.einsum("ij,ij->i", steps, steps), 1e-18)
    best, found = np.full(len(points), np.inf), np.zeros((len(points), 2))
    for start, step, size in zip(starts, steps, length2, strict=True):
        share = np.clip((points - start) @ step / size, 0.0, 1.0)
        at = start + share[:, None] * step
        far = np.einsum("ij,ij->i", points - at, points - at)
        nearer = far < best - 1e-12
        best[nearer], found[nearer] = far[nearer], at[nearer]
    return found


def seat_quality(house: House, venue: Venue) -> SeatQuality:
    """All eyes of a house; empty arrays for a house without eyes."""
    at = house.positions_m
    look = np.array(venue.looks_at)
    focus_xy = nearest_on(edge_of(venue, venue.looks_at), at[:, :2])
    focus = np.column_stack([focus_xy, np.zeros(len(at))])
    to = focus_xy - at[:, :2]
    distance = np.linalg.norm(to, axis=1)
    ahead = to / np.maximum(distance, 1e-9)[:, None]
    down = np.degrees(np.arctan2(at[:, 2], distance))
    up = np.degrees(np.arctan2(HEAD_TOP_M - at[:, 2], distance + UPSTAGE_M))
    side = np.degrees(np.arctan2(np.abs(at[:, 0] - look[0]), -(at[:, 1] - look[1])))
    front = _in_front(house.eyes, at, ahead)
    clearance = np.full(len(at), np.nan)
    for i in np.flatnonzero(front >= 0):
        tread, high = ahead_of(house.eyes, at, int(i), int(front[i]), ahead[i])
        far = float(distance[i]) - tread
        if far > LEAST_FOCUS_M and tread > 0:
            clearance[i] = c_value(far, high, tread, float(at[i, 2]) - high)
    return SeatQuality(focus, front, clearance, distance, down, up, side)


def ahead_of(eyes: Sequence[Eye], at: FloatArray, i: int, j: int, ahead: FloatArray) -> tuple[float, float]:
    """How far ahead of eye `i` its line passes the row of eye `j`, m, and how high that row's eyes are there.

    Where rows are staggered the line passes between two people: what counts is the row, so that both are joined by a line.
    """

    def aside(k: int) -> float:
        return float((at[k, 0] - at[i, 0]) * ahead[1] - (at[k, 1] - at[i, 1]) * ahead[0])

    def tread(k: int) -> float:
        return float((at[k, :2] - at[i, :2]) @ ahead)

    beside = [
        k for k in (j - 1, j + 1)
        if 0 <= k < len(eyes) and (eyes[k].level, eyes[k].row, block_of(eyes[k])) == (eyes[j].level, eyes[j].row, block_of(eyes[j]))
        and aside(k) * aside(j) < 0 and math.dist(at[k, :2], at[j, :2]) < FARTHEST_FRONT_M
    ]  # fmt: skip
    if not beside:
        return tread(j), float(at[j, 2])
    k = beside[0]
    share = aside(j) / (aside(j) - aside(k))
    return tread(j) + share * (tread(k) - tread(j)), float(at[j, 2] + share * (at[k, 2] - at[j, 2]))


def _in_front(eyes: Sequence[Eye], at: FloatArray, ahead: FloatArray) -> NDArray[np.intp]:
    """The eye of another row of the same level that each looks past; -1 where there is none, or no rows are known."""
    from scipy.spatial import cKDTree

    front = np.full(len(eyes), -1, dtype=np.intp)
    if not len(eyes):
        return front
    keys: dict[tuple[str | None, str, str | None], int] = {}
    row = np.array([
        -1 if eye.row is None else keys.setdefault((eye.level, block_of(eye), eye.row), len(keys)) for eye in eyes
    ])  # fmt: skip
    levels = {name: n for n, name in enumerate(dict.fromkeys(eye.level for eye in eyes))}
    level = np.array([levels[eye.level] for eye in eyes])
    near = cKDTree(at[:, :2]).query_ball_point(at[:, :2] + ahead * FARTHEST_FRONT_M / 2, FARTHEST_FRONT_M / 2 + ASIDE_M)
    for i, found in enumerate(near):
        others = np.array(sorted(found), dtype=np.intp)
        others = others[(row[others] >= 0) & (row[others] != row[i]) & (level[others] == level[i])]
        if row[i] < 0 or not len(others):
            continue
        step = at[others, :2] - at[i, :2]
        tread = step @ ahead[i]
        aside = np.abs(step[:, 0] * ahead[i, 1] - step[:, 1] * ahead[i, 0])
        fits = (tread >= NEAREST_FRONT_M) & (tread <= FARTHEST_FRONT_M) & (aside <= ASIDE_M)
        if fits.any():
            # The nearest row decides; within it, whoever sits most in the way. Rounded, so that twins never swap.
            order = np.lexsort((others[fits], np.round(aside[fits], 6), np.round(tread[fits] + aside[fits], 6)))
            front[i] = others[fits][order[0]]
    return front


def rows_of(house: House, quality: SeatQuality) -> list[Row]:
    """Row by row in the order of the eyes, each block's by itself; people without a row are in none."""
    groups: dict[tuple[str, str, str], list[int]] = {}
    for i, eye in enumerate(house.eyes):
        if eye.row is not None:
            groups.setdefault((eye.level or "", block_of(eye), eye.row), []).append(i)
    return [_row(house, quality, *key, members) for key, members in groups.items()]


def _row(house: House, quality: SeatQuality, level: str, block: str, row: str, members: list[int]) -> Row:
    some = [i for i in members if not math.isnan(quality.c_m[i])]
    if not some:
        return Row(level, block, row, tuple(members), None, None, None, None, None)
    at = house.positions_m
    clearances = quality.c_m[some]
    # The rises of the seat in the middle of the row's range, so that a wheelchair place says nothing of the steps.
    i = some[int(np.argsort(clearances, kind="stable")[len(some) // 2])]
    j = int(quality.front[i])
    to = (quality.focus_m[i, :2] - at[i, :2]) / quality.distance_m[i]
    tread, high = ahead_of(house.eyes, at, i, j, to)
    far = float(quality.distance_m[i]) - tread
    needs = [riser_for(c_m, far, high, tread) for c_m in (0.060, 0.120)]
    return Row(
        level, block, row, tuple(members), float(clearances.min()), float(np.median(clearances)),
        float(at[i, 2]) - high, needs[0], needs[1],
    )  # fmt: skip
