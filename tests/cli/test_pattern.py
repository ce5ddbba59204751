"""`sightline pattern`: what it writes and says, the seams it puts back into the scene, and every wrong way to ask."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.cli.patternfiles import ENDINGS
from sightline.errors import SightlineError
from tests.conftest import REPOSITORY

# A bare false arm, watched from the front only: its outer and front side show, its inner and back side do not.
BARE = """\
version: 1
title: A bare arm
performer: {stature: 172 cm, hide: [left arm]}
pose: {gaze: audience, visible hand: {wall: right, at: [0 cm, -8 cm]}, hidden elbow: 0 deg}
prop:
  name: crate
  box: {width: 46 cm, depth: 32 cm, height: 30 cm, wall: 6 mm}
  at: {ahead: 37 cm, up: 118 cm}
  openings: [{wall: back, shape: round, diameter: 14 cm, at: [12 cm, 0 cm]}]
false limbs:
  - replaces: left arm
    hand at: {wall: left, at: [-2 cm, -6 cm]}
    foam: {thickness: 10 mm}
    seams: [{name: old seam, side: front}]
rig: [{strap: {over: right}}]
puppet: {grip: [4 cm, -2 cm, 2 cm], mass: 0.35 kg, moves: {}}
eyes:
  - {id: E1, at: [0 m, -6 m, 1.2 m], kind: seated}
  - {id: E2, at: [2 m, -6 m, 1.2 m], kind: seated}
  - {id: E3, at: [-2 m, -6 m, 1.2 m], kind: seated}
noticing: {sway: no}
"""
# Two seams along each bone: the usual places are inner and outer, and the outer one shows.
TWO = ("--panels", "2")


def run(*words: str) -> Any:
    return CliRunner().invoke(app, ["pattern", *words])


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    """One run with all files, and its document."""
    folder = tmp_path_factory.mktemp("pattern")
    (folder / "bare.yaml").write_text(BARE, encoding="utf-8")
    done = run(str(folder / "bare.yaml"), "--limb", "false left arm", *TWO, "--json", "--out", str(folder / "arm"))
    assert done.exit_code == 0, f"{done.output} {done.exception}"
    return folder, json.loads(done.stdout)


def test_every_file_is_written(made: tuple[Path, dict[str, Any]]) -> None:
    folder, _ = made
    there = {path.name.removeprefix("arm-"): path for path in folder.iterdir() if path.name.startswith("arm-")}
    assert set(there) == set(ENDINGS)
    starts = {"pdf": b"%PDF", "svg": b"<?xml", "png": b"\x89PNG", "dxf": b"  0\nSECTION"}
    for name, path in there.items():
        assert path.read_bytes().startswith(starts[name.split(".")[-1]]), name
        assert path.stat().st_size > 2_000, name


def test_the_document_has_the_keys_of_the_contract(made: tuple[Path, dict[str, Any]]) -> None:
    _, report = made
    assert set(report) >= {"schema_version", "title", "scene", "limb", "foam", "pieces", "seams", "layout", "strain", "materials",
                           "glue", "assembly", "cautions", "assumptions", "not_checked"}  # fmt: skip
    assert report["schema_version"] == 1
    assert report["scene"] == "bare.yaml"
    assert [piece["number"] for piece in report["pieces"]] == list(range(1, len(report["pieces"]) + 1))
    for piece in report["pieces"]:
        assert piece["sheet"] == 1
        assert piece["pages"]
        assert piece["strain"]["rms"] > 0
    assert {seam["name"] for seam in report["seams"]} >= {
        "elbow seam",
        "upper arm seam 1",
        "upper arm seam 2",
        "forearm seam 1",
        "forearm seam 2",
    }
    assert report["assembly"][-1]["step"] == len(report["assembly"])
    assert all(step["reached"] for step in report["assembly"])
    assert any("ventilation" in said for said in report["cautions"])
    assert report["assumptions"]
    assert report["not_checked"]


def test_seams_run_where_few_look(made: tuple[Path, dict[str, Any]]) -> None:
    """Seen from the front only, routed seams show at most a tenth of what the usual ones show."""
    _, report = made
    routing = report["routing"]
    assert routing["way"] == "hide"
    # A tenth of nothing would prove nothing.
    assert routing["visible_before_m"] > 0.03
    assert routing["visible_after_m"] <= 0.1 * routing["visible_before_m"]


def test_the_seams_go_back_into_the_scene_and_check_agrees(made: tuple[Path, dict[str, Any]]) -> None:
    folder, report = made
    new = folder / "new.yaml"
    done = run(str(folder / "bare.yaml"), *TWO, "--apply", "--out", str(new), "--json")
    assert done.exit_code == 0, f"{done.output} {done.exception}"
    # The same scene gives the same bytes.
    assert json.loads(done.stdout) == report
    assert "old seam" in done.stderr
    checked = CliRunner().invoke(app, ["check", str(new), "--json", "--no-margins"])
    found = json.loads(checked.stdout)
    seams = {seam["name"]: seam for seam in report["seams"]}
    assert "old seam" not in " ".join(found["secrets"])
    for name, secret in found["secrets"].items():
        if secret["kind"] != "seam":
            continue
        seam = seams[next(known for known in seams if known in name)]
        seen = [eye["secrets"][name]["visible_length_m"] for eye in found["eyes"]]
        assert sum(seen) / len(seen) == pytest.approx(seam["visible_m"], abs=0.01), name


def test_existing_files_are_refused_before_any_work(made: tuple[Path, dict[str, Any]]) -> None:
    folder, _ = made
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    done = run(str(folder / "bare.yaml"), "--out", str(folder / "arm"))
    assert isinstance(done.exception, SightlineError)
    assert "already there" in str(done.exception)
    assert {path.name: path.read_bytes() for path in folder.iterdir() if path.name in before} == before


@pytest.mark.parametrize(("words", "said"), [
    (("--limb", "false left arn"), "did you mean 'false left arm'"),
    (("--stock", "10 x 10 cm"), "Piece"),
    (("--stock", "large"), "no size of a sheet"),
    (("--stock", "24 x"), "no size of a sheet"),
    (("--gap", "wide"), "--gap"),
    (("--gap", "unknown"), "--gap: unknown is no length here."),
    (("--out", "nowhere/arm"), "no folder"),
    (("--out", "x" * 300), "File name too long"),
    (("--apply", "--out", "nowhere/n.yaml"), "no folder"),
    (("--apply", "--out", "."), "is a folder"),
])  # fmt: skip
def test_what_cannot_be_is_told_and_nothing_is_written(
    words: tuple[str, ...], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("bare.yaml").write_text(BARE, encoding="utf-8")
    out = () if "--out" in words else ("--out", "arm")
    done = run("bare.yaml", *words, *out)
    assert isinstance(done.exception, SightlineError), done.output
    assert said in str(done.exception)
    assert [path.name for path in tmp_path.iterdir()] == ["bare.yaml"]


@pytest.mark.parametrize(("written", "instead", "said"), [
    ("thickness: 10 mm", "thickness: 0 mm", "more than nothing"),
    ("thickness: 10 mm", "thickness: -3 mm", "more than nothing"),
    ("thickness: 10 mm", "thickness: 60 mm", "too thick"),
])  # fmt: skip
def test_foam_that_cannot_be_is_told(written: str, instead: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "bare.yaml"
    path.write_text(BARE.replace(written, instead), encoding="utf-8")
    done = run(str(path))
    assert isinstance(done.exception, SightlineError), done.output
    assert said in str(done.exception)
    assert not done.stdout


def unwatched(folder: Path) -> Path:
    """The scene with nobody watching."""
    path = folder / "bare.yaml"
    start, end = BARE.index("eyes:"), BARE.index("noticing:")
    path.write_text(BARE[:start] + BARE[end:], encoding="utf-8")
    return path


@pytest.mark.parametrize("way", ["hide", "balanced"])
def test_seams_cannot_be_hidden_from_nobody(way: str, tmp_path: Path) -> None:
    done = run(str(unwatched(tmp_path)), "--seams", way)
    assert isinstance(done.exception, SightlineError), done.output
    assert "nobody is watching" in str(done.exception)


def test_without_eyes_the_seams_lie_flat_and_it_says_why(tmp_path: Path) -> None:
    path = unwatched(tmp_path)
    done = run(str(path))
    assert done.exit_code == 0, done.exception
    assert "nobody is watching" in done.stdout
    applied = run(str(path), "--apply", "--out", str(tmp_path / "new.yaml"))
    assert isinstance(applied.exception, SightlineError)
    assert not (tmp_path / "new.yaml").exists()


@pytest.mark.parametrize("words", [
    ("--seams", "loud"), ("--shape", "round"), ("--paper", "a3"), ("--apply",), ("--keep", "old seam"), ("--panels", "9"),
])  # fmt: skip
def test_wrong_usage_ends_with_code_2(words: tuple[str, ...], tmp_path: Path) -> None:
    path = tmp_path / "bare.yaml"
    path.write_text(BARE, encoding="utf-8")
    assert run(str(path), *words).exit_code == 2


def test_a_scene_without_a_false_limb_is_told(tmp_path: Path) -> None:
    path = REPOSITORY / "examples/courier-stage-mended.yaml"
    text = path.read_text(encoding="utf-8")
    start, end = text.index("false limbs:"), text.index("rig:")
    bare = tmp_path / "none.yaml"
    bare.write_text(text[:start] + text[end:].replace("  - sleeve: {on: false arm, to: 0.95}\n", ""), encoding="utf-8")
    done = run(str(bare))
    assert isinstance(done.exception, SightlineError), done.output
    assert "no false" in str(done.exception)
