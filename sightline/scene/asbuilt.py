"""The sheet that a builder fills in after the mock-up, and what a scene keeps of it once it is taken over."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from sightline.scene.fields import Part, Point, Words, as_list, wrong

# More lines than any scene has sizes: 1,400 plain shapes of up to six each, and the act's.
MOST_LINES = 10_000


def _filled(most: int) -> Callable[[Any], str]:
    """What a hand wrote beside a line, its words one space apart; nothing written is nothing."""

    def read(value: Any) -> str:
        if not isinstance(value, str):
            raise wrong("One plain value belongs here, not a list or a mapping.")
        if len(value) > most:
            raise wrong(f"This is too long; at most {most} characters belong here.")
        return " ".join(value.split())

    return read


Filled = Annotated[str, BeforeValidator(_filled(200))]
ShortNote = Annotated[str, BeforeValidator(_filled(40))]
LongNote = Annotated[str, BeforeValidator(_filled(2000))]


def _lines(value: Any) -> Any:
    if value == "":
        return {}
    if not isinstance(value, dict):
        raise wrong("Lines such as 'prop.box.width: {planned: 46 cm, measured: 46.5 cm}' belong here.")
    return value


class SizeLine(Part):
    """One size: what the scene said when the sheet was made, and what the tape said. Blank: not measured."""

    planned: Filled = ""
    measured: Filled = ""


class TickLine(Part):
    """What was seen from one eye's place. Blank: nobody looked; `unknown`: somebody looked and is not sure.

    `camera` is where the mock-up put its camera, from the mark: left, back (negative is ahead), up. Without it somebody
    looked from the eye's own place.
    """

    camera: Point | None = None
    saw: Filled = ""
    where: LongNote = ""


class AsBuiltSheet(Part):
    """`as built` is the title of the scene that the sheet was made for; `date` is as typed, from no clock."""

    version: Literal["1"]
    as_built: Words
    by: ShortNote = ""
    date: ShortNote = ""
    sizes: Annotated[dict[Words, SizeLine], BeforeValidator(_lines), Field(max_length=MOST_LINES)] = {}
    ticks: Annotated[dict[Words, TickLine], BeforeValidator(_lines), Field(max_length=MOST_LINES)] = {}


class SizeTaken(Part):
    """One size that came out otherwise than planned, both as they were written."""

    size: Words
    planned: Words
    built: Words


class BuiltTaken(Part):
    """What came out otherwise than planned. `seen from`: eyes that somebody saw a secret from though none was computed;
    the check counts them as seen, all else is a record for people to read."""

    sizes: Annotated[list[SizeTaken], BeforeValidator(as_list), Field(max_length=MOST_LINES)] = []
    seen_from: Annotated[list[Words], BeforeValidator(as_list), Field(max_length=MOST_LINES)] = []
    by: Annotated[str, Field(max_length=40)] = ""
    date: Annotated[str, Field(max_length=40)] = ""
