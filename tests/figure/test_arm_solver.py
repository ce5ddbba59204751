"""The two-bone solver: every elbow it gives joins the shoulder to the wrist, within the joints' limits."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sightline.errors import UnreachableError
from sightline.figure.arm import (
    allowed,
    flexion,
    flexion_at_distance,
    grip_wrist,
    palm_centre,
    problems,
    shortfall,
    shoulder_wrist_distance,
    solve,
    swivel_family,
)
from sightline.figure.limits import DEFAULT_LIMITS, ArmLimits

UPPER, FORE = 0.32, 0.25
SHOULDER = np.array([0.17, 0.01, 1.42])


def random_targets(count: int) -> np.ndarray:
    rng = np.random.default_rng(5)
    way = rng.normal(size=(count, 3))
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    near = float(shoulder_wrist_distance(UPPER, FORE, DEFAULT_LIMITS.elbow_flexion_rad))
    return SHOULDER + way * rng.uniform(near, UPPER + FORE, count)[:, None]


def test_a_thousand_targets_are_met_to_a_tenth_of_a_millimetre():
    targets = random_targets(1000)
    swivels = swivel_family("left")
    begin = time.perf_counter()
    elbows = solve(SHOULDER, targets, UPPER, FORE, swivels, "left")
    each_ms = time.perf_counter() - begin
    assert each_ms < 1.0  # a thousand in under a second: each far under 1 ms
    assert elbows.shape == (1000, 9, 3)
    assert np.abs(np.linalg.norm(elbows - SHOULDER, axis=-1) - UPPER).max() < 1e-4
    assert np.abs(np.linalg.norm(elbows - targets[:, None], axis=-1) - FORE).max() < 1e-4
    assert np.degrees(flexion(SHOULDER, elbows, targets[:, None])).max() <= DEFAULT_LIMITS.elbow_flexion_deg + 1e-6


@settings(derandomize=True, max_examples=150, deadline=None)
@given(
    st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.05),
    st.floats(0.0, 150.0),
    st.floats(-3.1, 3.1),
    st.floats(0.1, 0.5),
    st.floats(0.1, 0.5),
)
def test_bones_keep_their_length_and_bend(way, flexion_deg, swivel, upper, fore):
    distance = float(shoulder_wrist_distance(upper, fore, np.radians(flexion_deg)))
    wrist = SHOULDER + np.array(way) / np.linalg.norm(way) * distance
    elbow = solve(SHOULDER, wrist, upper, fore, [swivel], "left")[0]
    assert np.linalg.norm(elbow - SHOULDER) == pytest.approx(upper, abs=1e-6)
    assert np.linalg.norm(wrist - elbow) == pytest.approx(fore, abs=1e-6)
    assert np.degrees(float(flexion(SHOULDER, elbow, wrist))) == pytest.approx(flexion_deg, abs=0.1)


@settings(derandomize=True, max_examples=60, deadline=None)
@given(st.tuples(*[st.floats(-0.3, 0.3)] * 3).filter(lambda v: 0.2 < np.linalg.norm(v) < 0.5), st.floats(-1.5, 1.5))
def test_left_and_right_are_mirror_images(way, swivel):
    flip = np.array([-1.0, 1.0, 1.0])
    left = solve([0, 0, 0], way, UPPER, FORE, [swivel], "left")[0]
    right = solve([0, 0, 0], np.array(way) * flip, UPPER, FORE, [swivel], "right")[0]
    np.testing.assert_allclose(left * flip, right, atol=1e-12)


def test_swivel_zero_is_straight_down_and_positive_is_outward():
    for side, sign in (("left", 1.0), ("right", -1.0)):
        down, out, drawn = solve([0, 0, 0], [0, -0.4, 0], UPPER, FORE, [0.0, np.pi / 2, -0.3], side)
        assert down[0] == pytest.approx(0.0)
        assert down[2] < 0
        assert out[2] == pytest.approx(0.0)
        assert sign * out[0] > 0
        assert sign * drawn[0] < 0


def test_a_vertical_line_takes_the_limit_of_a_hand_from_the_front():
    for z, back in ((-0.4, True), (0.4, False)):
        exact, near = solve([0, 0, 0], [[0, 0, z], [0, -1e-5, z]], UPPER, FORE, [0.0, 0.4], "left")
        np.testing.assert_allclose(exact, near, atol=1e-4)
        assert (exact[0][1] > 0) == back


def test_out_of_reach_says_by_how_much():
    with pytest.raises(UnreachableError, match="30 mm short") as far:
        solve([0, 0, 0], [0, -0.60, 0], UPPER, FORE, [0.0], "left")
    assert far.value.short_m == pytest.approx(0.03)
    near_m = float(shoulder_wrist_distance(UPPER, FORE, np.radians(150)))
    with pytest.raises(UnreachableError, match="20 mm too near") as near:
        solve([0, 0, 0], [[0, -0.4, 0], [0, 0, near_m - 0.02]], UPPER, FORE, [0.0], "right")
    assert near.value.short_m == pytest.approx(0.02)
    assert shortfall([0, 0, 0], [[0, -0.6, 0], [0, -0.4, 0], [0, 0, 0.1]], UPPER, FORE) == pytest.approx(
        [0.03, 0.0, 0.1 - near_m]
    )
    # A target at exactly full stretch is reached, whatever the last digit says.
    solve([0, 0, 0], [0, -(UPPER + FORE) - 1e-9, 0], UPPER, FORE, [0.0], "left")


@pytest.mark.parametrize("bad", [dict(upper_m=0.0), dict(wrist=[np.nan, 0, 0]), dict(side="middle")])
def test_nonsense_is_refused(bad):
    given_ = dict(shoulder=[0, 0, 0], wrist=[0, -0.4, 0], upper_m=UPPER, fore_m=FORE, swivels_rad=[0.0], side="left")
    with pytest.raises(ValueError, match=r"."):
        solve(**(given_ | bad))


def test_the_family_spans_the_swivels_and_has_elbow_down():
    family = swivel_family("left")
    assert len(family) == 9
    assert np.degrees(family[[0, -1]]) == pytest.approx([-30, 90])
    assert np.min(np.abs(family)) < 1e-9
    assert swivel_family("right", 1) == pytest.approx([0.0])
    assert len(swivel_family("left", 17, ArmLimits(swivel_in_deg=10))) == 17


def test_allowed_and_problems_agree():
    targets = random_targets(60)
    for wrist in targets:
        elbows = solve(SHOULDER, wrist, UPPER, FORE, swivel_family("left"), "left")
        said = [not problems(SHOULDER, elbow, wrist, "left") for elbow in elbows]
        assert allowed(SHOULDER, elbows, wrist, "left").tolist() == said


def test_tape_form_of_the_bend_round_trips():
    for degrees in (0.0, 30.0, 95.0, 150.0):
        d = shoulder_wrist_distance(UPPER, FORE, np.radians(degrees))
        assert np.degrees(flexion_at_distance(UPPER, FORE, d)) == pytest.approx(degrees, abs=1e-4)
    with pytest.raises(UnreachableError):
        flexion_at_distance(UPPER, FORE, 0.9)


def test_grip_puts_the_palm_on_the_point():
    wrist = grip_wrist([0.2, -0.4, 1.1], [0, -2.0, 0], 0.19)
    assert wrist == pytest.approx([0.2, -0.4 + palm_centre(0.19), 1.1])
    # de Leva 1996: .3624 (men) and .3427 (women) of hand length.
    assert 0.3427 <= palm_centre(1.0) <= 0.3624
