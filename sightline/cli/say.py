"""What commands share in speaking: progress on stderr, results on stdout."""

from __future__ import annotations

import codecs
import json
import os
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from sightline.errors import SightlineError, printable


def print_json(document: Any) -> None:
    """One document on stdout and nothing else; where that is not UTF-8, in escapes that every reader of JSON knows.

    So is what could steer a terminal: some notes are a stranger's, and of any characters.
    """
    utf8 = codecs.lookup(sys.stdout.encoding or "utf-8").name == "utf-8"
    text = json.dumps(document, ensure_ascii=not utf8, allow_nan=False)
    if not text.isprintable():
        text = "".join(c if c.isprintable() else json.dumps(c)[1:-1] for c in text)
    sys.stdout.write(text + "\n")


def tell(text: str) -> None:
    """A word to the person at the terminal; never part of the result. Names in it are strangers': none may steer it."""
    text = "\n".join(printable(line) for line in text.split("\n"))
    # What was made is made, even where nobody can be told.
    with suppress(OSError):
        sys.stderr.write(text + "\n")


class Progress:
    """A line on stderr that counts the work; silent unless stderr is a terminal and the work takes a while."""

    def __init__(self, what: str):
        self.what, self.started, self.shown = what, time.monotonic(), False
        self.live = sys.stderr.isatty()

    def __call__(self, done: int, of: int) -> None:
        if self.live and time.monotonic() - self.started > 0.7:
            width = 24
            full = round(width * done / max(of, 1))
            self._put(f"\r{self.what} [{'#' * full}{'.' * (width - full)}] {100 * done // max(of, 1)} % ")
            self.shown = True

    def close(self) -> None:
        if self.shown:
            self._put("\r" + " " * 78 + "\r")

    @staticmethod
    def _put(text: str) -> None:
        with suppress(OSError):
            sys.stderr.write(text)
            sys.stderr.flush()


@contextmanager
def progress(what: str) -> Iterator[Progress]:
    bar = Progress(what)
    try:
        yield bar
    finally:
        bar.close()


def refuse_existing(path: Path, force: bool) -> None:
    """Say early that a file is there already or cannot be made there, before any long work is done for it."""
    try:
        folder, there, is_folder = path.parent.is_dir(), path.exists(), path.is_dir()
    except OSError as error:
        raise SightlineError(f"'{path}' cannot be written: {error.strerror}.") from error
    if not folder:
        raise SightlineError(f"There is no folder '{path.parent}' to write in.")
    if is_folder:
        raise SightlineError(f"'{path}' is a folder; give the name of a file in it.")
    if there and not force:
        raise SightlineError(f"'{path}' is already there; say --force to write over it.")


def written_beside(scene: Path, out: Path | None, endings: Sequence[str], force: bool) -> list[Path]:
    """The files PREFIX-ENDING that a command writes; in a folder they take the scene's name. None without `out`.

    Raises SightlineError where there is no such folder, or a file is there already.
    """
    if out is None:
        return []
    # A name too long for the disk is no folder; what would be written there says so.
    prefix = out / scene.stem if os.path.isdir(out) else out
    if not prefix.parent.is_dir():
        raise SightlineError(f"There is no folder '{prefix.parent}' to write in.")
    targets = [prefix.with_name(f"{prefix.name}-{ending}") for ending in endings]
    for target in targets:
        refuse_existing(target, force)
    return targets


def closing(assumptions: Sequence[str], not_checked: Sequence[str]) -> list[str]:
    """The lines with which a readable report ends."""
    lines = ["  Taken for granted:", *(f"    - {said}" for said in assumptions)]
    return [*lines, "  Not checked:", *(f"    - {said}" for said in not_checked)]


def write_whole(path: Path, data: bytes, force: bool) -> None:
    """Write a file whole or not at all; an existing one only with `force`. Raises SightlineError."""
    write_together({path: data}, force)


def write_together(files: Mapping[Path, bytes], force: bool) -> None:
    """Write files that belong together: none takes its name before all are on the disk. Raises SightlineError."""
    from sightline.scene.wholefiles import write_files

    for path in files:
        refuse_existing(path, force)
    try:
        write_files(files, force)
    except FileExistsError as error:
        raise SightlineError(f"'{error.filename2 or error.filename}' has just been made by another program.") from error
    except OSError as error:
        said = ", ".join(f"'{path}'" for path in files)
        raise SightlineError(f"{said} cannot be written: {error.strerror}.") from error
