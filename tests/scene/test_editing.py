"""Edits of a scene's text: what is changed is changed, everything else stays to the byte."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from sightline.scene.editing import Edit, EditError, edited
from tests.conftest import REPOSITORY

BLOCK = """# an act
version: 1
prop:
  box: {width: 46 cm, depth: 32 cm}   # outside
  at:
    ahead: 37 cm  # from the mark
    up: 112 cm
costume:
  - shirt: {}   # plain
  - sleeve: {on: false arm}

# where
blocking: {mark: [0 m, 1 m]}
"""


@pytest.mark.parametrize(
    ("edit", "old", "new"),
    [
        (Edit(("prop", "at", "up"), "118 cm"), "up: 112 cm", "up: 118 cm"),
        (Edit(("prop", "at", "ahead"), "30 cm"), "ahead: 37 cm  # from", "ahead: 30 cm  # from"),
        (Edit(("blocking", "mark"), "[1 m, 2 m]"), "mark: [0 m, 1 m]", "mark: [1 m, 2 m]"),
        (Edit(("prop", "at", "tilt"), "4 deg"), "    up: 112 cm\n", "    up: 112 cm\n    tilt: 4 deg\n"),
        (Edit(("blocking", "facing"), "3 deg"), "[0 m, 1 m]}", "[0 m, 1 m], facing: 3 deg}"),
        (Edit(("pose", "hidden elbow"), "0 deg"), "[0 m, 1 m]}\n", "[0 m, 1 m]}\npose: {hidden elbow: 0 deg}\n"),
        (
            Edit(("costume",), "{cuff: {length: 7 cm}}", append=True),
            "  - sleeve: {on: false arm}\n",
            "  - sleeve: {on: false arm}\n  - {cuff: {length: 7 cm}}\n",
        ),
        (Edit(("costume", 1, "sleeve", "to"), "1.0"), "{on: false arm}", "{on: false arm, to: 1.0}"),
        (Edit(("prop", "openings"), "{wall: top}", append=True), "    up: 112 cm\n", "    up: 112 cm\n  openings: [{wall: top}]\n"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_one_edit(edit: Edit, old: str, new: str, newline: str) -> None:
    assert BLOCK.count(old) == 1
    want = BLOCK.replace(old, new).replace("\n", newline)
    assert edited(BLOCK.replace("\n", newline), [edit]) == want
    assert yaml.safe_load(want)


def test_no_newline_at_the_end() -> None:
    assert edited("version: 1\na: {b: 1}", [Edit(("c",), "2")]) == "version: 1\na: {b: 1}\nc: 2"


def test_empty_flow_parts() -> None:
    assert edited("a: {}\nb: []\n", [Edit(("a", "x"), "1"), Edit(("b",), "2", append=True)]) == "a: {x: 1}\nb: [2]\n"


@pytest.mark.parametrize(
    ("text", "edit", "says"),
    [
        ("a: &x {b: 1}\nc: *x\n", Edit(("c", "b"), "2"), "shared"),
        ("a: |\n  long\n", Edit(("a",), "2"), "several lines"),
        ("a:\n  b: 1\n", Edit(("a",), "2"), "several lines"),
        ("a: 1\n", Edit(("a", "b"), "2"), "no a.b"),
        ("a: [1]\n", Edit(("a", 3), "2"), "no a"),
        ("a: 1\n", Edit(("a",), "2", append=True), "no list"),
    ],
)
def test_what_cannot_be_edited_is_told(text: str, edit: Edit, says: str) -> None:
    with pytest.raises(EditError, match=says):
        edited(text, [edit])


EXAMPLES = sorted((REPOSITORY / "examples").glob("*.yaml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_comments_stay(path) -> None:  # type: ignore[no-untyped-def]
    text = path.read_text(encoding="utf-8")
    after = edited(
        text, [Edit(("prop", "at", "up"), "99 cm"), Edit(("costume",), "{shirt: {name: hood}}", append=True)]
    )
    assert [line.split("#", 1)[1] for line in text.splitlines() if "#" in line] == [
        line.split("#", 1)[1] for line in after.splitlines() if "#" in line
    ]
    before_tree, after_tree = yaml.safe_load(text), yaml.safe_load(after)
    before_tree["prop"]["at"]["up"] = "99 cm"
    before_tree["costume"].append({"shirt": {"name": "hood"}})
    assert after_tree == before_tree


@given(
    st.recursive(st.integers(), lambda inner: st.dictionaries(st.sampled_from("abcd"), inner, max_size=3), max_leaves=8)
)
def test_any_tree_takes_a_new_key(tree: object) -> None:
    """In block or flow style, the new key is there and nothing else has changed."""
    if not isinstance(tree, dict) or not tree:
        return
    for flow in (True, False):
        text = yaml.safe_dump(tree, default_flow_style=flow, sort_keys=False)
        assert yaml.safe_load(edited(text, [Edit(("new", "key"), "7")])) == {**tree, "new": {"key": 7}}
