"""One drawing at full size, in millimetres: strokes and words on named layers."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from sightline.geometry.frame import FloatArray

Layer = Literal["cut", "mark", "fold", "words", "guide", "sheet"]


@dataclass(frozen=True)
class Stroke:
    """A line through `points` (k, 2) mm; y upwards from the drawing's lower left corner."""

    points: FloatArray
    layer: Layer
    closed: bool = False


@dataclass(frozen=True)
class Words:
    """One line of text, `height_mm` capital height, turned by `turn_deg` anticlockwise about its anchor."""

    text: str
    at: tuple[float, float]
    layer: Layer = "words"
    height_mm: float = 3.5
    turn_deg: float = 0.0
    anchor: Literal["start", "middle", "end"] = "start"


@dataclass(frozen=True)
class Drawing:
    """A sheet of `width_mm` x `height_mm`, everything on it at full size."""

    title: str
    width_mm: float
    height_mm: float
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
