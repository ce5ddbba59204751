"""Parts of the work on shadows: points chosen by weight, and how large a shadow looks."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sightline.scene.reading import scene_from_text
from sightline.sight.lamps import _Fall, _Looked, _Secret, _spread, shadows
from sightline.sight.scenery import Scenery
from sightline.staging import stage


def test_points_are_chosen_evenly_by_weight() -> None:
    """Of ten units of weight, four points stand at 1.25, 3.75, 6.25 and 8.75."""
    assert _spread(np.array([1.0, 1, 1, 1, 1, 1, 1, 1, 1, 1]), 4).tolist() == [1, 3, 6, 8]
    assert _spread(np.array([5.0, 1, 1, 1, 1, 1]), 4).tolist() == [0, 0, 2, 4]
    assert _spread(np.array([3.0, 1.0]), 2).tolist() == [0, 1]
    assert _spread(np.array([3.0, 1.0, 2.0]), 2).tolist() == [0, 2]


def fall(points: list[list[float]], areas: list[float]) -> _Fall:
    count = len(points)
    return _Fall(
        np.array(points), np.tile([0.0, -1.0, 0.0], (count, 1)), np.array(areas), np.zeros(count, dtype=np.intp)
    )


def test_the_pose_that_most_eyes_see_tells_where_the_shadow_is() -> None:
    looked = _Looked(3)
    looked.take(np.array([0.0, 2.0, 0.0]), fall([[1.0, 0, 0], [3.0, 0, 0]], [1.0, 3.0]))
    assert looked.at_m.tolist() == [2.5, 0, 0]
    looked.take(np.array([0.0, 1.0, 0.0]), fall([[9.0, 0, 0]], [1.0]))
    assert looked.at_m.tolist() == [2.5, 0, 0]
    looked.take(np.array([5.0, 1.0, 0.0]), fall([[7.0, 0, 0]], [1.0]))
    assert looked.at_m.tolist() == [7.0, 0, 0]
    assert looked.seen.tolist() == [True, True, False]
    assert looked.size.tolist() == [5.0, 2.0, 0.0]
    none = _Looked(2)
    none.take(np.zeros(2), fall([[4.0, 0, 0]], [1.0]))
    assert none.at_m.tolist() == [4.0, 0, 0]
    assert not none.seen.any()


TEXT = """version: 1
venue: {lamps: [{name: front light, at: [0 m, -4 m, 1.5 m]}]}
covers: [{name: backdrop, rectangle: {width: 8 m, height: 5 m}, at: [0 m, 2 m, 1.5 m]}]
secrets: [{name: hand, rectangle: {width: 20 cm, height: 20 cm}, at: [0 m, 0 m, 1.5 m]}]
eyes: [{id: A, at: [3 m, -5 m, 1.5 m]}, {id: B, at: [0 m, 5 m, 1.5 m]}]
"""


def test_what_falls_is_as_large_as_similar_triangles_say() -> None:
    """4 m to the hand and 6 m to the wall: 0.3 m square, 0.09 m2, its front to the lamp."""
    moment = stage(scene_from_text(TEXT))
    scenery = Scenery(moment)
    secret = _Secret("hand", moment, scenery)
    ((pose, patches),) = secret.having
    found = secret._fall(moment.lamps[0], pose, patches)
    assert found.areas.sum() == pytest.approx(0.09, rel=1e-3)
    assert found.normals == pytest.approx(np.tile([0, -1.0, 0], (len(found.points), 1)), abs=1e-6)
    assert found.points[:, 1] == pytest.approx(np.full(len(found.points), 2.0), abs=1e-3)
    for axis, middle in ((0, 0.0), (2, 1.5)):
        assert np.abs(found.points[:, axis] - middle).max() == pytest.approx(0.15, abs=0.01)
    # A at (3, -5) is 7 m before the wall and 3 m aside: area times cosine over distance squared; B is behind the wall.
    sizes = secret._sizes(found, pose)
    far2 = 3.0**2 + 7.0**2
    assert sizes == pytest.approx([0.09 * 7.0 / far2**1.5, 0.0], rel=2e-2)
    assert math.isclose(sizes[1], 0.0)


def test_the_floor_is_met_where_nothing_else_is() -> None:
    """A lamp 3 m up, straight over a hand 1.5 m up: twice as wide on the floor, 0.16 m2, its front upward."""
    text = TEXT.replace("[0 m, -4 m, 1.5 m]", "[0 m, 0 m, 3 m]").replace(
        "at: [0 m, 0 m, 1.5 m]}]", "at: [0 m, 0 m, 1.5 m], facing: [0, 0, 1]}]"
    )
    moment = stage(scene_from_text(text))
    secret = _Secret("hand", moment, Scenery(moment))
    ((pose, patches),) = secret.having
    found = secret._fall(moment.lamps[0], pose, patches)
    assert (found.surface == -1).all()
    assert found.areas.sum() == pytest.approx(0.16, rel=1e-2)
    assert found.normals == pytest.approx(np.tile([0, 0, 1.0], (len(found.points), 1)))
    assert found.points[:, 2] == pytest.approx(np.zeros(len(found.points)), abs=1e-9)


def test_the_first_of_all_covers_has_a_name_as_well() -> None:
    """A backdrop that goes with the act comes before all others; a shadow on it is not said to be on the floor."""
    carried = TEXT.replace("at: [0 m, 2 m, 1.5 m]}", "at: [0 m, 2 m, 1.5 m], carried: yes}")
    for text in (TEXT, carried):
        moment = stage(scene_from_text(text))
        scenery = Scenery(moment)
        (found,) = shadows(moment, scenery)
        assert found.surface == "backdrop"
    assert scenery.covers(0)[0].name == "backdrop"
