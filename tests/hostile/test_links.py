"""Links that lead out or round, devices, pipes, folders and names that no file can have, wherever a file is named."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.hostile.conftest import Run, refused
from tests.hostile.seeds import ACT, HALL, TOUR


def loop(path: Path) -> None:
    path.symlink_to(path.name)


def two_loops(path: Path) -> None:
    other = path.with_name("other-" + path.name)
    path.symlink_to(other.name)
    other.symlink_to(path.name)


def link_out(path: Path) -> None:
    """To a good file outside the scene's folder."""
    outside = path.parent.parent / ("outside" + path.suffix)
    outside.write_bytes((path.parent / f"good{path.suffix}").read_bytes())
    path.symlink_to(outside)


def link_out_by_folders(path: Path) -> None:
    inside = path.parent / "up"
    inside.symlink_to("..")
    outside = path.parent.parent / ("outside" + path.suffix)
    outside.write_bytes((path.parent / f"good{path.suffix}").read_bytes())
    path.symlink_to(f"up/{outside.name}")


def hard_to_nothing(path: Path) -> None:
    path.symlink_to("nowhere")


def device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def own_memory(path: Path) -> None:
    path.symlink_to("/proc/self/mem")


def pipe(path: Path) -> None:
    os.mkfifo(path)


def folder(path: Path) -> None:
    path.mkdir()


def huge(path: Path) -> None:
    with path.open("wb") as file:
        # Sparse: it takes no room on the disk.
        file.truncate(60_000_000_000)


MADE: list[Callable[[Path], None]] = [
    loop, two_loops, link_out, link_out_by_folders, hard_to_nothing, device, own_memory, pipe, folder, huge,
]  # fmt: skip

# Where a scene, a venue or a tour names a file: the ending, and the text with BAD in the place of its name.
NAMED = {
    "mesh of a cover": ("obj", "scene", ACT.replace("disc: {radius: 1 m}", "mesh: BAD")),
    "mesh of the performer": (
        "glb", "scene",
        ACT + "performer: {mesh: BAD, landmarks: {crown: [0 m, 0 m, 1.7 m], floor: [0 m, 0 m, 0 m]}}\n",
    ),
    "table of eyes": ("csv", "scene", ACT.replace("eyes: [{id: E1, at: [0 m, -5 m, 1.2 m]}]", "eyes: [{csv: BAD}]")),
    "venue": ("yaml", "scene", ACT + "venue: {use: BAD}\n"),
    "table of seats": ("csv", "venue", HALL.replace("csv: seats.csv", "csv: BAD")),
    "map of seats": ("geojson", "venue", HALL.replace("seats.geojson", "BAD")),
    "plan of seats": ("dxf", "venue", HALL.replace("seats.dxf", "BAD")),
    "mesh of scenery": ("obj", "venue", HALL.replace("flat.obj", "BAD")),
    "scene of a tour": ("yaml", "tour", TOUR.replace("scenes: [act.yaml]", "scenes: [BAD]")),
    "venue of a tour": ("yaml", "tour", TOUR.replace("hall.yaml", "BAD")),
}  # fmt: skip
GOOD = {"obj": "flat.obj", "csv": "eyes.csv", "yaml": "hall.yaml", "geojson": "seats.geojson", "dxf": "seats.dxf"}


@pytest.mark.parametrize("made", MADE, ids=lambda made: made.__name__.replace("_", " "))
@pytest.mark.parametrize("named", NAMED)
def test_a_named_file_that_is_none(named: str, made: Callable[[Path], None], sandbox: Path, command: Run) -> None:
    ending, kind, text = NAMED[named]
    (sandbox / f"good.{ending}").write_bytes((sandbox / GOOD.get(ending, "flat.obj")).read_bytes())
    made(sandbox / f"bad.{ending}")
    assert "BAD" in text
    path = sandbox / f"hostile-{kind}.yaml"
    path.write_text(text.replace("BAD", f"bad.{ending}"), encoding="utf-8")
    words = {"scene": ["check", path.name, "--json"], "venue": ["venue", "./" + path.name, "--json"],
             "tour": ["tour", path.name, "--out", "new"]}[kind]  # fmt: skip
    said = refused(command(*words))
    # A venue's file is followed to where it leads before it is looked for.
    assert f"bad.{ending}" in said or "nowhere" in said


def test_a_link_that_stays_inside_is_followed(sandbox: Path, command: Run) -> None:
    (sandbox / "linked.obj").symlink_to("flat.obj")
    (sandbox / "s.yaml").write_text(ACT.replace("disc: {radius: 1 m}", "mesh: linked.obj"), encoding="utf-8")
    assert command("check", "s.yaml", "--json", "--no-margins").code == 0


# Every command that is given a file on its command line: the words, BAD the file; the scene is good.
GIVEN = {
    "check": ["check", "BAD"], "map": ["map", "BAD", "--out", "new.png"], "venue": ["venue", "./BAD"],
    "tour": ["tour", "BAD", "--out", "new"], "form": ["form", "BAD", "--out", "new.html"],
    "apply the scene": ["apply", "BAD", "kept.yaml", "--out", "new.yaml"],
    "apply the move": ["apply", "act.yaml", "BAD", "--out", "new.yaml"],
    "compare": ["compare", "act.yaml", "BAD"], "packet": ["packet", "BAD", "--out", "new"],
    "match": ["match", "BAD", "--real", "1,1", "--false", "2,2", "--white", "3,3"], "body": ["body", "--scene", "BAD"],
    "fit": ["fit", "BAD"], "pattern": ["pattern", "BAD"], "mockup": ["mockup", "BAD"], "recast": ["recast", "BAD", "--stature", "181 cm"],
    "advise": ["advise", "BAD"], "rehearse": ["rehearse", "BAD"], "marks": ["marks", "BAD"], "clock": ["clock", "BAD"],
    "drift": ["drift", "BAD"], "cards": ["cards", "BAD", "--out", "new"], "view": ["view", "BAD", "--out", "new.png"],
    "look": ["look", "BAD"],
}  # fmt: skip


@pytest.mark.parametrize("made", [loop, device, own_memory, pipe, folder, huge], ids=lambda made: made.__name__)
def test_a_given_file_that_is_none(made: Callable[[Path], None], sandbox: Path, command: Run) -> None:
    """All commands in one test for each kind of file, as each takes a hundredth of a second."""
    from tests.hostile.seeds import KEPT

    (sandbox / "kept.yaml").write_text(KEPT, encoding="utf-8")
    made(sandbox / "bad.yaml")
    wrong = {}
    for name, words in GIVEN.items():
        ended = command(*["bad.yaml" if word == "BAD" else "./bad.yaml" if word == "./BAD" else word for word in words])
        try:
            assert "bad.yaml" in refused(ended)
        except AssertionError as error:
            wrong[name] = (ended.code, ended.err[-300:], str(error)[:200])
    assert wrong == {}


@pytest.mark.parametrize("name", ["x" * 5000, "\udcff.yaml", "\x1b[31m.yaml"], ids=["long", "no UTF-8", "escape"])
def test_names_that_steer_or_cannot_be(name: str, sandbox: Path, command: Run) -> None:
    said = refused(command("check", name, "--json"))
    assert "\x1b" not in said


def test_a_good_file_under_a_name_that_is_no_text(sandbox: Path) -> None:
    """The system allows names that are no UTF-8. Such a file is refused in a sentence that any terminal can show."""
    name = b"\xff\x9b.yaml"
    os.rename(os.fsencode(sandbox / "act.yaml"), os.fsencode(sandbox) + b"/" + name)
    words = [sys.executable.encode(), b"-m", b"sightline", b"check", name, b"--no-margins", b"--json"]
    ended = subprocess.run(words, cwd=sandbox, capture_output=True, timeout=120)
    assert (ended.returncode, ended.stdout) == (1, b"")
    said = ended.stderr.decode("utf-8")
    assert "name has letters that this system cannot read" in said
    assert all(c.isprintable() or c == "\n" for c in said)


@pytest.mark.parametrize("root", ["loop", "/dev/null", "nowhere"])
def test_a_root_that_is_no_folder(root: str, sandbox: Path, command: Run) -> None:
    loop(sandbox / "loop")
    (sandbox / "s.yaml").write_text(ACT.replace("disc: {radius: 1 m}", "mesh: flat.obj"), encoding="utf-8")
    assert refused(command("check", "s.yaml", "--root", root))
    (sandbox / "t.yaml").write_text(TOUR, encoding="utf-8")
    assert refused(command("tour", "t.yaml", "--root", root, "--out", "new"))


@pytest.mark.parametrize("made", [loop, link_out, device, pipe, folder], ids=lambda made: made.__name__)
def test_nothing_is_written_through_what_stands_there(
    made: Callable[[Path], None], sandbox: Path, command: Run
) -> None:
    """An output's name that is a link to somewhere: never written through, with --force replaced by the file itself."""
    (sandbox / "good.png").write_bytes(b"mine")
    made(sandbox / "bad.png")
    outside = sandbox.parent / "outside.png"
    before = outside.read_bytes() if outside.exists() else None
    refused(command("map", "act.yaml", "--out", "bad.png"))
    ended = command("map", "act.yaml", "--out", "bad.png", "--force")
    assert ended.code in (0, 1), ended.err
    assert (outside.read_bytes() if outside.exists() else None) == before
    assert [name for name in ended.written if name not in ("given", "given/bad.png", ".")] == []
