"""Gaps between two covers that are too narrow for samples: a thorough look finds them, and finds none where covers meet.

Two cards stand before a secret that is longer than they are apart; what the eye sees of it between them is told by similar
triangles. Cards, secret and gap are turned and moved at random, so that nothing lies on the grid of patches.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.frame import Placement
from sightline.geometry.mesh import Cover
from sightline.house.eyes import Eye
from sightline.moment import Moment, Pose, Secret
from sightline.sight.check import Thresholds, check
from sightline.sight.patches import patches_of
from sightline.sight.prepared import cut_up
from sightline.sight.rays import Blockers
from sightline.sight.scenery import Scenery
from sightline.sight.slits import SPACING_M, open_slits

STILL = Thresholds(sway=False)
SIDE_M, BEFORE_M = 0.24, 0.1


def drawn(seed: int) -> tuple[float, float]:
    """How the gap is turned (rad), and how far it is aside (m)."""
    random = np.random.default_rng(seed)
    return random.uniform(0, np.pi), random.uniform(-0.03, 0.03)


def behind_cards(gap_m: float, far_m: float, seed: int, at: tuple[float, float] | None = None, **secret: Any) -> Moment:
    """A square secret, two cards before it with a gap between them `at` some turn and shift, an eye straight ahead."""
    spin, shift = at or drawn(seed)
    turn = np.array([[np.cos(spin), 0.0, np.sin(spin)], [0.0, 1.0, 0.0], [-np.sin(spin), 0.0, np.cos(spin)]])
    cards = []
    for way in (-1.0, 1.0):
        middle = turn @ np.array([shift + way * (0.5 + gap_m / 2), 0.0, 0.0])
        cards.append(shapes.rectangle(1.0, 1.0).placed(Placement(turn, middle - [0.0, BEFORE_M, 0.0])))
    covers = tuple(Cover(name, mesh) for name, mesh in zip("LR", cards, strict=True))
    what = Secret("plate", "limb", shapes.rectangle(SIDE_M, SIDE_M), **secret)
    eye = Eye("E", "point", (0.0, -far_m, 0.0))
    return Moment("cards", Pose("still", covers, (what,)), (Pose("rest"),), (eye,), slits=True)


def shown_m2(gap_m: float, far_m: float, seed: int) -> float:
    """Area of the strip of the secret that is seen through the gap: by similar triangles, cut off by the square."""
    spin, shift = drawn(seed)
    wider = far_m / (far_m - BEFORE_M)
    off, half = abs(shift) * wider, SIDE_M / 2
    # A line at distance `off` from the middle of a square, turned by `spin`: how long it is inside.
    a, b = abs(np.cos(spin)), abs(np.sin(spin))
    ends = sorted([(half - off * a) / b, (half + off * a) / b, (half - off * b) / a, (half + off * b) / a])
    return gap_m * wider * float(ends[0] + ends[1] if off else 2 * ends[0])


@pytest.mark.parametrize("far_m", [1.0, 3.0, 15.0])
@pytest.mark.parametrize("gap_mm", [0.2, 0.5, 1.0, 3.0])
def test_a_long_slit_is_found_however_narrow(gap_mm: float, far_m: float) -> None:
    for seed in range(8):
        found = check(behind_cards(gap_mm / 1000, far_m, seed), STILL).secrets["plate"]
        assert found.verdict[0] > 0, seed
        assert found.sighting.missable_rad[0] > gap_mm / 1000 / far_m


@pytest.mark.parametrize("spin", [0.0, np.pi / 2, np.pi])
@pytest.mark.parametrize("shift_mm", [0.0, 0.7, 1.3, 3.3, 4.1, -2.9])
def test_a_slit_that_runs_along_the_grid_is_found(shift_mm: float, spin: float) -> None:
    """Between two rows of samples: no place that is asked first lies in it, only halving comes upon it."""
    for gap_mm in (0.2, 0.4):
        moment = behind_cards(gap_mm / 1000, 3.0, 0, (spin, shift_mm / 1000))
        assert check(moment, STILL).secrets["plate"].verdict[0] > 0, gap_mm


def test_who_sees_a_secret_anyway_is_told_nothing_else() -> None:
    seen = 0
    for seed in range(12):
        moment = behind_cards(0.002, 3.0, seed)
        one, other = (
            check(replace(moment, slits=slits), STILL).secrets["plate"].sighting.seen for slits in (True, False)
        )
        if other.rank[0] > 0:
            seen += 1
            assert (one.rank[0], one.area_m2[0]) == (other.rank[0], other.area_m2[0])
    assert seen >= 3


@pytest.mark.parametrize("gap_mm", [0.5, 1.0, 3.0])
def test_about_as_much_is_seen_as_there_is(gap_mm: float) -> None:
    """Spokes are a sample of the surface: a single slit is measured to a factor of three, many to a fifth."""
    share = []
    for seed in range(40):
        moment = behind_cards(gap_mm / 1000, 3.0, seed)
        patches = patches_of(moment.still.secrets[0].mesh, SPACING_M, two_sided=False)
        blockers = Blockers([cover.mesh for cover in moment.still.covers])
        (area,), (angle,) = open_slits(patches, moment.eye_points(), [blockers])
        share.append(area / shown_m2(gap_mm / 1000, 3.0, seed))
        assert angle == pytest.approx(area / 9.0, rel=0.005)
    assert 0.8 < np.mean(share) < 1.25
    assert min(share) > 0.3
    assert max(share) < 3.0


@pytest.mark.parametrize("gap_mm", [-5.0, -0.1, 0.0])
def test_cards_that_meet_or_overlap_hide(gap_mm: float) -> None:
    for seed in range(12):
        for far_m in (1.0, 15.0):
            found = check(behind_cards(gap_mm / 1000, far_m, seed), STILL).secrets["plate"]
            assert found.verdict[0] == 0, (seed, far_m)


def test_only_a_thorough_look_goes_after_slits() -> None:
    moments = [behind_cards(0.0002, 3.0, seed) for seed in range(12)]
    assert all(check(moment, STILL).secrets["plate"].verdict[0] > 0 for moment in moments)
    plain = [check(replace(moment, slits=False), STILL).secrets["plate"].verdict[0] for moment in moments]
    assert plain.count(0) >= 3


def test_what_is_too_little_to_notice_is_faint_and_what_moves_is_seen() -> None:
    assert check(behind_cards(0.0003, 15.0, 3, contrast=0.05), STILL).secrets["plate"].verdict[0] == 1
    assert check(behind_cards(0.0003, 15.0, 3, contrast=0.05, moves=True), STILL).secrets["plate"].verdict[0] == 2


def test_every_position_of_the_head_looks_through_the_slit() -> None:
    """A secret 4 mm wide 10 cm behind a slit of 1 mm, seen from 3 m: straight ahead it is hidden behind the left card, whose
    edge stands 3 mm past the secret's middle; an eye 81.5 mm to the left looks 81.5 / 2.9 * 0.1 = 2.8 mm past that edge."""
    cards = [
        Cover("L", shapes.rectangle(1.0, 1.0).placed(Placement(np.eye(3), np.array([0.003 - 0.5, -0.1, 0.0])))),
        Cover("R", shapes.rectangle(1.0, 1.0).placed(Placement(np.eye(3), np.array([0.004 + 0.5, -0.1, 0.0])))),
    ]
    narrow = Secret("plate", "limb", shapes.rectangle(0.004, 0.004))
    for kind, seen in (("point", False), ("seated", True)):
        eyes = (Eye("E", kind, (0.0, -3.0, 0.0)),)
        moment = Moment("aside", Pose("still", tuple(cards), (narrow,)), (Pose("rest"),), eyes, slits=True)
        assert (check(moment).secrets["plate"].verdict[0] > 0) == seen


def test_solid_boxes_that_touch_leave_no_slit() -> None:
    boxes = [shapes.box(0.2, 0.2, 0.2).placed(Placement(np.eye(3), np.array([x, 0.0, 0.0]))) for x in (-0.1, 0.1)]
    covers = (Cover("left", boxes[0]), Cover("right", boxes[1]))
    what = Secret("back", "limb", shapes.rectangle(0.3, 0.1).placed(Placement(np.eye(3), np.array([0, 0.11, 0]))))
    eyes = tuple(
        Eye(f"E{k}", "seated", (2 * np.sin(t), -2 * np.cos(t), 0.0)) for k, t in enumerate(np.linspace(-1, 1, 9))
    )
    found = check(Moment("boxes", Pose("still", covers, (what,)), (Pose("rest"),), eyes, slits=True)).secrets["back"]
    assert (found.verdict == 0).all()


def test_a_small_secret_is_cut_finer() -> None:
    """A square of 5 cm into no longer than a fifth of that: its diagonal halved, and halved again, is 8.84 mm and not 12.5."""
    what = Secret("small", "limb", shapes.rectangle(0.05, 0.05))
    scenery = Scenery(Moment("small", Pose("still", (), (what,)), (Pose("rest"),), ()))
    cut, left = cut_up(what, scenery, 0, 0.020)
    longest = np.linalg.norm(cut.corners - np.roll(cut.corners, -1, axis=1), axis=2).max()
    assert longest == pytest.approx(0.05 * np.sqrt(2.0) / 8.0)
    assert left.count == cut.count
