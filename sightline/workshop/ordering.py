"""The order of dressing: steps with what each needs, solved for the fewest helpers and one-handed fastenings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

# All orders are gone through up to this many steps (by subsets: 2^14 of them); beyond, one step at a time.
MOST_EXACT = 14
# A fastening done with the one hand that is left takes this many times as long. Common practice, no source.
ONE_HANDED_TIMES = 2

Cost = tuple[int, int, int]
"""Steps that need a helper, fastenings done with one hand, milliseconds: compared in this order."""


class CycleError(ValueError):
    """Steps that wait for each other. `cycle` are their indices: each needs the next, the last the first."""

    def __init__(self, cycle: list[int]):
        super().__init__(f"steps wait for each other: {cycle}")
        self.cycle = cycle


@dataclass(frozen=True)
class Task:
    """One step as the solver sees it: indices of what it needs, own hands, and the hand that is gone after it."""

    needs: frozenset[int]
    hands: int
    helper: bool
    seconds: float
    fastening: bool
    takes: str | None = None


@dataclass(frozen=True)
class Done:
    """One step in its place: with how many hands free, whether somebody helps, whether one hand closes it."""

    index: int
    free_hands: int
    helped: bool
    one_handed: bool
    seconds: float


@dataclass(frozen=True)
class Order:
    """A solved order. `exact`: no order is better; otherwise found step by step and perhaps not the best."""

    done: tuple[Done, ...]
    exact: bool

    @property
    def cost(self) -> Cost:
        return (
            sum(step.helped for step in self.done),
            sum(step.one_handed for step in self.done),
            sum(round(step.seconds * 1000) for step in self.done),
        )

    @property
    def seconds(self) -> float:
        return sum(step.seconds for step in self.done)


def find_cycle(tasks: Sequence[Task]) -> list[int] | None:
    """Indices of steps of which each needs the next and the last the first; None where there is an order."""
    state = [0] * len(tasks)  # 0 not met, 1 on the path, 2 done with

    def walk(i: int, path: list[int]) -> list[int] | None:
        state[i] = 1
        for need in sorted(tasks[i].needs):
            if state[need] == 1:
                return [*path[path.index(need) :]]
            if state[need] == 0:
                found = walk(need, [*path, need])
                if found:
                    return found
        state[i] = 2
        return None

    for i in range(len(tasks)):
        if state[i] == 0:
            found = walk(i, [i])
            if found:
                return found
    return None


def step_in_place(tasks: Sequence[Task], i: int, before: int) -> Done:
    """Step `i` after the set of steps `before` (bit by bit)."""
    gone = {task.takes for k, task in enumerate(tasks) if before >> k & 1 and task.takes}
    free, task = 2 - len(gone), tasks[i]
    helped = task.helper or task.hands > free
    one_handed = task.fastening and not helped and free == 1 and task.hands > 0
    return Done(i, free, helped, one_handed, task.seconds * (ONE_HANDED_TIMES if one_handed else 1))


def cost_of(step: Done) -> Cost:
    return int(step.helped), int(step.one_handed), round(step.seconds * 1000)


def solve_order(tasks: Sequence[Task]) -> Order:
    """The cheapest order of all; of equals the one nearest to the order as written. Raises CycleError.

    Which hands are free depends on the set of steps done, not on their order, so that the best way on from a set is
    the best for all ways to it: exact by subsets up to MOST_EXACT steps.
    """
    cycle = find_cycle(tasks)
    if cycle:
        raise CycleError(cycle)
    exact = len(tasks) <= MOST_EXACT
    needs = [sum(1 << need for need in task.needs) for task in tasks]
    everything = (1 << len(tasks)) - 1

    def open_steps(before: int) -> list[int]:
        return [i for i in range(len(tasks)) if not before >> i & 1 and needs[i] & before == needs[i]]

    @cache
    def rest(before: int) -> Cost:
        """The least that what is left can cost after `before`."""
        if before == everything:
            return 0, 0, 0
        return min(_plus(cost_of(step_in_place(tasks, i, before)), rest(before | 1 << i)) for i in open_steps(before))

    done: list[Done] = []
    before = 0
    while before != everything:
        # Step by step: what keeps the most hands goes first.
        next_one = min(
            open_steps(before),
            key=lambda i: (
                _plus(cost_of(step_in_place(tasks, i, before)), rest(before | 1 << i))
                if exact
                else (*cost_of(step_in_place(tasks, i, before))[:2], int(tasks[i].takes is not None)),
                i,
            ),
        )
        done.append(step_in_place(tasks, next_one, before))
        before |= 1 << next_one
    return Order(tuple(done), exact)


def _plus(a: Cost, b: Cost) -> Cost:
    return a[0] + b[0], a[1] + b[1], a[2] + b[2]
