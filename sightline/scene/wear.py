"""Rig parts and costume pieces, as written: each entry of a list holds exactly one of them.

Cloth that is not `opaque` is taken to let a lamp behind it through (`check --robust`): hold it up to one and look.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from sightline.scene.fields import (
    Angle,
    Contrast,
    Distance,
    Flag,
    Length,
    Offset,
    Part,
    Point,
    Share,
    Words,
    as_list,
    wrong,
)
from sightline.scene.performer import WallName, WallSpot
from sightline.scene.shapes import MeshRef

PerformerSide = Literal["left", "right"]


class Strap(Part):
    """Webbing over a shoulder, from the waist in front to the waist behind, or along a path of points.

    The path is in the performer's frame: left, back (negative is ahead), up.
    """

    name: Words = "strap"
    over: PerformerSide | None = None
    path: Annotated[list[Point], BeforeValidator(as_list), Field(min_length=2, max_length=200)] | None = None
    width: Length = 0.038
    contrast: Contrast = 0.6

    @model_validator(mode="after")
    def _one(self) -> Strap:
        if (self.over is None) == (self.path is None):
            raise wrong("A strap runs over a shoulder (over: right) or along a path; give one.")
        return self


class Hook(Part):
    """A hook on the prop's back wall that hangs on the plate."""

    name: Words = "hook"
    at: WallSpot = WallSpot(wall="back")
    size: Length = 0.05
    contrast: Contrast = 0.6


class Plate(Part):
    """A stiff plate in front of the belly that takes the weight; `up` is its centre above the floor."""

    name: Words = "plate"
    width: Length = 0.20
    height: Length = 0.15
    up: Length | None = None
    contrast: Contrast = 0.6


class Screw(Part):
    """A screw head on a wall of the prop."""

    name: Words = "screw"
    at: WallSpot
    diameter: Length = 0.01
    contrast: Contrast = 0.6


class RigMesh(Part):
    """An imported rig part, in the performer's or the prop's frame."""

    name: Words
    file: MeshRef
    on: Literal["performer", "prop"] = "performer"
    contrast: Contrast = 0.6


class RigPart(Part):
    """One entry of `rig`."""

    strap: Strap | None = None
    hook: Hook | None = None
    plate: Plate | None = None
    screw: Screw | None = None
    mesh: RigMesh | None = None

    @model_validator(mode="after")
    def _one(self) -> RigPart:
        _exactly_one(self)
        return self


class Sleeve(Part):
    """A tube of cloth round an arm; `from` and `to` are shares of the way from shoulder to wrist."""

    name: Words = "sleeve"
    on: Literal["false arm", "visible arm", "hidden arm"]
    start: Annotated[Share, Field(alias="from")] = 0.0
    end: Annotated[Share, Field(alias="to")] = 1.0
    ease: Length = 0.012
    thickness: Length = 0.002
    opaque: Flag = False

    @model_validator(mode="after")
    def _forward(self) -> Sleeve:
        if self.start >= self.end:
            raise wrong("A sleeve runs from a smaller share of the arm to a larger one.")
        return self


class Slot(Part):
    """A slit in the shirt: its middle in the performer's frame (left, back, up), and its size."""

    at: Point
    width: Length
    height: Length


class Shirt(Part):
    """The body of a shirt or coat over torso and shoulders."""

    name: Words = "shirt"
    ease: Length = 0.012
    slot: Slot | None = None
    opaque: Flag = False


class Drape(Part):
    """A cloth that hangs straight down from an edge of the prop's wall, in front of that wall."""

    name: Words = "drape"
    wall: WallName = "back"
    edge: Literal["top", "bottom"] = "bottom"
    width: Length
    drop: Length
    out: Distance = 0.0
    across: Offset = 0.0
    opaque: Flag = False


class Flap(Part):
    """A stiff lip along the edge of a wall; angle 0 carries the wall on, 90 deg stands square to it, outward."""

    name: Words = "flap"
    wall: WallName = "back"
    edge: Literal["top", "bottom", "left", "right"] = "top"
    width: Length
    length: Length
    angle: Angle = 0.0


class Cuff(Part):
    """A cloth tunnel from an opening towards the performer, round the hidden arm."""

    name: Words = "cuff"
    opening: Words | None = None
    length: Length
    flare: Distance = 0.02
    opaque: Flag = False


class WornMesh(Part):
    """An imported costume piece, in the performer's or the prop's frame."""

    name: Words
    file: MeshRef
    on: Literal["performer", "prop"] = "performer"
    opaque: Flag = False


class CostumePart(Part):
    """One entry of `costume`."""

    sleeve: Sleeve | None = None
    shirt: Shirt | None = None
    drape: Drape | None = None
    flap: Flap | None = None
    cuff: Cuff | None = None
    mesh: WornMesh | None = None

    @model_validator(mode="after")
    def _one(self) -> CostumePart:
        _exactly_one(self)
        return self


def _exactly_one(entry: Part) -> None:
    given = [key for key in type(entry).model_fields if getattr(entry, key) is not None]
    if len(given) != 1:
        keys = ", ".join(type(entry).model_fields)
        got = "none is given" if not given else f"got {' and '.join(given)}"
        raise wrong(f"Each entry is exactly one of {keys}; {got}.")
