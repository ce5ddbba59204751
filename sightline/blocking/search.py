"""The search for changes on the eyes that stand for the house: one at a time, together, and made as small as can be.

It only proposes: what it finds is confirmed on all eyes by `advise`.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from sightline.blocking.levers import (
    ANGLE_TOLERANCE_DEG,
    LENGTH_TOLERANCE_M,
    MOST_CROSS_M,
    MOST_TURN_DEG,
    Change,
    Lever,
    cross_to,
    levers,
    turn_to,
    turnable,
)
from sightline.blocking.refusals import Refusals, placed
from sightline.blocking.trial import Outcome, Refused, Trier, keeps
from sightline.scene.reading import Written
from sightline.scene.scene import Scene

# How wide and how long the search for combinations is.
BEAM, BEST_LEVERS, MOST_CHANGES, LONGEST = 3, 9, 3, 8
# A change must take off this share of what shows to be worth combining.
WORTH = 0.01
TURNS_DEG = (2.5, 5.0, 7.5, 10.0, 15.0, 20.0, 30.0, 45.0)
FACINGS = 24
CROSSES_M = (0.1, 0.25, 0.5, 1.0)
BEARINGS = 16
# In combinations sizes are trimmed to this share of the most.
ROUGH = 0.08
MOST_PROPOSED = 8

Combination = tuple[Change, ...]


@dataclass
class Search:
    """A search from `start`, the scene as it is on the eyes of `trier`. `prime` must-sees are never given up.

    `elbows_deg` is how the false arms are bent. `whys` collects what is refused by its lever; `best_facing` (deg, eyes
    seen) is the best of all facings.
    """

    written: Written[Scene]
    trier: Trier
    start: Outcome
    refusals: Refusals
    prime: Sequence[str]
    kinds: frozenset[str] | None
    most: int
    facing_rad: float
    goes_along: bool
    elbows_deg: Sequence[float] = ()
    whys: dict[str, Refused] = field(default_factory=dict)
    best_facing: tuple[float, int] | None = None
    levers: list[Lever] = field(default_factory=list)

    def proposals(self, tick: Callable[[int, int], None]) -> list[Combination]:
        """The changes worth confirming, trimmed; `tick` is told how far it is, of 75."""
        single = self._singles()
        tick(35, 75)
        found: list[Combination] = [(change,) for change, _ in single]
        found += self._combined(single)
        tick(65, 75)
        out = [self._trimmed(combination) for combination in self._front(found)]
        tick(75, 75)
        return out

    def wanted(self, kind: str) -> bool:
        return self.kinds is None or kind in self.kinds

    def _try(self, changes: Combination) -> Outcome | None:
        """The outcome on the sample; None where it is refused or takes the puppet from too many."""
        why = self._why_not(changes)
        if why is None:
            outcome = self.trier.trial(changes)
            if isinstance(outcome, Outcome):
                why = self.refusals.of_outcome(self.start, outcome)
                if why is None:
                    return outcome if keeps(self.start, outcome, self.prime) else None
            else:
                why = outcome.why
        if len(changes) == 1:
            self.whys.setdefault(f"{changes[0].lever}|{_named(why)}", Refused(changes, why))
        return None

    def _why_not(self, changes: Combination) -> str | None:
        mark = placed(changes, self.written.model.blocking.mark)
        why = self.refusals.of_mark(mark)
        for change in changes:
            if why is None and change.footprint_m is not None:
                why = self.refusals.of_scenery(np.array(change.footprint_m))
        return why

    # One change at a time

    def _singles(self) -> list[tuple[Change, Outcome]]:
        """Every lever as far as it goes, the useful ones, most useful first."""
        out: list[tuple[Change, Outcome]] = []
        self.levers = [lever for lever in levers(self.written, self.elbows_deg) if self.wanted(lever.kind)]
        for lever in [*self._placements(), *self.levers]:
            for share in (1.0,) if lever.whole or lever.places else (1.0, 0.5, 0.25):
                change = lever.make(lever.most * share)
                outcome = self._try((change,))
                if outcome is not None:
                    self.whys.pop(f"{change.lever}|", None)
                    if outcome.badness < self.start.badness * (1 - WORTH) - 1e-12:
                        out.append((change, outcome))
                    break
        out.sort(key=lambda item: (item[1].badness, item[0].cost))
        return out

    def _placements(self) -> list[Lever]:
        """The best turn to either side and the best crosses, as levers whose most is the size found."""
        out: list[Lever] = []
        if not self.goes_along or self.written.model.blocking.beats:
            return out
        written, facing = self.written, self.facing_rad
        if self.wanted("turn") and turnable(written):
            self._all_facings()
            for sign in (1.0, -1.0):

                def turn(size: float, sign: float = sign) -> Change:
                    return turn_to(written, facing, math.radians(sign * size))

                most = self._best_size(turn, [size for size in TURNS_DEG if size <= MOST_TURN_DEG])
                if most and (reached := self._try((turn(most),))) is not None:
                    most = self._smallest(turn, most, reached, ANGLE_TOLERANCE_DEG)
                    out.append(Lever(f"turn {'left' if sign > 0 else 'right'}", "turn", most, turn, places=True))
        if self.wanted("cross"):
            best: list[tuple[float, float, float]] = []
            for bearing in np.arange(BEARINGS) * 2 * math.pi / BEARINGS:
                cross = self._cross(float(bearing))
                size = self._best_size(cross, [size for size in CROSSES_M if size <= MOST_CROSS_M])
                if size and (outcome := self._try((cross(size),))) is not None:
                    best.append((outcome.badness, size, float(bearing)))
            for _, size, bearing in sorted(best)[:1] if self.trier.rough else sorted(best)[:3]:
                bearing, size = self._shortest_cross(bearing, size)
                out.append(Lever("cross", "cross", size, self._cross(bearing), places=True))
        return out

    def _cross(self, bearing: float) -> Callable[[float], Change]:
        step = (math.sin(bearing), -math.cos(bearing))
        mark = self.written.model.blocking.mark
        return lambda size: cross_to(self.written, mark, (step[0] * size, step[1] * size))

    def _best_size(self, make: Callable[[float], Change], sizes: Sequence[float]) -> float:
        """The size at which fewest see and least shows; 0 where none helps."""
        tried = [(outcome.badness, size) for size in sizes if (outcome := self._try((make(size),))) is not None]
        least, size = min(tried, default=(math.inf, 0.0))
        return size if least < self.start.badness * (1 - WORTH) - 1e-12 else 0.0

    def _shortest_cross(self, bearing: float, size: float) -> tuple[float, float]:
        """The bearing near this one on which the least cross does as much, and that cross."""
        reached = self._try((self._cross(bearing)(size),))
        assert reached is not None
        # On a sample of a house the last millimetre means nothing.
        step = math.radians(1.0) if self.trier.rough else math.pi / BEARINGS
        fine = ROUGH * size if self.trier.rough else LENGTH_TOLERANCE_M
        best = (self._smallest(self._cross(bearing), size, reached, fine), bearing)
        while step > math.radians(1.0):
            for turned in (best[1] - step, best[1] + step):
                longest = min(best[0] * 1.02, MOST_CROSS_M)
                there = self._try((self._cross(turned)(longest),))
                if there is not None and _as_good(there, reached):
                    best = min(
                        best, (self._smallest(self._cross(turned), longest, reached, LENGTH_TOLERANCE_M), turned)
                    )
            step /= 2
        return best[1], best[0]

    def _all_facings(self) -> None:
        """What facing leaves fewest, all round: for saying honestly that none works."""
        found = []
        for k in range(FACINGS):
            turn = math.remainder(2 * math.pi * k / FACINGS, 2 * math.pi)
            outcome = self.trier.trial((turn_to(self.written, self.facing_rad, turn),))
            if isinstance(outcome, Outcome):
                found.append((outcome.eyes_seen, abs(turn), turn))
        if found:
            seen, _, turn = min(found)
            self.best_facing = (math.degrees(self.facing_rad + turn), seen)

    # Several changes together

    def _combined(self, single: list[tuple[Change, Outcome]]) -> list[Combination]:
        """Pairs and triples of the useful changes, and where they do not do, a longer chain to nobody if there is one."""
        useful = [change for change, _ in single[:BEST_LEVERS]]
        # What makes up for something else shows little by itself: one of every kind of the rest is kept.
        useful += list({change.lever: change for change, _ in single[BEST_LEVERS:]}.values())
        beam: list[tuple[Combination, Outcome]] = [((change,), outcome) for change, outcome in single[:BEAM]]
        out: list[Combination] = []
        for _ in range(2, self.most + 1):
            beam = self._longer(beam, useful[: BEST_LEVERS + 3])[:BEAM]
            out += [combination for combination, _ in beam]
            if not beam or beam[0][1].badness == 0:
                return out
        if self.most < MOST_CHANGES or not beam:
            return out
        chain, pool = beam[:1], [*useful, *self._untried(useful)]
        while chain and chain[0][1].badness > 0 and len(chain[0][0]) < LONGEST:
            longer = self._longer(chain, pool)[:1]
            if not longer or longer[0][1].badness > chain[0][1].badness * (1 - WORTH / 2):
                break
            chain = longer
        return [*out, *[combination for combination, _ in chain]]

    def _untried(self, useful: Sequence[Change]) -> list[Change]:
        """Levers of no use alone, which may be in company."""
        used = {change.lever for change in useful}
        refused = {refusal.changes[0].lever for refusal in self.whys.values() if len(refusal.changes) == 1}
        return [
            change
            for lever in self.levers
            if (change := lever.full()).lever not in used | refused and lever.kind != "wall"
        ]

    def _longer(
        self, beam: Sequence[tuple[Combination, Outcome]], useful: Sequence[Change]
    ) -> list[tuple[Combination, Outcome]]:
        """Every combination of the beam with one more change, best first; none twice."""
        found: dict[frozenset[str], tuple[Combination, Outcome]] = {}
        for combination, _ in beam:
            for change in useful:
                if any(_clash(change, other) for other in combination):
                    continue
                key = frozenset(f"{c.lever} {c.size:.6g} {c.edits}" for c in (*combination, change))
                outcome = None if key in found else self._try((*combination, change))
                if outcome is not None:
                    found[key] = ((*combination, change), outcome)
        return sorted(found.values(), key=lambda item: (item[1].badness, item[1].cost))

    def _front(self, found: Sequence[Combination]) -> list[Combination]:
        """Those that nothing cheaper betters on the sample."""
        tried = [(outcome, c) for c in found if (outcome := self._try(c)) is not None]
        tried.sort(key=lambda item: (item[0].cost, item[0].badness))
        out, least = [], (self.start.weighted, self.start.badness)
        for outcome, combination in tried:
            reached = (outcome.weighted, outcome.badness)
            if reached < least:
                out.append(combination)
                least = reached
        # The one that leaves least is always among them.
        best = min(tried, key=lambda item: (item[0].weighted, item[0].badness), default=None)
        front = out[-MOST_PROPOSED:]
        return front if best is None or best[1] in front else [*front, best[1]]

    # Making changes as small as they can be

    def _trimmed(self, changes: Combination) -> Combination:
        """The same without what is not needed, every size as small as reaches as much."""
        reached = self._try(changes)
        if reached is None:
            return changes
        for change in sorted(changes, key=lambda c: -c.cost):
            rest = tuple(c for c in changes if c is not change)
            outcome = self._try(rest) if rest else None
            if outcome is not None and _as_good(outcome, reached):
                changes = rest
        sized = {lever.full().lever: lever for lever in self.levers if not lever.whole}
        for change in changes:
            lever = sized.get(change.lever)
            if lever is None:
                continue
            others = [c for c in changes if c.lever != change.lever]
            fine = ROUGH * change.size if others else lever.fine
            size = self._smallest(lever.make, change.size, reached, fine, others)
            changes = tuple(lever.make(size) if c.lever == change.lever else c for c in changes)
        return changes

    def _smallest(
        self, make: Callable[[float], Change], size: float, reached: Outcome, fine: float, others: Sequence[Change] = ()
    ) -> float:
        """The smallest size, to `fine`, that leaves no more showing than `reached`."""
        low, high = 0.0, size
        while high - low > fine:
            middle = (low + high) / 2
            outcome = self._try((*others, make(middle)))
            if outcome is not None and _as_good(outcome, reached):
                high = middle
            else:
                low = middle
        return high


def _named(why: str) -> str:
    """What a reason names in quotes: of many crosses into one area one is told."""
    parts = why.split("'")
    return parts[1] if len(parts) > 2 else ""


def _as_good(outcome: Outcome, reached: Outcome) -> bool:
    return outcome.weighted <= reached.weighted and outcome.badness <= reached.badness * (1 + WORTH) + 1e-9


def _clash(one: Change, other: Change) -> bool:
    """Whether two changes write the same value, or are two sizes or directions of one thing."""
    if one.lever == other.lever:
        return True
    return any(a.path == b.path and not (a.append and b.append) for a, b in itertools.product(one.edits, other.edits))
