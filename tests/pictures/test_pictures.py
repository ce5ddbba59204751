"""Pictures show what was found: colours and shapes by verdict, marks only on what is visible."""

from __future__ import annotations

import io

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from PIL import Image

from sightline.geometry.frame import FloatArray
from sightline.pictures import opengl, style
from sightline.pictures.camera import Camera
from sightline.pictures.cast import cast, indices
from sightline.pictures.plan import draw_map, level_shifts
from sightline.pictures.view import draw_view, view_of
from sightline.sight.check import Finding
from tests.conftest import finding_of

BOARD = """
    covers: [{name: plate, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, -1 m, 0 m]}]
    secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}}]
    eyes:
      - {id: front, at: [0 m, -6 m, 0 m], kind: seated}
      - {id: side, at: [1.2 m, -4 m, 0 m], kind: seated}
"""


@pytest.fixture(scope="module")
def finding() -> Finding:
    return finding_of(BOARD)


def pixels(drawn: object) -> FloatArray:
    return np.asarray(Image.open(io.BytesIO(style.picture_bytes(drawn, "png"))).convert("RGB"), dtype=float) / 255


def near(picture: FloatArray, colour: str, within: float = 0.06) -> int:
    """How many pixels have a colour."""
    return int((np.abs(picture - to_rgb(colour)).max(axis=2) < within).sum())


def test_view_marks_the_secret_only_where_it_is_visible(finding: Finding) -> None:
    marked, clean = (pixels(draw_view(finding, view_of(finding, eye))) for eye in (1, 0))
    assert near(marked, style.MARKED) > 100
    assert near(clean, style.MARKED) == 0
    plain = pixels(draw_view(finding, view_of(finding, 1), marked=False))
    assert near(plain, style.MARKED) == 0


def test_map_has_a_square_for_who_sees_and_a_ring_for_who_does_not(finding: Finding) -> None:
    drawn = draw_map(finding)
    shapes = [len(c.get_paths()[0].vertices) for axes in drawn.axes[:1] for c in axes.collections]
    # A square has five path points (closed), a circle many.
    assert 5 in shapes
    assert max(shapes) > 10
    assert f"1 of {len(finding.moment.eyes)} eyes" in " ".join(text.get_text() for text in drawn.texts)


def test_scale_darkens_all_the_way() -> None:
    """It must read in grey: relative luminance (Rec. 709 weights) falls from step to step."""
    colours = style.scale()(np.linspace(0, 1, 32))[:, :3]
    luminance = colours @ [0.2126, 0.7152, 0.0722]
    assert np.all(np.diff(luminance) < 0)


def test_a_picture_is_true_to_its_degrees(finding: Finding) -> None:
    """A plate 0.6 m wide at 5 m fills 2 atan(0.3 / 5) = 6.867 deg: that share of a picture 20 deg wide, by tangents."""
    camera = Camera(np.array([0.0, -6.0, 0.0]), np.zeros(3), np.radians(20), (600, 600))
    covers = finding.looked.scenery.covers(0)
    index = indices(covers, camera, 1)
    across = (index[300] == [cover.name for cover in covers].index("plate")).sum()
    assert across == pytest.approx(600 * (0.3 / 5) / np.tan(np.radians(10)), abs=2)


def test_balcony_is_drawn_behind_the_stalls() -> None:
    found = finding_of(
        "secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}}]\nvenue: {use: proscenium-420}\n"
    )
    shift = level_shifts(found.moment)
    at = found.moment.eye_points()[:, :2] + shift
    upper = np.array([eye.level == "balcony" for eye in found.moment.eyes])
    assert upper.any()
    assert at[upper, 1].max() < at[~upper, 1].min() - 1.0
    assert not shift[~upper].any()


def test_rays_and_pyvista_draw_the_same_outline(finding: Finding) -> None:
    if not opengl.available():
        pytest.skip("no OpenGL library can be loaded on this machine, so pyvista cannot draw")
    camera = Camera(np.array([3.0, -5.0, 1.0]), np.zeros(3), np.radians(20), (400, 300))
    covers = finding.looked.scenery.covers(0)
    away = [
        np.abs(p - to_rgb(style.BACKDROP)).max(axis=2) for p in (cast(covers, camera), opengl.render(covers, camera))
    ]
    # A pixel belongs to the shape when at least half of it is covered; the two smooth edges differently.
    shapes = [a > 0.5 * np.median(a[a > 0.05]) for a in away]
    assert (shapes[0] & shapes[1]).sum() / (shapes[0] | shapes[1]).sum() > 0.98
