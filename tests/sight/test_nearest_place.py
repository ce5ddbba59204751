"""Laying a line on a surface: the nearest place on triangles, and the smooth normal and height there."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.mesh import Mesh
from sightline.sight.lines import closest, laid_on, line_on
from sightline.sight.rays import LIFT_M

# A right triangle in the plane z = 0 with legs of 3 along x and 4 along y.
LEGS = Mesh.of([[0, 0, 0], [3, 0, 0], [0, 4, 0]], [[0, 1, 2]])


@pytest.mark.parametrize(
    ("point", "place"),
    [
        ((1.0, 1.0, 0.7), (1.0, 1.0, 0.0)),  # over the inside
        ((-1.0, -2.0, 0.5), (0.0, 0.0, 0.0)),  # beyond each corner
        ((5.0, -1.0, 0.5), (3.0, 0.0, 0.0)),
        ((-1.0, 6.0, 0.5), (0.0, 4.0, 0.0)),
        ((1.2, -2.0, 0.5), (1.2, 0.0, 0.0)),  # beside each edge
        ((-2.0, 1.2, 0.5), (0.0, 1.2, 0.0)),
        # Square off the long edge from its middle (1.5, 2), along its normal (4, 3) / 5.
        ((1.5 + 0.8, 2.0 + 0.6, 0.5), (1.5, 2.0, 0.0)),
        ((1.5 - 0.08, 2.0 - 0.06, -0.5), (1.42, 1.94, 0.0)),
    ],
)
def test_the_nearest_place_on_a_triangle(point: tuple[float, ...], place: tuple[float, ...]) -> None:
    found, facet, weights = closest(np.array([point]), LEGS)
    assert found[0] == pytest.approx(place, abs=1e-12)
    assert facet.tolist() == [0]
    assert weights[0] @ LEGS.corners[0] == pytest.approx(place, abs=1e-12)
    assert weights[0].sum() == pytest.approx(1.0)
    assert weights.min() > -1e-12


@pytest.mark.parametrize("most", [1, 2, 7, 48])
def test_however_few_facets_are_tried_first_the_nearest_is_found(most: int) -> None:
    """On a ball of 1,280 facets with one facet of long reach beside it: against a search over all of them."""
    ball = shapes.sphere(0.3)
    blade = Mesh.of([[0.31, 0, -2], [0.31, 0.01, -2], [0.31, 0, 2]], [[0, 1, 2]])
    both = Mesh.joined([ball, blade])
    points = np.random.default_rng(2).normal(size=(150, 3)) * 0.4
    found, facets, weights = closest(points, both, most)
    every, _, _ = closest(points, both, len(both.faces))
    assert np.linalg.norm(found - points, axis=1) == pytest.approx(np.linalg.norm(every - points, axis=1), abs=1e-12)
    assert np.einsum("ni,nij->nj", weights, both.corners[facets]) == pytest.approx(found)
    # Off the ball along its radius, as nearly as its facets are round: 0.3 m less the sagitta of an edge of 0.05 m.
    off = np.abs(np.linalg.norm(points, axis=1) - 0.3)
    assert (np.linalg.norm(found - points, axis=1) <= off + 0.0015).all()


def test_a_point_on_a_box_takes_the_normal_of_its_own_wall_up_to_the_edge() -> None:
    """Walls meet at 90 degrees, a true edge: nothing is smoothed over it and nothing raised."""
    box = shapes.box(0.4, 0.2, 0.3)
    points = np.array([[0.1, -0.3, 0.149], [0.199, -0.3, -0.149], [0.3, 0.0, 0.1], [0.0, 0.05, 0.4]])
    onto, normals = laid_on(points, box)
    assert onto == pytest.approx(np.array([[0.1, -0.1, 0.149], [0.199, -0.1, -0.149], [0.2, 0, 0.1], [0, 0.05, 0.15]]))
    assert normals == pytest.approx(np.array([[0, -1, 0], [0, -1, 0], [1, 0, 0], [0, 0, 1]]), abs=1e-12)


def roof(slope_deg: float) -> Mesh:
    """Two square sheets that meet along the y axis, each falling away by `slope_deg`; normals upward."""
    down = np.radians(slope_deg)
    x, z = np.cos(down), -np.sin(down)
    points = [[-x, 0, z], [-x, 1, z], [0, 0, 0], [0, 1, 0], [x, 0, z], [x, 1, z]]
    return Mesh.of(points, [[0, 2, 3], [0, 3, 1], [2, 4, 5], [2, 5, 3]])


@pytest.mark.parametrize(("slope_deg", "rounded"), [(24.0, True), (26.0, False)])
def test_facets_that_meet_at_less_than_50_degrees_are_taken_for_round(slope_deg: float, rounded: bool) -> None:
    """At the ridge (1 mm beside it) a rounded roof's normal is straight up, as it is mixed of those at the corners."""
    ridge = np.array([[1e-3, 0.5, -1e-3 * np.tan(np.radians(slope_deg))]])
    _, normals = laid_on(ridge, roof(slope_deg))
    lean = np.degrees(np.arctan2(normals[0, 0], normals[0, 2]))
    assert lean == pytest.approx(0.0 if rounded else slope_deg, abs=0.05)


def test_neighbours_count_by_their_angle_however_a_face_is_cut_up() -> None:
    """One side of the roof cut into three slivers at the ridge corner: the normal still stands upright there."""
    x, z = np.cos(np.radians(20)), -np.sin(np.radians(20))
    points = [[-x, 0, z], [-x, 1, z], [0, 0, 0], [0, 1, 0], [x, 0, z], [x, 1, z], [x, 0.4, z], [x, 0.7, z]]
    cut = Mesh.of(points, [[0, 2, 3], [0, 3, 1], [2, 4, 6], [2, 6, 7], [2, 7, 5], [2, 5, 3]])
    _, normals = laid_on(np.array([[1e-7, 1e-7, 0.2]]), cut)
    assert normals[0] == pytest.approx([0.0, 0.0, 1.0], abs=1e-5)


def test_a_place_between_rounded_facets_is_raised_to_the_arc() -> None:
    """Halfway between two corners whose normals are those of a circle: to the mean of both tangent planes (Phong
    tessellation, Boubekeur and Alexa 2008). Corners are 15 degrees apart."""
    tube = shapes.cylinder(0.1, 0.4, sides=24)
    half = np.radians(15.0) / 2
    out = np.hypot(tube.vertices[:, 0], tube.vertices[:, 1])
    corner, first = out.max(), tube.vertices[out.argmax()]
    turn = np.arctan2(first[1], first[0]) + half
    way = np.array([np.cos(turn), np.sin(turn), 0.0])
    onto, normals = laid_on((0.2 * way)[None], tube)
    assert normals[0] == pytest.approx(way, abs=1e-3)
    # The foot is the chord's middle, corner * cos half out; each tangent plane lies corner * (1 - cos^2 half) above it.
    raised = corner * np.cos(half) + corner * np.sin(half) ** 2 * np.cos(half)
    assert np.linalg.norm(onto[0, :2]) == pytest.approx(raised, rel=1e-4)


def test_a_line_is_cut_into_equal_steps_of_at_most_5_mm() -> None:
    """12 mm then 5 mm: three steps of 4 mm and one of 5; samples stand at their middles."""
    line = line_on(np.array([[0, 0, 0], [0.012, 0, 0], [0.012, 0.005, 0]]), None, 0.002)
    assert line.lengths == pytest.approx([0.004, 0.004, 0.004, 0.005])
    assert line.points[:, 0] == pytest.approx([0.002, 0.006, 0.010, 0.012])
    assert line.points[:, 1] == pytest.approx([0, 0, 0, 0.0025])
    assert (line.two_sided, line.ring, line.width_m) == (True, False, 0.002)
    assert line.length_m == pytest.approx(0.017)


def test_points_written_twice_are_one_and_a_line_of_one_place_is_refused() -> None:
    line = line_on(np.array([[0, 0, 0], [0, 0, 0], [0.01, 0, 0], [0.01, 0, 1e-12]]), None, 0.002)
    assert line.lengths == pytest.approx([0.005, 0.005])
    with pytest.raises(ValueError, match="two points"):
        line_on(np.array([[1.0, 2.0, 3.0], [1.0, 2.0, 3.0]]), None, 0.002)


@pytest.mark.parametrize(("gap_m", "ring"), [(0.0, True), (0.009, True), (0.011, False)])
def test_a_line_whose_ends_meet_is_a_ring(gap_m: float, ring: bool) -> None:
    """Ends closer than two steps, 10 mm, are taken to meet."""
    path = np.array([[0, 0, 0], [0.2, 0, 0], [0.2, 0.2, 0], [gap_m, 0, 0.0]])
    assert line_on(path, None, 0.002).ring is ring


def test_on_a_solid_a_line_is_seen_from_outside_and_on_a_sheet_from_both() -> None:
    path = np.array([[-0.1, -0.1, 0], [0.1, -0.1, 0]])
    on_box = line_on(path, shapes.box(0.4, 0.2, 0.3), 0.002)
    assert not on_box.two_sided
    assert on_box.points[:, 1] == pytest.approx(np.full(40, -0.1 - LIFT_M), abs=1e-12)
    on_sheet = line_on(path, shapes.rectangle(0.4, 0.3), 0.002)
    assert on_sheet.two_sided
    assert on_sheet.points[:, 1] == pytest.approx(np.full(40, -LIFT_M), abs=1e-12)
    assert line_on(path, Mesh.empty(), 0.002).normals == pytest.approx(np.zeros((40, 3)))
