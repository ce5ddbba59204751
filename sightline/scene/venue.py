"""A venue as written: stage, seats, standing areas, single eyes, scenery and what must stay clear."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from sightline.scene.crowd import EyeSpot, Followers, StandingArea
from sightline.scene.fields import Part, Point, Words, as_list, one_of
from sightline.scene.ground import Area, DrawnLine, Way
from sightline.scene.lighting import LampPiece, MirrorPiece
from sightline.scene.seats import SeatBlock
from sightline.scene.seatsource import SeatSource
from sightline.scene.setting import SceneryPiece, Stage


def eye_entries(value: Any) -> Any:
    """`eyes: {csv: FILE}` stands for a list of that one entry."""
    return [value] if isinstance(value, dict) else as_list(value)


Areas = Annotated[list[Area], BeforeValidator(as_list), Field(max_length=200)]


class Venue(Part):
    """Where the audience is and what stands between it and the performer.

    `looks at` is the point that every eye turns to; `walls` are drawn on the plan and hide nothing (scenery does).
    `mirrors` show each eye in front of them what it sees by one reflection, and hide like scenery:
    `{name: bar mirror, rectangle: {width: 2 m, height: 1 m}, at: [..], facing: full back}` (or `disc: {radius}`).
    `seats from` takes seats from a table, a map or a plan: `{csv: seats.csv, unit: mm, origin: [..], turn: 90 deg}`.
    `reference points` are what every seat should see of the stage when the venue is judged by itself.
    `lamps` are points whose shadows of secrets are looked for: `{name: top light, at: [..], aim: [..], beam: 25 deg}`.
    """

    version: one_of("1") = "1"  # type: ignore[valid-type]
    name: Words = "a venue"
    stage: Stage = Stage()
    seats: Annotated[list[SeatBlock], BeforeValidator(as_list), Field(max_length=200)] = []
    seats_from: Annotated[list[SeatSource], BeforeValidator(eye_entries), Field(max_length=50)] = []
    standing: Annotated[list[StandingArea], BeforeValidator(as_list), Field(max_length=200)] = []
    followers: Annotated[list[Followers], BeforeValidator(as_list), Field(max_length=50)] = []
    eyes: Annotated[list[EyeSpot], BeforeValidator(eye_entries), Field(max_length=20_000)] = []
    scenery: Annotated[list[SceneryPiece], BeforeValidator(as_list), Field(max_length=2_000)] = []
    mirrors: Annotated[list[MirrorPiece], BeforeValidator(as_list), Field(max_length=50)] = []
    lamps: Annotated[list[LampPiece], BeforeValidator(as_list), Field(max_length=200)] = []
    walls: Annotated[list[Way], BeforeValidator(as_list), Field(max_length=200)] = []
    keep_clear: Areas = []
    exits: Areas = []
    edges: Areas = []
    drawn: Annotated[list[DrawnLine], BeforeValidator(as_list), Field(max_length=2_000)] = []
    looks_at: Point = (0.0, 0.0, 1.2)
    reference_points: Annotated[list[Point], BeforeValidator(as_list), Field(max_length=20)] = []
