"""Lengths and directions from a mark as somebody with a roll of tape wants them: never more than was found clean."""

from __future__ import annotations

import math

from sightline.blocking.notation import INCH_M, feet, side

# A direction is named by the nearest of eight.
EIGHTH_RAD = math.pi / 4


def centimetres(value_m: float) -> str:
    """Rounded down to the centimetre: `37 cm`, `1.20 m`."""
    whole = math.floor(value_m * 100 + 1e-6)
    return f"{whole} cm" if whole < 100 else f"{whole / 100:.2f} m"


def inches(value_m: float) -> str:
    """Rounded down to the quarter inch: `14 1/2 in`."""
    return feet(math.floor(value_m / INCH_M * 4 + 1e-6) / 4 * INCH_M)


def length(value_m: float) -> str:
    """Both: `37 cm (1 ft 2 1/2 in)`."""
    return f"{centimetres(value_m)} ({inches(value_m)})"


def degrees_down(value_rad: float) -> str:
    """Rounded down, to the quarter degree below 10 deg: `6.5`, `30`."""
    value = math.degrees(value_rad) + 1e-6
    return f"{math.floor(value * 4) / 4:g}" if value < 10 else f"{math.floor(value)}"


def direction(bearing_rad: float) -> str:
    """Where a bearing of the stage points (0 downstage, positive to stage left): `upstage, to stage left (house right)`."""
    eighth = round(bearing_rad / EIGHTH_RAD) % 8
    along = {0: "downstage", 1: "downstage", 7: "downstage", 3: "upstage", 4: "upstage", 5: "upstage"}.get(eighth)
    across = None if eighth in (0, 4) else side(math.sin(eighth * EIGHTH_RAD))
    return ", ".join(x for x in (along, across and f"to {across}") if x)


def short_way(bearing_rad: float) -> str:
    """The same for a card: `US, SL/HR`."""
    eighth = round(bearing_rad / EIGHTH_RAD) % 8
    along = "" if eighth in (2, 6) else "DS" if eighth in (0, 1, 7) else "US"
    across = "" if eighth in (0, 4) else "SL/HR" if eighth < 4 else "SR/HL"
    return ", ".join(x for x in (along, across) if x)
