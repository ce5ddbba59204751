"""What materials weigh, each beside its source, and what in them the skin of some people does not bear.

Sheets and cloth by the square metre, blocks by the cubic metre. Nearly all are from memory of makers' data sheets, to
about a fifth: weigh a piece of yours and write it in the scene (materials: {own: ...}).
"""

from __future__ import annotations

from dataclasses import dataclass

from sightline.scene.materials import Materials

FROM_MEMORY = "from memory, to about a fifth"
LATEX, NICKEL, ADHESIVE, DYE = "latex", "nickel", "adhesive", "dye"


@dataclass(frozen=True)
class Material:
    """Exactly one of `per_m2_kg` and `per_m3_kg` is set. `may_hold`: what else is in it, as far as anybody knows."""

    name: str
    per_m2_kg: float | None = None
    per_m3_kg: float | None = None
    source: str = FROM_MEMORY
    may_hold: tuple[str, ...] = ()


def _block(name: str, per_m3_kg: float, source: str = FROM_MEMORY, may_hold: tuple[str, ...] = ()) -> Material:
    return Material(name, None, per_m3_kg, source, may_hold)


def _cloth(name: str, per_m2_kg: float, may_hold: tuple[str, ...] = (DYE,)) -> Material:
    return Material(name, per_m2_kg, None, FROM_MEMORY, may_hold)


TABLE: dict[str, Material] = {
    m.name: m
    for m in (
        # Sheets of the scene's own wall thickness.
        _block("corrugated card", 140.0, may_hold=(ADHESIVE,)),
        _block("double-wall corrugated card", 150.0, may_hold=(ADHESIVE,)),
        _block("foam board", 110.0, may_hold=(ADHESIVE,)),
        # 1.5 lb a square foot at 1/2 in, Plywood Design Specification as quoted by a how-to page: 7.32 kg/m2 / 12.7 mm.
        _block("plywood", 576.0, "Plywood Design Specification, second-hand: 1.5 lb/ft2 at 1/2 in", (ADHESIVE,)),
        _block("MDF", 750.0, may_hold=(ADHESIVE,)),
        _block("hardboard", 950.0, may_hold=(ADHESIVE,)),
        # Sitka spruce at 12 % moisture, a composite shop's table of weights.
        _block("softwood", 470.0, "Sitka spruce at 12 % moisture, a boatbuilders' table of weights"),
        _block("corrugated plastic", 180.0),
        _block("acrylic", 1190.0),
        _block("EVA foam", 100.0, may_hold=(ADHESIVE,)),
        _block("XPS foam", 35.0, may_hold=(ADHESIVE,)),
        _block("upholstery foam", 30.0, may_hold=(ADHESIVE,)),
        _block("reticulated foam", 28.0, may_hold=(ADHESIVE,)),
        _block("latex foam", 75.0, may_hold=(LATEX, ADHESIVE)),
        _block("polyester stuffing", 15.0),
        _cloth("thin cotton", 0.15),
        _cloth("canvas", 0.35),
        _cloth("wool coat cloth", 0.45),
        _cloth("felt", 0.40),
        _cloth("fleece", 0.28),
        _cloth("fake fur", 0.75),
        # Polyester webbing of 38 mm, about 45 g a metre.
        _cloth("webbing", 1.2),
        _cloth("elastic webbing", 1.1, (LATEX, DYE)),
        _cloth("leather", 2.0, (DYE, "chromium")),
        _block("steel", 7850.0, may_hold=(NICKEL,)),
        _block("aluminium", 2700.0),
    )
}

# What a part is taken to be of where the scene does not say: for a box the heavier of the usual, for doubt goes
# against the plan.
USUAL = {"box": "plywood", "limb foam": "upholstery foam", "costume": "canvas", "puppet": "upholstery foam"}
STRAP, PLATE, METAL, LIP = "webbing", "plywood", "steel", "EVA foam"


def material(said: Materials, name: str) -> Material:
    """A material by name, the scene's own first. Raises KeyError for a name that neither knows."""
    own = said.own.get(name)
    if own is None:
        return TABLE[name]
    may_hold = TABLE[name].may_hold if name in TABLE else ()
    return Material(name, own.mass_per_square_metre, own.mass_per_cubic_metre, "given in the scene", may_hold)


def made_of(said: Materials, part: str) -> tuple[Material, bool]:
    """The material of `box`, `limb foam`, `costume` or `puppet`, and whether the scene says so."""
    name: str | None = getattr(said, part.replace(" ", "_"))
    return material(said, name or USUAL[part]), name is not None
