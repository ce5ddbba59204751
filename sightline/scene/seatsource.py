"""Seats that come from a file of another program: which file, in which unit, and where its zero lies in the venue."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field, model_validator

from sightline.scene.fields import (
    Angle,
    Count,
    Distance,
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
from sightline.scene.seats import MOST_ROWS, EyeKind, Labels
from sightline.units import UNITS

SOURCE_KEYS = ("csv", "geojson", "dxf")


class PlanBlock(Part):
    """Which things of a DXF plan are seats: every insert of `block` on `layer`, or without `block` its points and circles.

    Row and seat come from the attributes `row tag` and `seat tag` (or the whole id from `id tag`). Where the plan has
    none, rows are told apart by their distance from `centre` (rows that curve) or along `bearing` (straight ones) and
    lettered from the front, and seats are numbered along them. The floor under a seat is `floor` for the first row, and
    rises by `rise` or `steps`; without `floor` it is the seat's own height in the plan.
    """

    layer: Words
    block: Words | None = None
    name: Words | None = None
    level: Words | None = None
    eye: EyeKind = "seated"
    eye_height: Length | None = None
    floor: Offset | None = None
    rise: Distance | None = None
    steps: Annotated[list[Distance], BeforeValidator(as_list), Field(max_length=MOST_ROWS)] | None = None
    centre: Spot | None = None
    bearing: Angle = 0.0
    letters: Words = "A"
    skip_letters: Labels = ["I", "O"]
    numbers_from: one_of("house left", "house right", "centre") = "house left"  # type: ignore[valid-type]
    first_number: Count = 1
    id_tag: Words = "ID"
    row_tag: Words = "ROW"
    seat_tag: Words = "SEAT"
    wheelchair: Labels = []
    weight: Positive = 1.0

    @model_validator(mode="after")
    def _heights(self) -> PlanBlock:
        if self.rise is not None and self.steps is not None:
            raise wrong("Row heights come from 'rise' or from 'steps'; write one of them.")
        if (self.rise is not None or self.steps is not None) and self.floor is None:
            raise wrong("'rise' and 'steps' go up from the first row's floor; say its height: floor: 0 m.")
        return self

    @property
    def called(self) -> str:
        return self.name or self.level or self.layer

    @property
    def level_name(self) -> str:
        return self.level or self.name or self.layer


class SeatSource(Part):
    """A list of seats: `csv: FILE`, `geojson: FILE`, or `dxf: FILE` with its `blocks`.

    `unit` is that of the numbers in the file. `origin` is where the file's own zero lies in this venue, `turn` how far
    the file is turned about it, counter-clockwise seen from above. `floor` is the lowest floor of these seats; without
    it, the auditorium floor.
    """

    csv: Words | None = None
    geojson: Words | None = None
    dxf: Words | None = None
    unit: one_of(*UNITS["length"]) | None = None  # type: ignore[valid-type]
    origin: Point = (0.0, 0.0, 0.0)
    turn: Angle = 0.0
    floor: Offset | None = None
    level: Words | None = None
    eye: EyeKind = "seated"
    eye_height: Length | None = None
    blocks: Annotated[list[PlanBlock], BeforeValidator(as_list), Field(max_length=100)] = []

    @model_validator(mode="after")
    def _one(self) -> SeatSource:
        given = [key for key in SOURCE_KEYS if getattr(self, key) is not None]
        if len(given) != 1:
            got = "none is given" if not given else f"got {' and '.join(given)}"
            raise wrong(f"Exactly one file of seats belongs here ({', '.join(SOURCE_KEYS)}); {got}.")
        if self.dxf is not None and not self.blocks:
            raise wrong("Say which things of the plan are seats: blocks: [{layer: SEATS, block: SEAT, level: stalls}].")
        if self.dxf is None and self.blocks:
            raise wrong("'blocks' belong to a DXF plan; a list of seats names each by itself.")
        if self.geojson is not None and self.unit is None:
            raise wrong(
                "GeoJSON means longitudes and latitudes unless agreed otherwise (RFC 7946), and those place no seat. "
                "Save it in local lengths and say which: unit: m."
            )
        return self

    @property
    def file(self) -> str:
        return self.csv or self.geojson or self.dxf or ""

    @property
    def unit_m(self) -> float | None:
        """Metres to one unit of the file, None where the venue does not say."""
        return UNITS["length"][self.unit] if self.unit is not None else None
