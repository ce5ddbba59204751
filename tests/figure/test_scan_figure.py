"""A scan stands in for the built body."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.figure.scan import REQUIRED, closed_without, scan_figure
from sightline.figure.sheet import body_sheet
from sightline.figure.skeleton import standing
from sightline.figure.skin import body_mesh
from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import sphere


@pytest.fixture(scope="module")
def scanned():
    """Our own built body as a scan: one skin, in centimetres, y up, turned and shifted."""
    from manifold3d import Manifold, OpType

    sheet = body_sheet(stature_m=1.68, sex="female")
    body = standing(sheet, shoe_m=0.0)
    parts = body_mesh(sheet, body, leave_out=frozenset())
    skin = Mesh.from_manifold(Manifold.batch_boolean([p.manifold() for p in parts.values()], OpType.Add))
    marks = {name: point for name, point in body.joints().items() if name in REQUIRED} | {"floor": np.zeros(3)}

    def away(points):
        p = np.asarray(points) @ np.array([[0.8, 0, -0.6], [-0.6, 0, -0.8], [0, 1.0, 0]])
        return p * 100.0 + [40.0, -5.0, 12.0]

    return sheet, body, skin, Mesh(away(skin.vertices), skin.faces), {n: away(p) for n, p in marks.items()}, parts


def test_a_scan_comes_back_to_the_performers_frame(scanned):
    sheet, body, skin, mesh, marks, parts = scanned
    figure = scan_figure(mesh, marks, stature_m=1.68)
    for name in ("left_shoulder", "right_elbow", "left_wrist", "crown"):
        assert getattr(figure.skeleton, name) == pytest.approx(getattr(body, name), abs=1e-6)
    assert figure.sheet.upper_arm_m == pytest.approx(sheet.upper_arm_m, rel=1e-6)
    assert figure.closed
    lost = skin.volume_m3 - figure.body.volume_m3
    assert lost == pytest.approx(parts["left arm"].volume_m3, rel=0.25)
    # Nothing is left where the hidden forearm was; the right arm is untouched.
    middle = (body.left_elbow + body.left_wrist) / 2
    assert np.linalg.norm(figure.body.vertices - middle, axis=1).min() > 0.04
    middle = (body.right_elbow + body.right_wrist) / 2
    assert np.linalg.norm(figure.body.vertices - middle, axis=1).min() < 0.06


def test_an_open_scan_is_a_cover(scanned):
    _, _, _, mesh, marks, _ = scanned
    holed = Mesh(mesh.vertices, mesh.faces[40:])
    figure = scan_figure(holed, marks, stature_m=1.68, hide=None)
    assert not figure.closed
    assert len(figure.body.faces) == len(holed.faces)


@pytest.mark.parametrize("name", REQUIRED)
def test_a_missing_landmark_is_named(scanned, name):
    _, _, _, mesh, marks, _ = scanned
    with pytest.raises(ValueError, match=f"no landmark '{name}'"):
        scan_figure(mesh, {k: v for k, v in marks.items() if k != name}, stature_m=1.68)


def test_wrong_scans_are_refused(scanned):
    _, _, _, mesh, marks, _ = scanned
    with pytest.raises(ValueError, match=r"stands 168\.00 m tall"):
        scan_figure(mesh, marks)
    with pytest.raises(ValueError, match="'tail' is no landmark"):
        scan_figure(mesh, marks | {"tail": [0, 0, 0]}, stature_m=1.68)
    with pytest.raises(ValueError, match="not a finite point"):
        scan_figure(mesh, marks | {"crown": [0, np.nan, 0]}, stature_m=1.68)


def test_holes_are_closed_where_faces_go():
    ball = sphere(1.0)
    gone = ball.corners.mean(axis=1)[:, 2] > 0.5
    cut = closed_without(ball, gone)
    assert cut.closed
    assert cut.volume_m3 < ball.volume_m3
    assert closed_without(ball, np.zeros(len(ball.faces), bool)).volume_m3 == pytest.approx(ball.volume_m3)
