"""`sightline check --robust` and `--thorough` as commands: words, JSON, exit codes."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sightline.cli.main import main
from tests.blocking.test_robust import HOLDS, NOTHING, plate

LEAKS = "version: 1\n" + plate(
    width="26 mm", gap="1 cm", carried="no", allowances=NOTHING.replace("build: 0 mm", "build: 5 mm")
)
Run = Callable[..., tuple[int, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def go(*words: str) -> tuple[int, str]:
        monkeypatch.setattr("sys.argv", ["sightline", *words])
        with pytest.raises(SystemExit) as ended:
            main()
        code = ended.value.code
        return (code if isinstance(code, int) else 0), capsys.readouterr().out

    return go


def report(run: Run, path: Path, *options: str) -> dict[str, Any]:
    code, out = run("check", str(path), "--json", "--no-margins", *options)
    assert code == 0
    found: dict[str, Any] = json.loads(out)
    return found


def test_the_report_tells_what_first_leaks_and_what_to_measure(run: Run, write: Callable[[str], Path]) -> None:
    path = write(LEAKS)
    plain, found = report(run, path), report(run, path, "--robust")
    assert plain["summary"]["eyes_seen"] == 0
    assert found["summary"] == plain["summary"]
    robust, eye = found["robust"], found["eyes"][0]["robust"]
    assert (robust["eyes_hidden"], robust["eyes_seen"]) == (0, 1)
    assert (eye["verdict"], eye["first_leak"], eye["secret"]) == ("seen", "build", "target")
    assert robust["first_leak"]["eye"] == "E1"
    assert "measure" in robust["measure_next"]["what"].lower()
    _, words = run("check", str(path), "--robust", "--no-margins")
    assert "hidden from 0 of 1 still; 1 more can then see a secret" in words
    assert "cut and mounted not quite as drawn (5 mm)" in words


def test_a_requirement_asks_for_what_stays_hidden(run: Run, write: Callable[[str], Path]) -> None:
    path = write(LEAKS)
    assert run("check", str(path), "--no-margins", "--require-seen", "0")[0] == 0
    assert run("check", str(path), "--no-margins", "--require-seen", "0", "--robust")[0] == 3


def test_what_holds_is_called_hidden(run: Run, write: Callable[[str], Path]) -> None:
    found = report(run, write("version: 1\n" + plate(**HOLDS, allowances="")), "--robust")
    assert found["eyes"][0]["robust"] == {"verdict": "hidden", "first_leak": None, "how": None, "secret": None}
    assert found["robust"]["measure_next"] is None


def test_a_thorough_check_says_so(run: Run, write: Callable[[str], Path]) -> None:
    found = report(run, write(LEAKS), "--thorough")
    assert any("thoroughly" in said for said in found["assumptions"])


@pytest.mark.parametrize(
    ("allowed", "said"),
    [("tilt: -5 deg", "without a sign"), ("cloth: 3", "unit"), ("body: 9", "body"), ("sway: 3 cm", "no key 'sway'")],
)
def test_an_allowance_that_cannot_be_is_an_error_with_its_place(
    allowed: str,
    said: str,
    write: Callable[[str], Path],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr("sys.argv", ["sightline", "check", str(write("version: 1\n" + plate(allowances=allowed)))])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 1
    error = capsys.readouterr().err
    assert said in error
    assert "scene.yaml:7:" in error
