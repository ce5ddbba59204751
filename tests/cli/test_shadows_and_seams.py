"""What `check` counts and tells beside direct views of a surface: shadows that give a secret away, and wide seams."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sightline.cli.main import main

# The lamp stands before the secret, to one side of the board that hides it from the audience; its light goes past that
# board and throws the secret's shadow on the backdrop: from (4, -2, 2) through (0, 0, 1.2) to y = 1, twice 2 m deep, at
# x = -2, z = 0.8. A and B look at it past the board; C is behind the backdrop and sees neither; D is beside the board
# and sees the secret itself as well as the shadow.
SHADOW = """\
version: 1
covers:
  - {name: front, rectangle: {width: 1 m, height: 2 m}, at: [0 m, -0.5 m, 1 m]}
  - {name: backdrop, rectangle: {width: 10 m, height: 6 m}, at: [0 m, 1 m, 3 m]}
secrets: [{name: arm, rectangle: {width: 20 cm, height: 20 cm}, at: [0 m, 0 m, 1.2 m], two sided: yes}]
venue: {lamps: [{name: side, at: [4 m, -2 m, 2 m]}]}
eyes:
  - {id: A, at: [0 m, -6 m, 1.2 m], kind: seated}
  - {id: C, at: [0 m, 6 m, 1.2 m], kind: seated}
  - {id: D, at: [5 m, -3 m, 1.2 m], kind: seated}
  - {id: B, at: [-0.5 m, -6 m, 1.2 m], kind: seated}
"""
# A seam 20 cm wide behind a plate 10 cm wide: 5 cm of it show on either side, and none of its middle line.
TAPE = """\
version: 1
covers: [{name: plate, rectangle: {width: 10 cm, height: 100 cm}, at: [0 m, -0.1 m, 1 m]}]
secrets: [{name: tape, kind: seam, width: 20 cm, path: [[0 m, 0 m, 0.8 m], [0 m, 0 m, 1.2 m]]}]
eyes: [{id: front, at: [0 m, -5 m, 1 m]}]
"""
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def go(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["sightline", *words])
        with pytest.raises(SystemExit) as ended:
            main()
        code, said = ended.value.code, capsys.readouterr()
        return (code if isinstance(code, int) else 0), said.out, said.err

    return go


def test_whoever_sees_a_shadow_counts_once(run: Run, write: Callable[[str], Path]) -> None:
    """A and B see the shadow alone, D the shadow and the secret, C nothing: three eyes."""
    path = str(write(SHADOW))
    code, out, err = run("check", path, "--json", "--no-margins", "--require-seen", "2")
    report: dict[str, Any] = json.loads(out)
    assert report["summary"]["eyes_seen"] == 1
    assert report["shadow_seen_from"] == ["A", "D", "B"]
    assert code == 3
    assert "3 eyes can see a secret or its shadow; 2 are allowed" in err
    assert run("check", path, "--no-margins", "--require-seen", "3")[0] == 0
    _, words, _ = run("check", path, "--no-margins")
    assert "3 of 4 can see the shadow of a secret" in words


def test_a_shadow_alone_is_seen(run: Run, write: Callable[[str], Path]) -> None:
    """Nobody sees the secret; whoever asks that nobody sees anything is told of the shadow."""
    alone = "".join(line for line in SHADOW.splitlines(keepends=True) if "id: D" not in line)
    assert run("check", str(write(alone)), "--no-margins", "--require-seen", "0")[0] == 3
    dark = alone.replace("venue: {lamps: [{name: side, at: [4 m, -2 m, 2 m]}]}\n", "")
    code, out, _ = run("check", str(write(dark)), "--no-margins", "--require-seen", "0", "--json")
    assert (code, json.loads(out)["shadow_seen_from"]) == (0, [])


def test_a_command_that_counts_no_shadow_says_so(run: Run, write: Callable[[str], Path]) -> None:
    text = "".join(line for line in SHADOW.splitlines(keepends=True) if "id: D" not in line)
    path = str(write(text.replace("at: [0 m, -0.5 m, 1 m]", "at: [0 m, -0.5 m, 1 m], carried: yes").replace(
        "two sided: yes", "two sided: yes, carried: yes")))  # fmt: skip
    code, out, _ = run("drift", path, "--draws", "2", "--json")
    assert code == 0
    report = json.loads(out)
    assert not any("is looked for" in said for said in report["assumptions"])
    assert any("No other command counts" in said for said in report["assumptions"])
    assert any("shadows of secrets" in said for said in report["not_checked"])


@pytest.mark.parametrize("options", [(), ("--thorough",)])
def test_a_wide_seam_is_told_to_be_looked_at_along_its_middle(
    options: tuple[str, ...], run: Run, write: Callable[[str], Path]
) -> None:
    _, out, _ = run("check", str(write(TAPE)), "--json", "--no-margins", *options)
    report = json.loads(out)
    assert any("'tape' is a seam 20 cm wide" in said and "middle line" in said for said in report["warnings"])
    assert any("middle line" in said for said in report["not_checked"])
    thin = TAPE.replace("width: 20 cm, path", "width: 5 mm, path")
    _, out, _ = run("check", str(write(thin)), "--json", "--no-margins", *options)
    report = json.loads(out)
    assert not report["warnings"]
    assert any("middle line" in said for said in report["not_checked"])
