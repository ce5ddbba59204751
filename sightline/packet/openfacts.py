"""All that open papers may know, gathered in this one place: plain words and sizes, each looked over for telling words.

Sheets for everybody are drawn from `OpenFacts` alone. What is not in here cannot get onto them.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from sightline.packet.seatranges import SeatRange

# Where somebody of the house watches, or photographs from: bearing from the performer's own front (rad, positive to the
# performer's left) and distance, m.
Place = tuple[float, float]


@dataclass(frozen=True)
class Restricted:
    """Seats with one reason, in words for everybody."""

    seats: SeatRange
    reason: str


@dataclass(frozen=True)
class OpenFacts:
    """Empty text: not said, left blank to write in. Lengths in metres.

    `front_rad`: the audience may be from the first bearing to the second (positive to the performer's own left); a
    whole circle where `surrounded`. `farther`: the same from a greater distance on, (m, rad, rad), where that
    is more. `good`: seats from which it looks best.
    `pitch_m` is across and along, `footprint_m` performer and prop across and deep.
    """

    title: str
    company: str
    contact: str
    drawn_by: str
    revision: str
    date: str
    venue: str
    about: str
    start: str
    running: str
    sets: str
    rest: str
    footprint_m: tuple[float, float]
    turning_m: float
    pitch_m: tuple[float, float]
    ring_m: float
    front_rad: tuple[float, float] | None
    farther: tuple[float, float, float] | None
    surrounded: bool
    door_m: float
    power: str
    changing_room: str
    fee: str
    insurance: str
    handlers: int
    posts: tuple[Place, ...]
    photo: Place | None
    suits: tuple[str, ...]
    not_for: tuple[str, ...]
    latecomers: str
    latecomers_stand: str
    filming: str
    complaint: str
    cases_opened_by: str
    stop_phrase: str
    seats: int
    held: tuple[SeatRange, ...]
    restricted: tuple[Restricted, ...]
    wheelchair: tuple[SeatRange, ...]
    good: tuple[SeatRange, ...]
    seated: bool

    def texts(self) -> list[tuple[str, str]]:
        """Every text in it with the field it is of."""
        return [(field.name, text) for field in fields(self) for text in _texts(getattr(self, field.name))]


def _texts(value: Any) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, SeatRange):
        return [value.text]
    if isinstance(value, Restricted):
        return [value.seats.text, value.reason]
    return [text for each in value for text in _texts(each)] if isinstance(value, tuple) else []
