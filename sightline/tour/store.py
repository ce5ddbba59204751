"""Results kept by what they are the result of: free to delete, never believed where damaged, never half written."""

from __future__ import annotations

import hashlib
import json
import os
from contextlib import suppress
from pathlib import Path
from typing import Any

from sightline.errors import SightlineError
from sightline.sight.cachefolder import keep_newest, user_folder

# The newest so many are kept.
MOST_RESULTS = 50_000
SUM_BYTES = 32

Result = dict[str, Any]


def default_folder() -> Path | None:
    """In the user's cache folder; None for a user without one."""
    return user_folder("tours")


class Store:
    """JSON by name, in files that carry their own checksum. What cannot be read is as if it were not there.

    Without a folder nothing is kept. With `needed` a folder that takes nothing is an error, else it is as if there were none.
    """

    def __init__(self, folder: Path | None, needed: bool = True):
        self.folder, self.needed = folder, needed

    def ready(self) -> None:
        """Make the folder and see that it takes files. Raises SightlineError where one that is needed does not."""
        if self.folder is None:
            return
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            probe = self.folder / f".{os.getpid()}.part"
            probe.write_bytes(b"")
            probe.unlink()
        except OSError as error:
            if self.needed:
                raise SightlineError(f"Results cannot be kept in '{self.folder}': {error.strerror}.") from error
            self.folder = None
            return
        keep_newest((*self.folder.glob("??/*"), *self.folder.glob(".*.part")), MOST_RESULTS)

    def path(self, name: str) -> Path | None:
        return self.folder / name[:2] / name if self.folder is not None else None

    def fetch(self, name: str) -> Result | None:
        """What was stored under this name; None when nothing was, or not all of it is there unharmed."""
        path = self.path(name)
        if path is None:
            return None
        try:
            data = path.read_bytes()
            if hashlib.sha256(data[SUM_BYTES:]).digest() != data[:SUM_BYTES]:
                return None
            found = json.loads(data[SUM_BYTES:])
        except (OSError, ValueError):
            return None
        return found if isinstance(found, dict) else None

    def store(self, name: str, result: Result) -> None:
        """Keep a result, whole or not at all. What cannot be written is not kept: the run itself has it."""
        path = self.path(name)
        if path is None:
            return
        data = json.dumps(result, allow_nan=False, separators=(",", ":")).encode()
        part = path.with_name(f".{name}.{os.getpid()}.part")
        with suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True)
            try:
                part.write_bytes(hashlib.sha256(data).digest() + data)
                part.replace(path)
            finally:
                part.unlink(missing_ok=True)
