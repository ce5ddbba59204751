"""From a scene to one moment: figure, props and house put together at the mark."""

from __future__ import annotations

from difflib import get_close_matches

import numpy as np

from sightline.errors import FileError, Problem, gathering
from sightline.geometry.frame import Placement, about_z
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.build import House
from sightline.house.eyes import Eye
from sightline.moment import Moment, MustSee, PlanOutline, Pose, Secret
from sightline.props.plain import shape_mesh
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.scene.shapes import SecretShape
from sightline.staging.act import Act, act_of
from sightline.staging.audience import audience
from sightline.staging.imported import sided

NOT_CHECKED = (
    "sound, smell and behaviour of the audience; wind on cloth; light, shadow and reflections",
    "margins (how much there is to spare), movement along a path, drift from the mark",
    "whether flesh and clothing clear the opening's edge; loads and fit",
)


def stage(written: Written[Scene]) -> Moment:
    """The moment a scene describes. Raises SightlineError with the place of whatever does not go together."""
    scene = written.model
    if scene.performer is None and not scene.secrets:
        raise written.problem((), "The scene has nothing secret: give a performer who hides an arm, or secrets.")
    problems: list[Problem] = []
    house, act = House(), Act()
    with gathering(problems):
        house = audience(written)
        if not house.eyes:
            raise written.problem((), "Nobody is watching: the scene has no eyes. Give a venue or eyes.")
    facing, mark = 0.0, scene.blocking.mark
    with gathering(problems):
        facing = _facing(written, house.eyes)
        act = act_of(written).placed(Placement(about_z(facing), np.array([*mark, 0.0])))
    notes = act.notes
    for i, cover in enumerate(scene.covers):
        with gathering(problems), written.at("covers", i, *([cover.shape_key] if cover.shape_key else [])):
            act.covers.append(Cover(cover.name, shape_mesh(cover, written.mesh)))
    for i, shape in enumerate(scene.must_see):
        with gathering(problems), written.at("must see", i, *([shape.shape_key] if shape.shape_key else [])):
            act.must_see.append(MustSee(shape.name, sided(shape.name, shape_mesh(shape, written.mesh), [])[0]))
    act.covers += house.scenery
    for i, secret in enumerate(scene.secrets):
        with gathering(problems):
            act.secrets.append(_plain_secret(written, i, secret, act.covers, notes))
    if problems:
        raise FileError(problems)
    still = Pose("still", tuple(act.covers), tuple(act.secrets), tuple(act.must_see))
    names = [c.name for c in act.covers] + [s.name for s in (*act.secrets, *act.poses[0].secrets)]
    _refuse_twins(written, names)
    return Moment(
        scene.title, still, tuple(act.poses), tuple(house.eyes), tuple(act.apertures),
        heads_count=scene.heads == "count", detail_m=_detail(scene),
        assumptions=tuple(notes + house.notes + _general_notes(written)), not_checked=NOT_CHECKED,
        plan=PlanOutline(
            tuple(house.outlines), mark if scene.performer else None, facing, house.name, tuple(house.levels)
        ),
    )  # fmt: skip


def _facing(written: Written[Scene], eyes: list[Eye]) -> float:
    """The facing in radians: as said, or from the mark towards the eye that is aimed at."""
    blocking = written.model.blocking
    if blocking.aim_at is not None:
        eye = next((e for e in eyes if e.id == blocking.aim_at), None)
        if eye is None:
            near = get_close_matches(blocking.aim_at, [e.id for e in eyes], n=1)
            hint = f"; did you mean '{near[0]}'?" if near else "."
            raise written.problem(("blocking", "aim at"), f"There is no eye '{blocking.aim_at}' to face{hint}")
        return float(np.arctan2(eye.position_m[0] - blocking.mark[0], -(eye.position_m[1] - blocking.mark[1])))
    if isinstance(blocking.facing, tuple):
        return float(np.arctan2(blocking.facing[0], -blocking.facing[1]))
    return blocking.facing or 0.0


def _detail(scene: Scene) -> float:
    """Patch spacing: as said, at most 20 mm, and a third of the narrowest opening declared."""
    sizes = [min(opening.size_m) / 3 for opening in scene.prop.openings] if scene.prop else []
    return min([scene.detail, *sizes])


def _general_notes(written: Written[Scene]) -> list[str]:
    scene = written.model
    notes = [
        f"{path} is said as '{text}': its middle is taken." for path, text in written.soft if "unknown" not in text
    ]
    notes += [f"{path} is unknown: the usual value is taken." for path, text in written.soft if "unknown" in text]
    if scene.heads == "ignore":
        notes.append("Other people's heads hide no secret; they do count against what must be seen.")
    if scene.noticing.sway:
        notes.append("People sway: the worst of five head positions counts (eyes 63 mm apart, 50 mm of lean).")
    notes.append("A moving secret counts as seen however small; a still one from 2 arcmin (a bare point: 1 arcmin).")
    return notes


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
            shape.name,
            "seam",
            empty,
            covers=False,
            contrast=shape.contrast,
            path=points,
            on=shape.on,
            width_m=shape.width,
        )
    with written.at(*path, *([shape.shape_key] if shape.shape_key else [])):
        mesh = shape_mesh(shape, written.mesh)
    two_sided = shape.two_sided
    if shape.mesh is not None and not two_sided:
        mesh, two_sided = sided(shape.name, mesh, notes)
    return Secret(shape.name, shape.kind, mesh, two_sided=two_sided, contrast=shape.contrast, width_m=shape.width)


def _refuse_twins(written: Written[Scene], names: list[str]) -> None:
    twins = sorted({name for name in names if names.count(name) > 1})
    if twins:
        raise written.problem((), f"Two things are named '{twins[0]}'; every cover and secret needs its own name.")
