"""`sightline map`: the plan with a heat map of who can see a secret."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sightline.cli.check import RootOption, SceneArgument

ForceOption = Annotated[bool, typer.Option("--force", help="Write over a file that is there.")]


def map(
    scene: SceneArgument,
    out: Annotated[
        Path | None, typer.Option("--out", help="PNG, SVG or PDF; default SCENE-map.png, or SCENE-margin.png.")
    ] = None,
    secret: Annotated[str | None, typer.Option("--secret", help="Draw this secret only.")] = None,
    margin: Annotated[
        bool, typer.Option("--margin", help="Draw how much those it is hidden from have to spare, in degrees.")
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="Also print the report as JSON.")] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Draw the plan: every seat by verdict and size of what it sees, all secrets together and each by itself."""
    from sightline.cli.say import print_json, progress, tell, write_whole
    from sightline.cli.work import find, picture_target
    from sightline.errors import SightlineError
    from sightline.pictures.plan import draw_map
    from sightline.pictures.style import picture_bytes
    from sightline.sight.report import document

    target = out or Path(f"{scene.stem}-{'margin' if margin else 'map'}.png")
    kind = picture_target(target, force)
    with progress("looking") as bar:
        _, finding = find(scene, root, bar, margins=margin)
    if secret is not None and secret not in finding.secrets:
        raise SightlineError(f"There is no secret named '{secret}'; there are: {', '.join(finding.secrets)}.")
    write_whole(target, picture_bytes(draw_map(finding, secret, margin), kind), force)
    if json:
        print_json(document(finding, scene.name))
    tell(f"The map is in {target}.")
