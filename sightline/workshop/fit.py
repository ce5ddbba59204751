"""The fit report: every section of the workshop over one scene."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sightline.workshop.bench import Bench
from sightline.workshop.section import Item, Section

Maker = Callable[[Bench], Section]


def makers() -> list[Maker]:
    """The sections in the order in which a maker meets them."""
    from sightline.workshop import (
        anatomy,
        cautions,
        doffing,
        dressing,
        freehands,
        handed,
        load,
        mounts,
        openings,
        passing,
        reach,
        release,
        seeing,
        sides,
        signals,
    )

    return [
        reach.section,
        openings.section,
        sides.section,
        anatomy.section,
        handed.section,
        mounts.section,
        load.section,
        seeing.section,
        passing.section,
        freehands.section,
        dressing.section,
        doffing.section,
        signals.section,
        release.section,
        cautions.section,
    ]


def sections(bench: Bench) -> list[Section]:
    """All sections. Raises SightlineError with the place of what cannot be built."""
    return [make(bench) for make in makers()]


def first_items(every: list[Section]) -> list[Item]:
    """What stands on top of the report, whichever sections are printed: a no or a not known about getting out."""
    return [item for section in every for item in section.top if item.state in ("no", "not known")]


def document(bench: Bench, scene_name: str, found: list[Section], first: list[Item]) -> dict[str, Any]:
    """The report as one JSON document, as `sightline fit --json` prints it; `first` stands on top."""
    return {
        "schema_version": 1,
        "title": bench.scene.title,
        "scene": scene_name,
        "top": [_item(item) for item in first],
        "sections": {
            section.name: {
                "items": [_item(item) for item in (*section.top, *section.items)],
                "cautions": list(section.cautions),
            }
            for section in found
        },
        "assumptions": list(dict.fromkeys(said for section in found for said in section.assumptions)),
        "not_checked": list(dict.fromkeys(said for section in found for said in section.not_checked)),
    }


def _item(item: Item) -> dict[str, Any]:
    value = float(f"{item.value:.9g}") if isinstance(item.value, float) else item.value
    return {
        "key": item.key, "state": item.state, "words": item.words, "value": value, "unit": item.unit,
        "source": item.source,
    }  # fmt: skip
