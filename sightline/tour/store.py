"""Results kept by what they are the result of: free to delete, never believed where damaged, never half written."""

from __future__ import annotations

import hashlib
import json
import os
from contextlib import suppress
from pathlib import Path
from typing import Any

from sightline.errors import SightlineError

# The newest so many are kept.
MOST_RESULTS = 50_000
SUM_BYTES = 32

Result = dict[str, Any]


def default_folder() -> Path:
    from platformdirs import user_cache_path

    return user_cache_path("sightline") / "tours"


class Store:
    """JSON by name, in files that carry their own checksum. What cannot be read is as if it were not there."""

    def __init__(self, folder: Path):
        self.folder = folder

    def ready(self) -> None:
        """Make the folder and see that it takes files. Raises SightlineError."""
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            probe = self.folder / f".{os.getpid()}.part"
            probe.write_bytes(b"")
            probe.unlink()
        except OSError as error:
            raise SightlineError(f"Results cannot be kept in '{self.folder}': {error.strerror}.") from error
        self._prune()

    def path(self, name: str) -> Path:
        return self.folder / name[:2] / name

    def fetch(self, name: str) -> Result | None:
        """What was stored under this name; None when nothing was, or not all of it is there unharmed."""
        try:
            data = self.path(name).read_bytes()
            if hashlib.sha256(data[SUM_BYTES:]).digest() != data[:SUM_BYTES]:
                return None
            found = json.loads(data[SUM_BYTES:])
        except (OSError, ValueError):
            return None
        return found if isinstance(found, dict) else None

    def store(self, name: str, result: Result) -> None:
        """Keep a result, whole or not at all. What cannot be written is not kept: the run itself has it."""
        data = json.dumps(result, allow_nan=False, separators=(",", ":")).encode()
        path = self.path(name)
        part = path.with_name(f".{name}.{os.getpid()}.part")
        with suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True)
            try:
                part.write_bytes(hashlib.sha256(data).digest() + data)
                part.replace(path)
            finally:
                part.unlink(missing_ok=True)

    def _prune(self) -> None:
        """Only the newest stay; so do no leavings of runs that were killed."""
        with suppress(OSError):
            kept = [path for path in self.folder.glob("??/*") if not path.name.startswith(".")]
            if len(kept) > MOST_RESULTS:
                kept.sort(key=lambda path: (path.stat().st_mtime, path.name))
                for path in kept[: len(kept) - MOST_RESULTS]:
                    path.unlink(missing_ok=True)
