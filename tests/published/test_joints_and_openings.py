"""Joint limits and openings against their sources; the source stands beside each value."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sightline.errors import UnreachableError
from sightline.figure.arm import problems, shoulder_wrist_distance, solve
from sightline.figure.limits import (
    AAOS_DEG,
    AMA_DEG,
    BOONE_AZEN_DEG,
    DEFAULT_LIMITS,
    MACEDO_MAGEE_DEG,
    SOURCES,
    WALKER_DEG,
    arm_limits,
)
from sightline.figure.sheet import body_sheet
from sightline.figure.tables import ANSUR
from sightline.workshop import gauge

# Norkin & White (F. A. Davis), goniometry Table A.1: AAOS, AMA (at least), Boone & Azen 1979, Macedo & Magee, Walker 1984.
JOINTS = {
    "shoulder flexion": (180, 180, 167, 188, 165),
    "shoulder extension": (60, 50, 62, 70, 44),
    "shoulder abduction": (180, 170, 184, 188, 165),
    "shoulder medial rotation": (70, 80, 69, 94, 62),
    "shoulder lateral rotation": (90, 60, 104, 108, 81),
    "elbow flexion": (150, 140, 143, 149, 143),
    "pronation": (80, 80, 76, 92, 71),
    "supination": (80, 80, 82, 96, 74),
    "wrist flexion": (80, 60, 76, 93, 64),
    "wrist extension": (70, 60, 75, 86, 63),
    "radial deviation": (20, 20, 22, 18, 19),
    "ulnar deviation": (30, 30, 36, 41, 26),
}


@pytest.mark.parametrize(("joint", "row"), JOINTS.items())
def test_tables_of_joint_limits(joint, row):
    tables = (AAOS_DEG, AMA_DEG, BOONE_AZEN_DEG, MACEDO_MAGEE_DEG, WALKER_DEG)
    assert tuple(table[joint] for table in tables) == row


@pytest.mark.parametrize("joint", ["elbow_flexion", "shoulder_flexion", "shoulder_extension", "wrist_flexion"])
def test_the_usual_limits_lie_between_walker_and_aaos(joint):
    usual = getattr(DEFAULT_LIMITS, f"{joint}_deg")
    key = joint.replace("_", " ")
    assert WALKER_DEG[key] <= usual <= AAOS_DEG[key]


# Drillis & Contini in Winter 2009, Fig. 4.1, by the cosine rule, stature 1.75 m; 5 um covers the printed digits.
@pytest.mark.parametrize(
    ("flexion_deg", "distance_m"), [(0, 0.5810), (60, 0.50438), (90, 0.41380), (145, 0.18703), (150, 0.16488)]
)
def test_shoulder_to_wrist(flexion_deg, distance_m):
    sheet = body_sheet(stature_m=1.75)
    found = shoulder_wrist_distance(sheet.upper_arm_m, sheet.forearm_m, np.radians(flexion_deg))
    assert found == pytest.approx(distance_m, abs=5e-6)


@pytest.mark.parametrize(("table", "bend_deg"), [("aaos", 151), ("usual", 151), ("walker", 144), ("ama", 141)])
def test_an_elbow_bent_past_its_table_is_refused(table, bend_deg):
    limits = arm_limits(table)
    for bend, reached in ((limits.elbow_flexion_deg - 0.1, True), (bend_deg, False)):
        wrist = [0.0, -float(shoulder_wrist_distance(0.3255, 0.2555, np.radians(bend))), 0.0]
        if reached:
            solve([0, 0, 0], wrist, 0.3255, 0.2555, [0.0], "left", limits=limits)
        else:
            with pytest.raises(UnreachableError, match="too near"):
                solve([0, 0, 0], wrist, 0.3255, 0.2555, [0.0], "left", limits=limits)


# BMC Sports Sci Med Rehabil 4:33, Table 4: shoulder flexion of young active adults, P5 men 153, women 155 deg.
@pytest.mark.parametrize(("sex", "p5_deg"), [("male", 153), ("female", 155), (None, 153)])
def test_the_stiff_shoulder_refuses_what_180_accepts(sex, p5_deg):
    def lifted(degrees):
        lift = np.radians(degrees)
        along = np.array([0.0, -np.sin(lift), -np.cos(lift)])
        return [0, 0, 0], 0.3 * along, 0.55 * along, "left"

    assert not problems(*lifted(p5_deg - 1), arm_limits("p5", sex))
    for degrees in (p5_deg + 1, 179):
        assert not problems(*lifted(degrees), arm_limits("aaos"))
        assert problems(*lifted(degrees), arm_limits("p5", sex))


def test_every_table_has_a_source_and_strangers_are_refused():
    for name in SOURCES:
        assert arm_limits(name).elbow_flexion_deg > 100
    with pytest.raises(ValueError, match="no table 'mine'"):
        arm_limits("mine")


# ISO 15534's method, as explained in a public reference text (its representative data, not the standard's table): hand
# breadth 88 +/- 5 mm, 95th percentile 96; with glove 12 and clearance 20 mm an opening of 128 mm; a hole of 110 mm passes
# Phi(2.0) = 97.7 % of gloved hands. Tolerances: the digits printed.
def test_share_passing_and_form_a():
    assert gauge.share_passing(0.110, 0.088, 0.005, 0.012) == pytest.approx(0.977, abs=0.0005)
    assert gauge.share_passing(0.110, 0.088, 0.005, 0.012) == pytest.approx(0.9772498680518208, abs=1e-12)
    assert gauge.percentile(0.088, 0.005, 0.95) == pytest.approx(0.096, abs=0.0005)
    assert gauge.form_a(0.096, 0.012, 0.020) == pytest.approx(0.128)


# ANSUR II public data file: percentiles against mean and standard deviation; 2 % covers the file's skew.
@pytest.mark.parametrize("sex", ["male", "female"])
def test_percentiles_go_with_means(sex):
    for low_high, name in (
        ((gauge.HAND_BREADTH[sex][0], gauge.HAND_BREADTH[sex][2]), "handbreadth"),
        (gauge.BICEPS_GIRTH[sex], "bicepscircumferenceflexed"),
        (gauge.FOREARM_GIRTH[sex], "forearmcircumferenceflexed"),
    ):
        spread = ANSUR[sex][name]
        for value, p in zip(low_high, (0.05, 0.95), strict=True):
            assert value == pytest.approx(gauge.percentile(spread.mean, spread.sd, p), rel=0.02)


def test_ansur_equivalent_diameters():
    # Circumference over pi, ANSUR II, worked out: upper arm men P95 133.1, women 114.6; forearm 110.8 and 94.2 mm.
    found = [
        girth[sex][1] / np.pi * 1000
        for girth in (gauge.BICEPS_GIRTH, gauge.FOREARM_GIRTH)
        for sex in ("male", "female")
    ]
    assert found == pytest.approx([133.1, 114.6, 110.8, 94.2], abs=0.06)


@settings(derandomize=True, max_examples=200, deadline=None)
@given(st.floats(0.05, 0.12), st.floats(0.001, 0.02), st.floats(0.0, 0.03), st.floats(0.0, 0.03), st.floats(0.03, 0.25))
def test_what_passes_the_95th_percentile_passes_the_5th(mean, sd, clothing, movement, hole):
    p95, p5 = (gauge.percentile(mean, sd, p) for p in (0.95, 0.05))
    if hole >= gauge.form_a(p95, clothing, movement):
        assert hole >= gauge.form_a(p5, clothing, movement)
        assert gauge.share_passing(hole, mean, sd, clothing + movement) >= 0.95 - 1e-9
    assert gauge.share_passing(hole, mean, sd, clothing) <= gauge.share_passing(hole, mean, sd, 0.0)


@settings(derandomize=True, max_examples=100, deadline=None)
@given(st.floats(0.06, 0.12), st.floats(0.2, 1.0))
def test_an_ellipses_thickness_comes_back_from_its_girth(broad, share):
    thick = broad * share
    # The girth by its integral.
    turn = np.linspace(0, 2 * np.pi, 4001)
    girth = float(np.trapezoid(np.hypot(broad / 2 * np.sin(turn), thick / 2 * np.cos(turn)), turn))
    assert gauge.ellipse_thickness(girth, broad) == pytest.approx(thick, abs=2e-4)


def test_breadth_governs_the_hand_and_own_girth_comes_first():
    mean = gauge.hand_through(body_sheet(stature_m=1.75, sex="male"))
    assert (mean.broad_m, mean.measured) == (0.096, False)
    assert gauge.hand_through(body_sheet(stature_m=1.75)).broad_m == 0.096  # no sex: the larger
    own = body_sheet(stature_m=1.75, sex="male", measured={"hand_girth_over_thumb": 0.33, "hand_breadth": 0.094})
    found = gauge.hand_through(own)
    assert found.measured
    assert found.broad_m == pytest.approx(0.33 / np.pi)
