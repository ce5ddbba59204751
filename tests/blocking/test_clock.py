"""The handler's clock against closed forms: a small target behind a carried plate, seen from all round."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from sightline.blocking.clock import HONEST, Clock, clock_of, sector_runs
from sightline.blocking.placing import Placing
from sightline.blocking.ring import BEARINGS, GROUPS, Ring, hour_of
from sightline.cli.main import app
from sightline.pictures.clock import CARD_MM, LEAST_PT, draw_clock, foot_lines
from sightline.scene.reading import scene_from_text
from sightline.sight.check import Thresholds
from sightline.staging.stage import put_together

# A plate 2 S wide, H ahead of a bead: from bearing b the bead is hidden while H tan b < S, that is up to 45 deg.
PLATE = "{name: plate, rectangle: {width: 0.8 m, height: 4 m}, at: [0 m, -0.4 m, 1 m], carried: yes}"
SCENE = """\
version: 1
title: a bead behind a plate
covers: [COVERS]
secrets: [{name: bead, sphere: {radius: 1 cm}, at: [0 m, 0 m, 1 m], carried: yes}]
eyes: [{id: front, at: [0 m, -3 m, 1 m]}]
noticing: {sway: no}
blocking: {mark: [2 m, 1 m], facing: 30 deg}
SCENERY
"""
CLEAN_DEG = 45.0


def text_of(covers: str = PLATE, scenery: str = "") -> str:
    return SCENE.replace("COVERS", covers).replace("SCENERY", scenery)


def asked(text: str) -> Clock:
    staged = put_together(scene_from_text(text))
    return clock_of(Ring(Placing(staged, Thresholds(sway=False)), staged.mark_m, staged.facing_rad))


@pytest.fixture(scope="module")
def found() -> Clock:
    return asked(text_of())


def test_the_sector_behind_the_plate_is_clean(found: Clock) -> None:
    for ray in found.rays:
        clean = abs(math.degrees(ray.bearing_rad)) < CLEAN_DEG
        assert (ray.nearest_m == 1.0) == clean
        assert ray.clean == (clean,) * 6
        assert (ray.secret is None) == clean
    for sector in found.sectors:
        assert (math.degrees(sector.from_rad), math.degrees(sector.to_rad)) == pytest.approx((-40, 40))
        assert math.degrees(sector.wide_rad) == pytest.approx(80)


def test_the_turn_is_the_least_that_brings_the_plate_between(found: Clock) -> None:
    """Turned to the left by t, whoever was at b is at b - t; within 45 deg nothing shows. One step is 10 deg."""
    for ray in found.rays:
        bearing = math.degrees(ray.bearing_rad)
        for own, turn in ((1, ray.left_rad), (-1, ray.right_rad)):
            # From the own side: how far round to the plate's edge.
            aside = (own * bearing) % 360
            needed = 0.0 if abs(bearing) < CLEAN_DEG else aside - CLEAN_DEG
            if needed > 180 - 1e-6:
                assert turn is None
            else:
                assert turn is not None
                assert needed - 1e-6 <= math.degrees(turn) <= needed + 10 + 1e-6


def test_hours_hold_for_all_their_bearings(found: Clock) -> None:
    nine = next(hour for hour in found.hours if hour.hour == 9)  # 80, 90 and 100 deg to the left
    assert nine.nearest_m is None
    assert math.degrees(nine.left_rad or 0) == pytest.approx(60)
    assert nine.least_rad == nine.left_rad
    three = next(hour for hour in found.hours if hour.hour == 3)
    assert math.degrees(three.least_rad or 0) == pytest.approx(-60)
    twelve = next(hour for hour in found.hours if hour.hour == 12)
    assert twelve.least_rad == 0.0


def test_photographs_and_posts(found: Clock) -> None:
    assert found.photo is not None
    assert abs(math.degrees(found.photo.bearing_rad)) < 11
    assert [round(math.degrees(post.wide_rad)) for post in found.posts] == [90, 90, 90]
    assert all(abs(math.degrees(post.bearing_rad)) > 60 for post in found.posts)


def test_a_wall_covers_a_side() -> None:
    """A wall 1.2 m behind the performer, farther than the nearest eye: from behind it nothing is seen."""
    wall = "venue: {scenery: [{name: back wall, wall: {from: [-8 m, 1.2 m], to: [8 m, 1.2 m], height: 4 m}}]}"
    text = text_of(scenery=wall).replace("mark: [2 m, 1 m], facing: 30 deg", "mark: [0 m, 0 m], facing: 0 deg")
    behind = next(ray for ray in asked(text).rays if abs(math.degrees(ray.bearing_rad)) > 179)
    assert behind.clean == (False, True, True, True, True, True)
    assert behind.nearest_m == 1.5


def test_the_honest_word_where_nothing_is_clean() -> None:
    found = asked(text_of(covers=""))
    assert all(ray.nearest_m is None and ray.left_rad is None and ray.right_rad is None for ray in found.rays)
    assert found.sectors == ()
    assert found.photo is None
    assert len(found.posts) == 3
    assert HONEST in foot_lines(found)


def test_the_hours() -> None:
    assert [hour_of(math.radians(d)) for d in (0, 10, -10, -30, -90, 90, 180, 30, -170)] == [
        12,
        12,
        12,
        1,
        3,
        9,
        6,
        11,
        6,
    ]
    assert sorted(k for _, group in GROUPS for k in group) == list(range(BEARINGS))
    assert {len(group) for _, group in GROUPS} == {3}


def test_runs_go_round() -> None:
    assert sector_runs([True, False, False, True]) == [[3, 0]]
    assert sector_runs([True] * 4) == [[2, 3, 0, 1]]
    assert sector_runs([False] * 4) == []


def test_the_card_is_a7_and_legible(found: Clock) -> None:
    figure = draw_clock(found, "a $title$ that goes on for longer than a card is wide", "anywhere")
    assert figure.get_size_inches() * 25.4 == pytest.approx(CARD_MM)
    texts = figure.axes[0].texts
    assert min(text.get_fontsize() for text in texts) >= LEAST_PT
    said = " ".join(text.get_text() for text in texts)
    assert "PERFORMER'S\nLEFT" in said
    assert "↶60°L" in said
    assert "↷60°R" in said
    figure.canvas.draw()
    wide, tall = figure.canvas.get_width_height()
    for text in texts:
        box = text.get_window_extent()
        assert box.x0 >= 0, text.get_text()
        assert box.x1 <= wide, text.get_text()
        assert box.y0 >= 0, text.get_text()
        assert box.y1 <= tall, text.get_text()


def run(*words: str) -> Any:
    return CliRunner().invoke(app, list(words))


def test_the_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("s.yaml").write_text(text_of(), encoding="utf-8")
    done = run("clock", "s.yaml", "--json", "--out", "card.pdf")
    assert done.exit_code == 0, done.exception
    document = json.loads(done.stdout)
    assert len(document["bearings"]) == BEARINGS
    ahead = document["bearings"][0]
    assert (ahead["bearing_deg"], ahead["hour"], ahead["nearest_clean_m"], ahead["worst"]) == (0, 12, 1.0, None)
    assert document["bearings"][9]["worst"]["secret"] == "bead"
    assert Path("card.pdf").stat().st_size > 5_000
    assert run("clock", "s.yaml", "--json", "--out", "card.pdf").exit_code == 1
    assert run("clock", "s.yaml", "--json", "--out", "card.pdf", "--force").stdout == done.stdout
    said = run("clock", "s.yaml").stdout
    assert "none needed" in said
    assert "60 deg left" in said
    assert "add a back flap" in said
    assert "stage left (house right)" in said
