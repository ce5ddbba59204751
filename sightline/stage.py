"""From a scene to one moment: figure, props and house put together at the mark."""

from __future__ import annotations

import numpy as np

from sightline.audience import audience
from sightline.geometry.mesh import Cover, Mesh
from sightline.moment import Moment, MustSee, PlanOutline, Pose, Secret
from sightline.props.plain import shape_mesh
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.scene.shapes import SecretShape


def stage(written: Written[Scene]) -> Moment:
    """The moment a scene describes. Raises SightlineError with the place of whatever does not go together."""
    scene = written.model
    if scene.performer is None and not scene.secrets:
        raise written.problem((), "The scene has nothing secret: give a performer who hides an arm, or secrets.")
    notes: list[str] = []
    covers = []
    for i, cover in enumerate(scene.covers):
        with written.at("covers", i, *([cover.shape_key] if cover.shape_key else [])):
            covers.append(Cover(cover.name, shape_mesh(cover, written.mesh)))
    secrets = [_plain_secret(written, i, shape, covers, notes) for i, shape in enumerate(scene.secrets)]
    must_see = []
    for i, shape in enumerate(scene.must_see):
        with written.at("must see", i, *([shape.shape_key] if shape.shape_key else [])):
            must_see.append(MustSee(shape.name, shape_mesh(shape, written.mesh)))
    house = audience(written)
    covers += house.scenery
    still = Pose("as placed", tuple(covers), tuple(secrets), tuple(must_see))
    moment = Moment(
        scene.title, still, (Pose("as placed"),), tuple(house.eyes), heads_count=scene.heads == "count",
        detail_m=scene.detail, assumptions=tuple(notes + house.notes),
        plan=PlanOutline(tuple(house.outlines), venue=house.name, levels=tuple(house.levels)),
    )  # fmt: skip
    _refuse_twins(written, [c.name for c in covers] + [s.name for s in secrets])
    if not moment.eyes:
        raise written.problem((), "Nobody is watching: the scene has no eyes. Give a venue or eyes.")
    return moment


def _plain_secret(written: Written[Scene], i: int, shape: SecretShape, covers: list[Cover], notes: list[str]) -> Secret:
    path = ("secrets", i)
    if shape.path is not None:
        if shape.on is not None and shape.on not in {cover.name for cover in covers}:
            raise written.problem((*path, "on"), f"There is no cover named '{shape.on}' for this seam to lie on.")
        points = np.array(shape.path, dtype=float)
        if np.linalg.norm(np.diff(points, axis=0), axis=1).sum() < 1e-6:
            raise written.problem((*path, "path"), "This seam has no length.")
        empty = Mesh.of(np.zeros((0, 3)), np.zeros((0, 3)))
        return Secret(
            shape.name, "seam", empty, covers=False, contrast=shape.contrast, path=points, on=shape.on, width_m=shape.width
        )
    with written.at(*path, *([shape.shape_key] if shape.shape_key else [])):
        mesh = shape_mesh(shape, written.mesh)
    two_sided = shape.two_sided
    if shape.mesh is not None and not two_sided:
        mesh, two_sided = sided(shape.name, mesh, notes)
    return Secret(shape.name, shape.kind, mesh, two_sided=two_sided, contrast=shape.contrast, width_m=shape.width)


def sided(name: str, mesh: Mesh, notes: list[str]) -> tuple[Mesh, bool]:
    """An imported mesh and whether it must count from both sides; what had to be assumed goes to `notes`."""
    if not mesh.closed:
        notes.append(f"'{name}' is not watertight and consistently wound, so it counts as seen from both sides.")
        return mesh, True
    if mesh.volume_m3 < 0:
        notes.append(f"Warning: '{name}' was inside out and has been turned.")
        return mesh.flipped(), False
    return mesh, False




def _refuse_twins(written: Written[Scene], names: list[str]) -> None:
    twins = sorted({name for name in names if names.count(name) > 1})
    if twins:
        raise written.problem((), f"Two things are named '{twins[0]}'; every cover and secret needs its own name.")
