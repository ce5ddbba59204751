"""A cache that is damaged in any way gives what no cache gives; so do two programs at once, and a clock that was set back."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.runner import Warm, environment

WORDS = ("check", "plain.yaml", "--json")
TOUR = ("tour", "tour.yaml", "--workers", "1", "--json")


def fields(home: Path) -> list[Path]:
    return sorted((home / "cache/sightline/fields").iterdir())


def each(change: Callable[[Path], object]) -> Callable[[Path], None]:
    def harm(home: Path) -> None:
        for path in fields(home):
            change(path)

    return harm


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def flip(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 0x10
    path.write_bytes(bytes(data))


def flip_sum(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[3] ^= 1
    path.write_bytes(bytes(data))


def to_folder(path: Path) -> None:
    path.unlink()
    path.mkdir()
    (path / "inside").write_text("x", encoding="ascii")


def to_loop(path: Path) -> None:
    path.unlink()
    path.symlink_to(path.name)


def own_sum(path: Path) -> None:
    """Whole by its sum, and nothing that can be read."""
    import hashlib

    data = b"PK\x03\x04 no archive"
    path.write_bytes(hashlib.sha256(data).digest() + data)


def cache_as_file(home: Path) -> None:
    shutil.rmtree(home / "cache")
    (home / "cache").write_text("x", encoding="ascii")


def fields_as_file(home: Path) -> None:
    shutil.rmtree(home / "cache/sightline/fields")
    (home / "cache/sightline/fields").write_text("x", encoding="ascii")


def swapped(home: Path) -> None:
    """Each under the name of another."""
    first, *rest = fields(home)
    assert rest
    taken = first.read_bytes()
    for path, other in zip([first, *rest], rest, strict=False):
        path.write_bytes(other.read_bytes())
    rest[-1].write_bytes(taken)


def ahead(home: Path) -> None:
    """The clock was set back: everything that is kept is of next year."""
    when = time.time() + 400 * 86400
    for path in fields(home):
        os.utime(path, (when, when))


def foreign(home: Path) -> None:
    """Of another owner where that may be said, and readable by nobody."""
    for path in fields(home):
        path.chmod(0)
        if os.geteuid() == 0:
            os.chown(path, 12345, 12345)


HARMS = {
    "cut": each(cut), "empty": each(lambda path: path.write_bytes(b"")), "flipped": each(flip), "sum": each(flip_sum),
    "no archive": each(own_sum), "a folder": each(to_folder), "a loop": each(to_loop), "foreign": foreign,
    "the cache is a file": cache_as_file, "the folder is a file": fields_as_file, "of next year": ahead,
}  # fmt: skip


@pytest.fixture
def home(folder: Path) -> Path:
    (folder / "home").mkdir()
    return folder / "home"


def test_a_damaged_cache_changes_nothing(folder: Path, home: Path, warm: Warm) -> None:
    env = environment(home)
    none = warm.run(folder, *WORDS, env=environment(home, XDG_CACHE_HOME="/proc/nowhere"))
    assert none.code == 0
    assert b'"margin_deg": 2' in none.stdout, "margins come from fields: without one the test shows nothing"
    for name, harm in HARMS.items():
        shutil.rmtree(home, ignore_errors=True)
        home.mkdir()
        assert warm.run(folder, *WORDS, env=env).stdout == none.stdout
        assert fields(home)
        harm(home)
        again = warm.run(folder, *WORDS, env=env)
        assert (again.code, again.stderr, again.stdout) == (0, "", none.stdout), name


def test_a_cache_that_cannot_be_written(folder: Path, home: Path, warm: Warm) -> None:
    """The disk refuses every write below the cache: put in by the test, as whoever runs it may write anywhere."""
    env = environment(home)
    whole = warm.run(folder, *WORDS, env=environment(home, XDG_CACHE_HOME=str(folder / "other")))
    for event, error in (("os.mkdir", "EACCES"), ("open", "EROFS"), ("write", "ENOSPC"), ("os.rename", "EIO")):
        done = warm.run(folder, *WORDS, env=env, under=str(home), fail={"event": event, "at": 1, "error": error})
        assert (done.code, done.stderr, done.stdout) == (0, "", whole.stdout), event
        assert not [path for path in (home / "cache").rglob("*") if path.is_file()] or event == "x"


def test_a_tour_without_a_place_to_keep_results(folder: Path, home: Path, warm: Warm) -> None:
    """By itself it goes on and says so; a place that was asked for is needed."""
    whole = warm.run(folder, *TOUR, env=environment(home))
    assert whole.code == 0
    done = warm.run(folder, *TOUR, env=environment(home, XDG_CACHE_HOME="/proc/nowhere"))
    assert (done.code, done.stdout) == (0, whole.stdout)
    assert (
        done.stderr
        == "Nothing is kept of this run: the user's cache folder takes no files; --state says another one.\n"
    )
    done = warm.run(folder, *TOUR, "--state", "/proc/nowhere")
    assert done.code == 1
    assert done.stderr.startswith("sightline: Results cannot be kept in '/proc/nowhere'")


@pytest.mark.parametrize("change", ["unset", "nowhere", "relative"])
def test_no_home(folder: Path, warm: Warm, change: str) -> None:
    """For a user whom the machine does not know either: nothing is made in the working folder."""
    env = environment(folder)
    del env["XDG_CACHE_HOME"]
    if change == "unset":
        del env["HOME"]
    elif change == "nowhere":
        env["HOME"] = "/proc/nowhere"
    else:
        env["HOME"] = env["XDG_CACHE_HOME"] = "~/here"
    before = sorted(folder.rglob("*"))
    whole = warm.run(folder, *WORDS)
    for words in (WORDS, TOUR):
        done = warm.run(folder, *words, env=env, unknown_user=True)
        assert done.code == 0, done.stderr
        assert "Traceback" not in done.stderr
        if words is WORDS:
            assert (done.stdout, done.stderr) == (whole.stdout, "")
    assert sorted(folder.rglob("*")) == before
