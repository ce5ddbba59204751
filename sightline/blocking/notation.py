"""Blocking as stage managers write it: areas, X and @, body positions, distances from the centre line.

Places are (x, y) in metres: +x is stage left (house right), +y upstage. Facings are radians: 0 is full front and
grows to the performer's own left. Every side is said twice, from the stage and from the house, and every body
position with its degrees: a 1/4 position is 45 deg, but a quarter turn is 90.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from sightline.house.build import House
from sightline.house.outline import Outline

Spot = tuple[float, float]
Area = tuple[float, float, float, float]
"""x_min, x_max, y_min, y_max in metres."""

# Where no stage has an outline, this much round the origin is acted in. Common practice, no source.
PITCH_HALF_M = 2.0
# Closer than this nobody can set a mark: a quarter inch on a precision tour (craft notes, spike accuracy).
SAME_M = 0.005
INCH_M = 0.0254
SAME_DEG = 0.5
POSITIONS = ("FF", "1/4", "profile", "3/4", "full back")  # every 45 deg from full front


def acting_area(house: House | Sequence[Outline]) -> Area:
    """The floor that is acted on: the bounds of the stage edge, of a proscenium stage only what the opening shows."""
    outlines = house.outlines if isinstance(house, House) else house
    edges = [line.points_m for line in outlines if line.kind == "stage edge"]
    if not edges:
        return -PITCH_HALF_M, PITCH_HALF_M, -PITCH_HALF_M, PITCH_HALF_M
    x_min, x_max = min(float(e[:, 0].min()) for e in edges), max(float(e[:, 0].max()) for e in edges)
    y_min, y_max = min(float(e[:, 1].min()) for e in edges), max(float(e[:, 1].max()) for e in edges)
    half = opening_half_m(outlines)
    if half is not None:
        x_min, x_max = max(x_min, -half), min(x_max, half)
    return x_min, x_max, y_min, y_max


def opening_half_m(outlines: Sequence[Outline]) -> float | None:
    """Half the width of the proscenium opening, or None without a proscenium."""
    walls = [line.points_m for line in outlines if line.kind == "proscenium"]
    return min(float(abs(wall[:, 0]).min()) for wall in walls) if walls else None


def datum(outlines: Sequence[Outline]) -> str:
    """What distances up and down the stage are measured from, y = 0: `PL` (plaster line) or `pitch centre`."""
    return "PL" if any(line.kind == "plaster line" for line in outlines) else "pitch centre"


def area_of(spot: Spot, area: Area) -> str:
    """One of DR DC DL, R C L, UR UC UL, by thirds of the acting area; `off R` or `off L` beyond its sides.

    Downstage of the area still counts as down, upstage of it as up.
    """
    x_min, x_max, y_min, y_max = area
    x, y = spot
    if x < x_min - 1e-9 or x > x_max + 1e-9:
        return "off L" if x > x_max else "off R"
    across = _third(x, x_min, x_max, "R", "", "L")
    along = _third(y, y_min, y_max, "D", "", "U")
    return (along + (across or "C")) if along else (across or "C")


def _third(value: float, low: float, high: float, *names: str) -> str:
    share = (value - low) / (high - low) if high > low else 0.5
    return names[0] if share < 1 / 3 - 1e-9 else names[2] if share > 2 / 3 + 1e-9 else names[1]


def degrees_from_front(facing_rad: float) -> float:
    """The facing in degrees, more than -180 and at most 180; + is to the performer's left."""
    turned = math.degrees(facing_rad) % 360.0
    return turned - 360.0 if turned > 180.0 + 1e-9 else turned


def body_position(facing_rad: float) -> str:
    """The nearest body position with the true degrees: `FF (3 deg L)`, `1/4 L (38 deg)`, `full back (180 deg)`.

    L and R are the performer's own, as always in body positions.
    """
    turned = degrees_from_front(facing_rad)
    name = POSITIONS[round(abs(turned) / 45.0)]
    said = f"{abs(turned):.0f} deg"
    own = "" if said in ("0 deg", "180 deg") else " L" if turned > 0 else " R"
    return f"{name} ({said}{own})" if name in ("FF", "full back") else f"{name}{own} ({said})"


def facing_words(facing_rad: float) -> str:
    """The body position and to which side of stage and house it is: `1/4 L (38 deg), to stage left (house right)`."""
    turned = degrees_from_front(facing_rad)
    straight = min(abs(turned), 180.0 - abs(turned)) < SAME_DEG
    return body_position(facing_rad) + ("" if straight else f", to {side(turned)}")


def turn_words(from_rad: float, to_rad: float) -> str:
    """A turn the short way round: `open 12 deg to stage left (house right)`, `close ...`, or `no turn`.

    To open is to face more to the house. A turn by more than 90 deg, or one through profile, where the nose goes
    first to one side and then back, is said by the performer's own side and what it passes.
    """
    turn = degrees_from_front(to_rad - from_rad)
    before, after = abs(degrees_from_front(from_rad)), abs(degrees_from_front(to_rad))
    if abs(turn) < SAME_DEG:
        return "no turn"
    verb = "open" if after < before - SAME_DEG else "close" if after > before + SAME_DEG else "turn"
    middle = from_rad + math.radians(turn) / 2
    # The nose moves across the stage by 2 cos(middle) sin(turn / 2).
    if abs(turn) <= 90.0 and abs(math.cos(middle)) > 0.3:
        return f"{verb} {abs(turn):.0f} deg to {side(math.cos(middle) * turn)}"
    own = "left" if turn > 0 else "right"
    passing = side(math.sin(middle)) if abs(math.sin(middle)) > 0.3 else "front" if math.cos(middle) > 0 else "back"
    return f"{verb} {abs(turn):.0f} deg to own {own}, by way of {passing}"


def side(x: float) -> str:
    """Which side positive (stage left) or negative x is, both ways."""
    return "stage left (house right)" if x > 0 else "stage right (house left)"


def side_words(x_m: float) -> str:
    """`1.20 m stage left (house right) of CL`, or `on CL`."""
    return "on CL" if abs(x_m) < 0.0005 else f"{_metres(x_m)} {side(x_m)} of CL"


def short_side(x_m: float) -> str:
    """The same for a table's cell: `0.50 m SL / HR`."""
    return "on CL" if abs(x_m) < 0.0005 else f"{_metres(x_m)} {'SL / HR' if x_m > 0 else 'SR / HL'}"


def depth_words(y_m: float, from_what: str = "PL") -> str:
    """`1.00 m upstage of PL`, or `on PL`."""
    if abs(y_m) < 0.0005:
        return f"on {from_what}" if from_what == "PL" else f"level with {from_what}"
    return f"{_metres(y_m)} {'upstage' if y_m > 0 else 'downstage'} of {from_what}"


def cross_words(from_spot: Spot, to_spot: Spot, area: Area) -> str:
    """`X DL: 0.60 m (1 ft 11 1/2 in) to stage left (house right), 0.30 m (11 3/4 in) downstage`, or `@ DL`.

    X is a cross, @ is at. What is too little to be marked (5 mm) is not said.
    """
    across, along = to_spot[0] - from_spot[0], to_spot[1] - from_spot[1]
    parts = []
    if abs(across) >= SAME_M:
        parts.append(f"{distance(across)} to {side(across)}")
    if abs(along) >= SAME_M:
        parts.append(f"{distance(along)} {'upstage' if along > 0 else 'downstage'}")
    there = area_of(to_spot, area)
    return f"X {there}: {', '.join(parts)}" if parts else f"@ {there}"


def blocking_words(from_spot: Spot, to_spot: Spot, from_rad: float, to_rad: float, area: Area) -> str:
    """Where to go and how to face after it, in one line: `X DL: 0.60 m ... ; open 12 deg ..., to 1/4 L (45 deg)`."""
    parts = []
    if to_spot != from_spot:
        parts.append(cross_words(from_spot, to_spot, area))
    if abs(to_rad - from_rad) > math.radians(0.05):
        parts.append(f"{turn_words(from_rad, to_rad)}, to {body_position(to_rad)}")
    return "; ".join(parts) or "stays"


def distance(value_m: float) -> str:
    """Both measures, without a sign: `0.60 m (1 ft 11 1/2 in)`."""
    return f"{abs(value_m):.2f} m ({feet(abs(value_m))})"


def _metres(value_m: float) -> str:
    """To the centimetre; to the millimetre where the place has millimetres."""
    thousandths = round(abs(value_m) * 1000)
    return f"{thousandths / 1000:.{3 if thousandths % 10 else 2}f} m"


def feet(value_m: float, parts: int = 4) -> str:
    """Feet and inches to the nearest 1/`parts` inch: `2 ft 0 in`, `11 3/4 in`, `-1 ft 6 1/2 in`."""
    ticks = round(abs(value_m) / INCH_M * parts)
    foot, small = divmod(ticks, 12 * parts)
    sign = "-" if value_m < 0 and ticks else ""
    return sign + (f"{foot} ft {_inches(small, parts, zero=True)}" if foot else _inches(small, parts))


def inches(value_m: float, parts: int = 8) -> str:
    """As a tape without feet reads, to the nearest 1/`parts` inch: `14 1/8 in`. Of lengths without a sign."""
    return _inches(round(value_m / INCH_M * parts), parts)


def millimetres(value_m: float) -> str:
    """Both measures of a small length: `12 mm (1/2 in)`."""
    return f"{value_m * 1000:.0f} mm ({feet(value_m, 16)})"


def _inches(ticks: int, parts: int, zero: bool = False) -> str:
    """`11 3/4 in` for so many 1/`parts` inches; with `zero` a 0 stands before a mere fraction."""
    whole, rest = divmod(ticks, parts)
    divisor = math.gcd(rest, parts)
    fraction = f"{rest // divisor}/{parts // divisor}" if rest else ""
    return " ".join(x for x in (str(whole) if whole or zero or not fraction else "", fraction, "in") if x)


def clock(time_s: float) -> str:
    """`1:05`, with a tenth where there is one: `0:12.5`."""
    tenths = round(time_s * 10)
    minutes, rest = divmod(tenths, 600)
    seconds, tenth = divmod(rest, 10)
    return f"{minutes}:{seconds:02d}" + (f".{tenth}" if tenth else "")
