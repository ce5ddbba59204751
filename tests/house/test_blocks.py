"""Blocks of seats: where they are, what they are called, how high they are."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pydantic import ValidationError

from sightline.errors import Misfit
from sightline.house.blocks import row_labels, seat_numbers
from sightline.house.rows import c_value
from tests.house.venues import house_of

STAGE = "stage: {kind: proscenium, height: 1 m, width: 10 m, depth: 6 m, apron: 1 m}\n"


def seats(extra: str) -> str:
    return STAGE + "seats: [{block: stalls, rows: 3, seats: 6, first row: 5 m, " + extra + "}]"


def test_counts_ids_and_sides() -> None:
    house = house_of(seats("seat width: 50 cm, row spacing: 1 m"))
    eyes = {eye.id: eye for eye in house.eyes}
    assert len(eyes) == len(house.eyes) == 18
    first = eyes["stalls A1"]
    # House left is stage right is -x; the house lies at -y; the floor is a stage height below.
    assert first.position_m == pytest.approx((-1.25, -5.0, -1.0 + 1.12))
    assert (first.row, first.seat, first.level, first.floor_m) == ("A", "1", "stalls", -1.0)
    assert eyes["stalls C6"].position_m == pytest.approx((1.25, -7.0, 0.12))
    assert first.facing[1] > 0.9
    assert np.linalg.norm(first.facing) == pytest.approx(1.0)
    assert house.levels == ["stalls"]


def test_seats_are_symmetrical_and_sorted_by_side() -> None:
    house = house_of(seats("aisles: [{after: 3, width: 1.2 m}]"))
    x = house.positions_m[:, 0].reshape(3, 6)
    np.testing.assert_allclose(x, -x[:, ::-1], atol=1e-12)
    np.testing.assert_allclose(np.diff(x[0]), [0.52, 0.52, 1.72, 0.52, 0.52])


def test_numbers_from_house_right_and_centre() -> None:
    assert seat_numbers(4, "house right", 1) == ["4", "3", "2", "1"]
    assert seat_numbers(3, "house left", 101) == ["101", "102", "103"]
    assert seat_numbers(6, "centre", 1) == ["5", "3", "1", "2", "4", "6"]
    assert seat_numbers(5, "centre", 1) == ["5", "3", "1", "2", "4"]
    right = house_of(seats("numbers from: house right")).eyes
    assert next(eye for eye in right if eye.id == "stalls A1").position_m[0] > 0


def test_letters_leave_out_i_and_o_and_double_after_z() -> None:
    labels = row_labels("A", 27, ["I", "O"])
    assert labels[7:9] == ["H", "J"]
    assert labels[12:14] == ["N", "P"]
    assert labels[23:26] == ["Z", "AA", "BB"]
    assert row_labels("AA", 2, []) == ["AA", "BB"]
    assert len(set(row_labels("A", 300, ["I", "O"]))) == 300


def test_every_seat_of_a_curved_row_has_one_radius_and_spacing() -> None:
    house = house_of(seats("curve: {radius: 9 m}, row spacing: 0.9 m, seat width: 55 cm"))
    centre = np.array([0.0, -5.0 + 9.0])
    for row in range(3):
        points = house.positions_m[row * 6 : row * 6 + 6, :2] - centre
        radius = 9.0 + 0.9 * row
        np.testing.assert_allclose(np.linalg.norm(points, axis=1), radius, rtol=1e-12)
        turns = np.diff(np.arctan2(points[:, 0], -points[:, 1]))
        np.testing.assert_allclose(turns * radius, 0.55, rtol=1e-9)
    # Curved towards the stage: the ends of a row are nearer to it than its middle.
    assert house.positions_m[0, 1] > house.positions_m[2, 1]


def test_a_shared_centre_gives_the_same_rows_as_its_radius() -> None:
    by_radius = house_of(seats("curve: {radius: 9 m}")).positions_m
    by_centre = house_of(seats("curve: {centre: [0 m, 4 m]}")).positions_m
    np.testing.assert_allclose(by_radius, by_centre, atol=1e-12)


def test_a_block_at_a_bearing_lies_there_and_numbers_from_its_own_left() -> None:
    house = house_of(STAGE + "seats: [{block: side, rows: 2, seats: 3, first row: 6 m, bearing: 90 deg}]")
    eyes = {eye.id: eye for eye in house.eyes}
    # Bearing 90 deg: on the performer's left, +x; who sits there faces -x and has -y (downstage) on their left.
    assert eyes["side A2"].position_m[:2] == pytest.approx((6.0, 0.0))
    assert eyes["side A1"].position_m[1] < 0 < eyes["side A3"].position_m[1]
    assert eyes["side B2"].position_m[0] > 6.5


def test_rise_and_steps() -> None:
    raked = house_of(seats("rise: 10 cm, floor: -80 cm")).eyes
    assert [eye.floor_m for eye in raked[::6]] == pytest.approx([-0.8, -0.7, -0.6])
    stepped = house_of(seats("steps: [0 m, 30 cm]")).eyes
    assert [eye.floor_m for eye in stepped[::6]] == pytest.approx([-1.0, -1.0, -0.7])


def test_rows_of_a_c_value_keep_it_to_the_stage_edge() -> None:
    house = house_of(
        STAGE + "seats: [{block: s, rows: 8, seats: 1, first row: 5 m, c value: 90 mm, row spacing: 0.9 m}]"
    )
    z, y = house.positions_m[:, 2], house.positions_m[:, 1]
    for front in range(7):
        # The front edge lies 1 m downstage of the plaster line, at stage floor height.
        c = c_value(-1.0 - y[front], z[front], 0.9, z[front + 1] - z[front])
        assert c == pytest.approx(0.09, abs=1e-9)
    assert "C-value of 90 mm" in house.notes[0]


def test_c_value_with_a_named_focus() -> None:
    house = house_of(seats("c value: 60 mm, focus: [0 m, 2 m, 1 m]"))
    z = house.positions_m[::6, 2]
    assert c_value(7.0, z[0] - 1.0, 0.864, z[1] - z[0]) == pytest.approx(max(0.06, c_value(7.0, z[0] - 1, 0.864, 0.0)))
    assert np.all(np.diff(z) >= 0)


def test_eye_heights_by_kind() -> None:
    for extra, kind, height in [
        ("", "seated", 1.12),  # Long, Architectural Acoustics: 44 in.
        ("standing: yes", "standing", 1.606),  # ANSUR II mean of both sexes' means, plus 25 mm of shoes.
        ("eye: wheelchair", "wheelchair", 1.2052),  # 47.45 in, US Justice Department order.
        ("eye height: 1.3 m", "seated", 1.3),
    ]:
        eye = house_of(seats(extra or "rise: 0 m")).eyes[0]
        assert eye.kind == kind
        assert eye.position_m[2] - (eye.floor_m or 0.0) == pytest.approx(height, abs=5e-4)


def test_wheelchair_places_and_missing_seats() -> None:
    house = house_of(seats("wheelchair: [C1, C6], without: [C2, C5]"))
    eyes = {eye.id: eye for eye in house.eyes}
    assert len(eyes) == 16
    assert eyes["stalls C1"].kind == eyes["stalls C6"].kind == "wheelchair"
    assert eyes["stalls C1"].position_m[2] == pytest.approx(-1.0 + 1.2052)
    assert "stalls C2" not in eyes
    assert eyes["stalls C3"].kind == "seated"


@pytest.mark.parametrize(
    ("extra", "path", "words"),
    [
        ("wheelchair: [B1, Z9]", ("seats", 0, "wheelchair", 1), "no seat Z9"),
        ("without: [A7]", ("seats", 0, "without", 0), "no seat A7"),
        ("curve: {radius: 30 cm}", ("seats", 0, "seats"), "longer than the circle"),
        ("curve: {centre: [0 m, -5 m]}", ("seats", 0, "curve", "centre"), "middle of the first row"),
        ("c value: 60 mm, focus: [0 m, -9 m, 0 m]", ("seats", 0, "focus"), "in front of the first row"),
    ],
)
def test_what_cannot_be_built_names_its_place(extra: str, path: tuple[str | int, ...], words: str) -> None:
    with pytest.raises(Misfit) as caught:
        house_of(seats(extra))
    assert caught.value.path == path
    assert words in caught.value.sentence


def test_the_same_seat_twice_is_an_error() -> None:
    with pytest.raises(Misfit, match=r"'a A1'.*seats\[0\]") as caught:
        house_of(
            "seats: [{block: a, rows: 1, seats: 2, first row: 5 m}, {block: a, rows: 1, seats: 2, first row: 7 m}]"
        )
    assert caught.value.path == ("seats", 1)


@pytest.mark.parametrize(
    ("extra", "words"),
    [
        ("rise: 10 cm, c value: 60 mm", "one of them"),
        ("steps: [10 cm]", "2 in all"),
        ("focus: [0 m, 0 m, 0 m]", "belongs to 'c value'"),
        ("letters: a", "capital letter"),
        ("letters: I", "skipped"),
        ("curve: {}", "radius or by its centre"),
        ("aisles: [{after: [1, 2], width: 1 m}]", "one per row"),
        ("standing: yes, eye: child", "contradict"),
        ("numbers from: house lft", "house left"),
        ("colour: red", "not permitted"),
        ("weight: 0", "outside"),
    ],
)
def test_what_reads_wrong_is_refused(extra: str, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        house_of(seats(extra))


@pytest.mark.parametrize(
    "text", ["rows: 0, seats: 5", "rows: 2, seats: [5, 6, 7]", "rows: 2, seats: [5, 0]", "rows: 301, seats: 2"]
)
def test_rows_that_cannot_be(text: str) -> None:
    with pytest.raises(ValidationError):
        house_of("seats: [{block: a, first row: 5 m, " + text + "}]")


def test_stagger_sets_every_second_row_between_the_seats_in_front() -> None:
    x = house_of(seats("stagger: yes")).positions_m[:, 0].reshape(3, 6)
    np.testing.assert_allclose(x[1] - x[0], 0.26)
    np.testing.assert_allclose(x[2], x[0])


def test_aisles_are_drawn_between_the_seats_beside_them() -> None:
    house = house_of(seats("seat width: 50 cm, aisles: [{after: 2, width: 1.1 m}]"))
    (aisle,) = [line for line in house.outlines if line.kind == "aisle"]
    assert aisle.closed
    x = house.positions_m[:6, 0]
    assert aisle.points_m[:, 0].min() == pytest.approx(x[1] + 0.25)
    assert aisle.points_m[:, 0].max() == pytest.approx(x[2] - 0.25)
    assert math.isclose(aisle.points_m[:, 0].max() - aisle.points_m[:, 0].min(), 1.1)
