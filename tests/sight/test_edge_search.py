"""The search for edges: turning about the eye's direction, the nearest few, and what shows at a closed form's edge."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.sight import margins
from sightline.sight.edges import (
    BEARINGS,
    FINE_RAD,
    Tasks,
    _across,
    _along_the_arc,
    _angles,
    _nearest,
    _round_the_eye,
    _tilted,
    first_shown,
    followed,
    joined,
    no_tasks,
)


def tasks(eye: list[int], spot: list[int], direction: list[list[float]], pose: list[int] | None = None) -> Tasks:
    """Tasks of eyes at 4 m in direction (0, -1, 0)."""
    count = len(eye)
    way = np.array(direction, dtype=float).reshape(count, 3)
    way = way / np.linalg.norm(way, axis=1, keepdims=True)
    toward = np.tile([0.0, -1.0, 0.0], (count, 1))
    poses = np.array(pose if pose is not None else [0] * count, dtype=np.intp)
    return Tasks(
        np.array(eye, dtype=np.intp),
        poses,
        np.array(spot, dtype=np.intp),
        toward,
        np.full(count, 4.0),
        way,
        np.arange(count),
    )


class Cap:
    """Shows to every direction within an angle of one, instead of casting rays."""

    def __init__(self, centre: list[float], within_deg: float):
        self.centre = np.array(centre) / np.linalg.norm(centre)
        self.least = np.cos(np.radians(within_deg))
        self.asked = 0

    def reach(self, tasks: Tasks, direction: np.ndarray) -> np.ndarray:
        self.asked += len(direction)
        return np.asarray(direction @ self.centre >= self.least)


def at(angle_deg: float, bearing_deg: float = 0.0) -> list[float]:
    """The direction so far from (0, -1, 0), towards +x turned by a bearing about it."""
    a, b = np.radians(angle_deg), np.radians(bearing_deg)
    # Turning about (0, -1, 0) takes +x to +z: cross((0, -1, 0), (1, 0, 0)) = (0, 0, 1).
    return [np.sin(a) * np.cos(b), -np.cos(a), np.sin(a) * np.sin(b)]


def test_tilting_from_the_eye_towards_the_task_and_turned_about_it() -> None:
    some = tasks([0, 0], [0, 1], [at(50.0), at(90.0)])
    angle = np.radians([20.0, 120.0])
    assert _tilted(some, angle) == pytest.approx(np.array([at(20.0), at(120.0)]))
    bearing = np.radians([30.0, -90.0])
    assert _tilted(some, angle, bearing) == pytest.approx(np.array([at(20.0, 30.0), at(120.0, -90.0)]))


def test_an_angle_is_a_number_whatever_rounding_makes_of_its_cosine() -> None:
    """The product of a unit vector with itself may come out as 1 + 2e-16, of which there is no arc cosine."""
    way = np.random.default_rng(5).normal(size=(2000, 3))
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    assert (np.einsum("ij,ij->i", way, way) > 1.0).any()
    zero = np.zeros(len(way), dtype=np.intp)
    for direction, angle in ((way, 0.0), (-way, np.pi)):
        found = _angles(Tasks(zero, zero, zero, way, np.ones(len(way)), direction, zero))
        assert found == pytest.approx(np.full(len(way), angle), abs=1e-7)


def test_a_task_straight_at_the_eye_is_tilted_some_way() -> None:
    same = tasks([0], [0], [at(0.0)])
    found = _tilted(same, np.radians([30.0]))[0]
    assert np.linalg.norm(found) == pytest.approx(1.0)
    assert found @ [0, -1, 0] == pytest.approx(np.cos(np.radians(30.0)))


@pytest.mark.parametrize("vector", [[0, 0, 1.0], [0, 0, -1.0], [1.0, 0, 0], [0.6, 0, 0.8], [0.3, 0.3, 0.9055385]])
def test_some_vector_square_to_any(vector: list[float]) -> None:
    found = _across(np.array([vector]))[0]
    assert np.linalg.norm(found) == pytest.approx(1.0)
    assert found @ vector == pytest.approx(0.0, abs=1e-12)


def test_the_nearest_tasks_of_each_eye_one_a_spot() -> None:
    some = tasks([1, 0, 0, 0, 0, 1], [5, 1, 1, 2, 3, 5], [at(10.0)] * 6, [0, 0, 0, 0, 0, 1])
    angle = np.array([0.9, 0.5, 0.3, 0.4, 0.1, 0.2])
    left, angles = _nearest(some, angle, 2)
    # Of eye 0: spot 3 (0.1) and the better one of spot 1 (0.3); of eye 1 spot 5 in both poses, which are two spots.
    assert left.eye.tolist() == [0, 0, 1, 1]
    assert left.entry.tolist() == [4, 2, 5, 0]
    assert angles.tolist() == [0.1, 0.3, 0.2, 0.9]
    assert _nearest(some, angle, 1)[0].entry.tolist() == [4, 5]


def test_along_the_arc_the_edge_is_found_to_a_twentieth_of_a_degree() -> None:
    """A cap of 20 degrees about a direction 50 away begins at 30; asked from its middle and from beyond."""
    some = tasks([0, 0], [0, 1], [at(50.0), at(65.0)])
    found = np.degrees(_along_the_arc(Cap(at(50.0), 20.0), some, np.radians([50.0, 65.0])))  # type: ignore[arg-type]
    assert found == pytest.approx([30.0, 30.0], abs=0.06)
    # What is kept is where something does show, not beyond.
    assert (found >= 30.0 - 1e-9).all()


def test_round_the_eye_the_edge_is_followed_inward() -> None:
    """From a direction on the cap's flank its nearest edge is on another bearing: 30 degrees, not the 43 on its own."""
    cap = Cap(at(50.0), 20.0)
    some = tasks([0], [0], [at(50.0, 20.0)])
    start = _along_the_arc(cap, some, np.radians([50.0]))  # type: ignore[arg-type]
    assert np.degrees(start[0]) > 32.0
    found = np.degrees(_round_the_eye(cap, some, start))  # type: ignore[arg-type]
    assert found == pytest.approx([30.0], abs=0.35)
    assert found[0] >= 30.0 - 1e-9
    assert pytest.approx(0.1) == np.degrees(FINE_RAD)
    assert np.degrees(BEARINGS[[0, 12, -1]]) == pytest.approx([-60.0, 0.0, 60.0])


def test_followed_gives_each_eye_its_least_and_infinity_to_those_that_nothing_shows() -> None:
    cap = Cap(at(50.0), 20.0)
    some = tasks([0, 0, 2, 1], [0, 1, 0, 0], [at(50.0), at(45.0, 10.0), at(60.0), at(120.0)])
    found = np.degrees(followed(cap, some, 4))  # type: ignore[arg-type]
    assert found[[0, 2]] == pytest.approx([30.0, 30.0], abs=0.35)
    assert np.isinf(found[[1, 3]]).all()
    assert np.isinf(followed(cap, no_tasks(), 2)).all()  # type: ignore[arg-type]


def test_first_shown_asks_from_the_nearest_on_until_an_eye_has_some() -> None:
    """Eye 0 shows among its first 128; eye 1 only at its 300th: asked in 128, then 256."""
    near, far = np.linspace(5, 80, 300), np.linspace(5, 80, 300)
    some = tasks([0] * 300 + [1] * 300, list(range(600)), [at(a) for a in (*near, *far)])

    class ByEye(Cap):
        def reach(self, tasks: Tasks, direction: np.ndarray) -> np.ndarray:
            self.asked += len(direction)
            angle = np.degrees(np.arccos(-direction[:, 1]))
            return np.asarray(np.where(tasks.eye == 0, angle > 10.0, angle > 79.9))

    spots = ByEye([0, -1, 0], 1.0)
    found = first_shown(spots, some)  # type: ignore[arg-type]
    assert (found.eye == 1).sum() == 1
    assert found.spot[found.eye == 1].tolist() == [599]
    # Of eye 0 only the first 128 were asked, of which those beyond 10 degrees show.
    assert spots.asked == 128 + 128 + 172
    assert (found.eye == 0).sum() == (near[:128] > 10.0).sum()
    assert len(first_shown(spots, no_tasks()).eye) == 0  # type: ignore[arg-type]


def test_tasks_are_joined_and_chosen_from() -> None:
    one, two = tasks([0], [3], [at(10.0)]), tasks([1, 1], [4, 5], [at(20.0), at(30.0)])
    whole = joined([one, two])
    assert whole.spot.tolist() == [3, 4, 5]
    assert whole.only(np.array([False, True, True])).spot.tolist() == [4, 5]
    assert len(joined([]).eye) == 0
    assert no_tasks().direction.shape == (0, 3)


def test_fewer_and_fewer_directions_are_asked() -> None:
    """The first 16 all, up to 144 every fourth, then every thirty-second below 4096."""
    assert margins._thinned(10).tolist() == list(range(10))
    assert margins._thinned(22).tolist() == [*range(16), 16, 20]
    many = margins._thinned(10_000)
    assert many[:16].tolist() == list(range(16))
    assert many[16:48].tolist() == list(range(16, 144, 4))
    assert many[48:].tolist() == list(range(144, 4096, 32))


def test_where_any_of_the_keys_changes() -> None:
    one, two = np.array([0, 0, 1, 1, 1]), np.array([3, 3, 3, 4, 4])
    assert margins._changes(one, two).tolist() == [False, True, True, False]
