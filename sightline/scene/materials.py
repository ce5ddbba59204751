"""What things are made of and weigh, as written: names of materials, a maker's own ones, masses off the scale."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, model_validator

from sightline.scene.fields import Mass, Part, Positive, Words, wrong

# The names only; what they weigh is in `workshop/materials.py`, which a test holds to the same names.
MATERIAL_NAMES = (
    "corrugated card", "double-wall corrugated card", "foam board", "plywood", "MDF", "hardboard", "softwood",
    "corrugated plastic", "acrylic", "EVA foam", "XPS foam", "upholstery foam", "reticulated foam", "latex foam",
    "polyester stuffing", "thin cotton", "canvas", "wool coat cloth", "felt", "fleece", "fake fur", "webbing",
    "elastic webbing", "leather", "steel", "aluminium",
)  # fmt: skip


def _named(value: Any) -> Any:
    if not isinstance(value, dict):
        raise wrong("These are named: a name, a colon, and what belongs to it.")
    return value


class OwnMaterial(Part):
    """A material off the maker's own scale: what a square metre of the sheet weighs, or a cubic metre of the block."""

    mass_per_square_metre: Mass | None = None
    mass_per_cubic_metre: Mass | None = None

    @model_validator(mode="after")
    def _one(self) -> OwnMaterial:
        if (self.mass_per_square_metre is None) == (self.mass_per_cubic_metre is None):
            raise wrong("Say what a square metre of it weighs, or a cubic metre; give exactly one.")
        return self


# What is bought for a false limb beside the sheet it is cut from.
SUNDRIES = ("glue", "seam tape", "screws", "breakaway fastener")


class Price(Part):
    """What a thing costs as it is sold, in the scene's currency: by the sheet, by the metre or each."""

    per_sheet: Positive | None = None
    per_metre: Positive | None = None
    each: Positive | None = None

    @model_validator(mode="after")
    def _one(self) -> Price:
        if sum(price is not None for price in (self.per_sheet, self.per_metre, self.each)) != 1:
            raise wrong("A price is per sheet, per metre or each; give exactly one.")
        return self


class Materials(Part):
    """What box, false limbs, costume and puppet are made of.

    `own` adds materials by name, or weighs a known one anew. `masses` gives the mass of one part by the part's name;
    it goes before every estimate. `prices` are of materials or of what is bought beside them, in `currency`.
    """

    box: Words | None = None
    limb_foam: Words | None = None
    costume: Words | None = None
    puppet: Words | None = None
    own: Annotated[dict[Words, OwnMaterial], BeforeValidator(_named), Field(max_length=40)] = {}
    masses: Annotated[dict[Words, Mass], BeforeValidator(_named), Field(max_length=200)] = {}
    prices: Annotated[dict[Words, Price], BeforeValidator(_named), Field(max_length=40)] = {}
    currency: Words | None = None

    @model_validator(mode="after")
    def _known(self) -> Materials:
        known = [*MATERIAL_NAMES, *self.own]
        for said in (self.box, self.limb_foam, self.costume, self.puppet):
            if said is not None and said not in known:
                near = get_close_matches(said, known, n=1, cutoff=0.5)
                hint = f"did you mean '{near[0]}'?" if near else f"the materials are {', '.join(known)}."
                raise wrong(f"'{said[:40]}' is no material here; {hint} Others can be added under own.")
        sold = [*known, *SUNDRIES]
        for said in self.prices:
            if said not in sold:
                near = get_close_matches(said, sold, n=1, cutoff=0.5)
                hint = f"did you mean '{near[0]}'?" if near else f"prices are of {', '.join(sold)}."
                raise wrong(f"'{said[:40]}' is nothing that is bought here; {hint}")
        return self
