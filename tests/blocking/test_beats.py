"""Beats: what is left out stays, what cannot be is told with its line, and between beats nothing drifts."""

from __future__ import annotations

import math
from dataclasses import replace
from textwrap import dedent, indent

import numpy as np
import pytest

from sightline.blocking.beats import Step, place_at, step_at, steps, warnings
from sightline.errors import FileError
from sightline.scene.reading import scene_from_text
from sightline.staging.audience import audience

# The beats begin in line 16.
SCENE = """\
version: 1
secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}}]
prop:
  box: {width: 40 cm, depth: 30 cm, height: 30 cm}
  at: {ahead: 37 cm, up: 118 cm, tilt: 4 deg}
puppet: {grip: [0 cm, 0 cm, 0 cm], moves: {look left: {turn: 12 deg}, duck: {by: [0 cm, 0 cm, -3 cm]}}}
eyes:
  - {id: E1, at: [0 m, -6 m, 1.2 m]}
  - {id: E2, at: [4 m, -4 m, 1.2 m]}
blocking:
  mark: [1 m, 2 m]
  facing: 10 deg
  marks:
    door: [-2 m, 2 m]
  beats:
"""


def beats(text: str, scene: str = SCENE) -> list[Step]:
    written = scene_from_text(scene + indent(dedent(text).strip("\n"), "    ") + "\n")
    return steps(written, audience(written).eyes)


WALK = """\
- {at: 0 s, hold: 2 s, mark: door, facing: 170 deg, name: enters}
- {at: 8 s, hold: 3 s, mark: [1 m, 2 m], path: [[-2 m, 0 m], [1 m, 0 m]], facing: -170 deg, prop: {up: 1.3 m}}
- {at: 15 s, facing: 0 deg, prop: {up: 1.1 m, turn: 20 deg}}
"""


def test_without_beats_there_is_one_step_on_the_mark() -> None:
    (step,) = beats("", SCENE.replace("  beats:\n", ""))
    assert (step.at_s, step.hold_s, step.mark_m, step.facing_rad) == (0.0, 0.0, (1.0, 2.0), math.radians(10))
    assert step.path_m.tolist() == [[1.0, 2.0], [1.0, 2.0]]


def test_what_is_left_out_stays() -> None:
    found = beats(
        """\
        - {at: 0 s, moves: [duck], focus: {eye: E2}, false arm: holds the crate, hands: door handle, cue: 7A}
        - {at: 3 s, mark: door, aim at: E1}
        - {at: 9 s, moves: [all], false arm: none, hands: none, focus: {bearing: 30 deg}}
        """
    )
    first, second, third = found
    assert (first.mark_m, first.facing_rad, first.name, first.cue) == ((1.0, 2.0), math.radians(10), "beat 1", "7A")
    assert (second.moves, second.false_arm, second.hands) == (("duck",), "holds the crate", "door handle")
    assert second.focus is not None
    assert (second.focus.eye, second.cue, second.mark_name) == ("E2", None, "door")
    assert second.facing_rad == pytest.approx(math.atan2(2, 8))
    assert (third.mark_m, third.mark_name, third.facing_rad) == (second.mark_m, "door", second.facing_rad)
    assert (third.moves, third.false_arm, third.hands) == (None, None, None)


def test_the_first_beat_aims_as_the_scene_does() -> None:
    (step,) = beats("- {at: 0 s, mark: [4 m, 2 m]}", SCENE.replace("facing: 10 deg", "aim at: E2"))
    assert step.facing_rad == 0.0


def test_prop_keys_that_any_beat_names_are_known_in_all() -> None:
    held = [step.held for step in beats(WALK)]
    assert [h.up for h in held] == [1.18, 1.3, 1.1]
    assert [h.turn for h in held] == [0.0, 0.0, math.radians(20)]
    assert {h.tilt for h in held} == {None}
    assert {h.ahead for h in held} == {None}


def test_edge_heights_are_worked_out() -> None:
    scene = SCENE.replace("up: 118 cm, tilt: 4 deg", "front edge: 100 cm, back edge: 103 cm")
    first, _ = beats("- {at: 0 s}\n- {at: 4 s, prop: {tilt: 0 deg}}", scene)
    assert first.held.tilt == pytest.approx(math.asin(0.1))
    assert first.held.up == pytest.approx(1.015 + 0.15 * math.sqrt(0.99))


@pytest.mark.parametrize("ease", ["smooth", "even"])
def test_at_its_time_a_beat_is_itself_bit_for_bit(ease: str) -> None:
    found = beats(WALK)
    for step in found:
        for t in (step.at_s, step.until_s):
            mark, facing, held = place_at(found, t, ease)
            assert (mark, facing) == (step.mark_m, step.facing_rad)
            assert held == step.held
    assert place_at(found, -5.0, ease)[0] == found[0].mark_m
    assert place_at(found, 1e6, ease)[1] == found[-1].facing_rad
    assert [step_at(found, t) for t in (-1, 0, 7.99, 8, 99)] == [0, 0, 0, 1, 2]


def test_between_beats_by_length_of_way_and_the_short_way_round() -> None:
    found = beats(WALK)
    # The way is 2 + 3 + 2 m in 6 s: even, half of the time is half of the length.
    mark, facing, held = place_at(found, 5.0, "even")
    assert mark == pytest.approx((-0.5, 0.0))
    assert abs(facing) == pytest.approx(math.pi)
    assert held.up == pytest.approx(1.24)
    # Smooth: at a quarter of the time 3/16 - 2/64 = 10/64 of the way.
    assert place_at(found, 3.5)[0] == pytest.approx((-2.0, 2.0 - 7 * 10 / 64))
    assert place_at(found, 3.5)[1] == pytest.approx(math.radians(170 + 20 * 10 / 64))


def test_no_jumps() -> None:
    found = beats(WALK)
    at = np.array([[*place_at(found, t)[0], place_at(found, t)[2].up or 0.0] for t in np.arange(0, 16, 0.01)])
    assert np.abs(np.diff(at, axis=0)).max() < 0.01 * 1.5 * 7 / 6 + 1e-6


@pytest.mark.parametrize(
    ("text", "line", "sentence"),
    [
        ("- {at: 0:10}\n- {at: 5 s}", 17, "out of order: 'beat 2' at 0:05 comes after 'beat 1' at 0:10"),
        ("- {at: 0 s, mark: dor}", 16, "There is no mark 'dor' in 'marks'; did you mean 'door'?"),
        ("- {at: 0 s, moves: [look lef]}", 16, "The puppet has no move 'look lef'; did you mean 'look left'?"),
        ("- {at: 0 s, aim at: E11}", 16, "There is no eye 'E11' to face; did you mean 'E1'?"),
        ("- {at: 0 s, focus: {eye: E22}}", 16, "There is no eye 'E22' to look at; did you mean 'E2'?"),
        ("- {at: 0 s, hold: 4 s}\n- {at: 4 s, mark: door}", 17, "zero duration"),
        ("- {at: 0 s, hold: 4 s}\n- {at: 3 s, facing: 50 deg}", 17, "but facing must change"),
        ("- {at: 0 s}\n- {at: 0 s, prop: {up: 1 m}}", 17, "but prop must change"),
        ("- {at: 0 s}\n- {at: 0 s, path: [[0 m, 0 m]]}", 17, "but mark must change"),
        ("- {at: 0 s, path: [[0 m, 0 m]]}", 16, "There is no way to the first beat"),
    ],
)
def test_what_cannot_be_is_told_with_its_line(text: str, line: int, sentence: str) -> None:
    with pytest.raises(FileError) as caught:
        beats(text)
    assert sentence in str(caught.value)
    assert f"scene.yaml:{line}:" in str(caught.value)
    assert "blocking.beats[" in str(caught.value)
    assert len(caught.value.problems) == 1


def test_all_problems_are_told_at_once() -> None:
    with pytest.raises(FileError) as caught:
        beats("- {at: 9 s, mark: dor, moves: [duk, lok]}\n- {at: 5 s, aim at: E9, focus: {eye: E8}}")
    assert len(caught.value.problems) == 6


@pytest.mark.parametrize(
    ("gone", "text", "sentence"),
    [("puppet", "- {at: 0 s, moves: [duck]}", "has none"), ("prop", "- {at: 0 s, prop: {up: 1 m}}", "has no prop")],
)
def test_what_the_scene_does_not_have(gone: str, text: str, sentence: str) -> None:
    kept = "\n".join(
        part
        for part in SCENE.split("\n")
        if not part.startswith((gone, *(["  box", "  at:"] if gone == "prop" else [])))
    )
    with pytest.raises(FileError, match=sentence):
        beats(text, kept)


def test_default_moves_have_names_too() -> None:
    scene = SCENE.replace(", moves: {look left: {turn: 12 deg}, duck: {by: [0 cm, 0 cm, -3 cm]}}", "")
    assert beats("- {at: 0 s, moves: [rest, up]}", scene)[0].moves == ("rest", "up")


def test_beats_at_one_time_that_change_nothing_are_no_error() -> None:
    found = beats("- {at: 0 s}\n- {at: 5 s, moves: [duck]}\n- {at: 5 s, moves: [rest]}")
    assert place_at(found, 5.0)[0] == (1.0, 2.0)
    assert step_at(found, 5.0) == 2


def test_only_a_way_above_walking_pace_warns() -> None:
    found = beats(WALK)
    # 7 m in 6 s: 1.17 m/s on the mean, 1.75 at the peak of a smooth ease.
    (said,) = warnings(found)
    assert "'beat 2' (0:02 to 0:08)" in said
    assert "1.75 m/s" in said
    assert "1.5 x the mean" in said
    assert warnings(found, "even") == []
    at_limit = [found[0], replace(found[1], at_s=2.0 + 7.0 * 1.5 / 1.4)]
    assert warnings(at_limit) == []
    assert len(warnings([found[0], replace(found[1], at_s=1.99 + 7.0 * 1.5 / 1.4)])) == 1
