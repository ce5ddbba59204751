"""Who is kept from where: held seats, closed sectors, people kept back; and marks on which nobody should stand."""

from __future__ import annotations

import math

import pytest

from sightline.blocking.advise import advise
from sightline.blocking.aside import house_changes
from sightline.blocking.refusals import Refusals
from sightline.blocking.trial import Outcome, Trier
from sightline.blocking.wayside import mark_warnings
from sightline.errors import SightlineError
from sightline.house.build import House
from sightline.scene.reading import scene_from_text
from sightline.staging.stage import put_together

HEAD = (
    "version: 1\nsecrets: [{name: target, rectangle: {width: 4 cm, height: 4 cm}, at: [0 m, 0 m, 1 m], carried: yes}]\n"
)
RING = "standing: [{area: ring, ring: {inner: 1 m, outer: 1 m}, spacing: 1 m}]"


def eyes_of(venue: str) -> dict[str, tuple[float, float, float]]:
    house = put_together(scene_from_text(HEAD + f"venue: {{{venue}}}\n")).house
    return {eye.id: eye.position_m for eye in house.eyes}


def test_people_step_straight_back() -> None:
    before, after = eyes_of(RING), eyes_of(RING + ", keep back: 2 m")
    assert before.keys() == after.keys()
    for name, (x, y, z) in before.items():
        far = math.hypot(x, y)
        assert after[name] == pytest.approx((x * 2 / far, y * 2 / far, z))


def test_nobody_is_sent_through_a_wall_or_into_a_way_out() -> None:
    """A wall 1.5 m to stage left and a lane 2 m upstage: those before them stay, and are counted where they are."""
    barred = RING + ", keep back: 2 m, walls: [[[1.5 m, -9 m], [1.5 m, 9 m]]]"
    barred += ", keep clear: [{name: lane, rectangle: {from: [-1.1 m, 1.5 m], to: [1.1 m, 9 m]}}]"
    before, after = eyes_of(RING), eyes_of(barred)
    for name, (x, y, _) in before.items():
        there = (x * 2, y * 2)
        stuck = there[0] > 1.5 or (abs(there[0]) < 1.1 and there[1] > 1.5)
        assert (after[name] == before[name]) == stuck, name


@pytest.mark.parametrize(
    ("venue", "says"),
    [
        ("keep back: 10 km", "keep back|too large|most here"),
        ("closed sectors: [{from: 0 deg, to: 360 deg}]", "same bearing"),
        ("closed sectors: [{from: 30 deg, to: 30 deg}]", "same bearing"),
        ("held seats: [nobody]", "no seat"),
    ],
)
def test_nonsense_is_refused(venue: str, says: str) -> None:
    with pytest.raises(SightlineError, match=says):
        eyes_of(f"{RING}, {venue}")


def test_a_closed_sector_is_empty() -> None:
    after = eyes_of(RING + ", closed sectors: [{from: 45 deg, to: 135 deg, out: 3 m}]")
    bearings = [math.degrees(math.atan2(x, -y)) for x, y, _ in after.values()]
    assert bearings
    assert not any(45 <= b <= 135 for b in bearings)
    assert len(after) < len(eyes_of(RING))


@pytest.mark.parametrize(
    ("mark", "says"), [("[0 m, 1 m]", None), ("[0 m, -1.4 m]", "edge"), ("[0 m, -4 m]", "not on the stage")]
)
def test_check_tells_of_a_mark_where_nobody_should_stand(mark: str, says: str | None) -> None:
    text = HEAD + f"venue: {{use: proscenium-420}}\nblocking: {{mark: {mark}}}\n"
    written = scene_from_text(text)
    found = mark_warnings(written, put_together(written).moment())
    assert (found == []) if says is None else says in found[0]


def house_of(scene: str) -> House:
    return put_together(scene_from_text(HEAD + scene)).house


def at(scene: str) -> dict[str, tuple[float, float]]:
    return {eye.id: (round(eye.position_m[0], 6), round(eye.position_m[1], 6)) for eye in house_of(scene).eyes}


ONE = "eyes: [{id: A, at: [0 m, -2 m, 1.6 m], kind: standing}]\n"
BACK = "venue: {keep back: 3 m}\n"
WALL = "rectangle: {width: 4 m, height: 3 m}"


@pytest.mark.parametrize(
    ("cover", "stays"),
    [
        # 4 m wide, 0.5 m behind A, from the floor to 3 m: nobody walks through it.
        (f"{WALL}, at: [0 m, -2.5 m, 1.5 m]", True),
        # The same turned end on, beside the way: its nearest edge 0.5 m off, then 0.1 m off: no room for a body.
        ("rectangle: {width: 1 m, height: 3 m}, facing: 90 deg, at: [0.5 m, -2.5 m, 1.5 m]", False),
        ("rectangle: {width: 1 m, height: 3 m}, facing: 90 deg, at: [0.1 m, -2.5 m, 1.5 m]", True),
        # From 2.1 m up it is over all heads; from 1.9 m up it may be in the way.
        ("rectangle: {width: 4 m, height: 1 m}, at: [0 m, -2.5 m, 2.6 m]", False),
        ("rectangle: {width: 4 m, height: 1 m}, at: [0 m, -2.5 m, 2.4 m]", True),
        # A cloth on the floor is stepped on; a table's top of 6 m is walked into.
        ("rectangle: {width: 6 m, height: 6 m}, facing: [0, 0, 1], at: [0 m, -2.5 m, 1 cm]", False),
        ("rectangle: {width: 9 m, height: 9 m}, facing: [0, 0, 1], at: [0 m, -2.5 m, 80 cm]", True),
        # What goes with the performer stands in nobody's way for long.
        (f"{WALL}, at: [0 m, -2.5 m, 1.5 m], carried: yes", False),
        # In front of A, between them and the mark.
        (f"{WALL}, at: [0 m, -1 m, 1.5 m]", False),
    ],
)
def test_nobody_steps_back_through_a_cover_of_the_scene(cover: str, stays: bool) -> None:
    """From 2 m to 3 m off: [0, -3] where the way is free. Whoever stays is counted where they stand."""
    text = f"{BACK}{ONE}covers: [{{name: wall, {cover}}}]\n"
    assert at(text)["A"] == ((0.0, -2.0) if stays else (0.0, -3.0))
    assert any("cannot step straight back" in note and "A" in note for note in house_of(text).notes) == stays


@pytest.mark.parametrize(("z_m", "stays"), [(1.0, True), (4.0, False)])
def test_nobody_steps_back_through_a_mirror(z_m: float, stays: bool) -> None:
    """2 m high about 1 m up it stands on the floor; about 4 m up it begins a metre over all heads."""
    mirror = f"{{name: glass, rectangle: {{width: 4 m, height: 2 m}}, at: [0 m, -2.5 m, {z_m:g} m], facing: [0, 1, 0]}}"
    text = f"venue: {{keep back: 3 m, mirrors: [{mirror}]}}\n{ONE}"
    assert at(text)["A"] == ((0.0, -2.0) if stays else (0.0, -3.0))


def area(name: str, more: str = "", to_m: float = -1.0) -> str:
    return f"{{area: {name}, rectangle: {{from: [-1 m, -3 m], to: [1 m, {to_m:g} m]}}, spacing: 1 m{more}}}"


def test_nobody_is_sent_out_of_their_own_area() -> None:
    """The area ends 3 m from the mark downstage, 1 m to either side; kept 2.5 m back, only who has room behind steps."""
    before = at(f"venue: {{standing: [{area('pit')}]}}\n")
    after = at(f"venue: {{keep back: 2.5 m, standing: [{area('pit')}]}}\n")
    moved = {name for name in before if before[name] != after[name]}
    assert moved
    for name, (x, y) in before.items():
        far = math.hypot(x, y)
        there = (x * 2.5 / far, y * 2.5 / far)
        room = far < 2.5 and abs(there[0]) <= 1.01 and there[1] >= -3.01
        assert (name in moved) == room, name


@pytest.mark.parametrize(("floor", "steps"), [("0 m", True), ("4 cm", True), ("50 cm", False)])
def test_another_area_is_floor_to_step_onto_if_it_is_as_high(floor: str, steps: bool) -> None:
    """One row 1.5 m off, kept 2.5 m back: into the area behind, across a gap, but not onto a rostrum half a metre up."""
    front = "{area: front, rectangle: {from: [-10 cm, -1.6 m], to: [10 cm, -1.4 m]}, spacing: 1 m}"
    behind = f"{{area: back, floor: {floor}, rectangle: {{from: [-1 m, -4 m], to: [1 m, -2 m]}}, spacing: 1 m}}"
    after = at(f"venue: {{keep back: 2.5 m, standing: [{front}, {behind}]}}\n")
    assert after["front 1"] == ((0.0, -2.5) if steps else (0.0, -1.5))


def test_a_ring_on_the_floor_moves_nobody_a_storey_up() -> None:
    """A balcony 4 m up, 2 m from the mark in plan, with room behind; a step of 0.5 m is no storey."""
    standing = f"{area('pit', ', floor: 50 cm')}, {area('balcony', ', level: balcony, floor: 4 m')}"
    before = at(f"venue: {{standing: [{standing}]}}\n")
    text = f"venue: {{keep back: 2.5 m, standing: [{standing}]}}\n"
    after = at(text)
    moved = {name for name in before if before[name] != after[name]}
    assert any(name.startswith("pit") for name in moved)
    assert not any(name.startswith("balcony") for name in moved)
    assert any("a storey" in note for note in house_of(text).notes)


def test_a_lone_eye_high_up_stands_on_a_floor_of_its_own() -> None:
    """5.6 m up somebody stands on a floor about 4 m up; nobody sends them back along it."""
    assert at(f"{BACK}{ONE.replace('1.6 m', '5.6 m')}")["A"] == (0.0, -2.0)


def test_a_sector_on_the_floor_closes_nothing_a_storey_up() -> None:
    """Both areas lie in the sector in plan; the handler on the floor empties the lower one only."""
    standing = f"standing: [{area('pit')}, {area('balcony', ', level: balcony, floor: 4 m')}]"
    text = f"venue: {{{standing}, closed sectors: [{{from: -90 deg, to: 90 deg, out: 6 m}}]}}\n"
    left = at(text)
    assert left
    assert all(name.startswith("balcony") for name in left)
    assert any(f"{len(left)} stand a storey" in note for note in house_of(text).notes)


def test_advice_does_not_promise_a_step_through_a_wall() -> None:
    """The wall half a metre behind would hide all from 2.75 m off; A cannot get there."""
    text = f"{HEAD}venue: {{eyes: [{{id: A, at: [0 m, -2 m, 1.6 m], kind: standing}}]}}\n"
    walled = f"{text}covers: [{{name: wall, {WALL}, at: [0 m, -2.5 m, 1.5 m]}}]\n"
    assert advise(scene_from_text(walled), frozenset({"ring"})).suggestions == []


def test_advice_does_not_ring_or_close_off_a_balcony() -> None:
    """Only those upstairs see; a ring or a sector on the floor would change nothing for them, so none is tried."""
    stand = (
        "{area: balcony, level: balcony, floor: 4 m, rectangle: {from: [-1 m, -3 m], to: [1 m, -1 m]}, spacing: 1 m}"
    )
    written = scene_from_text(f"{HEAD}venue: {{standing: [{stand}]}}\n")
    trier = Trier(written)
    outcome = trier.trial(())
    assert isinstance(outcome, Outcome)
    assert outcome.eyes_seen
    changes = [
        change.lever for change, _ in house_changes(written, trier.house, outcome, Refusals(written, trier.house))
    ]
    assert changes == []
