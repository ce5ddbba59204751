"""Where the program may find itself: other alphabets, streams that are closed or read by nobody, a clock set back."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.conftest import REPOSITORY
from tests.faults.runner import Warm, environment, left_in
from tests.faults.scenes import PLAIN

UMLAUTS = PLAIN.replace("Two plates", "Zwölf Türme für Łódź, mit Öl").replace("name: target", "name: 'Arm – Ärmel'")


def started(folder: Path, words: str, **more: str) -> subprocess.CompletedProcess[bytes]:
    """A process of its own, by a shell, as streams and alphabets are made fit while it starts."""
    env = environment(folder / "home", PYTHONPATH=str(REPOSITORY), **more)
    env["SIGHT"] = f"{sys.executable} -m sightline"
    return subprocess.run(["sh", "-c", words], cwd=folder, env=env, capture_output=True, timeout=300)


def quiet(said: bytes) -> None:
    assert b"Traceback" not in said, said
    assert b"Exception ignored" not in said, said


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437", "utf-8"])
def test_an_alphabet_without_our_letters(folder: Path, warm: Warm, encoding: str) -> None:
    """Words come with escapes for what it lacks; JSON can be read, and says the same."""
    (folder / "plain.yaml").write_text(UMLAUTS, encoding="utf-8")
    plain = warm.run(folder, "check", "plain.yaml", "--json")
    title = json.loads(plain.stdout)["title"]
    assert title == "Zwölf Türme für Łódź, mit Öl"
    for words in (
        ("check", "plain.yaml"),
        ("marks", "plain.yaml"),
        ("packet", "plain.yaml", "--only", "data", "--out", "p"),
    ):
        done = warm.run(folder, *words, encoding=encoding)
        assert done.code == 0, done.stderr
        assert "Traceback" not in done.stderr
        assert title.encode(encoding, "backslashreplace") in done.stdout.replace(b"\\N{LATIN", b"")
    done = warm.run(folder, "check", "plain.yaml", "--json", encoding=encoding)
    assert done.code == 0
    assert json.loads(done.stdout.decode("utf-8" if encoding == "utf-8" else "ascii")) == json.loads(plain.stdout)


@pytest.mark.parametrize(
    "setting",
    [
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        {"LC_ALL": "tr_TR.ISO-8859-9", "LC_NUMERIC": "de_DE.ISO-8859-1", "PYTHONIOENCODING": "ascii"},
    ],
    ids=["C", "Turkish"],
)
def test_another_locale(folder: Path, warm: Warm, setting: dict[str, str]) -> None:
    """Files are the same bytes in any language; where the machine lacks one, it is as if it were C."""
    (folder / "plain.yaml").write_text(UMLAUTS, encoding="utf-8")
    (folder / "usual").mkdir()
    (folder / "here").mkdir()
    for words in (("map", "plain.yaml", "--out", "usual/plan.svg"), ("marks", "plain.yaml", "--out", "usual")):
        assert warm.run(folder, *words).code == 0
    script = (
        "$SIGHT check plain.yaml && $SIGHT map plain.yaml --out here/plan.svg && $SIGHT marks plain.yaml --out here"
    )
    done = started(folder, script, **setting)
    quiet(done.stderr)
    assert done.returncode == 0, done.stderr
    assert b"T\\xfcrme" in done.stdout
    assert left_in(folder / "here") == left_in(folder / "usual")


def test_a_name_that_is_no_text(folder: Path, warm: Warm) -> None:
    """A scene whose file name no alphabet knows, as it comes from an old stick: told, or done, never a traceback."""
    if sys.platform != "linux":
        pytest.skip("other systems have no such names")
    name = os.fsencode(folder) + b"/m\xe4rz.yaml"
    with open(name, "wb") as file:
        file.write(PLAIN.encode())
    for words in (("check",), ("check", "--json"), ("map",), ("marks", "--out", "."), ("form", "--out", "f.html"),
                  ("packet", "--only", "page", "--out", "p")):  # fmt: skip
        done = warm.run(folder, words[0], os.fsdecode(name), *words[1:])
        assert done.code in (0, 1), done.stderr
        assert "Traceback" not in done.stderr, done.stderr
        if words == ("check", "--json"):
            assert done.code == 1 or json.loads(done.stdout.decode("utf-8"))


def test_a_reader_that_goes_away(folder: Path) -> None:
    """As `sightline ... | head`: quiet, whether the result is long or short."""
    for words in ("schema", "check plain.yaml"):
        done = subprocess.Popen(
            [sys.executable, "-m", "sightline", *words.split()], cwd=folder, stdout=subprocess.PIPE,
            stderr=subprocess.PIPE, env=environment(folder / "home", PYTHONPATH=str(REPOSITORY)),
        )  # fmt: skip
        assert done.stdout is not None
        done.stdout.close()
        _, said = done.communicate(timeout=120)
        assert said == b""
        assert done.returncode == 1


def test_streams_that_are_closed(folder: Path) -> None:
    """A picture is drawn all the same, and no word of it gets into a file that took a stream's number."""
    done = started(
        folder, "$SIGHT map plain.yaml --out a.svg <&- >&- 2>&-; echo $?; $SIGHT map plain.yaml --out b.svg; echo $?"
    )
    assert done.stdout.split() == [b"0", b"0"], done.stderr
    assert (folder / "a.svg").read_bytes() == (folder / "b.svg").read_bytes()
    done = started(folder, "$SIGHT check nowhere.yaml >&- ; echo $?; $SIGHT new start <&- 2>/dev/null; echo $?")
    quiet(done.stderr)
    assert done.stdout.split() == [b"1", b"0"], done.stderr
    assert b"is not there" in done.stderr


def test_a_clock_that_was_set_back(folder: Path, warm: Warm) -> None:
    """Files of next year, and a program that thinks it is 1990: the same results, and old ones are replaced."""
    when = time.time() + 400 * 86400
    usual = warm.run(folder, "check", "plain.yaml", "--json")
    assert warm.run(folder, "packet", "plain.yaml", "--only", "page", "--out", "made/p").code == 0
    before = left_in(folder / "made")
    for path in (*folder.rglob("*"), *warm.cache.rglob("*")):
        os.utime(path, (when, when))
    for back_s in (0, 36 * 365 * 86400):
        done = warm.run(folder, "check", "plain.yaml", "--json", back_s=back_s)
        assert (done.code, done.stdout) == (0, usual.stdout)
        done = warm.run(folder, "packet", "plain.yaml", "--only", "page", "--out", "made/p", "--force", back_s=back_s)
        assert done.code == 0, done.stderr
        assert left_in(folder / "made") == before


def test_watch_goes_by_what_is_written_not_by_the_clock(folder: Path) -> None:
    """A save that makes the file older than it was is seen; a new date alone is none."""
    scene, out, err = folder / "plain.yaml", folder / "out", folder / "err"
    future = time.time() + 400 * 86400
    os.utime(scene, (future, future))
    env = environment(folder / "home", PYTHONPATH=str(REPOSITORY))
    words = [sys.executable, "-m", "sightline", "check", "plain.yaml", "--no-margins", "--watch"]
    with out.open("wb") as said, err.open("wb") as told:
        run = subprocess.Popen(words, cwd=folder, env=env, stdout=said, stderr=told)
    try:
        wait_for(err, "Watching")
        os.utime(scene, (1, 1))
        time.sleep(1.2)
        scene.write_text(PLAIN.replace("width: 60 cm", "width: 300 cm"), encoding="utf-8")
        os.utime(scene, (2, 2))
        wait_for(err, "Since the last check")
    finally:
        run.kill()
        run.wait()
    assert out.read_text(encoding="utf-8").count("Two plates:") == 2


def wait_for(file: Path, text: str) -> None:
    for _ in range(600):
        if text in file.read_text(encoding="utf-8"):
            return
        time.sleep(0.1)
    raise AssertionError(f"'{text}' was not told: {file.read_text(encoding='utf-8')}")
