"""Sampled crowds, rings that close, people who follow: where they stand, and that they are the same every time."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from pydantic import ValidationError
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.errors import FileError, Misfit
from sightline.house.sampled import redrawn
from sightline.sight.check import Thresholds
from sightline.sight.draws import share_over_draws, share_seen
from tests.conftest import finding_of
from tests.house.venues import house_of

RING = "standing: [{area: ring, ring: {inner: 3 m, outer: 4 m, from: -90 deg, to: 90 deg}, spacing: 0.7 m%s}]"
MIX = ", people: {adults: 0.5, children: 0.2, wheelchair: 0.1, raised phones: 0.2}"


def test_a_ring_closes_from_both_ends_and_nobody_else_moves() -> None:
    open_, half, whole = (house_of(RING % f", closed behind: {share}") for share in (0, 0.5, 1))
    count = len(open_.eyes)
    for house in (half, whole):
        assert [e.id for e in house.eyes[:count]] == [e.id for e in open_.eyes]
        np.testing.assert_allclose(house.positions_m[:count, :2], open_.positions_m[:, :2])
        assert house.eyes[count].id == "ring behind 1"
        assert any("closed behind" in note for note in house.notes)
    # Behind is upstage of the act: half the open half circle is filled, a quarter turn at each end.
    behind = half.positions_m[count:]
    bearings = np.degrees(np.arctan2(behind[:, 0], -behind[:, 1]))
    assert np.all((np.abs(bearings) > 90) & (np.abs(bearings) < 135 + 1e-6))
    assert (bearings > 0).sum() == (bearings < 0).sum()
    assert len(whole.eyes) - count == pytest.approx(count, abs=4)
    apart = np.linalg.norm(whole.positions_m[:, None, :2] - whole.positions_m[None, :, :2], axis=2) + 9 * np.eye(
        len(whole.eyes)
    )
    assert apart.min() > 0.7 * 0.6


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("ring: {inner: 3 m, outer: 4 m}, closed behind: 0.5", "open part"),
        ("rectangle: {from: [0 m, 0 m], to: [2 m, 2 m]}, closed behind: 0.5", "open part"),
        ("rectangle: {from: [0 m, 0 m], to: [2 m, 2 m]}, service: fruin queue E", "danger begin at 5 .*Still.*HSG195"),
        ("rectangle: {from: [0 m, 0 m], to: [2 m, 2 m]}, service: fruin queue F", "not one of the choices"),
        ("rectangle: {from: [0 m, 0 m], to: [2 m, 2 m]}, service: fruin queue B, density: 1", "not by both"),
        ("line: [[0 m, 0 m], [2 m, 2 m]], service: fruin queue B", "no square metres"),
        ("ring: {inner: 3 m, outer: 4 m}, children ages: [5, 8]", "sampled: yes"),
        ("ring: {inner: 3 m, outer: 4 m}, sampled: yes, children ages: [8, 5]", "youngest to the oldest"),
        ("ring: {inner: 3 m, outer: 4 m}, sampled: yes, children ages: [2, 5]", "youngest to the oldest"),
    ],
)
def test_what_reads_wrong_is_refused(text: str, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        house_of(f"standing: [{{area: a, {text}}}]")


def test_a_level_of_service_is_a_density() -> None:
    house = house_of(
        "standing: [{area: yard, rectangle: {from: [-10 m, -20 m], to: [10 m, -5 m]}, service: fruin queue C}]"
    )
    assert len(house.eyes) == pytest.approx(300 / 0.65, rel=0.05)
    assert any("0.65 m2 for each person" in note and "level C" in note for note in house.notes)


def test_too_many_people_are_an_error_with_its_place_at_the_command_line(tmp_path: Path) -> None:
    (tmp_path / "yard.yaml").write_text(
        "version: 1\nname: Yard\nstanding:\n  - area: yard\n    rectangle: {from: [0 m, 0 m], to: [5 m, 5 m]}\n    density: 6\n",
        encoding="utf-8",
    )
    done = CliRunner().invoke(app, ["venue", str(tmp_path / "yard.yaml"), "--out", str(tmp_path / "yard.png")])
    assert isinstance(done.exception, FileError)
    assert "6.0 people per square metre is dangerous" in str(done.exception)
    assert done.exception.problems[0].place.line == 4
    assert [path.name for path in tmp_path.iterdir()] == ["yard.yaml"]


def test_a_sampled_crowd_is_the_same_every_time_and_differs_by_seed() -> None:
    one, again = (house_of(RING % f", sampled: yes{MIX}") for _ in range(2))
    assert one.eyes == again.eyes
    other = house_of(RING % f", sampled: yes, seed: 2{MIX}")
    assert [e.position_m[:2] for e in one.eyes] == [e.position_m[:2] for e in other.eyes]
    assert [e.kind for e in one.eyes] != [e.kind for e in other.eyes]


def test_drawing_again_changes_people_and_nothing_else() -> None:
    house = house_of(RING % f", sampled: yes{MIX}" + "\neyes: [{id: dot, at: [0 m, -9 m, 1 m]}]")
    assert redrawn(house.eyes, 0) == house.eyes
    once, twice = redrawn(house.eyes, 1), redrawn(house.eyes, 2)
    assert [e.id for e in once] == [e.id for e in house.eyes]
    assert [e.position_m[:2] for e in once] == [e.position_m[:2] for e in house.eyes]
    assert once[-1] == house.eyes[-1]
    assert len({tuple(e.position_m[2] for e in eyes) for eyes in (house.eyes, once, twice)}) == 3
    for eye in once[:-1]:
        low, high = {"standing": (1.25, 2.0), "child": (0.75, 1.65), "wheelchair": (1.2, 1.21), "phone": (1.9, 2.3)}[
            eye.kind
        ]
        assert low < eye.position_m[2] < high


def test_followers_walk_in_rows_behind_the_act_round_corners() -> None:
    house = house_of(
        "followers: [{followers: train, route: [[0 m, 0 m], [10 m, 0 m], [10 m, 10 m]], at: 12 m, gap: 3 m, count: 8, "
        "abreast: 3, spacing: 1 m}]"
    )
    at = house.positions_m
    # The act is at (10, 2); the first row is 3 m back, at (9, 0), across a way that leads along +x.
    np.testing.assert_allclose(at[:3, :2], [[9, 1], [9, 0], [9, -1]], atol=1e-9)
    np.testing.assert_allclose(at[3:6, 0], 8.0, atol=1e-9)
    np.testing.assert_allclose(at[6:, :2], [[7, 0.5], [7, -0.5]], atol=1e-9)
    assert [e.id for e in house.eyes][:2] == ["train 1", "train 2"]
    assert house.levels == ["followers"]


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("at: 25 m, count: 3", "20.00 m long"),
        ("at: 4 m, count: 30", "past the start"),
        ("at: 1 m, count: 1", "past the start"),
    ],
)
def test_followers_that_do_not_fit_the_route_are_refused(more: str, words: str) -> None:
    with pytest.raises(Misfit, match=words):
        house_of(f"followers: [{{followers: f, route: [[0 m, 0 m], [10 m, 0 m], [10 m, 10 m]], {more}}}]")


def test_followers_too_close_are_refused() -> None:
    with pytest.raises(ValidationError, match=r"dangerous.*Still"):
        house_of("followers: [{followers: f, route: [[0 m, 0 m], [9 m, 0 m]], at: 8 m, count: 3, spacing: 0.4 m}]")


# From 2 to 4 m behind the wall an eye must be 1.5 to 1.7 m up to see the target over it: some are, some are not.
WALL = """\
title: over the wall
covers: [{name: wall, box: {width: 80 m, depth: 1 cm, height: 3 m}, at: [0 m, -9 m, -0.2 m]}]
secrets: [{name: target, disc: {radius: 2 cm}, at: [0 m, -6 m, 1 m]}]
venue:
  standing: [{area: yard, rectangle: {from: [-15 m, -13 m], to: [15 m, -11 m]}, spacing: 0.9 m, sampled: yes}]
"""


def test_the_share_seeing_comes_with_its_error() -> None:
    finding = finding_of(WALL)
    count = len(finding.moment.eyes)
    error = share_over_draws(finding, Thresholds(), 12)
    assert error.values[0] == share_seen(finding)
    assert len(error.values) == 12
    assert 0 < error.mean < 1
    # Each person sees or does not, by chance and independently: the binomial bounds the spread.
    assert error.spread < 2 * math.sqrt(0.25 / count)
    assert error.standard_error == pytest.approx(error.spread / math.sqrt(12))


def test_check_tells_how_the_result_would_vary(tmp_path: Path) -> None:
    scene = tmp_path / "scene.yaml"
    scene.write_text("version: 1\n" + WALL, encoding="utf-8")
    words = ["check", str(scene), "--no-margins", "--draws", "4"]
    found = json.loads(CliRunner().invoke(app, [*words, "--json"]).stdout)["sampling"]
    assert found["draws"] == len(found["values"]) == 4
    assert set(found["share_seen"]) == {"mean", "of_one_draw", "standard_error"}
    assert "Over 4 draws of the crowd" in CliRunner().invoke(app, words).stdout
    scene.write_text("version: 1\n" + WALL.replace(", sampled: yes", ""), encoding="utf-8")
    done = CliRunner().invoke(app, words)
    assert "drawn by chance" in str(done.exception)
