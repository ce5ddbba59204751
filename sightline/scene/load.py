"""How the load is hung and how strong the raised arm is, as written."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field

from sightline.scene.fields import Length, Mass, Part, Words, as_list
from sightline.scene.performer import WallSpot


class ArmStrength(Part):
    """The most that the hidden arm holds for a moment, straight out and level: a mass, and how far from the shoulder."""

    holds: Mass
    at: Length


class StrapEnd(Part):
    """Where on the prop a strap of the rig is made fast."""

    strap: Words
    at: WallSpot


class Load(Part):
    """Answers that only the workshop can give; without them the usual is assumed, and said."""

    arm_strength: ArmStrength | None = None
    straps: Annotated[list[StrapEnd], BeforeValidator(as_list), Field(max_length=20)] = []
