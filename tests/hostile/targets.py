"""The readers of strangers' files, each as a function of bytes: nothing but our own errors may come out of one.

Used by the fuzzer (`fuzz.py`), by the replay of its finds and by the tests of hostile files. `sandbox` is a folder with
the files that a scene or a tour may name.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext, suppress
from pathlib import Path

from sightline.errors import SightlineError
from sightline.house.build import build
from sightline.house.csv_eyes import read_eyes
from sightline.house.csv_seats import read_csv
from sightline.house.dxf_seats import read_dxf
from sightline.house.geojson_seats import read_geojson
from sightline.scene.editing import edited
from sightline.scene.reading import read_as_built, read_kept, read_scene, read_venue
from sightline.scene.seatsource import PlanBlock, SeatSource
from sightline.units import QuantityError, Unknown, number, parse

# The most that one input may take of a core, and of memory beyond what the program itself takes.
MOST_SECONDS = 10
MOST_MEMORY_MB = 2_000

Target = Callable[[bytes, Path], None]

# Those that are given a file, not bytes.
FILES = {"scene": "scene.yaml", "venue": "venue.yaml", "tour": "tour.yaml", "kept": "kept.yaml", "sheet": "sheet.yaml"}


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


def read_as_sheet(data: bytes, sandbox: Path) -> None:
    """Sizes as built, which are compared with a scene."""
    read_as_built(sandbox / FILES["sheet"])


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
    "sheet": read_as_sheet,
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
