"""Changes to who is where: seats held off sale, a sector closed with a handler's post, people kept further back."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from sightline.blocking.levers import Change
from sightline.blocking.refusals import Refusals
from sightline.blocking.trial import Outcome
from sightline.house.build import House
from sightline.house.eyes import Eye
from sightline.scene.editing import Edit
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.staging.places import on_the_floor, stands
from sightline.units import printed_angle, printed_length

# More seats than this share of the house are never proposed to be held; wider sectors cannot be kept by one handler.
MOST_HELD_SHARE, WIDEST_SECTOR_DEG = 0.10, 75.0
# People are kept back in steps of so much, up to so far.
KEPT_STEP_M, MOST_KEPT_M = 0.25, 4.0
SECTOR_MARGIN_DEG = 4.0


def house_changes(
    written: Written[Scene], house: House, outcome: Outcome, refusals: Refusals
) -> Iterator[tuple[Change, str | None]]:
    """What could be done about the eyes that still see something, each with why it may not be."""
    if written.model.venue is None:
        return
    seen = {eye for eye, verdict in zip(outcome.ids, outcome.seen, strict=True) if verdict == 2}
    eyes = [eye for eye in house.eyes if eye.id in seen]
    yield from _held(written, house, eyes, refusals)
    yield from _sector(written, house, eyes, refusals)
    yield from _kept_back(written, eyes)


def _held(
    written: Written[Scene], house: House, eyes: list[Eye], refusals: Refusals
) -> Iterator[tuple[Change, str | None]]:
    seats = [eye.id for eye in eyes if eye.seat is not None]
    total = sum(eye.seat is not None for eye in house.eyes)
    if not seats or len(seats) > MOST_HELD_SHARE * total:
        return
    edits = tuple(Edit(("venue", "held seats"), _quoted(seat), append=True) for seat in seats)
    said = f"{len(seats)} seats held off sale: {', '.join(seats[:12])}{' ...' if len(seats) > 12 else ''}"
    cost = written.model.cost.seat_held * len(seats)
    yield Change("seats held", float(len(seats)), cost, said, edits), refusals.of_seats(seats)


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _sector(
    written: Written[Scene], house: House, eyes: list[Eye], refusals: Refusals
) -> Iterator[tuple[Change, str | None]]:
    """One sector that holds all who stand on the performing floor and see, closed by one handler."""
    mark = np.array(written.model.blocking.mark)
    standing = [eye for eye in eyes if eye.seat is None and eye.floor_m is not None and on_the_floor(eye)]
    if not standing:
        return
    step = np.array([eye.position_m[:2] for eye in standing]) - mark
    bearing = np.sort(np.degrees(np.arctan2(step[:, 0], -step[:, 1])))
    gaps = np.diff(np.concatenate([bearing, [bearing[0] + 360.0]]))
    widest = int(gaps.argmax())
    start = bearing[(widest + 1) % len(bearing)] - SECTOR_MARGIN_DEG
    width = 360.0 - gaps[widest] + 2 * SECTOR_MARGIN_DEG
    if width > WIDEST_SECTOR_DEG:
        return
    start = math.remainder(start, 360.0)
    out = float(np.linalg.norm(step, axis=1).max()) + 0.5
    item = f"{{from: {printed_angle(start)}, to: {printed_angle(math.remainder(start + width, 360.0))}, "
    item += f"out: {printed_length(out)}}}"
    post = math.remainder(start + width / 2, 360.0)
    said = (
        f"a sector of {width:.0f} deg kept closed out to {out:.1f} m, with a handler's post at {_bearing_words(post)}"
    )
    cost = written.model.cost.sector_per_deg * width + written.model.cost.handler
    change = Change("sector", width, cost, said, (Edit(("venue", "closed sectors"), item, append=True),))
    turn = (math.radians(start), math.radians(start + width))
    inside = [
        eye
        for eye in house.eyes
        if eye.seat is None
        and eye.floor_m is not None
        and on_the_floor(eye)
        and math.dist(eye.position_m[:2], mark) <= out
        and (math.atan2(eye.position_m[0] - mark[0], -(eye.position_m[1] - mark[1])) - turn[0]) % (2 * math.pi)
        <= turn[1] - turn[0]
    ]
    yield change, refusals.of_sector(inside, *turn, out, mark)


def _bearing_words(deg: float) -> str:
    if abs(deg) < 2:
        return "straight out front"
    side = "stage left (house right)" if deg > 0 else "stage right (house left)"
    return f"{abs(deg):.0f} deg from full front towards {side}"


def _kept_back(written: Written[Scene], eyes: list[Eye]) -> Iterator[tuple[Change, str | None]]:
    """Rings of growing size: those who stand nearer step back."""
    mark = np.array(written.model.blocking.mark)
    near = [math.dist(eye.position_m[:2], mark) for eye in eyes if stands(eye) and on_the_floor(eye)]
    if not near or (written.model.venue is not None and written.model.venue.keep_back):
        return
    first = math.ceil(min(near) / KEPT_STEP_M + 1e-9) * KEPT_STEP_M
    for distance in np.arange(first, MOST_KEPT_M + 1e-9, 2 * KEPT_STEP_M):
        size = float(distance)
        moved = (size - min(near)) * 100
        said = f"nobody who stands nearer than {size:.2f} m to the mark (a ring on the floor, a handler to keep it)"
        cost = written.model.cost.ring_per_cm * moved + written.model.cost.handler
        yield Change("ring", size, cost, said, (Edit(("venue", "keep back"), printed_length(size)),)), None
