"""Who is kept from where: seats held off sale, sectors kept closed by a handler, people kept back from the mark."""

from __future__ import annotations

import math
from dataclasses import replace
from difflib import get_close_matches

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.house.build import House
from sightline.house.eyes import Eye
from sightline.house.ground import inside, way_to_way_m
from sightline.house.outline import Outline
from sightline.scene.blocking import ClosedSector
from sightline.scene.reading import Written
from sightline.scene.scene import Scene


def kept(written: Written[Scene], house: House) -> House:
    """The house as the scene lets people into it. Raises FileError for seats that are not there or may not be held."""
    venue = written.model.venue
    if venue is None or not (venue.held_seats or venue.closed_sectors or venue.keep_back):
        return house
    mark = np.array(written.model.blocking.mark)
    eyes, notes = list(house.eyes), list(house.notes)
    ids = {eye.id: eye for eye in eyes}
    for i, seat in enumerate(venue.held_seats):
        path = ("venue", "held seats", i)
        if seat not in ids:
            near = get_close_matches(seat, list(ids), n=1)
            hint = f"; did you mean '{near[0]}'?" if near else "."
            raise written.problem(path, f"There is no seat '{seat}' to hold{hint}")
        if ids[seat].id in protected(house.eyes):
            raise written.problem(path, f"'{seat}' is a wheelchair or companion place: it is never held.")
    held = set(venue.held_seats)
    for i, sector in enumerate(venue.closed_sectors):
        inside = [eye for eye in eyes if in_sector(eye, sector, mark)]
        if any(eye.kind == "wheelchair" for eye in inside):
            raise written.problem(
                ("venue", "closed sectors", i), "There is a wheelchair place in this sector: it is never closed off."
            )
        held |= {eye.id for eye in inside}
    if held:
        eyes = [eye for eye in eyes if eye.id not in held]
        notes.append(f"{len(held)} places are held or closed off; a handler or usher sees to it that nobody is there.")
    if venue.keep_back:
        moved = [kept_back(eye, venue.keep_back, mark) for eye in eyes]
        stuck = [old.id for old, new in zip(eyes, moved, strict=True) if new is not old and not _free(old, new, house)]
        eyes = [old if old.id in stuck else new for old, new in zip(eyes, moved, strict=True)]
        notes.append(f"People who stand are kept {venue.keep_back:.2f} m from the mark; a handler sees to it.")
        if stuck:
            more = " ..." if len(stuck) > 6 else ""
            notes.append(
                f"{len(stuck)} cannot step straight back for walls, scenery or ways to be kept clear, and are taken to "
                f"stay where they are: {', '.join(stuck[:6])}{more}."
            )
    return replace(house, eyes=eyes, notes=notes)


def stands(eye: Eye) -> bool:
    """Whether this is somebody who stands about, and can be asked to stand elsewhere: nobody in a seat or a chair."""
    return eye.seat is None and eye.kind in ("standing", "child", "floor child", "phone")


def in_sector(eye: Eye, sector: ClosedSector, mark_m: FloatArray) -> bool:
    """Whether an eye that stands is in a sector about the mark."""
    if eye.seat is not None or eye.floor_m is None:
        return False
    x, y = eye.position_m[0] - mark_m[0], eye.position_m[1] - mark_m[1]
    bearing = math.atan2(x, -y)
    return math.hypot(x, y) <= sector.out and (bearing - sector.start) % (2 * math.pi) <= (sector.to - sector.start) % (
        2 * math.pi
    )


def kept_back(eye: Eye, distance_m: float, mark_m: FloatArray) -> Eye:
    """The eye at least so far from the mark, on the same bearing; wheelchair places are never moved."""
    if not stands(eye):
        return eye
    step = np.array(eye.position_m[:2]) - mark_m
    far = float(np.hypot(*step))
    if far >= distance_m or far < 1e-6:
        return eye
    x, y = (mark_m + step * distance_m / far).tolist()
    return replace(eye, position_m=(x, y, eye.position_m[2]))


# What nobody steps through, and where nobody is sent.
BARRED = ("wall", "box", "column", "rail", "masking", "proscenium", "stage edge", "balcony front")
KEPT_CLEAR = ("keep clear", "exit")
TOUCHES_M = 1e-9


def _free(old: Eye, new: Eye, house: House) -> bool:
    """Whether somebody can step straight from one place to the other, and may stand there."""
    way = np.array([old.position_m[:2], new.position_m[:2]])
    for outline in house.outlines:
        if outline.kind in BARRED and (way_to_way_m(way, outline.points_m) <= TOUCHES_M or _within(way[1:], outline)):
            return False
        if outline.kind in KEPT_CLEAR and _within(way[1:], outline):
            return False
    return True


def _within(points_m: FloatArray, outline: Outline) -> bool:
    return outline.closed and bool(inside(outline.points_m[:-1], points_m).any())


def protected(eyes: list[Eye]) -> frozenset[str]:
    """Ids of wheelchair places and the seats beside them, which are their companions'."""
    chairs = [eye for eye in eyes if eye.kind == "wheelchair"]
    out = {eye.id for eye in chairs}
    for chair in chairs:
        if chair.row is None:
            continue
        row = [eye for eye in eyes if (eye.level, eye.row) == (chair.level, chair.row) and eye.id not in out]
        row.sort(key=lambda eye: math.dist(eye.position_m, chair.position_m))
        out |= {eye.id for eye in row[:1]}
    return frozenset(out)
