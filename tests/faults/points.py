"""Places at which a process writes, counted; at one of them it is killed, or the disk refuses.

An audit hook is told of opening, renaming, making and removing before it happens; writing is told by the file itself,
which is left with half of its bytes.
"""

from __future__ import annotations

import builtins
import errno
import io
import os
import signal
import sys
from typing import Any

EVENTS = ("open", "os.rename", "os.link", "os.mkdir", "os.remove", "os.rmdir", "os.truncate", "os.chmod", "os.symlink")
WRITES = os.O_WRONLY | os.O_RDWR


class Points:
    """Counts what is written below `under`; does `at[number]`, a signal or an error, when it gets there."""

    def __init__(self, under: str, kill_at: int | None, fail: tuple[str, int, int] | None, log: str | None):
        self.under = under.rstrip("/") + "/"
        self.kill_at, self.fail, self.log = kill_at, fail, log
        self.count, self.quiet = 0, False

    def inside(self, path: Any) -> bool:
        if isinstance(path, int) or path is None:
            return False
        return os.path.abspath(os.fsdecode(path)).startswith(self.under)

    def reached(self, event: str, path: Any) -> bool:
        """Whether this is where the process is to be killed. Raises OSError where the disk is to refuse."""
        if self.quiet or not self.inside(path):
            return False
        self.count += 1
        if self.log is not None:
            self.quiet = True
            with real_open(self.log, "a", encoding="utf-8") as log:
                log.write(f"{self.count} {event} {os.fsdecode(path)}\n")
            self.quiet = False
        if self.fail is not None and event == self.fail[0] and self.count >= self.fail[1]:
            raise OSError(self.fail[2], os.strerror(self.fail[2]), os.fsdecode(path))
        return self.count == self.kill_at

    def hook(self, event: str, arguments: tuple[Any, ...]) -> None:
        if event == "ctypes.dlsym" and arguments[1] == "renameat2":
            # The exchange of two folders is called from C, right after it has been looked up.
            if self.reached("exchange", self.under + "two folders"):
                os.kill(os.getpid(), signal.SIGKILL)
            return
        if event not in EVENTS:
            return
        if event == "open" and not (isinstance(arguments[2], int) and arguments[2] & WRITES):
            return
        path = arguments[1] if event in ("os.rename", "os.link", "os.symlink") else arguments[0]
        if event in ("os.remove", "os.rmdir") and isinstance(arguments[1], int) and arguments[1] >= 0:
            path = os.path.join(os.readlink(f"/proc/self/fd/{arguments[1]}"), os.fsdecode(path))
        if self.reached(event, path):
            os.kill(os.getpid(), signal.SIGKILL)


class Torn:
    """A file open for writing whose writes are counted; the one that kills leaves half of its bytes behind."""

    def __init__(self, file: Any, points: Points, path: Any):
        self.file, self.points, self.path = file, points, path

    def write(self, data: Any) -> int:
        try:
            killed = self.points.reached("write", self.path)
        except OSError:
            self._half(data)
            raise
        if killed:
            self._half(data)
            os.kill(os.getpid(), signal.SIGKILL)
        return int(self.file.write(data))

    def _half(self, data: Any) -> None:
        self.file.write(data[: len(data) // 2])
        self.file.flush()

    def __enter__(self) -> Torn:
        self.file.__enter__()
        return self

    def __exit__(self, *said: Any) -> Any:
        return self.file.__exit__(*said)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.file, name)


real_open = io.open


def install(job: dict[str, Any]) -> None:
    """Count what this process writes from now on, if the job asks for it."""
    if "under" not in job:
        return
    said = job.get("fail")
    fail = (said["event"], said["at"], getattr(errno, said["error"])) if said else None
    points = Points(job["under"], job.get("kill_at"), fail, job.get("log"))

    def opened(file: Any, mode: str = "r", *more: Any, **named: Any) -> Any:
        found = real_open(file, mode, *more, **named)
        return Torn(found, points, file) if set(mode) & set("wax+") and points.inside(file) else found

    io.open = opened
    builtins.open = opened
    sys.addaudithook(points.hook)
