"""Direction fields against exact rays, and the octahedral map against geometry.

`python -m tests.benchmarks fields` runs the same comparison on 300 placements of both examples at 32, 64 and 128
cells a side; here it is small enough for every change.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sightline.geometry.frame import unit
from sightline.sight import octahedral
from sightline.sight.fieldcache import FieldCache
from sightline.sight.fields import Fields
from sightline.sight.peepholes import edges_of
from sightline.sight.scenery import Scenery
from tests.sight.field_probe import compare, placing_of, random_placements


@pytest.mark.parametrize("side", [8, 32, 64])
def test_a_direction_lies_in_its_cell(side: int) -> None:
    random = np.random.default_rng(3)
    way = unit(random.normal(size=(4000, 3)))
    cell = octahedral.cells(*(way.T * 7.0), side)
    away = np.arccos(np.clip(np.einsum("ij,ij->i", way, octahedral.centre_directions(side)[cell]), -1, 1))
    # No cell is wider than two of mean size across its diagonal.
    assert away.max() < 2.0 * np.sqrt(4 * np.pi / side**2)
    # Middles and corners map to themselves and to a cell that touches.
    assert np.array_equal(octahedral.cells(*octahedral.centre_directions(side).T, side), np.arange(side * side))


def test_every_cell_spreads_to_all_that_touch_it() -> None:
    """Two cells touch when they share a corner on the sphere, over the folds of the map too."""
    side = 8
    corners = octahedral.corner_directions(side).reshape(side + 1, side + 1, 3)
    own = [
        {tuple(np.round(corners[r + i, c + j], 6) + 0.0) for i in (0, 1) for j in (0, 1)}
        for r in range(side)
        for c in range(side)
    ]
    for k in range(side * side):
        one = np.zeros((1, side, side), dtype=bool)
        one.reshape(-1)[k] = True
        reached = set(np.flatnonzero(octahedral.spread(one)))
        touching = {i for i in range(side * side) if own[i] & own[k]}
        # At the very tips of the map, where the four outer corners meet, one more may be reached.
        assert touching <= reached | {0, side - 1, side * (side - 1), side * side - 1}
        assert len(reached) <= 9


@pytest.mark.parametrize("name", ["courier-stage-mended", "courier-pitch-mended"])
def test_what_a_field_calls_hidden_is_hidden(name: str) -> None:
    """At most 1 pair in 100,000 that the field calls hidden is seen by exact rays; verdicts are as good as equal."""
    found = compare(placing_of(name, 64), random_placements(name, 4, 11))
    assert found.settled > 100_000
    assert found.wrong <= found.settled / 100_000
    assert found.unequal <= 0.005 * found.verdicts


def test_a_coarse_field_is_told_from_a_fine_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """The comparison above can fail: with 8 cells a side and no peepholes, pairs are called hidden that are not."""
    monkeypatch.setattr("sightline.sight.fields.edges_of", lambda meshes: edges_of([]))
    found = compare(placing_of("courier-pitch-mended", 8), random_placements("courier-pitch-mended", 4, 11), False)
    assert found.wrong > found.settled / 100_000


def test_no_field_for_eyes_beside_the_act() -> None:
    placing = placing_of("courier-pitch-mended", 32)
    near = placing.fields.near(np.array([[0.0, -0.4, 1.2], [0.0, -1.0, 1.2], [0.7, 0.0, 1.2]]), 0.0)
    assert near.tolist() == [True, False, False]


def test_a_damaged_cache_is_made_again(tmp_path: Path) -> None:
    placing = placing_of("courier-pitch-mended", 16)
    own, folder = placing.own, tmp_path / "fields"
    secret = own.still.secrets[0]

    def made() -> np.ndarray:
        return Fields(Scenery(own), 16, FieldCache(folder)).of(secret, 0, False).rings

    first = made()
    (path,) = folder.iterdir()
    whole = path.read_bytes()
    for harm in (b"", whole[:100], whole[:-1] + bytes([whole[-1] ^ 1]), b"x" * 5000):
        path.write_bytes(harm)
        assert np.array_equal(made(), first)
        assert path.read_bytes() == whole
    path.unlink()
    assert np.array_equal(made(), first)


def test_a_cache_that_cannot_be_written_is_no_hindrance(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder", encoding="ascii")
    placing = placing_of("courier-pitch-mended", 16)
    fields = Fields(Scenery(placing.own), 16, FieldCache(blocked / "fields"))
    assert len(fields.of(placing.own.still.secrets[0], 0, False).rings)


def test_what_is_stored_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    placing = placing_of("courier-pitch-mended", 16)
    secret = placing.own.still.secrets[0]
    Fields(Scenery(placing.own), 16, FieldCache(tmp_path)).of(secret, 0, False)

    def never(*_: object) -> None:
        raise AssertionError("made again")

    monkeypatch.setattr("sightline.sight.fields.build", never)
    Fields(Scenery(placing.own), 16, FieldCache(tmp_path)).of(secret, 0, False)
