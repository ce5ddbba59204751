"""`sightline apply`: a move that was kept on a packet's page, read into a new scene file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption


def apply(
    scene: SceneArgument,
    move: Annotated[Path, typer.Argument(help="The move's file, as the packet's page saved it.", show_default=False)],
    out: Annotated[Path, typer.Option("--out", help="Where the changed scene is written.")],
    any_title: Annotated[
        bool,
        typer.Option("--any-title", help="Take the move though it was kept on the page of a scene of another title."),
    ] = False,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Write the scene with mark and facing of a kept move, with its note and initials; comments stay."""
    from sightline.cli.say import refuse_existing, tell
    from sightline.cli.work import write_scene
    from sightline.errors import printable
    from sightline.scene.keeping import take_move
    from sightline.scene.reading import read_kept, read_scene

    refuse_existing(out, force)
    written, kept = read_scene(scene, root), read_kept(move).model
    taken = take_move(written, written.document.text, kept, any_title)
    write_scene(written, taken.text, out, force)
    who = f", wanted by {kept.initials.strip()}" if kept.initials.strip() else ""
    tell(printable(f"{taken.words}{who}: in {out}. See the change with sightline compare {scene} {out}."))
    # The page that kept it has no rays of its own.
    tell(printable(f"The page's answer was a quick one: not checked by rays yet. Check it with sightline check {out}."))
