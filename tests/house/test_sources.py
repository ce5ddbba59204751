"""The same hall as blocks, table, map and plan; and what is refused in each, with its place."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.errors import FileError
from sightline.staging.audience import venue_house
from tests.house.plans import BLOCKS, LIST, PLAN, SAME_M, SCENE, STAGE, same_eyes, write_all
from tests.house.venues import house_of


def check_of(folder: Path, venue: str) -> dict[str, Any]:
    scene = folder / f"scene-{venue}.yaml"
    scene.write_text(SCENE % f"{venue}.yaml", encoding="utf-8")
    done = CliRunner().invoke(app, ["check", str(scene), "--json", "--no-margins"])
    assert done.exit_code == 0, done.exception
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_the_same_hall_in_four_ways_gives_the_same_eyes_and_the_same_check(tmp_path: Path) -> None:
    blocks = house_of(BLOCKS)
    assert len(blocks.eyes) == 41 + 33
    ways = write_all(blocks, tmp_path)
    verdicts = {}
    for way in ways:
        same_eyes(blocks, venue_house(str(tmp_path / f"{way}.yaml"))[1])
        eyes = check_of(tmp_path, way)["eyes"]
        verdicts[way] = {(e["id"], name): s["verdict"] for e in eyes for name, s in e["secrets"].items()}
    assert verdicts["csv"] == verdicts["blocks"]
    assert verdicts["geojson"] == verdicts["blocks"]
    assert verdicts["dxf"] == verdicts["blocks"]
    # Something is at stake: the hall sees all three.
    assert set(verdicts["blocks"].values()) >= {"hidden", "seen"}


@pytest.mark.parametrize("unit", ["m", "cm", "mm", "in", "ft", "yd"])
def test_units_of_a_table(unit: str) -> None:
    size = {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": 0.0254, "ft": 0.3048, "yd": 0.9144}[unit]
    rows = f"id,x,y,z\na,{1 / size:.9f},{-4 / size:.9f},{1.2 / size:.9f}\nb,{2 / size:.9f},{-4 / size:.9f},{1.2 / size:.9f}\n"
    house = house_of(f"seats from: {{csv: s.csv, unit: {unit}}}", {"s.csv": rows.encode()})
    np.testing.assert_allclose(house.positions_m, [[1, -4, 1.2], [2, -4, 1.2]], atol=SAME_M)


def test_heights_from_floors_and_the_datum() -> None:
    """A floor alone puts each kind's eye over it; the file's zero lies where the venue says, turned as it says."""
    rows = b"row,seat,x_m,y_m,floor_m,kind\nA,1,1,0,0.2,seated\nA,2,2,0,0.2,wheelchair\n"
    house = house_of(
        "seats from: {csv: s.csv, level: stalls, origin: [0 m, -5 m, 1 m], turn: 90 deg, eye height: 1.15 m}",
        {"s.csv": rows},
    )
    np.testing.assert_allclose(house.positions_m, [[0, -4, 1.2 + 1.15], [0, -3, 1.2 + 1.2052]], atol=SAME_M)
    assert [eye.id for eye in house.eyes] == ["stalls A1", "stalls A2"]
    assert [eye.floor_m for eye in house.eyes] == pytest.approx([1.2, 1.2])


def test_levels_of_a_list_are_levels_of_the_house() -> None:
    rows = b"id,x_m,y_m,z_m,level\na,0,-4,1,pit\nb,1,-4,1,pit\nc,2,-9,4,circle\n"
    assert house_of("seats from: {csv: s.csv}", {"s.csv": rows}).levels == ["pit", "circle"]


HEAD = b"id,x_m,y_m,z_m,floor_m,kind,weight,fov_deg,pixels\n"


@pytest.mark.parametrize(
    ("raw", "more", "line", "column", "words"),
    [
        (b"", "", 1, 1, "empty"),
        (b"id,x_m,y_m\na,0,0\n", "", 1, 1, "Neither 'z'"),
        (b"id,x_m,z_m\na,0,0\n", "", 1, 1, "'y' is missing"),
        (b"x_m,y_m,z_m\n0,0,0\n", "", 1, 1, "'id' is missing"),
        (b"id,x,y,z\na,0,-4,1\n", "", 1, 1, "unit of 'x' is not known"),
        (b"id,x_m,y_m,z_m\na,0,-4,1\n", ", unit: mm", 1, 1, "in metres by their names"),
        (b"id,x,x_m,y,z\na,0,0,-4,1\n", ", unit: mm", 1, 1, "two columns for 'x'"),
        (b"id,lon,lat,z_m\na,8.5,47.3,1\n", "", 1, 1, "Longitudes"),
        (b"id,x_m,y_m,z_m,colour\na,0,-4,1,red\n", "", 1, 16, "no column"),
        (b"id,x_m,y_m,z_m,x_m\na,0,-4,1,0\n", "", 1, 16, "twice"),
        (b"id;x_m;y_m;z_m\na;0;0;1\n", "", 1, 1, "commas"),
        (HEAD + b"a,0,-4,1,,,,,\na,1,-4,1,,,,,\n", "", 3, 1, "first is in line 2"),
        (HEAD + b"a,0,-4,0.4,0.5,,,,\n", "", 2, 8, "under its floor"),
        (HEAD + b"a,0,-4,1,-0.5,,,,\n", "", 2, 8, "under the floor of the house"),
        (HEAD + b"a,0,-4,-0.2,,,,,\n", "", 2, 8, "under the floor of the house"),
        (HEAD + b"a,0,-4,,,,,,\n", "", 2, 1, "no height"),
        (HEAD + b"a,,-4,1,,,,,\n", "", 2, 3, "has no 'x"),
        (HEAD + b"a,0,-4,1_0,,,,,\n", "", 2, 8, "not a number"),
        (HEAD + b"a,1e5,-4,1,,,,,\n", "", 2, 3, "too far"),
        (HEAD + b"a,0,-4,1,,siting,,,\n", "", 2, 11, "no kind"),
        (HEAD + b"a,0,-4,1,,,-1,,\n", "", 2, 12, "not a weight"),
        (HEAD + b"a,0,-4,1,,seated,,60,\n", "", 2, 11, "Only a camera"),
        (HEAD + b"a,0,-4,1,,camera,,60,1.5\n", "", 2, 22, "whole number"),
        (HEAD + b"a,0,-4\n", "", 2, 1, "3 values"),
        (HEAD, "", 1, 1, "no seat"),
        (
            b"id,x_m,y_m,z_m\n" + b"".join(b"s%d,%.4f,-4,1\n" % (n, n / 1000) for n in range(9)),
            "",
            1,
            1,
            "unit is wrong",
        ),
    ],
)
def test_bad_tables_name_the_place(raw: bytes, more: str, line: int, column: int, words: str) -> None:
    with pytest.raises(FileError) as caught:
        house_of(f"seats from: {{csv: s.csv{more}}}", {"s.csv": raw})
    problem = caught.value.problems[0]
    assert words in problem.sentence
    assert (problem.place.file, problem.place.line, problem.place.column) == ("s.csv", line, column)


def feature(at: Any, **said: Any) -> dict[str, Any]:
    return {"type": "Feature", "geometry": {"type": "Point", "coordinates": at}, "properties": {"id": "a", **said}}


def collection(*features: Any, **more: Any) -> bytes:
    return json.dumps({"type": "FeatureCollection", "features": list(features), **more}).encode()


DEGREES = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}


@pytest.mark.parametrize(
    ("raw", "words", "path"),
    [
        (b'{"type": "FeatureCollection", "features": [', "broken here", ""),
        (b"[" * 20_000, "nested too deeply", ""),
        (b'{"type": "FeatureCollection", "features": [NaN]}', "no number", ""),
        (b"[1, 2]", "FeatureCollection", ""),
        (collection(feature([0, -4, 1]), crs=DEGREES), "longitudes and latitudes", ""),
        (collection(feature([0, -4, 1]), unit="mm"), "says that its unit is mm", ""),
        (collection({"type": "Feature", "geometry": {"type": "Polygon", "coordinates": []}}), "a Point", "features[0]"),
        (collection(feature([0, -4, 1]), feature(["0", -4, 1])), "two or three numbers", "features[1].geometry"),
        (collection(feature([0, -4, 1], row=["A"])), "one word or number", "features[0].properties.row"),
        (collection(feature([0, -4, 1]), feature([1, -4, 1])), "first is in features[0]", "features[1].id"),
        (collection(feature([0, -4])), "no height", "features[0].z"),
        (collection(feature([0, -4, 0.3], floor=0.4)), "under its floor", "features[0].z"),
        (collection(*(feature([8.5 + n / 1e5, 47.3, 1.2], id=n) for n in range(9))), "longitudes", ""),
    ],
)
def test_bad_maps_name_the_place(raw: bytes, words: str, path: str) -> None:
    with pytest.raises(FileError) as caught:
        house_of("seats from: {geojson: s.geojson, unit: m}", {"s.geojson": raw})
    assert words in caught.value.problems[0].sentence
    assert caught.value.problems[0].path == path


def test_a_map_without_a_unit_is_refused_as_degrees() -> None:
    with pytest.raises(ValueError, match=r"longitudes and latitudes unless agreed otherwise .*unit: m"):
        house_of("seats from: {geojson: s.geojson}")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("seats from: {unit: m}", "Exactly one file"),
        ("seats from: {csv: a, dxf: b}", "got csv and dxf"),
        ("seats from: {dxf: b.dxf}", "which things of the plan"),
        ("seats from: {csv: a, blocks: [{layer: S}]}", "belong to a DXF plan"),
        ("seats from: {csv: a, unit: furlong}", "not one of the choices"),
        ("seats from: {dxf: a, blocks: [{layer: S, rise: 1 cm}]}", "first row's floor"),
    ],
)
def test_what_reads_wrong_is_refused(text: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        house_of(text)


@pytest.mark.parametrize(
    ("source", "files"),
    [
        ("csv: seats.csv", {"seats.csv": b"id,x_m\na,1\n"}),
        ("csv: seats.csv", {"seats.csv": b"id,x_m,y_m,z_m\na,1,-4,1\na,2,-4,1\n"}),
        ("csv: seats.csv", {"seats.csv": b"id,x,y,z\na,1,-4,1\n"}),
        ("csv: seats.csv", {"seats.csv": b"id,x_m,y_m,z_m\na,1,-4,-3\n"}),
        ("csv: ../seats.csv", {}),
        ("csv: gone.csv", {}),
        ("geojson: seats.geojson, unit: m", {"seats.geojson": b'{"type":'}),
        ("dxf: seats.dxf, blocks: [{layer: GONE, block: CHAIR}]", {"seats.dxf": PLAN}),
    ],
)
def test_at_the_command_line_every_fault_is_one_with_a_place_and_nothing_is_written(
    tmp_path: Path, source: str, files: dict[str, bytes]
) -> None:
    for name, raw in files.items():
        (tmp_path / name).write_bytes(raw)
    (tmp_path / "hall.yaml").write_text(STAGE + LIST % source, encoding="utf-8")
    before = sorted(tmp_path.iterdir())
    words = [
        "venue",
        str(tmp_path / "hall.yaml"),
        "--out",
        str(tmp_path / "p.png"),
        "--export",
        str(tmp_path / "e.yaml"),
    ]
    done = CliRunner().invoke(app, words)
    assert isinstance(done.exception, FileError)
    assert done.stdout == ""
    problem = done.exception.problems[0]
    assert problem.place.line >= 1
    assert problem.sentence.endswith((".", "?"))
    assert sorted(tmp_path.iterdir()) == before
