"""`sightline view`: what one eye sees."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption


def view(
    scene: SceneArgument,
    eye: Annotated[str | None, typer.Option("--eye", help="The eye's id; default the one that sees most.")] = None,
    out: Annotated[Path | None, typer.Option("--out", help="PNG, SVG or PDF; default SCENE-EYE.png.")] = None,
    plain: Annotated[bool, typer.Option("--plain", help="Only the picture, nothing marked.")] = False,
    width: Annotated[float | None, typer.Option("--width", min=0.5, max=120.0, help="Degrees across.")] = None,
    pose: Annotated[str | None, typer.Option("--pose", help="A pose by name; default the one that shows most.")] = None,
    rays: Annotated[
        bool, typer.Option("--rays", help="Cast the picture with rays even where OpenGL is there.")
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="Also print this eye's entry as JSON.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Draw what one person sees from their place, with what they can see of a secret marked."""
    import math

    from sightline.cli.say import print_json, progress, tell, write_whole
    from sightline.cli.work import eye_index, find, picture_target
    from sightline.errors import SightlineError
    from sightline.pictures import opengl
    from sightline.pictures.style import picture_bytes
    from sightline.pictures.view import draw_view, view_of
    from sightline.sight.report import document

    picture_target(out, force)
    with progress("looking") as bar:
        _, finding = find(scene, root, bar)
    index = eye_index(finding, eye)
    name = finding.moment.eyes[index].id
    target = out or Path(f"{scene.stem}-{name.replace(' ', '-').replace('/', '-')}.png")
    kind = picture_target(target, force)
    poses = [p.name for p in finding.moment.poses]
    if pose is not None and pose not in poses:
        raise SightlineError(f"There is no pose '{pose}'; there are: {', '.join(poses)}.")
    seen = view_of(finding, index, poses.index(pose) if pose else None, math.radians(width) if width else None)
    picture = None
    if not rays and opengl.available():
        picture = opengl.render(finding.looked.scenery.covers(seen.pose), seen.camera)
    elif not rays:
        tell("No OpenGL here: the picture is cast with rays.")
    figure = draw_view(finding, seen, marked=not plain, picture=picture)
    write_whole(target, picture_bytes(figure, kind), force)
    if json:
        print_json(document(finding, scene.name)["eyes"][index])
    tell(f"The view from {name} is in {target}.")
