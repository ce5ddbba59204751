"""The venues that come with the program look like the rooms they say they are."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

import numpy as np
import pytest

from sightline.errors import SightlineError
from sightline.house.outline import OUTLINE_KINDS
from sightline.house.ready import ready_names, ready_path
from sightline.house.rows import c_value
from tests.house.venues import blockers, ready_house

NAMES = [
    "amphitheatre-3000", "arena-18000", "ballroom-160", "black-box", "convention-aisle", "flat-hall-250", "parade-route",
    "proscenium-1100", "proscenium-420", "round-300", "school-hall", "street-circle", "thrust-220",
]  # fmt: skip


def test_all_are_found_by_name() -> None:
    assert ready_names() == NAMES
    with pytest.raises(SightlineError, match="did you mean 'thrust-220'"):
        ready_path("thrust-20")
    for odd in ("../pyproject", "", "x" * 500, "a\nb"):
        with pytest.raises(SightlineError, match="no ready venue"):
            ready_path(odd)


@pytest.mark.parametrize("name", NAMES)
def test_ids_are_unique_and_lines_have_known_kinds(name: str) -> None:
    house = ready_house(name)
    assert len({eye.id for eye in house.eyes}) == len(house.eyes)
    assert {line.kind for line in house.outlines} <= set(OUTLINE_KINDS)
    assert all(np.all(np.isfinite(line.points_m)) for line in house.outlines)
    assert all(math.isclose(float(np.linalg.norm(eye.facing)), 1.0) for eye in house.eyes)
    assert house.notes


@pytest.mark.parametrize(
    ("name", "count"),
    [
        ("proscenium-420", 420), ("thrust-220", 223), ("proscenium-1100", 1069),
        ("amphitheatre-3000", 2960),
    ],
)  # fmt: skip
def test_seats_mirror_about_the_centre_line(name: str, count: int) -> None:
    house = ready_house(name)
    assert len(house.eyes) == count
    points = np.round(house.positions_m, 6)
    mirrored = points * [-1.0, 1.0, 1.0]
    assert {tuple(p) for p in points + 0.0} == {tuple(p) for p in mirrored + 0.0}


def test_the_playhouse_keeps_published_proportions() -> None:
    house = ready_house("proscenium-420")
    at = house.positions_m
    from_stage = np.linalg.norm(at[:, :2], axis=1)
    assert from_stage.max() < 22.9  # Last seat: 75 ft, Time-Saver Standards.
    balcony = np.array([eye.level == "balcony" for eye in house.eyes])
    front = next(line for line in house.outlines if line.kind == "balcony front")
    assert np.linalg.norm(front.points_m, axis=1).max() < 15.2  # 50 ft, the same.
    # Highest balcony seat at most 30 deg above the stage floor at the front curtain, the same.
    steepest = np.degrees(np.arctan2(at[balcony, 2], np.abs(at[balcony, 1])))
    assert steepest.max() < 30.0
    # Rows look over each other to the front edge of the stage: on the centre line, row by row.
    for level, rows in (("stalls", "ABCDEFGHJKLMNP"), ("balcony", "ABCDE")):
        row_at = [
            np.array([e.position_m for e in house.eyes if e.level == level and e.row == row and e.kind == "seated"])
            for row in rows
        ]
        for first, second in pairwise(row_at):
            riser = float(second[0, 2] - first[0, 2])
            tread = 0.864 if level == "stalls" else 0.9
            distance = float(np.abs(first[:, 1]).max()) - 1.6
            assert c_value(distance, float(first[0, 2]), tread, riser) == pytest.approx(0.06, abs=0.002)


def test_the_playhouse_can_see_its_stage() -> None:
    house = ready_house("proscenium-420")
    assert house.positions_m[:, 2].min() > 0.0  # Every eye is above the stage floor, so the edge hides none of it.
    face, feet, arch = np.array([0.0, 1.0, 1.6]), np.array([0.0, 1.0, 0.02]), np.array([0.0, -0.2, 5.3])
    for eye in house.eyes:
        at = np.array(eye.position_m)
        assert blockers(house, at, face) == set(), eye.id
        assert blockers(house, at, feet) == set(), eye.id
        # The back stalls see the top of the arch under the balcony.
        assert blockers(house, at, arch) == set(), eye.id
    # The legs do their work: no seat sees into the wings past them.
    wing = np.array([6.6, 2.3, 1.5])
    assert all(blockers(house, np.array(eye.position_m), wing) for eye in house.eyes)


def test_house_left_is_stage_right() -> None:
    eyes = {eye.id: eye for eye in ready_house("proscenium-420").eyes}
    assert eyes["stalls A1"].position_m[0] < 0 < eyes["stalls A16"].position_m[0]
    assert eyes["stalls P1"].kind == eyes["stalls P25"].kind == "wheelchair"


def test_the_thrust_has_three_sides() -> None:
    house = ready_house("thrust-220")
    assert Counter(eye.id.rsplit(" ", 1)[0] for eye in house.eyes) == {"front": 85, "side SR": 69, "side SL": 69}
    x = {
        name: np.mean([e.position_m[0] for e in house.eyes if e.id.startswith(name)]) for name in ("side SR", "side SL")
    }
    assert x["side SR"] < -4 < 4 < x["side SL"]
    middle = np.array([0.0, -3.0, 0.02])
    for eye in house.eyes:
        assert blockers(house, np.array(eye.position_m), middle) == set(), eye.id


def test_the_aisle_is_ten_feet_wide_and_everybody_is_in_it() -> None:
    house = ready_house("convention-aisle")
    assert np.abs(house.positions_m[:, 0]).max() < 3.05 / 2  # 10 ft.
    kinds = Counter(eye.kind for eye in house.eyes)
    assert {"standing", "child", "wheelchair", "phone"} <= set(kinds)
    bearings = np.degrees(np.arctan2(house.positions_m[:, 0], -house.positions_m[:, 1]))
    for low, high in ((-30, 30), (60, 120), (-120, -60), (150, 180), (-180, -150)):
        assert np.any((bearings >= low) & (bearings <= high))
    assert np.linalg.norm(house.positions_m[:, :2], axis=1).min() > 0.6


def test_the_circle_closes_round_the_performer() -> None:
    house = ready_house("street-circle")
    ring = np.array([eye.position_m for eye in house.eyes if eye.level == "ring"])
    bearings = np.sort(np.degrees(np.arctan2(ring[:, 0], -ring[:, 1])))
    assert np.diff(bearings).max() < 30.0  # The way out, 20 deg, and half a place on either side.
    assert np.linalg.norm(ring[:, :2], axis=1).min() == pytest.approx(2.6)
    children = [eye for eye in house.eyes if eye.kind == "floor child"]
    assert len(children) > 8
    assert max(math.hypot(*eye.position_m[:2]) for eye in children) < 2.6
