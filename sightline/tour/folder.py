"""What a tour writes: one new folder, whole or not at all; with a scene for every venue, and all that it needs beside it."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Mapping
from pathlib import Path

from sightline.errors import SightlineError
from sightline.scene.document import read_text
from sightline.scene.named import texts
from sightline.scene.reading import read_scene
from sightline.scene.wholefiles import recover
from sightline.scene.wholefiles import write_folder as write_whole_folder
from sightline.tour.plan import Plan
from sightline.tour.run import Ran
from sightline.tour.swapping import with_venue

# No folder can have these names on some systems.
RESERVED = re.compile(r"con|prn|aux|nul|(com|lpt)[0-9]")


def refuse(out: Path) -> None:
    """Say early that a folder cannot be written, before any long work. Raises SightlineError."""
    recover(out)
    _refuse(out)


def _refuse(out: Path) -> None:
    try:
        folder, there = out.parent.is_dir(), out.exists() or out.is_symlink()
    except OSError as error:
        raise SightlineError(f"'{out}' cannot be written: {error.strerror}.") from error
    if not folder:
        raise SightlineError(f"There is no folder '{out.parent}' to write in.")
    if there:
        raise SightlineError(f"'{out}' is already there; give --out a folder that is not there yet.")


def write_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Write all files by their paths below a new folder. Every scene among them is read from there first.

    Raises SightlineError, and nothing is there, where one cannot be written or read.
    """
    refuse(out)

    def last(part: Path) -> None:
        for name in files:
            if name.endswith("/scene.yaml"):
                read_scene(part / name)
        _refuse(out)

    try:
        write_whole_folder(out, files, False, last)
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or error
        raise SightlineError(f"The tour cannot be written to '{out}': {said}.") from error


def scenes_of(ran: Ran) -> dict[str, bytes]:
    """The retargeted scenes, each in a folder VENUE/VARIANT of its own with its venue's file and all that both name."""
    plan = ran.plan
    out: dict[str, bytes] = {}
    taken: set[str] = set()
    for point, result in ran.moved.items():
        if result["error"] is not None:
            continue
        stop, act = plan.stops[point.stop], plan.variants[point.variant]
        folder = _free(f"{_slug(stop.name)}/{_slug(act.name)}", taken)
        text = str(result["text"])
        files: dict[str, bytes] = {}
        if not stop.ready:
            venue = f"venue/{posixpath.basename(stop.use)}"
            text = _with_use(text, venue, plan, point.stop, point.variant)
            files[venue] = plan.bundle.files[stop.use]
            own = plan.bundle.files[stop.use].decode("utf-8-sig")
            files |= _beside(plan, stop.use, own, stop.sums, "venue/")
        files |= _beside(plan, act.file, act.text, act.sums, "")
        files["scene.yaml"] = text.encode()
        out |= {f"{folder}/{name}": data for name, data in files.items()}
    return out


def _with_use(text: str, use: str, plan: Plan, stop: int, variant: int) -> str:
    """The text with its venue's file where it lies now; what a venue's own changes added to it is kept."""
    from sightline.scene.editing import Edit, edited

    edits = [edit for edit in plan.stops[stop].edits if edit.path[0] in ("venue", "eyes")]
    return edited(with_venue(text, "elsewhere"), [Edit(("venue", "use"), use), *edits])


def _beside(plan: Plan, own: str, text: str, sums: tuple[tuple[str, str], ...], prefix: str) -> dict[str, bytes]:
    """The files that a scene or venue names, as seen from where it is; those outside its folder cannot come along."""
    folder = posixpath.dirname(own) or "."
    named = {posixpath.normpath(said.strip()) for said in texts(read_text(text, own).tree)}
    out = {}
    for name, _ in sums:
        if name == own or name not in plan.bundle.files:
            continue
        seen = posixpath.relpath(name, folder)
        if seen.startswith("..") and seen in named:
            raise SightlineError(
                f"'{own}' names '{seen}', outside its folder; copy it beside, so that it can come along."
            )
        if seen in named:
            out[prefix + seen] = plan.bundle.files[name]
    return out


def _slug(name: str) -> str:
    said = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:60] or "venue"
    return f"the-{said}" if RESERVED.fullmatch(said) else said


def _free(name: str, taken: set[str]) -> str:
    number, free = 2, name
    while free in taken:
        free, number = f"{name}-{number}", number + 1
    taken.add(free)
    return free
