"""A secret's surface cut into small triangles, each judged by its centre."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.sight.rays import LIFT_M, BoolArray, IndexArray, Solid

MOST_PATCHES = 400_000
# Lengths that differ by less than this share are the same length, computed twice.
TIE = 1e-9


@dataclass(frozen=True)
class Patches:
    """Small triangles of a surface: corners (p, 3, 3), centres (p, 3), unit normals (p, 3), areas (p,).

    `radius_m` (p,) is the distance from the centre to the farthest corner: any disc on the patch wider than
    twice that, wherever its middle, holds the centre. Two-sided patches are seen from both sides.
    """

    corners: FloatArray
    two_sided: bool
    dropped: int = 0

    def __post_init__(self) -> None:
        a, b, c = self.corners[:, 0], self.corners[:, 1], self.corners[:, 2]
        across = np.cross(b - a, c - a)
        twice = np.linalg.norm(across, axis=1)
        object.__setattr__(self, "centres", (a + b + c) / 3.0)
        object.__setattr__(self, "areas", twice / 2.0)
        object.__setattr__(self, "normals", across / np.maximum(twice, 1e-300)[:, None])
        far = np.linalg.norm(self.corners - self.centres[:, None], axis=2)
        object.__setattr__(self, "radius_m", far.max(axis=1) if len(far) else np.zeros(0))

    centres: FloatArray = None  # type: ignore[assignment]
    areas: FloatArray = None  # type: ignore[assignment]
    normals: FloatArray = None  # type: ignore[assignment]
    radius_m: FloatArray = None  # type: ignore[assignment]

    @property
    def count(self) -> int:
        return len(self.corners)

    @property
    def area_m2(self) -> float:
        return float(self.areas.sum())

    @cached_property
    def corner_keys(self) -> IndexArray:
        """A number for each corner (p, 3), the same for patches that meet there."""
        flat = Mesh(self.corners.reshape(-1, 3), np.zeros((0, 3), dtype=np.int32))
        return flat.vertex_keys(1e-7).reshape(-1, 3)

    def only(self, keep: BoolArray) -> Patches:
        return Patches(self.corners[keep], self.two_sided, self.dropped + int((~keep).sum()))

    def thinned(self, most: int) -> Patches:
        """At most about `most` patches, evenly by area, each with its share of the whole: for what needs no fine edge."""
        if self.count <= most:
            return self
        total = np.cumsum(self.areas)
        at = np.searchsorted(total, (np.arange(most) + 0.5) * total[-1] / most)
        out = Patches(self.corners[at], self.two_sided, self.dropped)
        object.__setattr__(out, "areas", np.full(most, total[-1] / most))
        return out

    def split(self) -> FloatArray:
        """Centres (p, 16, 3) of each patch split in four, twice."""
        return halved(halved(self.corners)).mean(axis=1).reshape(self.count, 16, 3)


def halved(corners: FloatArray) -> FloatArray:
    """Each triangle (n, 3, 3) as its four halves, in order (4n, 3, 3)."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
    parts = [np.stack(t, axis=1) for t in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))]
    return np.stack(parts, axis=1).reshape(-1, 3, 3)


def cut(corners: FloatArray, spacing_m: float) -> FloatArray:
    """Triangles (n, 3, 3) bisected across their longest edge until none is longer than `spacing_m`."""
    done: list[FloatArray] = []
    total = 0
    while len(corners):
        edges = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
        # Of edges as long as each other the first is taken, or rounding would choose: another place, other patches.
        most = edges.max(axis=1)
        longest = (edges >= most[:, None] * (1.0 - TIE)).argmax(axis=1)
        small = most <= spacing_m * (1.0 - TIE)
        done.append(corners[small])
        rest, k = corners[~small], longest[~small]
        rows = np.arange(len(rest))
        p, q, r = rest[rows, k], rest[rows, (k + 1) % 3], rest[rows, (k + 2) % 3]
        middle = (p + q) / 2
        total += int(small.sum())
        if total + 2 * len(rest) > MOST_PATCHES:
            raise Misfit(
                (),
                f"This would be cut into more than {MOST_PATCHES} patches at {spacing_m * 1000:.3g} mm; "
                "say a coarser detail, up to 20 mm, or make it smaller.",
            )
        corners = np.concatenate([np.stack([p, middle, r], axis=1), np.stack([middle, q, r], axis=1)])
    return np.concatenate(done) if done else np.zeros((0, 3, 3))


def patches_of(mesh: Mesh, spacing_m: float, two_sided: bool) -> Patches:
    """Cut a mesh into patches no longer than `spacing_m`, flat ones left out."""
    whole = mesh.corners[mesh.areas > 1e-14]
    return Patches(cut(whole, spacing_m), two_sided)


def outside_solids(patches: Patches, solids: list[Solid]) -> Patches:
    """Only the patches that are not buried in other solids; the rest can be seen by nobody.

    A patch that lies just under a surface is not among those: where its rays would start must be buried as well, a hair
    off its face, and of a two-sided one off both. Doubt is left to rays.
    """
    lift = patches.normals * LIFT_M
    buried = np.ones(patches.count, dtype=bool)
    for points in (patches.centres, patches.centres + lift, *([patches.centres - lift] if patches.two_sided else [])):
        todo = np.flatnonzero(buried)
        for solid in solids:
            todo = todo[~solid.holds(points[todo])]
        buried[todo] = False
    return patches.only(~buried) if buried.any() else patches
