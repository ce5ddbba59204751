"""How far the act on the night may be off from what was planned, as written: what `check --robust` puts up with."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import Field, model_validator

from sightline.scene.fields import Angle, Distance, Number, Part, wrong
from sightline.units import say_length

MOST = {"lower": 0.5, "tilt": math.radians(45.0), "cloth": 0.3, "build": 0.1, "stature": 0.2}


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
    def _plausible(self) -> Allowances:
        if self.tilt < 0:
            raise wrong("The prop tips forward as the arm tires: give the angle without a sign.")
        # More is no allowance but another act, most of which cannot be and so could not be tried.
        for key, most in MOST.items():
            if getattr(self, key) > most:
                said = f"{math.degrees(most):.0f} deg" if key == "tilt" else say_length(most)
                raise wrong(f"'{key}' is too large for something that is a little off; the most here is {said}.")
        return self

    @property
    def no_more_than_usual(self) -> Allowances:
        """The same, but none larger than where nothing is said."""
        usual = Allowances()
        return Allowances(**{key: min(getattr(self, key), getattr(usual, key)) for key in type(self).model_fields})
