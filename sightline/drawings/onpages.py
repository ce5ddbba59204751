"""On which pages of a tiled drawing a thing is, so that it alone can be printed again."""

from __future__ import annotations

from collections.abc import Mapping

from sightline.drawings.drawing import Drawing
from sightline.drawings.paper import PaperName
from sightline.drawings.tilepages import layout_of
from sightline.drawings.tiles import grid_of
from sightline.geometry.frame import FloatArray


def pages_with(drawing: Drawing, paper: PaperName, outlines: Mapping[int, FloatArray]) -> dict[int, tuple[str, ...]]:
    """The labels of the pages that each outline (k, 2) mm reaches, row by row: what is cut off at a join counts for
    the neighbour only."""
    from shapely import Polygon, box

    grid = grid_of(drawing, layout_of(drawing, paper).frame_mm)
    cells = [(tile.label, box(*tile.cell)) for tile in grid.printed]
    out: dict[int, tuple[str, ...]] = {}
    for number, outline in outlines.items():
        shape = Polygon(outline)
        out[number] = tuple(label for label, cell in cells if cell.intersection(shape).area > 0.0)
    return out
