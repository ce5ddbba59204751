"""Commands run in children of a warm process; what they printed, how they ended, and what they left behind."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any

from tests.conftest import REPOSITORY

# Nothing of the machine's own settings gets into a run but these.
KEPT = ("COSTS", "PATH", "LD_LIBRARY_PATH", "SYSTEMROOT", "COVERAGE_PROCESS_START")


@dataclass(frozen=True)
class Ended:
    """How a command ended: its exit code (minus the signal that ended it), what it printed, and its seconds."""

    code: int
    stdout: bytes
    stderr: str
    seconds: float


def environment(home: Path, **more: str) -> dict[str, str]:
    """A plain environment with a home of its own."""
    kept = {name: os.environ[name] for name in KEPT if name in os.environ}
    return kept | {
        "HOME": str(home), "XDG_CACHE_HOME": str(home / "cache"), "LC_ALL": "C.UTF-8", "OPENBLAS_NUM_THREADS": "1",
        "SIGHTLINE_NO_OPENGL": "1",
    } | more  # fmt: skip


class Warm:
    """The warm process: started once, asked often, one command at a time."""

    def __init__(self, home: Path, **more: str):
        self.home = home
        self.cache = home / "cache"
        env = environment(home, MPLCONFIGDIR=str(home / "matplotlib"), PYTHONPATH=str(REPOSITORY), **more)
        self.process = subprocess.Popen(
            [sys.executable, "-X", "utf8", str(REPOSITORY / "tests/faults/warm.py")],
            cwd=REPOSITORY, env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert self.process.stdout is not None
        if self.process.stdout.readline() != "ready\n":
            self.__exit__(None, None, None)
            raise AssertionError("The warm process could not load the program; what is on stderr says why.")

    def __enter__(self) -> Warm:
        return self

    def __exit__(self, kind: type[BaseException] | None, value: BaseException | None, at: TracebackType | None) -> None:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(20)
        self.process.stdout.close()

    def run(self, cwd: Path, *argv: str, env: dict[str, str] | None = None, umask: int = 0o022, **plan: Any) -> Ended:
        """One command in a folder. `plan` says where it is killed or refused (tests/faults/points.py)."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        out, err = self.home / "stdout", self.home / "stderr"
        job = {
            "argv": list(argv), "cwd": str(cwd), "env": environment(self.home) if env is None else env, "umask": umask,
            "stdout": plan.pop("stdout", str(out)), "stderr": str(err), **plan,
        }  # fmt: skip
        self.process.stdin.write(json.dumps(job) + "\n")
        self.process.stdin.flush()
        answer = json.loads(self.process.stdout.readline())
        printed = out.read_bytes() if out.exists() else b""
        return Ended(answer["code"], printed, err.read_text(encoding="utf-8"), answer["seconds"])


# A tour's table of how long each point took is what it says; everything else is the same each time.
SECONDS = "times.csv"


def left_in(folder: Path) -> dict[str, str]:
    """Every file and folder below, hidden ones too, with a sum of its bytes: what a reader would find."""
    return {path.relative_to(folder).as_posix(): _what(path) for path in sorted(folder.rglob("*"))}


def _what(path: Path) -> str:
    if not path.is_file():
        return "folder"
    if path.name == SECONDS:
        # Each line is whole, and ends with its seconds.
        lines = path.read_text(encoding="utf-8").splitlines()
        return "seconds: " + "; ".join(line.rpartition(",")[0] for line in lines)
    return hashlib.sha256(path.read_bytes()).hexdigest()
