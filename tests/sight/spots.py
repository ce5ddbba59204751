"""What the second opinion looks at: the places of a secret, which way they turn, and how large each is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sightline.house.mirrors import Mirror
from sightline.moment import Secret
from sightline.sight.patches import patches_of
from sightline.sight.prepared import PreparedLine, PreparedSurface
from sightline.sight.scenery import Scenery
from tests.sight.brute import Bools, Points

# How far off their surface rays start (design.md, section 5: 1e-4 m).
LIFT_M = 1e-4


@dataclass(frozen=True)
class Spots:
    """Places of a secret (n,): where on the surface, unit normal, and where the planner's samples are.

    Surfaces have corners (n, 3, 3) and areas (n,), lines lengths (n,). `dropped` (n,): the planner takes them for buried.
    """

    base: Points
    normals: Points
    two_sided: bool
    dropped: Bools
    corners: Points | None = None
    areas: Points | None = None
    lengths: Points | None = None
    width_m: float = 0.0
    ring: bool = False

    @cached_property
    def corner_keys(self) -> NDArray[np.intp]:
        """A number for each corner (n, 3) of the patches, the same where they meet."""
        assert self.corners is not None
        _, key = np.unique(np.round(self.corners.reshape(-1, 3) / 1e-6), axis=0, return_inverse=True)
        return key.reshape(-1, 3)


def spots_of(secret: Secret, scenery: Scenery, pose: int) -> Spots:
    """The places of a secret in a pose, those that the planner drops among them."""
    ready = scenery.prepared(secret, pose)
    if isinstance(ready, PreparedLine):
        line = ready.line
        none = np.zeros(len(line.points), dtype=bool)
        base = line.points - LIFT_M * line.normals
        return Spots(base, line.normals, line.two_sided, none, None, None, line.lengths, line.width_m, line.ring)
    assert isinstance(ready, PreparedSurface)
    # The spacing of design.md section 5: the scene's detail, and a fifth of a secret that is itself small.
    spacing = min(scenery.moment.detail_m, max(math.sqrt(secret.mesh.area_m2) / 5.0, 1e-4))
    cut = patches_of(secret.mesh, spacing, secret.two_sided)
    kept = {row.tobytes() for row in ready.patches.corners.reshape(-1, 9)}
    dropped = np.array([row.tobytes() not in kept for row in cut.corners.reshape(-1, 9)])
    assert cut.count - int(dropped.sum()) == ready.patches.count
    return Spots(cut.corners.mean(axis=1), cut.normals, secret.two_sided, dropped, cut.corners, cut.areas)


def towards(spots: Spots, seats: Points) -> tuple[Bools, Points]:
    """Which spots (e, n) turn to which seat, and on which side of their surface (1 or -1) they are looked at."""
    at = spots.base if spots.lengths is None else spots.base + LIFT_M * spots.normals
    height = seats @ spots.normals.T - (at * spots.normals).sum(axis=1)
    if not spots.two_sided:
        return height > 0, np.ones_like(height)
    front = np.ones(height.shape, dtype=bool) if spots.lengths is not None else height != 0
    return front, np.where(height < 0, -1.0, 1.0)


def omega(spots: Spots, seats: Points) -> Points:
    """Solid angle (e, n) of each spot from each seat: area times cosine over distance squared; lines have their strip."""
    way = seats[:, None] - spots.base[None]
    away2 = np.einsum("enx,enx->en", way, way)
    if spots.areas is None:
        assert spots.lengths is not None
        return np.asarray(spots.lengths * spots.width_m / away2)
    cosine = np.abs(np.einsum("enx,nx->en", way, spots.normals)) / np.sqrt(away2)
    return np.asarray(spots.areas * cosine / away2)


def image(eyes: Points, mirror: Mirror) -> Points:
    return np.asarray(eyes - 2.0 * ((eyes - mirror.centre_m) @ mirror.normal)[:, None] * mirror.normal)


def sixteenths(corners: Points) -> Points:
    """Middles (n, 16, 3) of each triangle (n, 3, 3) cut into sixteen alike."""
    steps = [(i, j) for i in range(4) for j in range(4 - i)]
    up = [(i + 1 / 3, j + 1 / 3) for i, j in steps]
    down = [(i + 2 / 3, j + 2 / 3) for i, j in steps if i + j < 3]
    shares = np.array([(1 - (i + j) / 4, i / 4, j / 4) for i, j in (*up, *down)])
    return np.asarray(np.einsum("sk,nkx->nsx", shares, corners))
