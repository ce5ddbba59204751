"""The smallest changes that hide what shows: searched on a sample of the eyes, trimmed, and confirmed on all of them.

What is suggested has been checked on the whole house, by exact rays, heads swaying, as `check` would. Changes that
cost people's safety or access are refused on the way and told.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from sightline.blocking import levers
from sightline.blocking.aside import house_changes
from sightline.blocking.refusals import Refusals
from sightline.blocking.search import MOST_CHANGES, Combination, Search
from sightline.blocking.trial import KEPT_SHARE, Outcome, Refused, Trier, keeps, sample_of
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.margins import margins

SAMPLE_EYES, FEW_POSES = 40, 3
MOST_SUGGESTIONS = 8
# A suggestion that takes the view from fewer people than this share of those who had it is none.
WORTH_SHARE = 0.03
# Margins of more poses than this would take longer than the search.
MOST_POSES_FOR_MARGIN = 8
# So often the search goes on with those in its sample whom it had missed.
ROUNDS = 2

Tick = Callable[[int, int], None]
FitOf = Callable[[Written[Scene]], tuple[list[str], list[str]]]


@dataclass(frozen=True)
class Suggestion:
    """Changes confirmed on the whole house."""

    changes: Combination
    after: Outcome
    margin_deg: float | None = None
    side_effects: tuple[str, ...] = ()

    @property
    def cost(self) -> float:
        return self.after.cost


@dataclass
class Advice:
    """What was found: suggestions, smallest first, each seen by fewer than the one before it."""

    before: Outcome
    suggestions: list[Suggestion] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)
    best_facing: tuple[float, int] | None = None
    surrounded: bool = False
    limits: list[str] = field(default_factory=list)
    not_checked: list[str] = field(default_factory=list)
    looks: int = 0
    # What the scene itself takes for granted, and what no check of it looks at.
    granted: tuple[str, ...] = ()
    unseen: tuple[str, ...] = ()


def advise(
    written: Written[Scene],
    kinds: frozenset[str] | None = None,
    most: int = MOST_CHANGES,
    tick: Tick | None = None,
    fit: FitOf | None = None,
) -> Advice:
    """Search changes of `kinds` (None: all), up to `most` together. Raises as reading and staging the scene does.

    `fit` compares the fit of a changed scene with that of this one: what it breaks, which is refused, and what it makes
    worse, which is told. It is passed in: the workshop stands below blocking.
    """
    return _Adviser(written, kinds, most, fit).run(tick or (lambda done, of: None))


class _Adviser:
    def __init__(self, written: Written[Scene], kinds: frozenset[str] | None, most: int, fit: FitOf | None):
        self.written, self.kinds, self.most, self.fit_of = written, kinds, most, fit
        self._fits: dict[Combination, tuple[list[str], list[str]]] = {}
        self.all = Trier(written)
        before = self.all.trial(())
        if isinstance(before, Refused):
            raise written.problem((), before.why)
        staged = self.all.placing(()).staged
        self.refusals = Refusals(written, staged.house)
        self.goes_along, self.facing_rad = staged.goes_along, staged.facing_rad
        self.elbows_deg = [arm.bend_deg for arm in staged.act.false_arms]
        self.many_poses = len(staged.act.poses) > FEW_POSES
        self.advice = Advice(
            before, limits=_limits(kinds), not_checked=self.refusals.not_checked(),
            granted=staged.notes, unseen=staged.moment().not_checked,
        )  # fmt: skip
        around = np.array([eye.position_m[:2] for eye in staged.house.eyes]) - np.array(staged.mark_m)
        quarters = np.unique(np.floor(np.arctan2(around[:, 0], -around[:, 1]) / (math.pi / 2) + 0.5) % 4)
        self.advice.surrounded = len(quarters) == 4
        scene = written.model
        self.prime = [scene.puppet.name] if scene.puppet else [thing.name for thing in scene.must_see]
        self.whys: dict[str, Refused] = {}

    def run(self, tick: Tick) -> Advice:
        advice = self.advice
        if not advice.before.eyes_seen:
            return advice
        tick(0, 100)
        first = self.all.first
        assert first is not None
        # Whom advice must not take anything from is always asked.
        ids = sample_of(first, advice.before.ids, SAMPLE_EYES) | self.refusals.protected
        confirmed: list[Suggestion] = []
        for turn in range(ROUNDS):
            proposals, looks = self._search(ids, tick if turn == 0 else (lambda done, of: None))
            advice.looks += looks
            confirmed += self._confirmed(proposals)
            missed = self._missed(confirmed, ids)
            if not missed:
                break
            ids = ids | missed
        tick(90, 100)
        confirmed += self._finished_by_house(confirmed)
        advice.suggestions = [self._told(s) for s in self._pareto(confirmed)[:MOST_SUGGESTIONS]]
        advice.refused = list(self.whys.values())
        advice.looks += self.all.looks
        tick(100, 100)
        return advice

    def _search(self, ids: frozenset[str], tick: Tick) -> tuple[list[Combination], int]:
        """Proposals by the eyes of these ids, and how often the scene was looked at for them."""
        # A plain scene of few eyes needs no rough search: it is asked as exactly as it is confirmed.
        rough = len(ids) < len(self.advice.before.ids) or self.many_poses
        trier = Trier(self.written, ids, rough)
        start = trier.trial(())
        if isinstance(start, Refused) or not start.badness:
            return [], trier.looks
        search = Search(
            self.written, trier, start, self.refusals, self.prime, self.kinds, self.most, self.facing_rad,
            self.goes_along, self.elbows_deg, self.whys,
        )  # fmt: skip
        proposals = search.proposals(tick)
        self.advice.best_facing = search.best_facing or self.advice.best_facing
        return proposals, trier.looks

    def fit(self, changes: Combination) -> tuple[list[str], list[str]]:
        """What changes break of the fit, and what they make worse."""
        if self.fit_of is None:
            return [], []
        if changes not in self._fits:
            edits = tuple(edit for change in changes for edit in change.edits)
            self._fits[changes] = self.fit_of(self.all.changed(edits))
        return self._fits[changes]

    def _missed(self, confirmed: Sequence[Suggestion], ids: frozenset[str]) -> frozenset[str]:
        """Who still sees something after the best that was found, and was not asked; none where it is many or nobody."""
        best = min(confirmed, key=lambda s: (s.after.weighted, s.after.badness), default=None)
        if best is None:
            return frozenset()
        after = best.after
        left = [eye for eye, seen in zip(after.ids, after.seen, strict=True) if seen == 2]
        new = [eye for eye in left if eye not in ids]
        return frozenset(new[:12]) if len(left) <= 0.1 * len(after.ids) else frozenset()

    def _told(self, suggestion: Suggestion) -> Suggestion:
        """With its least margin, where nobody sees anything and the poses are few, and its side effects."""
        before, after = self.advice.before, suggestion.after
        said = list(self.fit(suggestion.changes)[1])
        if after.poses != before.poses:
            said.append(f"positions that the hidden arm may be in: {before.poses} before, {after.poses} after")
        margin = None
        if not after.eyes_seen and after.poses <= MOST_POSES_FOR_MARGIN:
            finding, _, placing = self.all.finding(suggestion.changes, must_sees=False)
            found = margins(finding.moment, finding.hidden(), placing.fields)
            known = [m[~np.isnan(m)] for m in found.values()]
            margin = min((float(m.min()) for m in known if len(m)), default=None)
        return replace(suggestion, margin_deg=margin, side_effects=tuple(said))

    def _confirmed(self, combinations: Sequence[Combination]) -> list[Suggestion]:
        """What holds on the whole house; where a sample missed somebody, the search goes on with them in it."""
        out: list[Suggestion] = []
        for combination in dict.fromkeys(combinations):
            outcome = self.all.trial(combination)
            if isinstance(outcome, Refused):
                continue
            no, _ = self.fit(combination)
            why = self.refusals.of_outcome(self.advice.before, outcome) or (no[0] if no else None)
            if why is not None:
                self.whys.setdefault(" + ".join(c.lever for c in combination), Refused(combination, why))
            elif keeps(self.advice.before, outcome, self.prime):
                out.append(Suggestion(combination, outcome))
        return out

    def _finished_by_house(self, confirmed: Sequence[Suggestion]) -> list[Suggestion]:
        """Held seats, closed sectors and people kept back: alone, and to finish what the best changes leave."""
        out: list[Suggestion] = []
        starts: list[tuple[Combination, Outcome]] = [((), self.advice.before)]
        left = [s for s in confirmed if s.after.eyes_seen > 0]
        starts += [(s.changes, s.after) for s in sorted(left, key=lambda s: (s.after.weighted, s.cost))[:2]]
        for combination, outcome in starts:
            _, written, placing = self.all.finding(combination, must_sees=False)
            for change, why in house_changes(written, placing.staged.house, outcome, self.refusals):
                if not (self.kinds is None or change.lever in self.kinds):
                    continue
                if why is not None:
                    self.whys.setdefault(change.lever, Refused((change,), why))
                    continue
                after = self.all.trial((*combination, change))
                if isinstance(after, Refused):
                    self.whys.setdefault(change.lever, after)
                elif self.refusals.of_outcome(outcome, after) is None:
                    out.append(Suggestion((*combination, change), after))
        return out

    def _pareto(self, found: Sequence[Suggestion]) -> list[Suggestion]:
        """Smallest first, each with clearly fewer who see than all that cost less."""
        before = self.advice.before
        worth = WORTH_SHARE * before.weighted
        out: list[Suggestion] = []
        least = before.weighted
        for suggestion in sorted(found, key=lambda s: (s.cost, s.after.weighted, s.after.badness)):
            after = suggestion.after
            if after.weighted <= least - worth or (after.weighted < least and not after.eyes_seen):
                out.append(suggestion)
                least = after.weighted
        # The last ones are those that leave least; the small steps before them matter less.
        return out if len(out) <= MOST_SUGGESTIONS else [out[0], *out[-(MOST_SUGGESTIONS - 1) :]]


def _limits(kinds: frozenset[str] | None) -> list[str]:
    """How far each kind was searched."""
    said = {
        ("turn",): f"turns up to {levers.MOST_TURN_DEG:g} deg",
        ("cross",): f"crosses up to {levers.MOST_CROSS_M:g} m",
        ("raise", "lower"): f"the prop up or down {levers.MOST_RAISE_M * 100:g} cm",
        ("slide",): f"the prop {levers.MOST_SLIDE_M * 100:g} cm to any side",
        ("tilt",): f"the prop tilted {levers.MOST_TILT_DEG:g} deg",
        ("bend",): f"the false elbow by {levers.MOST_BEND_DEG:g} deg, the hidden one held",
        ("flap",): f"lips up to {levers.MOST_FLAP_M * 100:g} cm, a lid, openings {levers.SMALLER_OPENING_M * 100:g} cm smaller",
        ("sleeve",): f"sleeves and seams, tunnels up to {levers.MOST_CUFF_M * 100:g} cm",
        ("drape",): f"drapes up to {levers.MOST_DRAPE_M * 100:g} cm, capes with {levers.MOST_CAPE_M * 100:g} cm of ease",
        ("masking",): "flats beside the mark", ("wall",): "a wall behind it",
        ("ring",): "people kept back up to 4 m", ("sector",): "a closed sector of at most 75 deg",
        ("seats held",): "at most a tenth of the seats held",
    }  # fmt: skip
    wanted = [words for names, words in said.items() if kinds is None or kinds & set(names)]
    return [*wanted, f"at least {100 * KEPT_SHARE:g} % of those who had a clear view of the puppet keep it"]
