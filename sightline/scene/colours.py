"""The colours in which views show the act, as written: a plain name or #rrggbb. They change no verdict."""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainValidator, WithJsonSchema

from sightline.scene.fields import Part, Words, wrong

# Plain names and what they are taken for on a screen. Our own choice of muted stage colours.
COLOUR_NAMES = {
    "black": "#23262b", "charcoal": "#3b4048", "grey": "#8b8f94", "light grey": "#c4c6c8", "white": "#f2efe8",
    "cream": "#eadfc6", "beige": "#d3bf9c", "tan": "#c19a6b", "ochre": "#c28f3a", "brown": "#7a5636",
    "dark brown": "#4a3425", "rust": "#a0522d", "red": "#a63a35", "wine": "#6f2b3e", "pink": "#d99aa5",
    "orange": "#d07a35", "yellow": "#dcb84a", "olive": "#6c6b3c", "green": "#4a7a52", "dark green": "#2f4f3d",
    "teal": "#2f7177", "light blue": "#8fb2cc", "blue": "#3a5f8f", "navy": "#2c3a55", "purple": "#5f4472",
    "pale skin": "#e3bda3", "light skin": "#d2a284", "medium skin": "#b07f5c", "brown skin": "#8a5a3c",
    "dark skin": "#5b3a29",
}  # fmt: skip


def _colour(value: Any) -> str:
    said = value.strip().casefold() if isinstance(value, str) else ""
    if re.fullmatch(r"#[0-9a-f]{6}", said):
        return said
    if said in COLOUR_NAMES:
        return COLOUR_NAMES[said]
    near = get_close_matches(said, COLOUR_NAMES, n=1)
    hint = f"did you mean '{near[0]}'?" if near else f"write #rrggbb in quotes, or one of: {', '.join(COLOUR_NAMES)}."
    raise wrong(f"'{str(value)[:40]}' is no colour known here; {hint}")


def _named(value: Any) -> Any:
    if not isinstance(value, dict):
        raise wrong("These are named: a piece of the scene, a colon, and its colour.")
    return value


Colour = Annotated[
    str,
    PlainValidator(_colour),
    WithJsonSchema({"anyOf": [{"type": "string", "enum": list(COLOUR_NAMES)}, {"type": "string", "pattern": "^#"}]}),
]
"""Read as #rrggbb."""


class Colours(Part):
    """What the views paint with. `sleeve` is taken for all sleeves, `cloth` for every other piece worn or hung;
    `named` gives one piece of the scene its own colour by its name, such as `cape: dark green`."""

    skin: Colour | None = None
    hair: Colour | None = None
    shirt: Colour | None = None
    sleeve: Colour | None = None
    trousers: Colour | None = None
    cloth: Colour | None = None
    prop: Colour | None = None
    puppet: Colour | None = None
    named: Annotated[dict[Words, Colour], BeforeValidator(_named), Field(max_length=100)] = {}
