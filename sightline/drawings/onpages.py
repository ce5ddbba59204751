"""On which pages of a tiled drawing a thing is, so that it alone can be printed again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sightline.drawings.drawing import Drawing
from sightline.drawings.paper import PaperName
from sightline.drawings.tilepages import layout_of
from sightline.drawings.tiles import grid_of
from sightline.geometry.frame import FloatArray
from sightline.pattern.layout import Layout, on_sheet
from sightline.pattern.piece import Piece


def pages_of_pieces(
    sheets: Sequence[Drawing], layout: Layout, pieces: Sequence[Piece], paper: PaperName
) -> dict[int, tuple[str, ...]]:
    """The labels of the pages that each piece is on, by its number, when the sheets to cut (drawings/pieces.py) are tiled."""
    outlines = {piece.number: piece.flat[piece.outline] for piece in pieces}
    out: dict[int, tuple[str, ...]] = {}
    for number, sheet in enumerate(sheets, 1):
        corner = next(stroke.points for stroke in sheet.strokes if stroke.layer == "sheet").min(axis=0)
        here = [placed for placed in layout.placed if placed.sheet == number]
        laid = {placed.number: on_sheet(outlines[placed.number], placed) * 1000.0 + corner for placed in here}
        out |= pages_with(sheet, paper, laid)
    return out


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
