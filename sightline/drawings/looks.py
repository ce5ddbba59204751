"""How the lines of each layer look. Layers differ by dashes and weight, so that they read in black and white."""

from __future__ import annotations

from dataclasses import dataclass

from sightline.drawings.drawing import Drawing, Layer

# Line weights of drawing practice, as in `pictures/style.py`, which has them in points.
THIN_MM, MEDIUM_MM, HEAVY_MM = 0.18, 0.35, 0.5


@dataclass(frozen=True)
class Look:
    """`dashes` are mm on, off, on, off...; empty is a solid line. `meaning` is what the legend says."""

    weight_mm: float
    dashes: tuple[float, ...]
    meaning: str


LOOKS: dict[Layer, Look] = {
    "cut": Look(HEAVY_MM, (), "cut"),
    "fold": Look(MEDIUM_MM, (8.0, 1.5, 0.8, 1.5), "fold or bend"),
    "mark": Look(THIN_MM, (), "mark with a pen"),
    "guide": Look(THIN_MM, (0.4, 1.2), "guide only"),
    "sheet": Look(MEDIUM_MM, (5.0, 1.6), "edge of the sheet or wall"),
    "join": Look(THIN_MM, (2.4, 1.2), "pages join here"),
    "words": Look(THIN_MM, (), "letters"),
    "bar": Look(MEDIUM_MM, (), "check bar"),
}


def legend_of(drawing: Drawing, paper: tuple[Layer, ...] = ()) -> list[tuple[Layer, str]]:
    """What the lines of a drawing mean, in one order; `paper` adds layers that the paper itself has."""
    there = {stroke.layer for stroke in drawing.strokes} | set(paper)
    return [
        (layer, drawing.meanings.get(layer, look.meaning))
        for layer, look in LOOKS.items()
        if layer in there and layer not in ("bar", "words")
    ]
