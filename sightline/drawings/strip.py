"""What stands at the foot of every sheet and page: title, legend, and a bar of 100 mm and 4 in to check the print by."""

from __future__ import annotations

import numpy as np

from sightline.drawings.drawing import Drawing, Layer, Stroke, Words, moved, moved_words, refuse_broken
from sightline.drawings.lettering import fitted, width_mm
from sightline.drawings.looks import MEDIUM_MM, legend_of

BAR_MM, BAR_IN_MM = 100.0, 101.6
BAR_WORDS = "Measure both bars before you cut. Print at 100 % (actual size), not fitted to the page."
# The narrowest strip that holds the bars and their words; the paper round a drawing.
LEAST_MM, ROUND_MM = 180.0, 10.0
TITLE_MM, SMALL_MM = 3.2, 1.9
_ROW_MM, _SAMPLE_MM, _GAP_MM = 4.4, 15.0, 6.0
_BARS_MM = 15.0


def strip(
    drawing: Drawing, room_mm: float, said: str, title_room_mm: float, paper: tuple[Layer, ...] = ()
) -> tuple[list[Stroke], list[Words], float]:
    """Lines and words of a strip `room_mm` wide, its lower left corner at (0, 0), and how high it is.

    `said` stands below the title, both in `title_room_mm`. Top down: title, what is said, legend, bars.
    """
    strokes, words = check_bars()
    y = _BARS_MM
    legend, legend_words, rows = _legend(legend_of(drawing, paper), room_mm)
    strokes += [moved(stroke, (0, y)) for stroke in legend]
    words += [moved_words(word, (0, y)) for word in legend_words]
    y += rows * _ROW_MM + 1.0
    words.append(Words(fitted(said, SMALL_MM, title_room_mm), (0, y), height_mm=SMALL_MM))
    words.append(Words(fitted(drawing.title, TITLE_MM, title_room_mm), (0, y + 4.2), height_mm=TITLE_MM))
    return strokes, words, y + 4.2 + TITLE_MM * 1.4


def check_bars() -> tuple[list[Stroke], list[Words]]:
    """A bar of 100 mm and one of 4 in, from (0, 0) up; their ends are the outer edges of the end ticks."""
    strokes, words = [], []
    for long, step, whole, y, name in (
        (BAR_MM, 10.0, 5, 8.5, "100 mm"),
        (BAR_IN_MM, 12.7, 2, 2.0, "4 in"),
    ):
        strokes.append(Stroke(np.array([[0.0, y], [long, y]]), "bar"))
        ticks = round(long / step)
        for k in range(ticks + 1):
            tall = 2.4 if k % whole == 0 else 1.4
            # End ticks stand within the bar by half their own weight.
            x = min(max(k * step, MEDIUM_MM / 2), long - MEDIUM_MM / 2)
            strokes.append(Stroke(np.array([[x, y - MEDIUM_MM / 2], [x, y + tall]]), "bar"))
        words.append(Words(name, (long + 3.0, y - 0.2), height_mm=2.6))
    lines = BAR_WORDS.split(". ")
    words += [
        Words(lines[0] + ".", (BAR_IN_MM + 21, 8.3), height_mm=SMALL_MM),
        Words(lines[1].split(", ")[0] + ",", (BAR_IN_MM + 21, 5.1), height_mm=SMALL_MM),
        Words(lines[1].split(", ")[1], (BAR_IN_MM + 21, 1.9), height_mm=SMALL_MM),
    ]
    return strokes, words


def _legend(entries: list[tuple[Layer, str]], room_mm: float) -> tuple[list[Stroke], list[Words], int]:
    """A sample of each line with its meaning, in as many rows as it takes, the lowest at 0."""
    at: list[tuple[int, float]] = []
    row, x = 0, 0.0
    said = [fitted(meaning, SMALL_MM, room_mm - _SAMPLE_MM - 2) for _, meaning in entries]
    for text in said:
        wide = _SAMPLE_MM + 2 + width_mm(text, SMALL_MM)
        if x > 0 and x + wide > room_mm:
            row, x = row + 1, 0.0
        at.append((row, x))
        x += wide + _GAP_MM
    strokes, words = [], []
    for (layer, _), text, (place, left) in zip(entries, said, at, strict=True):
        y = (row - place) * _ROW_MM + SMALL_MM / 2
        strokes.append(Stroke(np.array([[left, y], [left + _SAMPLE_MM, y]]), layer))
        words.append(Words(text, (left + _SAMPLE_MM + 2, y - SMALL_MM / 2), height_mm=SMALL_MM))
    return strokes, words, row + 1 if entries else 0


def framed(drawing: Drawing) -> Drawing:
    """The drawing with paper round it and the strip below it. Raises ValueError for a drawing that is none.

    What was at (0, 0) is then at (`ROUND_MM`, height of the result - height of the drawing - `ROUND_MM`).
    """
    refuse_broken(drawing)
    room = max(drawing.width_mm, LEAST_MM)
    said = f"Full size, 1:1. {size_words(drawing)}"
    strokes, words, high = strip(drawing, room, said, room)
    foot = ROUND_MM + high + 5.0
    line = Stroke(np.array([[0.0, high + 1.0], [room, high + 1.0]]), "bar")
    by = (ROUND_MM, foot)
    return Drawing(
        drawing.title, room + 2 * ROUND_MM, foot + drawing.height_mm + ROUND_MM,
        [moved(s, by) for s in drawing.strokes] + [moved(s, (ROUND_MM, ROUND_MM)) for s in (line, *strokes)],
        [moved_words(w, by) for w in drawing.words] + [moved_words(w, (ROUND_MM, ROUND_MM)) for w in words],
        drawing.meanings,
    )  # fmt: skip


def size_words(drawing: Drawing) -> str:
    """`Drawing 460.0 x 300.0 mm (18 1/8 x 11 13/16 in).`"""
    from sightline.blocking.notation import inches

    wide, high = (inches(value / 1000, 16).removesuffix(" in") for value in (drawing.width_mm, drawing.height_mm))
    return f"Drawing {drawing.width_mm:.1f} x {drawing.height_mm:.1f} mm ({wide} x {high} in)."
