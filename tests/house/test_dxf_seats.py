"""Seats from DXF plans: layers, blocks, units, attributes, rows told apart; and what is refused, with its key."""

from __future__ import annotations

import io

import numpy as np
import pytest
from ezdxf.filemanagement import new

from sightline.errors import Misfit, SightlineError
from sightline.house.build import House
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
