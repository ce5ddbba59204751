"""Imported meshes: OBJ, STL, PLY and GLB from strangers."""

from __future__ import annotations

import io
from pathlib import PurePath
from typing import Any

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.mesh import Mesh

KINDS = ("obj", "stl", "ply", "glb")
MOST_FACES = 2_000_000
FARTHEST_M = 10_000.0


def parse_mesh(data: bytes, name: str, scale: float = 1.0) -> Mesh:
    """The triangles in `data`, in metres after `scale`. Raises Misfit with a plain sentence when there are none."""
    kind = PurePath(name).suffix.lstrip(".").lower()
    if kind not in KINDS:
        raise Misfit((), f"'{name}' is not a mesh this reads; use OBJ, STL, PLY or GLB.")
    import trimesh

    try:
        loaded: Any = trimesh.load(io.BytesIO(data), file_type=kind, force="mesh", process=False, resolver=None)
        vertices, faces = np.asarray(loaded.vertices, dtype=np.float64), np.asarray(loaded.faces)
    except Exception as error:
        # The readers of a foreign format fail in any way they like; all of it means the same to the user.
        raise Misfit((), f"'{name}' cannot be read as a mesh ({type(error).__name__}).") from error
    if not len(faces) or not len(vertices):
        raise Misfit((), f"'{name}' holds no triangles.")
    if len(faces) > MOST_FACES:
        raise Misfit((), f"'{name}' has {len(faces)} triangles; the most is {MOST_FACES}. Simplify it first.")
    vertices = vertices * scale
    if not np.all(np.isfinite(vertices)):
        raise Misfit((), f"'{name}' has a corner that is not a finite number.")
    if np.abs(vertices).max() > FARTHEST_M:
        raise Misfit((), f"'{name}' is larger than 10 km; say mesh: {{file: {name}, scale: 0.001}} if it is in mm.")
    mesh = Mesh.of(vertices, faces)
    if mesh.area_m2 < 1e-10:
        raise Misfit((), f"'{name}' has no area.")
    return mesh
