"""Fields kept in the user's cache folder: free to delete, never trusted if damaged, never in the way."""

from __future__ import annotations

import hashlib
import io
import os
import time
import zipfile
import zlib
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

# The newest so many are kept.
MOST_FILES = 400
# What was begun so long ago, or by a clock so far ahead, nobody is at any more.
ABANDONED_S = 3600.0
_VERSION = "field 2"


def digest(*parts: Any) -> str:
    """A name for what these numbers and arrays are; another name for anything else."""
    found = hashlib.sha256(_VERSION.encode())
    for part in parts:
        if isinstance(part, np.ndarray):
            found.update(f"{part.dtype}{part.shape}".encode())
            found.update(np.ascontiguousarray(part).tobytes())
        else:
            found.update(repr(part).encode())
    return found.hexdigest()


def user_folder(name: str) -> Path | None:
    """A folder of ours in the user's cache folder. None for a user without a home: a `~` in the working folder is none."""
    from platformdirs import user_cache_path

    try:
        folder = user_cache_path("sightline")
    except RuntimeError:
        return None
    return folder / name if folder.is_absolute() else None


class FieldCache:
    """Arrays by name, in files that carry their own checksum. Whatever fails is as if nothing were kept."""

    def __init__(self, folder: Path | None = None):
        self.folder = folder if folder is not None else user_folder("fields")

    def fetch(self, name: str) -> dict[str, NDArray[Any]] | None:
        """What was stored under this name; None when nothing was, or not all of it is there unharmed."""
        if self.folder is None:
            return None
        try:
            data = (self.folder / name).read_bytes()
            if hashlib.sha256(data[32:]).digest() != data[:32]:
                return None
            with np.load(io.BytesIO(data[32:]), allow_pickle=False) as stored:
                return {key: stored[key] for key in stored.files}
        except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile, zlib.error):
            return None

    def store(self, name: str, arrays: dict[str, NDArray[Any]]) -> None:
        """Keep these arrays, whole or not at all; a folder that cannot be written keeps nothing."""
        if self.folder is None:
            return
        buffer = io.BytesIO()
        np.savez_compressed(buffer, **arrays)  # type: ignore[arg-type]
        data = buffer.getvalue()
        part = self.folder / f".{name}.{os.getpid()}.part"
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            try:
                part.write_bytes(hashlib.sha256(data).digest() + data)
                part.replace(self.folder / name)
            finally:
                part.unlink(missing_ok=True)
            _prune(self.folder)


def _prune(folder: Path) -> None:
    """Only the newest stay, and nothing that a killed run was at."""
    kept: list[tuple[float, Path]] = []
    for path in folder.iterdir():
        # Another process may take one away at any time.
        with suppress(OSError):
            written = path.stat().st_mtime
            if not path.name.startswith("."):
                kept.append((written, path))
            elif path.suffix == ".part" and abs(time.time() - written) > ABANDONED_S:
                path.unlink()
    for _, path in sorted(kept)[: max(0, len(kept) - MOST_FILES)]:
        with suppress(OSError):
            path.unlink()
