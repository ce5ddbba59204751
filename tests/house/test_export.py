"""A venue written out and read again is the same venue."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.house.export import csv_text, geojson_text
from sightline.house.ready import ready_names
from sightline.staging.audience import venue_house
from tests.house.plans import BLOCKS, same_eyes
from tests.house.test_sources import check_of
from tests.house.venues import house_of

BALCONY = BLOCKS.replace("floor: 2.4 m, rise: 40 cm,", "floor: 2.4 m, rise: 40 cm, balcony: {rail: 0.9 m},")
CROWD = """\
version: 1
name: Yard
stage: {kind: floor, radius: 1 m}
standing:
  - {area: ring, ring: {inner: 2 m, outer: 4 m, from: -90 deg, to: 90 deg}, density: 2, closed behind: 0.4, sampled: yes, floor: -0.6 m,
     people: {adults: 0.6, children: 0.2, wheelchair: 0.1, raised phones: 0.1}}
followers: [{followers: train, route: [[-9 m, 6 m], [0 m, 6 m]], at: 8 m, count: 7}]
eyes: [{id: cam, at: [0 m, -9 m, 2 m], kind: camera, field of view: 65.4321 deg, pixels: 1920}, {id: dot, at: [1 m, -9 m, -3 m]}]
walls: [[[-9 m, -9 m], [9 m, -9 m]]]
exits: [{name: gate, line: [[-1 m, -9 m], [1 m, -9 m]]}]
looks at: [0.3 m, 0 m, 1.1 m]
"""


def exported(folder: Path, venue: str, ending: str) -> Path:
    target = folder / f"out.{ending}"
    done = CliRunner().invoke(app, ["venue", venue, "--export", str(target), "--json"])
    assert done.exit_code == 0, done.exception
    assert json.loads(done.stdout)["schema_version"] == 1
    return target


@pytest.mark.parametrize("name", [*ready_names(), "balcony", "crowd"])
def test_yaml_with_its_table_reads_as_the_same_house(tmp_path: Path, name: str) -> None:
    """Eyes to a micrometre; covers with every digit; the lines of the plan."""
    source = name
    if name in ("balcony", "crowd"):
        source = str(tmp_path / "own.yaml")
        Path(source).write_text(BALCONY if name == "balcony" else CROWD, encoding="utf-8")
    before, after = venue_house(source)[1], venue_house(str(exported(tmp_path, source, "yaml")))[1]
    same_eyes(before, after)
    assert [eye.camera is None for eye in before.eyes] == [eye.camera is None for eye in after.eyes]
    for a, b in zip(before.eyes, after.eyes, strict=True):
        if a.camera is not None and b.camera is not None:
            assert a.camera.fov_rad == pytest.approx(b.camera.fov_rad, abs=1e-12)
            assert a.camera.pixels == b.camera.pixels
    assert after.levels == before.levels
    covers = {cover.name: cover.mesh for cover in after.scenery}
    assert set(covers) == {cover.name for cover in before.scenery}
    for cover in before.scenery:
        np.testing.assert_array_equal(covers[cover.name].corners, cover.mesh.corners)
    lines = {(line.name, line.kind): line.points_m for line in after.outlines}
    for line in before.outlines:
        # What stands on the plan for a balcony's own covers are their bounds besides.
        assert (line.name, line.kind) in lines
    assert len({eye.id for eye in after.eyes}) == len(before.eyes)


def test_the_exported_hall_gives_the_same_check(tmp_path: Path) -> None:
    (tmp_path / "own.yaml").write_text(BALCONY, encoding="utf-8")
    exported(tmp_path, str(tmp_path / "own.yaml"), "yaml")
    before, after = check_of(tmp_path, "own"), check_of(tmp_path, "out")
    assert before["summary"]["eyes_seen"] > 0
    for a, b in zip(before["eyes"], after["eyes"], strict=True):
        assert a["id"] == b["id"]
        assert {k: s["verdict"] for k, s in a["secrets"].items()} == {k: s["verdict"] for k, s in b["secrets"].items()}


@pytest.mark.parametrize("ending", ["csv", "geojson"])
def test_a_table_and_a_map_read_again(tmp_path: Path, ending: str) -> None:
    source = tmp_path / "own.yaml"
    source.write_text(BALCONY, encoding="utf-8")
    exported(tmp_path, str(source), ending)
    unit = ", unit: m" if ending == "geojson" else ""
    (tmp_path / "again.yaml").write_text(
        f"version: 1\nstage: {{height: 1 m}}\nseats from: {{{ending}: out.{ending}{unit}}}\nlooks at: [0 m, 1 m, 1.2 m]\n",
        encoding="utf-8",
    )
    same_eyes(venue_house(str(source))[1], venue_house(str(tmp_path / "again.yaml"))[1])


def test_the_same_venue_gives_the_same_bytes() -> None:
    one, other = house_of(CROWD), house_of(CROWD)
    assert csv_text(one.eyes) == csv_text(other.eyes)
    assert geojson_text(one.eyes, "Yard") == geojson_text(other.eyes, "Yard")


def test_a_venue_takes_its_meshes_along(tmp_path: Path) -> None:
    folder, there = tmp_path / "a", tmp_path / "b"
    folder.mkdir()
    there.mkdir()
    (folder / "pillar.obj").write_text("v 0 -2 0\nv 1 -2 0\nv 0 -2 3\nf 1 2 3\n", encoding="utf-8")
    (folder / "own.yaml").write_text(
        BLOCKS.replace(
            "scenery: [", "scenery: [{name: pillar, mesh: {file: pillar.obj, scale: 0.5}, at: [0 m, 0 m, 0 m]}, "
        ),
        encoding="utf-8",
    )
    exported(there, str(folder / "own.yaml"), "yaml")
    assert "pillar" in {cover.name for cover in venue_house(str(there / "out.yaml"))[1].scenery}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--export", "own.yaml"], "over its own file"),
        (["--export", "out.txt"], "csv, .geojson or .yaml"),
        (["--export", "gone/out.csv"], "no folder"),
        (["--export", "there.csv"], "already there"),
        (["--out", "p.gif"], "no picture"),
    ],
)
def test_what_may_not_be_written_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("own.yaml").write_text(BLOCKS, encoding="utf-8")
    Path("there.csv").write_text("mine", encoding="utf-8")
    done = CliRunner().invoke(app, ["venue", "own.yaml", *words])
    assert said in str(done.exception)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["own.yaml", "there.csv"]
    assert Path("there.csv").read_text(encoding="utf-8") == "mine"
