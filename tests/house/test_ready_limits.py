"""The ready venues keep published limits; where a type of house breaks one, the table here and its file say so."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from sightline.geometry.frame import Placement
from sightline.geometry.mesh import Cover
from sightline.geometry.shapes import box, cylinder
from sightline.house.build import House
from sightline.house.ground import inside
from sightline.house.quality import block_of, nearest_on, seat_quality
from sightline.house.ready import ready_path
from sightline.house.references import reference_points
from sightline.house.rows import c_value
from sightline.moment import Moment, Pose, Secret
from sightline.scene.document import read_document
from sightline.scene.venue import Venue
from sightline.sight.check import check
from sightline.sight.houseview import look_at
from sightline.staging.places import protected
from tests.house.test_ready import NAMES
from tests.house.venues import blockers, ready_house

# Rows back to back at least 32 in, seats at least 20 in, last seat within 75 to 100 ft: Time-Saver Standards.
LEAST_ROW_M, LEAST_SEAT_M = 0.813, 0.508
LAST_SEAT_M, FARTHEST_M = 22.9, 30.5
# What breaks the distance, and how far it may go: an open-air fan and an arena are larger than any theatre.
FARTHER_M = {"amphitheatre-3000": 38.0, "arena-18000": 100.0}
# Highest seat to the stage at most 30 deg (Time-Saver Standards), to its front edge 35 deg (Metric Handbook, from memory).
DOWN_DEG, DOWN_EDGE_DEG = 30.0, 35.0
# The rake of stepped rows, deg: Metric Handbook, from memory.
STEEPEST_ROWS_DEG = 35.0
# Level aisle with seats on both sides 42 in (IBC 1030, from memory), stepped 48 in (IBC 1030.9.1).
LEVEL_AISLE_M, STEPPED_AISLE_M = 1.067, 1.219
# Two people are no nearer than this, children on the floor included. Common practice, no source.
APART_M = 0.42
# Headroom under a balcony. Common practice, no source.
HEADROOM_M = 2.1
# From before the rule: four houses whose wheelchair places are fewer or belong to no rows.
OLD = {"convention-aisle", "proscenium-420", "street-circle", "thrust-220"}
# People who pass through what is kept clear: that is what it is kept clear for.
PASSING = {"convention-aisle", "street-circle"}


@cache
def venue_of(name: str) -> Venue:
    return Venue.model_validate(read_document(ready_path(name)).tree)


@cache
def house_of(name: str) -> House:
    return ready_house(name)


def wheelchair_places(seats: int) -> int:
    """2010 ADA Standards, table 221.2.1.1: one for each 150 over 500 and each 200 over 5,000; the rest from memory."""
    for most, places in ((3, 0), (25, 1), (50, 2), (150, 4), (300, 5), (500, 6)):
        if seats <= most:
            return places
    return 6 + math.ceil((seats - 500) / 150) if seats <= 5000 else 36 + math.ceil((seats - 5000) / 200)


def test_the_table_of_wheelchair_places() -> None:
    seats = (150, 300, 500, 501, 650, 651, 5000, 5001, 18_000)
    assert [wheelchair_places(n) for n in seats] == [4, 5, 6, 7, 7, 8, 36, 37, 101]


@pytest.mark.parametrize("name", NAMES)
def test_a_file_is_short_and_says_its_sources(name: str) -> None:
    text = ready_path(name).read_text(encoding="utf-8")
    assert len(text.splitlines()) < 150
    assert text.startswith("# ")
    assert (
        "no source" in text
        or "Time-Saver" in text
        or "HSG195" in text
        or "common practice" in text
        or "table hirers" in text
    )


@pytest.mark.parametrize("name", NAMES)
def test_rows_seats_and_aisles_are_wide_enough(name: str) -> None:
    for block in venue_of(name).seats:
        assert block.seat_width >= LEAST_SEAT_M, block.block
        assert block.rows == 1 or block.row_spacing >= LEAST_ROW_M, block.block
        stepped = bool(block.rise or block.c_value)
        for aisle in block.aisles:
            assert aisle.width >= (STEPPED_AISLE_M if stepped else LEVEL_AISLE_M), block.block


@pytest.mark.parametrize("name", NAMES)
def test_the_last_seat_is_near_enough(name: str) -> None:
    # From the middle of the curtain line, or of the pitch.
    far = np.linalg.norm(house_of(name).positions_m[:, :2], axis=1)
    if name in FARTHER_M:
        assert FARTHEST_M < far.max() < FARTHER_M[name]
        assert "Time-Saver" in ready_path(name).read_text(encoding="utf-8")
    else:
        assert far.max() < LAST_SEAT_M


@pytest.mark.parametrize("name", [name for name in NAMES if venue_of(name).seats])
def test_nobody_in_rows_looks_down_too_steeply(name: str) -> None:
    house, venue = house_of(name), venue_of(name)
    quality = seat_quality(house, venue)
    rows = np.array([eye.row is not None for eye in house.eyes])
    at = house.positions_m
    # To the curtain line of a proscenium, else to what is looked at, on the floor.
    aim = np.column_stack([np.clip(at[:, 0], -3.0, 3.0), np.zeros(len(at))])
    if venue.stage.kind != "proscenium":
        aim = nearest_on(np.array([venue.looks_at[:2]]), at[:, :2])
    down = np.degrees(np.arctan2(at[:, 2], np.linalg.norm(at[:, :2] - aim, axis=1)))
    assert down[rows].max() <= DOWN_DEG
    # The near edge of a floor is looked down to from close by in any house; only above a stage does it say something.
    if venue.stage.kind == "proscenium":
        assert quality.down_deg[rows].max() <= DOWN_EDGE_DEG


@pytest.mark.parametrize("name", NAMES)
def test_people_sit_beside_one_another_not_in_one_another(name: str) -> None:
    from scipy.spatial import cKDTree

    at = house_of(name).positions_m
    near, _ = cKDTree(at).query(at, k=2)
    assert near[:, 1].min() >= APART_M


@pytest.mark.parametrize("name", NAMES)
def test_rows_are_not_too_steep_to_climb(name: str) -> None:
    house = house_of(name)
    floors: dict[str, dict[str, float]] = {}
    for eye in house.eyes:
        if eye.row is not None and eye.floor_m is not None:
            floors.setdefault(block_of(eye), {})[eye.row] = eye.floor_m
    for block in venue_of(name).seats:
        heights = list(floors[block.block].values())
        for low, high in pairwise(heights):
            assert math.degrees(math.atan2(high - low, block.row_spacing)) <= STEEPEST_ROWS_DEG, block.block


@pytest.mark.parametrize("name", NAMES)
def test_ways_are_kept_clear_and_lead_out(name: str) -> None:
    house = house_of(name)
    kinds = {outline.kind for outline in house.outlines}
    assert {"exit", "keep clear"} <= kinds
    if name in PASSING:
        return
    for outline in house.outlines:
        if outline.kind == "keep clear" and outline.closed:
            # A balcony hangs over them: only who is on the lowest floor can stand in the way.
            lowest = min(eye.floor_m for eye in house.eyes if eye.floor_m is not None)
            there = [e for e in house.eyes if e.floor_m is not None and e.floor_m < lowest + 1.8]
            points = np.array([eye.position_m[:2] for eye in there])
            found = np.flatnonzero(inside(outline.points_m[:-1], points))
            assert not len(found), (outline.name, there[int(found[0])].id)


@pytest.mark.parametrize("name", sorted(set(NAMES) - OLD))
def test_wheelchairs_have_places_and_companions(name: str) -> None:
    eyes = house_of(name).eyes
    chairs = [eye for eye in eyes if eye.kind == "wheelchair"]
    seats = sum(eye.kind in ("seated", "floor child", "wheelchair") for eye in eyes)
    # At tables and in a crowd nobody's chair is fixed: as many as a smaller house has.
    asked = 4 if name in ("ballroom-160", "parade-route") else wheelchair_places(seats)
    assert len(chairs) >= asked
    in_rows = [eye for eye in chairs if eye.row is not None]
    assert len(protected(eyes)) == len(chairs) + len(in_rows)


@pytest.mark.parametrize("name", NAMES)
def test_all_see_the_stage_past_the_house_itself(name: str) -> None:
    house, venue = house_of(name), venue_of(name)
    hidden = look_at(house, reference_points(venue), heads=False).by_scenery.any(axis=1)
    rows = np.array([eye.row is not None for eye in house.eyes])
    assert not np.any(hidden & rows)
    # Columns and lamp posts stand in some people's way.
    assert float(np.mean(hidden)) < 0.05


@pytest.mark.parametrize("name", NAMES)
def test_a_small_scene_can_be_checked_there(name: str) -> None:
    house, venue = house_of(name), venue_of(name)
    eyes = tuple(house.eyes[:: max(1, len(house.eyes) // 150)])
    at = Placement(np.eye(3), np.array(venue.looks_at))
    tube = Secret("tube", "limb", cylinder(0.05, 0.5).placed(at))
    crate = Cover("crate", box(0.4, 0.4, 0.8).placed(at))

    def seen(*covers: Cover) -> float:
        moment = Moment("", Pose("still", covers, (tube,)), (Pose("as placed"),), eyes, setting=tuple(house.scenery))
        return float((check(moment, must_sees=False, brief=True).worst_verdict() == 2).mean())

    assert seen() > 0.9
    assert seen(crate) == 0.0


def test_the_opera_house_keeps_published_proportions() -> None:
    house = house_of("proscenium-1100")
    assert 1050 <= len(house.eyes) <= 1150
    at = house.positions_m
    assert np.linalg.norm(at[:, :2], axis=1).max() < LAST_SEAT_M
    fronts = [line for line in house.outlines if line.kind == "balcony front"]
    assert len(fronts) == 2
    for front in fronts:
        # Balcony front within 50 ft of the stage: Time-Saver Standards. On the centre line; its ends lie nearer the stage.
        assert np.abs(front.points_m[:, 1]).max() < 15.2
    # Rows solved for 60 mm to the front edge of the stage, on the centre line (Shepherd, worksheet 2012).
    for level, tread in (("stalls", 0.864), ("circle", 0.9), ("upper circle", 0.9)):
        rows: dict[str, list[tuple[float, float, float]]] = {}
        for eye in house.eyes:
            if eye.id.startswith(f"{level} ") and eye.kind == "seated" and eye.row is not None:
                rows.setdefault(eye.row, []).append(eye.position_m)
        for first, second in pairwise(np.array(row) for row in rows.values()):
            distance = float(np.abs(first[:, 1]).max()) - 1.8
            riser = float(second[0, 2] - first[0, 2])
            assert c_value(distance, float(first[0, 2]), tread, riser) == pytest.approx(0.06, abs=0.002)


def test_the_opera_house_has_headroom_and_sees_a_raised_arm_from_everywhere() -> None:
    house = house_of("proscenium-1100")
    for eye in house.eyes[::3]:
        at = np.array(eye.position_m)
        assert eye.floor_m is not None
        top = np.array([at[0], at[1], eye.floor_m + HEADROOM_M])
        assert not any("underside" in name for name in blockers(house, at, top)), eye.id
        assert blockers(house, at, np.array([0.0, 1.0, 2.5])) == set(), eye.id
        assert blockers(house, at, np.array([0.0, 0.2, 0.02])) == set(), eye.id


@pytest.mark.parametrize("name", ["amphitheatre-3000", "round-300"])
def test_rows_look_between_heads_to_the_near_edge(name: str) -> None:
    house = house_of(name)
    quality = seat_quality(house, venue_of(name))
    # Behind a wheelchair, whose eye is 85 mm higher than a chair's, the clearance is that much less.
    behind = [i for i, j in enumerate(quality.front) if j >= 0 and house.eyes[j].kind == "seated"]
    beside = {j + step for j, eye in enumerate(house.eyes) if eye.kind == "wheelchair" for step in (-1, 1)}
    clear = np.array([quality.c_m[i] for i in behind if int(quality.front[i]) not in beside])
    assert clear.min() > 0.058  # 60 mm: Shepherd, worksheet 2012; rows are solved on the middle of the block.


def test_the_arena_is_a_bowl_on_three_sides() -> None:
    house = house_of("arena-18000")
    assert 17_500 <= len(house.eyes) <= 18_500
    bearing = np.degrees(np.arctan2(house.positions_m[:, 0], -house.positions_m[:, 1]))
    counts, _ = np.histogram(bearing, bins=np.arange(-90, 91, 15))
    assert counts.min() > 400
    chairs = [eye for eye in house.eyes if eye.kind == "wheelchair"]
    # On a platform over the heads of people who stand up in front of them: US Justice Department, 67.65 in to the top.
    for chair in chairs:
        close = [e for e in house.eyes if e.level == "lower" and e.kind == "seated" and e.row == "Y"
                 and math.dist(e.position_m[:2], chair.position_m[:2]) < 2.5]  # fmt: skip
        assert close
        assert all(chair.position_m[2] > (e.floor_m or 0.0) + 1.718 for e in close), chair.id


def test_children_sit_low_and_in_front() -> None:
    house = house_of("school-hall")
    children = [eye for eye in house.eyes if eye.kind == "floor child"]
    assert len(children) > 150
    # From memory: 0.65 to 0.75 m.
    assert all(0.65 <= eye.position_m[2] <= 0.75 for eye in children)
    assert max(eye.position_m[1] for eye in children) == pytest.approx(-2.5, abs=0.5)


def test_the_parade_has_two_sides_and_people_behind() -> None:
    house = house_of("parade-route")
    x, y = house.positions_m[:, 0], house.positions_m[:, 1]
    assert min((x < -3.5).sum(), (x > 3.5).sum()) > 100
    followers = [eye for eye in house.eyes if eye.level == "followers"]
    assert len(followers) == 20
    assert min(eye.position_m[1] for eye in followers) == pytest.approx(3.0)
    assert y.min() < -11 < 11 < y.max()


def test_guests_sit_round_their_tables() -> None:
    house = house_of("ballroom-160")
    tables = [cover for cover in house.scenery if cover.name.startswith("table top")]
    assert len(tables) == 20
    middles = np.array([cover.mesh.vertices.mean(axis=0)[:2] for cover in tables])
    apart = np.linalg.norm(middles[:, None] - middles[None], axis=2) + np.eye(20) * 99
    # 60 in tables with at least 60 in from one to the next: table hirers' charts.
    assert apart.min() - 1.52 >= 1.52
    far = np.linalg.norm(house.positions_m[:, None, :2] - middles[None], axis=2).min(axis=1)
    assert far == pytest.approx(np.full(160, 1.02), abs=0.01)
