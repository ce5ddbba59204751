"""Pages of paper: what is printed on each, where words are cut off, and the sizes that are sold."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from sightline.drawings.drawing import Drawing, Rect, Stroke, Words

PaperName = Literal["a4", "letter"]
# ISO 216 A4; ANSI/ASME Y14.1 size A, 8 1/2 x 11 in.
PAPERS_MM: dict[PaperName, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}


@dataclass(frozen=True)
class Part:
    """Lines and words in the page's millimetres; words are seen only `within`, lines are cut already."""

    strokes: list[Stroke]
    words: list[Words]
    within: Rect | None = None


@dataclass(frozen=True)
class Page:
    """One page; `label` names it among the pages of its drawing."""

    width_mm: float
    height_mm: float
    parts: list[Part] = field(default_factory=list)
    label: str = ""


def page_of(drawing: Drawing) -> Page:
    """A page as large as the drawing."""
    return Page(drawing.width_mm, drawing.height_mm, [Part(drawing.strokes, drawing.words)])
