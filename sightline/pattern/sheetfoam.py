"""What a sheet stands: the foam of a limb as the scene says it, and how far each material stretches."""

from __future__ import annotations

from difflib import get_close_matches

from sightline.pattern.pattern import Foam
from sightline.scene.foam import LimbFoam
from sightline.scene.materials import MATERIAL_NAMES, Materials
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.workshop.materials import USUAL

# The strain that a sheet takes, pressed or stretched, without a crease or a pull that shows, as a share. All from
# memory of how these are worked, to about a half: bend a strip of yours and write the limit in the scene.
LIMITS = {
    "corrugated card": 0.005, "double-wall corrugated card": 0.005, "foam board": 0.005, "plywood": 0.003, "MDF": 0.003,
    "hardboard": 0.003, "softwood": 0.003, "corrugated plastic": 0.005, "acrylic": 0.003, "EVA foam": 0.04,
    "XPS foam": 0.01, "upholstery foam": 0.08, "reticulated foam": 0.08, "latex foam": 0.10, "polyester stuffing": 0.10,
    "thin cotton": 0.02, "canvas": 0.01, "wool coat cloth": 0.04, "felt": 0.04, "fleece": 0.08, "fake fur": 0.03,
    "webbing": 0.01, "elastic webbing": 0.10, "leather": 0.03, "steel": 0.001, "aluminium": 0.002,
}  # fmt: skip
# A material of the maker's own, of which nothing is known. Common practice, no source.
UNKNOWN_LIMIT = 0.02


def foam_of(written: Written[Scene], index: int) -> tuple[Foam, tuple[str, ...]]:
    """The sheet of a false limb (its number in the scene) and what was taken for it. Raises FileError for a material
    that nobody knows, with its place."""
    scene = written.model
    said = scene.false_limbs[index].foam or LimbFoam()
    materials: Materials = scene.materials
    name = said.material or materials.limb_foam or USUAL["limb foam"]
    known = [*MATERIAL_NAMES, *materials.own]
    if name not in known:
        near = get_close_matches(name, known, n=1, cutoff=0.5)
        hint = f"Did you mean '{near[0]}'?" if near else f"The materials are {', '.join(known)}."
        raise written.problem(("false limbs", index, "foam", "material"), f"'{name[:40]}' is no material here. {hint}")
    limit = said.strain_limit if said.strain_limit is not None else LIMITS.get(name, UNKNOWN_LIMIT)
    foam = Foam(name, said.thickness, "inside" if said.skin == "inside" else "outside", said.neutral, said.ease, limit)
    given = scene.false_limbs[index].foam
    notes = []
    if given is None or "thickness" not in given.model_fields_set:
        notes.append(
            f"The sheet is taken to be {foam.thickness_m * 1000:g} mm of {name}; the scene does not say (foam: {{thickness: ...}})."
        )
    notes.append(
        f"The limb's surface in the scene is the {foam.skin} of the sheet; the sheet keeps its length at {foam.neutral:g} of its "
        "thickness from the inside. Where it does so in a soft foam is an assumption: bend a strip and measure."
    )
    if said.strain_limit is None:
        notes.append(f"{name} is taken to stand {limit * 100:g} % of stretch or press (from memory, to about a half).")
    return foam, tuple(notes)
