"""Ranges of seats: gaps, letters, mixed names; nothing in between that is not meant."""

from __future__ import annotations

import pytest

from sightline.house.eyes import Eye
from sightline.packet.seatranges import ranges, seat_ranges


@pytest.mark.parametrize(
    ("seats", "said"),
    [
        ([], ""),
        (["12"], "12"),
        (["12", "13", "14", "15", "16"], "12-16"),
        (["16", "12", "13", "15", "14"], "12-16"),
        (["12", "13", "15"], "12-13, 15"),
        (["9", "10", "11"], "9-11"),
        (["1", "3", "5"], "1, 3, 5"),
        (["7", "7", "8"], "7-8"),
        (["A", "B", "C", "E"], "A-C, E"),
        (["H", "J"], "H, J"),
        (["X7", "X8", "Y9"], "X7-8, Y9"),
        (["12", "12a", "13"], "12, 12a, 13"),
        (["12a", "12b", "13a"], "12a-12b, 13a"),
        (["08", "09", "10"], "08-10"),
        (["9", "010"], "9, 010"),
        (["2", "box", "3", "1"], "1-3, box"),
        (["front 1", "front 2", "front 4"], "front 1-2, front 4"),
    ],
)
def test_ranges(seats: list[str], said: str) -> None:
    assert ranges(seats) == said


def seat(level: str | None, row: str | None, number: str | None, name: str | None = None) -> Eye:
    return Eye(name or f"{level} {row}{number}", "seated", (0.0, 0.0, 1.2), level=level, row=row, seat=number)


def test_by_level_block_and_row() -> None:
    eyes = [
        *(seat("stalls", "C", str(n)) for n in (12, 13, 14, 15, 16)),
        seat("stalls", "D", "3"),
        *(seat("balcony", "A", str(n), f"left wing A{n}") for n in (1, 2, 4)),
        seat("flanks", None, None, "passing SL 6"),
        seat("front", None, None, "front 2"),
        seat("front", None, None, "front 3"),
        seat(None, None, None, "camera"),
    ]
    found = seat_ranges(eyes)
    assert [each.text for each in found] == [
        "Stalls C 12-16", "Stalls D 3", "Balcony left wing A 1-2, 4", "Flanks passing SL 6", "Front 2-3", "camera",
    ]  # fmt: skip
    assert [each.count for each in found] == [5, 1, 3, 1, 2, 1]


def test_a_seat_is_counted_once() -> None:
    assert seat_ranges([seat("stalls", "A", "1"), seat("stalls", "A", "1")])[0].count == 1
