"""Putting the act on: the steps as written or as its parts suggest, and the order with the fewest helpers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

from sightline.errors import FileError, Problem
from sightline.scene.dressing import DressStep
from sightline.workshop.bench import Bench
from sightline.workshop.ordering import MOST_EXACT, ONE_HANDED_TIMES, CycleError, Done, Order, Task, solve_order
from sightline.workshop.section import Item, Section
from sightline.workshop.usualsteps import usual_steps

PRACTICE = "common practice, no source"
# A step whose time is not said. Common practice, no source.
STEP_S, FASTENING_S = 10.0, 20.0


@dataclass(frozen=True)
class Dressing:
    """The steps, and the order solved. `assumed`: the scene wrote none, they are guessed from its parts."""

    steps: tuple[DressStep, ...]
    order: Order
    assumed: bool

    def placed(self) -> Iterator[tuple[DressStep, Done]]:
        """Steps in the solved order."""
        for done in self.order.done:
            yield self.steps[done.index], done

    @property
    def closes_last(self) -> DressStep | None:
        """The fastening that is closed after all others."""
        return next((step for step, _ in reversed(list(self.placed())) if step.fastening), None)


def dressing_of(bench: Bench) -> Dressing | None:
    """The dressing of a scene; None where there is nobody to dress or nothing to put on.

    Raises FileError for steps of one name, needs that are no step, and steps that wait for each other.
    """
    return None if bench.body is None else _solved(bench)


def _solved(bench: Bench) -> Dressing | None:
    scene = bench.scene
    steps = tuple(scene.dressing) or tuple(usual_steps(scene))
    if not steps:
        return None
    _refuse_wrong_names(bench)
    names = [step.step for step in steps]
    tasks = tuple(
        Task(
            frozenset(names.index(need) for need in step.needs), step.hands, step.helper, seconds_of(step),
            step.fastening is not None, step.takes_hand,
        )
        for step in steps
    )  # fmt: skip
    try:
        return Dressing(steps, _order(tasks), not scene.dressing)
    except CycleError as error:
        ring = [f"'{names[i]}'" for i in error.cycle]
        said = ", ".join(f"{a} needs {b}" for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))
        sentence = f"No order of dressing does this: {said}. Take one of these needs away."
        raise bench.written.problem(("dressing", error.cycle[0], "needs"), sentence) from error


@lru_cache(maxsize=16)
def _order(tasks: tuple[Task, ...]) -> Order:
    """Several sections and cards ask for the same order."""
    return solve_order(tasks)


def _refuse_wrong_names(bench: Bench) -> None:
    names = [step.step for step in bench.scene.dressing]
    problems: list[Problem] = []

    def add(path: tuple[str | int, ...], sentence: str) -> None:
        problems.extend(bench.written.problem(path, sentence).problems)

    for i, step in enumerate(bench.scene.dressing):
        if names.index(step.step) != i:
            add(("dressing", i, "step"), f"Two steps are named '{step.step}'; each needs its own name.")
        for j, need in enumerate(step.needs):
            if need not in names:
                near = get_close_matches(need, names, n=1)
                hint = f"; did you mean '{near[0]}'?" if near else f"; there are: {', '.join(names)}."
                add(("dressing", i, "needs", j), f"There is no step '{need}'{hint}")
    if problems:
        raise FileError(problems)


def seconds_of(step: DressStep) -> float:
    if step.seconds is not None:
        return step.seconds
    return FASTENING_S if step.fastening else STEP_S


def section(bench: Bench) -> Section:
    found = dressing_of(bench)
    if found is None:
        what = "has no performer" if bench.body is None else "has nothing to put on"
        return Section(
            "dressing", [Item("order", "not known", f"The order of dressing is not known: the scene {what}.")]
        )
    placed = list(found.placed())
    names = [step.step for step, _ in placed]
    best = "no order needs fewer helpers, then fewer one-handed fastenings, then less time"
    how = (
        best if found.order.exact else f"found step by step, for there are more than {MOST_EXACT}: perhaps not the best"
    )
    said = "; ".join(f"{n} {name}" for n, name in enumerate(names, 1))
    items = [Item("order", "told", f"Dress in this order ({how}): {said}.", names), *_counts(found)]
    last = found.closes_last
    if last is not None:
        items.append(Item("closes last", "told", f"Closes last: {last.fastening} ('{last.step}').", last.step))
    open_ones = [step for step, _ in placed if step.fastening and step.start is None]
    if open_ones:
        said = ", ".join(f"'{step.step}'" for step in open_ones)
        items.append(Item("start state", "not known", f"How these lie ready is not said (start: ...): {said}."))
    assumptions = []
    if found.assumed:
        assumptions.append(
            "The scene writes no dressing; its steps, their times and what they need are guessed from its parts "
            f"({PRACTICE}). Write them as they are: dressing: [{{step: ..., needs: [...], hands: 2, seconds: 20 s}}]."
        )
    elif any(step.seconds is None for step in found.steps):
        assumptions.append(
            f"A step without a time takes {STEP_S:g} s, a fastening {FASTENING_S:g} s ({PRACTICE})."
        )  # fmt: skip
    if any(done.one_handed for _, done in placed):
        assumptions.append(f"A fastening with one hand takes {ONE_HANDED_TIMES} times as long ({PRACTICE}).")
    return Section("dressing", items, assumptions=assumptions, not_checked=["the quick change under show light, timed"])


def _counts(found: Dressing) -> list[Item]:
    helped = [step.step for step, done in found.placed() if done.helped]
    single = [step.step for step, done in found.placed() if done.one_handed]
    seconds = found.order.seconds
    many = "1 step needs" if len(helped) == 1 else f"{len(helped)} steps need"
    return [
        Item("helper", "no", f"It does not go on alone: {many} a helper ({', '.join(helped)}).", len(helped))
        if helped
        else Item("helper", "yes", "The performer can put it on alone.", 0),
        Item("one-handed", "warn", f"Closed with one hand: {', '.join(single)}.", len(single))
        if single
        else Item("one-handed", "told", "No fastening has to be closed with one hand.", 0),
        Item("dressing time", "told", f"Dressing takes about {seconds:.0f} s.", seconds, "s", PRACTICE),
    ]
