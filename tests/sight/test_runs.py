"""How much of a line an eye sees, and the longest unbroken stretch of it, counted by hand."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.sight.lines import Line, line_facing, line_unblocked, measured
from sightline.sight.rays import Blockers


def round_the_eye(lengths_mm: list[float], ring: bool = False, far_m: float = 2.0, normals: float = 0.0) -> Line:
    """Samples on a circle round the origin, all at one distance, with outward normals of a length."""
    turn = np.linspace(0.0, 1.0, len(lengths_mm))
    way = np.column_stack([np.cos(turn), np.sin(turn), 0 * turn])
    return Line(far_m * way, normals * way, np.array(lengths_mm) / 1000, 0.003, True, ring)


EYE = np.zeros((1, 3))
ARCMIN = 60.0 * np.degrees(1.0)


@pytest.mark.parametrize(
    ("seen", "ring", "run_mm"),
    [
        ("xxxxx", False, 15.0),
        (".....", False, 0.0),
        ("xx.xx", False, 9.0),
        ("xxx.x", False, 6.0),
        ("xx.xx", True, 12.0),
        ("x.x.x", True, 6.0),
        ("..x..", True, 3.0),
        ("xxxxx", True, 15.0),
        ("xxxx.", True, 10.0),
        (".xxxx", True, 14.0),
    ],
)
def test_the_longest_run(seen: str, ring: bool, run_mm: float) -> None:
    """Steps of 1, 2, 3, 4 and 5 mm; a ring runs on past its end, but never counts anything twice."""
    line = round_the_eye([1, 2, 3, 4, 5], ring)
    leak = measured(line, np.array([[c == "x" for c in seen]]), EYE)
    shown = sum(length for length, c in zip((1, 2, 3, 4, 5), seen, strict=True) if c == "x")
    assert leak.length_m == pytest.approx([shown / 1000])
    assert leak.run_m == pytest.approx([run_mm / 1000])
    # At 2 m, 1 mm is half a milliradian along the line; the line is 3 mm wide.
    assert leak.run_arcmin == pytest.approx([run_mm * 0.0005 * ARCMIN])
    assert leak.width_arcmin == pytest.approx([0.0015 * ARCMIN if shown else 0.0])
    assert leak.solid_angle_sr == pytest.approx([shown * 0.0005 * 0.0015])


def test_the_run_that_looks_longest_is_told_though_a_farther_one_is_longer() -> None:
    line = Line(
        np.array([[1.0, 0, 0], [0, 9.0, 0], [0, 8.0, 0]]), np.zeros((3, 3)), np.full(3, 0.004), 0.001, True, False
    )
    leak = measured(line, np.array([[True, False, True]]), EYE)
    assert leak.run_m == pytest.approx([0.004])
    assert leak.run_arcmin == pytest.approx([0.004 * ARCMIN])
    leak = measured(line, np.array([[True, False, False]]), EYE)
    assert leak.width_arcmin == pytest.approx([0.001 * ARCMIN])


def test_each_eye_by_itself() -> None:
    line = round_the_eye([5, 5, 5])
    eyes = np.array([[0.0, 0, 0], [0.0, 0, 0]])
    leak = measured(line, np.array([[True, True, True], [True, False, True]]), eyes)
    assert leak.length_m == pytest.approx([0.015, 0.010])
    assert leak.run_m == pytest.approx([0.015, 0.005])


def test_a_one_sided_line_is_seen_from_before_its_surface_only() -> None:
    """The surface is x = 1, its front towards +x; what is looked at along it, at no height at all, is not seen."""
    line = Line(np.array([[1.0, 0, 0]]), np.array([[1.0, 0, 0]]), np.array([0.005]), 0.001, False, False)
    eyes = np.array([[1.1, 5, 0], [0.9, 5, 0], [1.0, 5, 0], [3.0, 0, 0]])
    assert line_facing(line, eyes)[:, 0].tolist() == [True, False, False, True]
    free = Line(line.points, line.normals, line.lengths, 0.001, True, False)
    assert line_facing(free, eyes).all()


def test_on_a_sheet_the_sample_lies_on_the_side_that_is_looked_at() -> None:
    """Otherwise the sheet itself would hide its own seam from one side."""
    sheet = Blockers([shapes.rectangle(1.0, 1.0)])
    line = Line(np.array([[0, -1e-4, 0]]), np.array([[0, -1.0, 0]]), np.array([0.005]), 0.001, True, False)
    eyes = np.array([[0, -2.0, 0], [0, 2.0, 0]])
    assert line_unblocked(line, np.ones((2, 1), dtype=bool), [sheet], eyes).all()


def test_what_was_not_seen_before_is_not_asked_about_again() -> None:
    plate = Blockers([shapes.rectangle(1.0, 1.0)])
    line = Line(np.array([[0, 0.5, 0], [3.0, 0.5, 0]]), np.zeros((2, 3)), np.full(2, 0.005), 0.001, True, False)
    eyes = np.array([[0, -2.0, 0]])
    asked = np.ones((1, 2), dtype=bool)
    assert line_unblocked(line, asked, [plate, plate], eyes).tolist() == [[False, True]]
    assert asked.all()
    none = np.zeros((1, 2), dtype=bool)
    assert not line_unblocked(line, none, [plate], eyes).any()
