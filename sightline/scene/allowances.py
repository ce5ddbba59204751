"""How far the act on the night may be off from what was planned, as written: what `check --robust` puts up with."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import Field, model_validator

from sightline.scene.fields import Angle, Distance, Number, Part, wrong


class Allowances(Part):
    """What may be off, each either way where that makes sense; nothing (`0 cm`, `0 deg`, `0`) leaves one out.

    `lower` and `tilt`: how far the prop sinks and tips forward late in the set. `cloth`: how far the edges of cloth
    are drawn back. `build`: how far off anything is cut or mounted. `stature`: how far off the tape was. `body`: by
    how many standard deviations sizes that nobody measured may be off. Straying is `blocking: {stray: ...}`.
    """

    # A tired arm, from memory.
    lower: Distance = 0.050
    tilt: Angle = math.radians(5.0)
    # Common practice, no source.
    cloth: Distance = 0.020
    build: Distance = 0.005
    stature: Distance = 0.010
    body: Annotated[Number, Field(ge=0.0, le=4.0)] = 2.0

    @model_validator(mode="after")
    def _forward(self) -> Allowances:
        if self.tilt < 0:
            raise wrong("The prop tips forward as the arm tires: give the angle without a sign.")
        return self
