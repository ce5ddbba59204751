"""What every part weighs, where its middle is, and who bears it."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.props.falselimb import limb_name
from sightline.scene.wear import CostumePart, RigPart
from sightline.workshop.bench import Bench
from sightline.workshop.materials import LIP, METAL, PLATE, STRAP, Material, made_of, material

Bearer = Literal["prop", "performer", "hand"]

# A puppet that nobody weighed: the most that should be on a raised hand (craft notes, from memory).
PUPPET_KG = 0.5
# A lip of foam sheet. Common practice, no source.
LIP_M = 0.006


@dataclass(frozen=True)
class Weighed:
    """One part. `middle_m` (3,) is its centre of mass in the performer's frame, `how` where the mass is from.

    `prop_share` is how much of its weight hangs on the prop (a false arm hangs between prop and shoulder); `hand` parts
    are on the hidden arm.
    """

    name: str
    part: str
    mass_kg: float
    middle_m: FloatArray
    how: str
    given: bool
    bearer: Bearer
    prop_share: float = 0.0
    material: Material | None = None


def middle_of(mesh: Mesh) -> FloatArray:
    """Centre of mass (3,) of a closed mesh as a solid, of any other as a sheet, metres."""
    corners = mesh.corners
    if mesh.closed and abs(mesh.volume_m3) > 1e-9:
        volumes = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6.0
        return np.asarray((volumes[:, None] * corners.sum(axis=1) / 4.0).sum(axis=0) / volumes.sum())
    return np.asarray((mesh.areas[:, None] * corners.mean(axis=1)).sum(axis=0) / max(mesh.area_m2, 1e-12))


def mass_of(mesh: Mesh, of: Material, thick_m: float | None = None) -> float:
    """Mass, kg: a block by its volume, a sheet by its area. An open sheet of a block's material needs `thick_m`.

    A closed mesh of sheet goods with `thick_m` is a wall: its volume over that thickness is its area.
    """
    if of.per_m3_kg is not None:
        volume = abs(mesh.volume_m3) if mesh.closed else mesh.area_m2 * (thick_m or 0.003)
        return volume * of.per_m3_kg
    assert of.per_m2_kg is not None
    area = abs(mesh.volume_m3) / thick_m if mesh.closed and thick_m else mesh.area_m2
    return area * of.per_m2_kg


def masses(bench: Bench) -> list[Weighed]:
    """All that is carried, heaviest first. Raises FileError for masses given twice or to no part."""
    parts = [*_prop(bench), *_limbs(bench), *_puppet(bench), *_rig(bench), *_costume(bench)]
    _refuse_strangers(bench, [part.name for part in parts])
    return sorted(parts, key=lambda part: -part.mass_kg)


def _meshes(bench: Bench) -> dict[str, Mesh]:
    act = bench.staged.act
    found = {cover.name: cover.mesh for cover in act.covers}
    return found | {secret.name: secret.mesh for secret in act.secrets if secret.kind == "rig"}


def _said(bench: Bench, name: str, own_kg: float | None, path: tuple[str | int, ...]) -> float | None:
    """The mass that the scene gives a part, in its own place or in the list."""
    listed = bench.scene.materials.masses.get(name)
    if listed is not None and own_kg is not None:
        raise bench.written.problem(
            ("materials", "masses", name), f"The mass of '{name}' is also given at {path[0]}; say it once."
        )
    return own_kg if listed is None else listed


def _prop(bench: Bench) -> list[Weighed]:
    prop = bench.prop
    if prop is None:
        return []
    mesh = _meshes(bench)[prop.name]
    said = _said(bench, prop.name, prop.box.mass if prop.box else None, ("prop", "box", "mass"))
    of, known = made_of(bench.scene.materials, "box")
    guess = mass_of(mesh, of, prop.box.wall if prop.box else None)
    how = "given" if said is not None else _how(of, known)
    kg = guess if said is None else said
    return [Weighed(prop.name, "prop", kg, middle_of(mesh), how, said is not None, "prop", 1.0, of)]


def _limbs(bench: Bench) -> list[Weighed]:
    out = []
    of, known = made_of(bench.scene.materials, "limb foam")
    arms = {arm.name: arm for arm in bench.false_arms}
    for i, limb in enumerate(bench.scene.false_limbs):
        name = limb_name(limb)
        mesh = _meshes(bench)[name]
        said = _said(bench, name, limb.mass, ("false limbs", i, "mass"))
        middle = middle_of(mesh)
        share = 1.0
        if name in arms:
            # It hangs between the shoulder and the hand on the prop: the prop bears its share by the lever.
            line = arms[name].hold.wrist - arms[name].shoulder
            share = float(np.clip((middle - arms[name].shoulder) @ line / (line @ line), 0.0, 1.0))
        how = "given" if said is not None else _how(of, known)
        kg = mass_of(mesh, of) if said is None else said
        out.append(Weighed(name, "false limb", kg, middle, how, said is not None, "prop", share, of))
    return out


def _puppet(bench: Bench) -> list[Weighed]:
    puppet = bench.scene.puppet
    if puppet is None:
        return []
    mesh = next(m.mesh for m in bench.staged.act.poses[0].must_see if m.name == puppet.name)
    said = _said(bench, puppet.name, puppet.mass, ("puppet", "mass"))
    of, known = made_of(bench.scene.materials, "puppet")
    if said is not None:
        kg, how = said, "given"
    elif known:
        kg, how = mass_of(mesh, of), _how(of, True)
    else:
        kg, how = PUPPET_KG, "assumed: the most that should be on a raised hand, from memory"
    on: Bearer = "hand" if bench.hidden else "prop"
    share = 0.0 if on == "hand" else 1.0
    return [Weighed(puppet.name, "puppet", kg, middle_of(mesh), how, said is not None, on, share, of)]


def _rig(bench: Bench) -> list[Weighed]:
    return [_rig_part(bench, part) for part in bench.scene.rig]


def _rig_part(bench: Bench, part: RigPart) -> Weighed:
    piece = part.strap or part.hook or part.plate or part.screw or part.mesh
    assert piece is not None
    mesh = _meshes(bench)[piece.name]
    name = STRAP if part.strap else PLATE if part.plate else METAL
    of = material(bench.scene.materials, name)
    said = _said(bench, piece.name, None, ("rig",))
    on_prop = part.hook is not None or part.screw is not None or (part.mesh is not None and part.mesh.on == "prop")
    how = "given" if said is not None else _how(of, False)
    kg = mass_of(mesh, of) if said is None else said
    bearer: Bearer = "prop" if on_prop else "performer"
    return Weighed(
        piece.name, "rig", kg, middle_of(mesh), how, said is not None, bearer, 1.0 if on_prop else 0.0, of
    )  # fmt: skip


def _costume(bench: Bench) -> list[Weighed]:
    return [weighed for part in bench.scene.costume if (weighed := _worn(bench, part)) is not None]


def _worn(bench: Bench, part: CostumePart) -> Weighed | None:
    piece = part.sleeve or part.shirt or part.drape or part.flap or part.cuff or part.mesh
    assert piece is not None
    of, known = made_of(bench.scene.materials, "costume")
    if part.flap is not None and not known:
        of = material(bench.scene.materials, LIP)
    said = _said(bench, piece.name, None, ("costume",))
    mesh = _meshes(bench).get(piece.name)
    if mesh is None:
        return _hidden_sleeve(bench, part, of, known, said)
    on_prop = bool(part.drape or part.flap or part.cuff or (part.mesh and part.mesh.on == "prop"))
    share, bearer = (1.0, "prop") if on_prop else (0.0, "performer")
    if part.sleeve is not None and part.sleeve.on == "false arm":
        share, bearer = 0.5, "prop"
    kg = mass_of(mesh, of, LIP_M if part.flap else None) if said is None else said
    how = "given" if said is not None else _how(of, known)
    return Weighed(piece.name, "costume", kg, middle_of(mesh), how, said is not None, bearer, share, of)  # type: ignore[arg-type]


def _hidden_sleeve(bench: Bench, part: CostumePart, of: Material, known: bool, said: float | None) -> Weighed | None:
    """A sleeve on the hidden arm is no mesh of its own: girth times length, at the elbow of the rest pose."""
    if part.sleeve is None or bench.sheet is None or not bench.hidden:
        return None
    sheet, sleeve, rest = bench.sheet, part.sleeve, bench.hidden[0]
    girth = (sheet.biceps_girth_m + sheet.wrist_girth_m) / 2 + 2 * np.pi * sleeve.ease
    kg = girth * sheet.arm_m * (sleeve.end - sleeve.start) * (of.per_m2_kg or 0.35) if said is None else said
    how = "given" if said is not None else _how(of, known)
    return Weighed(sleeve.name, "costume", float(kg), rest.elbow, how, said is not None, "hand", 0.0, of)


def _how(of: Material, known: bool) -> str:
    amount = f"{of.per_m3_kg:g} kg/m3" if of.per_m3_kg is not None else f"{of.per_m2_kg:g} kg/m2"
    return f"{'' if known else 'assumed: '}{of.name} at {amount}, {of.source}"


def _refuse_strangers(bench: Bench, names: list[str]) -> None:
    for said in bench.scene.materials.masses:
        if said not in names:
            near = get_close_matches(said, names, n=1, cutoff=0.5)
            hint = f"did you mean '{near[0]}'?" if near else f"the parts are {', '.join(sorted(names)) or 'none'}."
            raise bench.written.problem(("materials", "masses", said), f"No part is named '{said}'; {hint}")
