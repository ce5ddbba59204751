"""Cloth held off the skin, and lines drawn on it."""

from __future__ import annotations

import numpy as np
import pytest
from skin_probe import depth

from sightline.figure.armskin import BICEPS_AT, arm_mesh
from sightline.figure.sheet import body_sheet
from sightline.figure.skeleton import standing
from sightline.figure.skin import arm_line, arm_ring, body_mesh, shirt_mesh, sleeve_mesh

SHEET = body_sheet(stature_m=1.72, mass_kg=70)
BODY = standing(SHEET)


def bent(flexion_deg: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    shoulder = np.array([0.17, 0.0, 1.4])
    elbow = shoulder - np.array([0.0, 0.0, SHEET.upper_arm_m])
    turn = np.radians(flexion_deg)
    return shoulder, elbow, elbow + SHEET.forearm_m * np.array([0.0, -np.sin(turn), -np.cos(turn)])


@pytest.mark.parametrize("flexion_deg", [0, 45, 90, 130, 150])
@pytest.mark.parametrize("span", [(0.0, 1.0), (0.1, 0.4), (0.3, 0.9), (0.7, 1.0)])
def test_sleeves_are_closed_shells_that_clear_the_skin(flexion_deg, span):
    s, e, w = bent(flexion_deg)
    sleeve = sleeve_mesh(SHEET, "left", s, e, w, start=span[0], end=span[1], ease_m=0.012)
    assert sleeve.closed
    assert sleeve.volume_m3 > 0
    if flexion_deg > 100 and span != (0.0, 1.0):
        return  # the folded forearm presses through a short sleeve's edge, as the docstring says
    arm = arm_mesh(SHEET, "left", s, e, w, w - e, [-1, 0.01, 0.01], hand=False)
    # Negative is outside the arm: no point of the cloth inside the skin.
    assert depth(arm, sleeve.vertices[:: len(sleeve.vertices) // 200]).max() < -0.005


def test_right_sleeves_mirror_left_ones():
    flip = np.array([-1.0, 1.0, 1.0])
    joints = bent(70)
    left = sleeve_mesh(SHEET, "left", *joints)
    right = sleeve_mesh(SHEET, "right", *(j * flip for j in joints))
    np.testing.assert_allclose(left.mirrored_x().vertices, right.vertices, atol=1e-12)


@pytest.mark.parametrize("bad", [dict(start=0.5, end=0.5), dict(end=1.2), dict(ease_m=-0.1), dict(thickness_m=0.0)])
def test_impossible_sleeves_are_refused(bad):
    with pytest.raises(ValueError, match=r"."):
        sleeve_mesh(SHEET, "left", *bent(30), **bad)


@pytest.mark.parametrize("kw", [dict(), dict(age_years=7), dict(sex="female", mass_kg=90.0)])
@pytest.mark.parametrize("sleeve", [0.0, 0.3])
def test_shirts_are_closed_shells_that_clear_the_trunk(kw, sleeve):
    sheet = body_sheet(**kw)
    body = standing(sheet, lean_rad=0.15)
    shirt = shirt_mesh(sheet, body, ease_m=0.015, sleeve=sleeve)
    assert shirt.closed
    assert shirt.volume_m3 > 0
    torso = body_mesh(sheet, body)["torso"]
    assert depth(torso, shirt.vertices[:: len(shirt.vertices) // 200]).max() < -0.003


def test_lines_lie_on_the_skin_and_run_along_it():
    for flexion_deg in (0, 40, 90, 140):
        s, e, w = bent(flexion_deg)
        palm = [-1.0, 0.02, 0.01]
        arm = arm_mesh(SHEET, "left", s, e, w, w - e, palm)
        for around in (0.0, 1.2, np.pi, -np.pi / 2):
            line = arm_line(SHEET, "left", s, e, w, (0.1, 0.9), around, 0.005, hand_direction=w - e, palm_normal=palm)
            assert np.abs(depth(arm, line)).max() < 0.004
            steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
            assert np.median(steps) <= 0.005
            # Only where the bent elbow swallows the line may it jump.
            folded = flexion_deg > 30 and around != -np.pi / 2
            assert folded or steps.max() <= 0.0055


def test_angles_run_from_the_outer_side_to_the_front():
    s, e, w = bent(0)
    outer = arm_line(SHEET, "left", s, e, w, (0.2, 0.4), 0.0)
    front = arm_line(SHEET, "left", s, e, w, (0.2, 0.4), np.pi / 2)
    assert np.all(outer[:, 0] > s[0] + 0.03)
    assert np.all(front[:, 1] < s[1] - 0.03)
    flip = np.array([-1.0, 1.0, 1.0])
    right = arm_line(SHEET, "right", s * flip, e * flip, w * flip, (0.2, 0.4), 0.0)
    np.testing.assert_allclose(right * flip, outer, atol=1e-12)


def test_rings_have_the_arms_girth():
    s, e, w = BODY.arm("left")[:3]
    share = SHEET.upper_arm_m / (SHEET.upper_arm_m + SHEET.forearm_m)
    for along, girth in ((BICEPS_AT * share, SHEET.biceps_girth_m), (1.0, SHEET.wrist_girth_m)):
        ring = arm_ring(SHEET, "left", s, e, w, along)
        length = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum()
        assert length == pytest.approx(girth, rel=0.01)
    with pytest.raises(ValueError, match="within 0 to 1"):
        arm_ring(SHEET, "left", s, e, w, 1.1)
    with pytest.raises(ValueError, match="rise within 0 to 1"):
        arm_line(SHEET, "left", s, e, w, (0.5, 0.2), 0.0)
