"""Quantities as makers write them: what is read, what is refused, and that nothing is read as something else."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sightline.units import EXAMPLES, UNITS, Kind, Measure, QuantityError, Unknown, number, parse, say_length

# One inch is 25.4 mm, one pound 0.45359237 kg, exactly: the international yard and pound agreement of 1959.
GOOD: list[tuple[str, Kind, float]] = [
    ("1.2 m", "length", 1.2), ("48 cm", "length", 0.48), ("480mm", "length", 0.48), (" 48  cm ", "length", 0.48),
    ("18 in", "length", 0.4572), ('18"', "length", 0.4572), ("18 inches", "length", 0.4572), ("1 yd", "length", 0.9144),
    ("5 ft 10 1/2 in", "length", 1.7907), ("5'10\"", "length", 1.778), ("5' 10 1/2\"", "length", 1.7907),
    ("5′10″", "length", 1.778), ("5’10”", "length", 1.778), ("5'10''", "length", 1.778), ("5'", "length", 1.524),
    ("5ft10in", "length", 1.778), ("1/2 in", "length", 0.0127), ("10 1/2 in", "length", 0.2667),
    ("3/8\"", "length", 0.009525),
    ("1 yd 2 ft", "length", 1.524), ("-3 cm", "length", -0.03), ("+3 cm", "length", 0.03), ("−3 cm", "length", -0.03),
    ("- 3 cm", "length", -0.03), (".5 m", "length", 0.5), ("5. m", "length", 5.0), ("0 m", "length", 0.0),
    ("30 deg", "angle", math.pi / 6), ("-30°", "angle", -math.pi / 6), ("1 rad", "angle", 1.0),
    ("22.5 degrees", "angle", math.pi / 8), ("1.4 kg", "mass", 1.4), ("300 g", "mass", 0.3),
    ("3 lb", "mass", 1.36077711),
    ("2 lb 4 oz", "mass", 1.0205828325), ("90 s", "time", 90.0), ("1:30", "time", 90.0), ("12:30", "time", 750.0),
    ("0:05", "time", 5.0), ("1:02.5", "time", 62.5), ("2 min 5 s", "time", 125.0), ("1 h", "time", 3600.0),
]  # fmt: skip

BAD: list[tuple[str, Kind]] = [
    ("10", "length"), ("1.2", "length"), ("", "length"), ("   ", "length"), ("m", "length"), ("ten cm", "length"),
    ("nan m", "length"), ("inf m", "length"), ("-inf cm", "length"), ("1e3 m", "length"), ("1e400 m", "length"),
    ("0x10 m", "length"), ("1_000 m", "length"), ("1,2 m", "length"), ("1 000 m", "length"), ("1.2.3 m", "length"),
    ("5 1/2", "length"), ("5 1/0 in", "length"), ("1/0 in", "length"), ("9**9**9 m", "length"), ("2*3 m", "length"),
    ("(1) m", "length"), ("1 m 2 m", "length"), ("1 m 20 cm", "length"), ("10 in 5 ft", "length"),
    ("5 ft 10", "length"),
    ("5'10", "length"), ("1 m2", "length"), ("1 M", "length"), ("1 Mm", "length"), ("1 km", "length"),
    ("3 kg", "length"),
    ("30 deg", "length"), ("--3 cm", "length"), ("+-3 cm", "length"), ("5 ft -10 in", "length"),
    ("48 cm long", "length"),
    ("about", "length"), ("about 48", "length"), ("~", "length"), ("46-", "length"), ("-46-", "length"),
    ("46--50", "length"),
    ("50-46 cm", "length"), ("46-50", "length"), ("46-50-54 cm", "length"), ("46 cm - 2 kg", "length"),
    ("1 m;2 m", "length"),
    ("² m", "length"), ("½ m", "length"), ("1\u202em", "length"), ("1\x00 m", "length"),
    ("unknown cm", "length"), ("not unknown", "length"), ("9" * 400 + " m", "length"), ("1 in" * 5000, "length"),
    ("30", "angle"), ("30%", "angle"), ("30 m", "angle"), ("5 deg 30 min", "angle"), ("1.4", "mass"), ("3 st", "mass"),
    ("1:30", "length"), ("1:60", "time"), ("1:2", "time"), ("1:", "time"), (":30", "time"), ("1:30:00", "time"),
    ("90", "time"),
    ("10 m", "time"), ("1 ms", "time"),
]  # fmt: skip

# Written: (value, lowest, highest), metres.
RANGES: dict[str, tuple[float, float, float]] = {
    "46-50 cm": (0.48, 0.46, 0.50), "46 - 50 cm": (0.48, 0.46, 0.50), "46–50 cm": (0.48, 0.46, 0.50),
    "46 to 50 cm": (0.48, 0.46, 0.50), "46 cm to 0.5 m": (0.48, 0.46, 0.50), "46cm-50cm": (0.48, 0.46, 0.50),
    "-5 to -3 cm": (-0.04, -0.05, -0.03), "-5 to 3 cm": (-0.01, -0.05, 0.03), "5'10\" - 6'": (1.8034, 1.778, 1.8288),
    "10 1/2 - 11 1/2 in": (0.2794, 0.2667, 0.2921), "18-18 in": (0.4572, 0.4572, 0.4572),
    # About is five in a hundred either way (common practice, no source).
    "about 48 cm": (0.48, 0.456, 0.504), "~48 cm": (0.48, 0.456, 0.504), "~ 48 cm": (0.48, 0.456, 0.504),
    "about -48 cm": (-0.48, -0.504, -0.456), "about 0 m": (0.0, 0.0, 0.0),
}  # fmt: skip


@pytest.mark.parametrize(("text", "kind", "value"), GOOD)
def test_read(text: str, kind: Kind, value: float) -> None:
    found = parse(text, kind)
    assert found.value == pytest.approx(value, rel=1e-14, abs=1e-15)
    assert (found.low, found.high) == (found.value, found.value)
    assert not found.is_range


@pytest.mark.parametrize(("text", "kind"), BAD)
def test_refused_with_what_would_do(text: str, kind: Kind) -> None:
    with pytest.raises(QuantityError) as refused:
        parse(text, kind)
    said = str(refused.value)
    assert len(said) < 250
    assert said.isprintable()
    assert EXAMPLES[kind] in said or "smaller first" in said


@pytest.mark.parametrize("text", RANGES)
def test_ranges(text: str) -> None:
    found = parse(text, "length")
    assert (found.value, found.low, found.high) == pytest.approx(RANGES[text], rel=1e-12, abs=1e-15)
    assert found.is_range == (RANGES[text][1] != RANGES[text][2])


@pytest.mark.parametrize("text", ["unknown", "Unknown", " UNKNOWN "])
@pytest.mark.parametrize("kind", UNITS)
def test_unknown_is_no_number(text: str, kind: Kind) -> None:
    with pytest.raises(Unknown):
        parse(text, kind)


@pytest.mark.parametrize("text", ["About 48 cm", "ABOUT 48 cm"])
def test_about_in_any_case(text: str) -> None:
    """`unknown` is taken in any case, and the soft words of the report are too."""
    assert parse(text, "length") == Measure(0.48, 0.48 * 0.95, 0.48 * 1.05)


@settings(derandomize=True, deadline=None, max_examples=300)
@given(st.floats(-5000, 5000))
def test_a_length_said_is_the_length_read(value_m: float) -> None:
    """Metric to half of the last place said; imperial to a sixteenth of an inch, half of the eighth said."""
    step = 0.01 if abs(value_m) >= 0.99999 else 0.001
    assert parse(say_length(value_m), "length").value == pytest.approx(value_m, abs=step / 2 + 1e-9)
    assert parse(say_length(value_m, "imperial"), "length").value == pytest.approx(value_m, abs=0.0254 / 16 + 1e-9)


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.integers(-400_000, 400_000))
def test_whole_millimetres_come_back(value_mm: int) -> None:
    assert parse(f"{value_mm} mm", "length").value == pytest.approx(value_mm / 1000, rel=1e-15)
    assert parse(f"{value_mm / 10} cm", "length").value == pytest.approx(value_mm / 1000, rel=1e-14)


@settings(derandomize=True, deadline=None, max_examples=400)
@given(st.text(alphabet="0123456789 ./-–'\"mcinftyd°~to:+e", max_size=14), st.sampled_from(sorted(UNITS)))
def test_anything_else_is_refused_in_words(text: str, kind: Kind) -> None:
    """No text makes it raise anything of its own, or yield what is not finite or runs backwards."""
    try:
        found = parse(text, kind)
    except (QuantityError, Unknown):
        return
    assert math.isfinite(found.low + found.value + found.high)
    assert found.low <= found.value <= found.high


@pytest.mark.parametrize("text", ["nan", "inf", "1e3", "0x1", "1_0", "", "1/2", "1 m", "--1", "9" * 16, "²"])
def test_plain_numbers_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        number(text)


@pytest.mark.parametrize(("text", "value"), [("12", 12), (" -0.5 ", -0.5), (".25", 0.25), ("+3.", 3)])
def test_plain_numbers(text: str, value: float) -> None:
    assert number(text) == value


@pytest.mark.parametrize(
    ("value_m", "metric", "imperial"),
    [
        (0.4, "40.0 cm", "1 ft 3 3/4 in"), (0.0, "0 mm", "0 in"), (1.7907, "1.79 m", "5 ft 10 1/2 in"),
        (0.3048, "30.5 cm", "1 ft"),
        (-0.0127, "-13 mm", "-1/2 in"), (-0.0001, "0 mm", "0 in"), (1.0, "1.00 m", "3 ft 3 3/8 in"),
        (0.1, "10.0 cm", "3 7/8 in"),
    ],
)  # fmt: skip
def test_said(value_m: float, metric: str, imperial: str) -> None:
    assert (say_length(value_m), say_length(value_m, "imperial")) == (metric, imperial)
