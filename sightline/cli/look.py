"""`sightline look`: a window on the house, in which any seat can be sat in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sightline.cli.check import RootOption, SceneArgument
from sightline.cli.map import ForceOption


def look(
    scene: SceneArgument,
    eye: Annotated[str | None, typer.Option("--eye", help="Begin in this seat.")] = None,
    still: Annotated[
        Path | None, typer.Option("--still", help="Open no window: write what it would show first, as PNG.")
    ] = None,
    force: ForceOption = False,
    root: RootOption = None,
) -> None:
    """Open a window on the house: seats by what they see; click one to sit in it. Needs a display and OpenGL."""
    from sightline.cli.say import progress, refuse_existing, tell
    from sightline.cli.view import palette_for
    from sightline.cli.work import eye_index, finding_of
    from sightline.errors import SightlineError
    from sightline.pictures import opengl
    from sightline.scene.reading import read_scene
    from sightline.staging.stage import put_together

    if still is not None:
        if still.suffix.lower() != ".png":
            raise SightlineError(f"'{still}' must end in .png.")
        refuse_existing(still, force)
    written = read_scene(scene, root)
    if still is None and not opengl.has_display():
        raise SightlineError(
            "There is no display here to open a window on. sightline view --contact draws what the seats see, "
            "and sightline look --still FILE.png one picture of the house."
        )
    if not opengl.available(window=still is None):
        raise SightlineError(
            "There is no OpenGL here that can draw a window; on Debian, libgl1 and libegl1 bring it. "
            "sightline view --contact draws what the seats see without it."
        )
    staged = put_together(written)
    palette = palette_for(written, staged)
    with progress("looking") as bar:
        finding = finding_of(written, staged, bar)
    from sightline.pictures.lookroom import LookRoom, open_window
    from sightline.pictures.lookroom import still as still_of

    room = LookRoom(finding, palette, seat=eye_index(finding, eye) if eye is not None else None)
    if still is None:
        open_window(room)
        return
    _write(still, still_of(room), force)
    tell(f"What the window shows first is in {still}.")


def _write(path: Path, picture: object, force: bool) -> None:
    import io

    import matplotlib.image
    import numpy as np

    from sightline.cli.say import write_whole

    buffer = io.BytesIO()
    matplotlib.image.imsave(buffer, np.asarray(picture), format="png", metadata={"Software": "sightline"})
    write_whole(path, buffer.getvalue(), force)
