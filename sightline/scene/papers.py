"""What stands in the title block of every paper, and what only the company knows about the day."""

from __future__ import annotations

from typing import Literal

from sightline.scene.day import Day
from sightline.scene.fields import Part, Time, Words
from sightline.scene.openly import OpenWords


class Times(Part):
    """`start` is a time of day such as `19:30`; `running` how long one set lasts, `rest` how long until the next."""

    start: Words | None = None
    running: Time | None = None
    sets: Words | None = None
    rest: Time | None = None


class Papers(Part):
    """The title block. `date` is printed as it is typed here: no paper ever takes today's.

    `status` is stamped on every file: planned, mock-up checked or as built. `open` is what may be told to everybody.
    """

    company: Words | None = None
    production: Words | None = None
    drawn_by: Words | None = None
    revision: Words | None = None
    date: Words | None = None
    contact: Words | None = None
    status: Literal["planned", "mock-up checked", "as built"] = "planned"
    times: Times = Times()
    day: Day = Day()
    open: OpenWords = OpenWords()
