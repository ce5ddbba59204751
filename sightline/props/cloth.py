"""Cloth and lips on the prop: drapes, flaps, cuffs. Sheets, which cover from both sides.

Everything is in the prop frame except a drape, which hangs by the world's plumb line.
"""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray, Placement
from sightline.geometry.mesh import Mesh
from sightline.props.box import Wall, outline, wall_of
from sightline.scene.prop import CarriedBox, Opening
from sightline.scene.wear import Cuff, Drape, Flap


def _sheet(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> Mesh:
    return Mesh.of([a, b, c, d], [[0, 1, 2], [0, 2, 3]])


def _edge(wall: Wall, edge: str, width_m: float, across_m: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Two ends of a strip's root on a wall's edge, and the direction in the wall's plane that leads off the edge."""
    if edge in ("top", "bottom"):
        sign = 1.0 if edge == "top" else -1.0
        up = sign * wall.size_m[1] / 2
        ends = wall.point(across_m - width_m / 2, up), wall.point(across_m + width_m / 2, up)
        return (*ends, sign * wall.up)
    # On the edges left and right (the performer's), whichever way the wall's own across runs.
    sign = 1.0 if (edge == "left") == (wall.across[0] > 0 or wall.across[1] > 0) else -1.0
    side = sign * wall.size_m[0] / 2
    ends = wall.point(side, across_m - width_m / 2), wall.point(side, across_m + width_m / 2)
    return (*ends, sign * wall.across)


def flap_mesh(flap: Flap, size_m: FloatArray) -> Mesh:
    """A stiff lip, prop frame."""
    wall = wall_of(size_m, flap.wall)
    a, b, away = _edge(wall, flap.edge, flap.width, 0.0)
    reach = flap.length * (np.cos(flap.angle) * away + np.sin(flap.angle) * wall.outward)
    return _sheet(a, b, b + reach, a + reach)


def drape_mesh(drape: Drape, size_m: FloatArray, prop: Placement) -> Mesh:
    """A cloth hanging plumb from an edge of the placed prop, in the performer's frame."""
    wall = wall_of(size_m, drape.wall)
    a, b, _ = _edge(wall, drape.edge, drape.width, drape.across)
    a, b = (prop.points(p + wall.outward * drape.out) for p in (a, b))
    down = np.array([0.0, 0.0, -drape.drop])
    return _sheet(a, b, b + down, a + down)


def cuff_mesh(cuff: Cuff, box: CarriedBox, opening: Opening) -> Mesh:
    """A tunnel from the rim of an opening outward, open at both ends, prop frame."""
    rim = np.asarray(outline(opening).to_polygons()[0], dtype=float)
    wall = wall_of(np.array([box.width, box.depth, box.height]), opening.wall)
    wider = rim * (1.0 + cuff.flare / max(min(opening.size_m) / 2, 1e-6))
    ends = []
    for ring, out in ((rim, 0.0), (wider, cuff.length)):
        ends.append(wall.point(*opening.at, out) + ring[:, :1] * wall.across + ring[:, 1:] * wall.up)
    n = len(rim)
    i = np.arange(n)
    j = (i + 1) % n
    return Mesh.of(
        np.concatenate(ends), np.concatenate([np.column_stack([i, j, n + j]), np.column_stack([i, n + j, n + i])])
    )
