"""The mock-up: card that closes into the box, and cameras that look from the same direction.

Sources: solid geometry and trigonometry. Tolerances: directions 0.1 deg (the issue's), volumes 1e-9 m3, girths 1 %
(the skin has 32 sides, whose outline is 0.2 % short of its circle).
"""

from __future__ import annotations

import csv
import json
import math
import re
from pathlib import Path
from textwrap import dedent
from typing import Literal

import numpy as np
import pytest
from typer.testing import CliRunner, Result

from sightline.cli.main import app
from sightline.cli.work import finding_of, thresholds
from sightline.errors import SightlineError
from sightline.figure.armskin import BICEPS_AT
from sightline.geometry.frame import FloatArray
from sightline.pictures.mockup import draw_mockup
from sightline.pictures.page import CHECK_BAR_MM, MARGIN_MM, PAGE_MM, pdf_of
from sightline.scene.prop import CarriedBox, Opening
from sightline.scene.reading import read_scene, scene_from_text
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.mockup import SEAM_M, box_panels, from_edges, mockup_of
from sightline.workshop.room import Room, room_of
from sightline.workshop.roomsheet import RoomSheet, room_sheet
from sightline.workshop.roomspot import OFF_CEILING_M, OFF_WALL_M, nearness_deg
from tests.conftest import REPOSITORY

DIRECTION_DEG, VOLUME_M3, GIRTH = 0.1, 1e-9, 0.01
# A target of 4 cm behind the middle of a wall 1 m wide: who is round its side sees it, who is straight ahead does not.
WALL = """
version: 1
title: wall
covers: [{name: wall, rectangle: {width: 1 m, height: 3 m}, at: [0 m, -0.3 m, 1.2 m]}]
secrets: [{name: target, rectangle: {width: 4 cm, height: 4 cm}, at: [0 m, 0 m, 1.2 m]}]
"""


def bench(text: str) -> Bench:
    return bench_of(scene_from_text(dedent(text), folder=Path(".")))


def eyes_at(*at: tuple[str, float, float, float]) -> str:
    """Eyes by bearing (deg), height over the target's 1.2 m (deg up), and distance (m)."""
    rows = []
    for name, bearing, up, far in at:
        b, u = math.radians(bearing), math.radians(up)
        x, y, z = far * math.cos(u) * math.sin(b), -far * math.cos(u) * math.cos(b), 1.2 + far * math.sin(u)
        rows.append(f"{{id: {name}, at: [{x:.6f} m, {y:.6f} m, {z:.6f} m]}}")
    return f"eyes: [{', '.join(rows)}]\n"


def sheet_for(made: Bench, room: Room) -> RoomSheet:
    finding = finding_of(made.written, made.staged, margins=True)
    return room_sheet(made.staged, finding, thresholds(made.scene), room)


def between_deg(one: FloatArray, other: FloatArray) -> float:
    return float(np.degrees(np.arctan2(np.linalg.norm(np.cross(one, other)), one @ other)))


ROUND = eyes_at(
    ("ahead", 0, 0, 9), ("left", 40, -4, 12), ("side", 75, 3, 8), ("far-side", -80, 0, 20), ("edge", 62, 5, 15)
)


@pytest.mark.parametrize("facing", [0, 35])
def test_the_camera_keeps_its_direction_and_what_shows(facing: int) -> None:
    """An eye on the moved place sees the same kind as the far eye did; the wall's edge is 15 deg or more away."""
    sheet = sheet_for(bench(WALL + ROUND + f"blocking: {{facing: {facing} deg}}\n"), room_of("5 x 5 m"))
    assert [spot.why_not for spot in sheet.spots] == [None] * 5
    verdicts = {spot.eye: spot.venue_verdict for spot in sheet.spots}
    assert verdicts == {"ahead": "hidden", "left": "hidden", "side": "seen", "far-side": "seen", "edge": "seen"}
    for spot in sheet.spots:
        assert spot.camera_m is not None
        assert between_deg(spot.venue_m - spot.knot.at_m, spot.camera_m - spot.knot.at_m) < DIRECTION_DEG
        assert spot.string_m == pytest.approx(float(np.linalg.norm(spot.camera_m - spot.knot.at_m)))
        assert 1.0 <= spot.string_m < spot.venue_distance_m
        assert spot.predicted == spot.venue_verdict
        # And by a check of its own, with an explicit eye there.
        x, y, z = sheet.turn.points(spot.camera_m)
        at = f"eyes: [{{id: near, at: [{x:.9f} m, {y:.9f} m, {z:.9f} m]}}]\n"
        near = finding_of((own := bench(WALL + at)).written, own.staged)
        assert bool(near.worst_verdict()[0]) is (spot.venue_verdict != "hidden")


def test_cameras_stay_in_the_room() -> None:
    sheet = sheet_for(bench(WALL + ROUND), room := room_of("4 x 3 m"))
    assert {sheet.room.across_m, sheet.room.along_m} == {4.0, 3.0}
    for spot in sheet.spots:
        if spot.camera_m is None:
            continue
        x, y, z = spot.camera_m
        assert OFF_WALL_M - 1e-6 <= sheet.mark_m[0] + x <= sheet.room.across_m - OFF_WALL_M + 1e-6
        assert OFF_WALL_M - 1e-6 <= sheet.mark_m[1] - y <= sheet.room.along_m - OFF_WALL_M + 1e-6
        assert 0 < z <= room.ceiling_m - OFF_CEILING_M + 1e-6


def test_what_the_room_cannot_hold_says_why() -> None:
    """From 1.2 m up, a camera 1 m off is at 2.2 m at 88 deg up, at 2.4 m never: the ceiling is less OFF_CEILING_M."""
    eyes = eyes_at(("gods", 80, 88, 12), ("pit", 80, -85, 12), ("close", 70, 0, 0.8), ("plain", 100, 0, 6))
    sheet = sheet_for(bench(WALL + eyes), Room(4.0, 3.0, 2.2))
    why = {spot.eye: spot.why_not or "" for spot in sheet.spots}
    assert "above the ceiling of 2.20 m" in why["gods"]
    assert "itself only 0.80 m" in why["close"]
    assert why["plain"] == ""
    # 1.2 m less 1.0 sin 85 is above the floor by 0.20 m: it fits, just.
    assert why["pit"] == ""
    steep = WALL.replace("1.2 m]", "0.9 m]") + eyes_at(("pit", 80, -85, 12)).replace("1.2 m", "0.9 m")
    (pit,) = sheet_for(bench(steep), Room(4.0, 3.0)).spots
    assert "below the floor" in (pit.why_not or "")
    small = sheet_for(bench(WALL + ROUND), Room(1.2, 1.2))
    assert all("the wall" in (spot.why_not or "") for spot in small.spots)
    assert small.finding is None


def test_nearness_by_trigonometry() -> None:
    """Half extent 0.1 m, square to a line of 10 m brought to 2 m: atan(0.1/2) - atan(0.1/10) = 2.2895 deg."""
    points = np.array([[0.1, 0.0, 0.0], [-0.1, 0.0, 0.0]])
    found = nearness_deg(points, np.array([0.0, -10.0, 0.0]), np.array([0.0, -2.0, 0.0]))
    assert found == pytest.approx(math.degrees(math.atan(0.05) - math.atan(0.01)), abs=1e-9)


def test_worst_are_of_distinct_directions_and_the_rest_has_least_to_spare() -> None:
    eyes = eyes_at(
        ("a", 75, 0, 5), ("a-too", 77, 0, 5), ("b", -75, 0, 5), ("c", 0, 0, 5), ("d", 45, 0, 5), ("e", 20, 0, 5)
    )
    chosen = {spot.eye: spot.chosen for spot in sheet_for(bench(WALL + eyes), room_of("6 x 6 m")).spots}
    assert chosen == {
        "a-too": "worst",
        "b": "worst",
        "d": "least to spare",
        "e": "least to spare",
        "c": "least to spare",
    } or (chosen == {"a": "worst", "b": "worst", "d": "least to spare", "e": "least to spare", "c": "least to spare"})


@pytest.mark.parametrize("top", ["closed", "open"])
def test_the_panels_are_the_boxs_walls(top: Literal["closed", "open"]) -> None:
    """Card of the panels' area and thickness fills what is between outside and inside, no more and no less."""
    card = 0.005
    box = CarriedBox.model_construct(width=0.46, depth=0.32, height=0.30, wall=0.006, top=top)
    panels = box_panels(box, [], card)
    made = sum(panel.across_m * panel.up_m * card for panel in panels)
    inside = (0.46 - 2 * card) * (0.32 - 2 * card) * (0.30 - (2 if top == "closed" else 1) * card)
    assert made == pytest.approx(0.46 * 0.32 * 0.30 - inside, abs=VOLUME_M3)
    assert len(panels) == (6 if top == "closed" else 5)


@pytest.mark.parametrize(
    ("wall", "left_m"),
    [("front", 0.33), ("back", 0.13), ("left", 0.26), ("right", 0.06), ("top", 0.33), ("bottom", 0.13)],
)
def test_from_which_edge(wall: str, left_m: float) -> None:
    """10 cm to the performer's left is to the right for who faces the front, and to the left for who is behind."""
    size = np.array([0.46, 0.32, 0.30])
    assert from_edges(size, wall, (0.10, 0.02)) == pytest.approx(
        (left_m, (0.32 if wall in ("top", "bottom") else 0.30) / 2 + 0.02)
    )


def test_a_hole_is_marked_from_the_piece_itself() -> None:
    box = CarriedBox.model_construct(width=0.46, depth=0.32, height=0.30, wall=0.006, top="closed")
    hole = Opening(wall="left", shape="rectangle", width=0.1, height=0.08, at=(0.03, -0.02))
    panel = next(p for p in box_panels(box, [hole], 0.004) if p.name == "left")
    (cut,) = panel.cuts
    # From the left the performer's side is at the right; the front panel's thickness is not this piece's.
    assert (cut.from_left_m, cut.from_bottom_m) == pytest.approx((0.16 + 0.03 - 0.004, 0.15 - 0.02))
    assert panel.edges == ("front", "back", "bottom", "top")
    assert panel.border_m(cut) == pytest.approx(0.312 - 0.186 - 0.05)


@pytest.fixture(scope="module")
def courier() -> Bench:
    return bench_of(read_scene(REPOSITORY / "examples" / "courier-pitch.yaml", None))


def test_the_sleeve_is_the_false_arms_skin(courier: Bench) -> None:
    """The girth said is the girth of the mesh where it is cut square to the bone."""
    import trimesh

    (arm,), (sleeve,) = courier.false_arms, mockup_of(courier).sleeves
    at = arm.shoulder + BICEPS_AT * (arm.elbow - arm.shoulder)
    skin = trimesh.Trimesh(arm.mesh.vertices, arm.mesh.faces, process=False)
    pieces = trimesh.intersections.mesh_plane(skin, arm.elbow - arm.shoulder, at)  # type: ignore[no-untyped-call]
    round_it = np.linalg.norm(pieces.mean(axis=1) - at, axis=1) < 0.08
    girth = float(np.linalg.norm(pieces[round_it, 1] - pieces[round_it, 0], axis=1).sum())
    biceps = next(station for station in sleeve.stations if station.name == "biceps")
    assert biceps.girth_m == pytest.approx(girth, rel=GIRTH)
    assert biceps.cut_m == pytest.approx(biceps.girth_m + 2 * SEAM_M)
    assert sleeve.upper_m + sleeve.fore_m == pytest.approx(sleeve.stations[-1].along_m)
    # Cosine rule.
    bent = math.radians(180 - sleeve.bend_deg)
    straight = math.sqrt(sleeve.upper_m**2 + sleeve.fore_m**2 - 2 * sleeve.upper_m * sleeve.fore_m * math.cos(bent))
    assert sleeve.straight_m == pytest.approx(straight)


def test_the_pages_are_true_to_size(courier: Bench) -> None:
    sheet = sheet_for(courier, room_of("4 x 3 m"))
    assert len(sheet.spots) == 7
    pages = draw_mockup(mockup_of(courier), sheet, "courier-pitch.yaml")
    assert len(pages) == 2 + 4
    for page in pages:
        assert tuple(page.get_size_inches() * 25.4) == pytest.approx(PAGE_MM)
        bars = [line.get_xdata() for line in page.axes[0].lines if len(set(line.get_ydata())) == 1]
        assert any(np.allclose(bar, [MARGIN_MM, MARGIN_MM + CHECK_BAR_MM]) for bar in bars)
        box = page.axes[0].get_position().bounds
        assert box == pytest.approx((0, 0, 1, 1))
    data = pdf_of(pages)
    assert data == pdf_of(pages)
    assert len(re.findall(rb"/Type /Page\b", data)) == len(pages)


def run(*words: str) -> Result:
    return CliRunner().invoke(app, ["mockup", *words])


def test_the_command(tmp_path: Path) -> None:
    scene = tmp_path / "wall.yaml"
    scene.write_text(dedent(WALL + ROUND), encoding="utf-8")
    prefix = tmp_path / "try"
    done = run(str(scene), "--out", str(prefix), "--room", "14 x 12 ft", "--json")
    document = json.loads(done.stdout)
    rows = list(csv.DictReader((tmp_path / "try-room.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["eye"] for row in rows] == [eye["eye"] for eye in document["room"]["eyes"]]
    assert (tmp_path / "try-mockup.pdf").read_bytes()[:5] == b"%PDF-"
    assert any("no prop" in said for said in document["assumptions"])
    assert "--force" in str(run(str(scene), "--out", str(prefix)).exception)
    words = run(str(scene)).stdout
    assert "string" in words
    assert "nearness" in words


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--room", "4 x 3"), "is no room"),
        (("--room", "4 m"), "is no room"),
        (("--room", "-4 x 3 m"), "cannot be used"),
        (("--room", "4 x 0.2 m"), "cannot be used"),
        (("--room", "4 x 3 kg"), "is no room"),
        (("--ceiling", "1 m"), "ceiling"),
        (("--ceiling", "2.4"), "--ceiling"),
        (("--card", "0 mm"), "Card of 0 mm"),
        (("--out", "nowhere/try"), "no folder"),
    ],
)
def test_a_slip_is_told(words: tuple[str, ...], said: str, tmp_path: Path) -> None:
    scene = tmp_path / "wall.yaml"
    scene.write_text(dedent(WALL + ROUND), encoding="utf-8")
    done = run(str(scene), *words)
    assert isinstance(done.exception, SightlineError), done.exception
    assert said in str(done.exception)


@pytest.mark.parametrize("text", ["4 x 3 m", "4 m x 3 m", "400 cm × 300 cm", "4x3m"])
def test_rooms_however_written(text: str) -> None:
    assert room_of(text) == Room(4.0, 3.0)
