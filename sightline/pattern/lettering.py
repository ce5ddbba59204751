"""How much room words take, whatever letters they are drawn with later: on the generous side.

Advance widths over capital height, measured from DejaVu Sans, which is wider than Helvetica and than the usual
single-stroke letters of a drawing program; tests/pattern/test_marks.py measures the table against the fonts.
"""

from __future__ import annotations

from collections.abc import Sequence

# Groups of characters that are no wider than this many capital heights.
_WIDTHS = (
    (0.48, " !',-.:;/[]()|fijlIJt"), (0.75, "crsz\"*_?FL"), (0.97, "abdeghknopquvxyABCEKPRSTVXYZ0123456789$&"),
    (1.19, "wDGHMNOQU#+<>=^~"),
)  # fmt: skip
WIDEST = 1.4
_BY_CHARACTER = {character: width for width, group in _WIDTHS for character in group}
# Of the capital height: how far g and p reach below the line, and d and ( above a capital.
BELOW = 0.34
ABOVE = 0.12
# Between two lines, and from baseline to baseline of lines of one height. Common practice, no source.
AIR = 0.2
LEADING = 1.0 + BELOW + ABOVE + AIR


def words_width(text: str, height: float) -> float:
    """An upper bound for the width of a line of words of capital height `height`, in the same unit."""
    return height * sum(_BY_CHARACTER.get(character, WIDEST) for character in text)


def words_height(height: float) -> float:
    """From below the deepest letter to above the highest one."""
    return height * (1.0 + BELOW + ABOVE)


def wrapped(text: str, height: float, width: float) -> list[str]:
    """The words in lines no wider than `width` where single words allow it."""
    lines: list[str] = []
    for word in text.split():
        if lines and words_width(f"{lines[-1]} {word}", height) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def balanced(text: str, count: int) -> list[str]:
    """The words in at most `count` lines, the longest line as short as may be."""
    words = text.split()
    runs = {" ".join(words[i:j]) for i in range(len(words)) for j in range(i + 1, len(words) + 1)}
    for width in sorted({words_width(run, 1.0) for run in runs if run}):
        lines = wrapped(text, 1.0, width)
        if len(lines) <= count and widest(lines, 1.0) <= width:
            return lines
    return [text]


def widest(lines: Sequence[str], height: float) -> float:
    """The width of the longest of several lines."""
    return max(words_width(line, height) for line in lines)
