"""How far a mesh stands from the walls of a box and from the edges of the holes in them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.props.box import Wall, box_size, wall_of
from sightline.scene.prop import CarriedBox, Opening

# A triangle is cut in two until what it could hide is less than this.
FINE_M = 0.0004
MOST_ROUNDS = 40
MOST_TRIANGLES = 200_000


@dataclass(frozen=True)
class Clearance:
    """Least distance in metres (negative: within the wall by so much), where on the mesh (3,), and to which wall."""

    distance_m: float
    at: FloatArray
    wall: str


@dataclass(frozen=True)
class Plate:
    """One wall with its holes. `wall` is its outer face; the material lies `thick_m` behind it."""

    name: str
    wall: Wall
    thick_m: float
    holes: tuple[Opening, ...]

    def apart(self, points: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Points (n, 3) of the prop frame: signed distance (n,) in the wall's plane to its material, negative within,
        and distance (n,) off its two faces, negative between them."""
        from_middle = points - self.wall.middle
        plane = np.column_stack([from_middle @ self.wall.across, from_middle @ self.wall.up])
        off = np.abs(from_middle @ self.wall.outward + self.thick_m / 2) - self.thick_m / 2
        beside = rounded_box(plane, self.wall.size_m, 0.0)
        for hole in self.holes:
            beside = np.maximum(beside, -within_hole(hole, plane - np.array(hole.at)))
        return beside, off


def rounded_box(plane: FloatArray, size_m: tuple[float, float], radius_m: float) -> FloatArray:
    """Signed distance (n,) of points (n, 2) to a rectangle about the origin, negative within. Closed form."""
    over = np.abs(plane) - (np.array(size_m) / 2 - radius_m)
    outside = np.hypot(*np.maximum(over, 0.0).T)
    return np.asarray(outside + np.minimum(over.max(axis=1), 0.0) - radius_m)


def within_hole(hole: Opening, plane: FloatArray) -> FloatArray:
    """Signed distance (n,) of points (n, 2), from the hole's middle, to its outline; negative within. Closed form."""
    size = hole.size_m
    if hole.shape == "round":
        return np.asarray(np.hypot(plane[:, 0], plane[:, 1]) - size[0] / 2)
    return rounded_box(plane, size, min(size) / 2 if hole.shape == "slot" else hole.corner_radius)


def plates(box: CarriedBox, openings: list[Opening]) -> list[Plate]:
    """The walls of a box; an open top has none."""
    names = [n for n in ("front", "back", "left", "right", "top", "bottom") if n != "top" or box.top == "closed"]
    size = box_size(box)
    return [Plate(n, wall_of(size, n), box.wall, tuple(o for o in openings if o.wall == n)) for n in names]


def clearance(mesh: Mesh, plate: Plate) -> Clearance:
    """The least distance of a mesh (prop frame) to one wall, to within FINE_M.

    Beside the wall it is the straight distance in space. Between the wall's faces it is the distance in its plane to
    the edge of the material, so that an arm drawn through a thin wall counts by how far it would be pressed aside.
    Bounds and cuts: no triangle is left out that could come nearer than the best so far by more than FINE_M.
    """
    corners = mesh.corners
    best, at = np.inf, np.zeros(3)
    for _ in range(MOST_ROUNDS):
        flat = corners.reshape(-1, 3)
        beside, off = plate.apart(flat)
        between = off <= 0
        value = np.where(between, beside, np.hypot(np.maximum(beside, 0.0), off))
        least = int(value.argmin())
        if value[least] < best:
            best, at = float(value[least]), flat[least]
        # No point of a triangle is farther from its nearest corner than its longest edge over the root of three, and
        # both distances change by at most a millimetre per millimetre: so the corners bound the whole.
        edge = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1) / np.sqrt(3.0)
        near = np.hypot(np.maximum(beside, 0.0), np.maximum(off, 0.0)).reshape(-1, 3).min(axis=1) - edge
        straddles = off.reshape(-1, 3).min(axis=1) - edge <= 0
        bound = np.where(straddles, np.minimum(near, beside.reshape(-1, 3).min(axis=1) - edge), near)
        corners = corners[bound < best - FINE_M]
        # A large face that lies along the wall is told by now: all of it is as near as its corners.
        if not 0 < len(corners) <= MOST_TRIANGLES:
            break
        corners = _halved(corners)
    return Clearance(best, at, plate.name)


def _halved(corners: FloatArray) -> FloatArray:
    """Triangles (n, 3, 3) each cut in two across its longest edge: slivers become compact, which quarters never do."""
    edge = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    order = (edge.argmax(axis=1)[:, None] + np.arange(3)) % 3
    a, b, c = np.moveaxis(np.take_along_axis(corners, order[:, :, None], axis=1), 1, 0)
    middle = (a + b) / 2
    return np.concatenate([np.stack([a, middle, c], axis=1), np.stack([middle, b, c], axis=1)])
