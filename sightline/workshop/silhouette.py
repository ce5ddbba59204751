"""How far the outline of one limb is from another's, seen from all round."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh

if TYPE_CHECKING:
    from manifold3d import CrossSection

# Where it is looked at from: every eighth of a turn, level with the limb and from a balcony's height. Common practice,
# no source; 30 deg is also the most that a highest seat should look down (De Chiara, Time-Saver Standards).
BEARINGS_DEG = (0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0)
HEIGHTS_DEG = (0.0, 30.0)
_FROM = ("front", "front left", "left", "back left", "back", "back right", "right", "front right")


@dataclass(frozen=True)
class Outlook:
    """One view: from `bearing_deg` (0 ahead of the performer, 90 at their left) and `height_deg` above level.

    `overlap` is the area common to both outlines over the area of either, 0 to 1; `extra_m2` what only the first limb
    covers, `missing_m2` what only the second does.
    """

    bearing_deg: float
    height_deg: float
    overlap: float
    extra_m2: float
    missing_m2: float

    @property
    def words(self) -> str:
        """Where it is seen from, in the performer's own left and right."""
        way = _FROM[round(self.bearing_deg / 45.0) % 8]
        return f"from the performer's {way}, {'level' if self.height_deg == 0 else f'{self.height_deg:.0f} deg above'}"


def outlooks(one: Mesh, other: Mesh) -> list[Outlook]:
    """All views of two meshes in the performer's frame. Meshes may be open and wound either way."""
    out = []
    for height in HEIGHTS_DEG:
        for bearing in BEARINGS_DEG:
            axes = view_axes(bearing, height)
            a, b = outline(one, axes), outline(other, axes)
            both, either = (a ^ b).area(), (a + b).area()
            share = both / either if either > 0 else 0.0
            out.append(Outlook(bearing, height, share, a.area() - both, b.area() - both))
    return out


def view_axes(bearing_deg: float, height_deg: float) -> FloatArray:
    """Right and up axes (2, 3) of the picture plane of one who looks from there, far away."""
    t, h = np.radians(bearing_deg), np.radians(height_deg)
    to_eye = np.array([np.sin(t) * np.cos(h), -np.cos(t) * np.cos(h), np.sin(h)])
    right = np.array([np.cos(t), np.sin(t), 0.0])
    return np.array([right, np.cross(to_eye, right)])


def outline(mesh: Mesh, axes: FloatArray) -> CrossSection:
    """The shadow of a mesh on the plane of two unit axes (2, 3), as exact polygons, metres."""
    from manifold3d import CrossSection, FillRule

    if mesh.closed and mesh.volume_m3 > 0:
        try:
            turn = np.vstack([axes, np.cross(axes[0], axes[1])])
            return mesh.manifold().transform(np.column_stack([turn, np.zeros(3)])).project()
        except ValueError:
            # Closed but crossing itself: its triangles still have a shadow each.
            pass
    flat = mesh.corners @ axes.T
    a, b = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    twice = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    # All triangles one way round: then the shadow is where any of them lies, whatever the winding.
    flat = np.where((twice < 0)[:, None, None], flat[:, ::-1], flat)
    return CrossSection(list(flat[np.abs(twice) > 1e-14]), FillRule.NonZero)
