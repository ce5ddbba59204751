"""One audience viewpoint."""

from __future__ import annotations

from dataclasses import dataclass

from sightline.house.drawn import Drawn


@dataclass(frozen=True, slots=True)
class Camera:
    """What a camera or phone resolves, where it is known: field of view across its wider side, pixels along it."""

    fov_rad: float | None = None
    pixels: int | None = None


@dataclass(frozen=True, slots=True)
class Eye:
    """An eye at `position_m` (x, y, z), turned along `facing` (a unit vector, towards what the venue looks at).

    `kind`: seated, standing, child, floor child, wheelchair, phone, camera or point. `weight` is how many people
    it stands for. `floor_m` is the height of the floor it stands over; None for an eye given by itself.
    `drawn` tells from which sampled crowd this person was drawn, so that others can be drawn in their place.
    """

    id: str
    kind: str
    position_m: tuple[float, float, float]
    weight: float = 1.0
    level: str | None = None
    row: str | None = None
    seat: str | None = None
    floor_m: float | None = None
    facing: tuple[float, float, float] = (0.0, 1.0, 0.0)
    camera: Camera | None = None
    drawn: Drawn | None = None
