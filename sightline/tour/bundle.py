"""The files that a tour's scenes and venues name, taken once: what is looked at is what was there when the tour began."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sightline.errors import SightlineError
from sightline.scene.document import read_bytes
from sightline.scene.named import is_file, paths_named
from sightline.scene.reading import MOST_FILE_BYTES

MOST_BUNDLE_BYTES = 1_000_000_000


@dataclass
class Bundle:
    """Bytes by path from the tour's root, with `/` between."""

    root: Path
    files: dict[str, bytes] = field(default_factory=dict)

    def add(self, path: Path) -> str:
        """Take a file in; gives its name here. Raises FileError where it cannot be read, SightlineError for too much."""
        name = path.relative_to(self.root).as_posix()
        if name not in self.files:
            self.files[name] = read_bytes(path, MOST_FILE_BYTES, f"The file '{name}'")
            if sum(map(len, self.files.values())) > MOST_BUNDLE_BYTES:
                raise SightlineError(
                    f"The files of this tour are more than {MOST_BUNDLE_BYTES / 1e9:g} GB; simplify its meshes."
                )
        return name

    def add_named(self, tree: Any, folder: Path) -> list[str]:
        """Take in every file that a text of the tree names, seen from a folder; gives their names here, sorted.

        Whatever a scene or venue reads it names in a text of its own, so none is missed; one too many harms nobody.
        """
        there = (path for path in paths_named(tree, folder) if path.is_relative_to(self.root) and is_file(path))
        return sorted({self.add(path) for path in there})

    def sums(self, names: list[str]) -> tuple[tuple[str, str], ...]:
        """Name and SHA-256 of each."""
        return tuple((name, hashlib.sha256(self.files[name]).hexdigest()) for name in names)


def digest_of(files: Mapping[str, bytes]) -> str:
    """A name for exactly these files."""
    found = hashlib.sha256()
    for name in sorted(files):
        found.update(f"{name}\0{len(files[name])}\0".encode() + files[name])
    return found.hexdigest()
