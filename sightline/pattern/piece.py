"""Pieces to cut: a part of the skin between its seams, as it lies on the limb and as it lies flat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray

EdgeKind = Literal["seam", "dart", "free"]


@dataclass(frozen=True)
class Edge:
    """One stretch of a piece's boundary.

    `nodes` (k,) are vertex numbers of the piece. The two edges of one seam (`side` a and b, on two pieces or on one)
    run the same way and have equally many nodes: node i of a is sewn or glued to node i of b. `seam` is the seam's or
    dart's name; a free edge (shoulder end, wrist end) has the name of what ends there and no partner.
    """

    seam: str
    kind: EdgeKind
    side: Literal["a", "b"]
    nodes: NDArray[np.int64]


@dataclass(frozen=True)
class Strain:
    """How far flattening stretches a piece: shares of edge length, of all edges of its triangles.

    `edge` (e,) is (flat - skin) / skin per edge (`edges` (e, 2) vertex numbers); `over` the share of the piece's
    area in triangles with an edge over the material's limit.
    """

    edges: NDArray[np.int64]
    edge: FloatArray
    rms: float
    p95: float
    p99: float
    largest: float
    over: float


@dataclass(frozen=True)
class Piece:
    """One piece. `vertices` (k, 3) m in the performer's frame, on the surface that is flattened (the foam's neutral
    one), `faces` (f, 3) wound outward.

    `flat` (k, 2) m is how it lies on the table **seen from its inside**, the side that is marked and cut; +y of `flat`
    points to the shoulder as far as may be (the grain). A triangle of `faces` therefore has a negative area in `flat`.
    `outline` (q,) are the vertex numbers of its boundary in one closed walk, counter-clockwise in `flat`.
    """

    name: str
    number: int
    of: int
    vertices: FloatArray
    faces: NDArray[np.int64]
    edges: tuple[Edge, ...]
    flat: FloatArray
    outline: NDArray[np.int64]
    strain: Strain
