"""Folders of ours in the user's cache folder: free to delete, and no larger than they were meant to be."""

from __future__ import annotations

import time
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

# What was begun so long ago, or by a clock so far ahead, nobody is at any more.
ABANDONED_S = 3600.0


def user_folder(name: str) -> Path | None:
    """A folder of ours in the user's cache folder. None for a user without a home: a `~` in the working folder is none."""
    from platformdirs import user_cache_path

    try:
        folder = user_cache_path("sightline")
    except RuntimeError:
        return None
    return folder / name if folder.is_absolute() else None


def keep_newest(paths: Iterable[Path], most: int) -> None:
    """Of these files only the newest so many stay, and nothing that a killed run was at (`.NAME.part`)."""
    kept: list[tuple[float, str, Path]] = []
    for path in paths:
        # Another process may take one away at any time.
        with suppress(OSError):
            written = path.stat().st_mtime
            if not path.name.startswith("."):
                kept.append((written, path.name, path))
            elif path.suffix == ".part" and abs(time.time() - written) > ABANDONED_S:
                path.unlink()
    for *_, path in sorted(kept)[: max(0, len(kept) - most)]:
        with suppress(OSError):
            path.unlink()
