"""What the still commands make of beats: the act stands where somebody performs, and what is not looked at is said."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.cli.retelling import rehearsal_words
from sightline.errors import SightlineError
from sightline.scene.reading import scene_from_text
from sightline.sight.check import check
from sightline.staging.stage import BEATS_ELSEWHERE, Staged, put_together

ACT = """\
version: 1
title: beats elsewhere
covers:
  - {name: plate, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, -0.3 m, 1.2 m], carried: yes}
secrets:
  - {name: arm, disc: {radius: 5 cm}, at: [0 m, 0 m, 1.2 m], two sided: yes, carried: yes}
eyes:
  - {id: A, at: [0 m, -6 m, 1.2 m], kind: seated}
"""
CORNER = """\
blocking:
  marks: {prompt corner: [6 m, -4 m]}
  beats:
    - {at: 0 s, name: whole act, mark: prompt corner, hold: 60 s}
"""


def staged(blocking: str, more: str = "") -> Staged:
    return put_together(scene_from_text(ACT + more + blocking))


def elsewhere(blocking: str) -> list[str]:
    return [said for said in staged(blocking).moment().not_checked if said.startswith(BEATS_ELSEWHERE)]


def run(tmp_path: Path, text: str, *args: str) -> str:
    (tmp_path / "scene.yaml").write_text(text, encoding="utf-8")
    done = CliRunner().invoke(app, [args[0], str(tmp_path / "scene.yaml"), *args[1:]])
    assert done.exit_code == 0, done.output
    return done.stdout


def test_without_a_mark_the_act_stands_on_the_first_beats() -> None:
    """From [6, -4] the eye at [0, -6] is atan(6 / 2) = 72 deg off; the plate, 30 cm each way at 30 cm, covers 45 deg."""
    found = staged(CORNER)
    assert (found.mark_m, found.facing_rad) == ((6.0, -4.0), 0.0)
    assert check(found.moment()).seen_ids() == {"A"}
    assert elsewhere(CORNER) == []
    notes = [note for note in found.notes if "first beat" in note]
    assert len(notes) == 1
    assert "'prompt corner'" in notes[0]
    assert "6 m" in notes[0]


@pytest.mark.parametrize(("beat", "facing_deg"), [("facing: 30 deg", 30.0), ("aim at: A", -math.degrees(math.atan(3)))])
def test_it_faces_as_the_first_beat_does(beat: str, facing_deg: float) -> None:
    found = staged(f"blocking: {{beats: [{{at: 0 s, mark: [6 m, -4 m], {beat}}}]}}\n")
    assert math.degrees(found.facing_rad) == pytest.approx(facing_deg)


def test_what_the_scene_writes_itself_stays() -> None:
    """A mark or facing of the scene's own is the still act's, wherever the beats are; nothing is said of taking."""
    found = staged("blocking: {mark: [1 m, 2 m], beats: [{at: 0 s, mark: [6 m, -4 m], facing: 30 deg}]}\n")
    assert (found.mark_m, found.facing_rad) == ((1.0, 2.0), 0.0)
    assert not any("first beat" in note for note in found.notes)
    turned = staged("blocking: {facing: 10 deg, beats: [{at: 0 s, mark: [6 m, -4 m], facing: 30 deg}]}\n")
    assert (turned.mark_m, math.degrees(turned.facing_rad)) == ((6.0, -4.0), pytest.approx(10.0))


def test_advice_and_all_else_that_asks_for_the_mark_stand_there_too() -> None:
    """`advise`, `--robust` and `keep back` ask the scene for its mark, not the staging."""
    written = scene_from_text(ACT + CORNER)
    assert written.model.blocking.mark == (6.0, -4.0)
    assert "mark" not in written.model.blocking.model_fields_set


def test_a_first_mark_that_is_not_there_is_refused() -> None:
    """Else the act would be judged on the default mark, where nobody performs."""
    with pytest.raises(SightlineError, match=r"(?s)no mark 'prompt crner'.*'prompt corner'.*beats\[0\]"):
        staged(CORNER.replace("mark: prompt corner", "mark: prompt crner"))


@pytest.mark.parametrize(
    ("beats", "says"),
    [
        # The first is the still act's own; 2 mm and 0.05 deg off is no other place.
        ("{at: 0 s, mark: [1 m, 0 m]}, {at: 9 s, mark: [1.002 m, 0 m], facing: 0.05 deg}", None),
        ("{at: 0 s, mark: [1 m, 0 m]}, {at: 9 s, mark: [1.01 m, 0 m]}, {at: 19 s}", "2 of 3 have another"),
        ("{at: 0 s, mark: [1 m, 0 m]}, {at: 9 s, facing: 5 deg}", "1 of 2 has another"),
        # An eye and a mark that are not there cannot be told to be the same.
        ("{at: 0 s, mark: [1 m, 0 m]}, {at: 9 s, aim at: nobody}, {at: 19 s, mark: nowhere}", "2 of 3 have another"),
        # A full turn comes back; so does a mark that is said again.
        (
            "{at: 0 s, mark: [1 m, 0 m]}, {at: 9 s, mark: [2 m, 0 m]}, {at: 19 s, mark: [1 m, 0 m]}",
            "1 of 3 has another",
        ),
    ],
)
def test_beats_held_elsewhere_are_counted(beats: str, says: str | None) -> None:
    said = elsewhere(f"blocking: {{beats: [{beats}]}}\n")
    if says is None:
        assert said == []
    else:
        assert says in said[0]
        assert "sightline rehearse" in said[0]


def test_a_prop_held_otherwise_is_told_too() -> None:
    """The still act holds the prop as `prop: at` says: a beat that tips it 20 deg is another act to look at."""
    prop = "performer: {stature: 170 cm}\nprop: {name: tray, box: {width: 40 cm, depth: 30 cm, height: 5 cm}, "
    prop += "at: {ahead: 35 cm, up: 1.1 m}}\n"
    held = ", ".join(f"{{at: {at_s} s, prop: {{tilt: {deg} deg}}}}" for at_s, deg in ((0, 0), (9, 20), (19, 0)))
    beats = f"blocking: {{beats: [{held}]}}\n"
    said = [s for s in staged(beats, prop).moment().not_checked if s.startswith(BEATS_ELSEWHERE)]
    assert "1 of 3 has another" in said[0]


@pytest.mark.parametrize(
    "args", [("check",), ("check", "--robust"), ("advise",), ("drift", "--draws", "2"), ("clock",)]
)
def test_every_still_command_says_it(args: tuple[str, ...], tmp_path: Path) -> None:
    text = ACT + "blocking: {mark: [0 m, 0 m], beats: [{at: 0 s, mark: [6 m, -4 m], hold: 60 s}]}\n"
    said: dict[str, Any] = json.loads(run(tmp_path, text, *args, "--json"))
    assert any(line.startswith(BEATS_ELSEWHERE + "1 of 1 has") for line in said["not_checked"])


def test_a_rehearsal_does_not_print_it(tmp_path: Path) -> None:
    """It looks at all of them; its account of one second does not speak of the others either."""
    text = ACT + "blocking: {mark: [0 m, 0 m], beats: [{at: 0 s, mark: [6 m, -4 m], hold: 60 s}]}\n"
    assert BEATS_ELSEWHERE not in run(tmp_path, text, "rehearse")
    assert BEATS_ELSEWHERE not in run(tmp_path, text, "rehearse", "--at", "0:01", "--eye", "A")


@pytest.mark.parametrize("blocking", ["", "blocking: {mark: [0 m, 0 m], beats: [{at: 0 s, name: one, hold: 4 s}]}\n"])
def test_a_rehearsal_of_one_mark_says_no_more_than_is_so(blocking: str, tmp_path: Path) -> None:
    """One beat is a beat that is written; without any the words are true as well."""
    report = json.loads(run(tmp_path, ACT + blocking, "rehearse", "--json"))
    words = rehearsal_words(report)
    assert "Nobody can see a secret at the one mark; nothing moves" in words
    assert "no beats" not in words


SEEN = "as built:\n  - {seen from: [A], by: KM, date: today}\n"


def test_what_was_seen_at_the_mock_up_is_said_with_what_is_granted() -> None:
    """The plate hides all from A as computed; every command prints these notes."""
    notes = staged("", SEEN).notes
    assert (
        "At the mock-up of today a secret was seen from A (KM): count that eye as seen, whatever is computed here."
        in notes
    )


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        ("{seen from: [A, B]}", "At the mock-up a secret was seen from A, B: count those eyes as seen"),
        # Five are named, the seventh and sixth are counted.
        ("{seen from: [a, b, c, d, e, f, g], by: KM}", "seen from a, b, c, d, e and 2 more (KM): count those eyes"),
    ],
)
def test_a_mock_ups_words_are_kept_short(entry: str, says: str) -> None:
    assert any(says in note for note in staged("", f"as built: [{entry}]\n").notes)


def test_a_mock_up_at_which_nobody_saw_anything_is_not_told() -> None:
    entry = "as built: [{sizes: [{size: prop.box.width, planned: 1 m, built: 80 cm}], by: KM}]\n"
    assert not any("mock-up" in note for note in staged("", entry).notes)


@pytest.mark.parametrize("args", [("check",), ("advise",), ("rehearse",), ("drift", "--draws", "2")])
def test_every_command_tells_of_the_mock_up(args: tuple[str, ...], tmp_path: Path) -> None:
    said = json.loads(run(tmp_path, ACT + SEEN, *args, "--json"))
    assert any("was seen from A (KM)" in line for line in said["assumptions"])
