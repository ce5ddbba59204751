"""The sheet a false limb is cut from, as written: material, thickness, and what is taken of how it bends."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import PlainValidator, WithJsonSchema, model_validator

from sightline.scene.fields import Distance, Length, Part, Share, Words, wrong
from sightline.units import QuantityError, number

# A sheet thicker than this is no sheet to bend round an arm.
THICKEST_M = 0.1


def _strain(value: object) -> float:
    if isinstance(value, float):
        return value
    if not isinstance(value, str) or not value.strip():
        raise wrong("A strain limit is one plain value, such as 3 %.")
    said = value.strip()
    share = said.endswith("%")
    try:
        found = number(said.removesuffix("%").strip()) * (0.01 if share else 1.0)
    except QuantityError:
        raise wrong(f"'{said[:40]}' is no strain; write it in percent (3 %) or as a share (0.03).") from None
    if not 0.001 <= found <= 0.5:
        raise wrong(f"'{said[:40]}' is no strain that a sheet is cut for; it must be 0.1 % to 50 %.")
    return found


StrainLimit = Annotated[float, PlainValidator(_strain), WithJsonSchema({"type": ["string", "number"]})]


class LimbFoam(Part):
    """The sheet of a false limb, 10 mm thick where it is not said.

    `material` is a name as under materials (default: the scene's limb foam). `skin` says which face of the sheet is the
    limb's surface as it is in the scene. `neutral` is where in the thickness length is kept when the sheet is bent: 0 at
    its inside, 1 at its outside. `ease` is added to the girth everywhere. `strain limit` is what the sheet is stretched
    or pressed at most when it is drawn to shape; it depends on the material where it is not said.
    """

    material: Words | None = None
    thickness: Length = 0.010
    skin: Literal["outside", "inside"] = "outside"
    neutral: Share = 0.5
    ease: Distance = 0.0
    strain_limit: StrainLimit | None = None

    @model_validator(mode="after")
    def _sheet(self) -> LimbFoam:
        if self.thickness > THICKEST_M:
            raise wrong(
                f"A sheet of {self.thickness * 1000:g} mm does not bend round a limb; the most here is {THICKEST_M * 1000:g} mm."
            )
        return self
