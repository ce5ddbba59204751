"""Body numbers against their sources: one table a source, the source named beside it."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.errors import UnreachableError
from sightline.figure.arm import problems, shoulder_wrist_distance, solve
from sightline.figure.estimate import child_stature, eye_height
from sightline.figure.limits import (
    AAOS_DEG,
    DEFAULT_LIMITS,
    SHOULDER_FLEXION_P5_DEG,
    WALKER_DEG,
    ArmLimits,
)
from sightline.figure.sheet import body_sheet
from sightline.figure.tables import ANSUR, ANSUR_FROM_MEMORY, ANSUR_ON_STATURE, ANSUR_RATIOS, CHILD_STATURE_WHO

# Drillis & Contini 1966, as in Winter 2009, Fig. 4.1: fractions of stature, here at 1.75 m. Metres.
DRILLIS_CONTINI_175 = {
    "upper_arm_m": 0.3255,
    "forearm_m": 0.2555,
    "hand_length_m": 0.1890,
    "shoulder_height_m": 1.4315,
    "eye_height_m": 1.6380,
    "shoulder_width_m": 0.45325,
}


@pytest.mark.parametrize(("name", "value"), DRILLIS_CONTINI_175.items())
@pytest.mark.parametrize("sex", ["female", "male", None])
def test_drillis_contini_lengths(name, value, sex):
    assert getattr(body_sheet(stature_m=1.75, sex=sex), name) == pytest.approx(value, abs=1e-9)


# Worked out from the same fractions by the cosine rule: flexion (deg) -> shoulder to wrist (m), stature 1.75 m.
@pytest.mark.parametrize(
    ("flexion_deg", "distance_m"), [(0, 0.5810), (60, 0.50438), (90, 0.41380), (145, 0.18703), (150, 0.16488)]
)
def test_shoulder_wrist_distance(flexion_deg, distance_m):
    assert shoulder_wrist_distance(0.3255, 0.2555, np.radians(flexion_deg)) == pytest.approx(distance_m, abs=5e-6)


# ANSUR II public data file (2012; 4082 men, 1986 women): means, metres.
ANSUR_MEANS = [
    ("male", "hand_breadth_m", 0.08826),
    ("male", "hand_girth_m", 0.21228),
    ("male", "biceps_girth_m", 0.35814),
    ("male", "forearm_girth_m", 0.31006),
    ("male", "wrist_girth_m", 0.17592),
    ("male", "biacromial_m", 0.41568),
    ("male", "chest_depth_m", 0.25385),
    ("male", "head_breadth_m", 0.15433),
    ("male", "head_length_m", 0.19950),
    ("male", "interpupillary_m", 0.0640),
    ("female", "hand_breadth_m", 0.07815),
    ("female", "hand_girth_m", 0.18655),
    ("female", "biceps_girth_m", 0.30558),
    ("female", "forearm_girth_m", 0.26408),
    ("female", "wrist_girth_m", 0.15479),
    ("female", "biacromial_m", 0.36535),
    ("female", "chest_depth_m", 0.24740),
    ("female", "head_breadth_m", 0.14777),
    ("female", "interpupillary_m", 0.0617),
]


@pytest.mark.parametrize(("sex", "name", "value"), ANSUR_MEANS)
def test_the_mean_soldier_has_the_mean_girths(sex, name, value):
    sheet = body_sheet(sex=sex, proportions="ansur")
    assert sheet.stature_m == pytest.approx(ANSUR[sex]["stature"].mean)
    assert getattr(sheet, name) == pytest.approx(value, rel=1e-6)


# ANSUR II: heights and lengths over stature; 2e-4 covers mean of ratios against ratio of means.
@pytest.mark.parametrize(
    ("sex", "name", "ratio"),
    [
        ("male", "shoulder_height_m", 0.8203),
        ("female", "shoulder_height_m", 0.8198),
        ("male", "upper_arm_m", 0.1909),
        ("female", "upper_arm_m", 0.1911),
        ("male", "forearm_m", 0.1525),
        ("female", "forearm_m", 0.1482),
        ("male", "hand_length_m", 0.1101),
        ("female", "hand_length_m", 0.1112),
        ("male", "biacromial_m", 0.2368),
        ("female", "biacromial_m", 0.2244),
        ("male", "eye_height_m", 0.9352),
        ("female", "eye_height_m", 0.9331),
    ],
)
def test_ansur_ratios(sex, name, ratio):
    sheet = body_sheet(sex=sex, proportions="ansur")
    assert getattr(sheet, name) / sheet.stature_m == pytest.approx(ratio, abs=2e-4)


@pytest.mark.parametrize("sex", ["male", "female"])
def test_the_tables_ratios_follow_from_its_means(sex):
    means = ANSUR[sex]
    for name, ratio in ANSUR_RATIOS[sex].items():
        mean = means["stature"].mean - means["vertextoeye"].mean if name == "standingeye" else means[name].mean
        assert mean / means["stature"].mean == pytest.approx(ratio, abs=2e-4), name


@pytest.mark.parametrize("sex", ["male", "female"])
def test_the_regression_runs_through_the_means(sex):
    # A least-squares line passes through the point of means; 0.5 mm covers its printed digits.
    for name, line in ANSUR_ON_STATURE[sex].items():
        assert line.at(ANSUR[sex]["stature"].mean) == pytest.approx(ANSUR[sex][name].mean, abs=5e-4), name


# ANSUR II male public data file, subjects 10027, 10032, 10033, 10115, 10310, 10340, 10260, 10293, millimetres.
EIGHT_MEN = {
    "neckcircumference": [400, 380, 403, 395, 392, 407, 374, 435],
    "chestcircumference": [1074, 1021, 1120, 1066, 1127, 1098, 961, 1092],
    "waistcircumference": [933, 870, 964, 950, 999, 1030, 866, 1033],
    "buttockcircumference": [979, 944, 1054, 973, 1035, 1056, 928, 1009],
    "thighcircumference": [610, 572, 685, 607, 632, 665, 567, 640],
    "calfcircumference": [373, 357, 412, 386, 395, 462, 343, 433],
    "anklecircumference": [222, 220, 230, 216, 238, 251, 205, 237],
    "headcircumference": [583, 568, 573, 576, 582, 600, 548, 567],
    "chestbreadth": [291, 269, 288, 281, 303, 283, 268, 291],
    "waistbreadth": [329, 316, 329, 337, 344, 344, 302, 328],
    "waistdepth": [240, 225, 255, 244, 259, 273, 212, 297],
    "hipbreadth": [332, 312, 349, 320, 352, 361, 317, 322],
    "buttockdepth": [240, 232, 258, 243, 271, 268, 235, 267],
    "footlength": [273, 263, 270, 254, 277, 277, 256, 278],
    "footbreadthhorizontal": [101, 98, 103, 87, 104, 104, 97, 106],
    "crotchheight": [877, 851, 854, 828, 861, 819, 872, 885],
}


@pytest.mark.parametrize(("name", "rows_mm"), EIGHT_MEN.items())
def test_means_from_memory_agree_with_eight_men(name, rows_mm):
    # From memory, so a soft test: eight men's mean has a standard error of 1 to 4 %.
    assert ANSUR_FROM_MEMORY["male"][name] * 1000 == pytest.approx(np.mean(rows_mm), rel=0.08)


# CDC 2000 statage.csv medians, metres.
@pytest.mark.parametrize(
    ("age", "boys", "girls"),
    [(5, 1.0890, 1.0766), (6, 1.1539, 1.1471), (8, 1.2788, 1.2759), (10, 1.3862, 1.3799), (12, 1.4905, 1.5119)],
)
def test_cdc_child_statures(age, boys, girls):
    assert body_sheet(age_years=age, sex="male").stature_m == pytest.approx(boys, abs=1e-4)
    assert body_sheet(age_years=age, sex="female").stature_m == pytest.approx(girls, abs=1e-4)
    assert body_sheet(age_years=age).stature_m == pytest.approx((boys + girls) / 2, abs=1e-4)


@pytest.mark.parametrize("sex", ["male", "female"])
def test_cdc_and_who_medians_are_within_two_centimetres(sex):
    for age, stature in CHILD_STATURE_WHO[sex].items():
        if age <= 12:
            assert child_stature(age, sex) == pytest.approx(stature, abs=0.02)


def test_eye_heights():
    assert eye_height(1.75) == pytest.approx(1.638)  # Drillis & Contini: 0.936 of stature
    # Huston 2009 (course sheet): standing eye, 50th percentile men 1.644 at 1.759 m, women 1.520 at 1.618 m.
    assert eye_height(1.759, sex="male", proportions="ansur") == pytest.approx(1.644, abs=0.010)
    assert eye_height(1.618, sex="female", proportions="ansur") == pytest.approx(1.520, abs=0.012)
    # A published exhibit table: children of about 5 to 12 have standing eyes at 1.01 to 1.47 m; ours are medians.
    assert 0.96 <= eye_height(child_stature(5), age_years=5) <= 1.02
    assert 1.35 <= eye_height(child_stature(12), age_years=12) <= 1.47
    for age in (3, 5, 8, 12, 15):
        stature = child_stature(age)
        assert eye_height(stature, age_years=age) <= 0.936 * stature


# Norkin & White Table A.1: AAOS and Walker et al. 1984.
@pytest.mark.parametrize(
    ("limit", "joint"),
    [
        ("elbow_flexion_deg", "elbow flexion"),
        ("shoulder_flexion_deg", "shoulder flexion"),
        ("shoulder_extension_deg", "shoulder extension"),
        ("wrist_flexion_deg", "wrist flexion"),
        ("wrist_extension_deg", "wrist extension"),
        ("radial_deviation_deg", "radial deviation"),
        ("ulnar_deviation_deg", "ulnar deviation"),
    ],
)
def test_default_limits_lie_between_the_elderly_and_aaos(limit, joint):
    low, high = sorted((WALKER_DEG[joint], AAOS_DEG[joint]))
    assert low <= getattr(DEFAULT_LIMITS, limit) <= high


def test_an_elbow_bent_to_151_degrees_is_refused():
    for flexion_deg, allowed in ((149.9, True), (151.0, False)):
        wrist = [0.0, -float(shoulder_wrist_distance(0.3255, 0.2555, np.radians(flexion_deg))), 0.0]
        if allowed:
            solve([0, 0, 0], wrist, 0.3255, 0.2555, [0.0], "left")
        else:
            with pytest.raises(UnreachableError, match="too near"):
                solve([0, 0, 0], wrist, 0.3255, 0.2555, [0.0], "left")
    elbow = np.array([0.0, 0.0, -0.3])
    turn = np.radians(151.0)
    wrist_at = elbow + 0.25 * np.array([0.0, -np.sin(turn), -np.cos(turn)])
    assert any("elbow" in said for said in problems([0, 0, 0], elbow, wrist_at, "left"))


def test_a_stiff_shoulder_refuses_what_a_free_one_accepts():
    # 160 deg of flexion: beyond the 5th percentile of young men (153), within AAOS (180).
    lift = np.radians(160.0)
    along = np.array([0.0, -np.sin(lift), -np.cos(lift)])
    pose = ([0, 0, 0], 0.3 * along, 0.55 * along, "left")
    assert not problems(*pose, ArmLimits(shoulder_flexion_deg=AAOS_DEG["shoulder flexion"]))
    stiff = problems(*pose, ArmLimits(shoulder_flexion_deg=SHOULDER_FLEXION_P5_DEG["male"]))
    assert len(stiff) == 1
    assert "160 deg" in stiff[0]
