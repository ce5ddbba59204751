"""A flat piece as a polygon on the table, and the direction of things of the limb on it."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.piece import Edge, Piece


def polygon_of(piece: Piece) -> Any:
    """The piece's outline as a shapely polygon, metres. Raises SightlineError where it crosses itself."""
    from shapely import Polygon

    made = Polygon(piece.flat[piece.outline])
    if not made.is_valid or made.area <= 0.0:
        raise SightlineError(
            f"Piece {piece.number}, '{piece.name}', overlaps itself when it lies flat: it needs another seam or a dart there."
        )
    return made


def seen_from_inside(piece: Piece) -> bool:
    """Whether `flat` is the piece seen from its inside, as all marks and words take it (see `Piece`)."""
    a, b, c = (piece.flat[piece.faces[:, k]] for k in range(3))
    areas = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return float(areas.sum()) < 0.0


def inward_sign(piece: Piece, edge: Edge) -> float:
    """+1 where the piece lies left of an edge walked node to node, -1 where it lies right.

    Raises ValueError for an edge that is no stretch of the outline.
    """
    after = dict(zip(piece.outline.tolist(), np.roll(piece.outline, -1).tolist(), strict=True))
    for one, other in zip(edge.nodes[:-1].tolist(), edge.nodes[1:].tolist(), strict=True):
        if after.get(one) == other:
            return 1.0
        if after.get(other) == one:
            return -1.0
    raise ValueError(f"edge '{edge.seam}' of piece {piece.number} is not on its outline")


def ways_on(piece: Piece, direction: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How a direction (3,) of the performer's frame lies on the flat piece, for each of its triangles.

    Returns the part along the surface as a vector (f, 2) on the table, length 1 for a direction wholly along it, and
    how far the surface faces that way (f,), 1 facing it and -1 facing away. Flat triangles without area give zeros.
    """
    corner = piece.vertices[piece.faces]
    e1, e2 = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    normal = np.cross(e1, e2)
    size = np.linalg.norm(normal, axis=1)
    good = size > 0.0
    normal = normal / np.where(good, size, 1.0)[:, None]
    facing = normal @ direction
    along = direction - facing[:, None] * normal
    aa, ab, bb = (e1 * e1).sum(1), (e1 * e2).sum(1), (e2 * e2).sum(1)
    da, db = (e1 * along).sum(1), (e2 * along).sum(1)
    det = np.where(good, aa * bb - ab * ab, 1.0)
    u, v = (da * bb - db * ab) / det, (db * aa - da * ab) / det
    flat = piece.flat[piece.faces]
    way = u[:, None] * (flat[:, 1] - flat[:, 0]) + v[:, None] * (flat[:, 2] - flat[:, 0])
    return np.where(good[:, None], way, 0.0), np.where(good, facing, 0.0)


def middles(piece: Piece) -> FloatArray:
    """Middles (f, 2) of the piece's triangles on the table."""
    return np.asarray(piece.flat[piece.faces].mean(axis=1))
