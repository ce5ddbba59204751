"""The day worked back: times of day are read as people write them, and every step leaves as long as it takes."""

from __future__ import annotations

from itertools import pairwise

import pytest

from sightline.packet.daytimes import entries, sets_of, start_minutes, time_words
from sightline.scene.day import Day
from sightline.scene.papers import Times


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("19:30", 1170), ("7:30 pm", 1170), ("19.30", 1170), ("12:00 am", 0), ("12:15 pm", 735), ("0:05", 5),
        ("24:00", None), ("13:00 pm", None), ("0:30 am", None), ("7:65", None), ("evening", None), ("", None), (None, None),
    ],
)  # fmt: skip
def test_a_time_of_day(text: str | None, minutes: int | None) -> None:
    assert start_minutes(text) == minutes


@pytest.mark.parametrize(
    ("text", "count"), [("3", 3), ("3 a day", 3), (None, 1), ("two", 1), ("0", 1), ("14:00, 16:00", 1), ("999", 20)]
)
def test_sets(text: str | None, count: int) -> None:
    assert sets_of(text) == count


def test_worked_back_by_hand() -> None:
    """Start 19:30, places 5, walk 5, mirror 10, dress 23, unpack 30 min; two sets of 12 min, 20 min rest."""
    times = Times(start="19:30", running=720.0, sets="2", rest=1200.0)
    found = [(time_words(each.at_min), each.what) for each in entries(1170, times, Day(), 23 * 60.0, 300.0)]
    assert found == [
        ("18:15", "Arrive, unpack, look over and preset"),
        ("18:45", "Dress"),
        ("19:10", "Mirror check, all sides"),
        ("19:20", "Walk to the place"),
        ("19:25", "Places: everybody stands by"),
        ("19:30", "Run, set 1"),
        ("19:42", "Rest: prop off, water, cool down"),
        ("20:02", "Run, set 2"),
        ("20:15", "Walk back"),
        ("20:20", "Doff, and ask how the performer is"),
        ("20:25", "Hang up to dry, look over for repairs"),
        ("20:45", "Pack, count, collect the closed papers"),
        ("21:05", "Away"),
    ]


@pytest.mark.parametrize("start", [0, 10, 500, 1439])
def test_every_step_has_its_time(start: int) -> None:
    found = entries(start, Times(running=1000.0, sets="3", rest=700.0), Day(), 1234.0, 567.0)
    for one, after in pairwise(found):
        # A run and a rest are told to the minute, begun late rather than early.
        assert (after.at_min - one.at_min) * 60 >= one.lasts_s - 60.0
    before = [each for each in found if each.at_min < start]
    assert all((after.at_min - one.at_min) * 60 >= one.lasts_s for one, after in pairwise(before))


def test_past_midnight() -> None:
    assert time_words(-10) == "23:50 the day before"
    assert time_words(1450) == "00:10 the day after"
