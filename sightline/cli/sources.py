"""What `check --watch` goes by: the scene's file, and every file that it or its venue's file names."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path
from typing import NamedTuple

from sightline.errors import FileError
from sightline.scene.document import read_bytes, read_text
from sightline.scene.named import is_file, paths_named
from sightline.scene.reading import MOST_FILE_BYTES


class _Look(NamedTuple):
    """What a path was: when and how large, the sum of its bytes (None where no file is), and what it names."""

    stamp: tuple[int, ...]
    digest: str | None
    names: tuple[Path, ...]


class Sources:
    """The files as they were at the last look."""

    def __init__(self, scene: Path):
        self._scene = scene
        self._looks: dict[Path, _Look] = {}
        self.changed()

    def count_named(self) -> int:
        """How many files there are besides the scene's own."""
        return sum(look.digest is not None for look in self._looks.values()) - 1

    def changed(self) -> bool:
        """Whether any file holds other bytes than at the last look, or came or went; a new date alone is nothing."""
        before, self._looks = self._looks, {}
        waiting = [self._scene]
        while waiting:
            path = waiting.pop()
            if path not in self._looks:
                self._looks[path] = _look(path, before.get(path))
                waiting += self._looks[path].names
        return {path: look.digest for path, look in before.items()} != {
            path: look.digest for path, look in self._looks.items()
        }


def _look(path: Path, last: _Look | None) -> _Look:
    stamp = _stamp(path)
    if last is not None and stamp == last.stamp:
        return last
    try:
        # A device or pipe is never opened; a file too large to be read is one that is not there, as it is for the check.
        data = read_bytes(path, MOST_FILE_BYTES, "The file") if stamp else None
    except FileError:
        data = None
    if data is None:
        return _Look(stamp, None, ())
    digest = hashlib.sha256(data).hexdigest()
    if last is not None and digest == last.digest:
        return last._replace(stamp=stamp)
    return _Look(stamp, digest, _names(path, data, last.names if last else ()))


def _names(path: Path, data: bytes, last: tuple[Path, ...]) -> tuple[Path, ...]:
    """What a YAML file names; what it named before where it cannot be read in the middle of an edit."""
    if path.suffix not in (".yaml", ".yml"):
        return ()
    try:
        return tuple(paths_named(read_text(data.decode("utf-8-sig"), path.name).tree, path.parent))
    except (FileError, UnicodeDecodeError):
        return last


def _stamp(path: Path) -> tuple[int, ...]:
    """Another whenever the file was written to; empty where there is none."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return ()
    return (found.st_mtime_ns, found.st_ctime_ns, found.st_size, found.st_ino) if is_file(path) else ()
