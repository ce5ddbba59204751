"""Marks and facings solved for a venue: what must come out of plain shapes, and what it must never buy."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from sightline.scene.reading import read_scene, scene_from_text
from sightline.sight.check import check
from sightline.staging import stage
from sightline.tour.folder import scenes_of, write_folder
from sightline.tour.plan import read_plan
from sightline.tour.run import Ran, Where, run
from sightline.tour.store import Store
from sightline.tour.summary import document
from tests.tour.scenes import ACT, put

SIDE = """
version: 1
name: From the side
stage: {kind: floor, width: 4 m, depth: 4 m}
eyes:
  - {id: S1, at: [5 m, 0.2 m, 1.2 m]}
  - {id: S2, at: [5 m, 1.4 m, 1.2 m]}
"""
TOUR = "version: 1\ntitle: Autumn\nvenues: [front.yaml, side.yaml]\nscenes: [act.yaml]\n"


def retargeted(path: Path, state: Path) -> tuple[Ran, dict[str, Any]]:
    ran = run(read_plan(path), Store(state), Where(1), retarget=True)
    return ran, document(ran, path.name)


def test_only_the_mark_and_facing_move_and_only_where_they_must(tmp_path: Path) -> None:
    """Before, the plate hides the disc from full front; whoever sits in profile left sees it until the act turns there."""
    ran, report = retargeted(put(tmp_path, TOUR, side=SIDE), tmp_path / "state")
    front, side = report["moves"]
    assert (front["solved"], front["words"]) == ([], "stays")
    assert (side["before"]["seen"], side["after"]["seen"]) == (2, 0)
    assert {change["path"] for change in side["solved"]} <= {"blocking.mark", "blocking.facing"}
    assert report["moves_say"].startswith("Only these marks and cues move from venue to venue: blocking.")
    assert [row["seen"] for row in report["rows"]] == [0, 0]
    # The text differs from the scene in these two keys alone.
    result = next(result for point, result in ran.moved.items() if point.stop == 1)
    before, after = (
        scene_from_text(text, folder=tmp_path).model for text in (ran.plan.points()[1].scene_text(), result["text"])
    )
    assert after.model_copy(update={"blocking": before.blocking}) == before
    facing = after.blocking.facing
    assert isinstance(facing, float)
    # The plate covers bearings to within some 50 deg of where it faces (0.3 m plate, 0.3 m before a 0.1 m disc).
    assert 90 - 50 < math.degrees(facing) < 90 + 50


def test_the_new_scenes_stand_alone(tmp_path: Path) -> None:
    """Each in a folder with all that it needs: read from there it gives what the table says."""
    (tmp_path / "plate.obj").write_text(
        "v -0.3 0 0.9\nv 0.3 0 0.9\nv 0.3 0 1.5\nv -0.3 0 1.5\nf 1 2 3\nf 1 3 4\n", encoding="ascii"
    )
    act = ACT.replace("disc: {radius: 0.3 m}, at: [0 m, -0.3 m, 1.2 m]", "mesh: plate.obj, at: [0 m, -0.3 m, 0 m]")
    ran, report = retargeted(put(tmp_path, TOUR, side=SIDE, act=act), tmp_path / "state")
    out = tmp_path / "out"
    write_folder(out, scenes_of(ran))
    assert sorted(path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()) == [
        "front/act/plate.obj", "front/act/scene.yaml", "front/act/venue/front.yaml",
        "side/act/plate.obj", "side/act/scene.yaml", "side/act/venue/side.yaml",
    ]  # fmt: skip
    for name, row in zip(("front", "side"), report["rows"], strict=True):
        finding = check(stage(read_scene(out / name / "act" / "scene.yaml")))
        assert int((finding.worst_verdict() == 2).sum()) == row["seen"]
        assert "# This comment stays." in (out / name / "act" / "scene.yaml").read_text(encoding="utf-8")


def test_the_scenes_own_mark_in_an_exit_is_left(tmp_path: Path) -> None:
    """The whole upstage half is to be kept clear, the mark in it: the new one is outside, half a body's width away."""
    venue = SIDE + "keep clear: [{name: fire lane, polygon: [[-3 m, 0.5 m], [3 m, 0.5 m], [3 m, 3 m], [-3 m, 3 m]]}]\n"
    _, report = retargeted(put(tmp_path, TOUR.replace("front.yaml, ", ""), side=venue), tmp_path / "state")
    (moved,) = report["moves"]
    assert "fire lane" in moved["own_mark_refused"], moved
    mark = next(change["value"] for change in moved["solved"] if change["path"] == "blocking.mark")
    upstage = float(mark.strip("[]").split(",")[1].strip().removesuffix(" m"))
    assert upstage <= 0.5 - 0.25 + 1e-6
    assert moved["after"]["seen"] == 0


def test_a_venue_without_a_lawful_mark_is_a_failed_row(tmp_path: Path) -> None:
    venue = SIDE + "keep clear: [{name: fire lane, polygon: [[-9 m, -9 m], [9 m, -9 m], [9 m, 9 m], [-9 m, 9 m]]}]\n"
    _, report = retargeted(put(tmp_path, TOUR, side=venue), tmp_path / "state")
    assert [row["error"] is None for row in report["rows"]] == [True, False]
    assert "Not retargeted: No mark of this venue's acting area will do." in report["rows"][1]["error"]


def test_a_wheelchair_place_keeps_its_clear_view(tmp_path: Path) -> None:
    """Turning 9 deg hides it from the last one, and takes the owl between its boards from the one on the other side.

    Where that one sits in a seat the turn is made; where it is a wheelchair place it is not.
    """
    boards = "".join(
        f", {{name: board {side}, box: {{width: 2 cm, depth: 0.8 m, height: 0.6 m}}, at: [{side}0.15 m, -0.9 m, 1.6 m], carried: yes}}"
        for side in ("", "-")
    )
    act = ACT.replace("carried: yes}]\nsecrets", f"carried: yes}}{boards}]\nsecrets")
    front = [(f"F{k}", 0.8 * k, "seated") for k in range(11)]
    last = [("last", 42.0, "seated")]
    clear = "keep clear: [{name: wings, polygon: [[-9 m, 1.3 m], [9 m, 1.3 m], [9 m, 9 m], [-9 m, 9 m]]}]\n"

    def lost(kind: str) -> tuple[int, bool]:
        eyes = ""
        for name, deg, own in [*front, *last, ("W", -7.0, kind)]:
            x, y = 5 * math.sin(math.radians(deg)), 1 - 5 * math.cos(math.radians(deg))
            eyes += f"  - {{id: {name}, at: [{x:.4f} m, {y:.4f} m, 1.4 m], kind: {own}}}\n"
        venue = f"version: 1\nname: Small\nstage: {{kind: floor, width: 1 m, depth: 2.2 m}}\n{clear}eyes:\n{eyes}"
        path = put(tmp_path, TOUR.replace("front.yaml, ", ""), act=act, side=venue)
        ran, report = retargeted(path, tmp_path / "state")
        (result,) = ran.moved.values()
        finding = check(stage(scene_from_text(result["text"], folder=tmp_path)))
        at = [eye.id for eye in finding.moment.eyes].index("W")
        return report["rows"][0]["seen"], bool(finding.must_see["owl"].clear[at])

    assert lost("seated") == (0, False)
    assert lost("wheelchair") == (1, True)


def test_beats_are_not_retargeted(tmp_path: Path) -> None:
    tour = "version: 1\nvenues: [front.yaml]\nscenes: [beats.yaml]\n"
    _, report = retargeted(put(tmp_path, tour), tmp_path / "state")
    assert "A scene with beats is not retargeted" in report["rows"][0]["error"]


def test_a_venues_own_changes_hold_for_every_variant(tmp_path: Path) -> None:
    tour = TOUR.replace("side.yaml", "{use: side.yaml, change: {blocking.facing: 90 deg}}")
    report = document(run(read_plan(put(tmp_path, tour, side=SIDE)), Store(tmp_path / "s"), Where(1)), "tour.yaml")
    assert [row["seen"] for row in report["rows"]] == [0, 0]
    assert report["moves"][1]["changes"] == [{"path": "blocking.facing", "value": "90 deg"}]
    assert "Only these marks and cues move from venue to venue: blocking.facing." in report["moves_say"]


@pytest.mark.parametrize("path", ["prop", "title"])
def test_what_is_no_mark_is_said_to_be_none(tmp_path: Path, path: str) -> None:
    value = "{title: Other}" if path == "title" else "{detail: 15 mm}"
    tour = TOUR.replace("side.yaml", f"{{use: side.yaml, change: {value}}}")
    report = document(run(read_plan(put(tmp_path, tour, side=SIDE)), Store(tmp_path / "s"), Where(1)), "tour.yaml")
    assert "not marks or cues" in report["moves_say"]
