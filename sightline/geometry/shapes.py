"""The plain shapes of the scene file as meshes, front towards -y, centred on the origin."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import FaceArray, Mesh

# A polygon inside a circle loses area; the radius is enlarged so that area (disc) or girth area
# (cylinder, sphere) is that of the round shape. Facets are about this wide, within these numbers of sides.
FACET_M = 0.010
FEWEST_SIDES, MOST_SIDES = 24, 96


def sides_for(radius_m: float) -> int:
    """How many sides stand for a circle of this radius: a multiple of four."""
    wanted = 4 * round(2.0 * np.pi * radius_m / FACET_M / 4)
    return int(min(MOST_SIDES, max(FEWEST_SIDES, wanted)))


def rectangle(width_m: float, height_m: float) -> Mesh:
    """A sheet in the plane y = 0, its normal towards -y."""
    w, h = width_m / 2.0, height_m / 2.0
    return Mesh.of([[-w, 0, -h], [w, 0, -h], [w, 0, h], [-w, 0, h]], [[0, 1, 2], [0, 2, 3]])


def disc(radius_m: float, sides: int | None = None) -> Mesh:
    """A round sheet in the plane y = 0, normal towards -y, with the area of the true disc."""
    n = sides or sides_for(radius_m)
    r = radius_m * np.sqrt((2.0 * np.pi / n) / np.sin(2.0 * np.pi / n))
    flat, faces = _rings(r * np.arange(1, n // 6 + 1) / (n // 6), np.zeros(n // 6), n)
    return Mesh.of(np.column_stack([flat[:, 0], flat[:, 2], flat[:, 1]]), faces)


def _rings(radii: FloatArray, heights: FloatArray, sides: int) -> tuple[FloatArray, FaceArray]:
    """Rings of points round the z axis from a middle point outward, and the faces between them, facing +z."""
    turn = 2.0 * np.pi * np.arange(sides) / sides
    points = [np.array([[0.0, 0.0, heights[0]]])]
    points += [
        np.column_stack([r * np.cos(turn), r * np.sin(turn), np.full(sides, h)])
        for r, h in zip(radii, heights, strict=True)
    ]
    i = np.arange(sides)
    j = (i + 1) % sides
    faces = [np.column_stack([0 * i, 1 + i, 1 + j])]
    for k in range(1, len(radii)):
        a, b = 1 + (k - 1) * sides, 1 + k * sides
        faces += [np.column_stack([a + i, b + i, b + j]), np.column_stack([a + i, b + j, a + j])]
    return np.concatenate(points), np.concatenate(faces).astype(np.int32)


def box(width_m: float, depth_m: float, height_m: float) -> Mesh:
    """A closed box: width along x, depth along y, height along z."""
    w, d, h = width_m / 2.0, depth_m / 2.0, height_m / 2.0
    vertices = [[x, y, z] for z in (-h, h) for y in (-d, d) for x in (-w, w)]
    quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]
    faces = [f for a, b, c, d_ in quads for f in ([a, b, c], [a, c, d_])]
    return Mesh.of(vertices, faces)


def cylinder(radius_m: float, height_m: float, sides: int | None = None) -> Mesh:
    """A closed cylinder along z, with the lateral area of the true one."""
    n = sides or sides_for(radius_m)
    r = radius_m * (np.pi / n) / np.sin(np.pi / n)
    steps = int(np.clip(np.ceil(height_m / (2.0 * np.pi * r / n)), 1, 200))
    lid = r * np.arange(1, n // 6 + 1) / (n // 6)
    radii = np.concatenate([lid, np.full(steps, r), lid[-2::-1]])
    heights = np.concatenate(
        [np.full(len(lid), 0.5), 0.5 - np.arange(1, steps + 1) / steps, np.full(len(lid) - 1, -0.5)]
    )
    points, faces = _rings(radii, heights * height_m, n)
    # The far lid closes on its own middle point.
    last, middle = len(points) - n, len(points)
    i = np.arange(n)
    closing = np.column_stack([last + i, np.full(n, middle), last + (i + 1) % n])
    return Mesh.of(np.vstack([points, [0.0, 0.0, -height_m / 2]]), np.concatenate([faces, closing]))


def sphere(radius_m: float, splits: int = 3) -> Mesh:
    """A closed ball from a split icosahedron, with the area of the true sphere."""
    golden = (1 + 5**0.5) / 2
    v = np.array(
        [(-1, golden, 0), (1, golden, 0), (-1, -golden, 0), (1, -golden, 0)]
        + [(0, -1, golden), (0, 1, golden), (0, -1, -golden), (0, 1, -golden)]
        + [(golden, 0, -1), (golden, 0, 1), (-golden, 0, -1), (-golden, 0, 1)],
        dtype=float,
    )
    f = np.array(
        [(0, 11, 5), (0, 5, 1), (0, 1, 7), (0, 7, 10), (0, 10, 11), (1, 5, 9), (5, 11, 4), (11, 10, 2)]
        + [(10, 7, 6), (7, 1, 8), (3, 9, 4), (3, 4, 2), (3, 2, 6), (3, 6, 8), (3, 8, 9), (4, 9, 5)]
        + [(2, 4, 11), (6, 2, 10), (8, 6, 7), (9, 8, 1)]
    )
    corners = v[f]
    for _ in range(splits):
        a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
        ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
        corners = np.concatenate([np.stack(t, axis=1) for t in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))])
    points = corners.reshape(-1, 3)
    points = points / np.linalg.norm(points, axis=1, keepdims=True)
    ball = Mesh.of(points, np.arange(len(points)).reshape(-1, 3)).merged(1e-9)
    return Mesh(ball.vertices * radius_m * np.sqrt(4 * np.pi / ball.area_m2), ball.faces)
