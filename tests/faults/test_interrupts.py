"""Ctrl-C at a terminal, at moments that are told by what the program has loaded or begun: exit 130 and nothing left over."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import subprocess
import sys
import termios
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import REPOSITORY
from tests.faults.runner import environment, left_in
from tests.faults.scenes import HALL

STOPPED = 130
# Enough to look at that it is never done before it is stopped.
LONG = "detail: 4 mm\n"
SEATS = "eyes:\n" + "".join(f"  - {{id: E{n}, at: [{n % 60 - 30} m, -{5 + n // 60} m, 1.2 m]}}\n" for n in range(3000))


def loaded(name: str) -> Callable[[int], bool]:
    """When a library is in the process."""

    def there(number: int) -> bool:
        return name in Path(f"/proc/{number}/maps").read_text(encoding="utf-8", errors="replace")

    return there


def begun(count: int) -> Callable[[int], bool]:
    """When it has begun so many processes."""

    def there(number: int) -> bool:
        children = Path(f"/proc/{number}/task/{number}/children").read_text(encoding="ascii").split()
        return len(children) >= count

    return there


def in_session(number: int) -> list[int]:
    """The processes of a terminal that are still there."""
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            said = path.read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()
        except OSError:
            continue
        # State, parent, group, session; one that has ended and waits to be asked is no process any more.
        if int(said[3]) == number and said[0] != "Z":
            found.append(int(path.parent.name))
    return found


def at_its_terminal() -> None:
    """In the new process: the terminal is its own, and Ctrl-C is not ignored, as it is under a shell's background job."""
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    signal.signal(signal.SIGINT, signal.SIG_DFL)


class Terminal:
    """A program at a terminal of its own, 80 columns wide."""

    def __init__(self, folder: Path, words: list[str]):
        try:
            self.ours, theirs = pty.openpty()
        except OSError as error:
            pytest.skip(f"no terminal can be made here, as in a root without /dev/pts ({error})")
        termios.tcsetwinsize(theirs, (24, 80))
        self.before = termios.tcgetattr(theirs)
        env = environment(folder / "home", PYTHONPATH=str(REPOSITORY), TERM="xterm")
        self.run = subprocess.Popen(
            [sys.executable, "-m", "sightline", *words], cwd=folder, env=env, stdin=theirs, stdout=theirs, stderr=theirs,
            start_new_session=True, preexec_fn=at_its_terminal,
        )  # fmt: skip
        self.theirs = theirs
        self.said = b""

    def listen(self, seconds: float) -> None:
        while select.select([self.ours], [], [], seconds)[0]:
            self.said += os.read(self.ours, 65536)

    def until(self, there: Callable[[int], bool]) -> None:
        for _ in range(24_000):
            self.listen(0)
            assert self.run.poll() is None, f"It ended before it could be stopped: {self.said!r}"
            if there(self.run.pid):
                return
            time.sleep(0.005)
        raise AssertionError(f"This moment never came: {self.said!r}")

    def control_c(self) -> None:
        os.write(self.ours, b"\x03")

    def ended(self) -> int:
        until = time.monotonic() + 60
        while self.run.poll() is None and time.monotonic() < until:
            self.listen(0.05)
        self.listen(0.05)
        assert self.run.returncode is not None, "It goes on."
        return self.run.returncode

    def close(self) -> None:
        if self.run.poll() is None:
            self.run.kill()
        self.run.wait()
        os.close(self.theirs)
        os.close(self.ours)


def shown(said: bytes) -> list[str]:
    """The lines as they stand on the screen in the end: a return goes back and what comes then is written over."""
    lines = []
    for line in said.decode("utf-8").replace("\r\n", "\n").split("\n"):
        row = ""
        for part in line.split("\r"):
            row = part + row[len(part) :]
        lines.append(row.rstrip())
    return lines


MOMENTS = {
    "check, loading": (["check", "long.yaml"], loaded("_multiarray_umath"), 0.0),
    "check, looking": (["check", "long.yaml"], loaded("embree"), 0.3),
    "check, telling how far it is": (["check", "long.yaml"], None, 0.0),
    "packet, looking": (["packet", "long.yaml", "--out", "made/packet"], loaded("embree"), 0.2),
    "advise, looking": (["advise", "long.yaml", "--apply", "1", "--out", "made/new.yaml"], loaded("embree"), 0.2),
    "tour, beginning processes": (["tour", "tour.yaml", "--workers", "2", "--out", "made/tour"], begun(2), 0.0),
    "tour, processes loading": (["tour", "tour.yaml", "--workers", "2", "--out", "made/tour"], begun(3), 0.2),
    "tour, at work": (["tour", "tour.yaml", "--workers", "2", "--out", "made/tour"], begun(3), 2.0),
    "form, loading": (["form", "--out", "made/form.html"], loaded("_pydantic_core"), 0.0),
}


@pytest.fixture
def long(folder: Path) -> Path:
    plain = (folder / "plain.yaml").read_text(encoding="utf-8").partition("eyes:")[0]
    (folder / "long.yaml").write_text(plain + LONG + SEATS, encoding="utf-8")
    for n in range(4):
        (folder / f"hall{n}.yaml").write_text(HALL.partition("eyes:")[0] + SEATS, encoding="utf-8")
    tour = "version: 1\ntitle: Season\nvenues: [hall0.yaml, hall1.yaml, hall2.yaml, hall3.yaml]\nscenes: [long.yaml]\n"
    (folder / "tour.yaml").write_text(tour, encoding="utf-8")
    return folder


@pytest.mark.skipif(sys.platform != "linux", reason="moments are read from /proc")
@pytest.mark.parametrize("moment", MOMENTS)
def test_control_c(long: Path, moment: str) -> None:
    words, there, later_s = MOMENTS[moment]
    before = left_in(long / "made")
    at = Terminal(long, words)
    try:
        at.until(there if there is not None else lambda _: b"[" in at.said)
        time.sleep(later_s)
        at.control_c()
        code = at.ended()
        screen = shown(at.said)
        assert code == STOPPED, screen
        assert "Traceback" not in at.said.decode("utf-8"), at.said
        assert [line for line in screen if line not in ("", "^C")] == ["sightline: stopped."], screen
        assert screen[-1] == "", "the prompt begins on a line of its own"
        assert b"\x1b" not in at.said, "no colour, cursor or mode is left set"
        assert termios.tcgetattr(at.theirs) == at.before
        for _ in range(100):
            if not in_session(at.run.pid):
                break
            time.sleep(0.05)
        assert in_session(at.run.pid) == []
        assert left_in(long / "made") == before
    finally:
        at.close()
    left = [path.name for path in (long / "home").rglob("*.part")] if (long / "home").exists() else []
    assert left == []


@pytest.mark.skipif(sys.platform != "linux", reason="moments are read from /proc")
def test_control_c_twice(long: Path) -> None:
    """Impatience while it puts things away ends it at once, without a traceback."""
    at = Terminal(long, MOMENTS["tour, at work"][0])
    try:
        at.until(begun(3))
        time.sleep(0.5)
        at.control_c()
        time.sleep(0.02)
        at.control_c()
        assert at.ended() in (STOPPED, -2)
        assert "Traceback" not in at.said.decode("utf-8"), at.said
        for _ in range(200):
            if not in_session(at.run.pid):
                break
            time.sleep(0.05)
        assert in_session(at.run.pid) == []
    finally:
        at.close()


# What Ctrl-C may fall into. In a text that is run as code, as the making of dataclasses is, Python remembers it and ends by the
# signal, whatever exit code was asked for; in the making of a model it comes out as another error.
FALLS = {
    "a text": """
def fall():
    exec("os.kill(os.getpid(), signal.SIGINT)")
""",
    "the making of a model": """
def fall():
    try:
        os.kill(os.getpid(), signal.SIGINT)
    except KeyboardInterrupt:
        pass
    raise ValueError("Error building a validator: KeyboardInterrupt")
""",
}
WHILE = {
    "loading": """
from types import ModuleType
class Loading(ModuleType):
    def __getattr__(self, name):
        fall()
sys.modules["sightline.cli.main"] = Loading("sightline.cli.main")
""",
    "at work": """
from sightline.cli import main
main.app = fall
""",
}
RUNS = "import os, signal, sys, time\n{fall}\n{when}\nfrom sightline.__main__ import main\nmain()\n"


def falls(folder: Path, program: str) -> subprocess.CompletedProcess[str]:
    (folder / "falls.py").write_text(program, encoding="utf-8")
    env = environment(folder / "home", PYTHONPATH=os.pathsep.join((str(folder), str(REPOSITORY))))
    words = [sys.executable, "-m", "falls"]
    return subprocess.run(
        words, cwd=folder, env=env, capture_output=True, text=True, timeout=120,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )  # fmt: skip


@pytest.mark.parametrize("when", WHILE)
@pytest.mark.parametrize("where", FALLS)
def test_control_c_that_becomes_something_else(folder: Path, where: str, when: str) -> None:
    done = falls(folder, RUNS.format(fall=FALLS[where], when=WHILE[when]))
    assert (done.returncode, done.stderr) == (STOPPED, "\nsightline: stopped.\n")


def test_control_c_that_is_lost_is_pressed_again(folder: Path) -> None:
    lost = FALLS["the making of a model"].replace(
        'raise ValueError("Error building a validator: KeyboardInterrupt")', "fall()"
    )
    done = falls(folder, RUNS.format(fall=lost, when=WHILE["at work"]))
    assert (done.returncode, done.stderr) == (-signal.SIGINT, "")


def test_an_error_that_nobody_stopped_is_none_of_control_c(folder: Path) -> None:
    done = falls(folder, RUNS.format(fall="def fall():\n    raise ValueError('a defect')", when=WHILE["at work"]))
    assert done.returncode == 1
    assert "a defect" in done.stderr
    assert "stopped" not in done.stderr
