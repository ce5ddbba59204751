"""One drawing at full size, in millimetres: strokes and words on named layers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from sightline.geometry.frame import FloatArray

Layer = Literal["cut", "mark", "fold", "words", "guide", "sheet", "join", "bar"]
"""`join` (where pages join) and `bar` (check bar) belong to the paper; drawings of pieces use the other six."""

Rect = tuple[float, float, float, float]
"""x_min, y_min, x_max, y_max in mm."""

# A line may lie over the sheet's edge by what adding floats leaves over, no more: what is beyond would be lost in print.
BEYOND_MM = 0.01


@dataclass(frozen=True)
class Stroke:
    """A line through `points` (k, 2) mm; y upwards from the drawing's lower left corner.

    `dash_from_mm` is how far along its dashes the line begins: a line cut at a page's edge goes on with them.
    """

    points: FloatArray
    layer: Layer
    closed: bool = False
    dash_from_mm: float = 0.0


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
    """A sheet of `width_mm` x `height_mm`, everything on it at full size.

    `meanings` says in the legend what a layer's lines are on this drawing, where it is not the usual.
    """

    title: str
    width_mm: float
    height_mm: float
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    meanings: Mapping[Layer, str] = field(default_factory=dict)
    unprinted: frozenset[Layer] = frozenset()
    """Layers that alone are not worth a page when the drawing is tiled."""


def refuse_broken(drawing: Drawing) -> None:
    """Raise ValueError for a drawing that cannot be put on paper: no size, numbers that are none, lines off the sheet."""
    size = np.array([drawing.width_mm, drawing.height_mm], dtype=float)
    if not np.all(np.isfinite(size)) or np.any(size <= 0):
        raise ValueError(f"'{drawing.title}' has no size: {drawing.width_mm} x {drawing.height_mm} mm.")
    for stroke in drawing.strokes:
        points = np.asarray(stroke.points, dtype=float)
        if points.ndim != 2 or points.shape[1] != 2 or len(points) < 2:
            raise ValueError(
                f"A line of '{drawing.title}' has shape {points.shape}; it needs at least two points (k, 2)."
            )
        if not np.all(np.isfinite(points)) or not np.isfinite(stroke.dash_from_mm):
            raise ValueError(f"A line of '{drawing.title}' ({stroke.layer}) has a point that is no number.")
        if np.any(points < -BEYOND_MM) or np.any(points > size + BEYOND_MM):
            raise ValueError(f"A line of '{drawing.title}' ({stroke.layer}) lies off its sheet.")
    for words in drawing.words:
        if not np.all(np.isfinite([*words.at, words.height_mm, words.turn_deg])) or words.height_mm <= 0:
            raise ValueError(f"Words of '{drawing.title}' have no place or no height: {words.text[:40]!r}.")


def moved(stroke: Stroke, by: tuple[float, float]) -> Stroke:
    """The same line, shifted by (x, y) mm."""
    return Stroke(np.asarray(stroke.points, dtype=float) + by, stroke.layer, stroke.closed, stroke.dash_from_mm)


def moved_words(words: Words, by: tuple[float, float]) -> Words:
    """The same words, shifted by (x, y) mm."""
    at = (words.at[0] + by[0], words.at[1] + by[1])
    return Words(words.text, at, words.layer, words.height_mm, words.turn_deg, words.anchor)
