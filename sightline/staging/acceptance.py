"""Leaks that somebody has accepted: held against the seats and beats that there are. They change no verdict."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from difflib import get_close_matches
from typing import Any

from sightline.errors import FileError, Problem
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.staging.audience import audience


def accepted_leaks(written: Written[Scene], seen: Collection[str]) -> list[dict[str, Any]]:
    """Every accepted leak as a plain dict. `seen` are the eyes that see a secret now.

    Raises FileError with all seats and beats that are not there, each with the nearest that is.
    """
    scene = written.model
    if not scene.accepted:
        return []
    seats = [eye.id for eye in audience(written).eyes]
    beats = [beat.name for beat in scene.blocking.beats if beat.name]
    problems: list[Problem] = []
    known = frozenset(seats)
    for i, leak in enumerate(scene.accepted):
        for k, seat in enumerate(leak.seats):
            if seat not in known:
                problems += _no_such(written, ("accepted", i, "seats", k), f"There is no seat '{seat}'", seat, seats)
        if leak.beat is not None and leak.beat not in beats:
            problems += _no_such(written, ("accepted", i, "beat"), f"There is no beat '{leak.beat}'", leak.beat, beats)
    if problems:
        raise FileError(problems)
    return [
        {
            "seats": list(leak.seats), "beat": leak.beat, "sees": leak.sees, "by": leak.by, "date": leak.date, "note": leak.note,
            "seats_seen": [seat for seat in leak.seats if seat in seen],
        }
        for leak in scene.accepted
    ]  # fmt: skip


def _no_such(
    written: Written[Scene], path: tuple[str | int, ...], said: str, name: str, known: Iterable[str]
) -> list[Problem]:
    near = get_close_matches(name, list(known), n=3)
    hint = (
        f"; did you mean {' or '.join(near)}?"
        if near
        else "; leave it out for the whole act."
        if path[-1] == "beat"
        else "."
    )
    return written.problem(path, f"{said}{hint}").problems
