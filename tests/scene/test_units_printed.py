"""Quantities as they are printed, and the words and limits of what is refused."""

from __future__ import annotations

import pytest

from sightline.units import (
    Kind,
    Measure,
    QuantityError,
    number,
    parse,
    printed_angle,
    printed_length,
    say_length,
)

# The yard is 0.9144 m and the inch 25.4 mm exactly (agreement of 1959).
METRIC = [
    (0.0, "0 mm"), (0.0004, "0 mm"), (-0.0004, "0 mm"), (0.0006, "1 mm"), (-0.0006, "-1 mm"), (0.0994, "99 mm"),
    (0.1, "10.0 cm"), (-0.1, "-10.0 cm"), (0.48, "48.0 cm"), (0.999, "99.9 cm"), (1.0, "1.00 m"), (-1.0, "-1.00 m"),
    (3.204, "3.20 m"), (12.345, "12.35 m"),
]  # fmt: skip
IMPERIAL = [
    (0.0, "0 in"), (0.0254, "1 in"), (0.0127, "1/2 in"), (0.003175, "1/8 in"), (0.00635, "1/4 in"), (0.022225, "7/8 in"),
    (0.3048, "1 ft"), (0.33020, "1 ft 1 in"), (0.30797, "1 ft 1/8 in"), (0.479425, "1 ft 6 7/8 in"), (1.7907, "5 ft 10 1/2 in"),
    (-0.479425, "-1 ft 6 7/8 in"), (-0.001, "0 in"), (0.001, "0 in"), (0.0017, "1/8 in"), (-0.0254, "-1 in"),
    (0.3047, "1 ft"), (0.6096, "2 ft"), (0.0381, "1 1/2 in"),
]  # fmt: skip


@pytest.mark.parametrize(("value_m", "said"), METRIC)
def test_metric(value_m: float, said: str) -> None:
    assert say_length(value_m) == said
    assert say_length(value_m, "metric") == said


@pytest.mark.parametrize(("value_m", "said"), IMPERIAL)
def test_imperial_to_the_nearest_eighth(value_m: float, said: str) -> None:
    assert say_length(value_m, "imperial") == said


@pytest.mark.parametrize(
    ("value", "said"),
    [(0.4625, "0.4625 m"), (0.46254, "0.4625 m"), (0.46256, "0.4626 m"), (10.0, "10 m"), (-1.5, "-1.5 m"), (0.0, "0 m")]
    + [(-0.00001, "0 m"), (100.0, "100 m"), (0.0001, "0.0001 m")],
)
def test_a_length_as_a_scene_takes_it(value: float, said: str) -> None:
    assert printed_length(value) == said
    assert parse(said, "length").value == pytest.approx(value, abs=5e-5)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (12.25, "12.25 deg"),
        (12.254, "12.25 deg"),
        (12.256, "12.26 deg"),
        (90.0, "90 deg"),
        (-0.001, "0 deg"),
        (-3.5, "-3.5 deg"),
    ],
)
def test_an_angle_as_a_scene_takes_it(value: float, said: str) -> None:
    assert printed_angle(value) == said


UNITS_EXACT: list[tuple[str, Kind, float]] = [
    ("1 mm", "length", 0.001), ("1 cm", "length", 0.01), ("1 m", "length", 1.0), ("1 in", "length", 0.0254),
    ("1 ft", "length", 0.3048), ("1 yd", "length", 0.9144), ("1 rad", "angle", 1.0), ("1 g", "mass", 0.001),
    ("1 kg", "mass", 1.0), ("1 oz", "mass", 0.028349523125), ("1 lb", "mass", 0.45359237), ("1 s", "time", 1.0),
    ("1 min", "time", 60.0), ("1 h", "time", 3600.0), ("180 deg", "angle", 3.141592653589793),
]  # fmt: skip


@pytest.mark.parametrize(("text", "kind", "value"), UNITS_EXACT)
def test_one_of_every_unit(text: str, kind: Kind, value: float) -> None:
    assert parse(text, kind).value == pytest.approx(value, rel=1e-15)


def test_negative_clock_times_and_mixed_numbers() -> None:
    assert parse("-1:30", "time").value == -90.0
    assert parse("+1:30", "time").value == 90.0
    assert parse("1:30 - 2:00", "time") == Measure(105.0, 90.0, 120.0)
    assert parse("-2 3/4 in", "length").value == pytest.approx(-0.06985)
    assert parse("1   1/2   in", "length").value == pytest.approx(0.0381)
    assert parse("- 5 ft  3 in", "length").value == pytest.approx(-1.6002)
    assert parse("about 2:00", "time") == Measure(120.0, 114.0, 126.0)


def test_a_measure_cannot_be_changed_and_knows_whether_it_is_a_range() -> None:
    exact, ranged = Measure.exact(0.48), parse("46-50 cm", "length")
    assert not exact.is_range
    assert ranged.is_range
    with pytest.raises(AttributeError):
        exact.value = 1.0  # type: ignore[misc]
    assert len({exact, Measure.exact(0.48), ranged}) == 2


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("12", "length", "has no unit"),
        ("5 ft 10", "length", "has no unit"),
        ("ten cm", "length", "is not a length"),
        ("-", "length", "is not a length"),
        ("3 kg", "length", "'kg' is no unit of length"),
        ("1 1/0 in", "length", "divides by nothing"),
        ("1/0 in", "length", "divides by nothing"),
        ("1 m 20 cm", "length", "mixes units"),
        ("5 deg 3 deg", "angle", "mixes units"),
        ("10 oz 2 lb", "mass", "mixes units"),
        ("2 cm - 1 cm", "length", "runs from more to less"),
        ("46-50", "length", "has no unit"),
    ],
)
def test_what_is_wrong_is_said(text: str, kind: Kind, says: str) -> None:
    with pytest.raises(QuantityError, match=says):
        parse(text, kind)


def test_a_message_is_cut_at_forty_characters() -> None:
    """What was written stands in it whole up to 40 characters; beyond, 37 and three dots."""
    for count in (38, 39):
        with pytest.raises(QuantityError, match=f"'{'x' * count} ?m?'"):
            parse("x" * count, "length")
    with pytest.raises(QuantityError) as refused:
        parse("y" * 41, "length")
    assert f"'{'y' * 37}...'" in str(refused.value)
    with pytest.raises(QuantityError) as refused:
        parse("y" * 40, "length")
    assert f"'{'y' * 40}'" in str(refused.value)


@pytest.mark.parametrize(
    ("text", "value"),
    [("0.5", 0.5), ("12", 12.0), ("-3.", -3.0), ("+.25", 0.25), ("0", 0.0), (" 7 ", 7.0), ("9" * 15, 1e15 - 1)],
)
def test_plain_numbers(text: str, value: float) -> None:
    assert number(text) == value


@pytest.mark.parametrize("text", ["", ".", "1e3", "1 2", "9" * 16, "nan", "1,5", "--1", "5 m", "0x1"])
def test_what_is_no_plain_number(text: str) -> None:
    with pytest.raises(QuantityError, match="is not a plain number"):
        number(text)
