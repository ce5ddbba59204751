"""Standing areas: how many, where, and how close at most."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from sightline.errors import Misfit
from sightline.house.ground import inside, places
from sightline.scene.crowd import density_of, spacing_of
from sightline.scene.ground import Ground
from tests.house.venues import house_of


def test_spacing_of_a_density_on_a_triangular_grid() -> None:
    """47 people on 10 m2 stand 0.4957 m apart on a triangular grid (computed; the density itself is from memory)."""
    assert spacing_of(4.7) == pytest.approx(0.4957, abs=5e-5)
    assert density_of(spacing_of(3.3)) == pytest.approx(3.3)


def test_density_comes_out() -> None:
    house = house_of("standing: [{area: yard, rectangle: {from: [-10 m, -20 m], to: [10 m, -5 m]}, density: 2}]")
    assert len(house.eyes) == pytest.approx(600, rel=0.05)


def test_nobody_stands_closer_than_the_spacing() -> None:
    for shape in (
        "rectangle: {from: [-3 m, -6 m], to: [3 m, -2 m]}",
        "polygon: [[-4 m, -2 m], [4 m, -2 m], [0 m, -9 m]]",
    ):
        at = house_of(f"standing: [{{area: yard, {shape}, spacing: 0.7 m}}]").positions_m[:, :2]
        apart = np.linalg.norm(at[:, None] - at[None], axis=2) + 9 * np.eye(len(at))
        assert apart.min() == pytest.approx(0.7)
        # A symmetrical area fills symmetrically.
        np.testing.assert_allclose(np.sort(at[:, 0]), np.sort(-at[:, 0]), atol=1e-9)


def test_a_ring_stands_in_rows_the_first_on_its_inner_edge() -> None:
    house = house_of("standing: [{area: ring, ring: {inner: 2 m, outer: 4 m}, spacing: 0.8 m}]")
    radii = np.linalg.norm(house.positions_m[:, :2], axis=1)
    step = 0.8 * math.sqrt(3) / 2
    np.testing.assert_allclose(np.unique(np.round(radii, 9)), [2.0, 2 + step, 2 + 2 * step], rtol=1e-9)
    assert sum(np.isclose(radii, 2.0)) == int(2 * math.pi * 2 / 0.8)
    assert [eye.id for eye in house.eyes[:2]] == ["ring 1", "ring 2"]


def test_a_sector_lies_where_its_bearings_say() -> None:
    text = "standing: [{{area: a, ring: {{inner: 3 m, outer: 3 m, from: {}, to: {}}}, spacing: 0.5 m}}]"
    left = house_of(text.format("60 deg", "120 deg")).positions_m
    assert np.all(left[:, 0] > 0)  # Bearing 90 deg is the performer's left: +x.
    np.testing.assert_allclose(left[:, 1].mean(), 0.0, atol=1e-9)
    behind = house_of(text.format("150 deg", "-150 deg")).positions_m
    assert np.all(behind[:, 1] > 2.5)
    front = house_of(text.format("-30 deg", "30 deg")).positions_m
    assert np.all(front[:, 1] < -2.5)


def test_people_on_a_line() -> None:
    at = house_of("standing: [{area: file, line: [[0 m, 0 m], [0 m, 3 m], [3 m, 3 m]], spacing: 1.5 m}]").positions_m
    expected = np.array([[0, 0], [0, 1.5], [0, 3], [1.5, 3], [3, 3]], dtype=float)
    np.testing.assert_allclose(at[:, :2], expected, atol=1e-9)


def test_floor_and_weight_reach_the_eyes() -> None:
    house = house_of(
        "standing: [{area: kerb, rectangle: {from: [0 m, 0 m], to: [2 m, 2 m]}, spacing: 1 m, floor: 0.4 m, "
        "weight: 0.5, people: {wheelchair: 1}}]"
    )
    assert {eye.weight for eye in house.eyes} == {0.5}
    assert {eye.kind for eye in house.eyes} == {"wheelchair"}
    np.testing.assert_allclose(house.positions_m[:, 2], 0.4 + 1.2052)


@pytest.mark.parametrize("how", ["density: 5.1", "spacing: 0.45 m"])
def test_too_dense_is_refused_with_the_published_figure(how: str) -> None:
    with pytest.raises(ValidationError, match=r"danger begin at 5 .*Still.*HSG195"):
        house_of(f"standing: [{{area: a, rectangle: {{from: [0 m, 0 m], to: [2 m, 2 m]}}, {how}}}]")


def test_denser_than_planned_is_said() -> None:
    text = "standing: [{area: a, rectangle: {from: [0 m, 0 m], to: [4 m, 4 m]}, density: 3.5}]"
    assert any("3.5 people per square metre" in note for note in house_of(text).notes)


@pytest.mark.parametrize(
    ("area", "words"),
    [
        ("spacing: 1 m", "Exactly one shape"),
        ("line: [[0 m, 0 m], [1 m, 0 m]], ring: {inner: 1 m, outer: 2 m}", "line"),
        ("line: [[0 m, 0 m], [1 m, 0 m]], density: 1", "no square metres"),
        ("ring: {inner: 3 m, outer: 2 m}", "outer radius"),
        ("ring: {inner: 1 m, outer: 2 m, from: 1 deg, to: 1 deg}", "empty"),
        ("ring: {inner: 1 m, outer: 2 m}, people: {adults: 0.7, children: 0.7}", "add up to 1.4"),
        ("ring: {inner: 1 m, outer: 2 m}, people: {}", "add up to 0"),
        ("ring: {inner: 1 m, outer: 2 m}, spacing: 1 m, density: 1", "not by both"),
        ("polygon: [[0 m, 0 m], [1 m, 0 m]]", "3"),
        ("rectangle: {from: [0 m, 0 m], to: [0 m, 2 m]}", "differ"),
    ],
)
def test_what_reads_wrong_is_refused(area: str, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        house_of(f"standing: [{{area: a, {area}}}]")


def test_an_area_too_small_for_anybody_is_an_error() -> None:
    with pytest.raises(Misfit, match="Nobody fits") as caught:
        house_of(
            "standing: [{area: sliver, spacing: 3 m, "
            "polygon: [[0 m, 0 m], [4 m, 0 m], [4 m, 1 cm], [1 cm, 1 cm], [1 cm, 4 m], [0 m, 4 m]]}]"
        )
    assert caught.value.path == ("standing", 0)


def test_a_country_of_people_is_refused_before_it_is_laid_out() -> None:
    with pytest.raises(Misfit, match="the most is 200,000") as caught:
        house_of("standing: [{area: a, rectangle: {from: [-9 km, 0 m], to: [9 km, 9 km]}}]".replace("9 km", "9000 m"))
    assert caught.value.path == ("standing", 0)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), min_size=3, max_size=9),
    st.floats(0.4, 3.0),
)
def test_a_polygon_keeps_everybody_inside(corners: list[tuple[float, float]], spacing: float) -> None:
    at = places(Ground(polygon=corners), spacing)
    assert np.all(inside(np.array(corners), at))


def test_the_edge_of_a_polygon_counts_as_inside() -> None:
    square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    points = np.array([[0.0, 0.0], [1.0, 0.0], [2.0, 1.0], [1.0, 1.0], [2.1, 1.0], [-1e-3, 1.0]])
    assert inside(square, points).tolist() == [True, True, True, True, False, False]
