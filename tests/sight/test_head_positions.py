"""Where heads may be, which eyes are refused, and that the worst position and pose are the ones that are told."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.errors import Misfit
from sightline.scene.reading import scene_from_text
from sightline.sight.looking import head_positions
from sightline.staging import stage
from tests.conftest import finding_of, report_of

SCENE = "version: 1\nsecrets: [{{name: target, disc: {{radius: 5 cm}}}}]\neyes: [{}]\n"


def places(*eyes: str, sway: bool = True) -> np.ndarray:
    return head_positions(stage(scene_from_text(SCENE.format(", ".join(eyes)))), sway)


def test_a_head_leans_square_to_where_it_looks_and_up_and_down() -> None:
    """Half of 63 mm between the eyes and 50 mm of lean make 81.5 mm to each side; 50 mm up and down."""
    found = places(
        "{id: A, at: [0 m, -9 m, 1 m], kind: seated}",
        "{id: B, at: [4 m, -3 m, 0 m], kind: child}",
        "{id: C, at: [1 m, -9 m, 1 m]}",
    )
    assert found.shape == (5, 3, 3)
    steps = found - found[0]
    assert steps[1:, 2].tolist() == [[0, 0, 0]] * 4
    assert steps[1, 0] == pytest.approx([0.0815, 0, 0])
    assert steps[2, 0] == pytest.approx([-0.0815, 0, 0])
    # From (4, -3) the target is in direction (-0.8, 0.6); to the right of it lies (0.6, 0.8).
    assert steps[1, 1] == pytest.approx([0.0815 * 0.6, 0.0815 * 0.8, 0])
    for eye in (0, 1):
        assert steps[3, eye] == pytest.approx([0, 0, 0.05])
        assert steps[4, eye] == pytest.approx([0, 0, -0.05])


def test_an_eye_straight_above_leans_along_the_stage() -> None:
    found = places("{id: A, at: [0 m, 0 m, 9 m], kind: standing}")
    assert found[1, 0] - found[0, 0] == pytest.approx([0.0815, 0, 0])


def test_without_people_there_is_one_position() -> None:
    for kind in ("point", "camera", "phone"):
        assert places(f"{{id: A, at: [0 m, -9 m, 1 m], kind: {kind}}}").shape == (1, 1, 3)
    assert places("{id: A, at: [0 m, -9 m, 1 m], kind: seated}", sway=False).shape == (1, 1, 3)


def test_eyes_inside_something_are_refused_by_name() -> None:
    """Of more than five the first are named and the others counted."""
    box = "covers: [{name: crate, box: {width: 4 m, depth: 1 m, height: 1 m}, at: [0 m, -5 m, 0 m]}]\n"

    def refused(count: int) -> Misfit:
        eyes = [f"{{id: E{i}, at: [{i / 10 - 0.5:.1f} m, -5 m, 0 m]}}" for i in range(count)]
        text = (
            box
            + "secrets: [{name: target, disc: {radius: 5 cm}}]\neyes: [{id: free, at: [0 m, -9 m, 0 m]}, "
            + ", ".join(eyes)
            + "]\n"
        )
        with pytest.raises(Misfit) as found:
            finding_of(text)
        return found.value

    five, six = refused(5), refused(6)
    assert five.path == ("eyes", "E0")
    assert "inside 'crate': E0, E1, E2, E3, E4. Move" in five.sentence
    assert "E0, E1, E2, E3, E4 and 1 more. Move" in six.sentence
    assert "E0, E1, E2, E3, E4 and 3 more. Move" in refused(8).sentence


def test_a_mirror_inside_something_is_refused() -> None:
    text = """
        venue: {mirrors: [{name: glass, rectangle: {width: 1 m, height: 1 m}, at: [0 m, 3 m, 1 m]}]}
        covers: [{name: crate, box: {width: 4 m, depth: 1 m, height: 3 m}, at: [0 m, 3 m, 1 m]}]
        secrets: [{name: target, disc: {radius: 5 cm}}]
        eyes: [{id: A, at: [0 m, -9 m, 0 m]}]
    """
    with pytest.raises(Misfit) as found:
        finding_of(text)
    assert "'glass' is inside 'crate'" in found.value.sentence


def test_the_position_of_the_head_that_sees_most_is_the_one_that_counts() -> None:
    """A flat's edge on the line to the target's middle: leaning to the open side more shows than without."""
    text = """
        covers: [{{name: flat, rectangle: {{width: 2 m, height: 2 m}}, at: [-1 m, -1 m, 0 m]}}]
        secrets: [{{name: target, rectangle: {{width: 10 cm, height: 10 cm}}}}]
        eyes: [{{id: A, at: [0 m, -3 m, 0 m], kind: {kind}}}]
    """
    still = report_of(text.format(kind="camera"))["eyes"][0]["secrets"]["target"]
    swayed = report_of(text.format(kind="seated"))["eyes"][0]["secrets"]["target"]
    assert still["visible_fraction"] == pytest.approx(0.5, abs=0.1)
    # 81.5 mm to the right, twice as far from the edge as the target: 41 mm more show of 100.
    assert swayed["visible_fraction"] == pytest.approx(0.91, abs=0.07)
    found = finding_of(text.format(kind="seated")).secrets["target"].sighting.seen
    assert found.position.tolist() == [1]
    assert found.via.tolist() == [-1]


def test_missable_is_asked_from_every_position_of_the_head() -> None:
    """Leaning towards the target cannot make what could be missed smaller."""
    text = "secrets: [{{name: target, disc: {{radius: 5 cm}}}}]\neyes: [{{id: A, at: [0 m, -0.5 m, 0 m], kind: {}}}]\n"
    one, five = (finding_of(text.format(kind)).secrets["target"].sighting.missable_rad for kind in ("camera", "seated"))
    assert (five >= one).all()


def test_a_must_see_is_judged_by_what_it_would_show_of_itself() -> None:
    """A box shows one wall; half of that wall hidden makes a half, whatever its other five walls are."""
    text = """
        covers: [{name: flat, rectangle: {width: 20 m, height: 20 m}, at: [-10 m, -1 m, 0 m]}]
        must see: [{name: owl, box: {width: 40 cm, depth: 40 cm, height: 40 cm}}]
        secrets: [{name: target, disc: {radius: 1 cm}, at: [0 m, 0 m, 5 m]}]
        eyes: [{id: A, at: [0 m, -500 m, 0 m]}, {id: B, at: [0 m, 500 m, 0 m]}]
    """
    owl = finding_of(text).must_see["owl"]
    assert owl.clear_fraction == pytest.approx([0.5, 1.0], abs=0.06)
    assert owl.without_heads == pytest.approx(owl.clear_fraction)
    assert owl.solid_angle_sr == pytest.approx(owl.clear_fraction * 0.16 / 499.8**2, rel=0.06)
