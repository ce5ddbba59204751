"""All papers that a packet may hold, in the order in which they are listed."""

from __future__ import annotations

from sightline.errors import SightlineError
from sightline.packet.paper import Kind


def kinds() -> list[Kind]:
    """Every kind of paper. Two files never have the same path."""
    from sightline.packet import (
        builder,
        data,
        daysheet,
        director,
        handover,
        match,
        openpapers,
        pagepaper,
        stagemanager,
        travelsheet,
        walksheet,
        wearing,
    )

    return [
        *pagepaper.KINDS,
        *director.KINDS,
        *stagemanager.KINDS,
        *walksheet.KINDS,
        *builder.KINDS,
        *match.KINDS,
        *wearing.KINDS,
        *daysheet.KINDS,
        *travelsheet.KINDS,
        *handover.KINDS,
        *openpapers.KINDS,
        *data.KINDS,
    ]


def names() -> list[str]:
    """What `--only` takes."""
    return list(dict.fromkeys(kind.name for kind in kinds()))


def chosen(only: list[str]) -> list[Kind]:
    """The papers of these names, all without any. Raises SightlineError with the nearest one for an unknown name."""
    from difflib import get_close_matches

    known = names()
    for name in only:
        if name not in known:
            near = get_close_matches(name, known, n=1)
            hint = f"did you mean '{near[0]}'?" if near else f"there are: {', '.join(known)}."
            raise SightlineError(f"--only: there is no paper '{name}'; {hint}")
    return [kind for kind in kinds() if not only or kind.name in only]
