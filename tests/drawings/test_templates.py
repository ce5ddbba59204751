"""Templates of openings and mounts: measured on the drawing, against sizes worked by hand from the scene."""

from __future__ import annotations

import io
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest

from sightline.drawings.drawing import Drawing, refuse_broken
from sightline.drawings.dxf import dxf_of
from sightline.drawings.lettering import bounds
from sightline.drawings.mounts import mount_drawings
from sightline.drawings.opening import opening_drawings, outline_mm
from sightline.drawings.pdf import sheet_pdf
from sightline.drawings.tilepages import tiled_pdf
from sightline.drawings.wallview import up_words
from sightline.geometry.frame import FloatArray
from sightline.props.box import wall_of
from sightline.scene.prop import CarriedBox, Opening
from sightline.workshop import cutting, mounts
from tests.drawings.raster import inked, texts
from tests.workshop.limbscenes import act, built, imported, left_arm, on_bench

# Chords of a degree on a radius of 100 mm leave the arc by 0.004 mm.
CHORD_MM, AREA = 0.005, 1e-4


def box(width: float = 0.46, depth: float = 0.32, height: float = 0.30) -> CarriedBox:
    return CarriedBox(
        width=f"{width} m", depth=f"{depth} m", height=f"{height} m", wall="6 mm", top="closed"  # type: ignore[arg-type]
    )  # fmt: skip


def opening(**given: Any) -> Opening:
    return Opening.model_validate({"wall": "back", **given})


ROUND = {"diameter": "16 cm", "at": ["12 cm", "0 cm"]}
SLOT = {"shape": "slot", "width": "12 cm", "height": "8 cm"}
RECTANGLE = {"shape": "rectangle", "width": "12 cm", "height": "8 cm", "corner_radius": "15 mm"}
SQUARE = {"shape": "rectangle", "width": "12 cm", "height": "8 cm"}


def lines(drawing: Drawing, layer: str) -> list[FloatArray]:
    return [np.asarray(stroke.points) for stroke in drawing.strokes if stroke.layer == layer]


def middle(points: FloatArray) -> FloatArray:
    return (points.min(axis=0) + points.max(axis=0)) / 2


def said(drawing: Drawing) -> str:
    return " ".join(words.text for words in drawing.words)


def area(points: FloatArray) -> float:
    x, y = points.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


@pytest.mark.parametrize("given", [ROUND, SLOT, RECTANGLE, SQUARE])
def test_the_outline_is_the_hole(given: dict[str, Any]) -> None:
    hole = opening(**given)
    points = outline_mm(hole)
    assert np.ptp(points, axis=0) == pytest.approx(np.array(hole.size_m) * 1000, abs=CHORD_MM)
    assert area(points) == pytest.approx(cutting.area(hole) * 1e6, rel=AREA)
    grown = outline_mm(hole, 25.0)
    assert np.ptp(grown, axis=0) == pytest.approx(cutting.ring_size(hole) * 1000, abs=CHORD_MM)
    # Every point of the ring is 25 mm from the hole's outline: the least distance to its corners' densified lines.
    closed = np.vstack([points, points[:1]])
    dense = np.vstack([np.linspace(a, b, 60) for a, b in pairwise(closed)])
    away = np.array([np.hypot(*(dense - point).T).min() for point in grown])
    assert away == pytest.approx(25.0, abs=0.02)


@pytest.mark.parametrize(
    ("wall", "at", "datum", "far"),
    [
        # Seen from outside the back wall has the performer's left on its left: 230 - 120 = 110 from there.
        ("back", [0.12, 0.0], ("left", "bottom"), (110.0, 150.0)),
        # The audience has it on their right.
        ("front", [0.12, 0.0], ("right", "bottom"), (110.0, 150.0)),
        # Across runs back; who looks at the left wall has the front on the left: 160 + 30 = 190 from it, 130 from the right.
        ("left", [0.03, 0.02], ("right", "top"), (130.0, 130.0)),
        ("right", [0.03, 0.02], ("left", "top"), (130.0, 130.0)),
        ("top", [0.10, -0.02], ("right", "bottom"), (130.0, 140.0)),
    ],
)  # fmt: skip
def test_the_hole_lies_as_far_from_its_datum_edges_as_the_scene_says(
    wall: str, at: list[float], datum: tuple[str, str], far: tuple[float, float]
) -> None:
    hole = opening(wall=wall, diameter="8 cm", at=[f"{at[0]} m", f"{at[1]} m"])
    (drawing,) = opening_drawings(box(), [hole], "t")
    (cut,) = lines(drawing, "cut")
    edges = lines(drawing, "sheet")
    upright = next(line[0, 0] for line in edges if np.ptp(line[:, 0]) < 1e-9)
    level = next(line[0, 1] for line in edges if np.ptp(line[:, 1]) < 1e-9)
    assert len(edges) == 2
    away = middle(cut) - [upright, level]
    assert np.abs(away) == pytest.approx(far, abs=1e-6)
    assert ("left" if away[0] > 0 else "right", "bottom" if away[1] > 0 else "top") == datum
    for value in far:
        assert f"{value:.0f} mm (" in said(drawing)
    assert f"{wall.upper()} WALL" in said(drawing)
    assert "Seen from OUTSIDE" in said(drawing)


def test_what_the_template_says() -> None:
    (drawing,) = opening_drawings(box(), [opening(**RECTANGLE)], "t")
    words = said(drawing)
    for part in (
        "120 mm (4 23/32 in) wide", "80 mm (3 5/32 in) high", "corner radius 15 mm (19/32 in)", "UP",
        "170 mm (6 11/16 in) by 130 mm (5 1/8 in) outside", "eye protection", "Round and pad every edge",
    ):  # fmt: skip
        assert part in words
    (sharp,) = opening_drawings(box(), [opening(**SQUARE)], "t")
    assert "tear" in said(sharp)
    assert "tear" not in words


def test_the_ring_stops_at_the_wall_that_it_meets() -> None:
    """30 mm from the hole to the edge less 6 mm of wall leave 24 of the ring's 25."""
    (drawing,) = opening_drawings(box(), [opening(**ROUND)], "t")
    assert "room for only 24 mm" in said(drawing)
    (edge,) = (line[0, 0] for line in lines(drawing, "sheet") if np.ptp(line[:, 0]) < 1e-9)
    ring = np.vstack(lines(drawing, "guide"))
    assert ring[:, 0].min() - edge == pytest.approx(6.0, abs=1e-6)
    (clear,) = opening_drawings(box(), [opening(diameter="8 cm")], "t")
    assert "room for only" not in said(clear)


def test_a_large_wall_shows_the_hole_and_tells_the_edge() -> None:
    hole = opening(diameter="10 cm", at=["0 cm", "30 cm"])
    (drawing,) = opening_drawings(box(1.4, 0.5, 0.9), [hole], "t")
    assert drawing.width_mm < 420
    assert "700 mm (27 9/16 in) to the left edge, not shown" in said(drawing)
    (edge,) = lines(drawing, "sheet")
    (cut,) = lines(drawing, "cut")
    assert edge[0, 1] - middle(cut)[1] == pytest.approx(150.0)


def test_every_opening_has_its_own_template_with_its_neighbour() -> None:
    holes = [opening(diameter="8 cm", at=["-5 cm", "0 cm"]), opening(diameter="6 cm", at=["5 cm", "0 cm"])]
    one, two = opening_drawings(box(), holes, "t")
    assert "back opening 2" in two.title
    (cut,) = lines(two, "cut")
    assert len(lines(one, "fold")) == 1
    assert np.ptp(cut, axis=0) == pytest.approx([60.0, 60.0], abs=CHORD_MM)


def every_template() -> list[Drawing]:
    shapes = [
        ROUND,
        {**SLOT, "wall": "left"},
        {**RECTANGLE, "wall": "front", "at": ["-8 cm", "5 cm"]},
        {**SQUARE, "wall": "top"},
    ]
    holes = [opening(**given) for given in shapes]
    limbs, why = mount_drawings(built("left"))
    assert why == []
    large = opening_drawings(box(1.4, 0.9, 0.9), holes, "t " * 200)
    return [*opening_drawings(box(), holes, "A & <b>"), *large, *limbs]


def test_templates_are_whole_drawings() -> None:
    for drawing in every_template():
        refuse_broken(drawing)
        for words in drawing.words:
            x0, y0, x1, y1 = bounds(words)
            assert min(x0, y0) >= -1.0, words.text
            assert x1 <= drawing.width_mm + 1.0, words.text
            assert y1 <= drawing.height_mm + 2.0, words.text
        assert ezdxf.read(io.StringIO(dxf_of(drawing).decode()))
    data = sheet_pdf(every_template())
    assert data == sheet_pdf(every_template())
    assert len(inked(data, 0.5)) == 9
    assert tiled_pdf(every_template(), "letter") == tiled_pdf(every_template(), "letter")


@pytest.mark.parametrize("side", ["left", "right"])
def test_screws_lie_where_fit_says(side: Any) -> None:
    """Measured from the template's own edges; on both walls the screws are told from left and bottom, seen from outside."""
    bench = built(side)
    (drawing,), why = mount_drawings(bench)
    assert why == []
    items = {item.key.split(": ")[1]: item for item in mounts.section(bench).items}
    size = np.array(wall_of(bench.carried.size_m, side).size_m) * 1000  # type: ignore[union-attr]
    edges = lines(drawing, "sheet")
    x = next(line[0, 0] for line in edges if np.ptp(line[:, 0]) < 1e-9)
    y = next(line[0, 1] for line in edges if np.ptp(line[:, 1]) < 1e-9)
    rings = [middle(line) for line in lines(drawing, "mark") if len(line) == 360]
    assert len(rings) == 2
    places: Any = items["screws"].value
    for ring, place in zip(rings, places, strict=True):
        want = np.array(place) * 1000
        from_left = ring[0] - x if ring[0] > x else size[0] + ring[0] - x
        from_bottom = ring[1] - y if ring[1] > y else size[1] + ring[1] - y
        assert [from_left, from_bottom] == pytest.approx(want, abs=1e-6)
    assert f"{side.upper()} ARM (false) on the {side.upper()} WALL" in said(drawing)
    assert "breakaway" in said(drawing)


def test_a_mirrored_limb_gives_a_mirrored_template() -> None:
    """Left and right arm on the two walls of one box: the screws' distance from the front edge is the same."""
    (one,), _ = mount_drawings(built("left"))
    (other,), _ = mount_drawings(built("right"))
    a, b = ([middle(line) for line in lines(d, "mark") if len(line) == 360] for d in (one, other))
    step, mirrored = a[1] - a[0], b[1] - b[0]
    assert mirrored == pytest.approx(step * [-1, 1], abs=1e-6)


def test_a_hand_in_mid_air_has_no_template_and_says_why(tmp_path: Path) -> None:
    bench = on_bench(act("hand at: {wall: back, at: [0 cm, 0 cm]}"))
    drawings, why = mount_drawings(bench)
    assert drawings == []
    assert "mid-air" in why[0]
    mesh, _ = left_arm()
    drawings, why = mount_drawings(imported(tmp_path, mesh, None))
    assert drawings == []
    assert "no landmarks" in why[0]


def test_a_scene_without_a_limb_says_so() -> None:
    bench = on_bench(
        "version: 1\nprop: {box: {width: 40 cm, depth: 30 cm, height: 30 cm}, at: {ahead: 30 cm, up: 1 m}}\n"
        "secrets: [{name: s, disc: {radius: 1 cm}, at: [0 m, 0 m, 1 m]}]\neyes: [{id: E1, at: [0 m, -5 m, 1.5 m]}]\n"
    )
    drawings, why = mount_drawings(bench)
    assert drawings == []
    assert "no false limb" in why[0]


def test_which_way_is_up() -> None:
    size = np.array([0.46, 0.32, 0.30])
    assert {name: up_words(wall_of(size, name)) for name in ("front", "left", "top")} == {
        "front": "UP", "left": "UP", "top": "TO PERFORMER",
    }  # fmt: skip


def test_names_with_markup_are_text_on_the_template() -> None:
    hole = opening(diameter="8 cm", name="<i>door</i> & 'hatch'")
    (drawing,) = opening_drawings(box(), [hole], "t")
    assert "<i>door</i> & 'hatch'" in texts(sheet_pdf(drawing))[0]
