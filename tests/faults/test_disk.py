"""A disk that is full, may only be read, or refuses at any write: one sentence, exit 1, and the old file as it was."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import REPOSITORY
from tests.faults.runner import Ended, Warm, environment, left_in
from tests.faults.writers import ADVICE, MAP, MARKS, PACKET, TOUR, Ground, Writer

# What the disk says at which event.
REFUSALS = [("open", "EROFS"), ("write", "ENOSPC"), ("os.rename", "EIO"), ("os.mkdir", "ENOSPC"), ("os.link", "EIO")]
NAMESPACE = ["unshare", "--map-root-user", "--user", "--mount"]


def one_sentence(done: Ended) -> None:
    assert done.code == 1, f"{done.code} {done.stderr}"
    said = [line for line in done.stderr.splitlines() if line.startswith("sightline: ")]
    assert len(said) == 1, done.stderr
    assert "Traceback" not in done.stderr
    assert said[0].endswith("."), said


@pytest.mark.parametrize(
    "writer",
    [
        Writer("packet", PACKET, True), Writer("tour", TOUR), Writer("map", MAP, True), Writer("marks", MARKS, True),
        Writer("new map", MAP),
    ],
    ids=lambda writer: writer.name,
)  # fmt: skip
def test_a_disk_that_refuses_at_any_write(writer: Writer, folder: Path, warm: Warm) -> None:
    """Errors put in by the test at each kind of write, the first and the last of its kind: no rights are needed for it."""
    ground = Ground(writer, folder, warm)
    points = ground.points()
    tried = 0
    for event, error in REFUSALS:
        places = [n for n, found in enumerate(points, 1) if found == event]
        # A folder that is there need not be made: only the first is.
        for place in set(places[:1] if event == "os.mkdir" else (*places[:1], *places[-1:])):
            done = ground.run(under=str(ground.made), fail={"event": event, "at": place, "error": error})
            if event == "os.rename" and place != places[0]:
                # Names are being given already: those that have theirs keep it.
                assert done.code == 1
                ground.start_again()
                continue
            one_sentence(done)
            assert os.strerror(getattr(__import__("errno"), error)) in done.stderr
            assert left_in(ground.made) == ground.before, f"{event} {place}: {done.stderr}"
            tried += 1
    assert tried >= 3


def test_a_file_that_may_not_grow(folder: Path, warm: Warm) -> None:
    """The system's own refusal, of every user: no file may be longer than 2,000 bytes."""
    for words in (MAP, PACKET, TOUR, MARKS):
        done = warm.run(folder, *words, most_bytes=2_000)
        one_sentence(done)
        assert "File too large" in done.stderr
        assert left_in(folder / "made") == {}


def in_a_mount(script: str, where: Path) -> subprocess.CompletedProcess[str]:
    """Run a shell script that may mount things which nobody else sees; skips where the machine does not allow that."""
    if shutil.which("unshare") is None or subprocess.run([*NAMESPACE, "true"], capture_output=True).returncode != 0:
        pytest.skip(
            "no mounts of one's own here; the same refusals are put in by test_a_disk_that_refuses_at_any_write"
        )
    env = environment(where / "home", PYTHONPATH=str(REPOSITORY), MPLCONFIGDIR=str(where / "mpl"))
    env["SIGHT"] = f"{sys.executable} -m sightline"
    return subprocess.run(
        [*NAMESPACE, "sh", "-c", script], cwd=where, env=env, capture_output=True, text=True, timeout=300
    )


def test_a_full_disk(folder: Path) -> None:
    """A disk of 24 kB of the system's own: the packet, the map and the form do not fit; the old map stays."""
    script = """
    mkdir small && mount -t tmpfs -o size=24k none small && cp plain.yaml small && cd small || exit 9
    echo old > plan.pdf
    $SIGHT packet plain.yaml --only page --out packet; echo "code $?"
    $SIGHT map plain.yaml --out plan.pdf --force; echo "code $?"
    $SIGHT form --out form.html; echo "code $?"
    ls -A; cat plan.pdf
    """
    done = in_a_mount(script, folder)
    assert done.stdout.splitlines() == ["code 1", "code 1", "code 1", "plain.yaml", "plan.pdf", "old"], done.stderr
    said = done.stderr.splitlines()
    assert len(said) == 3, done.stderr
    assert all(line.startswith("sightline: ") and line.endswith("No space left on device.") for line in said)


def test_a_disk_that_may_only_be_read(folder: Path) -> None:
    script = """
    mkdir ro && mount -t tmpfs none ro && cp plain.yaml ro && echo old > ro/plan.svg && mount -o remount,ro ro && cd ro || exit 9
    $SIGHT packet plain.yaml --only data --out packet; echo "code $?"
    $SIGHT map plain.yaml --out plan.svg --force; echo "code $?"
    $SIGHT check plain.yaml > /dev/null; echo "code $?"
    ls -A; cat plan.svg
    """
    done = in_a_mount(script, folder)
    assert done.stdout.splitlines() == ["code 1", "code 1", "code 0", "plain.yaml", "plan.svg", "old"], done.stderr
    said = done.stderr.splitlines()
    assert len(said) == 2, done.stderr
    assert "Nothing may be written in '.'" in said[0] or "Read-only" in said[0]
    assert "Read-only file system" in said[1]


def test_stdout_on_a_full_disk(folder: Path, warm: Warm) -> None:
    """A result that cannot be printed is told, and is no success; what was to be written is written."""
    if not Path("/dev/full").exists():
        pytest.skip("there is no /dev/full on this system")
    for words in (("check", "plain.yaml", "--json"), ("schema",), ("marks", "plain.yaml")):
        done = warm.run(folder, *words, stdout="/dev/full")
        one_sentence(done)
        assert "The result cannot be printed: No space left on device." in done.stderr


@pytest.mark.parametrize(("umask", "file", "place"), [(0o077, 0o600, 0o700), (0, 0o666, 0o777)])
def test_new_files_are_as_the_umask_has_it(folder: Path, warm: Warm, umask: int, file: int, place: int) -> None:
    for words in (PACKET, TOUR, MAP, MARKS, ADVICE):
        assert warm.run(folder, *words, umask=umask).code == 0
    for path in (folder / "made").rglob("*"):
        assert stat.S_IMODE(path.stat().st_mode) == (place if path.is_dir() else file), path


def test_a_replaced_file_keeps_its_permissions(folder: Path, warm: Warm) -> None:
    plan = folder / "made" / "plan.svg"
    plan.write_text("old", encoding="ascii")
    plan.chmod(0o600)
    assert warm.run(folder, *MAP, "--force").code == 0
    assert plan.read_bytes()[:5] == b"<?xml"
    assert stat.S_IMODE(plan.stat().st_mode) == 0o600


def test_what_belongs_to_somebody_else_is_left(folder: Path, warm: Warm) -> None:
    """Unfinished files of a process that is still there, and hidden files of the user's, are nobody's leavings."""
    made = folder / "made"
    keep = [f".plan.svg.{os.getppid()}.part", ".plan.svg.part", ".plan.svg.x.part", ".other.svg.999999999.part"]
    for name in (*keep, ".plan.svg.999999999.part", ".plan.svg.999999999-2.part"):
        (made / name).write_text("x", encoding="ascii")
    assert warm.run(folder, *MAP).code == 0
    assert sorted(left_in(made)) == sorted([*keep, "plan.svg"])


def test_an_older_packet_that_was_moved_aside_comes_back(folder: Path, warm: Warm) -> None:
    """Where two folders cannot be exchanged in one step, a kill may come between two names: the old one gets its own back."""
    made = folder / "made"
    assert warm.run(folder, *PACKET).code == 0
    before = left_in(made)
    (made / "packet").rename(made / ".packet.999999999.old")
    done = warm.run(folder, *PACKET)
    assert done.code == 1
    assert "is already there" in done.stderr
    assert left_in(made) == before
