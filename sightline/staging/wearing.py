"""What the performer wears over body and prop, as covers in the performer's frame."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.errors import Misfit
from sightline.figure.cloth import shirt_mesh, sleeve_mesh
from sightline.geometry.mesh import Cover, Mesh
from sightline.geometry.shapes import box as block
from sightline.props import cloth
from sightline.props.box import opening_names
from sightline.props.falselimb import FalseArm
from sightline.scene.prop import Opening
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.scene.wear import CostumePart, Shirt, Sleeve
from sightline.staging.body import Body, Carried, Side


def costume_cover(
    written: Written[Scene], piece: CostumePart, body: Body, carried: Carried | None, false_arms: list[FalseArm]
) -> Cover | None:
    if piece.sleeve is not None:
        return _sleeve(piece.sleeve, body, false_arms)
    if piece.shirt is not None:
        return Cover(piece.shirt.name, _shirt(piece.shirt, body, false_arms))
    if piece.mesh is not None:
        mesh = written.mesh(piece.mesh.file)
        on_prop = piece.mesh.on == "prop" and carried is not None
        return Cover(piece.mesh.name, mesh.placed(carried.placement) if on_prop and carried else mesh)
    if carried is None:
        raise Misfit((), "This hangs on the prop; the scene has none.")
    if piece.drape is not None:
        return Cover(piece.drape.name, cloth.drape_mesh(piece.drape, carried.size_m, carried.placement))
    if piece.flap is not None:
        return Cover(piece.flap.name, cloth.flap_mesh(piece.flap, carried.size_m).placed(carried.placement))
    assert piece.cuff is not None
    prop = written.model.prop
    assert prop is not None
    if prop.box is None or not prop.openings:
        raise Misfit(("cuff",), "A cuff sits on an opening of a box; this prop has none.")
    opening = _named_opening(prop.openings, piece.cuff.opening)
    return Cover(piece.cuff.name, cloth.cuff_mesh(piece.cuff, prop.box, opening).placed(carried.placement))


def flesh_under(piece: CostumePart, parts: list[Cover], false_arms: list[FalseArm]) -> list[Cover]:
    """What a garment is worn over."""
    if piece.shirt is not None:
        return [part for part in parts if part.name == "torso"]
    if piece.sleeve is not None and piece.sleeve.on == "false arm":
        return [Cover(arm.name, arm.mesh) for arm in false_arms[:1]]
    if piece.sleeve is not None:
        return [part for part in parts if part.name in ("left arm", "right arm")]
    return []


def for_arm(opening: Opening) -> bool:
    """Whether the hidden arm goes through an opening: as said, or else because it is in the back wall."""
    return opening.use == "arm" or (opening.use is None and opening.wall == "back")


def _named_opening(openings: list[Opening], name: str | None) -> Opening:
    if name is None:
        return next((o for o in openings if for_arm(o)), openings[0])
    names = opening_names(openings)
    if name not in names:
        raise Misfit(("cuff", "opening"), f"There is no opening named '{name}'; there are: {', '.join(names)}.")
    return openings[names.index(name)]


def _sleeve(sleeve: Sleeve, body: Body, false_arms: list[FalseArm]) -> Cover | None:
    if sleeve.on == "hidden arm":
        return None
    size: dict[str, Any] = {
        "start": sleeve.start,
        "end": sleeve.end,
        "ease_m": sleeve.ease,
        "thickness_m": sleeve.thickness,
    }
    if sleeve.on == "false arm":
        if not false_arms:
            raise Misfit(("sleeve", "on"), "There is no false arm to put this sleeve on.")
        arm = false_arms[0]
        mesh = sleeve_mesh(arm.sheet, arm.side, arm.shoulder, arm.elbow, arm.hold.wrist, scale_girth=arm.girth, **size)
        return Cover(sleeve.name, mesh)
    side: Side = "right" if body.hidden == "left" else "left"
    arm_pose = body.skeleton.arm(side)
    return Cover(sleeve.name, sleeve_mesh(body.sheet, side, arm_pose.shoulder, arm_pose.elbow, arm_pose.wrist, **size))


def _shirt(shirt: Shirt, body: Body, false_arms: list[FalseArm]) -> Mesh:
    """The shirt over the trunk and over the shoulders of the arms that are there to be seen, false ones included."""
    skeleton = body.skeleton
    for arm in false_arms:
        skeleton = skeleton.with_arm(arm.side, arm.elbow, arm.hold.wrist, arm.hold.fingers, arm.hold.palm)
    mesh = shirt_mesh(body.sheet, skeleton, ease_m=shirt.ease)
    if shirt.slot is None:
        return mesh
    hole = block(shirt.slot.width, 0.16, shirt.slot.height)
    cutter = Mesh(hole.vertices + np.array(shirt.slot.at), hole.faces)
    return Mesh.from_manifold(mesh.manifold() - cutter.manifold())
