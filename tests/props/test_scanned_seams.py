"""Seams on an imported arm lie where those of the arm it was scanned from do, and the check has them."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from sightline.errors import FileError
from sightline.figure.arm import Side
from sightline.geometry.mesh import Mesh
from sightline.pattern.exposure import shown
from sightline.pattern.looks import looks_of
from sightline.pattern.scanned import tube_of_mesh
from sightline.props.scannedarm import ScannedArm
from sightline.scene.prop import LimbSeam
from sightline.sight.check import check
from sightline.sight.lines import closest, line_on
from sightline.staging.stage import stage
from tests.workshop.limbscenes import built, imported, left_arm

SEAMS = [
    LimbSeam(name="s", side="outer"), LimbSeam(name="s", side="front"), LimbSeam(name="s", side="inner"),
    LimbSeam(name="s", side="back"), LimbSeam(name="s", ring=0.3), LimbSeam(name="s", ring=0.75),
    LimbSeam(name="s", path=[(0.1, 1.0), (0.5, 2.0), (0.95, 3.0)]), LimbSeam(name="s", path=[(0.2, 0.0), (0.9, 9.0)]),
    LimbSeam(name="s", path=[(0.95, 4.7), (0.05, 4.7)]), LimbSeam(name="s", path=[(0.05, 4.7), (0.5602, 4.7)]),
    LimbSeam(name="s", path=[(0.5602, 0.0), (0.5602, 2 * math.pi)]),
]  # fmt: skip


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("seam", SEAMS, ids=lambda s: f"{s.side or s.ring or s.path}")
def test_a_scan_of_an_arm_has_its_seams_where_the_arm_has_them(side: Side, seam: LimbSeam) -> None:
    arm = built(side).false_arms[0]
    scan = ScannedArm(arm.name, side, arm.mesh, arm.shoulder, arm.elbow, arm.hold.wrist)
    there, here = scan.seam_path(seam), arm.seam_path(seam)
    assert line_on(there, arm.mesh, 0.001).length_m == pytest.approx(line_on(here, arm.mesh, 0.001).length_m, rel=0.02)
    away = np.linalg.norm(there[:, None] - here[None], axis=2).min(axis=1)
    # The scan's lies on the skin itself; the arm's over the elbow's ball, and within the heel of the hand.
    assert np.median(away) < 0.003
    assert away.max() < 0.025
    assert np.linalg.norm(np.diff(there, axis=0), axis=1).max() <= 0.005


def test_the_check_sees_the_seams_of_an_imported_limb(tmp_path: Path) -> None:
    mesh, marks = left_arm()
    more = ", seams: [{name: outer, side: outer}, {name: way, path: [[0.1, 20 deg], [0.9, 40 deg]]}]"
    bench = imported(tmp_path, mesh, marks, more=more)
    finding = check(stage(bench.written))
    assert {"outer", "way"} <= set(finding.secrets)
    limb = bench.scene.false_limbs[0]
    at = limb.landmarks
    assert at is not None
    tube = tube_of_mesh("false left arm", "left", mesh, np.array(at.shoulder), np.array(at.elbow), np.array(at.wrist))
    # What the routing measures on the pattern's own surface is what the check sees of the mesh.
    seen = shown(
        looks_of(bench.written, "false left arm", tube), np.radians([[0.0, 20.0], [0.0, 40.0]]) + [[0.1, 0], [0.9, 0]]
    )
    assert seen.length_m == pytest.approx(finding.secrets["way"].sighting.first.line.length_m, rel=0.02)  # type: ignore[union-attr]
    assert seen.visible_m == pytest.approx(finding.secrets["way"].sighting.seen.length_m[0], abs=0.01)
    with pytest.raises(FileError, match="must be measured first"):
        looks_of(bench.written, "false left arm")


def test_without_landmarks_it_is_said_that_seams_are_not_looked_at(tmp_path: Path) -> None:
    mesh, _ = left_arm()
    bench = imported(tmp_path, mesh, None, more=", seams: [{name: outer, side: outer}]")
    finding = check(stage(bench.written))
    assert "outer" not in finding.secrets
    assert any("not looked at: only landmarks tell" in said for said in finding.moment.assumptions)


def test_landmarks_beside_the_mesh(tmp_path: Path) -> None:
    mesh, marks = left_arm()
    away = {name: at + np.array([1.0, 0.0, 0.0]) for name, at in marks.items()}
    with pytest.raises(FileError, match="no skin of 'false left arm' where this seam would lie"):
        imported(tmp_path, mesh, away, more=", seams: [{name: outer, side: outer}]")


def test_the_outermost_of_two_walls_is_the_skin() -> None:
    """A hollow cast: the seam lies on its outside."""
    arm = built("left").false_arms[0]
    (outer, _), (inner, _) = left_arm(), left_arm(scale_girth=0.8)
    cast = Mesh.joined([outer, inner.flipped()])
    scan = ScannedArm("a", "left", cast, arm.shoulder, arm.elbow, arm.hold.wrist)
    points = scan.seam_path(LimbSeam(name="s", path=[(0.1, 0.3), (0.9, 0.3)]))
    # Over the elbow's ball and at the folds points are joined straight.
    assert np.percentile(np.linalg.norm(closest(points, outer)[0] - points, axis=1), 90) < 0.0005
