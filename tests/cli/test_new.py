"""`sightline new`: questions at the terminal, options, defaults, and a scene that checks at once."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import pytest

from sightline.cli.new import new
from sightline.errors import SightlineError
from sightline.form.start import new_scene
from sightline.form.venues import venue_marks
from sightline.house.ready import ready_names
from sightline.scene.reading import read_scene, scene_from_text
from sightline.scene.scene import Scene


def run(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "sightline", *words]
    return subprocess.run(command, capture_output=True, text=True, cwd=folder, stdin=subprocess.DEVNULL, check=False)


class Terminal(io.StringIO):
    """Somebody who types these lines."""

    def isatty(self) -> bool:
        return True


def typed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, *lines: str) -> Scene:
    monkeypatch.setattr(sys, "stdin", Terminal("\n".join(lines) + "\n" * 20))
    new(tmp_path / "act.yaml")
    return read_scene(tmp_path / "act.yaml").model


def test_enter_all_the_way_gives_the_defaults(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    scene = typed(monkeypatch, tmp_path)
    assert scene.title == "Act"
    assert scene.performer is not None
    assert scene.performer.stature == pytest.approx(1.72)


def test_a_bad_answer_is_asked_again(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = typed(
        monkeypatch, tmp_path, "Owl Post", "172", "17 cm", "5 ft 8 in", "middle", "r", "46 x 34",
        "18 x 13 x 12 in", "9 in",
        "1/8 in", "star 3 cm", "round 40 cm", "slot 6 x 4 in", "", "", "nowhere", "right side", "1 cm", "0, -5, 6 cm",
        "thrust", "thrust-220", "", "sideways", "1/4 left",
    )  # fmt: skip
    said = capsys.readouterr().err
    assert said.count("[172 cm]") == 3
    assert "'172' has no unit" in said
    assert "'17 cm' is outside what can be: 0.5 m to 2.5 m." in said
    assert "width x depth x height" in said
    assert "The walls are so thick" in said
    assert "round 15 cm, slot 16 x 12 cm" in said
    assert "did you mean 'thrust-220'?" in said
    assert scene.title == "Owl Post"
    assert scene.performer is not None
    assert scene.performer.hide == ["right arm"]
    assert scene.false_limbs[0].replaces == "right arm"
    assert scene.prop is not None
    assert scene.prop.openings[0].shape == "slot"
    assert scene.blocking.mark == (0.0, -3.0)
    text = (tmp_path / "act.yaml").read_text(encoding="utf-8")
    for own_words in (
        "stature: 5 ft 8 in",
        "width: 18 in",
        "wall: 1/8 in",
        "facing: 1/4 left",
        "grip: [0 cm, -5 cm, 6 cm]",
    ):
        assert own_words in text


def test_broken_off_questions_write_nothing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "stdin", Terminal("Act\n"))
    with pytest.raises(SightlineError, match="broken off"):
        new(tmp_path / "act.yaml")
    assert list(tmp_path.iterdir()) == []


def test_options_answer_instead(tmp_path: Path) -> None:
    done = run(
        "new", "owl", "--stature", "about 172 cm", "--hide", "left arm", "--box", "46 x 34 x 30 cm", "--opening",
        "round 14 cm", "--venue", "street-circle", "--facing", "-10 deg", "--wall", "6 mm", "--up", "110 cm",
        "--hand", "left, 1, -5 cm",
        folder=tmp_path,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout == ""
    text = (tmp_path / "owl.yaml").read_text(encoding="utf-8")
    assert "stature: about 172 cm" in text
    assert "at: [1 cm, -5 cm]" in text
    assert "# barefoot" in text
    assert run("new", "owl", folder=tmp_path).returncode == 1
    assert run("new", "owl.yaml", "--force", "--yes", folder=tmp_path).returncode == 0


@pytest.mark.parametrize(
    ("option", "answer", "sentence"),
    [
        ("--stature", "172", "--stature: '172' has no unit"),
        ("--hide", "both", "--hide: 'both arm' is not one of the choices"),
        ("--box", "46 cm", "--box: Please write width x depth x height"),
        ("--opening", "round 45 cm", "--opening: The opening is 450 mm"),
        ("--venue", "../venues/x", "--venue: There is no ready venue"),
        ("--facing", "[0, 1, 0]", "--facing: '[0, 1, 0]' is not a angle"),
        ("--mark", "0 m", "--mark: Please write two lengths"),
        ("--title", "a\nb", "--title: A name is one line"),
        ("--box", "12 x 12 x 12 cm", "The usual answer 'round 15 cm' will not do here; say --opening."),
    ],
)
def test_an_option_that_will_not_do_writes_nothing(tmp_path: Path, option: str, answer: str, sentence: str) -> None:
    done = run("new", "owl", option, answer, folder=tmp_path)
    assert done.returncode == 1
    assert sentence in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "title", ["Owl: a tale # 1", "'", "- x", "[x]", "{a: b}", "&a", "*a", "!x", "yes", "null", "🦉", "%x"]
)
def test_any_title_reads_back(title: str) -> None:
    assert scene_from_text(new_scene({"title": title})).model.title == title


@pytest.mark.parametrize("arm", ["left", "right"])
@pytest.mark.parametrize("venue", ready_names())
def test_every_venue_and_arm_checks_at_once(tmp_path: Path, venue: str, arm: str) -> None:
    done = run("new", "act", "--venue", venue, "--hide", arm, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    scene = read_scene(tmp_path / "act.yaml").model
    assert scene.false_limbs[0].replaces == f"{arm} arm"
    assert [f"{v:g} m" for v in scene.blocking.mark] == list(venue_marks()[venue][1:])
    if venue in ("arena-18000", "amphitheatre-3000"):
        return  # A check of so many eyes takes minutes: test_ready_limits.py and test_arena.py look from a part of them.
    few = ("--no-margins",) if venue == "proscenium-1100" else ()
    checked = run("check", "act.yaml", "--json", *few, folder=tmp_path)
    assert checked.returncode == 0, checked.stderr
