"""One sheet as triangles: its grid slit open at the darts, and what each stretch of its edge is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sightline.pattern.piece import Edge, EdgeKind
from sightline.pattern.plan import Dart

IntArray = NDArray[np.int64]


@dataclass(frozen=True)
class Slit:
    """`of` (k,) tells for each vertex which point of the grid (row x columns + column) it is; `faces` (f, 3) are wound as
    the grid runs (row, then column) where the tube's `outward` is +1, else the other way; `outline` (q,) walks the edge
    once, the way the faces are wound."""

    of: IntArray
    faces: IntArray
    edges: tuple[Edge, ...]
    outline: IntArray


Named = tuple[str, EdgeKind, Literal["a", "b"]]


@dataclass(frozen=True)
class Rim:
    """What the four edges of a sheet are called: (name, kind, side), and where else than at its own darts each is broken."""

    first: Named
    last: Named
    a: Named
    b: Named
    breaks: dict[str, tuple[int, ...]]


def slit(shape: tuple[int, int], darts: Sequence[tuple[str, Dart]], rim: Rim, outward: int) -> Slit:
    """A grid of so many rows and columns slit along named darts. No two darts may touch."""
    rows, columns = shape
    grid = np.arange(rows * columns).reshape(shape)
    # The four corners of each patch, as vertex numbers: patches on one side of a dart get vertices of their own.
    patch = np.stack([grid[:-1, :-1], grid[:-1, 1:], grid[1:, 1:], grid[1:, :-1]], axis=-1)
    of = list(range(rows * columns))
    twins: dict[str, dict[int, tuple[int, int]]] = {"first": {}, "last": {}, "a": {}, "b": {}}
    edges: list[Edge] = []
    for name, dart in darts:
        path = _path(grid, dart)
        other = np.arange(len(of), len(of) + len(path) - 1)
        of += path[:-1].tolist()
        swap = dict(zip(path[:-1].tolist(), other.tolist(), strict=True))
        lengthwise = dart.end in ("first", "last")
        # The patches before a lengthwise dart, above one that runs round.
        beside = patch[:, dart.place - 1] if lengthwise else patch[dart.place - 1]
        for old, new in swap.items():
            beside[beside == old] = new
        kept, made = path, np.append(other, path[-1])
        edges += [Edge(name, "dart", "a", made), Edge(name, "dart", "b", kept)]
        twins[dart.end][dart.place] = (int(other[0]), int(path[0]))
    a, b, c, d = (patch[..., k].ravel() for k in range(4))
    faces = np.concatenate([np.stack([a, d, c], axis=1), np.stack([a, c, b], axis=1)])
    faces = faces if outward > 0 else np.ascontiguousarray(faces[:, ::-1])
    for where, nodes in (("first", grid[0]), ("last", grid[-1]), ("a", grid[:, 0]), ("b", grid[:, -1])):
        name, kind, side = getattr(rim, where)
        stops = sorted(
            {0, len(nodes) - 1, *twins[where], *(k for k in rim.breaks.get(where, ()) if 0 < k < len(nodes) - 1)}
        )
        for start, stop in pairwise(stops):
            walk = nodes[start : stop + 1].copy()
            if start in twins[where]:
                walk[0] = twins[where][start][1]
            if stop in twins[where]:
                walk[-1] = twins[where][stop][0]
            edges.append(Edge(name, kind, side, walk))
    return Slit(np.array(of, dtype=np.int64), faces, tuple(edges), boundary(faces))


def _path(grid: IntArray, dart: Dart) -> IntArray:
    """Grid points from the dart's mouth to its tip."""
    if dart.end in ("first", "last"):
        column = grid[:, dart.place]
        return column[: dart.tip + 1] if dart.end == "first" else column[dart.tip :][::-1]
    row = grid[dart.place]
    return row[: dart.tip + 1] if dart.end == "a" else row[dart.tip :][::-1]


def boundary(faces: IntArray) -> IntArray:
    """The one closed walk along the edge of a patch, the way its faces are wound, from its lowest vertex number.

    Raises ValueError where there are several walks, or one that passes a vertex twice.
    """
    ways = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    count = int(faces.max()) + 1
    rim = ways[~np.isin(ways[:, 0] * count + ways[:, 1], ways[:, 1] * count + ways[:, 0])]
    after = dict(zip(rim[:, 0].tolist(), rim[:, 1].tolist(), strict=True))
    if len(after) != len(rim):
        raise ValueError("the edge of a patch passes one place twice")
    if not after:
        raise ValueError("a patch without an edge cannot lie flat")
    walk = [min(after)]
    while (onward := after[walk[-1]]) != walk[0]:
        walk.append(onward)
        if len(walk) > len(after):
            raise ValueError("the edge of a patch passes one place twice")
    if len(walk) != len(after):
        raise ValueError("a patch has more than one edge: there is a hole in it")
    return np.array(walk, dtype=np.int64)
