"""Mirrors as a venue writes them: what is refused, and their line on the plan."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.errors import FileError, Misfit
from sightline.house.outline import Outline
from sightline.scene.reading import scene_from_text
from tests.conftest import finding_of, report_of

BALL = "{name: target, sphere: {radius: 20 cm}, at: [0 m, 0.5 m, 1.1 m]}"
GLASS = "{name: glass, rectangle: {width: 1.4 m, height: 50 cm}, at: [0.2 m, 3 m, 1.2 m]}"
SCENE = f"venue: {{mirrors: [{GLASS}]}}\nsecrets: [{BALL}]\neyes: [{{id: E1, at: [0 m, -5 m, 1 m]}}]\n"


def test_on_the_plan() -> None:
    plan = finding_of(SCENE).moment.plan
    (line,) = [outline for outline in plan.outlines if isinstance(outline, Outline) and outline.kind == "mirror"]
    assert line.points_m == pytest.approx(np.array([[-0.5, 3.0], [0.9, 3.0]]))


def test_a_mirror_inside_a_wall_is_refused() -> None:
    thick = "{name: wall, box: {width: 9 m, depth: 20 cm, height: 4 m}, at: [0 m, 3.05 m, 1 m]}"
    with pytest.raises(Misfit, match="inside 'wall'"):
        report_of(SCENE + f"covers: [{thick}]\n")


@pytest.mark.parametrize(
    ("mirror", "says"),
    [
        ("{name: m, rectangle: {width: 0 m, height: 1 m}, at: [0 m, 3 m, 1 m]}", "'0 m' is too small"),
        ("{name: m, disc: {radius: 0 cm}, at: [0 m, 3 m, 1 m]}", "'0 cm' is too small"),
        ("{name: m, disc: {radius: 1 m}}", "The key 'at' is missing"),
        ("{name: m, at: [0 m, 3 m, 1 m]}", "exactly one shape"),
        ("{name: m, disc: {radius: 1 m}, rectangle: {width: 1 m, height: 1 m}, at: [0 m, 3 m, 1 m]}", "got both"),
        ("{name: m, disc: {radius: 1 m}, at: [0 m, 3 m, 1 m], facing: [0, 0, 0]}", "points nowhere"),
        ("{name: m, disk: {radius: 1 m}, at: [0 m, 3 m, 1 m]}", "did you mean 'disc'?"),
    ],
)
def test_bad_mirrors(mirror: str, says: str) -> None:
    text = (
        f"version: 1\nvenue:\n  mirrors:\n    - {mirror}\nsecrets: [{BALL}]\neyes: [{{id: E1, at: [0 m, -5 m, 1 m]}}]\n"
    )
    with pytest.raises(FileError) as caught:
        scene_from_text(text)
    assert says in str(caught.value)
    assert "scene.yaml:4:" in str(caught.value)


def test_two_mirrors_of_one_name_are_refused() -> None:
    one = "{name: m, disc: {radius: 1 m}, at: [0 m, 3 m, 1 m]}"
    text = (
        f"venue:\n  mirrors:\n    - {one}\n    - {one}\nsecrets: [{BALL}]\neyes: [{{id: E1, at: [0 m, -5 m, 1 m]}}]\n"
    )
    with pytest.raises(FileError, match="its own name") as caught:
        finding_of(text)
    assert "scene.yaml:5:" in str(caught.value)
