"""What a reader may do while it reads: nothing is written, started or called, and nothing is read but what it was given."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
# Events of sys.addaudithook (docs.python.org/3/library/audit_events.html) that no reader has any business with.
NEVER = (
    "os.mkdir", "os.remove", "os.rename", "os.rmdir", "os.symlink", "os.link", "os.truncate", "os.chmod", "os.system",
    "os.exec", "os.posix_spawn", "os.fork", "subprocess.Popen", "socket.connect", "socket.bind", "socket.getaddrinfo",
    "pickle.find_class", "shutil.rmtree", "shutil.copyfile", "urllib.Request", "ftplib.connect",
)  # fmt: skip


class Strayed(BaseException):
    """A reader did what no reader may. Not an Exception: no `except Exception` may hide it."""


class Watch:
    """Armed while a reader runs. `given` are the folders that it may read in and that its own file lies in."""

    def __init__(self, given: Path):
        self.armed = 0
        self.given = str(given.resolve())
        # Modules that are loaded on first use, fonts, zone tables: parts of the program and its libraries.
        own = [sys.prefix, sys.base_prefix, str(Path(__file__).parents[2]), *sys.path, "/usr/share", "/etc/ssl"]
        self.known = tuple(os.path.realpath(path) + os.sep for path in own if path)
        sys.addaudithook(self._hook)

    def __enter__(self) -> None:
        self.armed += 1

    def __exit__(self, *_: object) -> None:
        self.armed -= 1

    def _hook(self, event: str, args: tuple[Any, ...]) -> None:
        if not self.armed:
            return
        if event == "open":
            self._opened(args)
        elif event in NEVER:
            raise Strayed(f"{event}{args!r:.300}")

    def _opened(self, args: tuple[Any, ...]) -> None:
        path, mode, flags = args
        if not isinstance(path, (str, bytes, os.PathLike)):
            return
        real = os.path.realpath(os.fsdecode(path))
        writes = (isinstance(mode, str) and any(c in mode for c in "wax+")) or bool(
            (flags or 0) & WRITES & ~os.O_CLOEXEC
        )
        if writes and real != os.devnull and "__pycache__" not in real:
            raise Strayed(f"it opened {real} to write")
        inside = real == self.given or real.startswith(self.given + os.sep) or real.startswith(self.known)
        if not inside and not real.startswith(("/proc/", "/sys/", "/dev/null", "/dev/urandom")):
            raise Strayed(f"it read {real}")
