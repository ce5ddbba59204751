"""The body sheet and the skeleton that stands on it."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.figure.estimate import BODY_FIELDS
from sightline.figure.sheet import FIELDS, MEASURES, body_sheet
from sightline.figure.skeleton import standing
from sightline.geometry.frame import Placement, about_z


def test_every_dimension_says_where_it_came_from():
    sheet = body_sheet(stature_m=1.7, measured={"biceps": 0.30})
    assert set(sheet.sources) == set(BODY_FIELDS) == set(sheet.dimensions())
    assert sheet.sources["biceps_girth_m"] == sheet.sources["stature_m"] == "measured"
    assert all(said == "measured" or said.startswith("assumed: ") for said in sheet.sources.values())
    assert "sex not given" in sheet.sources["neck_girth_m"]
    assert not any(line.startswith("biceps_girth_m") for line in sheet.assumptions())
    assert all(value > 0 for value in sheet.dimensions().values())


def test_every_measure_has_a_sentence_and_a_field():
    assert list(MEASURES) == list(FIELDS)
    assert set(FIELDS.values()) <= set(BODY_FIELDS)
    assert all(text.endswith(".") and text[0].isupper() for text in MEASURES.values())


@pytest.mark.parametrize("key", MEASURES)
def test_a_measure_overrides_its_estimate(key):
    guess = body_sheet(stature_m=1.7)
    value = getattr(guess, FIELDS[key]) * 1.05
    sheet = body_sheet(stature_m=1.7, measured={key: value})
    assert getattr(sheet, FIELDS[key]) == pytest.approx(value)
    assert sheet.sources[FIELDS[key]] == "measured"


def test_what_was_not_measured_follows_what_was():
    guess = body_sheet(stature_m=1.7)
    sheet = body_sheet(stature_m=1.7, measured={"chest": guess.chest_girth_m * 1.2})
    assert sheet.chest_depth_m == pytest.approx(guess.chest_depth_m * 1.2)
    assert "scaled with the measured chest girth" in sheet.sources["chest_depth_m"]


@pytest.mark.parametrize(
    ("given_", "said"),
    [
        (dict(measured={"biceps": 0.0}), "biceps: got 0"),
        (dict(measured={"biceps": -0.3}), "biceps: got -0.3"),
        (dict(measured={"biceps": float("nan")}), "biceps: got nan"),
        (dict(measured={"biceps": 30.0}), "biceps: got 30.000 m; a plausible measure is"),
        (dict(measured={"wrist": 0.05}), "wrist: got 0.050 m; a plausible measure is"),
        (dict(measured={"bicep": 0.3}), "'bicep' is no measure"),
        (dict(stature_m=0.49), "stature_m: got 0.49 m; it must be 0.5 to 2.5 m"),
        (dict(stature_m=2.51), "stature_m: got 2.51 m"),
        (dict(measured={"height": 17.0}), "stature_m: got 17 m"),
        (dict(mass_kg=1.0), "mass_kg: got 1 kg"),
        (dict(age_years=1.0), "age_years: got 1 years"),
        (dict(sex="neither"), "sex must be"),
        (dict(proportions="golden"), "proportions must be"),
    ],
)
def test_impossible_bodies_are_refused_by_name(given_, said):
    with pytest.raises(ValueError, match=said.replace("(", r"\(")):
        body_sheet(**given_)


def test_sex_not_given_is_the_middle():
    man, woman, either = (body_sheet(sex=s) for s in ("male", "female", None))
    assert either.wrist_girth_m == pytest.approx((man.wrist_girth_m + woman.wrist_girth_m) / 2, rel=1e-3)


def test_mass_swells_flesh_more_than_bone():
    light, heavy = body_sheet(stature_m=1.7, mass_kg=55), body_sheet(stature_m=1.7, mass_kg=95)
    grown = {name: getattr(heavy, name) / getattr(light, name) for name in BODY_FIELDS}
    assert grown["waist_girth_m"] > grown["biceps_girth_m"] > grown["wrist_girth_m"] > 1.0
    assert grown["upper_arm_m"] == grown["head_girth_m"] == 1.0


def test_children_have_larger_heads_for_their_height():
    shares = [s.head_height_m / s.stature_m for s in (body_sheet(age_years=a) for a in (3, 5, 8, 12, 17, 30))]
    assert shares == sorted(shares, reverse=True)
    child = body_sheet(age_years=6)
    assert child.upper_arm_m / child.stature_m < 0.186
    assert child.eye_height_m > child.chin_height_m


@pytest.mark.parametrize("stature", [0.5, 1.1, 1.72, 2.5])
def test_standing_joints_land_where_the_sheet_says(stature):
    sheet = body_sheet(stature_m=stature)
    body = standing(sheet, shoe_m=0.03)
    for side in ("left", "right"):
        arm = body.arm(side)
        assert np.linalg.norm(arm.elbow - arm.shoulder) == pytest.approx(sheet.upper_arm_m)
        assert np.linalg.norm(arm.wrist - arm.elbow) == pytest.approx(sheet.forearm_m)
        assert arm.hand @ arm.palm == pytest.approx(0.0, abs=1e-12)
    assert body.crown[2] == pytest.approx(stature + 0.03)
    assert body.eye[2] == pytest.approx(sheet.eye_height_m + 0.03)
    assert body.left_eye[0] - body.right_eye[0] == pytest.approx(sheet.interpupillary_m)
    tip = sheet.shoulder_height_m + 0.03
    assert 0.9 * tip < body.left_shoulder[2] < tip
    assert 0 < body.left_shoulder[0] < sheet.biacromial_m / 2
    for left, right in (("left_shoulder", "right_shoulder"), ("left_ankle", "right_ankle"), ("left_hip", "right_hip")):
        np.testing.assert_allclose(getattr(body, left) * [-1, 1, 1], getattr(body, right))


def test_facing_gaze_and_lean():
    sheet = body_sheet(stature_m=1.7)
    ahead, leaning = standing(sheet), standing(sheet, lean_rad=0.4)
    assert ahead.eye[1] < ahead.head[1]
    assert leaning.eye[1] < ahead.eye[1] - 0.2
    assert leaning.left_ankle == pytest.approx(ahead.left_ankle)
    looking = standing(sheet, gaze=[1.0, -1.0, -0.2])
    assert looking.left_eye[1] > looking.right_eye[1]  # turned to the performer's own left
    assert looking.eye[0] > 0
    behind = standing(sheet, gaze=[0.01, 1.0, 0.0])
    turned = np.degrees(np.arctan2(behind.skull.rotation[0, 1], behind.skull.rotation[0, 0]))
    assert abs(turned) <= 70.0 + 1e-6
    apart = standing(sheet, feet_apart_m=0.5)
    assert apart.left_ankle[0] - apart.right_ankle[0] == pytest.approx(0.5)
    assert apart.crown[2] < ahead.crown[2]


@pytest.mark.parametrize("bad", [dict(feet_apart_m=3.0), dict(lean_rad=2.0), dict(shoe_m=-0.1), dict(gaze=[0, 0, 0])])
def test_impossible_stances_are_refused(bad):
    with pytest.raises(ValueError, match=r"."):
        standing(body_sheet(), **bad)


def test_with_arm_and_placed():
    body = standing(body_sheet(stature_m=1.7))
    moved = body.with_arm("left", [0.3, 0, 1.2], [0.3, -0.25, 1.2], [0, -2, 0], [1.0, 1.0, 0])
    assert moved.left_palm == pytest.approx([1.0, 0, 0])
    assert moved.right_wrist is body.right_wrist
    with pytest.raises(ValueError, match=r"."):
        body.with_arm("left", [0.3, 0, 1.2], [0.3, -0.25, 1.2], [0, -1, 0], [0, -1, 0])
    stage = Placement(about_z(np.pi / 2), np.array([1.0, 2.0, 0.0]))
    there = moved.placed(stage)
    assert there.gaze == pytest.approx([1.0, 0.0, 0.0])
    assert there.left_palm == pytest.approx([0, 1.0, 0])
    assert there.left_wrist == pytest.approx(stage.points(moved.left_wrist))
    assert set(there.joints()) >= {"left shoulder", "neck", "head", "crown", "left eye", "right ankle"}
