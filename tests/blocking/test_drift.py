"""Drift against closed forms: a target behind a carried screen, whose shadow is known."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from sightline.blocking.drift import INSIDE_M, Drift, _places_inside, drift_of, first_leaks, middle_turn
from sightline.blocking.lozenge import radii, within
from sightline.blocking.nearby import Nearby
from sightline.blocking.odds import odds_of, strays, wilson
from sightline.blocking.placing import Placing
from sightline.blocking.tapeout import centimetres, degrees_down, direction, inches
from sightline.cli.main import app
from sightline.scene.blocking import Stray
from sightline.scene.reading import scene_from_text
from sightline.sight.check import Thresholds
from sightline.staging.stage import put_together

# The target is 2 A wide at the mark, the screen 2 S wide and H ahead of it, the eye D ahead.
A, S, H, D = 0.05, 0.20, 1.0, 3.0
SCENE = """\
version: 1
title: a board behind a screen
detail: 2 mm
covers: [{{name: screen, rectangle: {{width: {width} m, height: 1 m}}, at: [{across} m, -1 m, 1 m], carried: yes}}]
secrets: [{{name: board, rectangle: {{width: 0.1 m, height: 0.01 m}}, at: [0 m, 0 m, 1 m], carried: yes}}]
eyes: [{{id: front, at: [0 m, -3 m, 1 m]}}]
blocking: {{mark: [0 m, 0 m], facing: 0 deg}}
"""


def nearby(width_m: float = 2 * S, across_m: float = 0.0) -> Nearby:
    staged = put_together(scene_from_text(SCENE.format(width=width_m, across=across_m)))
    return Nearby(Placing(staged, Thresholds(sway=False)), staged.mark_m, staged.facing_rad)


@pytest.fixture(scope="module")
def found() -> Drift:
    return drift_of(nearby())


def test_turns_are_those_of_the_shadow(found: Drift) -> None:
    """The ray from the board's edge to the turned eye passes the screen's edge: A + H tan t - A H / (D cos t) = S."""

    def past(turn: float) -> float:
        return A + H * math.tan(turn) - A * H / (D * math.cos(turn)) - S

    low, high = 0.0, 0.5
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if past(middle) < 0 else (low, middle)
    for turn in (found.left, found.right):
        assert math.degrees(turn.turn_rad) == pytest.approx(math.degrees(low), abs=0.5)
        assert (turn.eye, turn.secret) == ("front", "board")
    assert middle_turn(found) is None


def test_the_disc_is_the_distance_to_the_edge_of_the_shadow(found: Drift) -> None:
    """Straying to (x, y) shows the board's edge when |x| > A + (S - A) (D + y) / H: two straight lines."""
    edge, slope = A + (S - A) * D / H, (S - A) / H
    assert found.disc_m == pytest.approx(edge / math.hypot(1.0, slope), abs=0.010)
    for reach in found.region:
        ahead = (math.sin(reach.bearing_rad), -math.cos(reach.bearing_rad))
        # x = r sin b reaches edge + slope y, y = -r cos b.
        ways = [
            edge / (side * ahead[0] - slope * ahead[1]) for side in (1, -1) if side * ahead[0] - slope * ahead[1] > 0
        ]
        expected = min([*ways, 1.5])
        assert reach.distance_m == pytest.approx(expected, abs=0.03 * expected)
        assert reach.distance_m <= expected + 0.01
        assert (reach.eye is None) == (reach.distance_m == pytest.approx(1.5))
    assert {run[0].eye for run in first_leaks(found)} == {"front"}


# A roof at 3 m with a hole 14 cm square, a camera at 6 m straight over the hole, 1.25 m from the mark on a bearing of
# 7.5 deg. At the height of the arm, 1.2 m, the camera sees through it a square of 14 (6 - 1.2) / (6 - 3) = 22.4 cm.
POCKET_M = (1.25 * math.sin(math.radians(7.5)), -1.25 * math.cos(math.radians(7.5)))
SKYLIGHT = """\
version: 1
covers:
  - {{name: north, rectangle: {{width: 8 m, height: 5.16 m}}, at: [0 m, {north} m, 3 m], facing: [0, 0, 1]}}
  - {{name: south, rectangle: {{width: 8 m, height: 2.7 m}}, at: [0 m, {south} m, 3 m], facing: [0, 0, 1]}}
  - {{name: west, rectangle: {{width: 4 m, height: 14 cm}}, at: [{west} m, {y} m, 3 m], facing: [0, 0, 1]}}
  - {{name: east, rectangle: {{width: 4 m, height: 14 cm}}, at: [{east} m, {y} m, 3 m], facing: [0, 0, 1]}}
secrets: [{{name: arm, sphere: {{radius: 3 cm}}, at: [0 m, 0 m, 1.2 m], carried: yes}}]
eyes: [{{id: gallery camera, at: [{x} m, {y} m, 6 m], kind: camera}}]
blocking: {{mark: [0 m, 0 m], facing: 0 deg}}
"""


def test_a_pocket_between_bearings_is_not_in_the_disc() -> None:
    """From bearings 15 deg apart nobody notices the pocket: it is found by what is asked inside the disc."""
    x, y = POCKET_M
    places = {"north": y + 0.07 + 2.58, "south": y - 0.07 - 1.35, "west": x - 0.07 - 2, "east": x + 0.07 + 2}
    staged = put_together(scene_from_text(SKYLIGHT.format(x=x, y=y, **places)))
    near = Nearby(Placing(staged, Thresholds()), staged.mark_m, staged.facing_rad)
    assert near.ask(x, y, 0.0, exact=True).worse
    found = drift_of(near)
    # The near side of the pocket, sphere included, is 1.25 - 0.112 - 0.03 / 0.8 or so away; a grid of 10 cm has a place
    # within 10 / sqrt 3 = 5.8 cm of any, so the disc ends before the pocket's middle.
    assert 1.0 < found.disc_m < 1.25 - 0.05
    assert ("gallery camera", "arm") in {(reach.eye, reach.secret) for reach in found.region}
    bearings = [reach.bearing_rad for reach in found.region]
    assert len(bearings) == len({round(math.remainder(bearing, 2 * math.pi), 9) for bearing in bearings})


def test_places_inside_a_disc_leave_no_pocket_wider_than_it_says() -> None:
    """The middle of a triangle of sides s is s / sqrt 3 from its corners: nothing of the disc is farther from a place, but
    for the places near its edge, which is asked for itself."""
    spots = np.array([(d * math.sin(b), -d * math.cos(b)) for b, d in _places_inside(0.5)])
    assert np.linalg.norm(spots, axis=1).max() < 0.5
    # A disc of radius r holds about pi r^2 / (s^2 sqrt 3 / 2) places: 90.7, the mark among them.
    assert len(spots) + 1 == pytest.approx(91, abs=6)
    spots = np.vstack([spots, [(0.0, 0.0)]])
    asked = np.random.default_rng(3).uniform(-0.28, 0.28, (500, 2))
    gaps = np.linalg.norm(asked[:, None] - spots[None], axis=2).min(axis=1)
    assert gaps.max() <= INSIDE_M / math.sqrt(3) + 1e-9


def test_the_lozenge_lies_within_the_region(found: Drift) -> None:
    bearings = np.linspace(-np.pi, np.pi, 360, endpoint=False)
    assert (radii(found.lozenge.corners_m, bearings) <= radii(found.polygon_m, bearings) + 1e-9).all()
    assert min(found.lozenge.left_m, found.lozenge.right_m) > 0.40


def test_slices_lose_ground_on_the_side_the_turn_uncovers(found: Drift) -> None:
    at_five = next(cut for cut in found.slices if cut.turn_rad > math.radians(4) and cut.turn_rad < math.radians(6))
    mirrored = next(cut for cut in found.slices if -math.radians(6) < cut.turn_rad < -math.radians(4))
    assert at_five.clean.any()
    assert not at_five.clean.all()
    assert (at_five.clean == mirrored.clean[:, ::-1]).mean() > 0.95
    # Facing to stage left aims at the eye from stage right: that is where there is more room.
    assert at_five.clean[:, :4].sum() > at_five.clean[:, 5:].sum()


def test_the_lozenge_of_known_regions() -> None:
    square = np.array([(0, -1), (0.2, 0), (0, 1), (-0.2, 0)]) * 0.5
    shape = within(square)
    assert shape.corners_m == pytest.approx(square, abs=1e-3)
    assert within(np.array([(0, -1), (1, 0), (0, 0.0), (-1, 0)])).down_m == 0.0


def test_half_a_plane_leaks_as_often_as_the_error_function_says() -> None:
    """With screen and board of one width the sight lines of their edges are parallel: seen from dx > A on, whatever dy.

    On the other side the screen goes on. P = erfc(A / (sigma sqrt 2)) / 2, the normal integral; sigma is half of what
    is stated.
    """
    screen = nearby(width_m=1.1, across_m=0.5)  # from -0.05 to 1.05 m
    stray = Stray(distance=0.100, turn=0.0, draws=400, seed=7)
    odds = odds_of(screen, stray)
    expected = math.erfc(A / (0.050 * math.sqrt(2))) / 2
    low, high = odds.worse_interval
    assert low <= expected <= high
    # Draw by draw: what is nearer to the edge than a patch may go either way.
    dx = strays(stray)[:, 0]
    assert (dx > A + 0.002).sum() <= odds.worse <= (dx > A - 0.002).sum()
    assert odds.confirmed == 20
    assert odds_of(screen, stray) == odds
    assert odds_of(screen, stray.model_copy(update={"seed": 8})) != odds


def test_wilson() -> None:
    """10 of 100: 0.0552 to 0.1744 (worked by hand from Wilson's formula)."""
    assert wilson(10, 100) == pytest.approx((0.0552, 0.1744), abs=1e-4)
    assert wilson(0, 50)[0] == 0.0
    assert wilson(50, 50)[1] == 1.0


def test_lengths_are_never_rounded_up() -> None:
    assert centimetres(0.3799) == "37 cm"
    assert centimetres(1.2) == "1.20 m"
    assert inches(0.3799) == "1 ft 2 3/4 in"
    assert degrees_down(math.radians(6.74)) == "6.5"
    assert degrees_down(math.radians(30.9)) == "30"
    assert direction(math.pi / 2) == "to stage left (house right)"
    assert direction(-3 * math.pi / 4) == "upstage, to stage right (house left)"


def run(*words: str) -> Any:
    return CliRunner().invoke(app, list(words))


@pytest.fixture
def scene(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    (tmp_path / "s.yaml").write_text(SCENE.format(width=0.4, across=0).replace("2 mm", "5 mm"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return "s.yaml"


def test_the_command(scene: str) -> None:
    words = ("drift", scene, "--stray", "2 in", "--turn", "4 deg", "--draws", "30", "--json", "--out", "d.png")
    done = run(*words)
    assert done.exit_code == 0, done.exception
    document = json.loads(done.stdout)
    assert document["stray"]["distance_m"] == pytest.approx(0.0508)
    assert document["stray"]["draws"] == 30
    assert document["base"] == {"eyes": 1, "eyes_seen": 0}
    assert all(bearing <= 180 and distance > 0 for bearing, distance, _, _ in document["region"])
    assert Path("d.png").stat().st_size > 20_000
    assert run(*words).exit_code == 1  # the picture is there
    again = run(*words, "--force")
    assert again.stdout == done.stdout
    said = run("drift", scene, "--draws", "5")
    assert "stage left (house right)" in said.stdout
    assert "two standard deviations" in said.stdout
    assert "see more" in said.stdout


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("--stray", "50"), "no unit"), (("--turn", "5 m"), "no unit of angle"), (("--stray", "unknown"), "--stray"),
        (("--stray", "40 m"), "10 m"), (("--out", "d.gif"), "no picture"),
    ],
)  # fmt: skip
def test_wrong_options_are_told(scene: str, words: tuple[str, ...], named: str) -> None:
    done = run("drift", scene, *words)
    assert done.exit_code == 1
    assert named in str(done.exception)


@pytest.mark.parametrize("command", ["drift", "clock"])
def test_what_stays_behind_is_told_with_its_place(scene: str, command: str) -> None:
    text = Path(scene).read_text(encoding="utf-8").replace("at: [0 m, 0 m, 1 m], carried: yes", "at: [0 m, 0 m, 1 m]")
    Path(scene).write_text(text, encoding="utf-8")
    done = run(command, scene)
    assert done.exit_code == 1
    assert "'board' stays" in str(done.exception)
    assert "s.yaml:5:" in str(done.exception)


def test_a_leak_between_two_bearings_is_not_taped_out(tmp_path: Path) -> None:
    """In this act at the pitch somebody sees the strap from a half plane that reaches in between two of the bearings."""
    from sightline.blocking.drift import _lozenge
    from sightline.blocking.lozenge import radii
    from sightline.blocking.nearby import Nearby
    from sightline.cli.work import placed
    from tests.conftest import REPOSITORY

    text = (REPOSITORY / "examples" / "courier-pitch-mended.yaml").read_text(encoding="utf-8")
    for now, then in (
        ("diameter: 13 cm, at: [9.5 cm, -5 cm]", "diameter: 14 cm, at: [12 cm, 0 cm]"),
        ("name: cape, ease: 8 cm", "name: cape, ease: 7 cm"),
        ("hand at: {wall: left, at: [-7 cm, -8 cm]}", "hand at: {wall: left, at: [-2 cm, -6 cm]}"),
        ("    elbow out: 45 deg\n", ""),
        ("grip: [4 cm, -2 cm, 3 cm]", "grip: [4 cm, -2 cm, 2 cm]"),
    ):
        assert now in text
        text = text.replace(now, then)
    scene = tmp_path / "act.yaml"
    scene.write_text("\n".join(line for line in text.splitlines() if "second strap" not in line), encoding="utf-8")
    _, placing = placed(scene, None)
    nearby = Nearby(placing, placing.staged.mark_m, placing.staged.facing_rad)
    leak = (0.42, -0.01)
    assert nearby.ask(*leak, 0.0, exact=True).worse
    # The region as its 24 bearings tell it, which holds the leak.
    polygon = np.array([(0.0, -0.15), (0.3945, -0.0457), (0.492, 0.0), (0.3, 0.3), (0.0, 0.32), (-0.36, 0.0)])
    assert radii(polygon, np.array([np.arctan2(leak[0], -leak[1])]))[0] > np.hypot(*leak)
    shape = _lozenge(nearby, polygon)
    assert shape.left_m > 0.1
    assert radii(shape.corners_m, np.array([np.arctan2(leak[0], -leak[1])]))[0] < np.hypot(*leak)
    for x, y in shape.edge_m(24).tolist():
        assert not nearby.ask(x, y, 0.0, exact=True).worse
