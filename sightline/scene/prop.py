"""The thing carried, the limbs that are not real, and what lives in the box, as written."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from sightline.scene.fields import (
    Angle,
    Contrast,
    Distance,
    Length,
    Mass,
    Offset,
    Part,
    Point,
    Positive,
    Share,
    Spot,
    Turning,
    Words,
    as_list,
    wrong,
)
from sightline.scene.foam import LimbFoam
from sightline.scene.performer import WallName, WallSpot
from sightline.scene.shapes import MeshRef

LimbName = Literal["left arm", "right arm", "left leg", "right leg"]


def _path_point(value: Any) -> Any:
    if not isinstance(value, (list, tuple)) or len(value) != 2:
        raise wrong("A point of a path is [share along the limb, angle round it], such as [0.5, 180 deg].")
    return value


class CarriedBox(Part):
    """A box with real walls; sizes are outside sizes."""

    width: Length
    depth: Length
    height: Length
    wall: Length = 0.004
    top: Literal["open", "closed"] = "closed"
    mass: Mass | None = None

    @model_validator(mode="after")
    def _hollow(self) -> CarriedBox:
        if 2 * self.wall >= min(self.width, self.depth, self.height):
            raise wrong("The walls are so thick that the box has no inside; make the wall thinner or the box larger.")
        return self


class Opening(Part):
    """A hole in a wall. `for: arm` (default in the back wall) makes what it shows a secret."""

    name: Words | None = None
    wall: WallName
    shape: Literal["round", "slot", "rectangle"] = "round"
    diameter: Length | None = None
    width: Length | None = None
    height: Length | None = None
    corner_radius: Distance = 0.0
    at: Spot = (0.0, 0.0)
    use: Annotated[Literal["arm", "puppet"] | None, Field(alias="for")] = None

    @model_validator(mode="after")
    def _sized(self) -> Opening:
        if self.shape == "round":
            if self.diameter is None or self.width is not None or self.height is not None:
                raise wrong("A round opening has a diameter, and neither width nor height.")
        elif self.width is None or self.height is None or self.diameter is not None:
            raise wrong(f"A {self.shape} opening has a width and a height, and no diameter.")
        if (
            self.shape == "rectangle"
            and self.width
            and self.height
            and 2 * self.corner_radius > min(self.width, self.height)
        ):
            raise wrong("The corner radius is more than half the opening's smaller side.")
        return self

    @property
    def size_m(self) -> tuple[float, float]:
        """Width and height of the hole, m."""
        if self.diameter is not None:
            return self.diameter, self.diameter
        return self.width or 0.0, self.height or 0.0


class Attitude(Part):
    """Where the prop's centre is from the performer's mark, and how it is held.

    `tilt` drops the front edge; instead, the heights of the front and back bottom edges above the floor may be
    given, as read off a tape (they then also say how high the prop is).
    """

    ahead: Offset
    left: Offset = 0.0
    up: Length | None = None
    tilt: Angle | None = None
    turn: Angle = 0.0
    front_edge: Length | None = None
    back_edge: Length | None = None

    @model_validator(mode="after")
    def _one_height(self) -> Attitude:
        edges = (self.front_edge is not None) + (self.back_edge is not None)
        if edges == 1:
            raise wrong("Give both the front edge and the back edge height, or neither.")
        if edges == 2 and (self.tilt is not None or self.up is not None):
            raise wrong("Two edge heights already say how high and how tilted the prop is; take up and tilt away.")
        if edges == 0 and self.up is None:
            raise wrong("Say how high the prop's centre is (up: 112 cm), or the heights of its front and back edges.")
        return self


class Prop(Part):
    """What is carried: a box, or an imported mesh."""

    name: Words = "prop"
    box: CarriedBox | None = None
    mesh: MeshRef | None = None
    at: Attitude
    openings: Annotated[list[Opening], BeforeValidator(as_list), Field(max_length=20)] = []

    @model_validator(mode="after")
    def _one(self) -> Prop:
        if (self.box is None) == (self.mesh is None):
            raise wrong("A prop is either a box or a mesh; give exactly one.")
        if self.mesh is not None and self.openings:
            raise wrong("Openings are cut in a box; a mesh brings its own.")
        return self


# Points of one seam's path; a routed seam needs about ten.
MOST_PATH_POINTS = 200


class LimbSeam(Part):
    """A seam or dart line on a limb: lengthwise at a place round it, a ring across it, or along a path on its skin.

    A point of a path is [share along from shoulder to wrist, angle round it from the outer side towards the front].
    A path that goes round ends a full turn past where it starts: [[0.5, 0 deg], [0.48, 180 deg], [0.5, 360 deg]].
    """

    name: Words
    side: Literal["outer", "front", "inner", "back"] | None = None
    start: Annotated[Share, Field(alias="from")] = 0.0
    end: Annotated[Share, Field(alias="to")] = 1.0
    ring: Share | None = None
    path: (
        Annotated[
            list[Annotated[tuple[Share, Turning], BeforeValidator(_path_point)]],
            BeforeValidator(as_list),
            Field(max_length=MOST_PATH_POINTS),
        ]
        | None
    ) = None
    width: Length = 0.001
    contrast: Contrast | None = None

    @model_validator(mode="after")
    def _one(self) -> LimbSeam:
        if sum(form is not None for form in (self.side, self.ring, self.path)) != 1:
            raise wrong(
                "A seam runs along one side of the limb (side: inner), rings it (ring: 0.5) or follows a path "
                "(path: [[0, 180 deg], [1, 170 deg]]); give one."
            )
        if self.side is not None and self.start >= self.end:
            raise wrong("A seam runs from a smaller share of the limb to a larger one.")
        if self.path is not None:
            if len(self.path) < 2:
                raise wrong("A path needs two points or more: [[0, 180 deg], [1, 170 deg]].")
            if {"start", "end"} & self.model_fields_set:
                raise wrong("A path says itself where it starts and ends; take from and to away.")
            if any(here == there for here, there in pairwise(self.path)):
                raise wrong("Two points of this path that follow each other are the same; take one away.")
        return self


LIMB_LANDMARKS = ("shoulder", "elbow", "wrist", "thumb tip", "palm", "middle tip")


class LimbLandmarks(Part):
    """Where an imported arm has its joints and its hand, in the mesh's own frame after its scale.

    Joints are in the middle of the limb; `palm` is on the skin in the middle of the palm, the tips on their finger.
    """

    shoulder: Point
    elbow: Point
    wrist: Point
    thumb_tip: Point
    palm: Point
    middle_tip: Point

    @model_validator(mode="before")
    @classmethod
    def _all_there(cls, value: Any) -> Any:
        missing = [name for name in LIMB_LANDMARKS if isinstance(value, dict) and name not in value]
        if missing:
            named = " and ".join(f"'{name}'" for name in missing)
            said = f"The limb has no landmark {named}; it needs {', '.join(LIMB_LANDMARKS)}."
            raise wrong(said)
        return value


class FalseLimb(Part):
    """A limb that is not real. Its elbow comes from the bend, a tape from shoulder to wrist, or its own lengths."""

    name: Words | None = None
    replaces: LimbName
    hand_at: WallSpot | None = None
    elbow: Angle | None = None
    shoulder_to_wrist: Length | None = None
    elbow_out: Angle = 0.35
    handed: Literal["left", "right"] | None = None
    girth: Positive = 1.0
    seams: Annotated[list[LimbSeam], BeforeValidator(as_list), Field(max_length=40)] = []
    darts: Annotated[list[LimbSeam], BeforeValidator(as_list), Field(max_length=40)] = []
    contrast: Contrast = 0.3
    mesh: MeshRef | None = None
    landmarks: LimbLandmarks | None = None
    foam: LimbFoam | None = None
    mass: Mass | None = None

    @model_validator(mode="after")
    def _one_bend(self) -> FalseLimb:
        if self.elbow is not None and self.shoulder_to_wrist is not None:
            raise wrong("The elbow bend and the shoulder-to-wrist distance say the same thing; give one.")
        if self.hand_at is None and self.replaces.endswith("arm") and self.mesh is None:
            raise wrong("Say where the false hand is: hand at: {wall: left, at: [0 cm, 0 cm]}.")
        if self.landmarks is not None and (self.mesh is None or not self.replaces.endswith("arm")):
            raise wrong("Landmarks belong to the mesh of a false arm; give its mesh, or take the landmarks away.")
        return self


def _named_moves(value: Any) -> Any:
    if not isinstance(value, dict):
        raise wrong("Moves are named: moves: {look left: {turn: 30 deg}}.")
    return value


class Move(Part):
    """One move of the puppet: a shift of the grip in the prop's frame, and turns about the grip."""

    by: Point = (0.0, 0.0, 0.0)
    turn: Angle = 0.0
    nod: Angle = 0.0


class Puppet(Part):
    """What the hidden hand works. `grip` is in the prop's frame: left, back, up from the box's centre."""

    name: Words = "puppet"
    form: Literal["bird", "ball"] = "bird"
    height: Length = 0.22
    mesh: MeshRef | None = None
    grip: Point
    mass: Mass | None = None
    moves: Annotated[dict[Words, Move], BeforeValidator(_named_moves), Field(max_length=20)] | None = None
