"""Blocks of seats as written."""

from __future__ import annotations

import re
from typing import Annotated, Any

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
    Spot,
    Words,
    as_list,
    one_of,
    wrong,
)

MOST_ROWS = 300


def _single(value: Any) -> Any:
    """One value may stand for a list of one."""
    return value if isinstance(value, (list, tuple)) else [value]


PerRow = Annotated[list[Count], BeforeValidator(_single), Field(min_length=1, max_length=MOST_ROWS)]
Labels = Annotated[list[Words], BeforeValidator(as_list), Field(max_length=10_000)]
EYE_KINDS = ("seated", "standing", "child", "floor child", "wheelchair", "phone", "camera", "point")
EyeKind = one_of(*EYE_KINDS)


class Curve(Part):
    """How rows bend: the radius of the first row, or the centre that all rows share."""

    radius: Length | None = None
    centre: Spot | None = None

    @model_validator(mode="after")
    def _one(self) -> Curve:
        if (self.radius is None) == (self.centre is None):
            raise wrong("A curve is given by the first row's radius or by its centre; write one of them.")
        return self


class Aisle(Part):
    """A gap in every row after so many seats, counted from the block's left (or a list: one count per row)."""

    after: PerRow
    width: Length


class Balcony(Part):
    """The front and the underside of a raised block. Heights are from the first row's floor."""

    # Eye to the front edge of the tier: 30 in, US Justice Department ADA consent order.
    front: Length = 0.762
    fascia: Distance = 0.75
    depth: Length = 0.45
    thickness: Length = 0.1
    rail: Length | None = None
    rail_thickness: Length = 0.05
    overhang: Distance = 0.6

    @model_validator(mode="after")
    def _rail_on_top(self) -> Balcony:
        if self.rail is not None and self.rail - self.rail_thickness < self.fascia:
            raise wrong("The rail's top less its thickness must not be below the top of the fascia.")
        return self


class SeatBlock(Part):
    """Rows of seats facing the stage.

    `bearing` is where the block lies, as a performer's facing: 0 out front, 90 deg towards stage left.
    `first row` is the distance of the first row's eyes from the origin along the bearing, or their middle
    [x, y]. Left and right are those of someone who sits in the block.
    """

    block: Words
    level: Words | None = None
    rows: Annotated[Count, Field(ge=1, le=MOST_ROWS)]
    seats: PerRow
    first_row: Annotated[list[Offset], BeforeValidator(_single), Field(min_length=1, max_length=2)]
    bearing: Angle = 0.0
    curve: Curve | None = None
    row_spacing: Length = 0.864  # 34 in, the average of the Theatre Catalog 1948, p. 357.
    seat_width: Length = 0.52
    floor: Offset | None = None
    rise: Distance | None = None
    steps: Annotated[list[Distance], BeforeValidator(as_list), Field(max_length=MOST_ROWS)] | None = None
    c_value: Distance | None = None
    focus: Point | None = None
    letters: Words = "A"
    skip_letters: Labels = ["I", "O"]
    numbers_from: one_of("house left", "house right", "centre") = "house left"  # type: ignore[valid-type]
    first_number: Count = 1
    aisles: Annotated[list[Aisle], BeforeValidator(as_list), Field(max_length=20)] = []
    stagger: Flag = False
    without: Labels = []
    wheelchair: Labels = []
    eye: EyeKind = "seated"  # type: ignore[valid-type]
    eye_height: Length | None = None
    standing: Flag = False
    weight: Positive = 1.0
    balcony: Balcony | None = None

    @model_validator(mode="after")
    def _consistent(self) -> SeatBlock:
        if len(self.seats) not in (1, self.rows):
            raise wrong(
                f"'seats' lists {len(self.seats)} rows, but there are {self.rows}; write one number or one per row."
            )
        if min(self.seats) < 1:
            raise wrong("Every row needs at least one seat.")
        for aisle in self.aisles:
            if len(aisle.after) not in (1, self.rows):
                raise wrong(f"An aisle lists {len(aisle.after)} rows of {self.rows}; write one number or one per row.")
        if sum(item is not None for item in (self.rise, self.steps, self.c_value)) > 1:
            raise wrong("Row heights come from 'rise', from 'steps' or from 'c value'; write one of them.")
        if self.steps is not None and len(self.steps) != self.rows - 1:
            raise wrong(
                f"'steps' needs one height between each two rows, {self.rows - 1} in all; it lists {len(self.steps)}."
            )
        if self.focus is not None and self.c_value is None:
            raise wrong("'focus' belongs to 'c value'; without it nothing is solved.")
        if not re.fullmatch(r"([A-Z])\1*", self.letters) or len(self.letters) > 3:
            raise wrong(f"'{self.letters}' is not a first row; write a capital letter, or a doubled one such as AA.")
        for letter in self.skip_letters:
            if not re.fullmatch(r"[A-Z]", letter):
                raise wrong(f"'{letter}' in 'skip letters' is not a single capital letter.")
        if self.letters[0] in self.skip_letters:
            raise wrong(
                f"The first row is {self.letters}, but that letter is skipped; write 'skip letters: []' to skip none."
            )
        if self.standing and self.eye not in ("seated", "standing"):
            raise wrong(f"'standing: yes' and 'eye: {self.eye}' contradict each other; write one of them.")
        return self

    @property
    def level_name(self) -> str:
        return self.block if self.level is None else self.level

    @property
    def eye_kind(self) -> str:
        return "standing" if self.standing else str(self.eye)

    def seats_in(self, row: int) -> int:
        return self.seats[row if len(self.seats) > 1 else 0]

    @property
    def most_seats(self) -> int:
        return sum(self.seats) if len(self.seats) > 1 else self.seats[0] * self.rows
