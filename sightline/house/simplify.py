"""A venue's mesh with fewer triangles, as a cover that is nowhere larger than it was: doubt counts as seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sightline.geometry.mesh import Mesh

if TYPE_CHECKING:
    from manifold3d import Manifold

# What may stick out of the mesh as it was, m3 for each m2 of its surface: the grain of the boolean itself.
GRAIN_M = 1e-9
# How far corners are drawn in, as shares of the tolerance, until nothing sticks out.
DRAWN_IN = (0.0, 0.1, 0.25, 0.5)


@dataclass(frozen=True)
class Simplified:
    """The mesh to use, the faces it had, and what to say of it."""

    mesh: Mesh
    said: str


def simplified(mesh: Mesh, name: str, tolerance_m: float) -> Simplified:
    """`mesh` with its small features within `tolerance_m` gone. It stays whole where it cannot shrink only."""
    before = len(mesh.faces)
    try:
        solid = (mesh if mesh.volume_m3 > 0 else mesh.flipped()).manifold()
    except ValueError:
        return Simplified(mesh, f"'{name}' is not closed and is taken as it is, with all its {before:,} triangles.")
    best: Mesh | None = None
    for share in DRAWN_IN:
        # Simplifying and drawing in together stay within the tolerance.
        smaller = solid.simplify(tolerance_m * (1 - share))
        found = Mesh.from_manifold(smaller)
        if not len(found.faces) or len(found.faces) >= before:
            break
        if share:
            found = _drawn_in(found, tolerance_m * share)
            try:
                smaller = found.manifold()
            except ValueError:
                continue
        if _sticks_out_m3(smaller, solid) > GRAIN_M * mesh.area_m2:
            # In a hollow it still stands out: there the mesh as it was is kept.
            found = Mesh.from_manifold(smaller ^ solid)
        if best is None or len(found.faces) < len(best.faces):
            best = found
    if best is None or not 0 < len(best.faces) < before:
        return Simplified(
            mesh,
            f"'{name}' cannot be simplified within {tolerance_m * 1000:g} mm without growing somewhere; it keeps all its "
            f"{before:,} triangles.",
        )
    return Simplified(
        best,
        f"'{name}' is simplified from {before:,} to {len(best.faces):,} triangles: nowhere larger than it was, "
        f"and smaller by at most {tolerance_m * 1000:g} mm, so that doubt counts as seen.",
    )


def _sticks_out_m3(smaller: Manifold, solid: Manifold) -> float:
    return abs(float((smaller - solid).volume()))


def _drawn_in(mesh: Mesh, by_m: float) -> Mesh:
    """Every corner moved inward along the mean of its faces' normals."""
    normals = np.zeros_like(mesh.vertices)
    for corner in range(3):
        np.add.at(normals, mesh.faces[:, corner], mesh.area_normals)
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    return Mesh(mesh.vertices - by_m * normals / np.where(length > 0, length, 1.0), mesh.faces)
