"""The arbiter itself against closed forms: it decides who is right, so it must be."""

from __future__ import annotations

import numpy as np
import pytest

from tests.sight.brute import Points, blocked, edge_distance_m

# A triangle in the plane y = 0 with a right angle at the origin.
PLATE = np.array([[[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]])


def ray(x: float, z: float, start: float = -1.0, end: float = 2.0) -> tuple[Points, Points]:
    """A ray across the plane y = 0 at (x, z), slanting so that no coordinate is constant."""
    way = np.array([0.3, 1.0, -0.2])
    at = np.array([[x, 0.0, z]])
    return at + way * start, at + way * end


@pytest.mark.parametrize("flip", [False, True])
@pytest.mark.parametrize(
    ("x", "z", "expected"),
    [(0.2, 0.2, True), (0.6, 0.6, False), (-0.01, 0.5, False), (0.5, -0.01, False), (0.49, 0.5, True), (0.51, 0.5, False)],
)  # fmt: skip
def test_inside_is_x_and_z_positive_and_their_sum_below_one(x: float, z: float, expected: bool, flip: bool) -> None:
    for begin, finish in ((-1.0, 2.0), (2.0, -1.0)):
        assert blocked(*ray(x, z, begin, finish), PLATE[:, ::-1] if flip else PLATE)[0] == expected


def test_only_what_lies_strictly_between_blocks() -> None:
    for begin, finish in ((0.0, 1.0), (-1.0, 0.0), (0.1, 1.0), (-2.0, -0.1)):
        assert not blocked(*ray(0.25, 0.25, begin, finish), PLATE)[0]
    assert blocked(*ray(0.25, 0.25, -1e-9, 1.0), PLATE)[0]
    # Stopping 1 mm short of an end 0.5 mm behind the plate clears it; stopping 0.1 mm short does not.
    start, end = ray(0.25, 0.25, -1.0, 0.0005 / float(np.linalg.norm([0.3, 1.0, -0.2])))
    assert not blocked(start, end, PLATE, short_m=0.001)[0]
    assert blocked(start, end, PLATE, short_m=0.0001)[0]


def test_a_ray_along_the_plane_is_not_blocked_and_one_through_an_edge_is() -> None:
    assert not blocked(np.array([[-1.0, 0.0, 0.2]]), np.array([[2.0, 0.0, 0.2]]), PLATE)[0]
    assert blocked(np.array([[0.5, -1.0, 0.5]]), np.array([[0.5, 1.0, 0.5]]), PLATE)[0]
    assert blocked(np.array([[0.0, -1.0, 0.0]]), np.array([[0.0, 1.0, 0.0]]), PLATE)[0]


def test_no_ray_slips_between_two_triangles() -> None:
    """Two triangles share a slanting edge; rays aimed at points computed on it, in any rounding, are blocked."""
    chance = np.random.default_rng(3)
    corners = np.array([[0, 0, 0], [1, 0, 0], [1, 0, 1], [0, 0, 1]]) + 0.06 * chance.normal(size=(4, 3))
    square = np.array([[corners[0], corners[1], corners[2]], [corners[0], corners[2], corners[3]]])
    on_edge = corners[0] + chance.uniform(0.01, 0.99, size=(5000, 1)) * (corners[2] - corners[0])
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    way = normal + 0.3 * chance.normal(size=(5000, 3))
    # The two triangles may bend either way along the edge: only rays that cross both planes the same way must be met.
    other = np.cross(corners[2] - corners[0], corners[3] - corners[0])
    across = (way @ normal) * (way @ other) > 0
    assert across.sum() > 4000
    assert blocked(on_edge - way, on_edge + way, square)[across].all()


def test_a_sphere_blocks_as_a_sphere() -> None:
    """Random rays past a fine sphere: blocked where the line comes nearer to its middle than the radius."""
    from sightline.geometry.shapes import sphere

    corners = sphere(1.0).corners
    inner = float(np.abs(np.einsum("ij,ij->i", corners[:, 0], _normals(corners))).min())
    chance = np.random.default_rng(4)
    starts = chance.normal(size=(3000, 3))
    starts *= 3.0 / np.linalg.norm(starts, axis=1, keepdims=True)
    ends = -starts + chance.normal(size=(3000, 3)) * 1.5
    ends *= 3.0 / np.linalg.norm(ends, axis=1, keepdims=True)
    way = ends - starts
    share = np.clip(-(starts * way).sum(axis=1) / (way * way).sum(axis=1), 0, 1)
    near = np.linalg.norm(starts + share[:, None] * way, axis=1)
    found = blocked(starts, ends, corners)
    outer = float(np.linalg.norm(corners, axis=2).max())
    assert 0.97 < inner < 1.0 <= outer < 1.03
    assert found[near < inner].all()
    assert not found[near > outer].any()
    assert min((near < inner).sum(), (near > outer).sum()) > 500


def _normals(corners: Points) -> Points:
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return np.asarray(across / np.linalg.norm(across, axis=1, keepdims=True))


def test_chunks_do_not_matter_and_nothing_blocks_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    chance = np.random.default_rng(5)
    starts, ends, triangles = chance.normal(size=(40, 3)), chance.normal(size=(40, 3)), chance.normal(size=(60, 3, 3))
    whole, near = blocked(starts, ends, triangles), edge_distance_m(starts, ends, triangles)
    assert 5 < whole.sum() < 40
    monkeypatch.setattr("tests.sight.brute.PAIRS_AT_A_TIME", 1)
    assert np.array_equal(blocked(starts, ends, triangles), whole)
    assert np.allclose(edge_distance_m(starts, ends, triangles), near, rtol=0, atol=1e-15)
    assert not blocked(starts, ends, np.zeros((0, 3, 3))).any()
    assert np.isinf(edge_distance_m(starts, ends, np.zeros((0, 3, 3)))).all()


def test_distance_to_an_edge() -> None:
    """A ray square to the plate at (0.25, 0.1) is 0.1 m from the edge z = 0; one at x = 1.3 is 0.3 m from a corner."""
    at = np.array([[0.25, 0.0, 0.1], [1.3, 0.0, 0.0], [0.25, 0.0, 0.0]])
    across = np.array([0.0, 1.0, 0.0])
    assert np.allclose(edge_distance_m(at - across, at + across, PLATE), [0.1, 0.3, 0.0], rtol=0, atol=1e-15)


@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_what_is_not_finite_is_refused(bad: float) -> None:
    start, end = ray(0.2, 0.2)
    with pytest.raises(ValueError, match="not finite"):
        blocked(start, end * bad, PLATE)
    with pytest.raises(ValueError, match="starts and ends"):
        blocked(start, np.concatenate([end, end]), PLATE)
