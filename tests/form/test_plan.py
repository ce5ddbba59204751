"""Answers spliced into a scene's text: what nobody asks about stays, to the byte, and the rest reads back."""

from __future__ import annotations

import re

import pytest
import yaml

from sightline.form.join import join, settled
from sightline.form.plan import plan
from sightline.form.questionnaire import questions
from sightline.scene.reading import scene_from_text
from tests.form.answers import random_answers
from tests.form.scenes import BLOCK, EMPTY_LISTS, FLOW, SCENES, SHARED

ASKED = questions()


def changed(text: str, **answers: str) -> str:
    cut = plan(text, ASKED)
    return join(cut, cut.was | {name.replace("__", "."): said for name, said in answers.items()}, ASKED)


@pytest.mark.parametrize("name", SCENES)
def test_unchanged_answers_leave_every_byte(name: str) -> None:
    text = SCENES[name]
    scene_from_text(text)
    cut = plan(text, ASKED)
    assert join(cut, cut.was, ASKED) == text


def test_answers_are_found_where_they_stand() -> None:
    was = plan(BLOCK, ASKED).was
    assert was["title"] == "Grüße an die Eule 🦉"
    assert was["stature"] == "5'10\""
    assert was["opening.diameter"] == "15 cm"
    assert was["measured.chest"] == "1.02 m"
    assert was["grip.up"] == "2 cm"
    assert was["eye.kind"] == "phone"
    assert "opening.width" not in was


@pytest.mark.parametrize(
    ("answers", "gone", "come"),
    [
        ({"stature": "6 ft 1 in"}, "stature: 5'10\"", "stature: 6 ft 1 in"),
        ({"title": "A: b"}, 'title: "Grüße an die Eule 🦉"', "title: 'A: b'"),
        ({"sex": ""}, "\n  sex: male", ""),
        ({"measured__neck": ""}, "\n    neck: 38 cm    # the neck", ""),
        ({"grip__up": "-3 cm"}, "0 cm, 2 cm]", "0 cm, -3 cm]"),
        ({"hide": "right arm"}, "left arm", "right arm"),
        ({"box__wall": "6 mm"}, "    height: 30 cm", "    height: 30 cm\n    wall: 6 mm"),
        ({"heads": "count"}, "    pixels: 4000", "    pixels: 4000\nheads: count"),
    ],
)
def test_one_change_changes_one_place(answers: dict[str, str], gone: str, come: str) -> None:
    new = changed(BLOCK, **answers)
    assert new == BLOCK.replace(gone, come)
    scene_from_text(new)


def test_another_shape_of_opening_takes_the_old_size_away() -> None:
    new = changed(BLOCK, opening__shape="slot", opening__width="16 cm", opening__height="12 cm")
    opening = scene_from_text(new).model.prop.openings[0]  # type: ignore[union-attr]
    assert (opening.shape, opening.diameter, opening.size_m) == ("slot", None, (0.16, 0.12))
    back = changed(FLOW, opening__shape="round", opening__diameter="15 cm")
    opening = scene_from_text(back).model.prop.openings[0]  # type: ignore[union-attr]
    assert opening.size_m == (0.15, 0.15)


def test_a_body_sheet_can_be_emptied() -> None:
    new = changed(FLOW, measured__neck="", measured__chest="", measured__wrist="", sex="")
    assert scene_from_text(new).model.performer.measured == {}  # type: ignore[union-attr]
    sheet = scene_from_text(changed(BLOCK, measured__neck="", measured__chest="")).model.performer
    assert sheet is not None
    assert sheet.measured == {}


def test_empty_lists_are_filled() -> None:
    text = EMPTY_LISTS.replace("puppet: {}\n", "")
    new = changed(text, hide="left arm", opening__diameter="15 cm", limb__wall="left")
    scene = scene_from_text(new).model
    assert scene.prop is not None
    assert scene.prop.openings[0].wall == "back"
    assert scene.false_limbs[0].replaces == "left arm"


def test_what_the_page_cannot_change_is_locked_and_left() -> None:
    cut = plan(SHARED, ASKED)
    assert {"title", "stature", "box.width", "at.up", "venue"} <= set(cut.locked)
    wild = random_answers(cut, ASKED, 1, 1.0)
    new = join(cut, wild, ASKED)
    for kept in (
        "&tall 172 cm",
        "title: >\n  folded\n  title\n",
        "mesh: crate.glb",
        "front edge: 1 m, back edge: 1.02 m",
    ):
        assert kept in new


@pytest.mark.parametrize("name", SCENES)
def test_any_answers_read_back_as_given(name: str) -> None:
    """Whatever is answered, the text stays YAML, and reading it again finds the same answers."""
    text = SCENES[name]
    cut = plan(text, ASKED)
    comments = re.findall(r"# a note[a-z ]*", text)
    for seed in range(60):
        answers = random_answers(cut, ASKED, seed, seed / 60)
        new = join(cut, answers, ASKED)
        yaml.safe_load(new)
        again = plan(new, ASKED).was
        said = settled(answers, ASKED)
        for question, answer in said.items():
            if question in cut.locked or question in cut.keep:
                continue
            found = again.get(question, "") or ASKED[question].implied
            whole = answer if answer != "unknown" or question in cut.was else ""
            if not whole and found in ("0 cm", "0 m"):
                continue  # written because its neighbours in a list are
            if ASKED[question].when is not None and not answer:
                found = again.get(question, "")
            assert found == whole, (seed, question, new)
        assert [note for note in comments if note not in new] == []
        assert ("\r\n" in text) == ("\r\n" in new)
