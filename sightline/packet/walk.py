"""The house walk: the eight seats that settle most, in the shortest order, and what to change if one of them fails."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sightline.blocking.contacteyes import contact_eyes
from sightline.blocking.notation import distance, side
from sightline.blocking.worstseats import worst_seats
from sightline.geometry.frame import FloatArray
from sightline.packet.brief import Brief
from sightline.sight.check import VerdictArray

SEATS = 8
# Of the eight, so many are the worst; the others are the plain ones: centre, extremes, front, back, other kinds.
WORST = 5
# Nearer to each other than this, two seats of one kind tell the same. Common practice, no source.
APART_M = 1.5
# Going from one level to another costs as much as this way on the flat. Common practice, no source.
STAIRS_M = 25.0
# What is tried where a seat fails, the smallest first: turns (deg, to the performer's left) and crosses (m, to stage
# left, upstage). Common practice, no source.
TURNS_DEG = (3.0, -3.0, 6.0, -6.0, 10.0, -10.0, 15.0, -15.0)
CROSSES_M = ((0.3, 0.0), (-0.3, 0.0), (0.0, 0.4), (0.6, 0.0), (-0.6, 0.0), (0.0, 0.8))
# A change that gives a clean seat less than this is not worth telling.
WORTH_DEG = 1.0


@dataclass(frozen=True)
class Change:
    """One change of mark or facing."""

    turn_deg: float
    cross_m: tuple[float, float]

    @property
    def words(self) -> str:
        if self.turn_deg:
            return (
                f"turn {abs(self.turn_deg):.0f} deg to the performer's own {'left' if self.turn_deg > 0 else 'right'}"
            )
        x, y = self.cross_m
        if x:
            return f"cross {distance(abs(x))} to {side(x)}"
        return f"cross {distance(abs(y))} {'upstage' if y > 0 else 'downstage'}"


CHANGES = (*(Change(turn, (0.0, 0.0)) for turn in TURNS_DEG), *(Change(0.0, cross) for cross in CROSSES_M))


def walk_eyes(brief: Brief) -> list[int]:
    """Indices of at most eight eyes, in the order in which to walk them."""
    finding, moment = brief.finding, brief.moment
    points = moment.eye_points()
    worst = worst_seats(
        points, moment.focus_m, finding.worst_verdict(), finding.size_of_leak(), finding.least_margin(), WORST
    )
    plain = [eye.index for eye in contact_eyes(finding)]
    chosen: list[int] = []
    for i in dict.fromkeys([*worst, *plain]):
        near = [
            j
            for j in chosen
            if float(np.linalg.norm(points[i] - points[j])) < APART_M and moment.eyes[i].kind == moment.eyes[j].kind
        ]
        if len(chosen) < SEATS and not near:
            chosen.append(i)
    levels = [moment.eyes[i].level or "" for i in chosen]
    return [chosen[k] for k in shortest(points[chosen], levels)]


def shortest(points: FloatArray, levels: list[str]) -> list[int]:
    """The order that makes the way through all points (n, 3) shortest, from any to any; by Held and Karp's table."""
    n = len(points)
    if n < 2:
        return list(range(n))
    away = np.linalg.norm(points[:, None] - points[None], axis=2)
    away += STAIRS_M * np.array([[a != b for b in levels] for a in levels])
    best = {(1 << k, k): (0.0, -1) for k in range(n)}
    for mask in range(1, 1 << n):
        for last in range(n):
            if (mask, last) not in best:
                continue
            so_far = best[mask, last][0]
            for to in range(n):
                key = (mask | 1 << to, to)
                if not mask >> to & 1 and so_far + away[last, to] < best.get(key, (math.inf, -1))[0]:
                    best[key] = (so_far + float(away[last, to]), last)
    mask = (1 << n) - 1
    last = min(range(n), key=lambda k: (best[mask, k][0], k))
    order: list[int] = []
    while last >= 0:
        order.append(last)
        before = best[mask, last][1]
        mask, last = mask & ~(1 << last), before
    # Of the two directions the one that begins at the first chosen seat's side.
    return order if order[0] <= order[-1] else order[::-1]


def changes_for(brief: Brief, seats: list[int]) -> list[str]:
    """For each seat the one change to make if it fails, in a sentence. Raises LeftOut where nothing can be moved.

    Only changes under which none of the seats sees more than now are told; they were asked at these seats alone.
    """
    from sightline.sight.margins import margins

    placing, staged = brief.placing, brief.bench.staged
    eyes = tuple(brief.moment.eyes[i] for i in seats)
    now = brief.finding.worst_verdict()[seats]
    before = _spare(brief.finding.least_margin(), seats)
    found = []
    for change in CHANGES:
        mark = (staged.mark_m[0] + change.cross_m[0], staged.mark_m[1] + change.cross_m[1])
        facing = staged.facing_rad + math.radians(change.turn_deg)
        finding = placing.exact(mark, facing, eyes)
        if bool((finding.worst_verdict() > now).any()):
            continue
        moment = placing.moment(mark, facing, eyes)
        spare = finding.with_margins(margins(moment, finding.hidden(), placing.fields)).least_margin()
        found.append((change, finding.worst_verdict(), _spare(spare, list(range(len(seats))))))
    return [_told(k, now, before, found) for k in range(len(seats))]


def _spare(margin: FloatArray | None, which: list[int]) -> FloatArray:
    return np.zeros(len(which)) if margin is None else np.nan_to_num(margin[which], nan=0.0)


def _told(
    k: int, now: VerdictArray, before: FloatArray, found: list[tuple[Change, VerdictArray, FloatArray]]
) -> str:  # fmt: skip
    if now[k]:
        mended = next((change for change, worst, _ in found if worst[k] == 0), None)
        if mended is not None:
            return f"{mended.words}: hidden from here then, and none of the other seats on this sheet sees more."
        return "no small turn or cross mends this seat without another seeing more: ask for advice on a larger change."
    gains = [(spare[k] - before[k], change) for change, worst, spare in found if worst[k] == 0]
    better = next(((gain, change) for gain, change in gains if gain >= WORTH_DEG), None)
    if better is not None:
        return f"{better[1].words}: {better[0]:.1f} deg more to spare here, and none of these seats sees more."
    return "no small turn or cross helps this seat: look first whether mark, facing and costume are as drawn."
