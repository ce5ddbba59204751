"""What advice must not break: a change of the stage example that presses the arm is refused, one that padding mends told."""

from __future__ import annotations

from sightline.scene.editing import Edit, edited
from sightline.scene.reading import scene_from_text
from sightline.workshop.limits import broken, fit_items
from tests.conftest import REPOSITORY

TEXT = (REPOSITORY / "examples" / "courier-stage.yaml").read_text(encoding="utf-8")


def after(*edits: Edit) -> tuple[list[str], list[str]]:
    return broken(fit_items(scene_from_text(TEXT)), fit_items(scene_from_text(edited(TEXT, edits))))


def test_a_raised_crate_presses_the_arm_into_its_opening() -> None:
    no, _ = after(Edit(("prop", "at", "up"), "118 cm"))
    assert any("presses" in said for said in no)


def test_an_edge_at_the_breastbone_is_told() -> None:
    no, worse = after(Edit(("prop", "at", "ahead"), "30 cm"))
    assert no == []
    assert any("breastbone" in said for said in worse)


def test_nothing_changed_breaks_nothing() -> None:
    assert after() == ([], [])


def test_without_a_performer_there_are_no_limits() -> None:
    text = "version: 1\nsecrets: [{name: t, rectangle: {width: 1 cm, height: 1 cm}}]\neyes: [{id: E1, at: [0 m, -5 m, 0 m]}]\n"
    assert fit_items(scene_from_text(text)) == {}
