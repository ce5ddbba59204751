"""The order of assembly: nothing trapped, as good as every other order, and a trap is found where there is one."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from sightline.pattern.assembly import assembly, best_order, order_cost, steps_of
from sightline.pattern.joints import joints_of
from sightline.pattern.pattern import Pattern
from sightline.pattern.reach import FINGERS_M, HAND_M, Inside
from tests.pattern.tubes import tube_pattern

# Named by what they are: one tube; mitred; mitred of two panels; three tubes, narrow; shut at both ends.
CASES = {
    "one": tube_pattern([("upper", 0.3)]),
    "mitred": tube_pattern([("upper", 0.3), ("fore", 0.26)]),
    "panels": tube_pattern([("upper", 0.3), ("fore", 0.26)], panels=2),
    "three": tube_pattern([("a", 0.12), ("b", 0.12), ("c", 0.12)], radius_m=0.02),
    "shut": tube_pattern([("upper", 0.3), ("fore", 0.26)], closed=True),
}


@pytest.mark.parametrize("name", CASES)
def test_the_order_is_as_good_as_any(name: str) -> None:
    """Brute force over every order of the joints."""
    inside = Inside(CASES[name])
    assert len(inside.joints) <= 7
    order, proven = best_order(inside)
    assert proven
    assert sorted(order) == list(range(len(inside.joints)))
    every = [order_cost(inside, other) for other in permutations(range(len(inside.joints)))]
    assert order_cost(inside, order) == min(every)
    # Orders differ, so that taking any of them would not do.
    if name not in ("one",):
        assert max(every) > min(every)


@pytest.mark.parametrize("name", ["one", "mitred", "panels", "three"])
def test_nothing_is_trapped(name: str) -> None:
    made = assembly(CASES[name])
    assert made.trapped == ()
    assert [step.number for step in made.steps] == list(range(1, len(made.steps) + 1))


def test_the_ring_of_a_long_limb_comes_before_the_seams_that_close_it() -> None:
    """30 and 26 cm from the ends no hand of 19 cm reaches the ring of two closed tubes."""
    pattern = CASES["mitred"]
    kinds = [step.joint.seam for step in assembly(pattern).steps]
    assert kinds[0] == "ring 1"
    inside = Inside(pattern)
    ring = next(j for j, joint in enumerate(inside.joints) if joint.seam == "ring 1")
    others = [j for j in range(len(inside.joints)) if j != ring]
    last = steps_of(inside, [*others, ring])[-1]
    assert not last.access.reached
    assert last.access.far_m == pytest.approx(0.26, abs=0.001)
    assert "no hand reaches" in last.words


@pytest.mark.parametrize(("long_m", "radius_m", "reached"), [
    (HAND_M - 0.01, 0.05, True), (HAND_M + 0.01, 0.05, False),
    (FINGERS_M - 0.01, 0.02, True), (FINGERS_M + 0.01, 0.02, False),
])  # fmt: skip
def test_reach_ends_where_the_hand_does(long_m: float, radius_m: float, reached: bool) -> None:
    """A ring closed last is reached through the nearer free end, by a hand if the end is wide enough, else by fingers."""
    inside = Inside(tube_pattern([("upper", long_m), ("fore", long_m)], radius_m=radius_m))
    ring = next(j for j, joint in enumerate(inside.joints) if joint.seam == "ring 1")
    others = frozenset(range(len(inside.joints))) - {ring}
    access = inside.access(ring, others)
    assert access.reached is reached
    assert access.far_m == pytest.approx(long_m, abs=1e-6)
    assert access.through in ("shoulder", "wrist")


def test_a_limb_without_an_end_traps_its_last_seam_and_says_so() -> None:
    made = assembly(CASES["shut"])
    assert len(made.trapped) == 1
    assert made.trapped[0] is made.steps[-1]
    assert "no hand reaches" in made.steps[-1].words


def test_many_panels_end_in_time() -> None:
    made = assembly(tube_pattern([("upper", 0.3), ("fore", 0.26)], panels=6))
    assert len(made.steps) == 18
    assert made.trapped == ()


def test_joints_pair_the_edges_that_lie_together() -> None:
    """One ring name, two joints: each panel's edge meets the one below it, not the other."""
    pattern: Pattern = CASES["panels"]
    rings = [joint for joint in joints_of(pattern) if joint.seam == "ring 1"]
    assert {joint.pieces for joint in rings} == {(1, 3), (2, 4)}
    assert sum(joint.length_m for joint in rings) == pytest.approx(2 * np.pi * 0.05, rel=1e-9)
