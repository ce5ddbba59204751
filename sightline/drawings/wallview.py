"""Part of a wall as one sees it from outside, at full size, with the wall's edges to measure from and dimensions.

Places on the wall are (right, up) mm from its lower left corner as seen from outside; `placed` puts them on the sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from sightline.blocking.notation import inches
from sightline.drawings.clip import clipped
from sightline.drawings.drawing import Drawing, Layer, Rect, Stroke, Words, moved, moved_words
from sightline.drawings.lettering import bounds, width_mm, wrapped
from sightline.geometry.frame import FloatArray
from sightline.props.box import Wall
from sightline.workshop.screws import spot_on

Edge = Literal["left", "right", "bottom", "top"]
# Paper that a template may take, wide and high: A2, which is two by three pages of A4. Beyond it the edges are told only.
SHEET_MM = (420.0, 594.0)
# Room round what is drawn, and from one dimension line to the next.
ROOM_MM, STEP_MM = 12.0, 9.0
TEXT_MM, HEAD_MM, LINE_MM = 2.6, 6.0, 4.6
# The narrowest template that holds its words.
LEAST_MM, MOST_WORDS_MM = 150.0, 175.0
_UP_MM = 3.5
_ARROW_MM = 2.6


def to_wall(wall: Wall, across_m: float, up_m: float) -> FloatArray:
    """A place of a wall, (across, up) m from its middle, as (right, up) mm from its lower left corner seen from outside."""
    spot = spot_on(wall, across_m, up_m)
    return np.array([spot.from_left_m, spot.from_bottom_m]) * 1000


def right_of(wall: Wall) -> float:
    """1 where the wall's `across` runs to the right for one who looks at it from outside, else -1."""
    return 1.0 if np.cross(wall.up, wall.outward) @ wall.across > 0 else -1.0


def both(value_mm: float) -> str:
    """`110 mm (4 11/32 in)`, to 0.1 mm and the nearest 1/32 in."""
    return f"{value_mm:.1f}".removesuffix(".0") + f" mm ({inches(value_mm / 1000, 32)})"


@dataclass
class WallView:
    """What a template shows of a wall `size_mm` wide and high; `things` is the box (wall mm) round all that matters.

    The view reaches to the nearest edge at the side and the nearest one above or below where `sheet_mm` has room for
    it: those are the datum edges.
    """

    size_mm: tuple[float, float]
    things: Rect
    sheet_mm: tuple[float, float] = SHEET_MM
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    _dims: dict[int, list[tuple[float, float]]] = field(default_factory=lambda: {0: [], 1: []})

    def datum(self, k: int) -> Edge:
        """The nearer edge: left or right (k = 0), bottom or top (k = 1)."""
        low, high = self.things[k], self.size_mm[k] - self.things[k + 2]
        return (("left", "right"), ("bottom", "top"))[k][0 if low <= high else 1]

    def shown(self, k: int) -> bool:
        """Whether the datum edge is on the template."""
        reach = self.things[k + 2] if self._low(k) else self.size_mm[k] - self.things[k]
        return reach + 2 * ROOM_MM + STEP_MM * (len(self._dims[1 - k]) + 1) <= self.sheet_mm[k]

    def _low(self, k: int) -> bool:
        return self.datum(k) in ("left", "bottom")

    def region(self) -> Rect:
        """What of the wall is seen, wall mm."""
        out = [0.0, 0.0, 0.0, 0.0]
        for k in range(2):
            low, high = self.things[k] - ROOM_MM, self.things[k + 2] + ROOM_MM
            if self.shown(k):
                low, high = (0.0, high) if self._low(k) else (low, self.size_mm[k])
            out[k], out[k + 2] = max(low, 0.0), min(high, self.size_mm[k])
        return out[0], out[1], out[2], out[3]

    def dimension(self, at: FloatArray, k: int) -> None:
        """Say how far the place `at` (2,) is from the datum edge, sideways (k = 0) or up and down (k = 1)."""
        place = (float(at[k]), float(at[1 - k]))
        if all(abs(place[0] - other[0]) > 0.05 for other in self._dims[k]):
            self._dims[k].append(place)

    def drawing(self, title: str, head: str, told: Sequence[str], meanings: dict[Layer, str], up: str) -> Drawing:
        """The template: the wall's part, dimensions, and above them the head, what is told, and which way is up."""
        region = self.region()
        strokes = [part for stroke in self.strokes for part in clipped(stroke, region)]
        strokes += self._edges(region)
        words = list(self.words)
        for k in range(2):
            self._draw_dimensions(k, region, strokes, words)
        low, high = _box(strokes, words, region)
        wide = max(float(high[0] - low[0]), LEAST_MM)
        arrow_room = max(18.0, width_mm(up, _UP_MM) + 4.0)
        # However wide the template is, its words and the arrow stay on one page of A4 or Letter.
        room = min(wide, MOST_WORDS_MM) - arrow_room
        arrow = room + arrow_room / 2
        heads = wrapped(head, HEAD_MM, room)
        lines = [line for text in told for line in wrapped(text, TEXT_MM, room)]
        top = float(high[1] - low[1]) + 8.0
        tall = max(len(lines) * LINE_MM + len(heads) * HEAD_MM * 1.7 + 2.0, 34.0)
        left = (wide - (high[0] - low[0])) / 2
        by = (left - low[0], -low[1])
        strokes, words = [moved(s, by) for s in strokes], [moved_words(w, by) for w in words]
        y = top + tall
        for text in heads:
            y -= HEAD_MM * 1.7
            words.append(Words(text, (0.0, y + 2.0), height_mm=HEAD_MM))
        for text in lines:
            y -= LINE_MM
            words.append(Words(text, (0.0, y), height_mm=TEXT_MM))
        strokes += up_arrow(arrow, top + tall - 30.0)
        words.append(Words(up, (arrow, top + tall - 35.0), height_mm=_UP_MM, anchor="middle"))
        return Drawing(title, wide, top + tall, strokes, words, meanings)

    def _edges(self, region: Rect) -> list[Stroke]:
        """The wall's edges where they are within the region, and ticks where the wall goes on."""
        x0, y0, x1, y1 = region
        wide, high = self.size_mm
        sides = [
            (x0 == 0.0, (x0, y0), (x0, y1)), (x1 == wide, (x1, y0), (x1, y1)),
            (y0 == 0.0, (x0, y0), (x1, y0)), (y1 == high, (x0, y1), (x1, y1)),
        ]  # fmt: skip
        return [Stroke(np.array([start, end]), "sheet") for is_edge, start, end in sides if is_edge]

    def _draw_dimensions(self, k: int, region: Rect, strokes: list[Stroke], words: list[Words]) -> None:
        """Stacked on the side away from the other datum edge, so that they stay when the paper is cut at the edge."""
        out = 1.0 if self._low(1 - k) else -1.0
        base = region[1 - k + (2 if out > 0 else 0)]
        edge = 0.0 if self._low(k) else self.size_mm[k]
        start = edge if self.shown(k) else region[k + (0 if self._low(k) else 2)]
        # The nearest to the datum edge lies nearest to the wall, so that no line crosses another's end.
        for n, (at, other) in enumerate(sorted(self._dims[k], key=lambda dim: abs(dim[0] - edge))):
            level = base + out * (5.0 + n * STEP_MM)
            long = abs(at - edge)
            for begin, x in ((other, at), (base, start)):
                ends = [[x, begin], [x, level + out * 1.5]]
                strokes.append(_turned(ends, k))
            strokes += [_turned(ends, k) for ends in _arrows(start, at, level, self.shown(k))]
            said = both(long) if self.shown(k) else f"{both(long)} to the {self.datum(k)} edge, not shown"
            wide = width_mm(said, TEXT_MM)
            middle = (start + at) / 2
            # Words longer than their line stay over the wall's part.
            low, high = min(region[k], start, at), max(region[k + 2], start, at)
            if high - low >= wide:
                middle = min(max(middle, low + wide / 2), high - wide / 2)
            place = (middle, level + 1.2) if k == 0 else (level - 1.2, middle)
            words.append(Words(said, place, height_mm=TEXT_MM, turn_deg=90.0 * k, anchor="middle"))


def _turned(ends: list[list[float]], k: int) -> Stroke:
    points = np.array(ends)
    return Stroke(points if k == 0 else points[:, ::-1], "mark")


def _arrows(start: float, end: float, level: float, at_edge: bool) -> list[list[list[float]]]:
    """A line with an arrow at its end, and at its start where that is an edge and not where the paper ends."""
    lines = [[[start, level], [end, level]]]
    way = 1.0 if end > start else -1.0
    size = min(_ARROW_MM, abs(end - start) / 2)
    for tip, inward in ((end, -way), *(((start, way),) if at_edge else ())):
        lines.append([[tip + inward * size, level + size / 4], [tip, level], [tip + inward * size, level - size / 4]])
    return lines


def _box(strokes: Sequence[Stroke], words: Sequence[Words], region: Rect) -> tuple[FloatArray, FloatArray]:
    """Lower left and upper right corner of all that is drawn, with a little room."""
    found = [np.array(region).reshape(2, 2), *(np.asarray(s.points) for s in strokes)]
    found += [np.array(bounds(w)).reshape(2, 2) for w in words]
    every = np.vstack(found)
    return every.min(axis=0) - 1.0, every.max(axis=0) + 1.0


def up_arrow(x: float, y: float, tall: float = 28.0) -> list[Stroke]:
    """An arrow upward from (x, y)."""
    head = np.array([[x - 5.0, y + tall - 9.0], [x, y + tall], [x + 5.0, y + tall - 9.0]])
    return [Stroke(np.array([[x, y], [x, y + tall]]), "bar"), Stroke(head, "bar")]


def cross(at: FloatArray, arm_mm: float, layer: Layer = "mark") -> list[Stroke]:
    """A cross of two lines through a place (2,)."""
    return [Stroke(np.array([at - arm, at + arm]), layer) for arm in arm_mm * np.eye(2)]


def circle(at: FloatArray, radius_mm: float, layer: Layer) -> Stroke:
    """A circle whose chords leave it by less than 0.01 mm up to a radius of 260 mm."""
    turn = np.arange(360) * np.pi / 180
    return Stroke(at + radius_mm * np.column_stack([np.cos(turn), np.sin(turn)]), layer, True)


def up_words(wall: Wall) -> str:
    """Which way the view's upward is on the carried prop."""
    return "UP" if abs(wall.up[2]) > 0.5 else "TO PERFORMER" if wall.up[1] > 0 else "TO FRONT"
