"""The sheets to cut: one drawing at full size for every stock sheet, with the marked pieces where they are laid."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from sightline.drawings.drawing import Drawing, Stroke, Words
from sightline.geometry.frame import FloatArray
from sightline.pattern.layout import Layout, Placed, on_sheet
from sightline.pattern.lettering import LEADING, widest, words_height, wrapped
from sightline.pattern.marked import Arrow, Leader, MarkedPiece

FOOTER = "Marks are on the inside: the side that you see here goes in, the other side out."
FIRST = "Planned, not built. Blades, glue, heat, dust, and what the plan rests on: read the build sheet first."
# Sizes of the frame round the sheet, mm. Common practice, no source.
BORDER_MM = 10.0
LEAST_WIDE_MM = 180.0
TITLE_MM, TEXT_MM, LED_MM = 7.0, 4.0, 3.5
HEAD_MM, HEAD_SHARE, HEAD_RAD = 4.0, 0.4, math.radians(20.0)
_RING_SIDES = 32
_ROOM_CELL_M = 0.002
_CLEAR_M = 0.002


def sheet_drawings(layout: Layout, marked: Sequence[MarkedPiece], title: str) -> list[Drawing]:
    """One drawing for each sheet of a layout, millimetres, the sheet itself on layer `sheet`.

    Below the sheet stand title, limb, side, scale and what is on it. Words that found no room on their piece are led to
    free foam beside it; where there is none, they stand below the sheet with the piece's number.
    """
    by_number = {piece.piece.number: piece for piece in marked}
    return [
        _sheet(layout, k, [(by_number[p.number], p) for p in layout.placed if p.sheet == k], title)
        for k in range(1, layout.sheets + 1)
    ]


def _sheet(layout: Layout, number: int, laid: Sequence[tuple[MarkedPiece, Placed]], title: str) -> Drawing:
    stock = layout.stock
    width, height = stock.width_m * 1000.0, stock.height_m * 1000.0
    led, homeless = _leaders(layout, laid)
    who = f"{title}: {laid[0][0].limb}, {laid[0][0].side.upper()}" if laid else title
    pieces = ", ".join(f"{piece.piece.number} {piece.piece.name}" for piece, _ in laid)
    texts = [
        f"Sheet {number} of {layout.sheets}: {stock.name}, lies {width:.0f} mm wide and {height:.0f} mm high. Scale 1:1. "
        f"Pieces are at least {layout.gap_m * 1000:g} mm apart.",
        FOOTER,
        f"Pieces on this sheet: {pieces}.",
        FIRST,
        *homeless,
    ]
    # A sheet as narrow as an offcut still has room for whole words below it.
    wide = max(width, LEAST_WIDE_MM)
    lines = [(line, TITLE_MM) for line in wrapped(who, TITLE_MM, wide)]
    lines += [(line, TEXT_MM) for text in texts for line in wrapped(text, TEXT_MM, wide)]
    # The sheet stands a border above the words.
    strip = sum(LEADING * high for _, high in lines) + BORDER_MM
    drawing = Drawing(
        f"{who}, sheet {number} of {layout.sheets}", wide + 2 * BORDER_MM, height + strip + 2 * BORDER_MM,
        unprinted=frozenset({"sheet"}),
    )  # fmt: skip
    y = strip
    for text, high in lines:
        y -= LEADING * high
        drawing.words.append(Words(text, (BORDER_MM, y + 0.5 * high), "words", high))
    corner = np.array([BORDER_MM, BORDER_MM + strip])
    edge = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]]) + corner
    drawing.strokes.append(Stroke(edge, "sheet", closed=True))
    for piece, placed in laid:
        _draw(drawing, piece, placed, corner)
    for points in led[0]:
        drawing.strokes.append(Stroke(points * 1000.0 + corner, "guide"))
    for text, at in led[1]:
        drawing.words.append(Words(text, (at[0] * 1000.0 + corner[0], at[1] * 1000.0 + corner[1]), "words", LED_MM))
    return drawing


def _draw(drawing: Drawing, piece: MarkedPiece, placed: Placed, corner: FloatArray) -> None:
    """One piece where it lies, its lower left sheet corner at `corner`, mm."""

    def laid(points: FloatArray) -> FloatArray:
        return np.asarray(on_sheet(np.asarray(points, dtype=float), placed) * 1000.0 + corner)

    drawing.strokes.append(Stroke(laid(piece.outline), "cut", closed=True))
    drawing.strokes.extend(Stroke(laid(tick.points), "mark") for tick in piece.ticks)
    drawing.strokes.extend(Stroke(laid(line), "fold") for line in piece.folds)
    for arrow in piece.arrows:
        drawing.strokes.extend(Stroke(points, "mark") for points in _arrow(arrow, laid))
    angles = 2 * np.pi * np.arange(_RING_SIDES) / _RING_SIDES
    for ring in piece.rings:
        circle = np.array(ring.centre_m) + ring.radius_m * np.stack([np.cos(angles), np.sin(angles)], axis=1)
        drawing.strokes.append(Stroke(laid(circle), "mark", closed=True))
    for letters in piece.letters:
        at = laid(np.array([letters.at_m]))[0]
        turn = (letters.turn_deg + math.degrees(placed.turn_rad)) % 360.0
        drawing.words.append(
            Words(letters.text, (float(at[0]), float(at[1])), "words", letters.height_m * 1000.0, turn, "middle")
        )


def _arrow(arrow: Arrow, laid: Any) -> list[FloatArray]:
    tail, tip = laid(np.array([arrow.tail_m, arrow.tip_m]))
    back = tail - tip
    size = float(np.linalg.norm(back))
    back = back / size * min(HEAD_MM, HEAD_SHARE * size)
    c, s = math.cos(HEAD_RAD), math.sin(HEAD_RAD)
    barbs = [tip + np.array([[c, -t], [t, c]]) @ back for t in (s, -s)]
    return [np.stack([tail, tip]), np.stack([barbs[0], tip, barbs[1]])]


def _leaders(
    layout: Layout, laid: Sequence[tuple[MarkedPiece, Placed]]
) -> tuple[tuple[list[FloatArray], list[tuple[str, tuple[float, float]]]], list[str]]:
    """Lines and words (metres on the sheet) beside the pieces, and sentences for what has no room there either."""
    lines: list[FloatArray] = []
    words: list[tuple[str, tuple[float, float]]] = []
    homeless: list[str] = []
    if not any(piece.leaders for piece, _ in laid):
        return (lines, words), homeless
    from shapely import LineString, Polygon, box, union_all

    from sightline.pattern.room import Room

    polygons = [Polygon(on_sheet(piece.outline, placed)) for piece, placed in laid]
    spare = box(0.0, 0.0, layout.stock.width_m, layout.stock.height_m).difference(union_all(polygons))
    room = None if spare.is_empty else Room(spare, _CLEAR_M, _ROOM_CELL_M)
    high = LED_MM / 1000.0
    for index, (piece, placed) in enumerate(laid):
        others = union_all(polygons[:index] + polygons[index + 1 :])
        for at, texts in _grouped(piece.leaders).items():
            spot = on_sheet(np.array([at]), placed)[0]
            size = (widest(texts, high) + 0.002, (len(texts) - 1) * LEADING * high + words_height(high) + 0.002)
            low = room.place(*size, spot) if room else None
            if room is not None and low is not None:
                near = np.clip(spot, np.array(low), np.array(low) + np.array(size))
                # A line over another piece would be taken for a mark of that piece.
                crosses = LineString([near, spot]).intersects(others)
            if room is None or low is None or crosses:
                homeless.append(f"No room on piece {piece.piece.number} for: {'; '.join(texts)}.")
                continue
            room.take_box(*low, *size)
            lines.append(np.stack([near, spot]))
            for k, text in enumerate(reversed(texts)):
                words.append((text, (low[0] + 0.001, low[1] + 0.001 + 0.34 * high + k * LEADING * high)))
    return (lines, words), homeless


def _grouped(leaders: Sequence[Leader]) -> dict[tuple[float, float], list[str]]:
    """Words that point at the same spot stand together."""
    out: dict[tuple[float, float], list[str]] = {}
    for leader in leaders:
        out.setdefault(leader.at_m, []).append(leader.text)
    return out
