"""Good files of every kind to begin from, what they are made of, and the folder of files that scenes and tours may name."""

from __future__ import annotations

import io
from pathlib import Path

from pydantic import BaseModel

from sightline.scene.asbuilt import AsBuiltSheet
from sightline.scene.scene import Scene
from sightline.scene.tour import Tour
from sightline.scene.venue import Venue

EXAMPLES = Path(__file__).parents[2] / "examples"
VENUES = Path(__file__).parents[2] / "venues"

SQUARE = "v 0 0 0\nv 1 0 0\nv 1 0 1\nv 0 0 1\nf 1 2 3\nf 1 3 4\n"
EYES = "id,x_m,y_m,z_m,kind,weight\nE1,0,-5,1.2,seated,2\n=1+1,1.5,-5e0,+1.2,point,\n"
SEATS = "row,seat,x,y,floor,kind,level\nA,1,0,-4,0.1,seated,stalls\nA,2,0.6,-4,0.1,wheelchair,stalls\n"
MAP = (
    '{"type": "FeatureCollection", "unit": "m", "features": [{"type": "Feature", "geometry": {"type": "Point", '
    '"coordinates": [0.5, -4, 1.2]}, "properties": {"id": "A1", "row": "A", "seat": 1, "floor": 0.1}}]}'
)
ACT = """\
version: 1
title: An act
covers: [{name: plate, disc: {radius: 1 m}, at: [0 m, -1 m, 1 m]}]
secrets: [{name: target, rectangle: {width: 10 cm, height: 5 cm}, at: [0 m, 0 m, 1 m]}]
eyes: [{id: E1, at: [0 m, -5 m, 1.2 m]}]
blocking: {mark: [0 m, 0 m], facing: 10 deg}
"""
HALL = """\
version: 1
name: Hall
stage: {kind: proscenium, height: 1 m, width: 12 m, depth: 6 m, apron: 1 m, proscenium: {opening: 9 m, height: 5 m}}
seats: [{block: circle, rows: 3, seats: [4, 5, 4], first row: 4 m, curve: {radius: 14 m}, rise: 11 cm, wheelchair: [C1]}]
seats from: [{csv: seats.csv, unit: m}, {geojson: seats.geojson, unit: m}, {dxf: seats.dxf, blocks: [{layer: SEATS}]}]
standing: [{area: floor, rectangle: {from: [-2 m, -3 m], to: [2 m, -2 m]}, spacing: 80 cm, people: {children: 0.25, adults: 0.75}}]
eyes: [{csv: eyes.csv}, {id: cam, kind: camera, at: [0 m, -9 m, 2 m], field of view: 40 deg, pixels: 1920}]
scenery: [{name: column, column: {radius: 0.3 m, height: 5 m}, at: [1 m, -2 m, -1 m]}, {name: flat, mesh: flat.obj, at: [2 m, -1 m, 0 m]}]
mirrors: [{name: glass, at: [3 m, -1 m, 1 m], facing: [-1, 0, 0], rectangle: {width: 1 m, height: 2 m}}]
walls: [[[0 m, 1 m], [2 m, 1 m]]]
"""
SHEET = """\
version: 1
as built: An act
by: AB
date: 2026-01-01
sizes: {"covers[0].disc.radius": {planned: 1 m, measured: 1.01 m}}
ticks: {E1: {camera: [0 m, -3 m, 1.2 m], saw: "no", where: left edge}}
"""
KEPT = "version: 1\nscene: An act\nmark: [0.5 m, 1 m]\nfacing: 20 deg\nnote: stay \\nthere\ninitials: AB\ndate: 2026-01-01\n"
TOUR = """\
version: 1
title: Two halls
venues: [thrust-220, {use: hall.yaml, name: Hall, change: {"blocking.mark": [0 m, 1 m]}}]
scenes: [act.yaml]
variants:
  - act.yaml
  - {name: turned, change: {blocking.facing: 30 deg, "covers[0].disc.radius": 2 m, "eyes[+]": {id: N, at: [1 m, -5 m, 1 m]}}}
drift: {distance: 20 cm, turn: 10 deg, draws: 3, seed: 2}
"""


def furnish(folder: Path) -> None:
    """The files that scenes and tours may name."""
    texts = {
        "flat.obj": SQUARE,
        "eyes.csv": EYES,
        "seats.csv": SEATS,
        "seats.geojson": MAP,
        "act.yaml": ACT,
        "hall.yaml": HALL,
    }
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "seats.dxf").write_bytes(plan())


def plan(block: bool = False) -> bytes:
    """A small DXF plan: points on the layer SEATS, or with `block` inserts of CHAIR with attributes."""
    from ezdxf.filemanagement import new

    made = new("R2000", units=6)
    made.layers.add("SEATS")
    space = made.modelspace()
    if block:
        chair = made.blocks.new("CHAIR")
        chair.add_circle((0, 0), 0.2)
        chair.add_attdef("ROW", (0, 0))
        chair.add_attdef("SEAT", (0, 0))
        for seat in range(3):
            put = space.add_blockref("CHAIR", (seat * 0.6, -4.0, 0.1), dxfattribs={"layer": "SEATS"})
            put.add_auto_attribs({"ROW": "A", "SEAT": str(seat + 1)})
        row = made.blocks.new("ROW OF CHAIRS")
        row.add_blockref("CHAIR", (0, -6.0), dxfattribs={"layer": "SEATS", "row_count": 2, "column_count": 2})
        space.add_blockref("ROW OF CHAIRS", (0, 0), dxfattribs={"layer": "SEATS"})
    else:
        for seat in range(3):
            space.add_point((seat * 0.6, -4.0, 0.1), dxfattribs={"layer": "SEATS"})
        space.add_circle((2.0, -4.0, 0.1), 0.2, dxfattribs={"layer": "SEATS"})
    out = io.StringIO()
    made.write(out)
    return out.getvalue().encode()


def seeds(target: str) -> list[bytes]:
    """Good files to begin from."""
    if target in ("obj", "stl", "ply", "glb"):
        return _meshes(target)
    scenes = [path.read_bytes() for path in sorted(EXAMPLES.glob("*.yaml"))]
    texts: dict[str, list[str]] = {
        "units": ["1.2 m", "5 ft 10 1/2 in", "5'10\"", "about 48 cm", "46-50 cm", "1:30", "30 deg", "3 lb 2 oz", "unknown"],
        "scene": [ACT], "venue": [HALL], "tour": [TOUR], "kept": [KEPT], "sheet": [SHEET],
        "edit": [f"blocking.mark\n{ACT}", f"eyes[+]\n{ACT}", f"covers[0].disc.radius\n{ACT}", f"covers\n{ACT}"],
        "eyes": [EYES], "seats": [SEATS, EYES], "map": [MAP], "layout": [_layout()],
    }  # fmt: skip
    found = [text.encode() for text in texts.get(target, [])]
    if target == "scene":
        found += scenes
    elif target == "venue":
        found += [path.read_bytes() for path in sorted(VENUES.glob("*.yaml"))]
    elif target == "plan":
        found += [plan(), plan(block=True)]
    elif target == "photo":
        found += _photos()
    return found


def _layout() -> str:
    return (
        '{"kind": "sightline layout", "version": 1, "stock": {"name": "s", "width_m": 1, "height_m": 1}, "gap_m": 0, '
        '"sheets": 1, "placed": []}'
    )


def _meshes(kind: str) -> list[bytes]:
    import trimesh

    made = trimesh.creation.box((1.0, 1.0, 1.0))
    out = made.export(file_type=kind)
    found = [out.encode() if isinstance(out, str) else bytes(out)]
    if kind == "ply":
        found.append(bytes(made.export(file_type="ply", encoding="ascii")))
    if kind == "stl":
        found.append(made.export(file_type="stl_ascii").encode())
    if kind == "obj":
        found.append(
            (
                SQUARE + "vn 0 1 0\nvt 0 0\no part\ng side\nusemtl red\nmtllib red.mtl\nf 1/1/1 2/1/1 4/1/1 3/1/1\n"
            ).encode()
        )
    return found


def _photos() -> list[bytes]:
    from PIL import Image

    found = []
    for kind in ("PNG", "JPEG"):
        for mode in ("RGB", "L"):
            out = io.BytesIO()
            Image.new(mode, (16, 8), 100).save(out, kind)
            found.append(out.getvalue())
    return found


def words(target: str) -> list[str]:
    """What such files are made of, for the fuzzer to try: keys and choices of the scene, units, heads of formats."""
    plain = [
        "unknown",
        "about ",
        "1:30",
        "&a",
        "*a",
        "<<: ",
        "'",
        '"',
        "[",
        "{",
        "- ",
        "? ",
        "!!",
        "|",
        "\u202e",
        "\uff11",
        "9" * 40,
    ]
    if target in ("scene", "venue", "tour", "kept", "sheet", "edit"):
        return plain + sorted(_keys(Scene) | _keys(Venue) | _keys(Tour) | _keys(AsBuiltSheet))
    heads = {
        "units": ["mm", "cm", "in", "ft", "yd", "deg", "rad", "kg", "oz", "lb", "s", "min", "h", " to ", "-", "–", "~", "1/2"],
        "eyes": ["id", "x_m", "y_m", "z_m", "kind", "weight", "seated", "phone", "camera", "1e9", '"', "\r", "\n"],
        "seats": ["id", "row", "seat", "level", "floor", "floor_m", "x", "y", "z", "x_m", "fov_deg", "pixels", "kind", "1e9"],
        "map": ["crs", "unit", "properties", "coordinates", "features", "1e400", "NaN", "\\ud800", "floor", "pixels", "null"],
        "plan": ["INSERT", "BLOCK", "ENDBLK", "ATTRIB", "SEATS", "CHAIR", "SECTION", "$INSUNITS", " 70", " 71", " 44", "POINT"],
        "ply": ["element vertex ", "element face ", "property list uchar int vertex_indices", "999999999", "ascii 1.0",
                "binary_little_endian 1.0", "binary_big_endian 1.0", "property float x", "end_header"],
        "stl": ["solid ", "facet normal ", "outer loop", "vertex ", "endloop", "endfacet", "endsolid"],
        "obj": ["v ", "vn ", "vt ", "f ", "o ", "g ", "usemtl ", "mtllib ", "1/1/1", "-1", "1e400", "nan"],
        "glb": ["glTF", "JSON", "BIN", "accessors", "bufferView", "count", "componentType", "meshes", "primitives", "nodes",
                "children", "scenes", "indices", "POSITION", "matrix", "images", "uri", "mode", "sparse", "extensions"],
    }  # fmt: skip
    return plain + heads.get(target, [])


def _keys(model: type[BaseModel]) -> set[str]:
    """All keys and choices of a file of this kind."""
    found: set[str] = set()
    todo: list[object] = [model.model_json_schema(by_alias=True)]
    while todo:
        part = todo.pop()
        if isinstance(part, dict):
            found |= set(part.get("properties", {})) | {x for x in part.get("enum", ()) if isinstance(x, str)}
            todo += part.values()
        elif isinstance(part, list):
            todo += part
    return found
