"""How the act travels: packed parts, what comes apart, tools, and what it must go into, as written."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainValidator, WithJsonSchema

from sightline.scene.fields import FARTHEST_M, Count, Mass, Part, Time, Words, as_list, wrong
from sightline.units import UNITS, QuantityError, Unknown, parse

_CROSS = re.compile(r"\s*[x×]\s*")


def _sides(count: int, example: str) -> Callable[[Any], tuple[float, ...]]:
    """Reads `60 x 45 x 40 cm`: the unit of the last side is that of those before it which have none."""

    def read(value: Any) -> tuple[float, ...]:
        if isinstance(value, tuple):
            return value
        if isinstance(value, list):
            texts = [str(side) for side in value]
        elif isinstance(value, str):
            texts = _CROSS.split(value.strip())
        else:
            texts = []
        if len(texts) != count:
            raise wrong(f"A size here has {count} sides, such as {example}.")
        unit = re.search(r"[A-Za-z]+$", texts[-1].strip())
        last = unit.group() if unit and unit.group() in UNITS["length"] else ""
        out = []
        for text in texts:
            said = f"{text} {last}" if last and re.fullmatch(r"\s*[0-9.]+\s*", text) else text
            try:
                found = parse(said, "length")
            except (QuantityError, Unknown):
                raise wrong(f"'{text.strip()[:40]}' is no side of a size; write {example}.") from None
            if found.is_range or not 0.0 < found.value <= FARTHEST_M:
                raise wrong(f"'{text.strip()[:40]}' is no side of a size: it must be one length, more than nothing.")
            out.append(found.value)
        return tuple(out)

    return read


def _schema(example: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "description": f"a size with its unit: {example}"})


Size = Annotated[tuple[float, float, float], PlainValidator(_sides(3, "60 x 45 x 40 cm")), _schema("60 x 45 x 40 cm")]
"""Three sides of a box, metres, in any order."""
DoorSize = Annotated[tuple[float, float], PlainValidator(_sides(2, "76 x 200 cm")), _schema("76 x 200 cm")]
"""Clear width and height, metres."""


class TravelPart(Part):
    """One thing as it is packed. `inside` names another part that it travels in; `comes off` is how it comes away."""

    name: Words
    size: Size
    mass: Mass | None = None
    inside: Words | None = None
    comes_off: Words | None = None


class Travel(Part):
    """What the travel sheet is made from. Without `parts` they are guessed from the scene's own.

    `case` and `car` are clear inside sizes. `battery: none` says that there is none.
    """

    parts: Annotated[list[TravelPart], BeforeValidator(as_list), Field(max_length=40)] = []
    set_up: Time | None = None
    take_down: Time | None = None
    people: Annotated[Count, Field(ge=1, le=50)] | None = None
    tools: Annotated[list[Words], BeforeValidator(as_list), Field(max_length=40)] | None = None
    battery: Words | None = None
    case: Size | None = None
    car: Size | None = None
    door: DoorSize | None = None
    case_mass: Mass | None = None
