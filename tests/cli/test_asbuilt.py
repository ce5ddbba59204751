"""`mockup --sheet` and `compare --as-built` as a builder runs them, in a folder of their own."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.errors import SightlineError
from sightline.scene.reading import read_scene
from tests.workshop.test_asbuilt import PLATE, WIDTH, covered

SHEET = f"""\
# filled in by hand
version: 1
as built: plate
by: "A\\eB"
date: 1 May
sizes:
  {WIDTH}: {{planned: 1 m, measured: 80 cm}}
  covers[0].rectangle.height: {{planned: 2 m, measured: 2 m}}
  covers[0].at[0]: {{planned: 0 m, measured: unknown}}
ticks:
  E3:
    saw: yes
    where: a gap, low, "\\e[31m"
  E15: {{saw: no}}
"""


def run(*words: str) -> Any:
    return CliRunner().invoke(app, list(words))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "s.yaml").write_text(PLATE, encoding="utf-8")
    (tmp_path / "b.yaml").write_text(SHEET.replace('"\\e[31m"', "here"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def compared(*words: str) -> Any:
    done = run("compare", "s.yaml", "--as-built", "b.yaml", "--json", *words)
    assert done.exit_code == 0, done.exception or done.output
    return json.loads(done.stdout)


def test_what_moved_and_whose_verdict_changes(folder: Path) -> None:
    """By the inequality beside PLATE: 12 of 41 see the target as planned, 18 past the narrower plate; E3 says so itself."""
    found = compared()
    (moved,) = found["sizes"]["moved"]
    assert (moved["size"], moved["planned"], moved["built"], moved["difference"]) == (WIDTH, "1 m", "80 cm", -0.2)
    assert found["sizes"]["as_planned"] == ["covers[0].rectangle.height"]
    assert found["sizes"]["unknown"] == ["covers[0].at[0]"]
    assert "covers[0].at[1]" in found["sizes"]["not_measured"]
    assert set(found["verdicts_changed"]["hidden -> seen"]) == covered(1.0) - covered(0.8)
    assert found["summary"] == {
        "eyes_seen_planned": 12, "eyes_seen_built": 18, "eyes_seen_counted": 19, "seen_by_tick_alone": ["E3"],
    }  # fmt: skip
    assert found["matters_most"] == [WIDTH]
    assert [(tick["eye"], tick["agrees"]) for tick in found["ticks"]] == [("E3", False), ("E15", False)]
    again = run("compare", "s.yaml", "--as-built", "b.yaml", "--json").stdout
    assert again == run("compare", "s.yaml", "--as-built", "b.yaml", "--json").stdout
    assert {path.name for path in folder.iterdir()} == {"s.yaml", "b.yaml"}


def test_the_words_say_it(folder: Path) -> None:
    (folder / "b.yaml").write_text(SHEET, encoding="utf-8")
    done = run("compare", "s.yaml", "--as-built", "b.yaml")
    assert done.exit_code == 0, done.exception
    for said in (
        f"{WIDTH}: 1 m -> 80 cm, 20.0 cm (7 7/8 in) less",
        "1 size moved; 1 as planned; 7 not measured; 1 could not be measured.",
        "12 as planned, 18 as built; 19 with what somebody saw.",
        "hidden -> seen: 6 eyes: E-14, E-13, E-12, E12, E13, E14",
        f"Matters most: {WIDTH}",
        "E3, from its seat: ticked seen",
        "Believe the eye: it counts as seen.",
        "It still counts as seen",
        "Not checked:",
    ):
        assert said in done.stdout
    assert "\x1b" not in done.stdout


def test_both_versions_are_kept(folder: Path) -> None:
    done = run("compare", "s.yaml", "--as-built", "b.yaml", "--out", "n.yaml")
    assert done.exit_code == 0, done.exception
    old, new = PLATE.splitlines(), (folder / "n.yaml").read_text(encoding="utf-8").splitlines()
    assert (folder / "s.yaml").read_text(encoding="utf-8") == PLATE
    plate = "{width: 1 m, height: 2 m}, at: [0 m, -1 m, 0 m]}   # of plywood"
    assert [line for line in new if line not in old] == [
        f"  - {{name: plate, rectangle: {plate}".replace("1 m, h", "80 cm, h"),
        f'as built: [{{sizes: [{{size: "{WIDTH}", planned: 1 m, built: 80 cm}}], seen from: ["E3"], by: "A\\x1bB", date: "1 May"}}]',
    ]
    assert [line for line in old if line not in new] == [f"  - {{name: plate, rectangle: {plate}"]
    (taken,) = read_scene(folder / "n.yaml").model.as_built
    assert (taken.sizes[0].planned, taken.sizes[0].built, taken.seen_from) == ("1 m", "80 cm", ["E3"])
    # Nothing in the record is taken for a range, and what is computed is as of any other scene; but who saw it saw it.
    report = json.loads(run("check", "n.yaml", "--json", "--no-margins").stdout)
    assert (report["summary"]["eyes_seen"], report["seen_as_built"]) == (18, ["E3"])
    assert "As built, somebody saw one from E3" in run("check", "n.yaml", "--no-margins").stdout
    assert run("check", "n.yaml", "--no-margins", "--require-seen", "19").exit_code == 0
    assert run("check", "n.yaml", "--no-margins", "--require-seen", "18").exit_code == 3
    # An eye that somebody saw it from and that sees it with things off as well is one eye.
    off = json.loads(run("check", "n.yaml", "--json", "--no-margins", "--robust").stdout)
    count = len({eye["id"] for eye in off["eyes"] if eye["robust"]["verdict"] == "seen"} | {"E3"})
    asked = ("check", "n.yaml", "--no-margins", "--robust", "--require-seen")
    assert [run(*asked, str(n)).exit_code for n in (count, count - 1)] == [0, 3]
    # What was built is the plan of the next sheet, which joins the record.
    (folder / "b.yaml").write_text(SHEET.replace("1 m, measured: 80 cm", "80 cm, measured: 82-84 cm"), encoding="utf-8")
    assert run("compare", "n.yaml", "--as-built", "b.yaml", "--out", "n2.yaml").exit_code == 0
    assert [len(taken.sizes) for taken in read_scene(folder / "n2.yaml").model.as_built] == [1, 1]


@pytest.mark.parametrize("out", ["s.yaml", "b.yaml", "./s.yaml"])
def test_neither_plan_nor_sheet_is_written_over(folder: Path, out: str) -> None:
    done = run("compare", "s.yaml", "--as-built", "b.yaml", "--out", out, "--force")
    assert isinstance(done.exception, SightlineError)
    assert "kept as it is" in str(done.exception)
    assert (folder / "s.yaml").read_text(encoding="utf-8") == PLATE


def test_a_sheet_that_changes_nothing_says_so(folder: Path) -> None:
    (folder / "b.yaml").write_text(
        f"version: 1\nas built: plate\nsizes:\n  {WIDTH}: {{planned: 1 m, measured: 39 3/8 in}}\n", encoding="utf-8"
    )
    # 39 3/8 in is 0.125 mm more than a metre, which is more than a scene's tenth of a millimetre.
    assert len(compared()["sizes"]["moved"]) == 1
    (folder / "b.yaml").write_text(
        f"version: 1\nas built: plate\nsizes:\n  {WIDTH}: {{planned: 1 m, measured: 100 cm}}\n", encoding="utf-8"
    )
    found = compared()
    assert all(entry["change"] == "same" for eye in found["eyes"] for entry in eye["secrets"].values())
    assert (found["sizes"]["moved"], found["verdicts_changed"], found["alone"]) == ([], {}, [])
    assert found["before"]["summary"] == found["after"]["summary"]
    words = run("compare", "s.yaml", "--as-built", "b.yaml").stdout
    assert "Everything that was measured is as planned." in words
    assert "No verdict that is computed changes." in words
    (folder / "b.yaml").write_text("version: 1\nas built: plate\n", encoding="utf-8")
    assert "Nothing is filled in" in run("compare", "s.yaml", "--as-built", "b.yaml").stdout


def test_a_requirement_that_fails_ends_with_3(folder: Path) -> None:
    words = ("compare", "s.yaml", "--as-built", "b.yaml")
    assert run(*words, "--require-seen", "19").exit_code == 0
    # 18 by the computation, and one who was believed.
    assert run(*words, "--require-seen", "18").exit_code == 3
    (folder / "s.yaml").write_text(PLATE + "require: {seen: 18}\n", encoding="utf-8")
    assert run(*words).exit_code == 3
    assert run(*words, "--require-seen", "41").exit_code == 0
    assert run("compare", "s.yaml", "s.yaml", "--require-seen", "11").exit_code == 3
    assert run("compare", "s.yaml", "s.yaml", "--require-seen", "12").exit_code == 0


def test_one_of_the_two_is_given(folder: Path) -> None:
    assert run("compare", "s.yaml").exit_code == 2
    assert run("compare", "s.yaml", "s.yaml", "--as-built", "b.yaml").exit_code == 2


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("as built: plate", "as built: screen", "b.yaml:3:11: as built"),
        (WIDTH, "covers[1].rectangle.width", "b.yaml:7:"),
        ("E15", "E51", "did you mean 'E"),
        ("planned: 1 m", "planned: 2 m", "make the sheet anew"),
    ],
)
def test_a_sheet_that_does_not_belong_writes_nothing(folder: Path, old: str, new: str, said: str) -> None:
    (folder / "b.yaml").write_text(SHEET.replace(old, new), encoding="utf-8")
    done = run("compare", "s.yaml", "--as-built", "b.yaml", "--out", "n.yaml", "--json")
    assert isinstance(done.exception, SightlineError)
    assert said in str(done.exception)
    assert done.stdout == ""
    assert not (folder / "n.yaml").exists()


def test_a_place_that_is_shared_is_changed_by_hand(folder: Path) -> None:
    text = PLATE.replace("rectangle: {width: 1 m", "rectangle: &r {width: 1 m").replace(
        "secrets: [", "secrets: [{name: other, rectangle: *r, at: [0 m, 9 m, 0 m]}, "
    )
    (folder / "s.yaml").write_text(text, encoding="utf-8")
    done = run("compare", "s.yaml", "--as-built", "b.yaml")
    assert isinstance(done.exception, SightlineError)
    assert "shared with another place" in str(done.exception)


def test_the_plans_side_by_side(folder: Path) -> None:
    done = run("compare", "s.yaml", "--as-built", "b.yaml", "--out", "p.png")
    assert done.exit_code == 0, done.exception
    assert (folder / "p.png").read_bytes()[:4] == b"\x89PNG"


def test_the_mock_up_makes_the_sheet(folder: Path) -> None:
    words = ("mockup", "s.yaml", "--room", "8 x 8 m", "--sheet", "m.yaml")
    done = run(*words, "--json")
    assert done.exit_code == 0, done.exception
    text = (folder / "m.yaml").read_text(encoding="utf-8")
    spots = json.loads(done.stdout)["room"]["eyes"]
    assert f"  {WIDTH}: {{planned: 1 m, measured: }}" in text
    for spot in spots:
        assert f"\n  {spot['eye']}:\n" in text
    # Unfilled it may be made anew; filled in it is somebody's work.
    assert run(*words, "--force").exit_code == 0
    assert (folder / "m.yaml").read_text(encoding="utf-8") == text
    (folder / "m.yaml").write_text(text.replace("1 m, measured: ", "1 m, measured: 80 cm"), encoding="utf-8")
    assert "filled in" in str(run(*words, "--force").exception)
    assert "no as-built sheet" in str(run("mockup", "s.yaml", "--sheet", "s.yaml", "--force").exception)
    assert "in .yaml" in str(run("mockup", "s.yaml", "--sheet", "m.txt").exception)
    # What a camera 1 m off is expected to see is what is computed there as built, when the plate is as planned.
    for spot in spots:
        saw = "yes" if spot["expected"] == "seen" else "no"
        text = text.replace(f"  {spot['eye']}:\n", f"  {spot['eye']}:\n", 1)
        head, tail = text.split(f"\n  {spot['eye']}:\n", 1)
        text = f"{head}\n  {spot['eye']}:\n" + tail.replace("    saw:\n", f"    saw: {saw}\n", 1)
    (folder / "b.yaml").write_text(text, encoding="utf-8")
    ticks = compared()["ticks"]
    assert len(ticks) == len(spots) >= 3
    assert all(tick["agrees"] for tick in ticks)
    assert {tick["from"] for tick in ticks} == {"camera"}
