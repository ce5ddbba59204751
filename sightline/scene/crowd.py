"""Standing areas, people who follow, and single eyes as written."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import BeforeValidator, Field, model_validator

from sightline.scene.fields import (
    Angle,
    Count,
    Distance,
    Flag,
    Length,
    Offset,
    Part,
    Point,
    Positive,
    Share,
    Words,
    as_list,
    one_of,
    wrong,
)
from sightline.scene.ground import Ground, Way
from sightline.scene.seats import EyeKind
from sightline.scene.service import SERVICES, service_per_m2

# Discomfort and danger from 5 people per square metre: G. K. Still, as reported in the press in 2022.
MOST_PER_M2 = 5.0
# 47 people on 10 m2: Guide to Safety at Sports Grounds (Green Guide), FROM MEMORY.
GUIDE_PER_M2 = 4.7
# 0.5 m2 for each person: HSG195 (The event safety guide), paragraph 87, as quoted by its readers.
PLANNED_PER_M2 = 2.0


def spacing_of(per_m2: float) -> float:
    """Distance between neighbours, m, when people stand on a triangular grid at this density."""
    return math.sqrt(2.0 / (math.sqrt(3.0) * per_m2))


def density_of(spacing_m: float) -> float:
    """People per square metre on a triangular grid with this distance between neighbours."""
    return 2.0 / (math.sqrt(3.0) * spacing_m**2)


class People(Part):
    """Who stands there, as shares of 1."""

    adults: Share = 0.0
    children: Share = 0.0
    floor_children: Share = 0.0
    seated: Share = 0.0
    wheelchair: Share = 0.0
    raised_phones: Share = 0.0

    @model_validator(mode="after")
    def _whole(self) -> People:
        total = sum(self.shares.values())
        if abs(total - 1.0) > 0.005:
            raise wrong(f"The shares of people add up to {total:g}; they must add up to 1.")
        return self

    @property
    def shares(self) -> dict[str, float]:
        return {
            "adults": self.adults, "children": self.children, "floor children": self.floor_children,
            "seated": self.seated, "wheelchair": self.wheelchair, "raised phones": self.raised_phones,
        }  # fmt: skip


# Ages that the published growth tables in this program reach, years.
YOUNGEST_Y, OLDEST_Y = 5.0, 12.0
Ages = Annotated[list[Positive], BeforeValidator(as_list), Field(min_length=2, max_length=2)]


def refuse_crush(per_m2: float) -> None:
    """Raise what pydantic expects where people would be too close to one another to be safe."""
    if per_m2 > MOST_PER_M2 + 1e-9:
        raise wrong(
            f"{per_m2:.1f} people per square metre is dangerous: discomfort and danger begin at "
            f"{MOST_PER_M2:g} (G. K. Still), the Green Guide's most is {GUIDE_PER_M2:g} (from memory), and HSG195 plans "
            f"{PLANNED_PER_M2:g}. Neighbours must be at least {spacing_of(MOST_PER_M2):.2f} m apart here."
        )


class Sampled(Part):
    """A crowd whose people may be drawn one by one from the published distributions (`sampled: yes`).

    Without it their heights are spread evenly over the same distributions. `children ages` are the youngest and the
    oldest child, in years.
    """

    people: People = People(adults=1.0)
    sampled: Flag = False
    children_ages: Ages = [YOUNGEST_Y, OLDEST_Y]
    seed: Count = 1

    @model_validator(mode="after")
    def _known_ages(self) -> Sampled:
        young, old = self.children_ages
        if not YOUNGEST_Y <= young <= old <= OLDEST_Y:
            raise wrong(f"Children's ages run from the youngest to the oldest, within {YOUNGEST_Y:g} to {OLDEST_Y:g}.")
        if not self.sampled and "children_ages" in self.model_fields_set:
            raise wrong("'children ages' belong to a crowd that is drawn: add 'sampled: yes', or leave them away.")
        return self


class StandingArea(Ground, Sampled):
    """A crowd on a piece of floor, on a triangular grid, in rows round a ring, or one behind the other on a line.

    `density` is people per square metre (a plain number), `spacing` the distance between neighbours, `service` a
    published level such as `fruin queue C` at its crowded end. `closed behind` is the share of the open part of a ring
    that people have filled from both its ends, as a crowd does behind an act.
    """

    area: Words
    level: Words = "floor"
    spacing: Length | None = None
    density: Positive | None = None
    service: one_of(*SERVICES) | None = None  # type: ignore[valid-type]
    closed_behind: Share = 0.0
    floor: Offset = 0.0
    weight: Positive = 1.0

    @model_validator(mode="after")
    def _crowded(self) -> StandingArea:
        if sum(item is not None for item in (self.spacing, self.density, self.service)) > 1:
            raise wrong("Say how close people stand by 'spacing', 'density' or 'service', not by both.")
        if self.line is not None and (self.density is not None or self.service is not None):
            raise wrong("A line has no square metres; say how close people stand by 'spacing'.")
        if self.closed_behind and (self.ring is None or self.ring.span_rad >= 2 * math.pi - 1e-9):
            raise wrong("Only a ring with an open part closes behind an act: give the ring its 'from' and 'to'.")
        refuse_crush(self.per_m2)
        return self

    @property
    def per_m2(self) -> float:
        if self.density is not None:
            return self.density
        if self.service is not None:
            return service_per_m2(self.service)
        return PLANNED_PER_M2 if self.spacing is None else density_of(self.spacing)

    @property
    def spacing_m(self) -> float:
        return self.spacing if self.spacing is not None else spacing_of(self.per_m2)


class Followers(Sampled):
    """People who walk behind an act along a route, `abreast` in each row.

    The act is `at` so far along `route`; the first row walks `gap` behind it, the next ones `spacing` apart.
    """

    followers: Words
    level: Words = "followers"
    route: Way
    at: Distance
    gap: Length = 2.0
    count: Annotated[Count, Field(ge=1, le=2_000)]
    abreast: Annotated[Count, Field(ge=1, le=50)] = 3
    spacing: Length = 1.1
    floor: Offset = 0.0
    weight: Positive = 1.0

    @model_validator(mode="after")
    def _together(self) -> Followers:
        refuse_crush(self.per_m2)
        return self

    @property
    def per_m2(self) -> float:
        """People per square metre; on a square grid, as they walk in rows."""
        return 1.0 / self.spacing**2


class EyeSpot(Part):
    """One eye where it is (`at` is the eye itself), or a table of them (`csv`)."""

    csv: Words | None = None
    id: Words | None = None
    at: Point | None = None
    kind: EyeKind = "point"
    weight: Positive = 1.0
    field_of_view: Angle | None = None
    pixels: Annotated[Count, Field(ge=1)] | None = None

    @model_validator(mode="after")
    def _one(self) -> EyeSpot:
        if self.csv is not None:
            if self.id is not None or self.at is not None:
                raise wrong("A table of eyes (csv) has no id or place of its own; write it as an entry by itself.")
            return self
        if self.id is None or self.at is None:
            raise wrong("An eye needs an id and a place: {id: E1, at: [0 m, -5 m, 1.2 m]}, or a table: {csv: FILE}.")
        if (self.field_of_view or self.pixels) and self.kind not in ("camera", "phone"):
            raise wrong("Only a camera or a phone has a field of view and pixels.")
        if self.field_of_view is not None and not 0 < self.field_of_view < math.pi:
            raise wrong("A field of view is more than 0 and less than 180 deg.")
        return self
