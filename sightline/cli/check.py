"""`sightline check`: who can see which secret from where."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

SceneArgument = Annotated[Path, typer.Argument(help="The scene file.", show_default=False)]
RootOption = Annotated[Path | None, typer.Option("--root", help="Folder that meshes and tables may come from.")]


def check(
    scene: SceneArgument,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")] = False,
    require_seen: Annotated[
        int | None, typer.Option("--require-seen", min=0, help="End with code 3 if more eyes than this see a secret.")
    ] = None,
    root: RootOption = None,
) -> None:
    """Tell from which eyes a secret can be seen, how much of it, and what covers it for the rest."""
    from sightline.cli.say import print_json, progress
    from sightline.cli.work import find
    from sightline.sight.report import document

    with progress("looking") as bar:
        written, finding = find(scene, root, bar)
    report = document(finding, scene.name)
    if json:
        print_json(report)
    allowed = require_seen if require_seen is not None else (written.model.require.seen if written.model.require else None)
    if allowed is not None and report["summary"]["eyes_seen"] > allowed:
        raise typer.Exit(3)
