"""Arrows on a piece: the grain, and the ways to thumb, palm and up, so that it is worn as it was meant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray, unit
from sightline.pattern.flatshape import middles, ways_on
from sightline.pattern.lettering import ABOVE, BELOW, LEADING, words_height, words_width
from sightline.pattern.marked import Arrow, Letters, Ring
from sightline.pattern.piece import Piece
from sightline.pattern.writing import LEAST_M, Writing

GRAIN = "GRAIN: to the shoulder"
# Sizes, largest first. Common practice, no source.
GRAIN_M = (0.150, 0.100, 0.070, 0.050, 0.035, 0.025, 0.015, 0.010, 0.006)
GRAIN_WORDS_M = (0.005, 0.004, 0.0035, LEAST_M)
WAY_M = (0.030, 0.022, 0.016, 0.011, 0.007)
WAY_WORDS_M = (0.006, 0.005, 0.004, 0.0035, LEAST_M)
# Turned this far to a way (a cosine; 0.9 is 26 deg), a spot is on that side; an arrow would say little.
FACES = 0.9


@dataclass(frozen=True)
class Way:
    """A side of the hand, or up: `direction` (3,) in the performer's frame. `nearest` is the number of the piece on
    which that side lies; None: the piece that faces that way most."""

    name: str
    direction: FloatArray
    nearest: int | None = None


UP = Way("UP", np.array([0.0, 0.0, 1.0]))


def write_grain(writing: Writing, spot: FloatArray) -> None:
    """The grain runs up the table, to the shoulder (see `Piece.flat`)."""
    most = 0.6 * (writing.polygon.bounds[3] - writing.polygon.bounds[1]) * writing.scale
    for length in (size for size in GRAIN_M if size <= max(most, GRAIN_M[-1])):
        for text in (GRAIN, "GRAIN", ""):
            height = next((h for h in GRAIN_WORDS_M if words_width(text, h) <= length), None)
            if height is None:
                continue
            wide = 0.004 + (words_height(height) if text else 0.0)
            corner = writing.room.place(wide, length, spot)
            if corner is None:
                continue
            writing.room.take_box(*corner, wide, length)
            x, y = corner[0] + 0.002, corner[1]
            writing.arrows.append(Arrow("GRAIN", (x, y), (x, y + length)))
            if text:
                # Beside the arrow, reading upwards: what is above the baseline lies to its left.
                at = (corner[0] + (0.004 + wide) / 2 + (1.0 + ABOVE - BELOW) / 2 * height, y + length / 2)
                writing.letters.append(Letters(text, at, height, 90.0, "grain"))
            else:
                writing.lead("the plain arrow is the grain, to the shoulder", "grain", np.array([x, y + length / 2]))
            return
    writing.lead("GRAIN: no room for its arrow; it is upright with these words", "grain", spot)


def write_way(writing: Writing, piece: Piece, way: Way, nearest: bool, spot: FloatArray) -> None:
    """An arrow to that side, or a ring and the words that this spot lies on it or opposite."""
    along, facing = ways_on(piece, unit(way.direction))
    places = middles(piece)
    if nearest:
        # The spot that faces that way most; of those alike, the one nearest the wrist.
        best = np.nonzero(facing >= facing.max() - 1e-3)[0]
        spot = places[best[np.argmin(places[best][:, 1])]]
    for size, height in zip(WAY_M, WAY_WORDS_M, strict=True):
        if size > WAY_M[0] * writing.scale and size > WAY_M[-1]:
            continue
        # Room for either; else for an arrow with its name; else for a ring with words in two lines.
        for rows in ([f"{way.name}: this side"], [way.name], [f"{way.name}:", "this side"]):
            wide = max(size, *(words_width(row, height) for row in rows)) + 0.002
            under = words_height(height) + (len(rows) - 1) * LEADING * height + 0.001
            corner = writing.room.place(wide, size + under + 0.002, spot)
            if corner is None:
                continue
            x, low = corner[0] + wide / 2, corner[1] + 0.001
            middle = np.array([x, low + under + size / 2])
            here = _nearest_place(places, middle)
            length = float(np.linalg.norm(along[here]))
            turned = abs(float(facing[here])) >= FACES or length < 1e-6
            if (turned and rows == [way.name]) or (not turned and len(rows) == 2):
                continue
            writing.room.take_box(*corner, wide, size + under + 0.002)
            if turned:
                rows = [row.replace("this side", _side_words(float(facing[here]))) for row in rows]
                writing.rings.append(Ring(way.name, (float(x), float(middle[1])), size * 0.25))
            else:
                rows = [way.name]
                half = along[here] / length * size * 0.5
                tail, tip = middle - half, middle + half
                writing.arrows.append(Arrow(way.name, (float(tail[0]), float(tail[1])), (float(tip[0]), float(tip[1]))))
            for k, row in enumerate(reversed(rows)):
                base = low + BELOW * height + k * LEADING * height
                writing.letters.append(Letters(row, (float(x), float(base)), height, 0.0, "way"))
            return
    here = _nearest_place(places, spot)
    if abs(float(facing[here])) >= FACES:
        said = _side_words(float(facing[here]))
    else:
        said = f"{np.degrees(np.arctan2(along[here, 0], along[here, 1])) % 360.0:.0f} deg clockwise from the grain"
    writing.lead(f"{way.name}: {said}", "way", spot)


def _side_words(facing: float) -> str:
    return "this side" if facing > 0 else "far side"


def _nearest_place(places: FloatArray, at: FloatArray) -> int:
    return int(np.argmin(np.round(np.linalg.norm(places - at, axis=1), 9)))


def nearest_piece(pieces: Sequence[Piece], way: Way) -> int:
    """The number of the piece on which a side lies."""
    if way.nearest is not None:
        return way.nearest
    most = [float(ways_on(piece, unit(way.direction))[1].max()) for piece in pieces]
    return pieces[int(np.argmax(np.round(most, 9)))].number
