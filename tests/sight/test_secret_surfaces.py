"""Secrets as strangers' files bring them: inside out, half turned, open, in loose shells; and seams round tubes.

Nothing here may come out as `hidden` without a word: every mesh stands in the open before every eye.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import cylinder, sphere
from tests.conftest import report_of
from tests.sight.meshes import coarse_tube, only, shifted, turned_where, write_mesh

ROUND = [
    (math.cos(a) * 6, math.sin(a) * 6, z) for a, z in ((0.1, 0.0), (1.3, 1.7), (2.7, -0.6), (4.0, 2.5), (5.6, 0.3))
]
EYES = "eyes:\n" + "".join(
    f"  - {{id: E{i}, at: [{x:.4f} m, {y:.4f} m, {z:.4f} m]}}\n" for i, (x, y, z) in enumerate(ROUND)
)
Report = dict[str, Any]


def report_on(folder: Path, mesh: Mesh, name: str = "arm.obj", more: str = "", eyes: str = EYES) -> Report:
    write_mesh(folder / name, mesh)
    return report_of(f"secrets: [{{name: arm, mesh: {name}}}]\n{more}{eyes}", folder)


def seen_of(report: Report, secret: str = "arm") -> list[dict[str, Any]]:
    return [eye["secrets"][secret] for eye in report["eyes"]]


def words(report: Report, name: str = "arm") -> str:
    return " ".join(note for note in report["assumptions"] if f"'{name}'" in note)


@pytest.mark.parametrize("name", ["arm.obj", "arm.stl"])
def test_inside_out_shows_the_same_and_says_so(tmp_path: Path, name: str) -> None:
    proper = report_on(tmp_path, cylinder(0.05, 0.6), name)
    inside_out = report_on(tmp_path, cylinder(0.05, 0.6).flipped(), name)
    for right, wrong in zip(seen_of(proper), seen_of(inside_out), strict=True):
        assert wrong["verdict"] == "seen"
        assert 0.40 <= wrong["visible_fraction"] <= 0.60
        assert wrong["solid_angle_sr"] == pytest.approx(right["solid_angle_sr"], rel=0.01)
    assert "inside out" in words(inside_out)
    assert not words(proper)


def test_inside_out_ball_in_closed_form(tmp_path: Path) -> None:
    """A ball of radius r at d: 2 pi (1 - cos(asin(r / d))), the cap's formula of references.md section 10."""
    seen = seen_of(report_on(tmp_path, sphere(0.2, 4).flipped()))
    for leak, place in zip(seen, ROUND, strict=True):
        expected = 2 * math.pi * (1 - math.cos(math.asin(0.2 / math.hypot(*place))))
        assert leak["solid_angle_sr"] == pytest.approx(expected, rel=0.02)


@pytest.mark.parametrize("name", ["arm.obj", "arm.stl"])
@pytest.mark.parametrize("share", ["half", "one face", "every other"])
def test_half_turned_counts_from_both_sides(tmp_path: Path, name: str, share: str) -> None:
    tube = cylinder(0.05, 0.6)
    middles = tube.corners.mean(axis=1)
    turn = {
        "half": middles[:, 0] < 0,
        "one face": np.arange(len(middles)) == 7,
        "every other": np.arange(len(middles)) % 2 == 0,
    }[share]
    proper, mixed = report_on(tmp_path, tube, name), report_on(tmp_path, turned_where(tube, turn), name)
    for right, wrong in zip(seen_of(proper), seen_of(mixed), strict=True):
        assert wrong["verdict"] == "seen"
        assert wrong["solid_angle_sr"] == pytest.approx(right["solid_angle_sr"], rel=0.03)
    assert "both sides" in words(mixed)


def test_open_bowl_is_seen_from_within_and_from_without(tmp_path: Path) -> None:
    """Half a ball of radius 0.2 m open towards the audience: all of it is seen from in front, all from behind."""
    ball = sphere(0.2, 4)
    bowl = only(ball, ball.corners.mean(axis=1)[:, 1] > 0)
    eyes = "eyes: [{id: E0, at: [0 m, -40 m, 0 m]}, {id: E1, at: [0 m, 40 m, 0 m]}, {id: E2, at: [1 m, -9 m, 0 m]}]\n"
    for mesh in (bowl, bowl.flipped()):
        report = report_on(tmp_path, mesh, eyes=eyes)
        assert [leak["verdict"] for leak in seen_of(report)] == ["seen"] * 3
        assert all(leak["visible_fraction"] > 0.95 for leak in seen_of(report)[:2])
        assert "both sides" in words(report)


def test_a_second_shell_inside_out_is_not_lost(tmp_path: Path) -> None:
    """Arm and glove as two watertight shells in one file, the glove inside out: the whole volume is still positive."""
    arm = shifted(cylinder(0.05, 0.6), -0.5, 0, 0)
    proper, glove = (Mesh.joined([arm, shifted(shell, 0.5, 0, 0)]) for shell in (sphere(0.08), sphere(0.08).flipped()))
    screen = "covers: [{name: screen, rectangle: {width: 60 cm, height: 3 m}, at: [-50 cm, -1 m, 0 m]}]\n"
    eyes = "eyes: [{id: E0, at: [-0.2 m, -40 m, 0 m]}]\n"
    right, wrong = (seen_of(report_on(tmp_path, mesh, "arm.stl", screen, eyes))[0] for mesh in (proper, glove))
    assert right["verdict"] == "seen"
    assert wrong["verdict"] == "seen", "the glove stands in the open and is called hidden"
    assert wrong["solid_angle_sr"] >= right["solid_angle_sr"] * 0.97


def test_a_hollow_tube_with_its_inner_wall_is_right_side_out(tmp_path: Path) -> None:
    """A shell with a cavity has an inner wall that faces inward, and must not be turned."""
    hollow = Mesh.joined([sphere(0.2), sphere(0.15).flipped()])
    plain = seen_of(report_on(tmp_path, sphere(0.2)))
    for a, b in zip(plain, seen_of(report_on(tmp_path, hollow)), strict=True):
        assert b["solid_angle_sr"] == pytest.approx(a["solid_angle_sr"], rel=0.02)


def test_inside_out_rig_part_is_seen(tmp_path: Path) -> None:
    """An imported rig part goes the same way as an imported secret."""
    write_mesh(tmp_path / "buckle.stl", shifted(sphere(0.05).flipped(), 0, -1.2, 1.2))
    scene = "performer: {stature: 172 cm}\nrig: [{mesh: {name: buckle, file: buckle.stl}}]\n"
    report = report_of(scene + "eyes: [{id: E0, at: [0 m, -6 m, 1.2 m]}]\n", tmp_path)
    leak = report["eyes"][0]["secrets"]["buckle"]
    assert leak["verdict"] == "seen", "an inside-out rig mesh in the open is called hidden"
    assert leak["visible_fraction"] == pytest.approx(0.5, abs=0.05)
    assert "inside out" in words(report, "buckle")


def test_inside_out_must_see_is_in_view(tmp_path: Path) -> None:
    shares = []
    for mesh in (sphere(0.15), sphere(0.15).flipped()):
        write_mesh(tmp_path / "owl.obj", mesh)
        scene = "must see: [{name: owl, mesh: owl.obj}]\n"
        scene += "secrets: [{name: arm, sphere: {radius: 1 cm}, at: [0 m, 0 m, 2 m]}]\n"
        shares.append(report_of(scene + EYES, tmp_path)["eyes"][0]["must_see"]["owl"]["clear_fraction"])
    assert shares == pytest.approx([1.0, 1.0], abs=0.01)


@pytest.mark.parametrize("radius_cm", [4, 15])
@pytest.mark.parametrize("made", ["true area", "coarse"])
def test_a_seam_round_a_tube_shows_the_same_length(tmp_path: Path, radius_cm: int, made: str) -> None:
    """Of a ring on a round tube an eye at level distance d sees 2 r acos(r / d), whatever its height."""
    radius = radius_cm / 100
    turns = [2 * math.pi * k / 180 for k in range(181)]
    path = ", ".join(f"[{radius * math.cos(t):.6f} m, {radius * math.sin(t):.6f} m, 0.013 m]" for t in turns)
    lengths = {}
    for sides in (12, 24, 96):
        tube = cylinder(radius, 0.06, sides) if made == "true area" else coarse_tube(radius, 0.6, sides)
        for turn_deg in (0, 11):
            name = write_mesh(tmp_path / f"tube{sides}.stl", tube)
            scene = f"covers: [{{name: tube, mesh: {name}, facing: {turn_deg} deg}}]\n"
            scene += f"secrets: [{{name: arm, kind: seam, on: tube, path: [{path}]}}]\n{EYES}"
            lengths[sides, turn_deg] = [leak["visible_length_m"] for leak in seen_of(report_of(scene, tmp_path))]
    for i, (x, y, _) in enumerate(ROUND):
        here = [found[i] for found in lengths.values()]
        assert max(here) <= 1.03 * min(here)
        assert here == pytest.approx([2 * radius * math.acos(radius / math.hypot(x, y))] * len(here), rel=0.03)


@pytest.mark.parametrize("torso", ["plain", "inside out", "open"])
def test_an_arm_root_in_a_torso(tmp_path: Path, torso: str) -> None:
    """An arm of radius 5 cm from the axis of a torso of radius 18 cm: 42 of its 60 cm stick out.

    Half round of that over the whole area with both ends: 0.42 pi r / (2 pi r (0.6 + r)).
    """
    solid = cylinder(0.18, 0.7)
    if torso == "inside out":
        solid = solid.flipped()
    elif torso == "open":
        solid = only(solid, solid.corners.mean(axis=1)[:, 2] < 0.34)
    write_mesh(tmp_path / "torso.stl", solid)
    scene = """
covers: [{name: torso, mesh: torso.stl}]
secrets: [{name: arm, cylinder: {radius: 5 cm, height: 60 cm}, at: [0 m, -30 cm, 0 m], facing: [0, 0, 1]}]
eyes: [{id: E0, at: [30 m, -0.4 m, 0 m]}, {id: E1, at: [-30 m, -0.4 m, 0 m]}, {id: E2, at: [0 m, 30 m, 0 m]}]
"""
    report = report_of(scene, tmp_path)
    left, right, behind = seen_of(report)
    for leak in (left, right):
        assert leak["verdict"] == "seen"
        assert leak["visible_fraction"] == pytest.approx(0.42 / (2 * 0.65), rel=0.05)
    assert behind["verdict"] == "hidden"
    buried = report["secrets"]["arm"]["patches_inside_solids"]
    # 18 cm of round wall and one end of 62.8 + 5 cm in all; an open torso has no inside.
    share = buried / (buried + report["secrets"]["arm"]["patches"])
    assert share == pytest.approx(0.0 if torso == "open" else (0.18 + 0.025) / 0.65, abs=0.03)


def test_a_secret_wholly_inside_a_solid_is_not_hidden_silently(tmp_path: Path) -> None:
    scene = "covers: [{name: block, box: {width: 1 m, depth: 1 m, height: 1 m}}]\n"
    report = report_on(tmp_path, sphere(0.1), more=scene)
    assert {leak["verdict"] for leak in seen_of(report)} == {"hidden"}
    assert report["secrets"]["arm"]["patches"] == 0
    assert report["secrets"]["arm"]["patches_inside_solids"] > 100


def test_a_sheet_doubled_back_to_back_is_seen_from_both_sides(tmp_path: Path) -> None:
    """Two coincident faces, front and back, enclose nothing but pass for watertight."""
    corners = [[-0.2, 0, -0.2], [0.2, 0, -0.2], [0.2, 0, 0.2], [-0.2, 0, 0.2]]
    sheet = Mesh.of(corners, [[0, 1, 2], [0, 2, 3], [0, 2, 1], [0, 3, 2]])
    eyes = "eyes: [{id: E0, at: [1 m, -9 m, 0 m]}, {id: E1, at: [0 m, 9 m, 1 m]}]\n"
    assert [leak["verdict"] for leak in seen_of(report_on(tmp_path, sheet, eyes=eyes))] == ["seen", "seen"]
