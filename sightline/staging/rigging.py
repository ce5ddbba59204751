"""The rig on body and prop, as secrets in the performer's frame."""

from __future__ import annotations

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.mesh import Mesh
from sightline.moment import Secret
from sightline.props import rig
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.scene.wear import RigPart
from sightline.staging.body import Body, Carried, Side
from sightline.staging.imported import sided


def rig_secret(
    written: Written[Scene], part: RigPart, body: Body, carried: Carried | None, torso: Mesh, notes: list[str]
) -> Secret:
    sheet, shoes = body.sheet, body.skeleton.shoe_m
    waist = (sheet.hip_height_m + sheet.shoulder_height_m) / 2 + shoes
    if part.strap is not None:
        side: Side = "left" if part.strap.over == "left" else "right"
        mesh = rig.strap_mesh(part.strap, torso, body.shoulder(side), waist)
        return Secret(part.strap.name, "rig", mesh, two_sided=True, contrast=part.strap.contrast)
    if part.plate is not None:
        level = np.abs(torso.vertices[:, 2] - (part.plate.up or waist)) < 0.08
        belly = float(torso.vertices[level, 1].min()) if level.any() else -sheet.waist_depth_m / 2
        return Secret(part.plate.name, "rig", rig.plate_mesh(part.plate, belly, waist), contrast=part.plate.contrast)
    if part.mesh is not None:
        mesh = written.mesh(part.mesh.file)
        if part.mesh.on == "prop" and carried is not None:
            mesh = mesh.placed(carried.placement)
        mesh, two_sided = sided(part.mesh.name, mesh, notes)
        return Secret(part.mesh.name, "rig", mesh, two_sided=two_sided, contrast=part.mesh.contrast)
    if carried is None:
        raise Misfit((), "This is fixed to the prop; the scene has none.")
    if part.hook is not None:
        mesh = rig.hook_mesh(part.hook, carried.size_m).placed(carried.placement)
        return Secret(part.hook.name, "rig", mesh, contrast=part.hook.contrast)
    assert part.screw is not None
    mesh = rig.screw_mesh(part.screw, carried.size_m).placed(carried.placement)
    return Secret(part.screw.name, "rig", mesh, contrast=part.screw.contrast)
