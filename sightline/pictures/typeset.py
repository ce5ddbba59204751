"""Words measured before they are set: how wide they come out, and where they must be broken."""

from __future__ import annotations

from functools import lru_cache

PT_IN = 1 / 72
# Height of a line of text, as a share of its size.
LEADING = 1.3


@lru_cache(maxsize=4096)
def width_in(text: str, size_pt: float, weight: str = "normal") -> float:
    """How wide one line is in print, inches, by the outlines of its letters."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    font = FontProperties(family="DejaVu Sans", size=size_pt, weight=weight)
    return float(text_to_path.get_text_width_height_descent(text, font, False)[0]) * PT_IN


def broken(text: str, room_in: float, size_pt: float, weight: str = "normal") -> list[str]:
    """The text in lines no wider than the room, inches, broken at spaces; a word that is wider is cut with dots."""
    lines: list[str] = []
    for word in text.split():
        wider = f"{lines[-1]} {word}" if lines else word
        if lines and width_in(wider, size_pt, weight) <= room_in:
            lines[-1] = wider
        else:
            lines.append(cut(word, room_in, size_pt, weight))
    return lines


def cut(text: str, room_in: float, size_pt: float, weight: str = "normal") -> str:
    """The text, shortened with three dots where it is wider than the room, inches."""
    if width_in(text, size_pt, weight) <= room_in:
        return text
    while text and width_in(text + "...", size_pt, weight) > room_in:
        text = text[:-1]
    return text.rstrip() + "..."


def line_in(size_pt: float) -> float:
    """How far lines of text lie apart, inches."""
    return size_pt * LEADING * PT_IN
