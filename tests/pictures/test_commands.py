"""`view`, `map`, `look` and `compare` as a user calls them: what is written, what is printed, what is refused."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from textwrap import dedent
from typing import Any

import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.errors import SightlineError
from sightline.pictures import opengl
from tests.pictures.shown import ROWS

BEATS = """
    blocking:
      crowd: stands
      mark: [0 m, 0 m]
      beats:
        - {at: 0 s, name: rings, mark: [0 m, 0 m], hold: 1 s}
        - {at: 3 s, name: steps aside, mark: [1 m, 0 m], hold: 1 s}
"""
CARRIED = ROWS.replace("at: [0 m, 0 m, 1.2 m]}]\n    must", "at: [0 m, 0 m, 1.2 m], carried: yes}]\n    must")


@pytest.fixture(autouse=True)
def no_opengl(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a bare server: everything but `look` is cast with rays."""
    monkeypatch.setattr(opengl, "available", lambda window=False: False)


@pytest.fixture
def run(tmp_path: Path) -> Callable[..., Any]:
    def called(*words: str, scene: str = ROWS) -> Any:
        path = tmp_path / "rows.yaml"
        path.write_text("version: 1\n" + dedent(scene), encoding="utf-8")
        result = CliRunner().invoke(app, [words[0], str(path), *words[1:]])
        if isinstance(result.exception, SightlineError):
            raise result.exception
        return result

    return called


@pytest.mark.parametrize(
    "words",
    [
        ("view", "--eye", "stalls A6"), ("view", "--eye", "stalls A6", "--clean", "--arcmin", "--width", "5"),
        ("view", "--silhouette"), ("view", "--hold", "40 cm", "--width", "8"), ("view", "--contact"), ("map",),
        ("map", "--secret", "board"), ("map", "--each"), ("map", "--margin"), ("map", "--bands"),
    ],
    ids=" ".join,
)  # fmt: skip
def test_a_picture_is_written_and_its_json_printed(
    words: tuple[str, ...], run: Callable[..., Any], tmp_path: Path
) -> None:
    target = tmp_path / "made.svg"
    ended = run(*words, "--json", "--out", str(target))
    assert ended.exit_code == 0, ended.output
    assert target.read_bytes().startswith(b"<?xml")
    said = json.loads(ended.stdout)
    assert said["id"] if words[0] == "view" and "--contact" not in words else said["schema_version"] == 1


def test_beats(run: Callable[..., Any], tmp_path: Path) -> None:
    """Of two beats the one on the open side is the worst; by name the other one is drawn."""
    target = tmp_path / "beats.png"
    ended = run("map", "--worst-beat", "--json", "--out", str(target), scene=CARRIED + BEATS)
    assert ended.exit_code == 0, ended.output
    said = json.loads(ended.stdout)
    assert [beat["name"] for beat in said["beats"]] == ["rings", "steps aside"]
    counts = {beat["name"]: beat["eyes_seen"] for beat in said["beats"]}
    assert counts[said["worst_beat"]] == max(counts.values())
    assert run("map", "--beat", "rings", "--force", "--out", str(target), scene=CARRIED + BEATS).exit_code == 0
    with pytest.raises(SightlineError, match="did you mean 'rings'"):
        run("map", "--beat", "ring", "--out", str(tmp_path / "other.png"), scene=CARRIED + BEATS)
    with pytest.raises(SightlineError, match="no beats"):
        run("map", "--worst-beat", "--out", str(tmp_path / "other.png"))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("view", "--hold", "40"), "--hold"),
        (("view", "--hold", "unknown"), "--hold: unknown is no distance here"),
        (("view", "--hold", "2 cm"), "no distance to hold a print at"),
        (("view", "--hold", "5 m"), "too wide for A4"),
        (("view", "--eye", "stalls Z9"), "There is no eye"),
        (("view", "--pose", "jump"), "There is no pose"),
        (("map", "--secret", "boar"), "There is no secret"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_cannot_be_drawn_is_said(
    words: tuple[str, ...], said: str, run: Callable[..., Any], tmp_path: Path
) -> None:
    with pytest.raises(SightlineError, match=said):
        run(*words, "--out", str(tmp_path / "made.png"))
    assert not (tmp_path / "made.png").exists()


@pytest.mark.parametrize("command", ["view", "map"])
@pytest.mark.parametrize(("name", "said"), [
    ("x" * 300 + ".png", "File name too long"), ("nowhere/x.png", "no folder"), ("folder.png", "is a folder"),
])  # fmt: skip
def test_a_place_that_cannot_be_written_is_said_before_any_work(
    command: str, name: str, said: str, run: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def work(*_: Any, **__: Any) -> None:
        raise AssertionError("The check was begun.")

    monkeypatch.setattr("sightline.cli.work.finding_of", work)
    (tmp_path / "folder.png").mkdir()
    with pytest.raises(SightlineError, match=said):
        run(command, "--force", "--out", str(tmp_path / name))


@pytest.mark.parametrize(
    "words",
    [
        ("map", "--margin", "--bands"), ("map", "--each", "--secret", "board"), ("map", "--fps", "2"),
        ("map", "--bands", "--secret", "board"), ("view", "--contact", "--eye", "stalls A6"),
        ("view", "--arcmin", "--hold", "40 cm"),
    ],
    ids=" ".join,
)  # fmt: skip
def test_options_that_do_not_go_together(words: tuple[str, ...], run: Callable[..., Any]) -> None:
    assert run(*words).exit_code == 2


def test_a_colour_for_nothing_is_refused(run: Callable[..., Any], tmp_path: Path) -> None:
    with pytest.raises(SightlineError, match="did you mean 'screen'"):
        run("view", "--out", str(tmp_path / "a.png"), scene=ROWS + "    colours: {named: {scren: blue}}\n")


def test_bands_need_somebody_who_stands(run: Callable[..., Any], tmp_path: Path) -> None:
    alone = (
        "secrets: [{name: board, rectangle: {width: 60 cm, height: 60 cm}}]\neyes: [{id: E1, at: [0 m, -5 m, 0 m]}]\n"
    )
    with pytest.raises(SightlineError, match="no standing area"):
        run("map", "--bands", "--out", str(tmp_path / "a.png"), scene=alone)


def test_held_seats_are_on_the_map_as_held(run: Callable[..., Any], tmp_path: Path) -> None:
    held = ROWS.replace(
        "      name: A small room\n", "      name: A small room\n      held seats: [stalls B4, stalls B5]\n"
    )
    target = tmp_path / "held.svg"
    assert run("map", "--out", str(target), scene=held).exit_code == 0
    assert "held, nobody sits there" in target.read_text(encoding="utf-8")
