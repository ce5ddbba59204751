"""The performer as written: body, and the pose held."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from sightline.scene.fields import (
    Angle,
    Distance,
    Length,
    Mass,
    Part,
    Point,
    Positive,
    Spot,
    Words,
    as_list,
    wrong,
)
from sightline.scene.shapes import MeshRef

ArmName = Literal["left arm", "right arm"]
WallName = Literal["front", "back", "left", "right", "top", "bottom"]


class Performer(Part):
    """Who stands there. `hide` names the real arm that goes through the prop; `allergies: []` says there are none."""

    stature: Length | None = None
    sex: Literal["female", "male"] | None = None
    age: Positive | None = None
    proportions: Literal["drillis-contini", "ansur"] = "drillis-contini"
    mass: Mass | None = None
    shoes: Distance = 0.025
    measured: Annotated[dict[Words, Length], Field(max_length=60)] = {}
    mesh: MeshRef | None = None
    landmarks: Annotated[dict[Words, Point], Field(max_length=40)] = {}
    allergies: Annotated[list[Words], BeforeValidator(as_list), Field(max_length=40)] | None = None
    hide: Annotated[list[ArmName], BeforeValidator(as_list), Field(max_length=1)] = []

    @model_validator(mode="after")
    def _sized(self) -> Performer:
        if self.stature is None and "height" not in self.measured and self.age is None and self.mesh is None:
            raise wrong(
                "Say how tall the performer is (stature: 172 cm), or give a measured height, a scan or a child's age."
            )
        if self.landmarks and self.mesh is None:
            raise wrong("Landmarks belong to a scan; give its mesh too.")
        return self


class WallSpot(Part):
    """A place on the outside of a wall: `at` is across then up from the wall's centre.

    Across runs to the performer's left on front, back, top and bottom, and towards the performer on left and
    right; up is up, and on top and bottom towards the performer.
    """

    wall: WallName
    at: Spot = (0.0, 0.0)


def _none_if_hangs(value: Any) -> Any:
    return None if value == "hangs" else value


class Pose(Part):
    """How the performer stands.

    `visible hand` is where the hand that is not hidden holds the prop (`hangs` for an idle arm). `hidden elbow`
    pins the hidden arm's swivel (0 = elbow straight down, positive outward); otherwise every allowed one counts.
    """

    feet_apart: Distance | None = None
    lean: Angle = 0.0
    gaze: Literal["audience", "prop"] = "prop"
    visible_hand: Annotated[WallSpot | None, BeforeValidator(_none_if_hangs)] = WallSpot(wall="bottom")
    visible_elbow_out: Angle = 0.35
    hidden_elbow: Angle | None = None
