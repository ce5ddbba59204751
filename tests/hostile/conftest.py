"""Shared by the tests of hostile input: a furnished folder, a limit of a core's time, a command run and looked at."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import pytest

from tests.hostile.seeds import furnish
from tests.hostile.targets import MOST_SECONDS


class TooLongError(BaseException):
    """Not an Exception: no `except Exception` may hide it."""


@contextmanager
def bounded(seconds: float = MOST_SECONDS) -> Iterator[None]:
    """Ends what runs inside after so many seconds of a core, or six times as many of the clock (a pipe that nobody fills)."""

    def stop(_number: int, _frame: FrameType | None) -> None:
        raise TooLongError(f"more than {seconds} s")

    before = signal.signal(signal.SIGPROF, stop), signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    signal.setitimer(signal.ITIMER_REAL, 6 * seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGPROF, before[0])
        signal.signal(signal.SIGALRM, before[1])


@pytest.fixture
def limit() -> Callable[..., AbstractContextManager[None]]:
    return bounded


@pytest.fixture
def sandbox(tmp_path: Path) -> Path:
    """A folder with the files that hostile scenes name, one folder below that of the test."""
    folder = tmp_path / "given"
    folder.mkdir()
    furnish(folder)
    return folder


@dataclass(frozen=True)
class Ended:
    """How a command ended: what it printed, and what is there afterwards that was not before (or is not the same)."""

    code: int
    out: str
    err: str
    written: tuple[str, ...]


Run = Callable[..., Ended]


@pytest.fixture
def command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run `sightline` with these words in this process, in the furnished folder, within the limit."""
    from sightline.cli.main import main

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / ".cache"))

    def run(*words: str, folder: Path | None = None, seconds: float = 3 * MOST_SECONDS) -> Ended:
        monkeypatch.chdir(folder or tmp_path / "given")
        monkeypatch.setattr(sys, "argv", ["sightline", *words])
        before = _there(tmp_path)
        code = 0
        with bounded(seconds):
            try:
                main()
            except SystemExit as ended:
                code = int(ended.code or 0)
        out, err = capsys.readouterr()
        after = _there(tmp_path)
        return Ended(code, out, err, tuple(sorted(name for name in after if after[name] != before.get(name))))

    return run


def _there(folder: Path) -> dict[str, tuple[int, int]]:
    """Everything below a folder but the cache: size and time of change."""
    found = {}
    for above, folders, files in os.walk(folder):
        folders[:] = [name for name in folders if name != ".cache"]
        for name in (*folders, *files):
            told = os.lstat(os.path.join(above, name))
            kept = (0, 0) if os.path.isdir(os.path.join(above, name)) else (told.st_size, told.st_mtime_ns)
            found[os.path.relpath(os.path.join(above, name), folder)] = kept
    return found


def refused(ended: Ended, says: str = "") -> str:
    """The one sentence of a command that ended as it should: code 1, no traceback, nothing written or printed as a result."""
    assert ended.code == 1, (ended.code, ended.err[-2000:])
    assert ended.out == ""
    assert "Traceback" not in ended.err
    assert ended.err.startswith("sightline: ")
    assert len(ended.err) < 20_000
    assert all(c.isprintable() or c == "\n" for c in ended.err), "what could steer a terminal reaches it"
    assert ended.written == ()
    assert says in ended.err, ended.err[:1000]
    return ended.err
