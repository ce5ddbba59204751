"""Fit limits that advice must not break: what of reach, load, floor view and release answers no, in a scene."""

from __future__ import annotations

from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.workshop.bench import bench_of
from sightline.workshop.section import Item

# What padding or a breakaway mends is told beside the change and does not refuse it; all else that says no does.
MENDABLE = (
    "nothing hard at face, throat, breastbone, armpit", "prop drops clear of the feet", "no loop tightens",
    "nothing round the neck", "limb parts under a grab", "costume ties part under a grab",
)  # fmt: skip
# How bad a state is; told and yes are well.
RANK = {"yes": 0, "told": 0, "warn": 1, "not known": 1, "no": 2}


def fit_items(written: Written[Scene]) -> dict[str, Item]:
    """The items of the sections that hold limits, by key; none for a scene without a performer.

    Raises SightlineError where the scene cannot be put together.
    """
    from sightline.workshop import load, reach, release, seeing

    bench = bench_of(written)
    if bench.body is None:
        return {}
    found = [make(bench) for make in (reach.section, load.section, seeing.section, release.section)]
    return {item.key: item for section in found for item in (*section.top, *section.items)}


def broken(before: dict[str, Item], after: dict[str, Item]) -> tuple[list[str], list[str]]:
    """What a change breaks (now no, and was not) and what it makes worse, as sentences."""
    no: list[str] = []
    worse: list[str] = []
    for key, item in after.items():
        if key not in before or RANK[item.state] <= RANK[before[key].state]:
            continue
        (no if item.state == "no" and key not in MENDABLE else worse).append(item.words)
    return no, worse
