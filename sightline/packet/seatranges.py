"""Seats as an usher reads them: `Stalls C 12-16, 18`, by level, block and row. A range never names a seat in between that
is not meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sightline.house.eyes import Eye

# A name in front, a number, and what stands behind: `12`, `X7`, `12a`, `front 3`.
_NUMBERED = re.compile(r"(.*?)(\d{1,9})([A-Za-z]?)", re.DOTALL)


@dataclass(frozen=True)
class SeatRange:
    """Seats of one row, or places of one area without rows. `seats` is `12-16, 18`; `count` how many places that are."""

    where: str
    seats: str
    count: int

    @property
    def text(self) -> str:
        return f"{self.where} {self.seats}".strip()


def seat_ranges(eyes: Iterable[Eye]) -> list[SeatRange]:
    """One range for each row, in the order in which rows come first; each eye once."""
    rows: dict[str, dict[str, None]] = {}
    for eye in eyes:
        where = _where(eye)
        rows.setdefault(where, {})[_own(eye)] = None
    return [SeatRange(where, ranges(list(seats)), len(seats)) for where, seats in rows.items()]


def ranges(seats: Sequence[str]) -> str:
    """`3-7, 9, 12a`: numbers that follow each other, and letters, as runs; in natural order, each seat once."""
    runs: list[list[str]] = []
    for seat in sorted(dict.fromkeys(seats), key=_order):
        if runs and _follows(runs[-1][-1], seat):
            runs[-1].append(seat)
        else:
            runs.append([seat])
    return ", ".join(run[0] if len(run) == 1 else f"{run[0]}-{_last(run[-1])}" for run in runs)


def _where(eye: Eye) -> str:
    """Level, block where it is another word, and row; the first letter large."""
    parts = [eye.level or "", _block(eye), eye.row or ""]
    said = " ".join(part for part in parts if part)
    return said[:1].upper() + said[1:]


def _block(eye: Eye) -> str:
    """The block's name as its seats carry it: `left wing` of `left wing C12`. Empty where the level says the same."""
    tail = f"{eye.row or ''}{eye.seat or ''}"
    if not tail or not eye.id.endswith(tail):
        return ""
    block = eye.id[: -len(tail)].strip()
    return "" if block.casefold() in ("", (eye.level or "").casefold()) else block


def _own(eye: Eye) -> str:
    """What is said of the place after its row: the seat, else its name without the level's."""
    if eye.seat:
        return eye.seat
    level = f"{eye.level} " if eye.level else ""
    return eye.id[len(level) :] if level and eye.id.casefold().startswith(level.casefold()) else eye.id


def _order(seat: str) -> tuple[str, int, str, str]:
    found = _NUMBERED.fullmatch(seat)
    return (found[1], int(found[2]), found[3], seat) if found else (seat, -1, "", seat)


def _follows(before: str, seat: str) -> bool:
    """Whether nothing can be between the two: 12 and 13, X7 and X8, C and D, 12a and 12b."""
    a, b = _NUMBERED.fullmatch(before), _NUMBERED.fullmatch(seat)
    if a and b:
        if a[1] != b[1]:
            return False
        if a[3] and b[3] and a[2] == b[2]:
            return ord(b[3]) - ord(a[3]) == 1
        # 09 and 10 follow each other, 9 and 010 are written by two hands.
        alike = len(a[2]) == len(b[2]) or not (a[2].startswith("0") or b[2].startswith("0"))
        return not a[3] and not b[3] and alike and int(b[2]) - int(a[2]) == 1
    single = re.compile(r"[A-Za-z]")
    return bool(single.fullmatch(before) and single.fullmatch(seat)) and ord(seat) - ord(before) == 1


def _last(seat: str) -> str:
    """The end of a run without the name that its beginning has said already."""
    found = _NUMBERED.fullmatch(seat)
    return f"{found[2]}{found[3]}" if found else seat
