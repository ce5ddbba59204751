"""The kernel under every verdict: which pairs face, which are blocked, and how large what is left is; by hand."""

from __future__ import annotations

import itertools
import time
from collections.abc import Iterator

import numpy as np
import pytest

from sightline.geometry import shapes, solid_angle
from sightline.geometry.mesh import Mesh
from sightline.sight import leak as leak_module
from sightline.sight.leak import (
    Pairs,
    any_facing,
    expanded,
    eye_slices,
    facing,
    facing_among,
    leak_of,
    origins,
    over_eyes,
    pair_solid_angles,
    summed,
    unblocked,
    visible,
)
from sightline.sight.patches import Patches, patches_of
from sightline.sight.rays import LIFT_M, Blockers, on_all_cores


def square(
    size_m: float, at: tuple[float, float, float] = (0, 0, 0), two_sided: bool = False, cuts: int = 1
) -> Patches:
    """A square whose front is towards -y, as 2 cuts^2 triangles."""
    steps = np.linspace(-size_m / 2, size_m / 2, cuts + 1)
    parts = []
    for x0, x1 in itertools.pairwise(steps):
        for z0, z1 in itertools.pairwise(steps):
            a, b, c, d = ([x, 0, z] for x, z in ((x0, z0), (x1, z0), (x1, z1), (x0, z1)))
            parts += [[a, b, c], [a, c, d]]
    return Patches(np.array(parts, dtype=float) + np.array(at), two_sided)


EYES = np.array([[0.0, -2.0, 0], [0.0, 2.0, 0], [3.0, 0.0, 0]])


def test_one_sided_patches_face_what_is_before_them_and_two_sided_all_but_their_plane() -> None:
    pairs = facing(square(0.1), EYES)
    assert (pairs.rows.tolist(), pairs.columns.tolist(), pairs.side) == ([0, 0], [0, 1], None)
    both = facing(square(0.1, two_sided=True), EYES)
    assert (both.rows.tolist(), both.columns.tolist()) == ([0, 0, 1, 1], [0, 1, 0, 1])
    assert both.side is not None
    assert both.side.tolist() == [1.0, 1.0, -1.0, -1.0]
    assert any_facing(square(0.1), EYES).tolist() == [True, False, False]
    assert any_facing(square(0.1, two_sided=True), EYES).tolist() == [True, True, True]


def test_height_above_the_patch_is_taken_from_where_the_patch_is() -> None:
    """A patch 5 m upstage turns its front to an eye at 4 m and its back to one at 6 m."""
    away = square(0.1, (0, 5.0, 0))
    assert facing(away, np.array([[0, 4.0, 0], [0, 6.0, 0]])).rows.tolist() == [0, 0]
    assert any_facing(away, np.array([[0, 4.0, 0], [0, 6.0, 0]])).tolist() == [True, False]
    rows, columns = np.array([0, 1, 1]), np.array([1, 0, 1])
    among = facing_among(away, np.array([[0, 4.0, 0], [0, 6.0, 0]]), rows, columns)
    assert (among.rows.tolist(), among.columns.tolist(), among.side) == ([0], [1], None)
    two = facing_among(
        square(0.1, (0, 5.0, 0), True),
        np.array([[0, 4.0, 0], [0, 6.0, 0], [0, 5.0, 0]]),
        np.array([0, 1, 2]),
        np.array([1, 0, 0]),
    )
    assert two.side is not None
    assert (two.rows.tolist(), two.side.tolist()) == ([0, 1], [1.0, -1.0])


def test_any_of_many_patches_counts() -> None:
    """One of 129 patches is turned round: the eye behind sees that one alone."""
    many = square(1.0, cuts=8).corners
    turned = np.concatenate([many, square(0.1).corners[:1, ::-1]])
    assert any_facing(Patches(turned, False), EYES).tolist() == [True, True, False]


def test_pairs_ruled_out_are_left_away() -> None:
    out = np.array([[True, False], [False, False], [True, False]])
    pairs = facing(square(0.1, two_sided=True), EYES, out)
    assert (pairs.rows.tolist(), pairs.columns.tolist()) == ([0, 1, 1], [1, 0, 1])
    assert not len(facing(square(0.1), EYES, np.ones((3, 2), dtype=bool)).rows)
    whole = np.array([[False, True], [False, True], [False, True]])
    assert facing(square(0.1), EYES, whole).columns.tolist() == [0]


def test_clusters_are_taken_apart_into_their_patches() -> None:
    """Clusters of patches (4, 1), (), (0, 2, 3); asked about in any order."""
    order, starts = np.array([4, 1, 0, 2, 3]), np.array([0, 2, 2, 5])
    rows, patches, clusters = expanded(np.array([7, 8, 9, 7]), np.array([2, 1, 0, 0]), order, starts)
    assert rows.tolist() == [7, 7, 7, 9, 9, 7, 7]
    assert patches.tolist() == [0, 2, 3, 4, 1, 4, 1]
    assert clusters.tolist() == [2, 2, 2, 0, 0, 0, 0]


def test_rays_start_a_hair_off_the_side_that_is_looked_at() -> None:
    one, two = square(0.1), square(0.1, two_sided=True)
    assert origins(one, facing(one, EYES))[:, 1] == pytest.approx([-LIFT_M, -LIFT_M])
    assert origins(two, facing(two, EYES))[:, 1] == pytest.approx([-LIFT_M, -LIFT_M, LIFT_M, LIFT_M])
    assert origins(two, facing(two, EYES))[:, 0] == pytest.approx(two.centres[[0, 1, 0, 1], 0])


def test_a_sheet_that_stands_in_its_own_way_is_seen_from_both_sides() -> None:
    sheet = shapes.rectangle(0.2, 0.2)
    patches = patches_of(sheet, 0.1, True)
    assert visible(patches, [Blockers([sheet])], EYES[:2]).all()
    plate = Mesh.of(shapes.rectangle(1.0, 1.0).vertices + [0, 1.0, 0], shapes.rectangle(1.0, 1.0).faces)
    seen = visible(patches, [Blockers([sheet]), Blockers([plate])], EYES[:2])
    assert seen[0].all()
    assert not seen[1].any()
    pairs = unblocked(patches, facing(patches, EYES[:2]), [Blockers([plate])], EYES[:2])
    assert set(pairs.rows.tolist()) == {0}
    assert not len(
        unblocked(
            patches, Pairs(np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp), None), [Blockers([plate])], EYES
        ).rows
    )


@pytest.mark.parametrize("far_m", [0.02, 0.2, 5.0])
def test_the_solid_angle_of_one_triangle(far_m: float) -> None:
    """Exact where it is near (van Oosterom and Strackee 1983); far away area times cosine over distance squared."""
    patches = square(0.02)
    eyes = np.array([[0.003, -far_m, 0.001]])
    pairs = facing(patches, eyes)
    exact = [float(solid_angle.triangle(eyes, patches.corners[k : k + 1])[0]) for k in pairs.columns]
    assert pair_solid_angles(patches, eyes, pairs) == pytest.approx(exact, rel=2e-3)
    omega, area = summed(patches, eyes, pairs)
    assert omega == pytest.approx([sum(exact)], rel=2e-3)
    assert area == pytest.approx([0.0004])


def test_far_away_it_is_area_times_cosine_over_distance_squared() -> None:
    patches = square(0.001)
    eyes = np.array([[3.0, -4.0, 0], [0, -10.0, 0]])
    omega, area = summed(patches, eyes, facing(patches, eyes))
    assert omega == pytest.approx([1e-6 * 0.8 / 25.0, 1e-6 / 100.0], rel=1e-3)
    assert area == pytest.approx([1e-6, 1e-6])
    none = Pairs(np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp), None)
    assert [x.tolist() for x in summed(patches, eyes, none)] == [[0.0, 0.0], [0.0, 0.0]]


def test_areas_and_angles_go_to_the_eye_that_sees() -> None:
    patches = square(0.1, two_sided=True)
    pairs = Pairs(np.array([0, 2, 2]), np.array([0, 0, 1]), np.array([1.0, 1.0, 1.0]))
    omega, area = summed(patches, np.array([[0, -2.0, 0]] * 3), pairs)
    assert area == pytest.approx([0.005, 0.0, 0.01])
    assert omega[1] == 0.0
    assert omega[2] > 1.9 * omega[0]


@pytest.mark.parametrize("two_sided", [False, True])
def test_looking_closer_finds_the_part_beside_an_edge(two_sided: bool) -> None:
    """A square 0.2 m wide in 8 triangles, all of it left of a screen's edge at x = 0.05 hidden from an eye far away:
    a quarter of its area shows. Centres alone say one column of two (a whole half at most); the sixteenths come nearer,
    and never take anything away."""
    patches = square(0.2, two_sided=two_sided, cuts=2)
    screen = Mesh.of(shapes.rectangle(4.0, 4.0).vertices + [-1.95, -0.5, 0], shapes.rectangle(4.0, 4.0).faces)
    eyes = np.array([[0.05, -1000.0, 0.0], [0.05, 1000.0, 0.0]])
    group = [Blockers([screen])]
    plain, closer = leak_of(patches, group, eyes), leak_of(patches, group, eyes, split=True)
    unit = 1e-6  # per square metre at a kilometre
    assert plain.solid_angle_sr[0] < closer.solid_angle_sr[0]
    assert closer.area_m2 == pytest.approx(plain.area_m2)
    centre_share = (patches.centres[:, 0] > 0.05).sum() * 0.005
    assert plain.area_m2[0] == pytest.approx(centre_share)
    parts = patches.split().reshape(-1, 3)[:, 0]
    beside = sum(
        0.005 / 16 * (parts[16 * k : 16 * k + 16] > 0.05).sum() for k in range(8) if patches.centres[k, 0] <= 0.05
    )
    assert closer.solid_angle_sr[0] == pytest.approx((centre_share + beside) * unit, rel=1e-3)
    # From behind, a two-sided square shows whole; a one-sided one not at all.
    assert closer.solid_angle_sr[1] == pytest.approx(0.04 * unit if two_sided else 0.0, rel=1e-3)


def test_what_is_ruled_out_is_not_counted_yet_its_parts_are_looked_at() -> None:
    patches = square(0.2, cuts=2)
    eyes = np.array([[0.0, -100.0, 0.0]])
    out = np.zeros((1, 8), dtype=bool)
    out[0, :4] = True
    plain = leak_of(patches, [], eyes, ruled_out=out)
    assert plain.area_m2 == pytest.approx([0.02])
    closer = leak_of(patches, [], eyes, split=True, ruled_out=out)
    assert closer.solid_angle_sr[0] == pytest.approx(0.04e-4, rel=1e-3)
    assert closer.area_m2 == pytest.approx([0.02])


@pytest.mark.parametrize(("eyes", "patches"), [(0, 5), (1, 5), (7, 0), (1000, 3), (1000, 10_000), (5, 1_000_000)])
def test_slices_of_eyes_hold_each_once_and_not_too_many_pairs(
    monkeypatch: pytest.MonkeyPatch, eyes: int, patches: int
) -> None:
    monkeypatch.setenv("SIGHTLINE_THREADS", "4")
    parts = eye_slices(eyes, patches)
    assert [i for part in parts for i in range(part.start, part.stop)] == list(range(eyes))
    for part in parts:
        assert part.stop - part.start == 1 or (part.stop - part.start) * patches <= leak_module.PAIRS_AT_A_TIME
    # Small work is not spread; larger work has something for each of four cores.
    if eyes * patches <= 20_000:
        assert len(parts) <= 1
    elif eyes >= 4:
        assert len(parts) >= 4


@pytest.mark.parametrize("cores", [1, 3])
def test_results_are_in_order_on_any_number_of_cores(monkeypatch: pytest.MonkeyPatch, cores: int) -> None:
    monkeypatch.setenv("SIGHTLINE_THREADS", str(cores))
    assert on_all_cores([3, 1, 2], lambda x: x * 10) == [30, 10, 20]
    assert on_all_cores([5], lambda x: x + 1) == [6]
    assert on_all_cores([], lambda x: x) == []
    parts = over_eyes(50, 10_000, lambda part: (part.start, part.stop))
    assert parts[0][0] == 0
    assert parts[-1][1] == 50
    assert all(a[1] == b[0] for a, b in itertools.pairwise(parts))


class Stopped(list[int]):
    """Items that are asked for when Ctrl-C comes."""

    def __iter__(self) -> Iterator[int]:
        yield from range(len(self))
        raise KeyboardInterrupt


def test_after_control_c_nobody_waits_for_what_has_not_begun(monkeypatch: pytest.MonkeyPatch) -> None:
    """A large house is hundreds of slices of a second each."""
    monkeypatch.setenv("SIGHTLINE_THREADS", "2")
    begun: list[int] = []
    with pytest.raises(KeyboardInterrupt):
        on_all_cores(Stopped(range(200)), lambda item: (begun.append(item), time.sleep(0.05)))
    assert len(begun) < 20


def test_looking_closer_leaves_out_nobody_in_a_large_house(monkeypatch: pytest.MonkeyPatch) -> None:
    """25,000 eyes in one place: of two triangles each sees one, and a part of the other beside it; all the same much."""
    monkeypatch.setenv("SIGHTLINE_THREADS", "1")
    patches = square(0.2)
    screen = Mesh.of(shapes.rectangle(4.0, 4.0).vertices + [-2.0, -0.5, 0], shapes.rectangle(4.0, 4.0).faces)
    group = [Blockers([screen])]
    plain, one = (leak_of(patches, group, np.array([[0.0, -1000.0, 0.0]]), split) for split in (False, True))
    many = leak_of(patches, group, np.tile([0.0, -1000.0, 0.0], (25_000, 1)), split=True)
    assert one.solid_angle_sr[0] > plain.solid_angle_sr[0] > 0
    assert many.solid_angle_sr == pytest.approx(np.full(25_000, one.solid_angle_sr[0]))
