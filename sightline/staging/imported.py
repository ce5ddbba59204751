"""What is made of an imported surface: which way it faces, and whether it can be seen from one side only."""

from __future__ import annotations

import numpy as np

from sightline.geometry.mesh import Mesh
from sightline.geometry.solid_angle import winding


def sided(name: str, mesh: Mesh, notes: list[str]) -> tuple[Mesh, bool]:
    """The mesh turned outward, and whether it must count from both sides; what had to be assumed goes to `notes`.

    Only a watertight, consistently wound mesh has an outside. Each of its shells is judged by itself: one that is
    inside out is turned, unless it is the wall of a cavity within another shell.
    """
    if not mesh.closed:
        notes.append(f"'{name}' is not watertight and consistently wound, so it counts as seen from both sides.")
        return mesh, True
    shells = mesh.shells()
    turned = 0
    out = []
    for i, shell in enumerate(shells):
        if shell.volume_m3 < 0 and not any(_encloses(other, shell) for j, other in enumerate(shells) if j != i):
            shell, turned = shell.flipped(), turned + 1
        out.append(shell)
    if turned:
        what = f"'{name}'" if turned == len(shells) else f"A part of '{name}'"
        notes.append(f"Warning: {what} was inside out and has been turned.")
    return Mesh.joined(out), False


def _encloses(outer: Mesh, inner: Mesh) -> bool:
    """Whether a shell, whichever way it is wound, lies wholly round another."""
    if np.any(outer.bounds[0] > inner.bounds[0]) or np.any(outer.bounds[1] < inner.bounds[1]):
        return False
    return abs(winding(inner.vertices[inner.faces[0, 0]], outer)) > 0.5
