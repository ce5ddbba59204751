"""A move kept on the page, read into a scene: only what must change changes, and what a stranger wrote stays text."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.errors import FileError, SightlineError
from sightline.scene.editing import EditError, quoted
from sightline.scene.keeping import take_move
from sightline.scene.kept import KeptMove
from sightline.scene.reading import read_scene, scene_from_text

SCENE = """\
# The plate. Keep this line.
version: 1
title: "Plate: one"   # its title
covers: [{name: plate, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, -1 m, 0 m]}]
secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}}]
eyes:
  - {id: front, at: [0 m, -6 m, 0 m], kind: seated}
blocking:
  mark: [0 m, 1 m]   # in the middle
  facing: 1/4 left   # to the balcony
# the end
"""
HOSTILE = 'no: "really" \\ #x\n{a: [b]}\t\u2028 \u20ac \U0001f989 \x07 *a &b !!python/object'
KEPT = 'version: 1\nscene: "Plate: one"\nmark: [0.5 m, -0.25 m]\nfacing: 35 deg\nnote: "no: really"\ninitials: AB\ndate: 1 May\n'


def kept(**more: Any) -> KeptMove:
    return KeptMove.model_validate(
        {"version": "1", "scene": "Plate: one", "mark": ["0.5 m", "-0.25 m"], "facing": "35 deg", **more}
    )


def run(*words: str) -> Any:
    return CliRunner().invoke(app, list(words))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "s.yaml").write_text(SCENE, encoding="utf-8")
    (tmp_path / "m.yaml").write_text(KEPT, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_only_what_must_change_changes(folder: Path) -> None:
    done = run("apply", "s.yaml", "m.yaml", "--out", "n.yaml")
    assert done.exit_code == 0, done.output
    old, new = SCENE.splitlines(), (folder / "n.yaml").read_text(encoding="utf-8").splitlines()
    assert [line for line in new if line not in old] == [
        "  mark: [0.5 m, -0.25 m]   # in the middle",
        "  facing: 35 deg   # to the balcony",
        "moves taken: [{mark: [0.5 m, -0.25 m], facing: 35 deg, was mark: [0 m, 1 m], was facing: 45 deg, "
        'note: "no: really", by: "AB", date: "1 May"}]',
    ]
    assert [line for line in old if line in new] == [
        line for line in old if "mark:" not in line and "facing:" not in line
    ]
    scene = read_scene(folder / "n.yaml").model
    assert scene.blocking.mark == (0.5, -0.25)
    assert scene.blocking.facing == pytest.approx(math.radians(35))
    assert (folder / "s.yaml").read_text(encoding="utf-8") == SCENE


def test_a_second_move_is_recorded_after_the_first(folder: Path) -> None:
    run("apply", "s.yaml", "m.yaml", "--out", "n.yaml")
    (folder / "m.yaml").write_text(KEPT.replace("35 deg", "10 deg").replace("AB", "CD"), encoding="utf-8")
    assert run("apply", "n.yaml", "m.yaml", "--out", "n2.yaml").exit_code == 0
    taken = read_scene(folder / "n2.yaml").model.moves_taken
    assert [move.by for move in taken] == ["AB", "CD"]
    assert taken[1].was_facing == pytest.approx(math.radians(35))


def test_nothing_is_written_over_or_half(folder: Path) -> None:
    (folder / "n.yaml").write_text("mine", encoding="utf-8")
    assert isinstance(run("apply", "s.yaml", "m.yaml", "--out", "n.yaml").exception, SightlineError)
    assert (folder / "n.yaml").read_text(encoding="utf-8") == "mine"
    (folder / "m.yaml").write_text(KEPT.replace("35 deg", "35"), encoding="utf-8")
    assert isinstance(run("apply", "s.yaml", "m.yaml", "--out", "x.yaml").exception, FileError)
    assert not (folder / "x.yaml").exists()


def test_the_page_of_another_scene_is_refused(folder: Path) -> None:
    (folder / "m.yaml").write_text(KEPT.replace("Plate: one", "Plate: two"), encoding="utf-8")
    done = run("apply", "s.yaml", "m.yaml", "--out", "n.yaml")
    assert "kept on the page of 'Plate: two'" in str(done.exception)
    assert not (folder / "n.yaml").exists()
    assert run("apply", "s.yaml", "m.yaml", "--out", "n.yaml", "--any-title").exit_code == 0


def test_what_a_stranger_wrote_stays_text() -> None:
    taken = take_move(scene_from_text(SCENE), SCENE, kept(note=HOSTILE, initials='"}', date="{x: y}"))
    found = scene_from_text(taken.text).model
    assert found.moves_taken[0].note == HOSTILE
    assert (found.moves_taken[0].by, found.moves_taken[0].date) == ('"}', "{x: y}")
    assert found.title == "Plate: one"
    assert len(taken.text.splitlines()) == len(SCENE.splitlines()) + 1


def test_quoted_keeps_every_character() -> None:
    import yaml

    text = "".join(map(chr, [*range(1, 0x180), 0x2028, 0x2029, 0xFEFF, 0x1F989]))
    assert yaml.safe_load(quoted(text)) == text


@pytest.mark.parametrize(
    ("blocking", "expected"),
    [
        ("blocking: {mark: [0 m, 1 m], facing: 5 deg}", "blocking: {mark: [0.5 m, -0.25 m], facing: 35 deg}"),
        ("blocking: {aim at: front, mark: [0 m, 1 m]}", "blocking: {facing: 35 deg, mark: [0.5 m, -0.25 m]}"),
        ("blocking: {facing: [0, -1, 0]}", "blocking: {facing: 35 deg, mark: [0.5 m, -0.25 m]}"),
        ("heads: ignore", "heads: ignore"),
    ],
)
def test_every_way_of_writing_the_blocking(blocking: str, expected: str) -> None:
    text = SCENE[: SCENE.index("blocking:")] + blocking + "\n"
    taken = take_move(scene_from_text(text), text, kept()).text
    assert expected in taken
    found = scene_from_text(taken).model.blocking
    assert (found.mark, found.aim_at) == ((0.5, -0.25), None)
    assert found.facing == pytest.approx(math.radians(35))


def test_beats_stay(folder: Path) -> None:
    text = SCENE + "detail: 20 mm\n"
    text = text.replace("# the end", "  beats: [{at: 0 s, mark: [0 m, 0 m]}]")
    taken = take_move(scene_from_text(text), text, kept())
    assert "beats are left" in taken.words
    assert "beats: [{at: 0 s, mark: [0 m, 0 m]}]" in taken.text


def test_what_cannot_be_changed_by_itself_is_told() -> None:
    text = SCENE.replace("  mark: [0 m, 1 m]   # in the middle\n", "  mark:\n    - 0 m\n    - 1 m\n")
    with pytest.raises(EditError, match="several lines"):
        take_move(scene_from_text(text), text, kept())


def test_match_gives_the_word(folder: Path) -> None:
    import json

    import numpy as np
    from matplotlib.image import imsave

    picture = np.ones((60, 180, 3)) * 0.9
    picture[:, :60], picture[:, 60:120] = (0.6, 0.5, 0.4), (0.6, 0.5, 0.4)
    imsave(folder / "p.png", picture)
    words = ["match", "p.png", "--real", "30,30", "--false", "90,30", "--white", "150,30"]
    done = run(*words)
    assert done.stdout.startswith("contrast: matched\n")
    assert "From a photo: rough" in done.stdout
    report = json.loads(run(*words, "--json").stdout)
    assert (report["word"], report["scene_contrast"], report["contrast"]) == ("matched", 0.05, 0.0)
    assert run("match", "p.png", "--real", "30", "--false", "90,30", "--white", "150,30").exit_code == 2
    assert "outside" in str(run("match", "p.png", "--real", "30,60", "--false", "90,30", "--white", "150,30").exception)
    assert isinstance(run("match", "m.yaml", *words[2:]).exception, SightlineError)
