"""Large flat faces that hide by proof: which faces there are, and that the proof ends where geometry does."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.mesh import Mesh
from sightline.sight.patches import Patches
from sightline.sight.shields import EYES_PER_CLUSTER, Clusters, Shields, flat_faces


def area(face: np.ndarray) -> float:
    """Of a flat convex outline, by its triangles from the first corner."""
    spokes = face[1:] - face[0]
    return float(np.linalg.norm(np.cross(spokes[:-1], spokes[1:]), axis=1).sum() / 2)


def plate(size_m: float = 1.0, hole: tuple[float, float, float, float] | None = None, y: float = 0.0) -> Mesh:
    """A square plate in a plane y, front to -y, about the origin; with a rectangular hole (left, right, low, high)."""
    h = size_m / 2
    if hole is None:
        return Mesh.of([[-h, y, -h], [h, y, -h], [h, y, h], [-h, y, h]], [[0, 1, 2], [0, 2, 3]])
    a, b, c, d = hole
    outer = [[-h, y, -h], [h, y, -h], [h, y, h], [-h, y, h]]
    inner = [[a, y, c], [b, y, c], [b, y, d], [a, y, d]]
    faces = [f for i in range(4) for j in [(i + 1) % 4] for f in ([i, j, 4 + j], [i, 4 + j, 4 + i])]
    return Mesh.of(outer + inner, faces)


def test_a_box_has_six_faces() -> None:
    faces = flat_faces(shapes.box(0.4, 0.2, 0.3))
    assert sorted(round(area(f), 9) for f in faces) == [0.06, 0.06, 0.08, 0.08, 0.12, 0.12]
    assert all(f.shape == (4, 3) for f in faces)


@pytest.mark.parametrize(("side_m", "faces"), [(0.101, 1), (0.099, 0)])
def test_a_face_must_have_a_hundred_square_centimetres(side_m: float, faces: int) -> None:
    assert len(flat_faces(plate(side_m))) == faces


def test_a_face_in_many_small_triangles_is_one_face() -> None:
    """A disc of 24 slivers, each below the least area, is convex; of 13 sides or more none is taken."""
    eight = shapes.disc(0.2, sides=8)
    (face,) = flat_faces(eight)
    assert area(face) == pytest.approx(eight.area_m2)
    assert len(flat_faces(shapes.disc(0.3, sides=12))) == 1
    assert flat_faces(shapes.disc(0.3, sides=13)) == []


def test_a_face_that_is_not_convex_is_none() -> None:
    ell = Mesh.of(
        [[0, 0, 0], [2, 0, 0], [2, 0, 1], [1, 0, 1], [1, 0, 2], [0, 0, 2]], [[0, 1, 2], [0, 2, 3], [0, 3, 5], [3, 4, 5]]
    )
    assert flat_faces(ell) == []


def test_two_faces_in_one_plane_are_none() -> None:
    """Two plates side by side would be one outline too many."""
    left, right = plate(0.4), plate(0.4)
    both = Mesh.of(
        np.concatenate([left.vertices, right.vertices + [1.0, 0, 0]]), np.concatenate([left.faces, right.faces + 4])
    )
    assert flat_faces(both) == []
    apart = Mesh.of(
        np.concatenate([left.vertices, right.vertices + [1.0, 0.1, 0]]), np.concatenate([left.faces, right.faces + 4])
    )
    assert len(flat_faces(apart)) == 2


def test_round_a_hole_in_strips() -> None:
    """Hole from -0.3 to 0.1 across and -0.2 to 0.3 up, in a plate from -0.5 to 0.5: two strips over a whole side
    and two beside the hole, whichever way round; together the plate less its hole."""
    strips = flat_faces(plate(1.0, (-0.3, 0.1, -0.2, 0.3)))
    assert sorted(round(area(s), 9) for s in strips) in ([0.1, 0.2, 0.2, 0.3], [0.08, 0.12, 0.2, 0.4])
    for strip in strips:
        low, high = strip.min(axis=0), strip.max(axis=0)
        # None reaches into the hole.
        assert high[0] <= -0.3 + 1e-9 or low[0] >= 0.1 - 1e-9 or high[2] <= -0.2 + 1e-9 or low[2] >= 0.3 - 1e-9
        assert np.ptp(strip[:, 1]) == 0.0
        assert low.min() >= -0.5 - 1e-9
        assert high.max() <= 0.5 + 1e-9


def test_a_strip_too_narrow_is_left_out() -> None:
    """A hole 1 mm from the left edge: that strip of 5 or 10 cm2 is below a quarter of the least area."""
    strips = flat_faces(plate(1.0, (-0.499, 0.1, -0.2, 0.3)))
    assert sorted(round(area(s), 9) for s in strips) in ([0.2, 0.2, 0.3], [0.1198, 0.1797, 0.4])


def test_a_hole_in_what_is_no_rectangle_leaves_nothing() -> None:
    holed = plate(1.0, (-0.1, 0.1, -0.1, 0.1))
    sheared = Mesh.of(holed.vertices + holed.vertices[:, 2:] * [0.5, 0, 0], holed.faces)
    assert flat_faces(sheared) == []
    turned = Mesh.of(holed.vertices + [0.0, 3.0, 2.0], holed.faces)
    assert len(flat_faces(turned)) == 4
    kite = np.array(holed.vertices)
    kite[2] += [0.4, 0, 0.4]
    assert flat_faces(Mesh.of(kite, holed.faces)) == []


EYES_AT = np.array([[[0.0, -4.0, 0.0]]])


def hidden(mesh: Mesh, points: list[tuple[float, float, float]], eyes: np.ndarray = EYES_AT) -> list[bool]:
    shields = Shields([mesh], np.zeros(3))
    out: list[bool] = shields.hide(np.array(points), Clusters.over(eyes))[0].tolist()
    return out


@pytest.mark.parametrize("behind_m", [0.5, 4.0])
def test_what_a_plate_hides_ends_at_its_edge(behind_m: float) -> None:
    """From 4 m before a plate 1 m wide its shadow is (4 + b) / 4 m wide b behind it. A millimetre is kept at the eye."""
    edge = 0.5 * (4.0 + behind_m) / 4.0
    # The kept millimetre at the eye is (b / 4) mm at the point, seen along the slope of the cone.
    inside, outside = edge - 0.001 * (behind_m / 4.0) - 2e-4 - 2e-4 * behind_m, edge + 1e-6
    for sign in (-1.0, 1.0):
        assert hidden(plate(), [(sign * inside, behind_m, 0.0), (0.0, behind_m, sign * inside)]) == [True, True]
        assert hidden(plate(), [(sign * outside, behind_m, 0.0), (0.0, behind_m, sign * outside)]) == [False, False]


def test_nothing_before_a_plate_is_hidden_by_it_nor_what_lies_in_its_plane() -> None:
    points = [(0.0, -0.5, 0.0), (0.0, 0.0009, 0.0), (0.0, 0.0011, 0.0), (0.0, 2.0, 0.0), (0.0, -5.0, 0.0)]
    assert hidden(plate(), points) == [False, False, True, True, False]
    # Seen from behind the plate the same holds the other way round.
    from_behind = -EYES_AT
    assert hidden(plate(), [(0.0, -0.5, 0.0), (0.0, 0.5, 0.0)], from_behind) == [True, False]


def test_an_eye_in_the_plane_of_the_plate_is_served_by_none() -> None:
    for away in (-0.0009, 0.0, 0.0009):
        assert hidden(plate(), [(0.0, 0.5, 0.0)], np.array([[[3.0, away, 0.0]]])) == [False]


def test_all_eyes_of_a_cluster_and_all_positions_of_their_heads_must_be_hidden_from() -> None:
    point = [(0.5, 0.5, 0.0)]
    one, other = np.array([0.0, -4.0, 0.0]), np.array([-1.2, -4.0, 0.0])
    # From x = 0 the ray to (0.5, 0.5) passes the plane at 0.444, inside; from -1.2 at 0.311; from +0.2 at 0.467 ...
    assert hidden(plate(), point, np.array([[one, other]])) == [True]
    # ... and from 0.5 at 0.5, which is the edge; from 1 at 0.556.
    assert hidden(plate(), point, np.array([[one, [1.0, -4.0, 0.0]]])) == [False]
    assert hidden(plate(), point, np.array([[one], [[1.0, -4.0, 0.0]]])) == [False]


def test_a_two_sided_patch_is_hidden_only_if_it_is_off_both_sides() -> None:
    """A patch level with the plate's plane edge-on: off one side its rays start beyond the kept millimetre, off the
    other they do not."""
    flat = np.array([[[-0.01, 0.00105, 0.01], [0.01, 0.00105, 0.01], [0, 0.00105, -0.02]]])
    eyes, shields = Clusters.over(EYES_AT), Shields([plate()], np.zeros(3))
    up = Patches(flat, False)
    assert up.normals[0] == pytest.approx([0, 1, 0])
    assert shields.hide_patches(up, eyes).tolist() == [[True]]
    assert shields.hide_patches(Patches(flat, True), eyes).tolist() == [[False]]


def test_faces_far_from_the_secret_are_left_away_and_of_twins_one_is_kept() -> None:
    centre = np.zeros(3)
    near, far = plate(y=0.79), plate(y=0.81)
    assert len(Shields([near], centre).faces) == 1
    assert len(Shields([far], centre).faces) == 0
    # Both faces of a board 12 mm thick are as good as one; of one 25 mm thick both are kept.
    assert len(Shields([plate(), plate(y=0.012)], centre).faces) == 1
    assert len(Shields([plate(), plate(y=0.025)], centre).faces) == 2
    assert Shields([Mesh.empty()], centre).faces == []


def test_the_largest_sixteen_are_kept() -> None:
    sizes = [0.2 + 0.01 * k for k in range(20)]
    shields = Shields([plate(size, y=0.03 * k) for k, size in enumerate(sizes)], np.array([0.0, 0.3, 0.0]))
    assert [round(area(f), 6) for f in shields.faces] == [round(s * s, 6) for s in sorted(sizes, reverse=True)[:16]]


def test_clusters_hold_their_eyes_and_all_positions_of_the_head() -> None:
    random = np.random.default_rng(4)
    places = random.uniform(-5, 5, (1, 100, 3)) + np.array([0.0, 0.1, -0.1])[:, None, None]
    found = Clusters.over(places)
    assert np.bincount(found.of).max() <= EYES_PER_CLUSTER
    assert np.bincount(found.of).min() >= EYES_PER_CLUSTER // 2
    for i, cluster in enumerate(found.of):
        assert (np.abs(places[:, i] - found.middle[cluster]) <= found.half[cluster] + 1e-12).all()
    for cluster in range(len(found.middle)):
        mine = places[:, found.of == cluster]
        assert mine.min(axis=(0, 1)) == pytest.approx(found.middle[cluster] - found.half[cluster])
        assert mine.max(axis=(0, 1)) == pytest.approx(found.middle[cluster] + found.half[cluster])


def test_eyes_are_parted_where_they_are_farthest_apart() -> None:
    """Two rows 10 m apart, each 2 m wide: the rows are parted first."""
    row = np.linspace(-1, 1, 6)
    places = np.array([[*[(x, 0.0, 1.2) for x in row], *[(x, 10.0, 1.2) for x in row]]])
    found = Clusters.over(places, 6)
    assert sorted(found.half.tolist()) == [[1.0, 0.0, 0.0], [1.0, 0.0, 0.0]]
    assert len(Clusters.over(places, 12).middle) == 1
    assert len(Clusters.over(places, 11).middle) == 2


def test_a_corner_on_a_straight_edge_is_no_corner_of_the_rectangle() -> None:
    """The plate with the hole, its lower edge in two pieces, as a drawing program leaves it: still four strips."""
    hole = plate(1.0, (-0.3, 0.1, -0.2, 0.3))
    assert hole.faces[0].tolist() == [0, 1, 5]
    points = np.concatenate([hole.vertices, [[0.07, 0.0, -0.5]]])
    faces = np.concatenate([[[0, 8, 5], [8, 1, 5]], hole.faces[1:]])
    strips = flat_faces(Mesh.of(points, faces))
    assert sum(area(s) for s in strips) == pytest.approx(0.8)
    assert len(strips) == 4


def test_a_point_in_line_with_an_edge_is_left_to_rays() -> None:
    """There the plane through point and edge is none; nothing is divided by nothing."""
    assert hidden(plate(), [(0.5, 0.0, 2.0), (0.5, 0.0, -0.5), (2.0, 0.0, 0.5)]) == [False, False, False]


def test_twins_are_told_apart_wherever_they_stand() -> None:
    """Two plates on either side of the middle are no twins though each is the other's mirror image."""
    centre, small = np.zeros(3), plate(0.3)
    left, right = (Mesh.of(small.vertices + [x, 0.1, 0.2], small.faces) for x in (-0.4, 0.4))
    behind = Mesh.of(right.vertices + [0.0, 0.012, 0.0], right.faces)
    assert len(Shields([left, right], centre).faces) == 2
    assert len(Shields([right, behind], centre).faces) == 1
    assert len(Shields([left, right, behind], centre).faces) == 2
