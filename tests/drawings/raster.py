"""PDF pages as a printer puts them on paper, and what stands on them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import pypdfium2
from numpy.typing import NDArray

from sightline.drawings.drawing import Drawing, Stroke, Words

Ink = NDArray[np.bool_]
PX_PER_MM = 10.0  # 254 dpi


@contextmanager
def opened(data: bytes) -> Iterator[pypdfium2.PdfDocument]:
    document = pypdfium2.PdfDocument(data)
    try:
        yield document
    finally:
        document.close()


def inked(data: bytes, px_per_mm: float = PX_PER_MM, paper: int = 150) -> list[Ink]:
    """Where each page is darker than `paper` (0 to 255), row 0 at the top."""
    with opened(data) as document:
        return [
            np.asarray(page.render(scale=px_per_mm * 25.4 / 72, grayscale=True).to_numpy()).squeeze() < paper
            for page in document
        ]


def texts(data: bytes) -> list[str]:
    with opened(data) as document:
        return [page.get_textpage().get_text_bounded() for page in document]


def words_at(data: bytes, said: str) -> list[tuple[float, float] | None]:
    """The lower left corner of some words on each page, mm from the page's lower left corner; None where they are not."""
    found: list[tuple[float, float] | None] = []
    with opened(data) as document:
        for page in document:
            text = page.get_textpage()
            hit = text.search(said).get_next()
            box = None if hit is None else text.get_charbox(hit[0])
            found.append(None if box is None else (box[0] * 25.4 / 72, box[1] * 25.4 / 72))
    return found


def longest_run(row: NDArray[np.bool_]) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def bar_mm(ink: Ink, words: tuple[float, float], px_per_mm: float = PX_PER_MM) -> float:
    """The longest unbroken line to the left of some words, at their height."""
    high = len(ink) / px_per_mm
    top, bottom = (round((high - words[1] - up) * px_per_mm) for up in (1.5, -1.5))
    part = ink[top:bottom, : round(words[0] * px_per_mm)]
    return max(longest_run(row) for row in part) / px_per_mm


def ring(x: float, y: float, radius: float, count: int = 240) -> NDArray[np.float64]:
    turn = np.arange(count) * 2 * np.pi / count
    return np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])


def large() -> Drawing:
    """Rings, straight and dashed lines and words over many pages, some of which stay empty."""
    return Drawing(
        "Arm <b>left</b> & 'right' \"both\"", 800.0, 600.0,
        [
            Stroke(ring(150, 450, 120), "cut", True), Stroke(ring(150, 450, 100), "fold", True),
            Stroke(ring(420, 150, 140), "cut", True), Stroke(ring(150, 450, 80), "guide", True),
            Stroke(np.array([[30.0, 300.0], [400.0, 300.0]]), "sheet"),
            Stroke(np.array([[30.0, 310.0], [390.0, 200.0], [60.0, 120.0]]), "mark"),
        ],
        [
            Words("Forearm, LEFT, piece 1 of 2", (60, 450), height_mm=8),
            Words("Upper arm, LEFT", (420, 150), height_mm=8, anchor="middle", turn_deg=30),
        ],
    )  # fmt: skip
