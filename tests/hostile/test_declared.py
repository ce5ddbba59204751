"""10^9 rows, faces and vertices in a file's head: refused before anything is made of them, and what is cut off too."""

from __future__ import annotations

import json
import struct
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pytest

from sightline.errors import Misfit
from sightline.geometry.meshfile import parse_mesh
from tests.hostile.conftest import bounded
from tests.hostile.seeds import HALL, MAP, TOUR
from tests.hostile.strange import (
    FACET,
    TRIANGLE,
    drawing,
    dxf,
    glb,
    glb_corners,
    glb_part,
    packed,
    ply,
    stl,
)
from tests.hostile.targets import MOST_MEMORY_MB, survives

BILLION = 1_000_000_000

CHAIN = [{"children": [k + 1]} for k in range(3000)] + [{"mesh": 0}]
# What it is, the file's name, its bytes, what the sentence says.
MESHES: list[tuple[str, str, bytes, str]] = [
    ("PLY in words, vertices", "a.ply", ply(vertices=BILLION), "1,000,000,000 triangles"),
    ("PLY in words, faces", "a.ply", ply(faces=BILLION), "1,000,000,000 triangles"),
    ("PLY in words, a face short", "a.ply", ply(faces=3), "is cut off"),
    ("PLY, vertices", "a.ply", ply(vertices=BILLION, words=False), "1,000,000,000 triangles"),
    ("PLY, faces", "a.ply", ply(faces=BILLION, words=False), "1,000,000,000 triangles"),
    ("PLY, two faces too many", "a.ply", ply(faces=3, words=False), "cannot be read"),
    ("PLY, corners of one face", "a.ply", ply(words=False, count="uint").replace(b"\3\0\0\0\0", b"\0\xca\x9a\x3b\0"), "cannot"),
    ("PLY, many elements", "a.ply", b"ply\nformat ascii 1.0\n" + b"element x 9\n" * 5000 + b"end_header\n", "head"),
    ("PLY without an end of its head", "a.ply", b"ply\nformat ascii 1.0\n" + b"comment\n" * 100_000, "is cut off"),
    ("STL", "a.stl", stl(BILLION, 3), "is cut off"),
    ("STL, a facet short", "a.stl", stl(3, 2), "is cut off"),
    ("STL in words without its end", "a.stl", f"solid a\n{FACET}{FACET}".encode(), "is cut off"),
    ("STL in words, cut in a facet", "a.stl", f"solid a\n{FACET}{FACET[:60]}\nendsolid\n".encode(), "is cut off"),
    ("STL in words, second solid cut", "a.stl", f"solid a\n{FACET}endsolid\nsolid b\n{FACET}".encode(), "is cut off"),
    ("STL in words, a word for a number", "a.stl", f"solid a\n{FACET}endsolid".replace("1 0 0", "1 O 0").encode(), "cannot"),
    ("GLB, corners of nothing", "a.glb", glb_corners(bufferView=None, count=300_000_000), "does not hold"),
    ("GLB, corners", "a.glb", glb_corners(count=BILLION), "cannot be read"),
    ("GLB, a negative offset", "a.glb", glb_corners(byteOffset=-4), "cannot be read"),
    ("GLB, the same part 10^5 times", "a.glb",
     glb(nodes=[{"mesh": 0}] * 100_000, scenes=[{"nodes": list(range(100_000))}]), "more than 2,000 parts"),
    ("GLB, a mesh of 10^5 parts", "a.glb",
     glb(meshes=[{"primitives": TRIANGLE["meshes"][0]["primitives"] * 100_000}]), "more than 2,000 parts"),
    ("GLB, 3000 in one another", "a.glb", glb(nodes=CHAIN), "in one another"),
    ("GLB, 2^20 by two ways each", "a.glb",
     glb(nodes=[{"children": [k + 1, k + 1]} for k in range(20)] + [{"mesh": 0}]), "hangs in two others"),
    ("GLB, a part in itself", "a.glb", glb(nodes=[{"mesh": 0, "children": [0]}]), "hangs in itself"),
    ("GLB, two parts in each other", "a.glb", glb(nodes=[{"children": [1], "mesh": 0}, {"children": [0]}]), "hangs in itself"),
    ("GLB nested 10^5 deep", "a.glb", packed(b"[" * 100_000), "description"),
    ("GLB, packed", "a.glb", glb(extensionsRequired=["KHR_draco_mesh_compression"]), "compression"),
    ("GLB, corners apart", "a.glb", glb_corners(sparse={"count": 1}), "stored apart"),
    ("GLB, fans", "a.glb", glb_part(mode=6), "triangle fans"),
    ("GLB, no such accessor", "a.glb", glb_part(indices=7), "description"),
    ("GLB cut off", "a.glb", glb()[:-20], "is cut off"),
    ("OBJ, a corner far off", "a.obj", b"v 0 0 0\nv 1 0 0\nv 0 0 1\nf 1 2 1000000000\n", "cannot be read"),
    ("OBJ, a corner before the first", "a.obj", b"v 0 0 0\nv 1 0 0\nv 0 0 1\nf -1 -2 -9\n", "not there"),
    ("OBJ, 1e308", "a.obj", b"v 0 0 0\nv 1e308 0 0\nv 0 0 1e308\nf 1 2 3\n", "larger than 10 km"),
    ("OBJ, 1e400", "a.obj", b"v 0 0 0\nv 1e400 0 0\nv 0 0 1\nf 1 2 3\n", "finite"),
    ("OBJ, 1e-320", "a.obj", b"v 0 0 0\nv 1e-320 0 0\nv 0 0 1e-320\nf 1 2 3\n", "no area"),
    ("OBJ flat", "a.obj", b"v 0 0\nv 1 0\nv 0 1\nf 1 2 3\n", "'a.obj'"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "data", "says"), [case[1:] for case in MESHES], ids=[case[0] for case in MESHES])
def test_a_mesh_that_claims_too_much_or_is_cut_off(name: str, data: bytes, says: str) -> None:
    tracemalloc.start()
    try:
        with bounded(), pytest.raises(Misfit) as caught:
            parse_mesh(data, name)
        assert tracemalloc.get_traced_memory()[1] < MOST_MEMORY_MB / 10 * 1e6
    finally:
        tracemalloc.stop()
    assert says in caught.value.sentence
    assert "'a." in caught.value.sentence


GOOD: list[tuple[str, str, bytes, int]] = [
    ("PLY in words", "a.ply", ply(), 1),
    ("PLY", "a.ply", ply(words=False), 1),
    ("STL", "a.stl", stl(2, 2), 2),
    ("STL in words", "a.stl", f"solid a\n{FACET}{FACET}endsolid a\n".encode(), 2),
    ("STL in words, two solids", "a.stl", f"solid\n{FACET}endsolid\nsolid\n{FACET}endsolid\n".encode(), 2),
    ("GLB", "a.glb", glb(), 1),
    ("GLB, standing twice", "a.glb", glb(nodes=[{"mesh": 0}, {"mesh": 0}], scenes=[{"nodes": [0, 1]}]), 2),
    ("GLB, a strip", "a.glb", glb_part(mode=5), 1),
    ("OBJ", "a.obj", b"v 0 0 0\nv 1 0 0\nv 1 0 1\nv 0 0 1\nf 1 2 3 4\n", 2),
    ("OBJ counted back", "a.obj", b"v 0 0 0\nv 1 0 0\nv 0 0 1\nf -3 -2 -1\nv 5 0 0\nv 6 0 0\nv 5 0 1\nf -3//-1 -2 -1\n", 2),
    ("OBJ of many materials", "a.obj",
     b"mtllib /dev/zero\nv 0 0 0\nv 1 0 0\nv 0 0 1\n"
     + b"".join(b"o p%d\nusemtl m%d\nf 1/1 2/1 3/1\n" % (k, k) for k in range(20_000)), 20_000),
]  # fmt: skip


@pytest.mark.parametrize(("name", "data", "faces"), [case[1:] for case in GOOD], ids=[case[0] for case in GOOD])
def test_what_is_whole_is_read_whole(name: str, data: bytes, faces: int) -> None:
    with bounded():
        mesh = parse_mesh(data, name)
    assert len(mesh.faces) == faces
    assert mesh.area_m2 == pytest.approx(faces * 0.5 if b"v 1 0 1" not in data else 1.0)


def grid_of_nothing(layer: str) -> bytes:
    made = drawing()
    made.blocks.new("NOTHING")
    many = {"row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1, "layer": layer}
    made.modelspace().add_blockref("NOTHING", (0, 0), dxfattribs=many)
    return dxf(made)


def grid_of_chairs() -> bytes:
    made = drawing()
    made.blocks.new("CHAIR").add_circle((0, 0), 0.2)
    many = {"row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1, "layer": "0"}
    made.modelspace().add_blockref("CHAIR", (0, 0), dxfattribs=many)
    return dxf(made)


def blocks_in_blocks() -> bytes:
    made = drawing()
    for level in range(5):
        block = made.blocks.new(f"B{level}")
        for number in range(100):
            if level:
                block.add_blockref(f"B{level - 1}", (number, 0))
            else:
                block.add_point((number, 0))
    made.modelspace().add_blockref("B4", (0, 0))
    return dxf(made)


@pytest.mark.parametrize(
    "made", [lambda: grid_of_nothing("SEATS"), lambda: grid_of_nothing("0"), grid_of_chairs, blocks_in_blocks],
    ids=["a grid of nothing", "a grid on another layer", "a grid of chairs elsewhere", "blocks in blocks"],
)  # fmt: skip
def test_a_small_plan_of_a_billion_things(made: Callable[[], bytes], monkeypatch: pytest.MonkeyPatch) -> None:
    from sightline.house import dxf_seats
    from sightline.scene.seatsource import PlanBlock, SeatSource

    # So that the tests need not walk all that may be walked; the next one does.
    monkeypatch.setattr(dxf_seats, "MOST_OPENED", 2_000)
    # With the wanted block named, and with points and circles: both ways open other blocks.
    for block in (PlanBlock(layer="SEATS"), PlanBlock(layer="SEATS", block="CHAIR")):
        source = SeatSource(dxf="s.dxf", unit="m", blocks=[block])
        with bounded(), pytest.raises(Misfit, match="more than 2,000 things inside its blocks"):
            dxf_seats.read_dxf(made(), source, 0.0)


def test_a_plan_of_as_many_things_as_are_looked_at() -> None:
    from sightline.house.dxf_seats import MOST_OPENED, read_dxf
    from sightline.scene.seatsource import PlanBlock, SeatSource

    source = SeatSource(dxf="s.dxf", unit="m", blocks=[PlanBlock(layer="SEATS")])
    # About 5 s of a core: a plan of many blocks is work, and a slow machine may take its time.
    with bounded(30), pytest.raises(Misfit, match=f"more than {MOST_OPENED:,} things inside its blocks"):
        read_dxf(grid_of_nothing("SEATS"), source, 0.0)


def test_a_block_that_holds_itself_ends(sandbox: Path) -> None:
    made = drawing()
    block = made.blocks.new("S")
    for number in range(2):
        block.add_blockref("S", (number, 0))
    made.modelspace().add_blockref("S", (0, 0), dxfattribs={"layer": "SEATS"})
    with bounded():
        survives("plan", dxf(made), sandbox)


def test_a_thousand_rows_named_twice_are_told_in_time(sandbox: Path) -> None:
    """Time grows with the seats, not with seats times rows."""
    from sightline.house.dxf_seats import read_dxf
    from sightline.scene.seatsource import PlanBlock, SeatSource

    made = drawing()
    chair = made.blocks.new("CHAIR")
    chair.add_attdef("ROW", (0, 0))
    chair.add_attdef("SEAT", (0, 0))
    for number in range(2000):
        put = made.modelspace().add_blockref("CHAIR", (0, -0.9 * number), dxfattribs={"layer": "SEATS"})
        put.add_auto_attribs({"ROW": str(number // 2), "SEAT": "1"})
    block = PlanBlock(layer="SEATS", block="CHAIR", floor=0.0, rise=0.1)
    with bounded(), pytest.raises(Misfit, match="Two seats of the plan are called 'SEATS 01'"):
        read_dxf(dxf(made), SeatSource(dxf="s.dxf", unit="m", blocks=[block]), 0.0)


COUNTS = {
    "rows of seats": ("venue", HALL.replace("rows: 3, seats: [4, 5, 4]", "rows: 100000, seats: 100000"), ""),
    "a standing area of 10 km": ("venue", HALL.replace("to: [2 m, -2 m]", "to: [9000 m, 9000 m]"), "the most is 200,000"),
    "people a millimetre apart": ("venue", HALL.replace("spacing: 80 cm", "spacing: 0.001 mm"), ""),
    "followers": ("venue", HALL + "followers: [{followers: f, route: [[0 m, 0 m], [1 m, 0 m]], count: 1000000}]\n", ""),
    "draws of a tour": ("tour", TOUR.replace("draws: 3", "draws: 1000000000"), ""),
    "frames of a tour": ("tour", TOUR + "fps: 1000000000\n", ""),
    "a tour's index": ("tour", TOUR.replace("covers[0]", "covers[999999999]"), ""),
    "a tour's key 10^5 deep": ("tour", TOUR.replace('"covers[0].disc.radius"', "? " + ".".join("a" * 100_000)), ""),
    "rows of a table": ("eyes", "id,x_m,y_m,z_m\n" + "".join(f"{n},0,0,0\n" for n in range(200_001)), "more than 200,000 eyes"),
    "columns of a table": ("eyes", "id," * 1_000_000, "twice"),
    "one cell of 2 MB": ("eyes", 'id,x_m,y_m,z_m\n"' + "a" * 2_000_000, "cannot be read"),
    "features": ("map", '{"type":"FeatureCollection","features":[' + ",".join(["{}"] * 500_000) + "]}", "a Point"),
    "digits of a whole number": ("map", MAP.replace("0.5", "9" * 5000), "no number"),
    "1e400": ("map", MAP.replace("0.5", "1e400"), "not a number"),
}  # fmt: skip


@pytest.mark.parametrize("name", COUNTS)
def test_counts_are_refused_before_they_are_laid_out(name: str, sandbox: Path) -> None:
    target, text, says = COUNTS[name]
    with bounded():
        said = survives(target, text.encode(), sandbox)
    assert said, "it was taken"
    assert says in said


def test_a_flood_of_mistakes_is_told_in_part(sandbox: Path) -> None:
    """50 of 40,000, how many there are, and in time."""
    from sightline.scene.reading import MOST_PROBLEMS

    lines = "".join(f"- {{idd{number}: 1}}\n" for number in range(10_000))
    with bounded():
        said = survives(
            "scene", f"version: 1\nsecrets: [{{name: t, disc: {{radius: 1 m}}}}]\neyes:\n{lines}".encode(), sandbox
        )
    assert "That is not all: " in said
    assert "10,000 things" in said or "20,000 things" in said or "30,000 things" in said, said[-300:]
    assert said.count("There is no key") <= MOST_PROBLEMS


def test_an_unfinished_description_says_so() -> None:
    head = json.dumps(TRIANGLE).encode()
    whole = struct.pack("<4sII", b"glTF", 2, 20 + len(head)) + struct.pack("<I4s", len(head) + 8, b"JSON") + head
    with pytest.raises(Misfit, match="is cut off"):
        parse_mesh(whole, "a.glb")
