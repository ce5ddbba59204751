"""The packet's folder, written whole or not at all: into a folder beside it, which then takes its name."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sightline.errors import SightlineError
from sightline.scene.wholefiles import recover, write_folder

MANIFEST = "packet.json"
MADE_BY = "sightline packet"


def refuse(out: Path, force: bool) -> None:
    """Say early that a packet cannot be written there, before any long work. Raises SightlineError.

    An existing folder is replaced only with `force`, and only where it holds nothing but an older packet.
    """
    if out.name in ("", ".."):
        raise SightlineError(f"'{out}' is no name for a packet's folder; give --out a folder that is not there yet.")
    recover(out)
    _refuse(out, force)


def _refuse(out: Path, force: bool) -> None:
    try:
        folder, there = out.parent.is_dir(), out.exists() or out.is_symlink()
    except OSError as error:
        raise SightlineError(f"The packet cannot be written to '{out}': {error.strerror}.") from error
    if not folder:
        raise SightlineError(f"There is no folder '{out.parent}' to write in.")
    if not os.access(out.parent, os.W_OK | os.X_OK):
        raise SightlineError(f"Nothing may be written in '{out.parent}'; give --out a folder elsewhere.")
    if not there:
        return
    if out.is_symlink() or not out.is_dir():
        raise SightlineError(f"'{out}' is no folder; give --out a folder that is not there yet.")
    if not force:
        raise SightlineError(f"'{out}' is already there; say --force to replace an older packet.")
    foreign = foreign_files(out)
    if foreign:
        more = f" and {len(foreign) - 3} more" if len(foreign) > 3 else ""
        raise SightlineError(
            f"'{out}' holds what is no part of a packet ({', '.join(foreign[:3])}{more}): move it away, or choose another folder."
        )


def foreign_files(out: Path) -> list[str]:
    """What in a folder no packet's list names: by path from the folder, in order."""
    there = sorted(
        path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_symlink() or not path.is_dir()
    )
    own = {MANIFEST, *_listed(out / MANIFEST)}
    return [name for name in there if name not in own]


def _listed(manifest: Path) -> list[str]:
    """The files that a packet's list names; none where it is no such list."""
    if manifest.is_symlink() or not manifest.is_file():
        return []
    try:
        data: Any = json.loads(manifest.read_text(encoding="utf-8"))
        if data["made_by"] != MADE_BY:
            return []
        return [str(entry["path"]) for entry in data["files"]]
    except (ValueError, KeyError, TypeError, OSError):
        return []


def write_packet(out: Path, files: Mapping[str, bytes], force: bool) -> None:
    """Write all files by their paths below `out`. Afterwards the old packet is there, or the new one, never a half.

    Raises SightlineError where it cannot be written; what was there before then stays.
    """
    refuse(out, force)
    try:
        write_folder(out, files, force, lambda _: _refuse(out, force))
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or error
        raise SightlineError(f"The packet cannot be written to '{out}': {said}.") from error
