"""A room to try an act in, and what of it a camera and a performer can use."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sightline.errors import SightlineError
from sightline.units import QuantityError, Unknown, parse

CEILING_M = 2.4
ROOM_RANGE_M, CEILING_RANGE_M = (1.0, 60.0), (1.5, 20.0)


@dataclass(frozen=True)
class Room:
    """A rectangular room: `across_m` along the performer's shoulders, `along_m` ahead, as it is used."""

    across_m: float
    along_m: float
    ceiling_m: float = CEILING_M


def room_of(text: str, ceiling_m: float = CEILING_M) -> Room:
    """A room as written: `4 x 3 m`, `12 ft x 10 ft`. Raises SightlineError."""
    parts = [part.strip() for part in re.split(r"\s*[x×*]\s*", text.strip())]
    hint = "write for example '4 x 3 m' or '12 x 10 ft'"
    if len(parts) != 2 or not all(parts):
        raise SightlineError(f"'{text[:40]}' is no room; {hint}.")
    if not re.search(r"[A-Za-z'\"′″’”]", parts[0]):
        parts[0] += " " + re.sub(r"^[\s\d./+\-−]+", "", parts[1])
    try:
        sides = [parse(part, "length").value for part in parts]
    except (QuantityError, Unknown) as error:
        raise SightlineError(f"'{text[:40]}' is no room: {str(error) or 'unknown is no size'}; {hint}.") from None
    for value in sides:
        if not ROOM_RANGE_M[0] <= value <= ROOM_RANGE_M[1]:
            raise SightlineError(
                f"A room of {value:g} m cannot be used; each side is {ROOM_RANGE_M[0]:g} to {ROOM_RANGE_M[1]:g} m."
            )
    if not 1.5 <= ceiling_m <= 20.0:
        raise SightlineError(f"A ceiling of {ceiling_m:g} m cannot be used; it is 1.5 to 20 m high.")
    return Room(sides[0], sides[1], ceiling_m)
