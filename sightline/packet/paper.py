"""One file of the packet: for whom it is, and whether it shows the working."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from sightline.packet.brief import Brief
    from sightline.pictures.page import Page

Openness = Literal["open", "closed"]
# What stands in the footer of every paper.
FOOTERS: dict[Openness, str] = {"open": "OPEN", "closed": "CLOSED: shows the working"}
PaperName = Literal["a4", "letter"]
# ISO 216 A4; Letter is 8 1/2 x 11 in (ANSI/ASME Y14.1, from memory).
SIZES_MM: dict[PaperName, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}


class LeftOut(Exception):
    """Raised by a paper's maker where the scene gives nothing to put on it; the sentence says why."""


@dataclass(frozen=True)
class Sheets:
    """The pages of a paper as they are drawn, before title blocks are on them.

    `ready`: pages laid out by others, with no room for a block; they get one line at the foot.
    """

    pages: Sequence[Page]
    scale: str = ""
    ready: bool = False


Drawn = Sheets | Sequence["Sheets"] | bytes


@dataclass(frozen=True)
class Kind:
    """A paper that a packet may hold. `make` gives its sheets, or the file's bytes; raises LeftOut where it cannot.

    `name` is what `--only` takes; several files may share one.
    """

    name: str
    stem: str
    title: str
    for_whom: tuple[str, ...]
    openness: Openness
    make: Callable[[Brief], Drawn]
    ending: str = "pdf"

    @property
    def path(self) -> str:
        return f"{self.openness}/{self.stem}.{self.ending}"


@dataclass(frozen=True)
class Paper:
    """A paper that was made: the file's bytes."""

    kind: Kind
    data: bytes
    pages: int | None = None


@dataclass(frozen=True)
class Missing:
    """A paper that was not made, and why, in a sentence."""

    kind: Kind
    why: str
