"""One point of a tour: one scene in one venue, as meant, strayed once, or to be retargeted. The unit of work."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from sightline.scene.editing import Edit, edited, quoted
from sightline.scene.tour import key_path
from sightline.tour.swapping import with_venue

# Of what a result holds; another number makes all kept results old.
FORMAT = "tour 1"


@dataclass(frozen=True)
class Look:
    """How a point is looked at. `quick`: by direction fields where they are certain, for strays that are many."""

    beats: str = "static"
    fps: float = 1.0
    margins: bool = False
    quick: bool = False


@dataclass(frozen=True)
class Point:
    """All that decides a result, so that it can be worked out anywhere.

    `file` and `use` are paths from the tour's root (`use` perhaps a ready name); `sums` are name and SHA-256 of all files
    that scene and venue name. `draw` is None for the act as meant,
    else which draw its `stray` (dx m, dy m, turn rad) is. `stop` and `variant` only say where the rows go.
    """

    stop: int
    variant: int
    kind: str
    file: str
    text: str
    use: str
    ready: bool
    edits: tuple[Edit, ...]
    sums: tuple[tuple[str, str], ...]
    look: Look
    draw: int | None = None
    stray: tuple[float, float, float] | None = None

    def name(self) -> str:
        """What a result of this is kept under, but for the program that makes it: see `key`."""
        told = asdict(replace(self, stop=0, variant=0))
        if self.kind == "retarget":
            told["look"] = None
        return json.dumps(told, sort_keys=True)

    def key(self, program: str) -> str:
        """The name of the result that this program gives."""
        return hashlib.sha256(f"{FORMAT}\0{program}\0{self.name()}".encode()).hexdigest()

    @property
    def act(self) -> tuple[Any, ...]:
        """Points with the same of this are the same scene in the same venue."""
        return self.file, self.text, self.use, self.edits

    def scene_text(self) -> str:
        """The scene's text in its venue. Raises EditError where it cannot be written there."""
        return edited(with_venue(self.text, self.named_use()), self.edits)

    def named_use(self) -> str:
        """The venue as a scene in its own folder names it."""
        from posixpath import dirname, relpath

        return self.use if self.ready else relpath(self.use, dirname(self.file) or ".")


def edits_of(changes: dict[str, Any]) -> tuple[Edit, ...]:
    """The changes of a tour file as edits of a scene's text."""
    out = []
    for said, value in changes.items():
        path, joins = key_path(said)
        if isinstance(value, list) and not joins and all(isinstance(item, dict) for item in value):
            out.append(Edit(path, items=tuple(in_line(item) for item in value)))
        else:
            out.append(Edit(path, in_line(value), append=joins))
    return tuple(out)


def in_line(value: Any) -> str:
    """A value of the tour file as YAML of one line, its texts as they were written."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_text(key)}: {in_line(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(in_line(item) for item in value) + "]"
    return _text(str(value))


def _text(said: str) -> str:
    """Quoted where YAML would otherwise read something else in it."""
    special = not said or said != said.strip() or said[0] in "&*!|>%@`'\"[]{},#?-:" or any(c in said for c in ",[]{}\n")
    negative = said[:1] == "-" and said[1:2].isdigit() and not any(c in said for c in ",[]{}\n")
    if (special and not negative) or ": " in said or " #" in said or said.endswith(":") or not said.isprintable():
        return quoted(said)
    return said


def batches(points: Sequence[Point], hands: int) -> list[tuple[Point, ...]]:
    """The points in tasks of up to 50: of one scene together, enough tasks for all hands, none needlessly small."""
    size = batch_size(len(points), hands)
    return [tuple(points[start : start + size]) for start in range(0, len(points), size)]


# So many points make a task worth sending, and so many are lost at most when a worker is.
LEAST_BATCH, MOST_BATCH = 10, 50


def batch_size(points: int, hands: int) -> int:
    """Points in a task: 10 to 50, fewer where some of the hands would have none."""
    hands = max(hands, 1)
    even = -(-points // (4 * hands))
    return max(1, min(MOST_BATCH, max(even, min(LEAST_BATCH, -(-points // hands)))))
