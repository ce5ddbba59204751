"""Mesh files written for the tests: OBJ and binary STL, with faces turned, left out or bored through."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.mesh import Mesh

Points = NDArray[np.float64]


def write_mesh(path: Path, mesh: Mesh) -> str:
    """Write OBJ or STL by the name's ending; the name is returned for the scene text."""
    if path.suffix == ".obj":
        lines = [f"v {x:.9f} {y:.9f} {z:.9f}" for x, y, z in mesh.vertices]
        lines += [f"f {a + 1} {b + 1} {c + 1}" for a, b, c in mesh.faces]
        path.write_text("\n".join(lines) + "\n", encoding="ascii")
    else:
        # Binary STL: 80 bytes of header, a count, then normal, three corners and two spare bytes for each facet.
        facets = b"".join(
            struct.pack("<12fH", 0, 0, 0, *(float(x) for x in corners.ravel()), 0) for corners in mesh.corners
        )
        path.write_bytes(b"\0" * 80 + struct.pack("<I", len(mesh.faces)) + facets)
    return path.name


def only(mesh: Mesh, keep: NDArray[np.bool_]) -> Mesh:
    return Mesh.of(mesh.vertices, mesh.faces[keep])


def turned_where(mesh: Mesh, turn: NDArray[np.bool_]) -> Mesh:
    """The same mesh with some of its faces wound the other way."""
    return Mesh.of(mesh.vertices, np.where(turn[:, None], mesh.faces[:, ::-1], mesh.faces))


def shifted(mesh: Mesh, *by_m: float) -> Mesh:
    return Mesh.of(mesh.vertices + np.array(by_m), mesh.faces)


def coarse_tube(radius_m: float, height_m: float, sides: int) -> Mesh:
    """A tube as a drawing program exports it: corners on the circle, two rings, lids as fans."""
    turn = 2 * np.pi * np.arange(sides) / sides
    ring = np.column_stack([radius_m * np.cos(turn), radius_m * np.sin(turn), 0 * turn])
    up = np.array([0, 0, height_m / 2])
    vertices = np.vstack([ring - up, ring + up, -up, up])
    i = np.arange(sides)
    j, low, high = (i + 1) % sides, 2 * sides + 0 * i, 2 * sides + 1 + 0 * i
    sheets = [(i, j, j + sides), (i, j + sides, i + sides), (j, i, low), (i + sides, j + sides, high)]
    return Mesh.of(vertices, np.concatenate([np.column_stack(s) for s in sheets]))


def plate_with_hole(size_m: float, hole_m: float, sides: int = 32) -> Mesh:
    """A square plate in the plane y = 0 about a round hole at its middle that holds a circle `hole_m` wide."""
    turn = 2 * np.pi * (np.arange(sides) + 0.5) / sides
    way = np.column_stack([np.cos(turn), 0 * turn, np.sin(turn)])
    rim = way * hole_m / 2 / np.cos(np.pi / sides)
    edge = way / np.abs(way).max(axis=1, keepdims=True) * size_m / 2
    corners = np.array([[x, 0, z] for x, z in ((1, 1), (-1, 1), (-1, -1), (1, -1))]) * size_m / 2
    i = np.arange(sides)
    j = (i + 1) % sides
    faces = [np.column_stack([i, j, j + sides]), np.column_stack([i, j + sides, i + sides])]
    # The corners of the square lie between two spokes each.
    near = [sides // 8 - 1, 3 * sides // 8 - 1, 5 * sides // 8 - 1, 7 * sides // 8 - 1]
    faces.append(np.array([[sides + k, sides + (k + 1) % sides, 2 * sides + c] for c, k in enumerate(near)]))
    return Mesh.of(np.vstack([rim, edge, corners]), np.concatenate(faces))
