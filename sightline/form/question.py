"""One question to a maker: what is asked, where its answer stands in a scene file, and what answers will do."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from sightline.scene.document import Key, KeyPath

Kind = Literal["length", "distance", "offset", "angle", "mass", "words", "choice", "facing", "count"]
Skip = Literal["no", "unknown", "leave"]

# Indices that only the file at hand can tell: which opening is the arm's, which false limb replaces it.
ARM_OPENING = "<arm opening>"
ARM_LIMB = "<false arm>"
_MEASURED = ("length", "distance", "offset", "angle", "mass")
_COMMA = re.compile(r"[0-9],[0-9]")


@dataclass(frozen=True)
class Question:
    """What is asked and how.

    `path` is the key path of the answer; `also` a second place that says the same. `skip` says what "don't know" does:
    not allowed, write `unknown`, or leave the key away. `implied` is what a file means that does not say. `when` names
    another question and the answers to it that make this one be asked. `bounds` are SI values, with the words for them.
    """

    id: str
    ask: str
    short: str
    kind: Kind
    path: KeyPath
    help: str = ""
    picture: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    skip: Skip = "no"
    implied: str = ""
    also: KeyPath = ()
    when: tuple[str, tuple[str, ...]] | None = None
    bounds: tuple[float, float, str] | None = None
    unit: str = "cm"
    # What an unanswered member of a list of lengths is written as, when its neighbours are answered.
    blank: str = ""
    # What the choice of no answer is called.
    nothing: str = "leave open"

    def as_data(self) -> dict[str, Any]:
        """What the page's script needs to know."""
        return {
            "id": self.id, "kind": self.kind, "skip": self.skip, "implied": self.implied, "blank": self.blank,
            "group": self.group, "also": self.also[0] if self.also else "", "required": self.required,
            "droppable": self.droppable, "choices": [list(choice) for choice in self.choices],
            "when": [self.when[0], list(self.when[1])] if self.when else None,
            "bounds": list(self.bounds) if self.bounds else None,
        }  # fmt: skip

    @property
    def group(self) -> str:
        """The part of the scene that is there or not as a whole."""
        return "opening" if "openings" in self.path else str(self.path[0])

    @property
    def required(self) -> bool:
        return self.skip == "no"

    @property
    def droppable(self) -> bool:
        """Whether its key may go from a file that has it."""
        return self.skip == "leave" or self.when is not None

    def problem(self, text: str) -> str | None:
        """What is wrong with an answer, in the words of the scene file's own reader; None when it will do."""
        said = text.strip()
        if not said:
            return "Nothing is written here; give an answer." if self.required else None
        if said.casefold() == "unknown" and self.kind in (*_MEASURED, "facing"):
            if self.skip == "unknown":
                return None
            return "This one is needed; measure it, or say 'about' and your best guess."
        if self.kind == "choice" and self.choices:
            allowed = [value for value, _ in self.choices]
            if said in allowed:
                return None
            return f"'{said[:40]}' is not one of the choices; write one of: {', '.join(allowed)}."
        if self.kind != "words" and _COMMA.search(said):
            return "Write a point before the decimals, as in 17.5, and nothing between thousands."
        sentence = _read_problem(self.kind, said)
        if sentence is None and self.bounds is not None:
            from sightline.units import parse

            found = parse(said, "mass" if self.kind == "mass" else "length")
            if found.low < self.bounds[0] or found.high > self.bounds[1]:
                sentence = f"'{said}' is outside what can be: {self.bounds[2]}."
        return sentence


@cache
def _reader(kind: Kind) -> Any:
    from pydantic import TypeAdapter

    from sightline.scene import fields

    readers: dict[Kind, Any] = {
        "length": fields.Length, "distance": fields.Distance, "offset": fields.Offset, "angle": fields.Angle,
        "mass": fields.Mass, "words": fields.Words, "choice": fields.Words, "facing": fields.Facing,
        "count": fields.Count,
    }  # fmt: skip
    return TypeAdapter(readers[kind])


def _read_problem(kind: Kind, text: str) -> str | None:
    from pydantic import ValidationError

    try:
        _reader(kind).validate_python(text)
    except ValidationError as error:
        context = error.errors()[0].get("ctx") or {}
        return str(context.get("sentence", "This will not do."))
    return None


def at(*path: Key) -> KeyPath:
    """A key path, written short."""
    return path
