"""Areas of the floor as written: a rectangle, a polygon, a ring (or a sector of one), or a line."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import BeforeValidator, Field, model_validator

from sightline.scene.fields import Angle, Distance, Length, Part, Spot, Words, as_list, one_of, wrong

GROUND_KEYS = ("rectangle", "polygon", "ring", "line")
MOST_CORNERS = 1_000

Corners = Annotated[list[Spot], BeforeValidator(as_list), Field(min_length=3, max_length=MOST_CORNERS)]
Way = Annotated[list[Spot], BeforeValidator(as_list), Field(min_length=2, max_length=MOST_CORNERS)]


class Rectangle(Part):
    """Two opposite corners, in plan."""

    start: Spot = Field(alias="from")
    to: Spot

    @model_validator(mode="after")
    def _wide(self) -> Rectangle:
        if self.start[0] == self.to[0] or self.start[1] == self.to[1]:
            raise wrong("The two corners of a rectangle must differ both across and along.")
        return self


class Ring(Part):
    """What lies between two circles about `centre`, all round or from one bearing to another.

    Bearings are a performer's facings: 0 deg is straight out front (-y), 90 deg towards stage left, and the
    sector runs from `from` through growing bearings to `to`.
    """

    inner: Distance
    outer: Length
    start: Angle = Field(default=-math.pi, alias="from")
    to: Angle = math.pi
    centre: Spot = (0.0, 0.0)

    @model_validator(mode="after")
    def _wide(self) -> Ring:
        if self.outer < self.inner:
            raise wrong("The outer radius of a ring must not be smaller than the inner one.")
        if self.start == self.to:
            raise wrong("The sector of this ring is empty; leave 'from' and 'to' away for a whole ring.")
        return self

    @property
    def span_rad(self) -> float:
        """How far the sector reaches, more than nothing and at most a full turn."""
        span = self.to - self.start
        full = 2 * math.pi
        return span if 0 < span <= full else (span % full or full)


class Ground(Part):
    """Exactly one shape on the floor."""

    rectangle: Rectangle | None = None
    polygon: Corners | None = None
    ring: Ring | None = None
    line: Way | None = None

    @model_validator(mode="after")
    def _one_shape(self) -> Ground:
        given = [key for key in GROUND_KEYS if getattr(self, key) is not None]
        if len(given) != 1:
            got = "none is given" if not given else f"got {' and '.join(given)}"
            raise wrong(f"Exactly one shape belongs here ({', '.join(GROUND_KEYS)}); {got}.")
        return self


class Area(Ground):
    """A named piece of floor, drawn on the plan: to be kept clear, an exit, the edge of a crowd."""

    name: Words


DRAWN_KINDS = ("aisle", "balcony front", "standing area")


class DrawnLine(Ground):
    """A line or area that is only drawn on the plan, as that of a seat list whose blocks are not known."""

    name: Words
    kind: one_of(*DRAWN_KINDS)  # type: ignore[valid-type]
