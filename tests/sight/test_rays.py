"""The one place that casts rays: what is met, where, how far; and that nothing doubtful gets through as visible."""

from __future__ import annotations

import os

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.mesh import Mesh
from sightline.sight.rays import LIFT_M, Blockers, Solid, in_chunks, threads

# Front to -y, corners (-1, -1), (1, -1), (-1, 1) in x and z.
TRIANGLE = Mesh.of([[-1, 0, -1], [1, 0, -1], [-1, 0, 1]], [[0, 1, 2]])


def test_what_is_met_first() -> None:
    """Two plates, the nearer one 2 m away; the index counts meshes, empty ones too."""
    far = Mesh.of(TRIANGLE.vertices + [0, 3.0, 0], TRIANGLE.faces)
    blockers = Blockers([Mesh.empty(), far, TRIANGLE])
    starts = np.array([[-0.5, -2.0, -0.5], [-0.5, 1.0, -0.5], [0.9, -2.0, 0.9], [-0.5, 6.0, -0.5]])
    ends = starts + np.array([[0, 10.0, 0], [0, 10.0, 0], [0, 10.0, 0], [0, -1.0, 0]])
    hits = blockers.first(starts, ends)
    assert hits.mesh.tolist() == [2, 1, -1, -1]
    assert hits.facet.tolist() == [0, 0, -1, -1]
    assert hits.distance_m == pytest.approx([2.0, 2.0, np.inf, np.inf])
    assert np.abs(hits.normals[:2]) == pytest.approx(np.array([[0, 1, 0], [0, 1, 0]]))
    # A quarter of the way along both legs.
    assert hits.weights[:2] == pytest.approx(np.array([[0.25, 0.25], [0.25, 0.25]]))
    assert blockers.indices == [1, 2]


def test_the_normal_is_that_of_the_facet_from_whichever_side() -> None:
    hits = Blockers([TRIANGLE]).first(
        np.array([[-0.5, -1.0, -0.5], [-0.5, 1.0, -0.5]]), np.array([[-0.5, 1.0, -0.5], [-0.5, -1.0, -0.5]])
    )
    assert hits.normals[0] == pytest.approx(hits.normals[1])
    assert hits.normals[0] == pytest.approx(TRIANGLE.area_normals[0] / np.linalg.norm(TRIANGLE.area_normals[0]))


def test_only_what_stands_strictly_between_blocks() -> None:
    """The end 0.1 mm before the eye is left away, so that what the eye is on does not blind it."""
    blockers = Blockers([TRIANGLE])
    start = np.array([[-0.5, -1.0, -0.5]])
    ends = [0.001, LIFT_M * 1.5, LIFT_M * 0.5, -0.001]
    found = [bool(blockers.blocked(start, np.array([[-0.5, y, -0.5]]))[0]) for y in ends]
    assert found == [True, True, False, False]


@pytest.mark.parametrize(("short_m", "blocked"), [(0.29, True), (0.31, False), (5.0, False)])
def test_rays_may_end_short_of_the_eye(short_m: float, blocked: bool) -> None:
    """A plate 0.3 m before the eye; where all of the ray is left away nothing is met."""
    blockers = Blockers([TRIANGLE], short_m=short_m)
    assert bool(blockers.blocked(np.array([[-0.5, -1.0, -0.5]]), np.array([[-0.5, 0.3, -0.5]]))[0]) is blocked


def test_far_from_the_origin_it_is_as_exact_as_there() -> None:
    """Recentred: a gap of 1 mm is found at 10 km from the origin, which single precision alone would not hold."""
    away = np.array([10_000.0, 0, 0])
    plates = [Mesh.of(TRIANGLE.vertices + away, TRIANGLE.faces)]
    blockers = Blockers(plates, away)
    starts = np.array([[-0.999, -1.0, 0], [-1.001, -1.0, 0]]) + away
    assert blockers.blocked(starts, starts + [0, 2.0, 0]).tolist() == [True, False]


def test_pairs_of_points() -> None:
    blockers = Blockers([TRIANGLE])
    starts = np.array([[-0.5, 1.0, -0.5], [0.5, 1.0, 0.5]])
    ends = np.array([[-0.5, -1.0, -0.5], [0.5, -1.0, 0.5]])
    rows, columns = np.array([0, 0, 1, 1]), np.array([0, 1, 0, 1])
    # Midway (-0.5, -0.5) is in the triangle, (0.5, 0.5) is not; of the crossed pairs one is moved in, one out.
    ends = ends + np.array([[0.02, 0, 0], [-0.02, 0, 0]])
    assert blockers.blocked_pairs(starts, rows, ends, columns).tolist() == [True, True, False, False]
    none = np.zeros(0, dtype=np.intp)
    assert blockers.blocked_pairs(starts, none, ends, none).shape == (0,)
    assert not Blockers([]).blocked_pairs(starts, rows, ends, columns).any()
    assert not Blockers([]).blocked(starts, ends).any()
    assert (Blockers([]).first(starts, ends).mesh == -1).all()


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
def test_a_ray_that_is_not_finite_is_refused(bad: float) -> None:
    """embree would call it visible."""
    blockers = Blockers([TRIANGLE])
    good = np.zeros((3, 3)) + [0, -1.0, 0]
    ends = np.zeros((3, 3)) + [0, 1.0, 0]
    ends[1, 2] = bad
    for one, other in ((good, ends), (ends, good)):
        with pytest.raises(ValueError, match="not finite"):
            blockers.blocked(one, other)
        with pytest.raises(ValueError, match="not finite"):
            blockers.first(one, other)


def test_a_ray_of_no_length_or_shape_is_refused() -> None:
    blockers = Blockers([TRIANGLE])
    with pytest.raises(ValueError, match="no direction"):
        blockers.blocked(np.zeros((1, 3)), np.zeros((1, 3)))
    for starts, ends in (
        (np.zeros((2, 3)), np.ones((1, 3))),
        (np.zeros((1, 2)), np.ones((1, 2))),
        (np.zeros(3), np.ones(3)),
    ):
        with pytest.raises(ValueError, match="one shape"):
            blockers.first(starts, ends)


def test_a_mesh_that_is_not_finite_is_refused() -> None:
    broken = Mesh(np.array([[0.0, 0, np.nan], [1, 0, 0], [0, 1, 0]]), TRIANGLE.faces)
    with pytest.raises(ValueError, match="not finite"):
        Blockers([broken])


@pytest.mark.parametrize("flipped", [False, True])
def test_what_is_inside_a_solid(flipped: bool) -> None:
    """A box, wound either way; points on or outside its bounds are not inside, and in doubt neither."""
    box = shapes.box(0.4, 0.2, 0.3)
    solid = Solid(box.flipped() if flipped else box, np.zeros(3))
    inside = [[0, 0, 0], [0.19, 0.09, 0.14], [-0.19, -0.09, -0.14]]
    outside = [[0.21, 0, 0], [0, 0.11, 0], [0, 0, -0.16], [0.2, 0, 0], [5, 5, 5]]
    assert solid.holds(np.array(inside + outside)).tolist() == [True] * 3 + [False] * 5
    assert solid.holds(np.array(outside)).tolist() == [False] * 5


def test_a_ring_has_its_hole_outside_and_a_shell_its_hollow() -> None:
    """Inside the bounds and yet outside: the hollow of a box with walls."""
    outer, inner = shapes.box(0.4, 0.4, 0.4), shapes.box(0.2, 0.2, 0.2).flipped()
    shell = Solid(Mesh.joined([outer, inner]), np.zeros(3))
    assert shell.holds(np.array([[0.0, 0, 0], [0.15, 0, 0], [0, -0.15, 0.02], [0.05, 0.05, -0.05]])).tolist() == [
        False,
        True,
        True,
        False,
    ]


def test_an_open_mesh_has_no_inside() -> None:
    with pytest.raises(ValueError, match="no inside"):
        Solid(TRIANGLE, np.zeros(3))


@pytest.mark.parametrize(("count", "size"), [(0, 3), (1, 3), (3, 3), (4, 3), (10, 3)])
def test_in_chunks_every_item_once_and_in_order(count: int, size: int) -> None:
    parts = in_chunks(count, lambda part: list(range(count))[part], size)
    assert [i for part in parts for i in part] == list(range(count))
    assert all(0 < len(part) <= size for part in parts)


@pytest.mark.parametrize(("said", "found"), [("1", 1), ("3", 3), ("8", 8), ("200", 8)])
def test_threads_as_said(monkeypatch: pytest.MonkeyPatch, said: str, found: int) -> None:
    monkeypatch.setenv("SIGHTLINE_THREADS", said)
    assert threads() == found


@pytest.mark.parametrize("said", ["", "0", "many", "-2"])
@pytest.mark.parametrize(("cores", "found"), [(1, 1), (4, 4), (64, 8)])
def test_threads_as_cores(monkeypatch: pytest.MonkeyPatch, said: str, cores: int, found: int) -> None:
    monkeypatch.setenv("SIGHTLINE_THREADS", said)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(cores)))
    assert threads() == found
