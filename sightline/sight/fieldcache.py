"""Fields kept in the user's cache folder: free to delete, never trusted if damaged, never in the way."""

from __future__ import annotations

import hashlib
import io
import os
import zipfile
import zlib
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sightline.sight.cachefolder import keep_newest, user_folder

# The newest so many are kept.
MOST_FILES = 400
_VERSION = "field 6"


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
            keep_newest(self.folder.iterdir(), MOST_FILES)
