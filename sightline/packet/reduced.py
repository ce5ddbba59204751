"""A mesh made small enough to travel in a page, for looking at only: nothing is decided by it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover, Mesh
from sightline.packet.bundle import packed, short
from sightline.pictures.palette import Palette

MOST_FACES = 900
# What has a face or feathers painted on keeps corners enough to carry them.
MOST_PAINTED = 3600
# Tried in turn until a mesh is small enough: 8 mm is 3 arcmin from the tenth row.
COARSER_M = (0.001, 0.002, 0.004, 0.006, 0.008, 0.012, 0.02)
GRID_M = (0.012, 0.016, 0.02, 0.026, 0.034)
STEPS = 32_000


@dataclass(frozen=True)
class Piece:
    """One surface of the 3D pane. `secret` 0 none, 1 a secret, 2 must be seen; a line (a seam) has no faces.

    `colour` (3,) in 0..1; `colours` (n, 3) of every corner where something is painted on.
    """

    name: str
    mesh: Mesh
    colour: FloatArray
    secret: int = 0
    colours: FloatArray | None = None

    def as_data(self) -> dict[str, Any]:
        """Corners as whole steps from the lowest corner, `step` m each."""
        vertices = self.mesh.vertices
        low = vertices.min(axis=0)
        step = max(float((vertices.max(axis=0) - low).max()) / STEPS, 1e-6)
        faces = self.mesh.faces
        return {
            "name": self.name,
            "colour": "#" + "".join(f"{round(255 * c):02x}" for c in np.clip(self.colour, 0, 1).tolist()),
            "secret": self.secret,
            "low": short(low, 5),
            "step": step,
            "at": packed(np.round((vertices - low) / step).astype(np.uint16)),
            "faces": packed(faces.astype(np.uint16 if len(vertices) < 65_536 else np.uint32)) if len(faces) else None,
            "wide": len(vertices) >= 65_536,
            "paint": None
            if self.colours is None
            else packed(np.round(255 * np.clip(self.colours, 0, 1)).astype(np.uint8)),
        }


def reduced(mesh: Mesh, most: int = MOST_FACES) -> Mesh:
    """The same shape with about so many faces at most; as it is where it encloses nothing."""
    if len(mesh.faces) <= most:
        return mesh
    try:
        solid = mesh.manifold()
    except ValueError:
        return mesh
    for away in COARSER_M:
        small = solid.simplify(away)
        if small.num_tri() <= most:
            break
    found = Mesh.from_manifold(small)
    if len(found.faces) > 2 * most:
        # Cloth, whose two sides are too near for that to go on: corners in one cell of a grid become one.
        found = _gridded(found, most)
    return found if len(found.faces) else mesh


def _gridded(mesh: Mesh, most: int) -> Mesh:
    for cell in GRID_M:
        at = np.floor(mesh.vertices / cell).astype(np.int64)
        _, of = np.unique(at, axis=0, return_inverse=True)
        of = of.ravel()
        counts = np.bincount(of)
        vertices = np.column_stack([np.bincount(of, mesh.vertices[:, k]) for k in range(3)]) / counts[:, None]
        faces = of[mesh.faces]
        faces = faces[(faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])]
        # Of faces on the same corners one is enough to be looked at.
        _, first = np.unique(np.sort(faces, axis=1), axis=0, return_index=True)
        faces = faces[np.sort(first)]
        if len(faces) <= 2 * most:
            break
    return Mesh(vertices, faces.astype(np.int32))


def piece(cover: Cover, palette: Palette, secret: int = 0) -> Piece:
    """A cover made small, in the colours of the views."""
    painted = cover.name in palette.paints
    mesh = reduced(cover.mesh, MOST_PAINTED if painted else MOST_FACES)
    colours = palette.colours(cover, mesh.vertices) if painted and len(mesh.vertices) else None
    return Piece(cover.name, mesh, palette.base(cover.name), secret, colours)
