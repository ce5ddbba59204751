"""What verdicts come to: heads in the way, views of what should be seen, weights, and requirements that fail."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from sightline.cli.main import main
from sightline.sight.check import VERDICTS, Thresholds
from tests.conftest import finding_of, report_of

ARCMIN = math.radians(1 / 60)
STILL_HEADS = Thresholds(sway=False)

ROWS = """
heads: {heads}
must see: [{{name: owl, disc: {{radius: 3 cm}}, at: [6 cm, 0 m, 1.2 m]}}]
secrets: [{{name: target, disc: {{radius: 2 cm}}, at: [0 m, 0 m, 1.2 m]}}]
eyes: [{{id: front, at: [0 m, -5 m, 1.2 m], kind: {front}}}, {{id: back, at: [0 m, -6 m, 1.2 m], kind: seated}}]
"""


def row(heads: str, front: str = "seated") -> dict[str, Any]:
    found = finding_of(ROWS.format(heads=heads, front=front), thresholds=STILL_HEADS)
    verdict = found.secrets["target"].verdict
    owl = found.must_see["owl"]
    return {
        "front": VERDICTS[verdict[0]],
        "back": VERDICTS[verdict[1]],
        "owl": owl.clear_fraction,
        "alone": owl.without_heads,
    }


def test_heads_hide_a_secret_only_where_they_count() -> None:
    assert (row("ignore")["front"], row("ignore")["back"]) == ("seen", "seen")
    assert (row("count")["front"], row("count")["back"]) == ("seen", "hidden")
    assert row("count", front="camera")["back"] == "seen"


def test_heads_always_count_against_a_must_see() -> None:
    for heads in ("ignore", "count"):
        assert row(heads)["owl"] == pytest.approx([1.0, 0.0], abs=0.02)
        assert row(heads)["alone"] == pytest.approx([1.0, 1.0], abs=0.02)


def test_a_small_must_see_is_not_clear() -> None:
    """At least 8 arcmin (design, section 5): a disc of 0.9 and 1.1 times that."""
    for share, clear in ((0.9, False), (1.1, True)):
        text = f"""
            must see: [{{name: owl, disc: {{radius: {50 * 8 * share * ARCMIN / 2:.7f} m}}}}]
            secrets: [{{name: target, disc: {{radius: 1 cm}}, at: [0 m, 0 m, 3 m]}}]
            eyes: [{{id: E1, at: [0 m, -50 m, 0 m]}}]
        """
        assert report_of(text)["eyes"][0]["must_see"]["owl"]["clear"] is clear


@pytest.mark.parametrize(("hidden_cm", "clear"), [(0, True), (16, True), (24, False), (40, False)])
def test_must_see_behind_a_cover(hidden_cm: int, clear: bool) -> None:
    """A cover against a must-see 40 cm wide leaves the rest of it: clear from half (design, section 5)."""
    edge = f"covers: [{{name: flap, rectangle: {{width: 1 m, height: 1 m}}, at: [{hidden_cm - 70} cm, -1 mm, 0 cm]}}]"
    text = (
        f"{edge if hidden_cm else ''}"
        + """
must see: [{name: owl, rectangle: {width: 40 cm, height: 40 cm}}]
secrets: [{name: target, disc: {radius: 1 cm}, at: [0 m, 0 m, 3 m]}]
eyes: [{id: E1, at: [0 m, -50 m, 0 m]}]
"""
    )
    report = report_of(text)
    owl = report["eyes"][0]["must_see"]["owl"]
    assert owl["clear_fraction"] == pytest.approx(1 - hidden_cm / 40, abs=0.03)
    assert owl["solid_angle_sr"] == pytest.approx(0.4 * (0.4 - hidden_cm / 100) / 2500, rel=0.06, abs=1e-9)
    assert owl["clear"] is clear
    assert report["must_see"]["owl"]["eyes_with_clear_view"] == int(clear)


CROWD = """
version: 1
secrets:
  - {name: target, disc: {radius: 10 cm}}
  - {name: other, disc: {radius: 10 cm}, at: [1 m, 0 m, 0 m]}
eyes:
  - {id: E1, at: [0 m, -5 m, 0 m], weight: 3}
  - {id: E2, at: [1 m, -5 m, 0 m], weight: 0.5}
  - {id: E3, at: [0 m, 5 m, 0 m], weight: 100}
"""


def ends(monkeypatch: pytest.MonkeyPatch, path: Path, *more: str) -> int:
    monkeypatch.setattr(sys, "argv", ["sightline", "check", str(path), *more])
    try:
        main()
    except SystemExit as ended:
        return int(ended.code or 0)
    return 0


def test_an_eye_counts_once_and_with_its_weight(
    write: Callable[[str, str], Path], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """E1 and E2 each see both secrets; E3 stands behind their one side."""
    assert ends(monkeypatch, write(CROWD, "a.yaml"), "--json") == 0
    summary = json.loads(capsys.readouterr().out)["summary"]
    assert (summary["eyes"], summary["eyes_seen"], summary["eyes_faint"]) == (3, 2, 0)
    assert summary["weighted_eyes_seen"] == 3.5
    assert summary["worst_eye"] in ("E1", "E2")


@pytest.mark.parametrize(
    ("written", "said", "code"),
    [
        (None, None, 0), (0, None, 3), (1, None, 3), (2, None, 0), (None, 0, 3), (None, 1, 3), (None, 2, 0),
        (0, 2, 0), (2, 0, 3),
    ],
)  # fmt: skip
def test_a_requirement_that_fails_ends_with_3(
    write: Callable[[str, str], Path], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    written: int | None, said: int | None, code: int,
) -> None:  # fmt: skip
    """Two eyes see; what the command line says goes before what the scene says. The report is printed all the same."""
    text = CROWD + (f"require: {{seen: {written}}}\n" if written is not None else "")
    options = ["--json", *(["--require-seen", str(said)] if said is not None else [])]
    assert ends(monkeypatch, write(text, "a.yaml"), *options) == code
    assert json.loads(capsys.readouterr().out)["summary"]["eyes_seen"] == 2
