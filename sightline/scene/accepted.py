"""What somebody has decided to live with: a leak that is known and accepted, and by whom."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field

from sightline.scene.fields import Part, Words, as_list

MOST_NOTE = 2000


class AcceptedLeak(Part):
    """From these seats something is seen, and that is accepted. It changes no verdict: the seats still see it.

    `beat` is the name of the beat it is about, left out for the whole act. `date` is as typed, from no clock.
    """

    seats: Annotated[list[Words], BeforeValidator(as_list), Field(min_length=1, max_length=10_000)]
    beat: Words | None = None
    sees: Words
    by: Words
    date: Words
    note: Annotated[str, Field(max_length=MOST_NOTE)] = ""
