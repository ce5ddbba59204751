"""The day worked back from the start: when everybody must be where. Times of day in minutes after midnight; none from a clock."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from sightline.scene.day import Day
from sightline.scene.papers import Times

# Times are printed to five minutes, always the earlier before the start and the later after the end.
STEP_MIN = 5
DAY_MIN = 24 * 60
MOST_SETS = 20
_TIME = re.compile(r"\s*(\d{1,2})[:.](\d{2})\s*(am|pm|a\.m\.|p\.m\.)?\s*(?:h|hrs|uhr)?\s*", re.IGNORECASE)


@dataclass(frozen=True)
class Entry:
    """One line of the day sheet: when it begins (minutes after midnight of the day of the start), what, how long (s)."""

    at_min: int
    what: str
    lasts_s: float
    who: str


def start_minutes(text: str | None) -> int | None:
    """`19:30`, `7:30 pm`, `19.30`: minutes after midnight. None where it is no time of day."""
    found = _TIME.fullmatch(text) if text else None
    if not found:
        return None
    hour, minute, half = int(found[1]), int(found[2]), (found[3] or "").lower().replace(".", "")
    if minute > 59 or hour > (12 if half else 23) or (half and hour == 0):
        return None
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    return 60 * hour + minute


def sets_of(text: str | None) -> int:
    """How many sets: the number that is written first; 1 where none is."""
    found = re.match(r"\s*(\d{1,3})(?![:.\d])", text or "")
    return min(max(int(found[1]), 1), MOST_SETS) if found else 1


def time_words(at_min: int) -> str:
    """`19:30`, by 24 hours; of another day says so."""
    day, minutes = divmod(at_min, DAY_MIN)
    said = f"{minutes // 60:02d}:{minutes % 60:02d}"
    return (
        said
        if day == 0
        else f"{said} the day before"
        if day == -1
        else f"{said} the day after"
        if day == 1
        else f"{said}, {day:+d} days"
    )


def entries(start_min: int, times: Times, day: Day, dress_s: float, doff_s: float) -> list[Entry]:
    """The day in order. What comes before the start is rounded to the earlier five minutes, what comes after to the later."""
    before = [
        ("Places: everybody stands by", day.places, "performer, handler, stage manager"),
        ("Walk to the place", day.walk, "performer, led by the handler"),
        ("Mirror check, all sides", day.mirror_check, "performer, dresser"),
        ("Dress", dress_s, "performer, dresser"),
        ("Arrive, unpack, look over and preset", day.unpack, "everybody"),
    ]
    out, at = [], start_min
    for what, lasts, who in before:
        at = math.floor((at - lasts / 60) / STEP_MIN) * STEP_MIN
        out.append(Entry(at, what, lasts, who))
    out.reverse()
    running, rest, sets = times.running or 0.0, times.rest or 0.0, sets_of(times.sets)
    now = float(start_min)
    for k in range(1, sets + 1):
        out.append(Entry(math.ceil(now), "Run" if sets == 1 else f"Run, set {k}", running, "performer, handler"))
        now += running / 60
        if k < sets:
            out.append(Entry(math.ceil(now), "Rest: prop off, water, cool down", rest, "performer, handler"))
            now += rest / 60
    after = [
        ("Walk back", day.walk, "performer, led by the handler"),
        ("Doff, and ask how the performer is", doff_s, "performer, dresser"),
        ("Hang up to dry, look over for repairs", day.dry, "dresser"),
        ("Pack, count, collect the closed papers", day.pack, "everybody"),
        ("Away", 0.0, "everybody"),
    ]
    for what, lasts, who in after:
        now = math.ceil(now / STEP_MIN - 1e-9) * STEP_MIN
        out.append(Entry(int(now), what, lasts, who))
        now += lasts / 60
    return out
