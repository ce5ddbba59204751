"""The steps that several commands begin with: read, stage, check."""

from __future__ import annotations

from pathlib import Path

from sightline.errors import SightlineError
from sightline.scene.reading import Written, read_scene
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, Thresholds, check
from sightline.sight.looking import Tick
from sightline.staging import stage


def find(path: Path, root: Path | None, tick: Tick | None = None) -> tuple[Written[Scene], Finding]:
    """Read a scene file, put its moment together and check it."""
    written = read_scene(path, root)
    noticing = written.model.noticing
    limits = Thresholds(noticing.spot_arcmin, noticing.line_arcsec, noticing.sway)
    return written, check(stage(written), limits, tick)


def picture_kind(path: Path) -> str:
    """png, svg or pdf from a file's name. Raises SightlineError for another."""
    kind = path.suffix.lower().lstrip(".")
    if kind not in ("png", "svg", "pdf"):
        raise SightlineError(f"'{path}' is no picture this writes; end the name in .png, .svg or .pdf.")
    return kind
