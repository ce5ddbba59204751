"""Flat pieces for tests, made from formulas: a rolled-out cone or cylinder, in panels, and plain polygons."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sightline.figure.arm import Side
from sightline.geometry.frame import FloatArray
from sightline.pattern.pattern import Foam, Pattern
from sightline.pattern.piece import Edge, Piece, Strain
from sightline.pattern.tube import Tube

NO_STRAIN = Strain(np.zeros((0, 2), dtype=np.int64), np.zeros(0), 0.0, 0.0, 0.0, 0.0, 0.0)


def pattern_of(pieces: Sequence[Piece], side: Side = "left", limb: str = "false left arm") -> Pattern:
    tube = Tube(limb, side, np.zeros((2, 3, 3)), np.zeros((2, 3)), np.zeros((2, 3)), None, 1)
    return Pattern("The Night Courier", limb, Foam("eva", 0.01, "outside", 0.5, 0.0, 0.05), tube, (), tuple(pieces))


def panels(
    count: int = 2,
    top_m: float = 0.060,
    low_m: float = 0.035,
    height_m: float = 0.280,
    rows: int = 29,
    columns: int = 25,
) -> list[Piece]:
    """A frustum hanging down from the shoulder (radius `top_m`) to the wrist (`low_m`), in `count` equal panels.

    Piece i's b edge is seam i + 1's partner of piece i + 1's a edge; with one panel both are on it.
    """
    slant = float(np.hypot(height_m, top_m - low_m))
    made = []
    for k in range(count):
        round_rad = np.linspace(2 * np.pi * k / count, 2 * np.pi * (k + 1) / count, columns)
        down = np.linspace(0.0, 1.0, rows)
        radius = top_m + (low_m - top_m) * down
        around, r = np.meshgrid(round_rad, radius)
        z = np.repeat(1.2 - height_m * down[:, None], columns, axis=1)
        vertices = np.stack([r * np.cos(around), r * np.sin(around), z], axis=-1).reshape(-1, 3)
        # Seen from inside with up at the top, growing angles (anticlockwise from above) run to the right... of one who
        # stands inside: to the left. So +angle is -x on the table.
        middle = (round_rad[0] + round_rad[-1]) / 2
        if abs(top_m - low_m) < 1e-12:
            flat = np.stack([-(around - middle) * top_m, z], axis=-1).reshape(-1, 2)
        else:
            reach = r * slant / (top_m - low_m)
            turn = (around - middle) * (top_m - low_m) / slant
            flat = np.stack([-reach * np.sin(turn), reach * np.cos(turn)], axis=-1).reshape(-1, 2)
        made.append(_grid_piece(f"panel {k + 1}", k + 1, count, vertices, flat, rows, columns))
    return made


def _grid_piece(
    name: str, number: int, of: int, vertices: FloatArray, flat: FloatArray, rows: int, columns: int
) -> Piece:
    ids = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = ids[:-1, :-1].ravel(), ids[:-1, 1:].ravel(), ids[1:, 1:].ravel(), ids[1:, :-1].ravel()
    # Row down x column round points out of the limb.
    faces = np.concatenate([np.stack([a, d, c], axis=1), np.stack([a, c, b], axis=1)])
    walk = np.concatenate([ids[0, :-1], ids[:-1, -1], ids[-1, :0:-1], ids[:0:-1, 0]])
    before = f"seam {number}"
    after = f"seam {number % of + 1}"
    edges = (
        Edge(before, "seam", "a", ids[:, 0]),
        Edge(after, "seam", "b", ids[:, -1]),
        Edge("shoulder end", "free", "a", ids[0]),
        Edge("wrist end", "free", "a", ids[-1]),
    )
    return Piece(name, number, of, vertices, faces, edges, flat, walk, NO_STRAIN)


def polygon_piece(
    points: FloatArray, number: int = 1, of: int = 1, name: str = "plate", edges: tuple[Edge, ...] = ()
) -> Piece:
    """A plate with this outline (counter-clockwise, metres), standing in the plane y = 0, its outside ahead (-y)."""
    from shapely import Polygon, constrained_delaunay_triangles

    points = np.asarray(points, dtype=float)
    # Seen from behind, its inside, the performer's left (+x) lies left: x on the table is -x in the frame.
    vertices = np.stack([-points[:, 0], np.zeros(len(points)), points[:, 1]], axis=1)
    index = {tuple(p): k for k, p in enumerate(points.tolist())}
    faces = []
    for triangle in constrained_delaunay_triangles(Polygon(points)).geoms:
        corner = [index[tuple(p)] for p in list(triangle.exterior.coords)[:3]]
        u, v, w = points[corner]
        area = (v[0] - u[0]) * (w[1] - u[1]) - (v[1] - u[1]) * (w[0] - u[0])
        faces.append(corner if area < 0 else corner[::-1])
    return Piece(name, number, of, vertices, np.array(faces), edges, points, np.arange(len(points)), NO_STRAIN)


def rectangle(width_m: float, height_m: float, number: int = 1, of: int = 1, name: str = "plate") -> Piece:
    return polygon_piece(np.array([[0, 0], [width_m, 0], [width_m, height_m], [0, height_m]]), number, of, name)


def ell(number: int = 1, of: int = 1) -> Piece:
    """300 x 200 mm with the upper right 200 x 120 mm cut away."""
    points = [[0, 0], [0.3, 0], [0.3, 0.08], [0.1, 0.08], [0.1, 0.2], [0, 0.2]]
    return polygon_piece(np.array(points), number, of, "ell")


def with_dart() -> Piece:
    """A plate of 200 x 200 mm with a dart of 100 mm from its lower edge to a tip at (100, 100) mm."""
    points = np.array([[0, 0], [0.09, 0], [0.1, 0.1], [0.11, 0], [0.2, 0], [0.2, 0.2], [0, 0.2]])
    edges = (
        Edge("dart 1", "dart", "a", np.array([1, 2])),
        Edge("dart 1", "dart", "b", np.array([3, 2])),
    )
    return polygon_piece(points, edges=edges, name="darted")
