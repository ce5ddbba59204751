"""Who is kept from where: held seats, closed sectors, people kept back; and marks on which nobody should stand."""

from __future__ import annotations

import math

import pytest

from sightline.blocking.wayside import mark_warnings
from sightline.errors import SightlineError
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
