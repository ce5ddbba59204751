"""Why an eye sees a secret, in words: scenes in which there is no doubt about it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.eyes import Eye
from sightline.moment import Moment, Pose, Secret
from sightline.sight.check import check
from sightline.sight.rays import nearest_mesh
from sightline.sight.reasons import _beside, _opening, _which_side, reason, worst_eyes
from tests.conftest import finding_of
from tests.sight.meshes import shifted, write_mesh

# A square target 0.4 m wide at the origin, and a screen 1 m before it that hides a half of it from an eye straight ahead.
HALF = """
covers: [{{name: flat, rectangle: {{width: 2 m, height: 2 m}}, at: [{x} m, -1 m, {z} m]}}]
secrets: [{{name: target, rectangle: {{width: 40 cm, height: 40 cm}}, two sided: true}}]
eyes: [{{id: E1, at: [0 m, {y} m, 0 m]}}, {{id: E2, at: [50 m, 0.0001 m, 0 m]}}]
"""


@pytest.mark.parametrize(
    ("x", "z", "y", "said"),
    [
        (-1.0, 0.0, -20, "past the stage-left side of the flat"),
        (1.0, 0.0, -20, "past the stage-right side of the flat"),
        (0.0, -1.0, -20, "over the flat"),
        (0.0, 1.0, -20, "under the flat"),
        (0.0, 30.0, -20, "with nothing in the way"),
        (0.0, 0.0, 20, "with nothing in the way"),
    ],
)
def test_past_which_edge(x: float, z: float, y: int, said: str) -> None:
    """Stage left is +x. From behind nothing stands in the way."""
    finding = finding_of(HALF.format(x=x, z=z, y=y))
    assert reason(finding, "target", 0) == said


@pytest.mark.parametrize(("x", "side"), [(-1.0, "left"), (1.0, "right")])
def test_stage_left_is_stage_left_from_behind_too(x: float, side: str) -> None:
    """The screen is moved 1 m behind the target, and the eye upstage of both."""
    text = HALF.format(x=x, z=0.0, y=20).replace("-1 m, 0.0 m]", "1 m, 0.0 m]")
    assert reason(finding_of(text), "target", 0) == f"past the stage-{side} side of the flat"


def test_round_itself(tmp_path: Path) -> None:
    """Two plates of one secret: the nearer one, a metre before the other, hides the stage-right half of it."""
    far, near = shapes.rectangle(0.4, 0.4), shapes.rectangle(0.2, 0.4)
    write_mesh(tmp_path / "two.obj", Mesh.joined([far, shifted(near, -0.1, -1.0, 0.0)]))
    text = """
        secrets: [{name: target, mesh: two.obj}]
        eyes: [{id: E1, at: [0 m, -99 m, 0 m]}]
    """
    assert reason(finding_of(text, tmp_path), "target", 0).startswith("round itself, ")


def test_through_an_opening() -> None:
    """The opening that most of what shows is seen through; when less than half is, it is not told."""
    hole = shapes.rectangle(0.2, 2.0)
    door = Cover("door", Mesh.of(hole.vertices + [0, -1.0, 0], hole.faces))
    window = Cover("window", Mesh.of(hole.vertices + [1.0, -1.0, 0], hole.faces))
    eye, centre = np.array([0.0, -1000.0, 0.0]), np.zeros(3)
    through = np.column_stack([np.linspace(-0.09, 0.09, 10), np.zeros(10), np.zeros(10)])
    aside = through + [0.5, 0, 0]
    assert _opening((), through, eye, centre) is None
    assert _opening((window, door), through, eye, centre) == "door"
    assert _opening((window, door), through + [1.0, 0, 0], eye, centre) == "window"
    assert _opening((door,), np.concatenate([through, aside]), eye, centre) == "door"
    assert _opening((door,), np.concatenate([through[:9], aside]), eye, centre) is None
    assert _opening((door,), aside, eye, centre) is None


def test_what_is_beside_is_within_four_centimetres() -> None:
    others = np.zeros((1, 3))
    points = np.column_stack([np.array([0.01, 0.039, 0.041, 0.5]), np.zeros(4), np.zeros(4)])
    assert _beside(points, others).tolist() == [True, True, False, False]
    # Where all are farther away, the nearest tenth.
    far = np.column_stack([np.linspace(1, 2, 11), np.zeros(11), np.zeros(11)])
    assert _beside(far, others).tolist() == [True, True] + [False] * 9


def test_sides_as_the_eye_sees_them() -> None:
    """Looking upstage the eye's right is stage left; looking straight down there is no side to tell."""
    eye, none = np.array([0.0, -9.0, 0.0]), np.zeros((1, 3))
    assert _which_side(np.array([[0.3, 0, 0.2]]), none, eye) == "past the stage-left side of"
    assert _which_side(np.array([[0.2, 0, 0.3]]), none, eye) == "over"
    assert _which_side(np.array([[0.2, 0, -0.3]]), none, eye) == "under"
    assert _which_side(np.array([[-0.3, 0, -0.2]]), none, eye) == "past the stage-right side of"
    assert _which_side(np.array([[0.0, 0, 0]]), none + 0.1, np.array([0.0, 0, 9.0])) == "past"
    # From the side of the stage, upstage and downstage have no name: the eye's right counts as stage left.
    assert _which_side(np.array([[0, 0.3, 0]]), none, np.array([9.0, 0.3, 0])) == "past the stage-left side of"
    assert _which_side(np.array([[0, -0.3, 0]]), none, np.array([9.0, -0.3, 0])) == "past the stage-right side of"


def test_the_eyes_that_see_most_come_first() -> None:
    """Four eyes ahead at growing distances, one behind a one-sided secret, one so far that it is faint."""
    text = """
        secrets: [{name: target, disc: {radius: 5 cm}}]
        eyes: [{id: A, at: [0 m, -9 m, 0 m]}, {id: B, at: [0 m, -3 m, 0 m]}, {id: C, at: [0 m, 3 m, 0 m]},
               {id: D, at: [0 m, -5 m, 0 m]}, {id: E, at: [0 m, -900 m, 0 m]}, {id: F, at: [0 m, -3 m, 0 m]}]
    """
    finding = finding_of(text)
    assert finding.secrets["target"].verdict.tolist() == [2, 2, 0, 2, 1, 2]
    assert worst_eyes(finding, "target") == [1, 5, 3]
    assert worst_eyes(finding, "target", 6) == [1, 5, 3, 0, 4]


def test_the_cover_that_a_ray_meets_first() -> None:
    """Covers of the act and of the setting are in groups of their own; the index runs over all of them."""
    text = """
        covers: [{name: a, rectangle: {width: 2 m, height: 2 m}, at: [0 m, -2 m, 0 m], carried: yes},
                 {name: b, rectangle: {width: 2 m, height: 2 m}, at: [0 m, -1 m, 0 m]},
                 {name: c, rectangle: {width: 2 m, height: 2 m}, at: [5 m, -1 m, 0 m]}]
        secrets: [{name: target, disc: {radius: 5 cm}}]
        eyes: [{id: A, at: [0 m, -9 m, 0 m]}]
    """
    scenery = finding_of(text).looked.scenery
    starts = np.array([[0.5, -0.5, 0.5], [0.5, -1.5, 0.5], [5.5, -0.5, 0.5], [9.0, -0.5, 0], [0.5, -5.0, 0.5]])
    ends = np.array([[0.5, -9.0, 0.5], [0.5, -9.0, 0.5], [5.5, -9.0, 0.5], [9.0, -9.0, 0], [0.5, 9.0, 0.5]])
    found, distance, _ = nearest_mesh(scenery.surfaces(0), starts, ends)
    names = [scenery.covers(0)[i].name if i >= 0 else None for i in found]
    assert names == ["b", "a", "c", None, "a"]
    assert distance == pytest.approx([0.5, 0.5, 0.5, np.inf, 3.0], rel=1e-5)


def test_a_seam_shows_on_the_side_of_its_surface_that_faces_the_eye() -> None:
    """A line round a box: a flat that hides a part is told; a part of the surface itself is told as such."""
    path = np.array([[-0.2, -0.2, 0], [0.2, -0.2, 0], [0.2, 0.2, 0], [-0.2, 0.2, 0], [-0.2, -0.2, 0]])
    box, seat = Cover("box", shapes.box(0.4, 0.4, 0.4)), Eye("E1", "point", (0.0, -20.0, 0.0))
    bulky = Cover("box", Mesh.joined([box.mesh, shifted(shapes.box(0.3, 0.3, 0.3), -0.15, -1.0, 0.0)]))
    seam = Secret("seam", "seam", shapes.rectangle(0.001, 0.001), path=path, on="box", covers=False)
    for name in ("aft flat", "flat"):
        flat = Cover(name, shifted(shapes.rectangle(2.0, 2.0), -1.0, -1.0, 0.0))
        for covers, said in (
            ((box,), "with nothing in the way"),
            ((box, flat), f"past the stage-left side of the {name}"),
            ((bulky,), "on the side of the box that faces there"),
        ):
            finding = check(Moment("m", Pose("s", covers=covers, secrets=(seam,)), (Pose("p"),), (seat,)))
            assert finding.secrets["seam"].verdict.tolist() == [2]
            assert reason(finding, "seam", 0) == said
