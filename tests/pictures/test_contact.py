"""The contact sheet: which eyes are on it, what is said of each, and the named seats of a plan."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from sightline.blocking.contacteyes import contact_eyes
from sightline.blocking.worstseats import DISTINCT_DEG, worst_seats
from sightline.pictures.contact import draw_contact
from tests.conftest import finding_of
from tests.pictures.shown import rows

BOARD = "secrets: [{name: board, rectangle: {width: 40 cm, height: 40 cm}, at: [0 m, 1 m, 1.2 m]}]\n"


def chosen(venue: str) -> dict[str, str]:
    finding = finding_of(BOARD + f"venue: {{use: {venue}}}\n")
    eyes = contact_eyes(finding)
    assert all(count == 1 for count in Counter(eye.index for eye in eyes).values())
    return {why: finding.moment.eyes[eye.index].id for eye in eyes for why in eye.why.split(", ")}


def test_a_proscenium_house_has_all_the_places_a_director_walks_to() -> None:
    seats = chosen("proscenium-420")
    assert seats["balcony front"].startswith("balcony A")
    assert seats["balcony back"].startswith("balcony E")
    assert seats["front row"].startswith("stalls A")
    assert seats["back row"].startswith("stalls P")
    # Stage right is house left, where seat 1 is.
    assert seats["extreme house left"].endswith("1")
    assert seats["extreme house right"] in ("stalls A16", "stalls B19")
    assert seats["wheelchair"] in ("stalls P1", "stalls P25")
    # Seats 11 to 13 of the middle rows are on the centre line.
    assert seats["centre"] in {f"stalls {row}{n}" for row in "FGHJK" for n in (10, 11, 12, 13)}


def test_a_circle_has_somebody_behind_and_one_of_each_kind() -> None:
    seats = chosen("street-circle")
    assert {"behind", "child", "child on the floor", "wheelchair", "raised phone", "camera"} <= set(seats)
    assert seats["camera"] == "camera on tripod"


@pytest.mark.parametrize("marked", [True, False])
def test_each_cell_says_seat_reason_distance_and_verdict(marked: bool) -> None:
    finding = rows()
    eyes = contact_eyes(finding)
    drawn = draw_contact(finding, eyes, manner="silhouette", marked=marked)
    said = [text.get_text() for text in drawn.texts]
    for n, eye in enumerate(eyes, 1):
        assert f"{n}  {finding.moment.eyes[eye.index].id}" in said
        assert any(line.startswith(eye.why.split(",")[0]) and "m away" in line for line in said)
    assert any("Hatched" in line for line in said) is marked


def test_named_seats_are_the_worst_and_lie_apart() -> None:
    at = np.array([[0.0, -5.0, 0.0], [0.1, -5.0, 0.0], [4.0, -4.0, 0.0], [-4.0, -4.0, 0.0]])
    verdict, size = np.array([2, 2, 2, 0], dtype=np.int8), np.array([30.0, 29.0, 5.0, 0.0])
    assert np.degrees(np.arctan(0.1 / 5)) < DISTINCT_DEG
    assert worst_seats(at, np.zeros(3), verdict, size) == [0, 2]
    # By margins, whoever sees something has none; then the least.
    margin = np.array([0.0, 0.0, 0.0, 7.5])
    assert worst_seats(at, np.zeros(3), verdict, size, margin) == [0, 2, 3]
