"""Mirrors of a venue: flat, of one side, and a cover to whatever passes them directly."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sightline.geometry import shapes
from sightline.geometry.frame import FloatArray, Placement, dots
from sightline.geometry.mesh import Cover
from sightline.house.outline import Outline, area, line
from sightline.house.scenery import turned
from sightline.scene.lighting import MirrorPiece

# From this lean on a mirror is drawn in plan as an area, not as a line. Common practice, no source.
LEANING = 0.5


@dataclass(frozen=True)
class Mirror:
    """A mirror where it hangs: unturned it lies in the plane y = 0 about the origin, its front towards -y.

    `half_m` is half its width and height (for a disc the radius, twice); a point of the plane belongs to a `disc`
    within the radius, to a rectangle within both halves.
    """

    name: str
    placement: Placement
    half_m: tuple[float, float]
    disc: bool = False

    @property
    def centre_m(self) -> FloatArray:
        return self.placement.origin

    @property
    def normal(self) -> FloatArray:
        """Unit vector (3,) out of the front."""
        return -self.placement.rotation[:, 1]

    def heights(self, points: FloatArray) -> FloatArray:
        """How far points (n, 3) are before the front (n,), metres; behind it below nothing."""
        return np.asarray(dots(points - self.centre_m, self.normal[None])[:, 0])

    def reflected(self, points: FloatArray) -> FloatArray:
        """The mirror images (n, 3) of points (n, 3)."""
        return np.asarray(points - 2.0 * self.heights(points)[:, None] * self.normal)

    def across(self, points: FloatArray) -> FloatArray:
        """Places (n, 2) in the mirror's plane, metres from its middle, along its width and its height."""
        return dots(points - self.centre_m, self.placement.rotation[:, [0, 2]].T)

    def holds(self, places: FloatArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        """Which places (n, 2) of its plane are within its edges."""
        if self.disc:
            return np.asarray(np.einsum("ij,ij->i", places, places) <= self.half_m[0] ** 2)
        return np.asarray((np.abs(places) <= self.half_m).all(axis=1))

    def placed(self, placement: Placement) -> Mirror:
        """The same mirror carried by `placement`: for another frame."""
        return replace(self, placement=self.placement.after(placement))

    def cover(self) -> Cover:
        """The sheet that hides what is behind it, from both sides."""
        width, height = self.half_m
        sheet = shapes.disc(width) if self.disc else shapes.rectangle(2 * width, 2 * height)
        return Cover(self.name, sheet.placed(self.placement))

    def outline(self) -> Outline:
        """Its line on the plan; of a leaning one what it covers there."""
        x, z = self.half_m
        if abs(self.normal[2]) < LEANING:
            return line(self.name, "mirror", self.placement.points([[-x, 0, 0], [x, 0, 0]])[:, :2])
        turn = 2 * np.pi * np.arange(32) / 32
        corners = (
            np.column_stack([x * np.cos(turn), 0 * turn, z * np.sin(turn)])
            if self.disc
            else [[-x, 0, -z], [x, 0, -z], [x, 0, z], [-x, 0, z]]
        )
        return area(self.name, "mirror", self.placement.points(corners)[:, :2])


def mirror_of(written: MirrorPiece) -> Mirror:
    """The mirror as placed by the venue."""
    placement = Placement(turned(written.facing), np.array(written.at, dtype=float))
    if written.disc is not None:
        return Mirror(written.name, placement, (written.disc.radius, written.disc.radius), disc=True)
    assert written.rectangle is not None
    return Mirror(written.name, placement, (written.rectangle.width / 2, written.rectangle.height / 2))
