"""Accepted leaks: what is read, which seats and beats are not there, and that no verdict changes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from sightline.cli.check import Asked, _report
from sightline.errors import FileError
from sightline.scene.reading import scene_from_text
from sightline.staging.acceptance import accepted_leaks

SCENE = """\
version: 1
covers: [{name: plate, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, -1 m, 0 m]}]
secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}}]
eyes:
  - {id: front, at: [0 m, -6 m, 0 m], kind: seated}
  - {id: side, at: [1.2 m, -4 m, 0 m], kind: seated}
blocking: {beats: [{at: 0 s, name: waits}, {at: 5 s, name: turns}]}
"""
ACCEPTED = "accepted: [{seats: [front, side], beat: turns, sees: an edge, by: AB, date: 2026-05-01, note: about as wide as a thumb}]\n"


def report(folder: Path, text: str) -> dict[str, Any]:
    path = folder / "scene.yaml"
    path.write_text(text, encoding="utf-8")
    return _report(path, Asked(None, margins=False, draws=None, robust=False, thorough=False))[0]


def test_it_is_reported_and_changes_nothing(tmp_path: Path) -> None:
    without, found = report(tmp_path, SCENE), report(tmp_path, SCENE + ACCEPTED)
    assert without["accepted"] == []
    assert found["accepted"] == [
        {
            "seats": ["front", "side"], "beat": "turns", "sees": "an edge", "by": "AB", "date": "2026-05-01",
            "note": "about as wide as a thumb", "seats_seen": ["side"],
        }
    ]  # fmt: skip
    assert found["summary"]["eyes_seen"] == 1
    # A date is no range of lengths, and a note no rough one: nothing else of the report changes.
    assert {k: v for k, v in found.items() if k != "accepted"} == {k: v for k, v in without.items() if k != "accepted"}


def test_seats_and_beats_that_are_not_there_are_all_told() -> None:
    text = SCENE + ACCEPTED.replace("[front, side]", "[frunt, side, zz]").replace("beat: turns", "beat: turn")
    with pytest.raises(FileError) as caught:
        accepted_leaks(scene_from_text(text), ())
    said = str(caught.value)
    assert "no seat 'frunt'; did you mean front?" in said
    assert "no seat 'zz'." in said
    assert "no beat 'turn'; did you mean turns?" in said
    assert "accepted[0].seats[0]" in said


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ("by: AB, ", "", "'by' is missing"),
        (", date: 2026-05-01", "", "'date' is missing"),
        ("sees: an edge, ", "", "'sees' is missing"),
        ("[front, side]", "[]", "fewer"),
        ("note:", "notes:", "did you mean 'note'"),
    ],
)
def test_what_is_missing_is_told(was: str, now: str, said: str) -> None:
    with pytest.raises(FileError, match=said):
        scene_from_text(SCENE + ACCEPTED.replace(was, now))


def test_a_held_seat_may_be_accepted() -> None:
    """Seats taken off sale are still seats of the house."""
    text = SCENE.replace(
        "blocking:", "venue: {seats: [{block: s, rows: 1, seats: 3, first row: 4 m}], held seats: [s A1]}\nblocking:"
    )
    assert accepted_leaks(scene_from_text(text + ACCEPTED.replace("[front, side]", "[s A1]")), ())[0]["seats"] == [
        "s A1"
    ]
