"""What may be told to everybody, as written: for selling, for front of house, for photographers. No word of the working."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field

from sightline.scene.fields import Count, Length, Part, Words, as_list

Lines = Annotated[list[Words], BeforeValidator(as_list), Field(max_length=12)]


class OpenWords(Part):
    """What the open papers say beside what is worked out; all of it may be read by anybody.

    `pitch` is the floor that is asked for, across and along; `ring` how near the first people may stand.
    """

    about: Words | None = None
    suits: Lines = []
    not_for: Lines = []
    pitch: tuple[Length, Length] | None = None
    ring: Length | None = None
    door: Length | None = None
    power: Words | None = None
    changing_room: Words | None = None
    handlers: Annotated[Count, Field(le=20)] | None = None
    latecomers: Words | None = None
    latecomers_stand: Words | None = None
    filming: Words | None = None
    complaint: Words | None = None
    cases_opened_by: Words | None = None
    stop_phrase: Words | None = None
    fee: Words | None = None
    insurance: Words | None = None
