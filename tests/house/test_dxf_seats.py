"""Seats from DXF plans: layers, blocks, units, attributes, rows told apart; and what is refused, with its key."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
import pytest
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.layouts import BaseLayout

from sightline.errors import Misfit, SightlineError
from sightline.house.build import House
from sightline.house.dxf_seats import read_dxf
from sightline.scene.seatsource import PlanBlock, SeatSource
from tests.house.plans import BLOCKS, DXF_BLOCKS, LIST, PLAN, SAME_M, STAGE, dxf_of, same_eyes
from tests.house.venues import house_of


def with_plan(source: str, raw: bytes = PLAN) -> House:
    return house_of(STAGE + LIST % source, {"seats.dxf": raw})


@pytest.mark.parametrize(
    ("source", "path", "words"),
    [
        ("dxf: seats.dxf, blocks: [{layer: SEATS STALS, block: CHAIR}]", "layer", "did you mean 'SEATS STALLS'"),
        ("dxf: seats.dxf, blocks: [{layer: SEATS STALLS, block: CHIAR}]", "block", "did you mean 'CHAIR'"),
        ("dxf: seats.dxf, blocks: [{layer: '0', block: CHAIR}]", "blocks", "no insert of 'CHAIR'"),
        ("dxf: seats.dxf, blocks: [{layer: SEATS STALLS}]", "blocks", "no point or circle"),
        ("dxf: seats.dxf, blocks: [{layer: SEATS STALLS, block: CHAIR, wheelchair: [Z1]}]", "wheelchair", "no seat Z1"),
        (
            "dxf: seats.dxf, blocks: [{layer: SEATS STALLS, block: CHAIR, name: a}, {layer: SEATS STALLS, block: CHAIR, name: a}]",
            "blocks", "'a A1'",
        ),
        ("dxf: seats.dxf, blocks: [{layer: SEATS STALLS, block: CHAIR, floor: -2 m}]", "blocks", "under the floor"),
        ("dxf: seats.dxf, blocks: [{layer: SEATS STALLS, block: CHAIR, floor: 0 m, steps: [1 cm]}]", "steps", "4 for these 5"),
    ],
)  # fmt: skip
def test_bad_plans_name_the_key(source: str, path: str, words: str) -> None:
    with pytest.raises(Misfit) as caught:
        with_plan(source)
    assert words in caught.value.sentence
    assert path in caught.value.path
    assert caught.value.path[:2] == ("seats from", 0)


def test_a_plan_without_a_unit_needs_one_named() -> None:
    raw = dxf_of(house_of(BLOCKS), unit_m=1.0, insunits=0)
    with pytest.raises(Misfit, match="does not say its unit"):
        with_plan(DXF_BLOCKS, raw)
    same_eyes(house_of(BLOCKS), with_plan(f"unit: m, {DXF_BLOCKS}", raw))


@pytest.mark.parametrize("unit", ["yd", "m"])
def test_a_plan_in_another_unit_than_named_is_refused(unit: str) -> None:
    with pytest.raises(SightlineError, match=r"[uU]nit.* (wrong|right)"):
        with_plan(f"dxf: seats.dxf, unit: {unit}, blocks: [{{layer: SEATS STALLS, block: CHAIR, floor: 0 m}}]")


@pytest.mark.parametrize(
    "raw", [b"", b"no plan", b"\x00\x01" * 99, PLAN[: len(PLAN) // 3].replace(b"SECTION", b"SE\xffTION")]
)
def test_what_is_no_plan_is_refused(raw: bytes) -> None:
    with pytest.raises(SightlineError):
        with_plan(DXF_BLOCKS, raw)


def test_rows_of_a_flat_plan_are_told_apart_and_raised() -> None:
    """A plan without attributes or heights: rows by their distance from the centre they curve about, lettered from the front."""
    blocks = house_of(BLOCKS)
    flat = dxf_of(blocks, tags=False)
    stalls = "layer: SEATS STALLS, block: CHAIR, name: stalls, centre: [0 m, 10 m], floor: -1 m, rise: 11 cm"
    found = with_plan(f"dxf: seats.dxf, blocks: [{{{stalls}}}]", flat)
    expected = [eye for eye in blocks.eyes if eye.level == "stalls" and eye.row != "E"]
    by_id = {eye.id: eye for eye in found.eyes}
    for eye in expected:
        np.testing.assert_allclose(by_id[eye.id].position_m, eye.position_m, atol=SAME_M)
    straight = "layer: SEATS CIRCLE, block: CHAIR, name: circle, floor: 2.4 m, steps: [40 cm, 40 cm], weight: 2"
    level = [eye for eye in with_plan(f"dxf: seats.dxf, blocks: [{{{straight}}}]", flat).eyes]
    for eye in level:
        twin = next(other for other in blocks.eyes if other.id == eye.id)
        np.testing.assert_allclose(eye.position_m, twin.position_m, atol=SAME_M)


def test_seats_inside_a_block_of_a_row_and_an_array_are_found() -> None:
    plan = new(units=6)
    plan.layers.add("SEATS")
    plan.blocks.new("CHAIR").add_circle((0, 0), 0.2)
    row = plan.blocks.new("ROW OF SEATS")
    for n in range(4):
        row.add_blockref("CHAIR", (0.6 * n, 0), dxfattribs={"layer": "SEATS"})
    plan.modelspace().add_blockref("ROW OF SEATS", (0, -5, 0))
    array = plan.modelspace().add_blockref("CHAIR", (0, -6, 0), dxfattribs={"layer": "SEATS"})
    array.dxf.column_count, array.dxf.column_spacing = 4, 0.6
    out = io.StringIO()
    plan.write(out)
    house = house_of(
        "seats from: {dxf: p.dxf, blocks: [{layer: SEATS, block: CHAIR, name: pit}]}",
        {"p.dxf": out.getvalue().encode()},
    )
    assert [eye.id for eye in house.eyes] == [f"pit {row}{n}" for row in "AB" for n in range(1, 5)]
    assert sorted({round(eye.position_m[1], 6) for eye in house.eyes}) == [-6.0, -5.0]
    np.testing.assert_allclose(sorted({round(eye.position_m[0], 6) for eye in house.eyes}), [0.0, 0.6, 1.2, 1.8])


def drawn(fill: Callable[[Drawing], None]) -> bytes:
    """A plan in metres with a layer SEATS and a block CHAIR, filled by `fill`."""
    plan = new(units=6)
    plan.layers.add("SEATS")
    plan.blocks.new("CHAIR").add_circle((0, 0), 0.2)
    fill(plan)
    out = io.StringIO()
    plan.write(out)
    return out.getvalue().encode()


def put(space: BaseLayout, block: str, x_m: float, y_m: float, layer: str = "SEATS") -> None:
    space.add_blockref(block, (x_m, y_m, 0), dxfattribs={"layer": layer})


def read_plan(raw: bytes, blocks: Sequence[PlanBlock]) -> tuple[list[list[float]], list[str]]:
    """Where the seats are, (x, y) in m, sorted; and the notes."""
    notes: list[str] = []
    places = read_dxf(raw, SeatSource(dxf="p.dxf", blocks=list(blocks)), 0.0, notes.append)
    return sorted([round(x, 6), round(y, 6)] for x, y, _ in places.positions_m.tolist()), notes


CHAIRS = [PlanBlock(layer="SEATS", block="CHAIR")]


@pytest.mark.parametrize("depth", [1, 2, 4])
def test_what_a_block_has_on_layer_0_lies_where_the_block_is_inserted(depth: int) -> None:
    """Seats drawn so were left out without a word: no eyes, so nobody there sees anything."""

    def fill(plan: Drawing) -> None:
        put(plan.modelspace(), "CHAIR", 0, -4)
        row = plan.blocks.new("ROW1")
        for n in range(3):
            put(row, "CHAIR", 0.5 * n, 0, "0")
        # One with a layer of its own keeps it.
        put(row, "CHAIR", 9, 0, "STORE")
        for level in range(2, depth + 1):
            put(plan.blocks.new(f"ROW{level}"), f"ROW{level - 1}", 0, 0, "0")
        put(plan.modelspace(), f"ROW{depth}", 0, -5)
        # The same row elsewhere is no row of seats.
        put(plan.modelspace(), f"ROW{depth}", 0, -6, "STORE")

    # One chair by itself, and the row's three at its own place: 0, 0.5 and 1 m across, 5 m from the stage.
    at, notes = read_plan(drawn(fill), CHAIRS)
    assert at == [[0, -5], [0, -4], [0.5, -5], [1, -5]]
    assert notes == []


def test_a_circle_on_layer_0_of_an_inserted_block_is_a_seat() -> None:
    def fill(plan: Drawing) -> None:
        put(plan.modelspace(), "CHAIR", 1, -4)
        put(plan.modelspace(), "CHAIR", 2, -4, "STORE")

    assert read_plan(drawn(fill), [PlanBlock(layer="SEATS")]) == ([[1, -4]], [])


@pytest.mark.parametrize("block", ["CHAIR", None])
def test_seats_nested_too_deep_are_refused(block: str | None) -> None:
    """Four blocks about a seat are opened; of a fifth the seats were left out without a word."""

    def fill(depth: int, plan: Drawing) -> None:
        put(plan.modelspace(), "CHAIR", 0, -4)
        plan.modelspace().add_point((0, -4), dxfattribs={"layer": "SEATS"})
        inner = plan.blocks.new("N1")
        put(inner, "CHAIR", 0, -5)
        inner.add_point((0, -5), dxfattribs={"layer": "SEATS"})
        for level in range(2, depth + 1):
            put(plan.blocks.new(f"N{level}"), f"N{level - 1}", 0, 0, "0")
        put(plan.modelspace(), f"N{depth}", 0, 0, "0")

    wanted = [PlanBlock(layer="SEATS", block=block)]
    with pytest.raises(Misfit, match="nested more than 4 deep") as caught:
        read_plan(drawn(partial(fill, 5)), wanted)
    assert caught.value.path == ("blocks", 0)
    if block is not None:
        # A chair is not opened itself; for circles it is, as the fifth.
        assert read_plan(drawn(partial(fill, 4)), wanted)[0] == [[0, -5], [0, -4]]


def test_other_inserts_on_the_layer_of_the_seats_are_told() -> None:
    """CAD writes a dynamic block as *U1, so a chair that was stretched is no CHAIR by name: its eye must not just be gone."""

    def fill(plan: Drawing) -> None:
        for name in ("*U1", "*U2", "STOOL", "TABLE", "BIN", "LAMP", "PLANT", "CUSHION", "SIGN"):
            plan.blocks.new(name)
        space = plan.modelspace()
        put(space, "CHAIR", 0, -4)
        for block, count in (("*U1", 3), ("*U2", 1), ("STOOL", 4), ("TABLE", 3), ("BIN", 2), ("LAMP", 1), ("PLANT", 1)):
            for n in range(count):
                put(space, block, n, -6)
        put(space, "SIGN", 0, -9, "STORE")
        # A row of seats is itself no missing seat; a part of a stool is none besides the stool.
        row = plan.blocks.new("ROW")
        put(row, "CHAIR", 0, 0, "0")
        put(row, "*U1", 1, 0, "0")
        put(space, "ROW", 0, -5)
        put(plan.blocks.get("STOOL"), "CUSHION", 0, 0, "0")

    raw = drawn(fill)
    at, notes = read_plan(raw, CHAIRS)
    assert at == [[0, -5], [0, -4]]
    # 4 + 3 + 2 of the three commonest, 1 + 1 of the two others, 3 + 1 anonymous and one more in the row: 16.
    assert len(notes) == 1
    assert notes[0].startswith("16 inserts on the layer 'SEATS' of 'p.dxf' were not taken for seats")
    assert "4 of 'STOOL', 3 of 'TABLE', 2 of 'BIN', 2 of 2 other blocks, 5 of dynamic or anonymous blocks." in notes[0]
    # What another block of the venue takes is not missing: 16 less 4; and of one layer it is said once.
    at, notes = read_plan(raw, [*CHAIRS, PlanBlock(layer="SEATS", block="STOOL", name="bar")])
    assert len(at) == 6
    assert len(notes) == 1
    assert notes[0].startswith("12 inserts on")
    assert "STOOL" not in notes[0]
    assert "CUSHION" not in notes[0]


def test_one_other_insert_is_told_as_one() -> None:
    def fill(plan: Drawing) -> None:
        plan.blocks.new("*U1")
        put(plan.modelspace(), "CHAIR", 0, -4)
        put(plan.modelspace(), "*U1", 1, -4)

    (note,) = read_plan(drawn(fill), CHAIRS)[1]
    assert note.startswith("1 insert on the layer 'SEATS' of 'p.dxf' was not taken for seats")
    assert "1 of dynamic or anonymous blocks." in note
