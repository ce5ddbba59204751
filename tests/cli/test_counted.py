"""Whoever counts for `check --require-seen` counts for the other commands too, and a command that leaves some out says so."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from tests.workshop.test_asbuilt import PLATE, WIDTH

# A board hides the secret from A and B, a backdrop from C. The lamp's light goes past the board: from (4, -2, 2) through
# the secret at (0, 0, 1.2) to the backdrop at y = 1, half as far again as it came, at x = -2, z = 0.8. A and B see that
# place past the board's edge at x = -0.5 m; C is behind the backdrop.
DARK = """\
version: 1
title: two boards
covers:
  - {name: front, rectangle: {width: 1 m, height: 2 m}, at: [0 m, -0.5 m, 1 m]}
  - {name: backdrop, rectangle: {width: 10 m, height: 6 m}, at: [0 m, 1 m, 3 m]}
secrets: [{name: arm, rectangle: {width: 20 cm, height: 20 cm}, at: [0 m, 0 m, 1.2 m], two sided: yes}]
eyes:
  - {id: A, at: [0 m, -6 m, 1.2 m], kind: seated}
  - {id: C, at: [0 m, 6 m, 1.2 m], kind: seated}
  - {id: B, at: [-0.5 m, -6 m, 1.2 m], kind: seated}
"""
LIT = DARK + "venue: {lamps: [{name: side, at: [4 m, -2 m, 2 m]}]}\n"
TOLD = 'as built: [{sizes: [], seen from: ["C", "A", "C"], by: x, date: y}]\n'
SHEET = f"version: 1\nas built: plate\nsizes:\n  {WIDTH}: {{planned: 1 m, measured: 80 cm}}\n"


def run(*words: str) -> Any:
    return CliRunner().invoke(app, list(words))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name, text in (("dark", DARK), ("lit", LIT), ("told", DARK + TOLD), ("both", LIT + TOLD)):
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
        (tmp_path / f"{name}0.yaml").write_text(text + "require: {seen: 0}\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


# No secret is seen itself. A and B see the shadow; C and A were told of, twice of C; together three.
@pytest.mark.parametrize(("name", "count"), [("dark", 0), ("lit", 2), ("told", 2), ("both", 3)])
def test_compare_counts_whom_check_counts(folder: Path, name: str, count: int) -> None:
    """The same scene must not end well in one command and badly in the other."""
    for allowed in range(4):
        code = 3 if count > allowed else 0
        asked = ("--require-seen", str(allowed))
        assert run("check", f"{name}.yaml", "--no-margins", *asked).exit_code == code
        assert run("compare", "dark.yaml", f"{name}.yaml", *asked).exit_code == code
        # Of the second scene only.
        assert run("compare", f"{name}.yaml", "dark.yaml", *asked).exit_code == 0
    # What the second scene itself requires holds where the option does not say otherwise.
    assert run("compare", "dark.yaml", f"{name}0.yaml").exit_code == (3 if count else 0)
    assert run("compare", "dark.yaml", f"{name}0.yaml", "--require-seen", "3").exit_code == 0
    assert run("compare", f"{name}0.yaml", "dark.yaml").exit_code == 0


def test_compare_says_whom_it_counts(folder: Path) -> None:
    done = run("compare", "dark.yaml", "both.yaml", "--require-seen", "0")
    assert "eyes that can see a secret 0 -> 0" in done.stdout
    assert "the shadow of a secret is seen by 0 -> 2" in done.stdout
    assert "! both.yaml: As built, somebody saw one from C, A (as built: seen from)" in done.stdout
    assert "3 eyes can see a secret or its shadow; 0 are allowed" in done.stderr
    report = json.loads(run("compare", "dark.yaml", "both.yaml", "--json").stdout)
    assert (report["before"]["seen_as_built"], report["before"]["shadow_seen_from"]) == ([], [])
    assert (report["after"]["seen_as_built"], report["after"]["shadow_seen_from"]) == (["C", "A"], ["A", "B"])
    assert "shadow" not in run("compare", "dark.yaml", "told.yaml").stdout.split("Taken for granted")[0]


def test_compare_names_how_alike_the_same_is(folder: Path) -> None:
    """What shows may grow by a tenth and be called the same: who reads it must know."""
    assert "better for 0, worse for 0, the same within a tenth for 3" in run("compare", "dark.yaml", "lit.yaml").stdout


def test_the_as_built_compare_counts_earlier_mock_ups(folder: Path) -> None:
    """By the inequality beside PLATE 18 of 41 see past the plate as built; E0 and E1 do not, but were told of before."""
    text = PLATE + 'as built: [{sizes: [], seen from: ["E0", "E1", "E20"], by: x, date: y}]\n'
    (folder / "s.yaml").write_text(text, encoding="utf-8")
    (folder / "b.yaml").write_text(SHEET + "ticks:\n  E1: {saw: yes}\n  E3: {saw: yes}\n", encoding="utf-8")
    # 18 computed, E20 among them; E0 and E1 of before, E1 and E3 of this sheet.
    words = ("compare", "s.yaml", "--as-built", "b.yaml")
    assert [run(*words, "--require-seen", str(n)).exit_code for n in (20, 21)] == [3, 0]
    report = json.loads(run(*words, "--json").stdout)
    assert report["summary"]["eyes_seen_counted"] == 21
    assert report["summary"]["seen_by_tick_alone"] == ["E1", "E3"]
    assert report["after"]["seen_as_built"] == ["E0", "E1"]
    said = run(*words).stdout
    assert "12 as planned, 18 as built; 21 with what somebody saw." in said
    assert "somebody saw one from E0, E1 (as built: seen from)" in said


@pytest.mark.parametrize("measured", ["105 cm", "105-106 cm"])
def test_the_as_built_compare_counts_shadows(folder: Path, measured: str) -> None:
    """A wider board leaves the lamp's light and both who see the shadow: 0 see the secret, A and B its shadow."""
    sheet = SHEET.replace("as built: plate", "as built: two boards").replace("80 cm", measured)
    (folder / "b.yaml").write_text(sheet, encoding="utf-8")
    words = ("compare", "lit.yaml", "--as-built", "b.yaml")
    assert [run(*words, "--require-seen", str(n)).exit_code for n in (1, 2)] == [3, 0]
    assert "0 as planned, 0 as built; 2 with shadows." in run(*words).stdout
    assert run("compare", "lit0.yaml", "--as-built", "b.yaml").exit_code == 3


def test_a_shadow_at_one_end_of_a_range_counts(folder: Path) -> None:
    """With a board from -2.2 m on A's and B's looks at x = -2 m are stopped: from (0, -6) they pass y = -0.5 at -1.6 m."""
    sheet = SHEET.replace("as built: plate", "as built: two boards").replace("1 m, m", "3.4 m, m")
    (folder / "wide.yaml").write_text(LIT.replace("width: 1 m", "width: 3.4 m"), encoding="utf-8")
    (folder / "b.yaml").write_text(sheet.replace("80 cm", "1-5.8 m"), encoding="utf-8")
    report = json.loads(run("compare", "wide.yaml", "--as-built", "b.yaml", "--json").stdout)
    assert report["before"]["shadow_seen_from"] == []
    assert report["after"]["shadow_seen_from"] == ["A", "B"]


def test_a_rehearsal_counts_whoever_saw_it_at_the_mock_up(folder: Path) -> None:
    """A moment that nobody computes is no moment that nobody sees."""
    asked = ("rehearse", "told.yaml", "--require-seen")
    assert [run(*asked, str(n)).exit_code for n in (1, 2)] == [3, 0]
    assert run("rehearse", "told0.yaml").exit_code == 3
    done = run(*asked, "0")
    assert "2 eyes can see a secret at some time; 0 are allowed" in done.stderr
    assert "As built, somebody saw one from C, A (as built: seen from)" in done.stdout
    assert ", as computed, " in done.stdout
    assert json.loads(run("rehearse", "told.yaml", "--json").stdout)["seen_as_built"] == ["C", "A"]
    # Whoever is computed to see it and was told of counts once: E20 sees past the plate, E0 does not.
    text = PLATE + 'as built: [{sizes: [], seen from: ["E0", "E20"], by: x, date: y}]\n'
    (folder / "s.yaml").write_text(text, encoding="utf-8")
    assert [run("rehearse", "s.yaml", "--require-seen", str(n)).exit_code for n in (12, 13)] == [3, 0]


def test_a_tour_says_whom_it_does_not_count(folder: Path) -> None:
    (folder / "v.yaml").write_text("version: 1\nname: V\neyes: [{id: A, at: [0 m, -6 m, 1.2 m]}]\n", encoding="utf-8")
    (folder / "t.yaml").write_text(
        "version: 1\nvenues: [v.yaml]\nscenes: [both.yaml]\nrequire: {seen: 0}\n", encoding="utf-8"
    )
    said = run("tour", "t.yaml", "--state", "state", "--workers", "1").stdout
    left_out = said.split("Not checked:")[1]
    assert "shadows of secrets" in left_out
    assert "whoever saw a secret at the mock-up" in left_out
