"""The readers of strangers' files, each as a function of bytes: nothing but our own errors may come out of one.

Used by the fuzzer (`fuzz.py`), by the replay of its finds and by the tests of hostile files. `sandbox` is a folder with
the files that a scene or a tour may name.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext, suppress
from pathlib import Path

from pydantic import BaseModel

from sightline.errors import SightlineError
from sightline.house.build import build
from sightline.house.csv_eyes import read_eyes
from sightline.house.csv_seats import read_csv
from sightline.house.dxf_seats import read_dxf
from sightline.house.geojson_seats import read_geojson
from sightline.scene.editing import edited
from sightline.scene.reading import read_kept, read_scene, read_venue
from sightline.scene.scene import Scene
from sightline.scene.seatsource import PlanBlock, SeatSource
from sightline.scene.tour import Tour
from sightline.scene.venue import Venue
from sightline.units import QuantityError, Unknown, number, parse

EXAMPLES = Path(__file__).parents[2] / "examples"
VENUES = Path(__file__).parents[2] / "venues"
# The most that one input may take of a core, and of memory beyond what the program itself takes.
MOST_SECONDS = 10
MOST_MEMORY_MB = 2_000

Target = Callable[[bytes, Path], None]

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


# Those that are given a file, not bytes.
FILES = {"scene": "scene.yaml", "venue": "venue.yaml", "tour": "tour.yaml", "kept": "kept.yaml"}


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


def read_as_units(data: bytes, sandbox: Path) -> None:
    text = data.decode("utf-8", "replace")
    for kind in ("length", "angle", "mass", "time"):
        try:
            found = parse(text, kind)
        except (QuantityError, Unknown):
            continue
        assert found.low <= found.value <= found.high, f"{text!r} is no range"
    with suppress(QuantityError):
        number(text)


def read_as_scene(data: bytes, sandbox: Path) -> None:
    read_scene(sandbox / FILES["scene"])


def read_as_venue(data: bytes, sandbox: Path) -> None:
    """A venue, and its house built: seats counted out, tables and meshes beside it read."""
    written = read_venue(sandbox / FILES["venue"])
    build(written.model, read_file=written.read_file, read_mesh=written.read_mesh)


def read_as_tour(data: bytes, sandbox: Path) -> None:
    from sightline.tour.plan import read_plan

    read_plan(sandbox / FILES["tour"])


def read_as_kept(data: bytes, sandbox: Path) -> None:
    """A move kept on a packet's page, and taken into a scene as `apply` does."""
    from sightline.scene.keeping import take_move
    from sightline.scene.reading import scene_from_text

    written = read_scene(sandbox / "act.yaml")
    taken = take_move(written, written.document.text, read_kept(sandbox / FILES["kept"]).model, True)
    scene_from_text(taken.text, folder=sandbox)


def read_as_edit(data: bytes, sandbox: Path) -> None:
    """A scene's text with a changed value spliced in, as every command with --out does."""
    from sightline.scene.document import read_text
    from sightline.scene.tour import key_path
    from sightline.tour.point import edits_of

    said, _, text = data.decode("utf-8", "replace").partition("\n")
    try:
        key_path(said)
    except ValueError:
        return
    tree = read_text(text, "scene.yaml").tree
    if not isinstance(tree, dict):
        return
    for value in ("1 m", {"a": "b"}, [{"id": "x"}]):
        try:
            edited(text, edits_of({said: value}))
        except SightlineError:
            continue


def read_as_eyes(data: bytes, sandbox: Path) -> None:
    read_eyes(data, "eyes.csv").eyes((0.0, 0.0, 1.0))


def read_as_seats(data: bytes, sandbox: Path) -> None:
    for more in ({"unit": "mm"}, {"origin": (0.0, -5.0, 1.0), "turn": 0.5, "level": "stalls"}):
        try:
            read_csv(data, SeatSource.model_construct(**{**SeatSource(csv="s.csv").__dict__, **more}), -1.0)
        except SightlineError:
            continue


def read_as_map(data: bytes, sandbox: Path) -> None:
    read_geojson(data, SeatSource(geojson="s.geojson", unit="m"), -1.0)


def read_as_plan(data: bytes, sandbox: Path) -> None:
    for block in (PlanBlock(layer="SEATS"), PlanBlock(layer="SEATS", block="CHAIR", floor=0.0, rise=0.1)):
        try:
            read_dxf(data, SeatSource(dxf="s.dxf", unit="m", blocks=[block]), -1.0)
        except SightlineError:
            continue


def read_as_mesh(kind: str) -> Target:
    def read(data: bytes, sandbox: Path) -> None:
        from sightline.geometry.meshfile import parse_mesh

        mesh = parse_mesh(data, f"strange.{kind}")
        # What every command asks of a mesh.
        assert mesh.closed in (True, False)
        assert mesh.area_m2 > 0.0

    return read


def read_as_photo(data: bytes, sandbox: Path) -> None:
    from sightline.workshop.matching import read_picture

    assert read_picture(data, "photo.png").ndim == 3


def read_as_layout(data: bytes, sandbox: Path) -> None:
    from sightline.pattern.keptlayout import layout_from

    layout_from(data.decode("utf-8", "replace"), [], "layout.json")


TARGETS: dict[str, Target] = {
    "units": read_as_units, "scene": read_as_scene, "venue": read_as_venue, "tour": read_as_tour, "kept": read_as_kept,
    "edit": read_as_edit, "eyes": read_as_eyes, "seats": read_as_seats, "map": read_as_map, "plan": read_as_plan,
    "obj": read_as_mesh("obj"), "stl": read_as_mesh("stl"), "ply": read_as_mesh("ply"), "glb": read_as_mesh("glb"),
    "photo": read_as_photo, "layout": read_as_layout,
}  # fmt: skip


def survives(target: str, data: bytes, sandbox: Path, watch: AbstractContextManager[object] | None = None) -> str:
    """Read `data`: the sentence it was refused with, or nothing. Whatever else is raised is a fault of this program."""
    if target in FILES:
        (sandbox / FILES[target]).write_bytes(data)
    try:
        with watch or nullcontext():
            TARGETS[target](data, sandbox)
    except SightlineError as error:
        cause: BaseException | None = error
        while cause is not None:
            assert not isinstance(cause, MemoryError), "it took all the memory there was before it was refused"
            cause = cause.__cause__ or cause.__context__
        said = str(error)
        assert said.strip(), "an error without a sentence"
        assert len(said) < 20_000, "a flood of words"
        return said
    return ""


def seeds(target: str) -> list[bytes]:
    """Good files to begin from."""
    if target in ("obj", "stl", "ply", "glb"):
        return _meshes(target)
    scenes = [path.read_bytes() for path in sorted(EXAMPLES.glob("*.yaml"))]
    texts: dict[str, list[str]] = {
        "units": ["1.2 m", "5 ft 10 1/2 in", "5'10\"", "about 48 cm", "46-50 cm", "1:30", "30 deg", "3 lb 2 oz", "unknown"],
        "scene": [ACT], "venue": [HALL], "tour": [TOUR], "kept": [KEPT],
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
    if target in ("scene", "venue", "tour", "kept", "edit"):
        return plain + sorted(_keys(Scene) | _keys(Venue) | _keys(Tour))
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
