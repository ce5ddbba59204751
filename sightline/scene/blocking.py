"""Where the performer stands and what happens when, as written: one mark, or beats in time."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from sightline.scene.fields import (
    Angle,
    Count,
    Distance,
    Facing,
    Length,
    Offset,
    Part,
    Positive,
    Spot,
    Time,
    Words,
    as_list,
    wrong,
)


def _spot_or_name(value: Any) -> Any:
    """A mark is a place, or the name of one in `marks`."""
    if isinstance(value, str):
        return {"name": value}
    if isinstance(value, list):
        return {"spot": value}
    raise wrong("A mark is a place, [0 m, 1.5 m], or the name of one of `marks`.")


class MarkRef(Part):
    """A mark as said in a beat: its place, or the name of one of `marks`."""

    name: Words | None = None
    spot: Spot | None = None


Mark = Annotated[MarkRef, BeforeValidator(_spot_or_name)]


class Held(Part):
    """How the prop is held in a beat, where it differs from `prop: at`."""

    ahead: Offset | None = None
    left: Offset | None = None
    up: Length | None = None
    tilt: Angle | None = None
    turn: Angle | None = None


class Focus(Part):
    """Where puppet and performer look: at an eye, or along a bearing (as a facing: 0 is the house, + stage left)."""

    eye: Words | None = None
    bearing: Angle | None = None

    @model_validator(mode="after")
    def _one(self) -> Focus:
        if (self.eye is None) == (self.bearing is None):
            raise wrong("A focus is an eye (eye: ID) or a bearing (bearing: 30 deg); give one.")
        return self


class Beat(Part):
    """One moment of the plan. It is reached `at` a time and held for `hold`; then the way to the next beat begins.

    What is left out stays as it was in the beat before. `moves` are the puppet moves used from here on (default
    all). `path` are places passed on the way to this mark. `focus` is where puppet and performer
    look. `false arm` is its reason to be still; `hands` what a real hand is needed for.
    """

    at: Time
    name: Words | None = None
    mark: Mark | None = None
    facing: Facing | None = None
    aim_at: Words | None = None
    hold: Time = 0.0
    path: Annotated[list[Spot], BeforeValidator(as_list), Field(max_length=200)] = []
    prop: Held | None = None
    moves: Annotated[list[Words], BeforeValidator(as_list), Field(max_length=20)] | None = None
    focus: Focus | None = None
    false_arm: Words | None = None
    hands: Words | None = None
    cue: Words | None = None

    @model_validator(mode="after")
    def _one(self) -> Beat:
        if self.facing is not None and self.aim_at is not None:
            raise wrong("'facing' and 'aim at' both say which way the performer faces; give one.")
        return self


class Stray(Part):
    """How exactly the mark is hit: distance and turn are two standard deviations each. Defaults: common practice."""

    distance: Distance = 0.050
    turn: Angle = 0.08726646259971647  # 5 deg
    draws: Annotated[Count, Field(ge=1, le=10_000)] = 200
    seed: Count = 1


class Blocking(Part):
    """Where the performer stands and which way they face, or which eye they face; or `beats` in time.

    `crowd` says what the standing audience does while the performer walks: stands where it is, rings (turns and
    moves with the performer), or follows (keeps its distance, without turning). `from edges` is how far marks and
    ways must keep from unguarded edges, steps and traps. `tapes` are two points to measure marks from.

    Where beats are written and `mark` is not, the act stands still on the first beat's mark, and faces as that beat
    does if no facing is written either: at the default mark nobody performs.
    """

    mark: Spot = (0.0, 0.0)
    facing: Facing | None = None
    aim_at: Words | None = None
    marks: Annotated[dict[Words, Spot], Field(max_length=200)] = {}
    beats: Annotated[list[Beat], BeforeValidator(as_list), Field(max_length=500)] = []
    ease: Literal["smooth", "even"] = "smooth"
    crowd: Literal["stands", "rings", "follows"] = "stands"
    stray: Stray = Stray()
    from_edges: Distance = 1.0
    still_for: Time = 8.0
    tapes: Annotated[list[Spot], BeforeValidator(as_list), Field(min_length=2, max_length=2)] | None = None

    @model_validator(mode="after")
    def _one(self) -> Blocking:
        if self.facing is not None and self.aim_at is not None:
            raise wrong("'facing' and 'aim at' both say which way the performer faces; give one.")
        if self.tapes is not None and self.tapes[0] == self.tapes[1]:
            raise wrong("Two tapes need two different points to be measured from.")
        return self

    @model_validator(mode="after")
    def _stands_as_first_beat(self) -> Blocking:
        """What is taken over stays out of `model_fields_set`, which tells what is written."""
        if self.takes_mark:
            spot = self.spot_of(self.beats[0])
            if spot is not None:
                object.__setattr__(self, "mark", spot)
        if self.takes_facing:
            object.__setattr__(self, "facing", self.beats[0].facing)
            object.__setattr__(self, "aim_at", self.beats[0].aim_at)
        return self

    @property
    def takes_mark(self) -> bool:
        """Whether the still act's mark is the first beat's, since none is written."""
        return "mark" not in self.model_fields_set and bool(self.beats) and self.beats[0].mark is not None

    @property
    def takes_facing(self) -> bool:
        """Whether the still act's facing is the first beat's, since neither mark nor facing is written."""
        if not self.beats or {"mark", "facing", "aim_at"} & self.model_fields_set:
            return False
        return self.beats[0].facing is not None or self.beats[0].aim_at is not None

    def spot_of(self, beat: Beat) -> tuple[float, float] | None:
        """The place a beat's mark says; None where it says none, or a name that is not in `marks`."""
        if beat.mark is None:
            return None
        return beat.mark.spot if beat.mark.spot is not None else self.marks.get(str(beat.mark.name))


class ClosedSector(Part):
    """A sector round the mark in which nobody stands: bearings as facings on the stage, from one through growing to
    the other, out to `out`. A handler posted there keeps it closed."""

    start: Annotated[Angle, Field(alias="from")]
    to: Angle
    out: Length = 6.0

    @model_validator(mode="after")
    def _wide(self) -> ClosedSector:
        width = (self.to - self.start) % (2 * math.pi)
        if min(width, 2 * math.pi - width) < math.radians(0.5):
            raise wrong(
                "'from' and 'to' are the same bearing, so nothing is closed; say a sector of less than a full turn."
            )
        return self


class Cost(Part):
    """What a change costs, in points: `advise` calls the change with the fewest points the smallest.

    Defaults: common practice, no source. A seat held is a ticket; a step is nearly free; sewing is an evening.
    """

    turn_per_deg: Positive = 0.1
    cross_per_cm: Positive = 0.02
    raise_per_cm: Positive = 0.3
    tilt_per_deg: Positive = 0.3
    slide_per_cm: Positive = 0.3
    bend_per_deg: Positive = 0.5
    flap_per_cm: Positive = 0.5
    drape_per_cm: Positive = 0.15
    sleeve: Positive = 4.0
    cape_per_cm: Positive = 1.5
    cuff_per_cm: Positive = 0.5
    lid: Positive = 5.0
    seam: Positive = 2.0
    elbow_held: Positive = 3.0
    opening_per_cm: Positive = 2.0
    masking_per_cm: Positive = 0.1
    wall: Positive = 30.0
    ring_per_cm: Positive = 0.1
    sector_per_deg: Positive = 0.3
    handler: Positive = 10.0
    seat_held: Positive = 3.0
