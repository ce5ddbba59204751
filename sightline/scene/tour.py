"""A tour as written: which venues, which scenes and variants of them, and how each is looked at."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from sightline.scene.blocking import Stray
from sightline.scene.document import KeyPath
from sightline.scene.fields import Count, Flag, Part, Positive, Words, as_list, one_of, wrong

MOST_VENUES, MOST_VARIANTS, MOST_CHANGES = 1_000, 200, 100
# `costume[+]` joins a list, `false limbs[0]` is its first entry.
_STEP = re.compile(r"([^\[\]]+)((?:\[[0-9]{1,6}\])*)(\[\+\])?")
MOST_KEY = 400
JOINS = "[+]"


def key_path(said: str) -> tuple[KeyPath, bool]:
    """The path of a key as messages print it (`prop.openings[0].diameter`), and whether it joins a list (`costume[+]`).

    Raises ValueError for what is no such path.
    """
    if len(said) > MOST_KEY:
        raise ValueError(said)
    path: list[str | int] = []
    parts = said.split(".")
    joins = False
    for n, part in enumerate(parts):
        found = _STEP.fullmatch(part.strip())
        if found is None or (found[3] and n + 1 < len(parts)):
            raise ValueError(said)
        path += [found[1].strip(), *(int(number) for number in re.findall(r"[0-9]+", found[2]))]
        joins = found[3] is not None
    return tuple(path), joins


def _changes(value: Any) -> Any:
    if not isinstance(value, dict):
        raise wrong("Keys of the scene and their new values belong here, such as {prop.at.up: 118 cm}.")
    for said in value:
        try:
            key_path(said)
        except ValueError:
            raise wrong(
                f"'{str(said)[:60]}' is no key of a scene; write it as prop.at.up or false limbs[0].elbow."
            ) from None
    return value


Changes = Annotated[dict[str, Any], BeforeValidator(_changes), Field(max_length=MOST_CHANGES)]


def _stop(value: Any) -> Any:
    """A name stands for a venue without anything else to say about it."""
    return {"use": value} if isinstance(value, str) else value


def _variant(value: Any) -> Any:
    return {"scene": value} if isinstance(value, str) else value


def some(what: str) -> Any:
    """For lists that must not be empty."""

    def read(value: list[Any]) -> list[Any]:
        if not value:
            raise wrong(f"This list is empty; a tour needs at least one {what}.")
        return value

    return AfterValidator(read)


class TourVenue(Part):
    """A venue of the tour: a ready one by name, or a FILE.yaml below the tour's folder.

    `change` are keys of the scene that are otherwise here, whatever the variant: `{blocking.mark: [0 m, 2 m]}`.
    """

    use: Words
    name: Words | None = None
    change: Changes = {}


class TourVariant(Part):
    """A scene file, or one with named changes: `{name: higher, scene: act.yaml, change: {prop.at.up: 118 cm}}`.

    `costume[+]: {...}` in `change` joins a list. Without `scene` the first of the tour's scenes is meant.
    """

    name: Words | None = None
    scene: Words | None = None
    change: Changes = {}

    @model_validator(mode="after")
    def _named(self) -> TourVariant:
        if self.change and self.name is None:
            raise wrong("A variant with changes needs a name of its own, such as name: higher.")
        return self


class TourRequire(Part):
    """What must hold for a tour to end well: at most so many eyes that can see a secret, in any venue and beat."""

    seen: Count


class Tour(Part):
    """One tour file. A venue of the tour takes the place of the scene's own `venue` and `eyes`.

    `beats: static` looks at the scene's own mark, `all` at every beat, `fps` frames a second between them. `drift`
    adds rows for strays from the mark: distance and turn are two standard deviations, `seed` says which draws.
    """

    version: one_of("1") = "1"  # type: ignore[valid-type]
    title: Words = "A tour"
    venues: Annotated[
        list[Annotated[TourVenue, BeforeValidator(_stop)]],
        BeforeValidator(as_list), Field(max_length=MOST_VENUES), some("venue"),
    ]  # fmt: skip
    scenes: Annotated[list[Words], BeforeValidator(as_list), Field(max_length=MOST_VARIANTS), some("scene")]
    variants: Annotated[
        list[Annotated[TourVariant, BeforeValidator(_variant)]],
        BeforeValidator(as_list), Field(max_length=MOST_VARIANTS), some("variant"),
    ] | None = None  # fmt: skip
    beats: one_of("all", "static") = "static"  # type: ignore[valid-type]
    fps: Annotated[Positive, Field(le=60.0)] = 1.0
    margins: Flag = False
    drift: Stray | None = None
    require: TourRequire | None = None
