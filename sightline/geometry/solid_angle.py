"""How large a triangle looks from a point."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh

# Beyond this ratio of distance to patch radius, area times cosine over distance squared is within 0.1 %.
FAR = 20.0


def triangle(eyes: FloatArray, corners: FloatArray) -> FloatArray:
    """Unsigned solid angle (n,) sr of each triangle (n, 3, 3) from its eye (n, 3)."""
    return np.abs(signed(eyes, corners))


def winding(point: FloatArray, mesh: Mesh) -> float:
    """How often a closed mesh goes round a point (3,): 0 outside, 1 inside, -1 inside one that is inside out."""
    return float(signed(np.broadcast_to(point, (len(mesh.faces), 3)), mesh.corners).sum() / (4.0 * np.pi))


def signed(eyes: FloatArray, corners: FloatArray) -> FloatArray:
    """Solid angle (n,) sr of each triangle (n, 3, 3) from its eye (n, 3), positive where the eye is behind it.

    Van Oosterom & Strackee 1983, IEEE Trans. Biomed. Eng. 30(2):125, in the atan2 form.
    """
    a, b, c = (corners[:, i] - eyes for i in range(3))
    la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    triple = np.einsum("ij,ij->i", a, np.cross(b, c))
    below = (
        la * lb * lc
        + np.einsum("ij,ij->i", a, b) * lc
        + np.einsum("ij,ij->i", b, c) * la
        + np.einsum("ij,ij->i", c, a) * lb
    )
    return np.asarray(2.0 * np.arctan2(triple, below))


def disc_of(solid_angle_sr: FloatArray) -> FloatArray:
    """Diameter (arcmin) of the disc of equal solid angle, seen face on: the angular size."""
    half = np.arccos(np.clip(1.0 - np.asarray(solid_angle_sr) / (2.0 * np.pi), -1.0, 1.0))
    # arccos loses all digits for small angles, where the area of a flat disc is exact enough.
    small = 2.0 * np.sqrt(np.asarray(solid_angle_sr) / np.pi)
    return np.degrees(np.where(np.asarray(solid_angle_sr) < 1e-4, small, 2.0 * half)) * 60.0
