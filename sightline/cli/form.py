"""`sightline form`: a page that asks the questions, for those who would rather not edit a file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def form(
    scene: Annotated[
        Path | None, typer.Argument(help="A scene to open; without one the page makes a new scene.", show_default=False)
    ] = None,
    out: Annotated[Path, typer.Option("--out", "-o", help="The page to write.")] = Path("form.html"),
    force: Annotated[bool, typer.Option("--force", help="Write over a page that is there.")] = False,
) -> None:
    """Write one HTML page that asks everything, works without a network and saves the scene, and has a pencil sheet."""
    from sightline.cli.say import tell, write_whole
    from sightline.form.page import Opened, page
    from sightline.scene.document import MOST_BYTES, read_bytes
    from sightline.scene.reading import read_scene

    opened = None
    if scene is not None:
        written = read_scene(scene)
        mark = "\ufeff" if read_bytes(scene, MOST_BYTES, "The file").startswith(b"\xef\xbb\xbf") else ""
        opened = Opened(scene.name, written.document.text, written.model.title, mark)
    write_whole(out, page(opened).encode("utf-8"), force)
    tell(f"Wrote {out}. Open it in a browser; its first button shows a sheet to print and fill in by pencil.")
