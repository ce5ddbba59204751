"""Blocking in stage managers' words: both sides, degrees and feet every time."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sightline.blocking.notation import (
    acting_area,
    area_of,
    body_position,
    clock,
    cross_words,
    depth_words,
    facing_words,
    feet,
    side_words,
    turn_words,
)
from sightline.house.outline import area, line

FLOOR = (-3.0, 3.0, 0.0, 6.0)


def rad(degrees: float) -> float:
    return math.radians(degrees)


@pytest.mark.parametrize(
    ("spot", "name"),
    [
        ((-2, 1), "DR"), ((0, 1), "DC"), ((2, 1), "DL"), ((-2, 3), "R"), ((0, 3), "C"), ((2, 3), "L"),
        ((-2, 5), "UR"), ((0, 5), "UC"), ((2, 5), "UL"),
        # On a line between thirds the middle wins; the edge itself is on; beyond a side is off, beyond front and back not.
        ((1, 2), "C"), ((1.01, 1.99), "DL"), ((3, 6), "UL"), ((3.1, 3), "off L"), ((-9, 0), "off R"), ((0, -1), "DC"),
    ],
)  # fmt: skip
def test_nine_areas(spot: tuple[float, float], name: str) -> None:
    assert area_of(spot, FLOOR) == name


@pytest.mark.parametrize(
    ("degrees", "said"),
    [
        (0, "FF (0 deg)"), (3, "FF (3 deg L)"), (-4, "FF (4 deg R)"), (38, "1/4 L (38 deg)"), (45, "1/4 L (45 deg)"),
        (-45, "1/4 R (45 deg)"), (90, "profile L (90 deg)"), (-135, "3/4 R (135 deg)"), (180, "full back (180 deg)"),
        (-180, "full back (180 deg)"), (171, "full back (171 deg L)"), (315, "1/4 R (45 deg)"), (360, "FF (0 deg)"),
    ],
)  # fmt: skip
def test_body_positions_carry_their_degrees(degrees: float, said: str) -> None:
    assert body_position(rad(degrees)) == said


def test_a_facing_says_both_sides() -> None:
    assert facing_words(rad(38)) == "1/4 L (38 deg), to stage left (house right)"
    assert facing_words(rad(-100)) == "profile R (100 deg), to stage right (house left)"
    assert facing_words(math.pi) == "full back (180 deg)"


@pytest.mark.parametrize(
    ("start", "end", "said"),
    [
        (-20, -8, "open 12 deg to stage left (house right)"), (8, 20, "close 12 deg to stage left (house right)"),
        (20, 8, "open 12 deg to stage right (house left)"), (-6, 6, "turn 12 deg to stage left (house right)"),
        (10, 10.3, "no turn"), (350, 10, "turn 20 deg to stage left (house right)"),
        # Upstage of profile the performer's left is stage right.
        (150, 170, "close 20 deg to stage right (house left)"),
        (0, 120, "close 120 deg to own left, by way of stage left (house right)"),
        (80, 100, "close 20 deg to own left, by way of stage left (house right)"),
        (-80, 80, "turn 160 deg to own left, by way of front"), (100, -100, "turn 160 deg to own left, by way of back"),
    ],
)  # fmt: skip
def test_turns(start: float, end: float, said: str) -> None:
    assert turn_words(rad(start), rad(end)) == said


def test_crosses_say_x_and_at() -> None:
    assert cross_words((1.0, 1.0), (1.6, 0.7), FLOOR) == (
        "X DL: 0.60 m (1 ft 11 1/2 in) to stage left (house right), 0.30 m (11 3/4 in) downstage"
    )
    assert cross_words((0, 1), (0, 1.004), FLOOR) == "@ DC"
    assert cross_words((0, 1), (-1, 1), FLOOR) == "X DC: 1.00 m (3 ft 3 1/4 in) to stage right (house left)"
    assert cross_words((0, 1), (0, 5), FLOOR) == "X UC: 4.00 m (13 ft 1 1/2 in) upstage"


def test_distances_from_the_lines() -> None:
    assert side_words(1.2) == "1.20 m stage left (house right) of CL"
    assert side_words(-0.455) == "0.455 m stage right (house left) of CL"
    assert side_words(0.0) == "on CL"
    assert depth_words(-0.5) == "0.50 m downstage of PL"
    assert depth_words(0.0, "pitch centre") == "level with pitch centre"


@pytest.mark.parametrize(
    ("inches", "parts", "said"),
    [
        (24, 4, "2 ft 0 in"), (0, 4, "0 in"), (11.75, 4, "11 3/4 in"), (0.5, 4, "1/2 in"), (12.25, 4, "1 ft 0 1/4 in"),
        (11.99, 4, "1 ft 0 in"), (6.6, 8, "6 5/8 in"), (-18.5, 4, "-1 ft 6 1/2 in"),
    ],
)  # fmt: skip
def test_feet_and_inches(inches: float, parts: int, said: str) -> None:
    assert feet(inches * 0.0254, parts) == said


def test_clock() -> None:
    assert [clock(t) for t in (0, 5, 65, 12.5, 59.96, 3600)] == ["0:00", "0:05", "1:05", "0:12.5", "1:00", "60:00"]


def test_the_acting_area_is_what_the_opening_shows() -> None:
    stage = area("stage", "stage edge", [[-7, -1.5], [7, -1.5], [7, 8], [-7, 8]])
    walls = [area(f"proscenium {s}", "proscenium", [[s * 4, 0], [s * 8, 0], [s * 8, -0.4]]) for s in (-1, 1)]
    assert acting_area([stage]) == (-7.0, 7.0, -1.5, 8.0)
    assert acting_area([stage, *walls]) == (-4.0, 4.0, -1.5, 8.0)
    assert acting_area([line("centre line", "centre line", np.zeros((2, 2)))]) == (-2.0, 2.0, -2.0, 2.0)
