"""The joints of a pattern: which edge of which piece meets which, and how long the seam between them is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.pattern import Pattern
from sightline.pattern.piece import Edge, EdgeKind, Piece


@dataclass(frozen=True)
class Joint:
    """Two edges that become one seam. `a` and `b` are (piece number, which of its edges); a dart has one piece twice.

    `length_m` is the longer side's, as it lies flat.
    """

    seam: str
    kind: EdgeKind
    a: tuple[int, int]
    b: tuple[int, int]
    length_m: float

    @property
    def pieces(self) -> tuple[int, ...]:
        """Numbers of the pieces it joins, each once, in order."""
        return tuple(sorted({self.a[0], self.b[0]}))


def edge_points(piece: Piece, edge: Edge) -> FloatArray:
    """Places (k, 3) m of an edge on the limb."""
    return np.asarray(piece.vertices[edge.nodes])


def flat_length_m(piece: Piece, edge: Edge) -> float:
    """How long an edge is on the table, metres."""
    return float(np.linalg.norm(np.diff(piece.flat[edge.nodes], axis=0), axis=1).sum())


def joints_of(pattern: Pattern) -> tuple[Joint, ...]:
    """Every pair of edges that meet, in the order of the pieces. Raises SightlineError for an edge without a partner.

    One seam may be several joints, where another seam crosses it: sides a and b are paired where they lie together.
    """
    by_number = {piece.number: piece for piece in pattern.pieces}
    sides: dict[str, dict[str, list[tuple[int, int]]]] = {}
    for piece in pattern.pieces:
        for i, edge in enumerate(piece.edges):
            if edge.kind != "free":
                sides.setdefault(edge.seam, {"a": [], "b": []})[edge.side].append((piece.number, i))
    out: list[Joint] = []
    for name, pair in sides.items():
        left = list(pair["b"])
        for one in pair["a"]:
            piece = by_number[one[0]]
            edge = piece.edges[one[1]]
            fit = [other for other in left if len(by_number[other[0]].edges[other[1]].nodes) == len(edge.nodes)]
            if not fit:
                raise SightlineError(f"An edge of '{name}' on piece {one[0]} has no partner to be joined to.")
            other = min(fit, key=lambda o: (_apart_m(piece, edge, by_number[o[0]], o[1]), o))
            left.remove(other)
            partner = by_number[other[0]]
            length = max(flat_length_m(piece, edge), flat_length_m(partner, partner.edges[other[1]]))
            out.append(Joint(name, edge.kind, one, other, length))
        if left:
            raise SightlineError(f"An edge of '{name}' on piece {left[0][0]} has no partner to be joined to.")
    return tuple(sorted(out, key=lambda joint: (joint.a, joint.b)))


def _apart_m(piece: Piece, edge: Edge, other: Piece, index: int) -> float:
    """How far apart two edges lie on the limb, by the mean of their nodes."""
    away = edge_points(piece, edge) - edge_points(other, other.edges[index])
    return float(np.linalg.norm(away, axis=1).mean())
