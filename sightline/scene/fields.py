"""The kinds of value a scene file may hold, each read from the text the user wrote."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, PlainValidator, WithJsonSchema
from pydantic_core import PydanticCustomError, PydanticUseDefault

from sightline.units import EXAMPLES, Kind, QuantityError, Unknown, number, parse

FARTHEST_M = 10_000.0
# Between samples farther apart than this, more could go unseen than a performer should trust a check with.
COARSEST_M = 0.020
# Of plain numbers: far beyond any that a scene can mean.
NO_BOUND = 1e9


def wrong(sentence: str) -> PydanticCustomError:
    """A finding about a value. The sentence is data, never a template."""
    return PydanticCustomError("sightline", "{sentence}", {"sentence": sentence})


class Part(BaseModel):
    """A mapping in the scene file: spaces in keys, unknown keys are errors."""

    model_config = ConfigDict(
        defer_build=True,
        extra="forbid",
        frozen=True,
        alias_generator=lambda name: name.replace("_", " "),
        populate_by_name=True,
    )


def _text(value: Any) -> str:
    if isinstance(value, str):
        if not value.strip():
            raise wrong("Nothing is written here; give a value or take the key away.")
        return value
    raise wrong("One plain value belongs here, not a list or a mapping.")


def _quantity(kind: Kind, low: float, high: float, low_words: str, open_low: bool) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        if isinstance(value, float):  # a default of ours
            return value
        text = _text(value)
        try:
            found = parse(text, kind)
        except Unknown:
            raise PydanticUseDefault from None
        except QuantityError as error:
            raise wrong(_sentence(str(error))) from None
        if found.low < low or (open_low and found.low <= low):
            raise wrong(f"'{text.strip()}' is too small; it must be {low_words}.")
        # A hair for what rounding does to a bound that is written in another unit.
        if found.high > high * (1.0 + 1e-9):
            turns = "a full turn" if high <= 2 * math.pi else f"{high / (2 * math.pi):g} full turns"
            length = f"{high / 1000:g} km" if high >= 1000 else f"{high:g} m" if high >= 1 else f"{high * 1000:g} mm"
            most = {"length": length, "angle": turns}
            raise wrong(f"'{text.strip()}' is too large; the most here is {most.get(kind, f'{high:g}')}.")
        return found.value

    return read


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:] + ("" if text.endswith(".") else ".")


def _schema(kind: Kind) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "description": f"a {kind} with its unit: {EXAMPLES[kind]}"})


Length = Annotated[
    float, PlainValidator(_quantity("length", 0.0, FARTHEST_M, "more than nothing", True)), _schema("length")
]
"""A size: more than nothing."""
Distance = Annotated[
    float, PlainValidator(_quantity("length", 0.0, FARTHEST_M, "nothing or more", False)), _schema("length")
]
"""A size that may be nothing (`0 m`)."""
Spacing = Annotated[
    float, PlainValidator(_quantity("length", 0.0, COARSEST_M, "more than nothing", True)), _schema("length")
]
"""How far apart samples of a secret lie: finer than usual, never coarser."""
Offset = Annotated[
    float,
    PlainValidator(_quantity("length", -FARTHEST_M, FARTHEST_M, "at least -10 km", False)),
    _schema("length"),
]
"""A coordinate: either side of nothing."""
Angle = Annotated[
    float, PlainValidator(_quantity("angle", -2 * math.pi, 2 * math.pi, "within a full turn", False)), _schema("angle")
]
Turning = Annotated[
    float,
    PlainValidator(_quantity("angle", -4 * math.pi, 4 * math.pi, "within two full turns", False)),
    _schema("angle"),
]
"""An angle round something that is walked round: it may run on past a full turn (`0 deg` to `360 deg` and on)."""
Mass = Annotated[float, PlainValidator(_quantity("mass", 0.0, 1e4, "more than nothing", True)), _schema("mass")]
Time = Annotated[float, PlainValidator(_quantity("time", 0.0, 86_400.0, "nothing or more", False)), _schema("time")]


def _number(low: float, high: float) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        if isinstance(value, (int, float)):
            return float(value)
        try:
            found = number(_text(value))
        except QuantityError as error:
            raise wrong(_sentence(str(error))) from None
        if not low <= found <= high:
            if high >= NO_BOUND:
                raise wrong(f"{found:g} is outside what can be: {'more than nothing' if low > 0 else 'not so large'}.")
            raise wrong(f"{found:g} is outside what can be: {low:g} to {high:g}.")
        return found

    return read


def _whole(low: int, high: int) -> Callable[[Any], int]:
    read_number = _number(low, high)

    def read(value: Any) -> int:
        found = read_number(value)
        if found != int(found):
            raise wrong(f"{found:g} must be a whole number.")
        return int(found)

    return read


_number_schema = WithJsonSchema({"type": ["number", "string"]})
Number = Annotated[float, PlainValidator(_number(-NO_BOUND, NO_BOUND)), _number_schema]
Positive = Annotated[float, PlainValidator(_number(1e-9, NO_BOUND)), _number_schema]
Share = Annotated[float, PlainValidator(_number(0.0, 1.0)), WithJsonSchema({"type": ["number", "string"]})]
Count = Annotated[int, PlainValidator(_whole(0, 100_000)), WithJsonSchema({"type": ["integer", "string"]})]


def _bool(value: Any) -> bool:
    if isinstance(value, bool):
        return value
    said = _text(value).strip().casefold()
    if said in {"yes", "true", "on"}:
        return True
    if said in {"no", "false", "off"}:
        return False
    raise wrong(f"'{value}' is neither yes nor no.")


Flag = Annotated[bool, PlainValidator(_bool), WithJsonSchema({"type": ["boolean", "string"]})]


def _words(value: Any) -> str:
    text = _text(value).strip()
    if len(text) > 200 or not text.isprintable():
        raise wrong("A name is one line of at most 200 printable characters.")
    return text


Words = Annotated[str, PlainValidator(_words), WithJsonSchema({"type": ["string", "number"]})]
"""A name or title."""


def one_of(*allowed: str) -> Any:
    """One of a few fixed words; the nearest is offered for a slip."""

    def read(value: Any) -> str:
        from difflib import get_close_matches

        said = _text(value).strip()
        if said in allowed:
            return said
        near = get_close_matches(said[:40], allowed, n=1)
        hint = f"; did you mean '{near[0]}'?" if near else f"; write one of: {', '.join(allowed)}."
        raise wrong(f"'{said[:40]}' is not one of the choices{hint}")

    return Annotated[str, PlainValidator(read), WithJsonSchema({"type": "string", "enum": list(allowed)})]


def _listed(value: Any) -> Any:
    if not isinstance(value, (list, tuple)):
        raise wrong("A list belongs here, in square brackets or with a dash before each entry.")
    return value


def as_list(value: Any) -> Any:
    """For list fields: anything else gets a sentence of ours."""
    return _listed(value)


Point = Annotated[tuple[Offset, Offset, Offset], BeforeValidator(_listed)]
"""`[x, y, z]`, each a length."""
Spot = Annotated[tuple[Offset, Offset], BeforeValidator(_listed)]
"""`[across, along]` or `[x, y]`, each a length."""


def _facing(value: Any) -> tuple[float, ...] | float:
    """A direction of three plain numbers, an angle, or a word of the stage."""
    if isinstance(value, (float, tuple)):
        return value
    if isinstance(value, list):
        if len(value) != 3:
            raise wrong("A direction is three plain numbers [dx, dy, dz].")
        direction = tuple(_number(-1e9, 1e9)(item) for item in value)
        if not any(direction):
            raise wrong("A direction of all zeros points nowhere.")
        return direction
    said = _text(value).strip().casefold()
    if said in FACING_WORDS:
        return math.radians(FACING_WORDS[said])
    return _quantity("angle", -2 * math.pi, 2 * math.pi, "within a full turn", False)(value)


# Body positions as stage practice names them, in degrees towards the performer's own left.
FACING_WORDS = {
    "full front": 0.0, "front": 0.0, "1/4 left": 45.0, "1/4 right": -45.0, "profile left": 90.0,
    "profile right": -90.0, "3/4 left": 135.0, "3/4 right": -135.0, "full back": 180.0,
}  # fmt: skip
Facing = Annotated[
    tuple[float, ...] | float,
    PlainValidator(_facing),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "description": "an angle (30 deg) or one of: " + ", ".join(FACING_WORDS)},
                {"type": "array", "items": {"type": ["number", "string"]}, "minItems": 3, "maxItems": 3},
            ]
        }
    ),
]

# Contrast between a secret and what is round it, by eye. Common practice, no source.
CONTRAST_WORDS = {"matched": 0.05, "close": 0.1, "visible": 0.3, "strong": 0.6, "stark": 1.0}


def _contrast(value: Any) -> float:
    if isinstance(value, float):
        return value
    said = _text(value).strip().casefold()
    if said in CONTRAST_WORDS:
        return CONTRAST_WORDS[said]
    try:
        return _number(0.0, 1.0)(value)
    except PydanticCustomError:
        raise wrong(f"Say the contrast as a share from 0 to 1 or as one of: {', '.join(CONTRAST_WORDS)}.") from None


Contrast = Annotated[float, PlainValidator(_contrast), WithJsonSchema({"type": ["number", "string"]})]
