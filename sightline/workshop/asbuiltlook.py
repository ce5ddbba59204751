"""What sizes as built change: each by itself, each range at both its ends, and what was ticked beside what is computed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sightline.blocking.levers import Change
from sightline.blocking.trial import Outcome, Refused, Trier
from sightline.errors import Misfit, SightlineError
from sightline.geometry.frame import Placement
from sightline.scene.editing import Edit, edited
from sightline.scene.reading import Written, scene_from_text
from sightline.scene.scene import Scene
from sightline.sight.check import VERDICTS, Finding, Thresholds, check
from sightline.sight.looking import Tick as Progress
from sightline.staging.stage import Staged, placement
from sightline.workshop.asbuilt import Reading, Taken, Tick, as_measured
from sightline.workshop.asbuiltedits import edits_of
from sightline.workshop.asbuiltsize import Size
from sightline.workshop.bench import Bench
from sightline.workshop.eyepick import point_eye
from sightline.workshop.roomsheet import bare_moment


@dataclass(frozen=True)
class Alone:
    """What one deviation alone does to the plan: eyes whose worst verdict rises and falls, and how many then see.

    `why_not` says why the rest of the plan does not go with it.
    """

    taken: tuple[Taken, ...]
    worse: int = 0
    better: int = 0
    eyes_seen: int = 0
    change: float = 0.0
    why_not: str | None = None

    @property
    def keys(self) -> list[str]:
        return [one.size.key for one in self.taken]


class Looking:
    """Looks at one scene with sizes as measured, put in one by one or together."""

    def __init__(self, bench: Bench, sizes: Sequence[Size], reading: Reading):
        self.bench, self.reading = bench, reading
        self.sizes = {size.key: size for size in sizes}
        self.trier = Trier(bench.written)

    def edits(self) -> tuple[Edit, ...]:
        """The changes that make the scene as built. Raises Misfit, its path in the sheet."""
        return edits_of(self.bench, self.sizes, self.reading.taken)

    def built(self) -> Written[Scene]:
        """The scene as built. Raises EditError for a text that cannot be changed so, SightlineError for sizes that cannot be."""
        first = self.bench.written
        text = edited(first.document.text, self.edits())
        try:
            return scene_from_text(text, first.document.file, first.folder, first.root)
        except SightlineError as error:
            raise as_measured(error, self.reading) from error

    def alone(self, tick: Progress | None = None) -> list[Alone]:
        """Every deviation alone against the plan, the one that changes most first."""
        found = self._each(lambda group: group, tick)
        return sorted(
            found, key=lambda one: (one.why_not is not None, -one.worse - one.better, -one.worse, -one.change)
        )

    def put_right(self, tick: Progress | None = None) -> list[Alone]:
        """All that was built with each deviation by itself put right; the one that leaves fewest who see first."""
        found = self._each(lambda group: tuple(one for one in self.reading.taken if one not in group), tick)
        return sorted(found, key=lambda one: (one.why_not is not None, one.eyes_seen, one.worse, one.change))

    def _each(
        self, rest: Callable[[tuple[Taken, ...]], tuple[Taken, ...]], tick: Progress | None
    ) -> list[Alone]:  # fmt: skip
        """For each deviation, what the sizes that `rest` makes of it do to the plan, at the worst of their ranges."""
        groups = self.reading.deviations
        if not groups:
            return []
        plan = self.trier.trial([])
        if isinstance(plan, Refused):
            raise SightlineError(plan.why)
        found = []
        for n, group in enumerate(groups):
            variants = [self._against(plan, group, taken) for taken in _variants(rest(group))]
            found.append(max(variants, key=lambda one: (one.why_not is None, one.eyes_seen, one.worse, one.better)))
            if tick is not None:
                tick(n + 1, len(groups))
        return found

    def _against(self, plan: Outcome, group: tuple[Taken, ...], taken: tuple[Taken, ...]) -> Alone:
        try:
            outcome = self.trier.trial([self._change(taken)])
        except Misfit as misfit:
            return Alone(group, why_not=misfit.sentence)
        if isinstance(outcome, Refused):
            return Alone(group, why_not=outcome.why)
        before = dict(zip(plan.ids, plan.seen.tolist(), strict=True))
        steps = [k - before[eye] for eye, k in zip(outcome.ids, outcome.seen.tolist(), strict=True) if eye in before]
        return Alone(
            group, sum(step > 0 for step in steps), sum(step < 0 for step in steps), outcome.eyes_seen,
            abs(outcome.badness - plan.badness),
        )  # fmt: skip

    def ends(self, tick: Progress | None = None) -> Iterator[tuple[str, Finding | str]]:
        """The scene as built with each range at either end, and all at once; what is said of it, and what is found.

        In place of a finding stands why it cannot be so.
        """
        ranged = self.reading.ranged
        mixes: list[tuple[str, dict[str, Taken]]] = []
        for one in ranged:
            mixes += [(f"{one.size.key} at its {end}", {one.size.key: one.at(value)}) for end, value in _ends(one)]
        if len(ranged) > 1:
            for k, end in enumerate(("least", "most")):
                every = {one.size.key: one.at(_ends(one)[k][1]) for one in ranged}
                mixes.append((f"every range at its {end}", every))
        for n, (said, at) in enumerate(mixes):
            taken = [at.get(one.size.key, one) for one in self.reading.taken]
            try:
                yield said, self.trier.finding([self._change(taken)])[0]
            except SightlineError as error:
                yield said, str(as_measured(error, self.reading))
            if tick is not None:
                tick(n + 1, len(mixes))

    def _change(self, taken: Sequence[Taken]) -> Change:
        return Change("as built", 0.0, 0.0, "as built", edits_of(self.bench, self.sizes, taken))


def _variants(taken: tuple[Taken, ...]) -> list[tuple[Taken, ...]]:
    """The sizes as they are, and where some are known within a range, all at their least and all at their most."""
    if not any(one.built.is_range for one in taken):
        return [taken]
    return [taken, *(tuple(one.at(_ends(one)[k][1]) for one in taken) for k in range(2))]


def _ends(one: Taken) -> list[tuple[str, float]]:
    return [("least", one.built.low), ("most", one.built.high)]


def in_the_room(ticks: Sequence[Tick], staged: Staged, thresholds: Thresholds) -> dict[str, int | str]:
    """What the cameras of the mock-up see of the act as built, by eye: a verdict, or why there is none."""
    found: dict[str, int | str] = {}
    bare = bare_moment(staged)
    frame = Placement.still() if staged.goes_along else placement(staged.mark_m, staged.facing_rad)
    for tick in ticks:
        if tick.camera_m is None:
            continue
        at = frame.points(np.array(tick.camera_m))
        try:
            seen = check(replace(bare, eyes=(point_eye(tick.eye, at),)), thresholds, must_sees=False, brief=True)
        except Misfit as misfit:
            found[tick.eye] = misfit.sentence
            continue
        found[tick.eye] = int(seen.worst_verdict()[0])
    return found


def judged(
    ticks: Sequence[Tick], house: Mapping[str, int], room: Mapping[str, int | str]
) -> list[dict[str, Any]]:  # fmt: skip
    """Every tick beside what is computed at its place. Who saw something believes the eye; who saw nothing, the rays.

    `house`, `room`: the worst verdict as built from the eye's own place, and from its camera.
    """
    made = []
    for tick in ticks:
        computed = room[tick.eye] if tick.camera_m is not None else house.get(tick.eye, "this eye is no longer there")
        saw = tick.saw != "no"
        why = computed if isinstance(computed, str) else None
        rank = None if isinstance(computed, str) else computed
        # Below what that eye can notice, seeing nothing is as computed, and seeing something is not.
        agrees = None if rank is None else (rank == 2 if saw else rank < 2)
        made.append(
            {
                "eye": tick.eye, "saw": tick.saw, "from": "camera" if tick.camera_m is not None else "seat",
                "computed": None if rank is None else VERDICTS[rank], "why_not": why, "agrees": agrees,
                "in_the_house": VERDICTS[house[tick.eye]] if tick.eye in house else None,
                "counts_as_seen": saw and agrees is not True, "where": tick.where,
            }
        )  # fmt: skip
    return made


def counted(built: Finding, report: Mapping[str, Any], seen_from: Sequence[str]) -> Finding:
    """The finding with the verdicts that a report of it came to, and with the eyes that somebody saw a secret from."""
    ids = [eye.id for eye in built.moment.eyes]
    told = np.array([eye in set(seen_from) for eye in ids])
    secrets = {}
    for n, (name, found) in enumerate(built.secrets.items()):
        said = [VERDICTS.index(eye["secrets"][name]["verdict"]) for eye in report["eyes"]]
        verdict = np.maximum(found.verdict, np.array(said, dtype=np.int8))
        # Which of the secrets somebody saw is not known; all are drawn together.
        secrets[name] = replace(found, verdict=np.where(told, np.int8(2), verdict) if n == 0 else verdict)
    return replace(built, secrets=secrets)
