"""Shared by the tests of seat lists: one hall as blocks, and the same hall as a table, a map and a plan."""

from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pytest
from ezdxf.filemanagement import new

from sightline.house.build import House
from sightline.house.quality import block_of
from tests.house.venues import house_of

# Curved and straight rows, two storeys with a balcony, a wheelchair place, a stage, a column in the way.
STAGE = """\
version: 1
name: Hall
stage: {kind: proscenium, height: 1 m, width: 12 m, depth: 6 m, apron: 1 m, proscenium: {opening: 9 m, height: 5 m}}
scenery: [{name: column, column: {radius: 0.3 m, height: 5 m}, at: [1.1 m, -2.6 m, -1 m]}]
looks at: [0 m, 1 m, 1.2 m]
"""
SEATS = """\
seats:
  - {block: stalls, rows: 5, seats: [8, 9, 8, 9, 8], first row: 4 m, curve: {radius: 14 m}, rise: 11 cm, wheelchair: [E1],
     without: [E2], aisles: [{after: 4, width: 1.1 m}]}
  - {block: circle, rows: 3, seats: 11, first row: 8 m, floor: 2.4 m, rise: 40 cm, weight: 2}
"""
BLOCKS = STAGE + SEATS
LIST = "seats from: [{%s}]\n"
SCENE = """\
version: 1
title: a plate before a board in the hall
venue: {use: %s}
covers: [{name: plate, rectangle: {width: 50 cm, height: 50 cm}, at: [0 m, 0.9 m, 1.2 m]}]
secrets:
  - {name: board, rectangle: {width: 60 cm, height: 40 cm}, at: [0.1 m, 1 m, 1.2 m]}
  - {name: wire, kind: seam, path: [[0.2 m, 1 m, 1.2 m], [0.5 m, 1 m, 1.3 m]], width: 2 mm}
"""


def dxf_of(house: House, unit_m: float = 0.001, insunits: int = 4, tags: bool = True, eye_m: float = 1.12) -> bytes:
    """A plan of the seats: one layer for each block, an insert at each seat's floor, with row and seat as attributes."""
    plan = new(units=insunits)
    seat = plan.blocks.new("CHAIR")
    seat.add_lwpolyline([(-200, -200), (200, -200), (200, 200), (-200, 200)], close=True)
    seat.add_attdef("ROW", (0, 0))
    seat.add_attdef("SEAT", (0, 0))
    space = plan.modelspace()
    space.add_line((0, 0), (1000, 0))
    for eye in house.eyes:
        layer = f"SEATS {block_of(eye).upper()}"
        if layer not in plan.layers:
            plan.layers.add(layer)
        assert eye.floor_m is not None
        x, y, _ = eye.position_m
        insert = space.add_blockref(
            "CHAIR", (x / unit_m, y / unit_m, eye.floor_m / unit_m), dxfattribs={"layer": layer}
        )
        if tags:
            insert.add_auto_attribs({"ROW": eye.row or "", "SEAT": eye.seat or ""})
    out = io.StringIO()
    plan.write(out)
    return out.getvalue().encode()


DXF_BLOCKS = (
    "dxf: seats.dxf, blocks: [{layer: SEATS STALLS, block: CHAIR, name: stalls, wheelchair: [E1]}, "
    "{layer: SEATS CIRCLE, block: CHAIR, name: circle, weight: 2}]"
)


def write_all(house: House, folder: Path) -> dict[str, str]:
    """Venue files of the hall in four ways, by name; the files they need lie beside."""
    (folder / "seats.csv").write_text(in_mm_turned(house), encoding="utf-8")
    (folder / "seats.geojson").write_text(geojson_in_feet(house), encoding="utf-8")
    (folder / "seats.dxf").write_bytes(dxf_of(house))
    ways = {
        "blocks": BLOCKS,
        "csv": STAGE + LIST % "csv: seats.csv, unit: mm, origin: [0 m, -3 m, 0 m], turn: 90 deg",
        "geojson": STAGE + LIST % "geojson: seats.geojson, unit: ft",
        "dxf": STAGE + LIST % DXF_BLOCKS,
    }
    for name, text in ways.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return ways


def in_mm_turned(house: House) -> str:
    """A table in millimetres about (0, -3), its x axis along our y."""
    lines = ["id,x,y,z,floor,level,row,seat,kind,weight"]
    for eye in house.eyes:
        x, y, z = eye.position_m
        own = [(y + 3) * 1000, -x * 1000, z * 1000, (eye.floor_m or 0.0) * 1000]
        cells = [eye.id, *[f"{value:.9f}" for value in own], eye.level, eye.row, eye.seat, eye.kind, f"{eye.weight:g}"]
        lines.append(",".join(str(cell) for cell in cells))
    return "\n".join(lines) + "\n"


def geojson_in_feet(house: House) -> str:
    features = []
    for eye in house.eyes:
        at = [value / 0.3048 for value in eye.position_m]
        said = {
            "id": eye.id, "level": eye.level, "row": eye.row, "seat": eye.seat, "kind": eye.kind, "weight": eye.weight,
            "floor": (eye.floor_m or 0.0) / 0.3048, "price": [10, 20],
        }  # fmt: skip
        features.append({"type": "Feature", "geometry": {"type": "Point", "coordinates": at}, "properties": said})
    return json.dumps({"type": "FeatureCollection", "features": features})


# What a venue may lose by being written and read: a micrometre.
SAME_M = 1e-6


def same_eyes(one: House, other: House) -> None:
    assert [eye.id for eye in one.eyes] == [eye.id for eye in other.eyes]
    np.testing.assert_allclose(one.positions_m, other.positions_m, rtol=0, atol=SAME_M)
    for a, b in zip(one.eyes, other.eyes, strict=True):
        assert (a.kind, a.weight, a.level, a.row, a.seat) == (b.kind, b.weight, b.level, b.row, b.seat)
        np.testing.assert_allclose(a.facing, b.facing, rtol=0, atol=SAME_M)
        assert (a.floor_m is None) == (b.floor_m is None)
        if a.floor_m is not None and b.floor_m is not None:
            assert a.floor_m == pytest.approx(b.floor_m, abs=SAME_M)


PLAN = dxf_of(house_of(BLOCKS))
