"""Which eyes may see a box in a mirror, by images and similar triangles."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.frame import Placement
from sightline.geometry.mesh import Mesh
from sightline.house.mirrors import Mirror
from sightline.sight.mirrors import FLUSH_M, TwoLegs, looking_in
from sightline.sight.rays import LIFT_M, Blockers

# A mirror 2 m wide and 1 m high in the plane y = 0 about the origin, its front towards -y.
GLASS = Mirror("glass", Placement.still(), (1.0, 0.5))


def may(bounds: list[list[float]], *eyes: tuple[float, float, float]) -> list[int]:
    return looking_in(GLASS, np.array(bounds, dtype=float), np.array(eyes, dtype=float)).tolist()


SMALL = [[-0.01, -2.01, -0.01], [0.01, -1.99, 0.01]]


def test_the_crossing_point_must_be_in_the_glass() -> None:
    """A small box 2 m before the glass, eyes as far before it at x: the ray by the mirror crosses at x / 2."""
    inside = [(0.0, -2, 0), (1.9, -2, 0), (-1.9, -2, 0), (0, -2, 0.9), (0, -2, -0.9)]
    outside = [(2.1, -2, 0), (-2.1, -2, 0), (0, -2, 1.1), (0, -2, -1.1), (0.0, 2, 0), (0.0, 0.0, 0)]
    assert may(SMALL, *inside, *outside) == [0, 1, 2, 3, 4]


def test_a_box_counts_by_its_whole_width() -> None:
    """A box from 0 to 3 m across: from x = -4 its nearest crossing is at -2, its farthest at -0.5."""
    wide = [[0.0, -2.0, -0.01], [3.0, -2.0, 0.01]]
    assert may(wide, (-4.0, -2, 0), (-5.1, -2, 0), (1.9, -2, 0), (2.1, -2, 0)) == [0, 2]


def test_what_is_behind_the_glass_is_not_in_it_and_what_is_on_both_sides_is_left_to_rays() -> None:
    assert may([[-1, 0.1, -1], [1, 2, 1]], (0, -2, 0)) == []
    assert may([[-1, -0.1, -1], [1, 2, 1]], (0, -2, 0), (50.0, -2, 0), (0, 2.0, 0)) == [0, 1]


def test_legs_end_at_the_edge_of_the_glass_and_either_may_be_blocked() -> None:
    """From (x, -2) to the image of an eye at (0, -2): the crossing is at x / 2. A board stands on one leg only."""
    starts = np.array([[-1.9, -2, 0], [-2.1, -2, 0], [1.9, -2, 0], [0, -2, 0.9], [0, -2, 1.1], [0.4, -2, 0]])
    eye = np.array([[0.0, -2.0, 0.0]])
    images = GLASS.reflected(eye)
    assert images.tolist() == [[0.0, 2.0, 0.0]]
    every, none = np.arange(6), np.zeros(6, dtype=np.intp)

    def blocked(*others: Blockers) -> list[bool]:
        found: list[bool] = TwoLegs(GLASS, list(others)).blocked_pairs(starts, every, images, none).tolist()
        return found

    assert blocked() == [False, True, False, False, True, False]
    # At y = -1 the first leg from 1.9 is at 1.425 and the second, from the glass at 0.95 to the eye, at 0.475.
    board = shapes.rectangle(0.2, 0.2)
    first = Blockers([Mesh.of(board.vertices + [1.425, -1.0, 0], board.faces)])
    second = Blockers([Mesh.of(board.vertices + [0.475, -1.0, 0], board.faces)])
    aside = Blockers([Mesh.of(board.vertices + [0.95, -1.0, 0], board.faces)])
    assert blocked(first) == [False, True, True, False, True, False]
    assert blocked(second) == [False, True, True, False, True, False]
    assert blocked(aside) == [False, True, False, False, True, False]
    assert blocked(aside, first) == [False, True, True, False, True, False]
    assert TwoLegs(GLASS, [Blockers([]), first, second]).indices == [0, 0]
    # The mirror and what it hangs on are no hindrance.
    assert blocked(Blockers([shapes.rectangle(2.0, 1.0)])) == blocked()


@pytest.mark.parametrize(("before_m", "blocked"), [(1.5 * FLUSH_M, False), (0.5 * FLUSH_M, True), (-1.0, True)])
def test_what_lies_in_the_plane_of_the_glass_is_not_seen_in_it(before_m: float, blocked: bool) -> None:
    legs = TwoLegs(GLASS, [])
    start, image = np.array([[0.1, -before_m, 0.0]]), np.array([[0.0, 2.0, 0.0]])
    only = np.zeros(1, dtype=np.intp)
    assert legs.blocked_pairs(start, only, image, only).tolist() == [blocked]
    # The same for the eye: its image as far behind the glass.
    assert legs.blocked_pairs(np.array([[0.1, -2.0, 0.0]]), only, np.array([[0.0, before_m, 0.0]]), only).tolist() == [
        blocked
    ]
    assert pytest.approx(2 * LIFT_M) == FLUSH_M


def test_a_way_by_the_mirror_has_no_first_thing_met() -> None:
    with pytest.raises(NotImplementedError):
        TwoLegs(GLASS, []).first(np.zeros((1, 3)), np.ones((1, 3)))
