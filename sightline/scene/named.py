"""The files that a scene, a venue or a tour names: whatever is read for it is named in a text of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

# No file's name is written so long; a longer text is a note.
MOST_CHARACTERS = 400


def texts(tree: Any) -> Iterator[str]:
    """All texts in a tree of dicts and lists."""
    if isinstance(tree, dict):
        for value in tree.values():
            yield from texts(value)
    elif isinstance(tree, list):
        for value in tree:
            yield from texts(value)
    elif isinstance(tree, str):
        yield tree


def paths_named(tree: Any, folder: Path) -> list[Path]:
    """Where each text of a tree would lead to, were it a file's name seen from the folder; each once. Not all are there."""
    found = (_path(folder, said) for said in dict.fromkeys(texts(tree)))
    return list(dict.fromkeys(path for path in found if path is not None))


def is_file(path: Path) -> bool:
    """An ordinary file; False as well where the system refuses to say."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _path(folder: Path, said: str) -> Path | None:
    if not said.strip() or len(said) > MOST_CHARACTERS:
        return None
    try:
        return (folder / said.strip()).resolve()
    except (OSError, ValueError, RuntimeError):
        # RuntimeError: a link that leads back to itself.
        return None
