"""A carried prop that is imported must be watertight: otherwise nobody can tell what is inside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from sightline.errors import FileError
from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import box
from sightline.scene.reading import scene_from_text
from sightline.staging import stage

SCENE = """\
version: 1
performer: {stature: 172 cm}
prop:
  name: trunk
  mesh: trunk.obj
  at: {ahead: 36 cm, up: 112 cm}
secrets: [{name: label, disc: {radius: 3 cm}, at: [0 m, -1 m, 1 m]}]
eyes: [{id: E1, at: [0 m, -6 m, 1.2 m]}]
"""


def write_obj(path: Path, mesh: Mesh) -> None:
    lines = [f"v {x} {y} {z}" for x, y, z in mesh.vertices] + [f"f {a + 1} {b + 1} {c + 1}" for a, b, c in mesh.faces]
    path.write_text("\n".join(lines) + "\n", encoding="ascii")


def test_an_open_prop_is_refused_with_its_place(tmp_path: Path) -> None:
    whole = box(0.4, 0.3, 0.3)
    write_obj(tmp_path / "trunk.obj", Mesh(whole.vertices, whole.faces[2:]))
    with pytest.raises(FileError, match=r"(?s)not watertight.*scene\.yaml:5:9: prop\.mesh"):
        stage(scene_from_text(SCENE, folder=tmp_path))


def test_a_closed_prop_is_carried_and_turned_outward(tmp_path: Path) -> None:
    write_obj(tmp_path / "trunk.obj", box(0.4, 0.3, 0.3).flipped())
    moment = stage(scene_from_text(SCENE, folder=tmp_path))
    trunk = next(cover.mesh for cover in moment.still.covers if cover.name == "trunk")
    assert trunk.volume_m3 == pytest.approx(0.4 * 0.3 * 0.3)
    assert any("inside out" in note for note in moment.assumptions)
