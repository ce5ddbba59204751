"""Imported meshes: OBJ, STL, PLY and GLB from strangers."""

from __future__ import annotations

import io
import warnings
from pathlib import PurePath
from typing import Any

import numpy as np

from sightline.errors import Misfit
from sightline.geometry import meshclaims
from sightline.geometry.mesh import Mesh
from sightline.geometry.meshclaims import MOST_FACES, Refused

KINDS = ("obj", "stl", "ply", "glb")
FARTHEST_M = 10_000.0


def parse_mesh(data: bytes, name: str, scale: float = 1.0) -> Mesh:
    """The triangles in `data`, in metres after `scale`. Raises Misfit with a plain sentence when there are none.

    What the file says of itself is looked at first; where fewer triangles come out than it says, it is refused whole.
    """
    kind = PurePath(name).suffix.lstrip(".").lower()
    if kind not in KINDS:
        raise Misfit((), f"'{name}' is not a mesh this reads; use OBJ, STL, PLY or GLB.")
    try:
        vertices, faces, least = _read(data, kind)
    except Refused as refused:
        raise Misfit((), f"'{name}' {refused}.") from refused
    except Exception as error:
        # The readers of a foreign format fail in any way they like; all of it means the same to the user.
        raise Misfit((), f"'{name}' cannot be read as a mesh ({type(error).__name__}).") from error
    if not len(faces) or not len(vertices):
        raise Misfit((), f"'{name}' holds no triangles.")
    if len(faces) < least:
        raise Misfit((), f"'{name}' says that it has {least:,} faces, but only {len(faces):,} can be read.")
    if len(faces) > MOST_FACES:
        raise Misfit((), f"'{name}' has {len(faces)} triangles; the most is {MOST_FACES}. Simplify it first.")
    if vertices.ndim != 2 or vertices.shape[1] != 3:
        raise Misfit((), f"'{name}' has corners that are not three numbers.")
    if faces.min() < 0 or faces.max() >= len(vertices):
        raise Misfit((), f"'{name}' has a face with a corner that is not there.")
    with np.errstate(over="ignore"):
        vertices = vertices * scale
    if not np.all(np.isfinite(vertices)):
        raise Misfit((), f"'{name}' has a corner that is not a finite number.")
    if np.abs(vertices).max() > FARTHEST_M:
        raise Misfit((), f"'{name}' is larger than 10 km; say mesh: {{file: {name}, scale: 0.001}} if it is in mm.")
    mesh = Mesh.of(vertices, faces)
    if mesh.area_m2 < 1e-10:
        raise Misfit((), f"'{name}' has no area.")
    return mesh


def _read(data: bytes, kind: str) -> tuple[Any, Any, int]:
    """Corners, faces, and how many faces there must be at least."""
    if kind == "stl":
        corners = meshclaims.stl_corners(data)
        return corners, np.arange(len(corners)).reshape(-1, 3), 0
    if kind == "obj":
        data, least = meshclaims.plain_obj(data)
    else:
        least = meshclaims.ply_faces(data) if kind == "ply" else meshclaims.glb_faces(data)
    import trimesh

    with warnings.catch_warnings():
        # A number that is none ends the reading of its line with a warning: that is no way to lose a corner.
        warnings.simplefilter("error")
        loaded: Any = trimesh.load(
            io.BytesIO(data), file_type=kind, force="mesh", process=False, resolver=None, skip_materials=True
        )
    return np.asarray(loaded.vertices, dtype=np.float64), np.asarray(loaded.faces), least
