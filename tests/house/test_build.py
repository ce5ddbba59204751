"""Whole venues: stage, balcony, scenery, lines of the plan, limits."""

from __future__ import annotations

import time

import numpy as np
import pytest
from pydantic import ValidationError

from sightline.errors import Misfit
from sightline.geometry.mesh import Cover
from sightline.house.build import House
from sightline.house.outline import OUTLINE_KINDS
from tests.house.venues import blockers, house_of, ready_house

STAGE = "stage: {kind: proscenium, height: 1 m, width: 12 m, depth: 8 m, apron: 2 m, edge radius: 15 m, "
ARCH = STAGE + "proscenium: {opening: 9 m, height: 5 m}}\n"


def cover(house: House, name: str) -> Cover:
    return next(item for item in house.scenery if item.name == name)


def test_a_venue_of_nothing_has_no_eyes() -> None:
    house = house_of("name: empty")
    assert house.eyes == []
    assert house.positions_m.shape == (0, 3)
    assert house.scenery == []


def test_a_raised_stage_hides_what_is_below_its_edge() -> None:
    house = house_of(STAGE + "}\neyes: [{id: E, at: [0 m, -8 m, 0.1 m]}]")
    eye = house.positions_m[0]
    assert blockers(house, eye, np.array([0.0, -1.0, 0.05])) == set()
    assert blockers(house, eye, np.array([0.0, -1.0, -0.05])) == {"stage"}
    # The front edge is 2 m downstage on the centre line and curves back to the sides.
    assert blockers(house, eye, np.array([0.0, -2.1, -0.5])) == set()
    assert blockers(house, eye, np.array([5.5, -1.2, -0.5])) == set()
    body = cover(house, "stage").mesh
    assert body.bounds[0] == pytest.approx([-6.0, -2.0, -1.0])
    assert body.bounds[1] == pytest.approx([6.0, 8.0, 0.0])
    assert body.volume_m3 > 12 * 8


def test_a_floor_is_no_cover() -> None:
    assert house_of("stage: {kind: floor, radius: 2 m}").scenery == []


def test_a_round_stage() -> None:
    body = cover(house_of("stage: {kind: round, radius: 3 m, height: 50 cm}"), "stage").mesh
    assert body.closed
    assert body.volume_m3 == pytest.approx(np.pi * 9 * 0.5, rel=2e-3)


def test_the_proscenium_masks_the_wings_and_the_flies() -> None:
    house = house_of(ARCH + "eyes: [{id: E, at: [0 m, -8 m, 1 m]}]")
    eye = house.positions_m[0]
    assert blockers(house, eye, np.array([0.0, 2.0, 1.5])) == set()
    assert blockers(house, eye, np.array([5.8, 0.5, 1.5])) == {"proscenium"}
    assert blockers(house, eye, np.array([0.0, 1.0, 6.5])) == {"proscenium"}
    assert cover(house, "proscenium").mesh.volume_m3 > 0
    # The upstage face of the wall is the plaster line.
    assert cover(house, "proscenium").mesh.bounds[1][1] == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("stage", "words"),
    [
        ("kind: round", "needs its radius"),
        ("kind: thrust, width: 5 m", "width and depth"),
        ("kind: floor, apron: 1 m", "no apron"),
        ("kind: proscenium, width: 10 m, depth: 5 m, apron: 1 m, edge radius: 4 m", "at least half"),
        ("kind: proscenium, width: 10 m, depth: 5 m, apron: 10 cm, edge radius: 8 m", "past the plaster line"),
        ("kind: proscenium, width: 8 m, depth: 5 m, proscenium: {opening: 9 m, height: 5 m}", "wider than the stage"),
        (
            "kind: proscenium, width: 8 m, depth: 5 m, proscenium: {opening: 7 m, height: 5 m, wall: 6 m}",
            "wall must be",
        ),
    ],
)
def test_stages_that_cannot_be(stage: str, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        house_of(f"stage: {{{stage}}}")


BALCONY = (
    "seats: [{block: circle, rows: 3, seats: 20, first row: 10 m, floor: 3 m, rise: 40 cm, "
    "balcony: {front: 80 cm, fascia: 60 cm, depth: 40 cm, thickness: 10 cm, rail: 80 cm, rail thickness: 5 cm}CURVE}]"
)


@pytest.mark.parametrize("curve", ["", ", curve: {radius: 15 m}"])
def test_a_balcony_has_a_front_a_rail_and_an_underside(curve: str) -> None:
    house = house_of(BALCONY.replace("CURVE", curve))
    fascia, rail, under = (cover(house, f"circle {part}").mesh for part in ("fascia", "rail", "underside"))
    assert fascia.closed
    assert rail.closed
    assert fascia.volume_m3 > 0
    assert rail.volume_m3 > 0
    assert fascia.bounds[:, 2] == pytest.approx([2.6, 3.6])
    assert rail.bounds[:, 2] == pytest.approx([3.75, 3.8])
    # The face lies 0.8 m nearer to the stage than the first row's eyes.
    middle = np.abs(fascia.vertices[:, 0]) < 0.5 if curve else np.ones(len(fascia.vertices), dtype=bool)
    assert fascia.vertices[middle][:, 1].max() == pytest.approx(-9.2, abs=0.02)
    assert under.bounds[:, 2] == pytest.approx([2.6, 3.4])
    eye = np.array([0.0, -10.0, 4.12])
    assert blockers(house, eye, np.array([0.01, -2.0, 0.0])) == set()  # Over the rail: 0.515 down per metre.
    assert blockers(house, eye, np.array([0.01, -9.21, 3.76])) == {"circle rail"}
    assert "circle fascia" in blockers(house, eye, np.array([0.01, -8.0, 1.6]))
    below = np.array([0.01, -11.0, 1.0])
    assert blockers(house, below, np.array([0.01, -11.0, 6.0])) == {"circle underside"}
    assert blockers(house, below, np.array([0.01, 0.0, 2.0])) == set()
    assert [line.name for line in house.outlines if line.kind == "balcony front"] == ["circle"]


def test_a_rail_below_the_fascia_is_refused() -> None:
    with pytest.raises(ValidationError, match="below the top of the fascia"):
        house_of(BALCONY.replace("rail: 80 cm", "rail: 62 cm").replace("CURVE", ""))


def test_scenery_stands_on_its_foot_and_on_both_sides() -> None:
    house = house_of(
        "scenery: [{name: leg, leg: {width: 2 m, height: 6 m}, at: [5 m, 1 m, 0 m], facing: 20 deg, both sides: yes}]"
    )
    left, right = cover(house, "leg SL").mesh, cover(house, "leg SR").mesh
    assert left.bounds[:, 2] == pytest.approx([0.0, 6.0])
    assert left.vertices[:, :2].mean(axis=0) == pytest.approx([5.0, 1.0])
    np.testing.assert_allclose(left.bounds[:, 0], -right.bounds[::-1, 0])
    # Facing 20 deg is towards the performer's left (+x); the mirror image faces the other way.
    assert left.area_normals.sum(axis=0)[0] > 0 > right.area_normals.sum(axis=0)[0]
    assert {line.name for line in house.outlines if line.kind == "masking"} == {"leg SL", "leg SR"}


def test_every_sort_of_scenery() -> None:
    house = house_of("""
        scenery:
          - {name: flat, flat: {width: 2 m, height: 3 m}, at: [0 m, 2 m, 0 m]}
          - {name: border, border: {width: 9 m, height: 2 m}, at: [0 m, 1 m, 5 m]}
          - {name: column, column: {radius: 20 cm, height: 4 m}, at: [3 m, -3 m, -1 m]}
          - {name: crate, box: {width: 1 m, depth: 50 cm, height: 80 cm}, at: [1 m, 1 m, 0 m], facing: 90 deg}
          - {name: tree, mesh: {file: tree.obj, scale: 2}, at: [0 m, 4 m, 1 m]}
          - {name: rail, rail: {from: [0 m, 0 m], to: [4 m, 0 m], height: 1 m}}
          - {name: wall, wall: {from: [0 m, 0 m], to: [0 m, 4 m], height: 2 m, floor: -1 m}}
    """)
    heights = {item.name: item.mesh.bounds[:, 2].tolist() for item in house.scenery}
    assert heights["flat"] == pytest.approx([0, 3])
    assert heights["border"] == pytest.approx([5, 7])
    assert heights["column"] == pytest.approx([-1, 3])
    assert heights["crate"] == pytest.approx([0, 0.8])
    assert heights["tree"] == pytest.approx([0, 2])  # A unit cube about its own origin, twice the size.
    assert heights["rail"] == pytest.approx([0.95, 1])
    assert heights["wall"] == pytest.approx([-1, 1])
    assert np.ptp(cover(house, "crate").mesh.bounds[:, 0]) == pytest.approx(0.5)
    for item in house.scenery:
        assert item.name in ("flat", "border") or (item.mesh.closed and item.mesh.volume_m3 > 0), item.name
    assert {line.kind for line in house.outlines} <= set(OUTLINE_KINDS)


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        ("at: [0 m, 0 m, 0 m]", "none is given"),
        ("flat: {width: 1 m, height: 1 m}", "Say where"),
        (
            "flat: {width: 1 m, height: 1 m}, box: {width: 1 m, depth: 1 m, height: 1 m}, at: [0 m, 0 m, 0 m]",
            "flat and box",
        ),
        ("rail: {from: [0 m, 0 m], to: [0 m, 0 m], height: 1 m}", "one place to another"),
        ("rail: {from: [0 m, 0 m], to: [1 m, 0 m], height: 1 m}, at: [0 m, 0 m, 0 m]", "not by 'at'"),
    ],
)
def test_scenery_that_reads_wrong(piece: str, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        house_of(f"scenery: [{{name: a, {piece}}}]")


def test_scenery_that_cannot_be_built() -> None:
    flat = "flat: {width: 1 m, height: 1 m}"
    with pytest.raises(Misfit, match="no other side") as caught:
        house_of(f"scenery: [{{name: a, {flat}, at: [0 m, 1 m, 0 m], both sides: yes}}]")
    assert caught.value.path == ("scenery", 0, "both sides")
    with pytest.raises(Misfit, match="its own name") as caught:
        house_of(f"scenery: [{{name: a, {flat}, at: [0 m, 1 m, 0 m]}}, {{name: a, {flat}, at: [1 m, 1 m, 0 m]}}]")
    assert caught.value.path == ("scenery", 1, "name")


def test_what_stays_clear_is_drawn() -> None:
    house = house_of("""
        keep clear: [{name: passage, rectangle: {from: [0 m, 0 m], to: [1 m, 9 m]}}]
        exits: [{name: door, line: [[2 m, 0 m], [3 m, 0 m]]}]
        edges: [{name: front, ring: {inner: 2 m, outer: 2 m}}, {name: arc, ring: {inner: 2 m, outer: 2 m, to: 90 deg}}]
        walls: [[[0 m, 0 m], [5 m, 0 m]]]
    """)
    found = {line.name: line for line in house.outlines}
    assert found["passage"].kind == "keep clear"
    assert found["passage"].closed
    assert found["door"].kind == "exit"
    assert not found["door"].closed
    assert found["front"].closed
    assert not found["arc"].closed
    assert found["wall 1"].kind == "wall"


def test_eyes_that_read_wrong() -> None:
    for eye, words in [
        ("{id: a}", "needs an id and a place"),
        ("{csv: f.csv, id: a}", "by itself"),
        ("{id: a, at: [0 m, 0 m, 1 m], pixels: 100}", "Only a camera"),
        ("{id: a, at: [0 m, 0 m, 1 m], kind: phone, field of view: 200 deg}", "less than 180"),
        ("{id: a, at: [0 m, 0 m], kind: point}", "required"),
        ("{id: a, at: [0 m, 0 m, 1], kind: point}", "no unit"),
    ]:
        with pytest.raises(ValidationError, match=words):
            house_of(f"eyes: [{eye}]")


def test_an_eye_at_the_very_point_it_looks_at_still_faces_somewhere() -> None:
    assert house_of("eyes: [{id: a, at: [0 m, 0 m, 1.2 m]}]").eyes[0].facing == (0.0, 1.0, 0.0)


def test_building_is_quick_and_the_same_every_time() -> None:
    # Generous limits for a shared machine; alone it takes a tenth of them.
    start = time.perf_counter()
    first = ready_house("proscenium-420")
    assert time.perf_counter() - start < 1.0
    again = ready_house("proscenium-420")
    assert first.eyes == again.eyes
    big = "standing: [{area: field, rectangle: {from: [-50 m, -110 m], to: [50 m, -10 m]}, density: 2}]"
    start = time.perf_counter()
    house = house_of(big)
    assert time.perf_counter() - start < 3.0
    assert len(house.eyes) == pytest.approx(20_000, rel=0.02)
    assert len({eye.id for eye in house.eyes}) == len(house.eyes)
