"""Mirrors and lamps of a venue, as written."""

from __future__ import annotations

import math

from pydantic import model_validator

from sightline.scene.fields import Angle, Facing, Part, Point, Words, wrong
from sightline.scene.shapes import DiscSize, RectangleSize


class MirrorPiece(Part):
    """A flat mirror: `at` is its middle, `facing` turns its front, which alone reflects; its back only hides."""

    name: Words
    rectangle: RectangleSize | None = None
    disc: DiscSize | None = None
    at: Point
    facing: Facing = 0.0

    @model_validator(mode="after")
    def _one(self) -> MirrorPiece:
        if (self.rectangle is None) == (self.disc is None):
            got = "none is given" if self.disc is None else "got both"
            raise wrong(f"A mirror has exactly one shape: rectangle: {{width, height}} or disc: {{radius}}; {got}.")
        return self


class LampPiece(Part):
    """A lamp, taken for a point. Without `beam`, the full angle of its cone about `aim`, it shines all round."""

    name: Words
    at: Point
    aim: Point | None = None
    beam: Angle | None = None

    @model_validator(mode="after")
    def _aimed(self) -> LampPiece:
        if self.beam is not None:
            if not 0.0 < self.beam <= 2 * math.pi:
                raise wrong("A beam is an angle of more than nothing, at most a full turn: beam: 25 deg.")
            if self.aim is None:
                raise wrong("A beam needs something to aim at: aim: [across, upstage, up].")
        if self.aim is not None and self.beam is None:
            raise wrong(
                "A lamp that is aimed has a beam: say how wide, beam: 25 deg; without both it shines all round."
            )
        if self.aim is not None and self.aim == self.at:
            raise wrong("The lamp is aimed at the place where it hangs.")
        return self
