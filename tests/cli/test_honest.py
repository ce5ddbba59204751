"""Every output says what it takes for granted and what was not checked; cautions stand where work can hurt."""

from __future__ import annotations

import inspect
import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from sightline.blocking import cautions, levers
from sightline.cli.advise import HOUSE_KINDS, KINDS
from sightline.cli.main import app
from sightline.house.eyes import Eye
from sightline.packet.frame import RESTS
from sightline.packet.openwords import TELLING, first_telling
from sightline.pictures.clock import SHADES
from sightline.scene.papers import Papers
from sightline.scene.reading import scene_from_text
from sightline.scene.scene import Noticing
from sightline.sight import noticing
from sightline.staging import noticed
from sightline.staging.noticed import noticing_notes
from sightline.staging.stage import NOT_CHECKED
from sightline.workshop.bench import bench_of
from sightline.workshop.cards import cards_of

ACT = """\
version: 1
title: The Parcel
performer: {stature: 170 cm, hide: [left arm]}
pose: {hidden elbow: 0 deg}
prop:
  name: crate
  box: {width: 46 cm, depth: 32 cm, height: 30 cm, wall: 6 mm, top: open, mass: 2.1 kg}
  at: {ahead: 37 cm, up: 112 cm}
  openings:
    - {wall: back, shape: round, diameter: 16 cm, at: [12 cm, 0 cm]}
false limbs:
  - {replaces: left arm, hand at: {wall: left, at: [-2 cm, -6 cm]}, seams: [{name: wrist seam, ring: 0.97}]}
rig:
  - strap: {over: right, width: 38 mm}
  - hook: {at: {wall: back, at: [0 cm, 5 cm]}}
puppet: {name: owl, height: 34 cm, grip: [4 cm, -2 cm, 2 cm], mass: 0.35 kg}
eyes: [{id: E1, at: [0 m, -5 m, 1.5 m]}]
"""
PLATE = """\
version: 1
title: A plate before a board
covers: [{name: plate, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, -1 m, 1.2 m], carried: yes}]
secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}, at: [0 m, 0 m, 1.2 m], carried: yes}]
eyes: [{id: front, at: [0 m, -6 m, 1.2 m]}, {id: side, at: [1.2 m, -4 m, 1.2 m]}]
"""
BEATS = """\
blocking:
  beats:
    - {at: 0 s, name: waits, mark: [0 m, 0 m], facing: 0 deg, hold: 1 s}
    - {at: 2 s, name: turns, facing: 20 deg, hold: 1 s}
"""
CROWD = """\
version: 1
title: A plate in a square
covers: [{name: plate, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, -1 m, 1.2 m], carried: yes}]
secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}, at: [0 m, 0 m, 1.2 m], carried: yes}]
venue: {name: A square, standing: [{area: front, rectangle: {from: [-1 m, -4 m], to: [1 m, -3 m]}, density: 0.5}]}
"""
TOUR = """\
version: 1
title: Two halls
venues: [hall.yaml]
scenes: [plate.yaml]
"""
HALL = """\
version: 1
name: Hall
stage: {kind: floor, width: 4 m, depth: 3 m}
eyes: [{id: A, at: [0 m, -5 m, 1.2 m]}]
"""
# The words after each command that prints JSON: one small scene, and what else it needs. A command with --json that is
# not here makes the first test fail.
WORDS: dict[str, tuple[str, ...]] = {
    "check": ("plate.yaml",),
    "map": ("plate.yaml", "--force"),
    "view": ("plate.yaml", "--rays", "--force"),
    "advise": ("plate.yaml", "--changes", "1", "--only", "turn"),
    "fit": ("act.yaml",),
    "match": ("photo.png", "--real", "10,10", "--false", "10,10", "--white", "50,50"),
    "cards": ("act.yaml",),
    "body": ("--stature", "172 cm"),
    "mockup": ("act.yaml",),
    "compare": ("plate.yaml", "beats.yaml"),
    "pattern": ("act.yaml", "--seams", "flat"),
    "recast": ("act.yaml", "--stature", "172 cm"),
    "marks": ("act.yaml",),
    "drift": ("plate.yaml", "--draws", "5"),
    "clock": ("plate.yaml",),
    "rehearse": ("beats.yaml", "--fps", "1"),
    "packet": ("plate.yaml", "--only", "data", "--out"),
    "venue": ("black-box",),
    "tour": ("tour.yaml",),
}
# What prints no lists, and why.
NO_TEXT_LISTS = {"map": "it writes a picture, whose foot says so", "view": "it writes a picture, whose foot says so"}
MORE = (
    ("map", "crowd.yaml", "--bands", "--force"),
    ("map", "beats.yaml", "--worst-beat", "--force"),
    ("view", "plate.yaml", "--contact", "--force"),
    ("rehearse", "beats.yaml", "--at", "1 s", "--eye", "front"),
)
# What looks at the scene as check does carries what that does not look at.
OF_SCENE = ("check", "map", "view", "advise", "drift", "clock", "rehearse", "packet", "tour", "recast")
CAUTIOUS = ("advise", "clock", "drift", "marks", "mockup", "recast", "pattern", "tour")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("honest")
    scenes = {"act": ACT, "plate": PLATE, "beats": PLATE + BEATS, "crowd": CROWD, "tour": TOUR, "hall": HALL}
    for name, text in scenes.items():
        (made / f"{name}.yaml").write_text(text, encoding="utf-8")
    import matplotlib.image

    photo = np.full((60, 60, 3), 0.5)
    photo[40:, 40:] = 1.0
    matplotlib.image.imsave(made / "photo.png", photo)
    return made


def run(folder: Path, monkeypatch: pytest.MonkeyPatch, *words: str) -> str:
    monkeypatch.chdir(folder)
    done = CliRunner().invoke(app, list(words))
    assert done.exit_code == 0, f"{words}: {done.output} {done.exception}"
    return str(done.stdout)


def of(command: str, folder: Path, tmp_path: Path) -> list[str]:
    """The command with its words; what has to be written goes where nothing is yet."""
    words = [command, *WORDS[command]]
    return [*words, str(tmp_path / "out")] if words[-1] == "--out" else words


def with_json() -> list[str]:
    """Every command of the program that takes --json."""
    names = []
    for command in app.registered_commands:
        assert command.callback is not None
        if "json" in inspect.signature(command.callback).parameters:
            names.append(str(command.name))
    return names


def test_no_command_with_json_is_forgotten() -> None:
    assert set(with_json()) == set(WORDS)


@pytest.mark.parametrize("command", WORDS)
def test_json_lists_what_it_rests_on(
    command: str, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    report = json.loads(run(folder, monkeypatch, *of(command, folder, tmp_path), "--json"))
    listed(report)
    if command in OF_SCENE:
        assert any("cloth" in said for said in report["not_checked"])
    if command in CAUTIOUS:
        assert report["cautions"]


@pytest.mark.parametrize("words", MORE, ids=lambda words: " ".join(words[:3]))
def test_json_of_other_kinds_lists_it_too(
    words: tuple[str, ...], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    listed(json.loads(run(folder, monkeypatch, *words, "--json")))


def listed(report: dict[str, Any]) -> None:
    assert report["schema_version"] == 1
    for key in ("assumptions", "not_checked"):
        assert report[key], key
        assert all(isinstance(said, str) and said for said in report[key])
        assert len(set(report[key])) == len(report[key]), "a sentence is said twice"


@pytest.mark.parametrize("command", [name for name in WORDS if name not in NO_TEXT_LISTS])
def test_text_ends_with_both_lists(command: str, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lines = run(folder, monkeypatch, *of(command, folder, tmp_path)).rstrip().splitlines()
    heads = [n for n, line in enumerate(lines) if line.strip().startswith(("Taken for granted", "Not checked"))]
    assert [lines[n].strip()[:3] for n in heads] == ["Tak", "Not"]
    rest = [line for line in lines[heads[0] + 1 :] if line.strip()]
    assert all(line.startswith("    - ") or line.strip().startswith("Not checked") for line in rest)
    assert lines[-1].startswith("    - ")


def test_cloth_that_moves_is_never_checked() -> None:
    assert any("cloth" in said and "draught" in said for said in NOT_CHECKED)


def test_a_kept_move_is_said_to_be_unchecked(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    from tests.cli.test_apply import KEPT  # the move as a page keeps it

    monkeypatch.chdir(folder)
    (tmp_path / "kept.yaml").write_text(KEPT, encoding="utf-8")
    done = CliRunner().invoke(
        app, ["apply", "plate.yaml", str(tmp_path / "kept.yaml"), "--out", str(tmp_path / "new.yaml"), "--any-title"]
    )
    assert done.exit_code == 0, done.output
    assert "not checked by rays yet" in done.stderr


def test_usual_figures_are_those_that_are_used() -> None:
    assert noticed.USUAL_SPOT_ARCMIN == noticing.SPOT_ARCMIN
    assert noticed.USUAL_POINT_ARCMIN == noticing.POINT_ARCMIN
    assert noticed.USUAL_LINE_ARCSEC == noticing.LINE_ARCSEC
    assert noticed.USUAL_RUN_ARCMIN == noticing.LINE_RUN_ARCMIN
    assert noticed.USUAL_PIXELS == noticing.CAMERA_PIXELS
    assert pytest.approx(noticing.EYES_APART_M * 1000) == noticed.USUAL_APART_MM
    assert pytest.approx(noticing.LEAN_M * 1000) == noticed.USUAL_LEAN_MM
    assert noticed.CAMERAS == noticing.CAMERAS
    # As much darker or lighter as a line must be of a camera's pixel: a tenth, in arcsec of one arcmin.
    assert noticing.acuity("phone", 1.0).line_arcsec == 60.0 / 10


def test_noticing_is_said_as_it_is_in_force() -> None:
    usual = " ".join(noticing_notes(Noticing(), [], lines=True))
    assert "from 2 arcmin (a bare point: 1 arcmin), the usual figures" in usual
    assert "0.5 arcsec, the usual figure" in usual
    own = Noticing.model_validate({"spot arcmin": "6", "line arcsec": "60", "sway": "no"})
    said = " ".join(noticing_notes(own, [], lines=True))
    assert "from 6 arcmin, as the scene says" in said
    assert "60 arcsec, as the scene says" in said
    assert "People sway" not in said
    assert not any("arcsec" in note for note in noticing_notes(own, [], lines=False))
    phone = Eye("P", "phone", (0.0, -3.0, 2.0))
    assert any("pixels" in note for note in noticing_notes(own, [phone], lines=False))
    assert not any("pixels" in note for note in noticing_notes(own, [], lines=False))


@pytest.mark.parametrize("facing", [0.0, 135.0, 180.0, -135.0])
def test_a_turn_is_said_by_the_performers_own_side_whichever_way_they_face(facing: float) -> None:
    """Stage left is the performer's left only for one who faces the house."""
    written = scene_from_text(PLATE)
    words = levers.turn_to(written, np.radians(facing), np.radians(10.0)).words
    assert words == "turn 10.0 deg to the performer's own left"
    assert levers.turn_to(written, np.radians(facing), np.radians(-10.0)).words.endswith("own right")


def test_a_change_has_a_kind_that_a_search_can_be_kept_to() -> None:
    found = levers.levers(scene_from_text(ACT), [90.0])
    kinds = {lever.full().kind for lever in found}
    assert kinds <= {*KINDS, *HOUSE_KINDS}
    assert {"raise", "tilt", "flap", "sleeve", "drape", "masking"} <= kinds


def test_the_clock_cards_colours_are_bounds_and_the_worst_is_never() -> None:
    *bounds, worst = SHADES
    assert [said for *_, said in bounds] == [f"{most:g} m" for most, *_ in bounds]
    assert worst[-1] == "never"
    assert worst[0] == np.inf


def test_the_handlers_paper_and_the_signals_card_say_one_thing() -> None:
    from types import SimpleNamespace

    from sightline.packet.wearing import _fine

    own = bench_of(scene_from_text(ACT + "signals: {fine: two clicks of the tongue}\n"))
    assert _fine(SimpleNamespace(bench=own)) == "two clicks of the tongue"  # type: ignore[arg-type]
    card = {card.key: card for card in cards_of(own)}["signals"]
    assert any(row.small == "two clicks of the tongue" for block in card.blocks for row in block.rows)


def test_seconds_that_nobody_timed_are_said_to_be_guessed() -> None:
    doff = {card.key: card for card in cards_of(bench_of(scene_from_text(ACT)))}["doff"]
    asides = [block.aside for block in doff.blocks if "s in all" in block.aside]
    assert asides
    assert all("about" in aside and "guessed" in aside for aside in asides)
    assert "guessed" in doff.lead


def test_every_sheet_of_a_packet_says_how_far_the_work_is() -> None:
    status = {"planned", "mock-up checked", "as built"}
    assert set(Papers.model_fields["status"].annotation.__args__) == status  # type: ignore[union-attr]
    for openness, said in RESTS.items():
        assert set(said) == status
        for key, line in said.items():
            assert ("not" in line and "walked" in line) == (key != "as built")
            assert openness == "closed" or first_telling(line, TELLING) is None


def test_cautions_defer_to_whoever_decides() -> None:
    """Every caution names who comes before it, or what is done; none is a promise."""
    own = [value for name, value in vars(cautions).items() if name.isupper() and isinstance(value, (str, tuple))]
    texts = [text for value in own for text in ((value,) if isinstance(value, str) else value)]
    assert len(set(texts)) >= 15
    assert not [text for text in texts if re.search(r"\bsafe\b", text.casefold())]
    deferring = ("venue", "local", "doctor", "licensed", "qualified", "steward", "sheet")
    assert sum(any(word in text for word in deferring) for text in set(texts)) >= 9


def test_a_childs_body_sheet_names_the_law(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    report = json.loads(run(folder, monkeypatch, "body", "--age", "10", "--json"))
    assert cautions.CHILD in report["cautions"]
    assert json.loads(run(folder, monkeypatch, "body", "--stature", "172 cm", "--json"))["cautions"] == []
