"""Quantities as makers write them: `48 cm`, `5 ft 10 1/2 in`, `5'10"`, `30 deg`, `1.4 kg`, `1:30`.

Strict on purpose: a bare number, an unknown unit or anything left over is an error that says which units
would do. `about 48 cm`, `46-50 cm` and `unknown` are honest answers and are kept as ranges.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

Kind = Literal["length", "angle", "mass", "time"]

# "about" is taken as this share either way. Common practice, no source.
ABOUT_SHARE = 0.05

# SI values of the units: the international yard and pound agreement of 1959 (exact).
UNITS: dict[Kind, dict[str, float]] = {
    "length": {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048, "yd": 0.9144},
    "angle": {"deg": math.pi / 180.0, "rad": 1.0},
    "mass": {"g": 1e-3, "kg": 1.0, "oz": 0.028349523125, "lb": 0.45359237},
    "time": {"s": 1.0, "min": 60.0, "h": 3600.0},
}
_OTHER_NAMES = {
    "'": "ft", "′": "ft", "’": "ft", '"': "in", "″": "in", "”": "in", "''": "in", "inch": "in", "inches": "in",
    "foot": "ft", "feet": "ft", "yard": "yd", "yards": "yd", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "°": "deg", "degree": "deg", "degrees": "deg", "lbs": "lb", "sec": "s", "seconds": "s", "minutes": "min",
}  # fmt: skip
EXAMPLES: dict[Kind, str] = {
    "length": '1.2 m, 48 cm, 480 mm, 18 in or 5 ft 10 1/2 in',
    "angle": "30 deg",
    "mass": "1.4 kg, 300 g or 3 lb",
    "time": "90 s or 1:30",
}  # fmt: skip
# ASCII: digits of another script may look like others (Bengali four is an 8), and nobody at a bench writes them.
_NUMBER = re.compile(
    r"(?P<whole>[0-9]{1,15}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})(?:\s+(?P<up>[0-9]{1,6})/(?P<down>[0-9]{1,6}))?"
)
_FRACTION = re.compile(r"(?P<up>[0-9]{1,6})/(?P<down>[0-9]{1,6})")
_UNIT = re.compile(r"''|['′’\"″”°]|[A-Za-z]+")
_CLOCK = re.compile(r"(?P<min>[0-9]{1,4}):(?P<s>[0-5][0-9](?:\.[0-9]{1,6})?)")
# No quantity is written so long; a longer text is refused before it is looked through.
MOST_CHARACTERS = 100


class QuantityError(ValueError):
    """The text is no quantity of the kind asked for; the message says what would do."""


class Unknown(Exception):
    """The text is `unknown`: the reader must take an estimate or say that it has none."""


@dataclass(frozen=True)
class Measure:
    """A quantity in SI units (m, rad, kg, s) with the range within which it is known."""

    value: float
    low: float
    high: float

    @staticmethod
    def exact(value: float) -> Measure:
        return Measure(value, value, value)

    @property
    def is_range(self) -> bool:
        return self.low != self.high


def parse(text: str, kind: Kind) -> Measure:
    """The quantity that `text` states, in SI units. Raises QuantityError or Unknown."""
    said = text.strip()
    if len(said) > MOST_CHARACTERS:
        raise QuantityError(f"'{_short(said)}' is too long for a {kind}; write {EXAMPLES[kind]}")
    if said.casefold() == "unknown":
        raise Unknown
    about = re.match(r"(?:about\s+|~\s*)", said, re.IGNORECASE)
    if about:
        value = _single(said[about.end() :], kind, text)
        spread = abs(value) * ABOUT_SHARE
        return Measure(value, value - spread, value + spread)
    parts = re.split(r"\s*(?:–|\bto\b|(?<=[0-9A-Za-z'\"°.])\s*-(?!\s*$))\s*", said)
    if len(parts) == 2 and all(parts):
        low_text, high_text = parts
        if not re.search(r"[A-Za-z'\"′″’”°:]", low_text):
            low_text += " " + re.sub(r"^[\s0-9./+\-−]+", "", high_text)
        low, high = _single(low_text, kind, text), _single(high_text, kind, text)
        if low > high:
            raise QuantityError(f"the range '{_short(text)}' runs from more to less; write the smaller first")
        return Measure((low + high) / 2.0, low, high)
    return Measure.exact(_single(said, kind, text))


def number(text: str) -> float:
    """A plain decimal number, for shares, counts and directions. Raises QuantityError."""
    said = text.strip()
    if not re.fullmatch(r"[+-]?(?:[0-9]{1,15}(?:\.[0-9]{0,15})?|\.[0-9]{1,15})", said):
        raise QuantityError(f"'{_short(text)}' is not a plain number; write for example 0.5 or 12")
    return float(said)


def _short(text: str) -> str:
    """What was written, cut so that no message floods the screen and no control character reaches it."""
    clean = "".join(c if c.isprintable() else "?" for c in text)
    return clean if len(clean) <= 40 else clean[:37] + "..."


def _single(text: str, kind: Kind, whole: str) -> float:
    said = text.strip()
    sign = 1.0
    if said[:1] in "+-−":
        sign = 1.0 if said[:1] == "+" else -1.0
        said = said[1:].lstrip()
    if kind == "time":
        clock = _CLOCK.fullmatch(said)
        if clock:
            return sign * (int(clock["min"]) * 60.0 + float(clock["s"]))
    total, used, position = 0.0, [], 0
    while position < len(said):
        amount, position = _amount(said, position, kind, whole)
        found = _UNIT.match(said, position)
        if not found:
            raise _no_unit(kind, whole)
        name = _OTHER_NAMES.get(found.group(), _OTHER_NAMES.get(found.group().casefold(), found.group()))
        if name not in UNITS[kind]:
            raise QuantityError(f"'{_short(found.group())}' is no unit of {kind} here; write {EXAMPLES[kind]}")
        used.append(name)
        total += amount * UNITS[kind][name]
        position = found.end()
        while position < len(said) and said[position].isspace():
            position += 1
    if not used:
        raise QuantityError(f"'{_short(whole)}' is not a {kind}; write {EXAMPLES[kind]}")
    compound = {"length": [["ft", "in"], ["yd", "ft"]], "mass": [["lb", "oz"]], "time": [["min", "s"]], "angle": []}
    if len(used) > 1 and used not in compound[kind]:
        raise QuantityError(f"'{_short(whole)}' mixes units in a way that can be misread; write {EXAMPLES[kind]}")
    return sign * total


def _amount(said: str, position: int, kind: Kind, whole: str) -> tuple[float, int]:
    """One number, plain (`10`), mixed (`10 1/2`) or a fraction (`1/2`), and where it ends."""
    found = _FRACTION.match(said, position) or _NUMBER.match(said, position)
    if not found:
        raise QuantityError(f"'{_short(whole)}' is not a {kind}; write {EXAMPLES[kind]}")
    parts = found.groupdict()
    value = float(parts["whole"]) if parts.get("whole") else 0.0
    if parts["up"]:
        if int(parts["down"]) == 0:
            raise QuantityError(f"'{_short(whole)}' divides by nothing; write {EXAMPLES[kind]}")
        value += int(parts["up"]) / int(parts["down"])
    end = found.end()
    while end < len(said) and said[end].isspace():
        end += 1
    return value, end


def _no_unit(kind: Kind, whole: str) -> QuantityError:
    if re.search(r"[0-9],[0-9]", whole):
        return QuantityError(
            f"'{_short(whole)}' has a comma in its number, where a point belongs; write {EXAMPLES[kind]}"
        )
    return QuantityError(f"'{_short(whole)}' has no unit; write {EXAMPLES[kind]}")


def printed_length(value_m: float) -> str:
    """A length as a scene file takes it, to a tenth of a millimetre: `0.4625 m`."""
    return f"{plain_number(value_m, 4)} m"


def printed_angle(value_deg: float) -> str:
    """An angle as a scene file takes it, to a hundredth of a degree: `12.25 deg`."""
    return f"{plain_number(value_deg, 2)} deg"


def plain_number(value: float, places: int) -> str:
    """A number with at most so many places, none of them a nought at its end."""
    said = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if said == "-0" else said


def say_length(value_m: float, system: Literal["metric", "imperial"] = "metric") -> str:
    """A length as a maker reads it: `48 cm`, `3.20 m`, or `1 ft 6 7/8 in` to the nearest eighth."""
    if system == "metric":
        value_m = 0.0 if abs(value_m) < 0.0005 else value_m
        if abs(value_m) >= 1.0:
            return f"{value_m:.2f} m"
        return f"{value_m * 100:.1f} cm" if abs(value_m) >= 0.1 else f"{value_m * 1000:.0f} mm"
    eighths = round(abs(value_m) / 0.0254 * 8)
    feet, rest = divmod(eighths, 96)
    inches, parts = divmod(rest, 8)
    said = [f"{feet} ft"] if feet else []
    if inches or parts or not feet:
        divisor = math.gcd(parts, 8)
        fraction = f"{parts // divisor}/{8 // divisor}" if parts else ""
        said.append(" ".join(x for x in (str(inches) if inches or not fraction else "", fraction) if x) + " in")
    return ("-" if value_m < 0 and eighths else "") + " ".join(said)
