"""Standing crowds as eyes."""

from __future__ import annotations

import numpy as np

from sightline.errors import Misfit
from sightline.house import ground
from sightline.house.people import mixed
from sightline.house.places import Places
from sightline.scene.crowd import StandingArea

MOST_EYES = 200_000


def most_eyes(crowd: StandingArea) -> float:
    """A bound on the eyes of this area, known before it is laid out."""
    return ground.most_places(crowd, crowd.spacing_m)


def eyes_of(crowd: StandingArea) -> Places:
    """The crowd, numbered from 1 row by row. Misfit when the area has room for nobody."""
    spots = ground.places(crowd, crowd.spacing_m)
    if not len(spots):
        raise Misfit((), f"Nobody fits into '{crowd.area}' with {crowd.spacing_m:.2f} m between neighbours.")
    kinds, heights = mixed(crowd.people.shares, len(spots), crowd.seed)
    return Places(
        ids=[f"{crowd.area} {n}" for n in range(1, len(spots) + 1)],
        kinds=kinds,
        positions_m=np.column_stack([spots, heights + crowd.floor]),
        weights=[crowd.weight] * len(spots),
        level=crowd.level,
        floors_m=np.full(len(spots), crowd.floor),
    )


def in_file(crowd: StandingArea) -> bool:
    """Whether they stand one behind the other or in a single ring, so that people per square metre say nothing."""
    if crowd.ring is not None:
        return crowd.ring.outer - crowd.ring.inner < crowd.spacing_m / 2
    return crowd.line is not None
