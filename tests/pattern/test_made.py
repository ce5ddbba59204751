"""What puts the parts together: seams of both bones meet, pages of a piece, strain of the whole, the thumb, the preview."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from sightline.drawings.drawing import Drawing, Stroke
from sightline.drawings.onpages import pages_with
from sightline.drawings.tilepages import layout_of
from sightline.drawings.tiles import grid_of
from sightline.errors import FileError
from sightline.geometry.frame import FloatArray
from sightline.pattern.exposure import exposure_of
from sightline.pattern.limb import limb_named, tube_of
from sightline.pattern.looks import looks_of
from sightline.pattern.made import bench_for_pattern, thumb_of, whole_strain
from sightline.pattern.piece import Strain
from sightline.pattern.plan import Choices
from sightline.pattern.sightseams import MEET_M, SHOWS_M, sight_seams
from sightline.pictures.preview import draw_preview, face_strain
from sightline.pictures.style import picture_bytes
from sightline.scene.reading import scene_from_text
from sightline.workshop.limbs import LimbPose
from tests.cli.test_pattern import BARE
from tests.pattern.tubes import tube_pattern


@pytest.mark.parametrize("panels", [1, 2])
def test_seams_of_both_bones_meet_at_the_elbow_or_keep_apart(panels: int) -> None:
    """Nearer than 2 cm they end in one place, unless more of them would show."""
    written = scene_from_text(BARE)
    limb = limb_named(bench_for_pattern(written, None))
    tube = tube_of(limb)
    looks = looks_of(written, limb.name, tube)
    found = sight_seams(looks, exposure_of(looks), tube, Choices(panels=panels), "hide")
    assert set(found.lines) == {"upper arm", "forearm"}
    routes = found.routing.routes
    ends = [float(route.turns[-1, 1]) for route in routes if route.wish.name.startswith("upper arm")]
    assert tube.elbow is not None
    radius = float(tube.girth_m[tube.elbow]) / (2 * np.pi)
    fore = [route for route in routes if route.wish.name.startswith("forearm")]
    assert len(fore) == panels
    for route in fore:
        away = min(abs(float(np.angle(np.exp(1j * (end - route.turns[0, 1]))))) * radius for end in ends)
        assert away < 1e-9 or away >= MEET_M or route.after.visible_m > SHOWS_M
    names = [route.wish.name for route in found.routing.routes]
    assert names == [line.name for line in found.routing.lines]
    assert names[0] == ("upper arm seam" if panels == 1 else "upper arm seam 1")


def test_nobody_watching_is_no_hindrance_to_a_flat_pattern() -> None:
    start, end = BARE.index("eyes:"), BARE.index("noticing:")
    written = scene_from_text(BARE[:start] + BARE[end:])
    assert bench_for_pattern(written, "flat").false_arms
    with pytest.raises(FileError, match="nobody is watching"):
        bench_for_pattern(written, "hide")


def test_a_thing_is_on_the_pages_whose_share_it_reaches() -> None:
    """Two small squares in the middles of two pages' cells, and one across the join between them."""
    drawing = Drawing("a board", 360.0, 120.0)
    drawing.strokes.append(
        Stroke(np.array([[0.0, 0.0], [360.0, 0.0], [360.0, 120.0], [0.0, 120.0]]), "sheet", closed=True)
    )
    grid = grid_of(drawing, layout_of(drawing, "a4").frame_mm)
    first, second = (tile for tile in grid.printed)

    def square(x: float, y: float) -> FloatArray:
        return np.array([[x, y], [x + 8, y], [x + 8, y + 8], [x, y + 8]], dtype=float)

    join = first.cell[2]
    assert second.cell[0] == pytest.approx(join)
    found = pages_with(drawing, "a4", {1: square(20, 50), 2: square(340, 50), 3: square(join - 4, 50)})
    assert found == {1: (first.label,), 2: (second.label,), 3: (first.label, second.label)}


def test_strain_of_the_whole_is_over_all_edges() -> None:
    """Three edges of 1 %, one of 5 % (rms sqrt(7) %); areas 3 : 1 with a tenth and a half of them over the limit."""
    pattern = tube_pattern([("upper", 0.3), ("fore", 0.1)])
    pairs = np.zeros((1, 2), dtype=np.int64)
    one = Strain(pairs, np.array([0.01, -0.01, 0.01]), 0, 0, 0, 0, 0.1)
    two = Strain(pairs, np.array([-0.05]), 0, 0, 0, 0, 0.5)
    pieces = (replace(pattern.pieces[0], strain=one), replace(pattern.pieces[1], strain=two))
    whole = whole_strain(pieces)
    assert whole.rms == pytest.approx(np.sqrt((3 * 0.01**2 + 0.05**2) / 4))
    assert whole.largest == pytest.approx(0.05)
    assert whole.over == pytest.approx(0.75 * 0.1 + 0.25 * 0.5)


@pytest.mark.parametrize(("side", "thumb"), [("left", (-1.0, 0.0, 0.0)), ("right", (1.0, 0.0, 0.0))])
def test_the_thumb_is_on_the_hands_own_side(side: str, thumb: tuple[float, float, float]) -> None:
    """Arm hanging ahead, palm to the floor, fingers ahead (-y): a left hand's thumb points to the right (-x)."""
    zero = np.zeros(3)
    pose = LimbPose(zero, zero, zero, np.array([0.0, -1.0, 0.0]), np.array([0.0, 0.0, -1.0]))
    assert_allclose(thumb_of(pose, side), thumb, atol=1e-12)


def test_the_preview_tells_how_far_triangles_are_stretched() -> None:
    """A piece drawn a tenth wider than it is: every triangle has an edge that is 10 % longer, to the polygon's 0.1 %."""
    pattern = tube_pattern([("upper", 0.3)])
    piece = pattern.pieces[0]
    assert face_strain(piece).max() < 1e-3
    wide = replace(piece, flat=piece.flat * np.array([1.1, 1.0]))
    assert_allclose(face_strain(wide), 0.1, atol=2e-3)


def test_the_same_pattern_gives_the_same_preview() -> None:
    first, again = (picture_bytes(draw_preview(tube_pattern([("upper", 0.3), ("fore", 0.2)])), "png") for _ in range(2))
    assert first == again
