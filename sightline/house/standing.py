"""Standing crowds as eyes."""

from __future__ import annotations

import math

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.house import ground
from sightline.house.drawn import Crowd, Drawn
from sightline.house.people import mixed
from sightline.house.places import Places
from sightline.house.sampled import drawn_people
from sightline.scene.crowd import Sampled, StandingArea
from sightline.scene.ground import Ground, Ring

MOST_EYES = 200_000


def grounds(crowd: StandingArea) -> list[Ground]:
    """The area as written, then what people have filled of a ring's open part, from both its ends."""
    ring = crowd.ring
    if ring is None or not crowd.closed_behind:
        return [crowd]
    more = crowd.closed_behind * (2 * math.pi - ring.span_rad) / 2
    end = ring.start + ring.span_rad
    sectors = [(end, end + more), (ring.start - more, ring.start)]
    return [crowd, *(Ground(ring=_sector(ring, start, to)) for start, to in sectors)]


def _sector(ring: Ring, start: float, to: float) -> Ring:
    return Ring(inner=ring.inner, outer=ring.outer, start=start, to=to, centre=ring.centre)


def most_eyes(crowd: StandingArea) -> float:
    """A bound on the eyes of this area, known before it is laid out."""
    return sum(ground.most_places(part, crowd.spacing_m) for part in grounds(crowd))


def eyes_of(crowd: StandingArea) -> Places:
    """The crowd, numbered from 1 row by row; those who closed a ring have numbers of their own, after `behind`.

    Misfit when the area has room for nobody.
    """
    parts = [ground.places(part, crowd.spacing_m) for part in grounds(crowd)]
    if not len(parts[0]):
        raise Misfit((), f"Nobody fits into '{crowd.area}' with {crowd.spacing_m:.2f} m between neighbours.")
    ids = [f"{crowd.area} {n}" for n in range(1, len(parts[0]) + 1)]
    behind = sum(map(len, parts[1:]))
    ids += [f"{crowd.area} behind {n}" for n in range(1, behind + 1)]
    return crowd_places(crowd, ids, np.concatenate(parts), crowd.area, crowd.level, crowd.floor, crowd.weight)


def crowd_places(
    people: Sampled, ids: list[str], spots_m: FloatArray, name: str, level: str, floor_m: float, weight: float
) -> Places:
    """People on spots (n, 2) of a floor, m: drawn by chance where the crowd is sampled, else spread evenly."""
    count = len(spots_m)
    drawn: list[Drawn | None] | None = None
    if people.sampled:
        ages = (people.children_ages[0], people.children_ages[1])
        crowd = Crowd(name, tuple(people.people.shares.items()), count, people.seed, floor_m, ages)
        kinds, heights = drawn_people(crowd)
        drawn = [Drawn(crowd, number) for number in range(count)]
    else:
        kinds, heights = mixed(people.people.shares, count, people.seed)
    return Places(
        ids=ids,
        kinds=kinds,
        positions_m=np.column_stack([spots_m, heights + floor_m]),
        weights=[weight] * count,
        level=level,
        floors_m=np.full(count, floor_m),
        drawn=drawn,
    )


def in_file(crowd: StandingArea) -> bool:
    """Whether they stand one behind the other or in a single ring, so that people per square metre say nothing."""
    if crowd.ring is not None:
        return crowd.ring.outer - crowd.ring.inner < crowd.spacing_m / 2
    return crowd.line is not None
