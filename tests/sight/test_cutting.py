"""A surface cut into patches: sizes, areas and what is buried, worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.errors import Misfit
from sightline.geometry import shapes
from sightline.geometry.mesh import Mesh
from sightline.sight import patches as patches_module
from sightline.sight.patches import Patches, cut, halved, outside_solids, patches_of
from sightline.sight.rays import Solid

# A right triangle with legs 3 and 4 in the plane z = 1; its normal is +z.
LEGS = np.array([[[0.0, 0, 1], [3, 0, 1], [0, 4, 1]]])


def test_a_patch_has_centre_normal_area_and_reach() -> None:
    """The centroid is the corners' mean; the farthest corner from it is (0, 4), sqrt(1 + (8/3)^2) away."""
    one = Patches(LEGS, False)
    assert one.centres[0] == pytest.approx([1.0, 4.0 / 3.0, 1.0])
    assert one.normals[0] == pytest.approx([0, 0, 1])
    assert one.areas == pytest.approx([6.0])
    assert one.area_m2 == pytest.approx(6.0)
    assert one.radius_m == pytest.approx([np.sqrt(1.0 + (8.0 / 3.0) ** 2)])
    assert (one.count, one.dropped) == (1, 0)
    none = Patches(np.zeros((0, 3, 3)), False)
    assert (none.count, none.area_m2, none.radius_m.shape) == (0, 0.0, (0,))


def test_patches_that_meet_have_one_number_for_the_corner() -> None:
    square = Patches(np.array([[[0.0, 0, 0], [1, 0, 0], [1, 1, 0]], [[0, 0, 0], [1, 1, 0], [0, 1, 0]]]), False)
    keys = square.corner_keys
    assert keys[0, 0] == keys[1, 0]
    assert keys[0, 2] == keys[1, 1]
    assert len(np.unique(keys)) == 4


def test_only_some_patches_and_how_many_were_dropped() -> None:
    three = Patches(np.repeat(LEGS, 3, axis=0), True, dropped=2)
    left = three.only(np.array([True, False, False]))
    assert (left.count, left.dropped, left.two_sided) == (1, 4, True)


def test_halves_cover_the_triangle_once() -> None:
    """Four of a quarter of the area each, turned the same way, with the middle triangle among them."""
    four = Patches(halved(LEGS), False)
    assert four.areas == pytest.approx(np.full(4, 1.5))
    assert four.normals == pytest.approx(np.tile([0, 0, 1], (4, 1)))
    found = {tuple(np.round(c, 9)) for c in four.centres[:, :2]}
    middles = [(1.5, 0), (1.5, 2), (0, 2)]
    parts = [
        ((0, 0), middles[0], middles[2]),
        (middles[0], (3, 0), middles[1]),
        (middles[2], middles[1], (0, 4)),
        middles,
    ]
    assert found == {tuple(np.round(np.array(p).mean(axis=0), 9)) for p in parts}


def test_a_patch_is_looked_at_closer_in_sixteenths() -> None:
    two = Patches(np.concatenate([LEGS, LEGS + 10.0]), False)
    points = two.split()
    assert points.shape == (2, 16, 3)
    assert points.mean(axis=1) == pytest.approx(two.centres)
    assert points[1] == pytest.approx(points[0] + 10.0)
    # Centres of sixteenths: every one inside, and no two in one place.
    x, y = points[0, :, 0], points[0, :, 1]
    assert ((x > 0) & (y > 0) & (x / 3 + y / 4 < 1)).all()
    assert len(np.unique(np.round(points[0], 9), axis=0)) == 16


@pytest.mark.parametrize(
    ("spacing_m", "count"), [(5.01, 1), (4.99, 2), (4.01, 2), (3.99, 3), (3.01, 3), (2.99, 4), (2.51, 4)]
)
def test_cut_across_the_longest_edge_until_none_is_longer(spacing_m: float, count: int) -> None:
    """Sides 3, 4, 5: the first cut leaves (2.5, 2.5, 3) and (2.5, 2.5, 4); the next ones leave right triangles with a long side of 2.5."""
    parts = Patches(cut(LEGS, spacing_m), False)
    edges = np.linalg.norm(parts.corners - np.roll(parts.corners, 1, axis=1), axis=2)
    assert edges.max() <= spacing_m
    assert parts.count == count
    assert parts.area_m2 == pytest.approx(6.0)
    assert (parts.normals[:, 2] > 0.999).all()


def test_too_many_patches_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(patches_module, "MOST_PATCHES", 8)
    square = np.array([[[0.0, 0, 0], [1, 0, 0], [1, 1, 0]], [[0, 0, 0], [1, 1, 0], [0, 1, 0]]])
    assert len(cut(square, 0.75)) == 8
    with pytest.raises(Misfit, match="more than 8 patches at 500 mm"):
        cut(square, 0.5)


def test_flat_triangles_are_left_out() -> None:
    sliver = Mesh.of([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0.5, 0, 0]], [[0, 1, 2], [0, 3, 1]])
    assert patches_of(sliver, 2.0, True).count == 1
    assert patches_of(sliver, 2.0, True).two_sided
    assert not patches_of(sliver, 2.0, False).two_sided


def test_thinned_patches_share_the_whole_area() -> None:
    """Evenly by area: of two halves of equal area as many come from each, however finely one of them is cut."""
    coarse = cut(LEGS, 2.0)
    fine = cut(LEGS + [10.0, 0, 0], 0.2)
    both = Patches(np.concatenate([coarse, fine]), False, dropped=3)
    some = both.thinned(20)
    assert (some.count, some.dropped) == (20, 3)
    assert some.area_m2 == pytest.approx(12.0)
    assert some.areas == pytest.approx(np.full(20, 0.6))
    assert (some.centres[:, 0] > 9).sum() == 10
    assert both.thinned(both.count) is both
    assert both.thinned(both.count - 1) is not both


@pytest.mark.parametrize(("two_sided", "left"), [(False, 1), (True, 1)])
def test_what_is_inside_a_solid_is_no_part_of_the_secret(two_sided: bool, left: int) -> None:
    """Of two small patches one is in the middle of a box, the other outside all boxes."""
    small = np.array([[[-0.01, 0, -0.01], [0.01, 0, -0.01], [0, 0, 0.02]]])
    two = Patches(np.concatenate([small, small + [1.0, 0, 0]]), two_sided)
    nobody = Solid(shapes.box(0.1, 0.1, 0.1), np.array([9.0, 0, 0]))
    box = Solid(shapes.box(0.4, 0.4, 0.4), np.zeros(3))
    found = outside_solids(two, [nobody, box])
    assert found.count == left
    assert found.dropped == 1
    assert found.centres[0, 0] == pytest.approx(1.0)
    assert outside_solids(two, []) is two
    far = Patches(small + [5.0, 0, 0], two_sided)
    assert outside_solids(far, [box]) is far
