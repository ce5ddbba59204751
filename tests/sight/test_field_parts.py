"""The parts of a direction field by hand: clusters, rings, what is settled, what is too near, what is stored."""

from __future__ import annotations

import os
import time
from pathlib import Path

import numpy as np
import pytest

from sightline.moment import Moment
from sightline.scene.reading import scene_from_text
from sightline.sight import fieldcache, octahedral
from sightline.sight.fieldcache import FieldCache, digest
from sightline.sight.fields import Field, Fields, _clusters, _members, _of_corners, _rings, _stored
from sightline.sight.prepared import PreparedSurface
from sightline.sight.scenery import Scenery
from sightline.staging.stage import put_together


def field(rings: np.ndarray, centres: np.ndarray, reach: list[float], glow: np.ndarray | None = None) -> Field:
    side = int(np.sqrt(rings.shape[1]))
    count = len(centres)
    if glow is None:
        glow = np.zeros((count, side * side // 4), dtype=np.float32)
    no_peepholes = (np.zeros(0, dtype=np.intp), np.zeros((0, 3)))
    return Field(
        side, np.arange(count), centres, np.array(reach), rings.astype(np.uint8), glow, *no_peepholes, rings == 0
    )


def test_patches_gather_in_cubes_of_five_centimetres_diagonal() -> None:
    """The cubes are 5 cm / sqrt 3 = 2.887 cm wide, from the origin."""
    points = np.array([[0.001, 0.001, 0.001], [0.028, 0.001, 0.001], [0.029, 0.001, 0.001], [-0.001, 0.001, 0.001]])
    of, centres, reach = _clusters(points)
    assert of[0] == of[1]
    assert len({of[0], of[2], of[3]}) == 3
    assert centres[of[0]] == pytest.approx([0.0145, 0.001, 0.001])
    assert reach[of[0]] == pytest.approx(0.0135)
    assert reach[of[2]] == pytest.approx(0.0)
    none = _clusters(np.zeros((0, 3)))
    assert [len(x) for x in none] == [0, 0, 0]
    random = np.random.default_rng(1).uniform(-0.3, 0.3, (2000, 3))
    of, centres, reach = _clusters(random)
    assert reach.max() <= 0.05
    for k in range(len(centres)):
        mine = random[of == k]
        assert centres[k] == pytest.approx(mine.mean(axis=0))
        assert reach[k] == pytest.approx(np.linalg.norm(mine - centres[k], axis=1).max())


def test_members_by_cluster() -> None:
    order, starts = _members(np.array([2, 0, 2, 3, 0]), 5)
    assert order.tolist() == [1, 4, 0, 2, 3]
    assert starts.tolist() == [0, 2, 2, 4, 5, 5]


def test_a_cell_is_marked_by_any_of_its_corners() -> None:
    for row, column in ((0, 0), (1, 2), (3, 3), (0, 3)):
        corner = np.zeros((1, 4, 4), dtype=bool)
        corner[0, row, column] = True
        found = {(int(r), int(c)) for r, c in np.argwhere(_of_corners(corner)[0])}
        assert found == {(r, c) for r in (row - 1, row) for c in (column - 1, column) if 0 <= r < 3 and 0 <= c < 3}


def test_rings_count_the_steps_to_the_nearest_cell_that_shows() -> None:
    cells = np.zeros((2, 40, 40), dtype=bool)
    cells[0, 20, 20] = True
    rings = _rings(cells).reshape(2, 40, 40)
    assert rings[0, 20, 20] == 0
    assert rings[0, 19, 21] == 1
    assert rings[0, 20, 27] == 7
    assert rings[0, 6, 20] == 14
    assert rings[0, 5, 20] == 15
    assert rings[0, 0, 0] == 15
    assert (rings[1] == 15).all()
    assert (_rings(np.ones((1, 8, 8), dtype=bool)) == 0).all()


def test_what_a_field_settles() -> None:
    """Hidden from two rings on; one ring more for every cell that the cluster's reach and the head's stray may turn."""
    side = 32
    cell_rad = octahedral.narrowest_rad(side)
    rings = np.zeros((1, side * side))
    eyes = np.array([[0.0, -4.0, 0.3]])
    one = field(rings, np.zeros((1, 3)), [0.0])
    cell = int(one.cells(eyes)[0][0, 0])
    assert one.cells(eyes)[1][0, 0] == pytest.approx(np.hypot(4.0, 0.3))
    nobody_near = np.zeros(1, dtype=bool)

    def settled(ring: int, reach_m: float, stray_m: float = 0.0, near: bool = False) -> bool:
        rings = np.zeros((1, side * side))
        rings[0, cell] = ring
        marked = np.array([near]) if near else nobody_near
        return not field(rings, np.zeros((1, 3)), [reach_m]).unsettled(eyes, stray_m, marked)[0, 0]

    far = np.hypot(4.0, 0.3)
    assert [settled(r, 0.0) for r in (0, 1, 2, 3)] == [False, False, True, True]
    assert not settled(15, 0.0, near=True)
    # Half a cell of turn rounds up to one ring more; a little less than half to none.
    assert settled(2, 0.45 * cell_rad * far)
    assert not settled(2, 0.55 * cell_rad * far)
    assert settled(3, 0.55 * cell_rad * far)
    assert settled(4, 2.4 * cell_rad * far)
    assert not settled(3, 2.0 * cell_rad * far)
    # A head that strays by s turns as much, and is nearer by as much.
    stray = 0.55 * cell_rad * far
    assert not settled(2, 0.0, stray)
    assert settled(3, 0.0, stray)
    nearly = far * 0.45 * cell_rad
    assert not settled(2, nearly * 0.9, nearly * 0.9)


def test_a_field_is_asked_cluster_by_cluster() -> None:
    centres = np.array([[0.0, 0, 0], [0.0, -8.0, 0]])
    rings = np.zeros((2, 64))
    two = field(rings, centres, [0.0, 0.0])
    cell, distance = two.cells(np.array([[0.0, -4.0, 0.0], [3.0, 4.0, 0.0]]))
    assert distance == pytest.approx(np.array([[4.0, 4.0], [5.0, np.hypot(3, 12)]]))
    # From the one the eye is downstage, from the other upstage.
    assert cell[0].tolist() == octahedral.cells(np.zeros(2), np.array([-1.0, 1.0]), np.zeros(2), 8).tolist()
    rings[0, 5] = 3
    assert field(rings, centres, [0, 0]).lit(0).tolist() == [i for i in range(64) if i != 5]


def test_how_large_what_shows_is_for_ranking() -> None:
    """Projected area over distance squared, from cells twice as wide."""
    glow = np.arange(1, 17, dtype=np.float32)[None] / 100
    one = field(np.zeros((1, 64)), np.zeros((1, 3)), [0.0], glow)
    for place in ((-0.9, -0.9), (0.3, -0.6), (-0.1, 0.4), (0.9, 0.9)):
        way = octahedral.directions(np.array([place]))
        column, row = (int((p + 1) / 2 * 4) for p in place)
        assert one.glow_sr(way * 5.0) == pytest.approx([(row * 4 + column + 1) / 100 / 25.0])
    both = field(np.zeros((2, 64)), np.zeros((2, 3)), [0.0, 0.0], np.concatenate([glow, glow]))
    assert both.glow_sr(way * 5.0) == pytest.approx([2 * 0.16 / 25.0])


def fields_of(text: str) -> tuple[Fields, Moment]:
    own = put_together(scene_from_text("version: 1\n" + text)).own()
    return Fields(Scenery(own), 16), own


BOX = "covers: [{name: box, box: {width: 2 m, depth: 1 m, height: 1 m}, carried: yes}]\n"
SEAM = "secrets: [{name: target, disc: {radius: 5 cm}, at: [0 m, 0 m, 0 m], carried: yes}]\neyes: [{id: E1, at: [0 m, -9 m, 0 m]}]\n"


def test_no_field_serves_eyes_within_ten_centimetres_of_the_act() -> None:
    """A box from -1 to 1 m across and -0.5 to 0.5 m deep; in the middle of the walls the distance is square."""
    fields, _ = fields_of(BOX + SEAM)
    eyes = np.array([[1.09, 0, 0], [1.11, 0, 0], [0, -0.59, 0], [0, -0.61, 0], [0, 0, 0.59], [0, 0, 0.61], [0, 0, 0]])
    assert fields.near(eyes, 0.0).tolist() == [True, False, True, False, True, False, True]
    assert fields.near(eyes, 0.05).tolist() == [True] * 7
    # Off an edge the act reaches (1 + 0.5) / sqrt 2 along the diagonal; so much more than 0.1 m may be left of the corner.
    for out_m, near in ((0.065, True), (0.075, False)):
        assert fields.near(np.array([[1.0 + out_m, 0.5 + out_m, 0.0]]), 0.0).tolist() == [near]


def test_what_was_stored_is_taken_only_if_it_is_of_the_right_shape() -> None:
    fields, own = fields_of(BOX + SEAM)
    secret = next(s for s in (*own.still.secrets, *own.poses[0].secrets) if s.name == "target")
    ready = fields.scenery.prepared(secret, 0)
    assert isinstance(ready, PreparedSurface)
    count = len(_clusters(ready.patches.centres)[1])
    good: dict[str, np.ndarray] = {
        "rings": np.zeros((count, 256), dtype=np.uint8),
        "glow": np.zeros((count, 64), dtype=np.float16),
        "peep_of": np.zeros(2, dtype=np.intp),
        "peep_at_m": np.zeros((2, 3)),
        "wide": np.zeros((count, 256), dtype=bool),
    }
    found = _stored(dict(good), ready, 16)
    assert found is not None
    assert found.glow_m2.dtype == np.float32
    wrong: list[tuple[str, np.ndarray]] = [
        ("rings", np.zeros((count + 1, 256), dtype=np.uint8)), ("rings", np.zeros((count, 255), dtype=np.uint8)),
        ("rings", np.zeros((count, 256), dtype=np.int16)), ("glow", np.zeros((count, 65), dtype=np.float16)),
        ("glow", np.zeros((count + 1, 64), dtype=np.float16)), ("peep_of", np.zeros(3, dtype=np.intp)),
        ("peep_at_m", np.zeros((2, 2))), ("peep_of", np.array([0, ready.count])), ("peep_of", np.array([-1, 0])),
        ("wide", np.zeros((count, 255), dtype=bool)), ("wide", np.zeros((count, 256), dtype=np.uint8)),
    ]  # fmt: skip
    for key, bad in wrong:
        assert _stored({**good, key: bad}, ready, 16) is None
    for key in good:
        assert _stored({k: v for k, v in good.items() if k != key}, ready, 16) is None


def test_a_name_for_numbers_and_arrays() -> None:
    one = np.arange(6.0)
    names = [
        digest(one),
        digest(one.reshape(2, 3)),
        digest(one.astype(np.float32)),
        digest(one, 1),
        digest(one, 2),
        digest(1),
    ]
    assert len(set(names)) == len(names)
    assert digest(one[::2]) == digest(one[::2].copy())


def test_what_is_kept_comes_back_and_what_is_damaged_does_not(tmp_path: Path) -> None:
    cache = FieldCache(tmp_path / "new" / "folder")
    cache.store("a", {"x": np.arange(4), "y": np.ones((2, 2))})
    found = cache.fetch("a")
    assert found is not None
    assert sorted(found) == ["x", "y"]
    assert found["x"].tolist() == [0, 1, 2, 3]
    assert cache.fetch("b") is None
    path = tmp_path / "new" / "folder" / "a"
    whole = path.read_bytes()
    for at in (0, 31, 32, len(whole) - 1):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert cache.fetch("a") is None
    path.write_bytes(whole)
    assert cache.fetch("a") is not None
    assert [p.name for p in path.parent.iterdir()] == ["a"]


def test_the_newest_are_kept_and_what_a_killed_run_was_at_goes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fieldcache, "MOST_FILES", 3)
    cache, now = FieldCache(tmp_path), time.time()
    for k in range(5):
        (tmp_path / f"old{k}").write_bytes(b"")
        os.utime(tmp_path / f"old{k}", (now - 1000 + k, now - 1000 + k))
    for name, age in (("fresh", 3500.0), ("stale", 3700.0), ("ahead", -3700.0)):
        (tmp_path / f".{name}.1.part").write_bytes(b"")
        os.utime(tmp_path / f".{name}.1.part", (now - age, now - age))
    (tmp_path / ".other").write_bytes(b"")
    os.utime(tmp_path / ".other", (now - 9999, now - 9999))
    cache.store("new", {"x": np.arange(4)})
    assert {p.name for p in tmp_path.iterdir()} == {"new", "old3", "old4", ".fresh.1.part", ".other"}
