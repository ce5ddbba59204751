"""A tour run: what is kept from before is taken, the rest is worked out, and each result kept as soon as it is there."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sightline.tour.bundle import Bundle
from sightline.tour.plan import Plan
from sightline.tour.point import Point
from sightline.tour.pool import cores, on_this_machine
from sightline.tour.program import here
from sightline.tour.store import Result, Store

Tick = Callable[[int, int, int], None]
"""Told how many points are done, of how many, and how many of them were there from before."""


@dataclass(frozen=True)
class Where:
    """Where the work is done: on this machine with so many processes (None: one a core), or on a cluster."""

    workers: int | None = None
    cluster: str | None = None


@dataclass(frozen=True)
class Ran:
    """All results by point. `kept` is how many were there from before."""

    plan: Plan
    looked: dict[Point, Result]
    moved: dict[Point, Result]
    kept: int


def run(plan: Plan, store: Store, where: Where, retarget: bool = False, tick: Tick | None = None) -> Ran:
    """Work the whole tour out. Raises SightlineError only for what concerns all of it; a point's failure is its result."""
    store.ready()
    moved: dict[Point, Result] = {}
    kept = 0
    texts = None
    if retarget:
        places = [plan.point(s, v, "retarget") for s in range(len(plan.stops)) for v in range(len(plan.variants))]
        moved, kept = _all(places, plan.bundle, store, where, tick)
        texts = {(p.stop, p.variant): str(result["text"]) for p, result in moved.items() if result["error"] is None}
    looked, known = _all(plan.points(texts), plan.bundle, store, where, tick)
    return Ran(plan, looked, moved, kept + known)


def _all(
    points: Sequence[Point], bundle: Bundle, store: Store, where: Where, tick: Tick | None
) -> tuple[dict[Point, Result], int]:
    """Every point's result in their order, and how many were there from before."""
    program = here()
    found: dict[Point, Result] = {}
    for point in points:
        result = store.fetch(point.key(program.name))
        if result is not None:
            found[point] = result
    known = len(found)
    left = [point for point in points if point not in found]

    def done(point: Point, result: Result) -> None:
        found[point] = result
        if where.cluster is not None and result["error"] is None:
            store.store(point.key(program.name), result)
        if tick:
            tick(len(found), len(points), known)

    if left and where.cluster is not None:
        from sightline.tour.cluster import on_cluster

        on_cluster(left, bundle, program, where.cluster, done)
    elif left:
        state = None if store.folder is None else str(store.folder)
        on_this_machine(left, bundle, program, state, where.workers or cores(), done)
    return {point: found[point] for point in points}, known
