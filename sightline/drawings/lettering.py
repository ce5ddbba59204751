"""The letters of all drawings: one font under an open licence, how wide its words are, and what it cannot write."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

from sightline.drawings.drawing import Rect, Words

# The Bitstream Vera licence with additions in the public domain; the file comes with matplotlib.
FONT, FONT_FILE = "DejaVu Sans", "DejaVuSans.ttf"
# Height of capitals as a share of the size: 1493 of 2048 units (the outline of its H; the tests read it again).
CAPITAL = 1493 / 2048
MM_PER_PT = 25.4 / 72
DOTS = "..."
# Drawn for a character that the font has not.
MISSING = "\u25a1"
# Characters beyond the first plane are not kept apart by the PDF's own table of characters.
_LAST = 0xFFFF
# Most characters of one line of words: a name of a thousand letters would run off every sheet.
MOST = 300
# And of a paragraph that is broken into lines.
MOST_WRAPPED = 3000


@lru_cache(maxsize=1)
def font() -> Any:
    """The font, known to reportlab by the name `FONT`."""
    from pathlib import Path

    import matplotlib
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    made = TTFont(FONT, str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / FONT_FILE))
    pdfmetrics.registerFont(made)
    return made


def plain(text: str, most: int = MOST) -> str:
    """One line of at most so many characters: what is no printable character becomes a space."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= most else line[: most - len(DOTS)] + DOTS


@lru_cache(maxsize=4096)
def drawable(text: str) -> str:
    """The text as the font can write it; a box stands for each character that it has not."""
    has = font().face.charToGlyph
    return "".join(c if ord(c) <= _LAST and ord(c) in has else MISSING for c in plain(text))


def size_pt(height_mm: float) -> float:
    """The font's size for capitals of this height."""
    return height_mm / CAPITAL / MM_PER_PT


@lru_cache(maxsize=4096)
def width_mm(text: str, height_mm: float) -> float:
    """How wide a line of words is in print, capitals `height_mm` high."""
    return float(font().stringWidth(drawable(text), size_pt(height_mm))) * MM_PER_PT


def fitted(text: str, height_mm: float, room_mm: float) -> str:
    """The text, cut with three dots where it is wider than there is room for."""
    text = plain(text)
    if width_mm(text, height_mm) <= room_mm:
        return text
    while text and width_mm(text + DOTS, height_mm) > room_mm:
        text = text[:-1]
    return text.rstrip() + DOTS


def wrapped(text: str, height_mm: float, room_mm: float) -> list[str]:
    """The text in lines no wider than there is room for, broken at spaces; a word that is too long is cut."""
    lines: list[str] = []
    for word in plain(text, MOST_WRAPPED).split():
        wider = f"{lines[-1]} {word}" if lines else word
        if lines and width_mm(wider, height_mm) <= room_mm:
            lines[-1] = wider
        else:
            lines.append(fitted(word, height_mm, room_mm))
    return lines


def bounds(words: Words) -> Rect:
    """The box round a line of words as it lies on the sheet, descenders included."""
    wide = width_mm(words.text, words.height_mm)
    begin = {"start": 0.0, "middle": -wide / 2, "end": -wide}[words.anchor]
    turn = math.radians(words.turn_deg)
    # Accents rise a third above capitals, descenders reach a third below the line.
    corners = [(x, y * words.height_mm) for x in (begin, begin + wide) for y in (-0.34, 1.34)]
    xs = [words.at[0] + x * math.cos(turn) - y * math.sin(turn) for x, y in corners]
    ys = [words.at[1] + x * math.sin(turn) + y * math.cos(turn) for x, y in corners]
    return min(xs), min(ys), max(xs), max(ys)
