"""A venue written out again: its seats as CSV or GeoJSON, or the whole of it as YAML with the seats beside it."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Sequence
from pathlib import PurePath
from typing import Any

import numpy as np

from sightline.geometry.mesh import Cover, Mesh
from sightline.house.build import House
from sightline.house.csvtable import guarded
from sightline.house.eyes import Eye
from sightline.scene.ground import DRAWN_KINDS

HEADER = ("id", "x_m", "y_m", "z_m", "floor_m", "level", "row", "seat", "kind", "weight", "fov_deg", "pixels")
# What the seat list stands for in the file that is written.
REPLACED = ("seats", "seats from", "standing", "followers", "eyes", "drawn")


def _metres(value: float | None) -> str:
    """To a nanometre, without an idle minus."""
    return "" if value is None else f"{round(value, 9) + 0.0:.9f}".rstrip("0").rstrip(".")


def _cells(eye: Eye) -> list[str]:
    x, y, z = eye.position_m
    camera = eye.camera
    fov = "" if camera is None or camera.fov_rad is None else f"{math.degrees(camera.fov_rad):.12g}"
    pixels = "" if camera is None or camera.pixels is None else str(camera.pixels)
    words = [eye.level or "", eye.row or "", eye.seat or "", eye.kind]
    places = [_metres(x), _metres(y), _metres(z), _metres(eye.floor_m)]
    return [eye.id, *places, *words, f"{eye.weight:.12g}", fov, pixels]


def csv_text(eyes: Sequence[Eye]) -> str:
    """One line for each eye, in metres of the venue's frame; reads back by `seats from: {csv: FILE}`."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    writer.writerows([guarded(cell) for cell in _cells(eye)] for eye in eyes)
    return out.getvalue()


def geojson_text(eyes: Sequence[Eye], name: str) -> str:
    """One point for each eye, in metres of the venue's frame; reads back by `seats from: {geojson: FILE, unit: m}`."""
    features = []
    for eye in eyes:
        cells = dict(zip(HEADER, _cells(eye), strict=True))
        properties: dict[str, Any] = {key: cells[key] for key in ("id", "level", "row", "seat", "kind") if cells[key]}
        properties["weight"] = float(cells["weight"])
        for key, column in (("floor", "floor_m"), ("fov_deg", "fov_deg"), ("pixels", "pixels")):
            if cells[column]:
                properties[key] = int(cells[column]) if key == "pixels" else float(cells[column])
        at = [float(cells[key]) for key in ("x_m", "y_m", "z_m")]
        point = {"type": "Point", "coordinates": at}
        features.append({"type": "Feature", "geometry": point, "properties": properties})
    # One line for each seat, so that two versions can be compared.
    rows = ",\n".join(json.dumps(feature, ensure_ascii=False, allow_nan=False) for feature in features)
    head = json.dumps({"type": "FeatureCollection", "name": name, "unit": "m"}, ensure_ascii=False)
    return f'{head[:-1]}, "features": [\n{rows}\n]}}\n'


def venue_files(
    tree: dict[str, Any], house: House, stem: str, meshes: dict[str, bytes], lowest_m: float
) -> dict[str, bytes]:
    """File names and bytes of the venue as YAML, its seats as CSV and balconies as OBJ beside it.

    `tree` is the venue as written; `meshes` are the files that it names, by name, to go along under plain names.
    `lowest_m` is the auditorium floor, under which a list may not go without saying so.
    """
    import yaml

    kept = {key: value for key, value in tree.items() if key not in REPLACED}
    files = {f"{stem}-seats.csv": csv_text(house.eyes).encode()}
    carried = {name: _free(files, f"{stem}-{PurePath(name).name}", data) for name, data in meshes.items()}
    scenery = [_carried(piece, carried) for piece in kept.get("scenery", [])]
    for number, cover in enumerate(_of_seats(tree, house), 1):
        name = _free(files, f"{stem}-balcony-{number}.obj", b"")
        files[name] = obj_text(cover.mesh).encode()
        scenery.append({"name": cover.name, "mesh": name, "at": ["0 m", "0 m", "0 m"]})
    if scenery:
        kept["scenery"] = scenery
    source: dict[str, str] = {"csv": f"{stem}-seats.csv"}
    floors = [eye.floor_m if eye.floor_m is not None else eye.position_m[2] for eye in house.eyes]
    if floors and min(floors) < lowest_m - 1e-6:
        source["floor"] = f"{math.floor(min(floors))} m"
    if house.eyes:
        kept["seats from"] = [source]
    drawn = [
        {
            "name": line.name,
            "kind": line.kind,
            ("polygon" if line.closed else "line"): _corners(line.points_m, line.closed),
        }
        for line in house.outlines
        if line.kind in DRAWN_KINDS
    ]
    if drawn:
        kept["drawn"] = drawn

    class Plain(yaml.SafeDumper):
        """Scalars as they were written: our reader takes their text, so that a `yes` needs no quotes."""

        yaml_implicit_resolvers = {}

    text = yaml.dump(kept, Dumper=Plain, sort_keys=False, allow_unicode=True, default_flow_style=None, width=110)
    head = "# Written by sightline venue --export: the seats are in the table beside this file.\n"
    return {f"{stem}.yaml": (head + text).encode(), **files}


def _free(files: dict[str, bytes], name: str, data: bytes) -> str:
    """Put a file under its name, or with a number after it where another has that, also in other letters' case."""
    taken = {known.casefold() for known in files}
    path, number, free = PurePath(name), 2, name
    while free.casefold() in taken:
        free, number = f"{path.stem}-{number}{path.suffix}", number + 1
    files[free] = data
    return free


def _corners(points_m: Any, closed: bool) -> list[list[str]]:
    points = points_m[:-1] if closed else points_m
    return [[f"{_metres(float(x))} m", f"{_metres(float(y))} m"] for x, y in points]


def _carried(piece: Any, carried: dict[str, str]) -> Any:
    mesh = piece.get("mesh") if isinstance(piece, dict) else None
    if isinstance(mesh, dict):
        return piece | {"mesh": mesh | {"file": carried.get(mesh["file"], mesh["file"])}}
    return piece | {"mesh": carried.get(mesh, mesh)} if isinstance(mesh, str) else piece


def _of_seats(tree: dict[str, Any], house: House) -> list[Cover]:
    """The covers that the blocks of seats bring: they would go with them."""
    names = {
        f"{block.get('block')} {part}"
        for block in tree.get("seats", [])
        if "balcony" in block
        for part in ("fascia", "rail", "underside")
    }
    return [cover for cover in house.scenery if cover.name in names]


def obj_text(mesh: Mesh) -> str:
    """A mesh as OBJ, every digit of its corners kept."""
    corners = "\n".join(f"v {x!r} {y!r} {z!r}" for x, y, z in np.asarray(mesh.vertices).tolist())
    faces = "\n".join(f"f {a} {b} {c}" for a, b, c in (mesh.faces + 1).tolist())
    return f"{corners}\n{faces}\n"
