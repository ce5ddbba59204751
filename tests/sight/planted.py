"""Holes planted before a secret: how wide a disc of it an eye is left, worked out by rays of our own in doubles."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import Placement, toward, unit
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.eyes import Eye
from sightline.moment import Moment, Pose, Secret
from sightline.sight.looking import look
from sightline.sight.patches import Patches
from sightline.sight.scenery import Scenery
from tests.sight.meshes import plate_with_hole

Points = NDArray[np.float64]

PLATE_M = 4.0


@dataclass(frozen=True)
class Found:
    """Of the one secret and the one eye: whether nothing of it is seen, and the stated smallest leak."""

    hidden: bool
    missable_rad: float


def moment_of(secret: Secret, eye: Points, covers: tuple[Mesh, ...] = (), detail_m: float = 0.02) -> Moment:
    x, y, z = (float(c) for c in eye)
    still = Pose("still", tuple(Cover(f"cover {i}", mesh) for i, mesh in enumerate(covers)), (secret,))
    return Moment("", still, (Pose("rest"),), (Eye("E1", "point", (x, y, z)),), detail_m=detail_m)


def found_in(moment: Moment) -> Found:
    (sighting,) = look(moment, must_sees=False).sightings.values()
    return Found(bool(sighting.seen.rank[0] <= 0), float(sighting.missable_rad[0]))


def with_cover(moment: Moment, mesh: Mesh) -> Moment:
    """The same with one more cover, which stands about and is no part of the act."""
    return replace(moment, setting=(*moment.setting, Cover("plate", mesh)))


def patches_in(moment: Moment) -> Patches:
    """The patches that the check cuts the secret into."""
    (secret,) = moment.still.secrets
    ready = Scenery(moment).prepared(secret, 0)
    patches: Patches = ready.patches  # type: ignore[union-attr]
    return patches


def plate(at: Points, normal: Points, hole_m: float) -> Mesh:
    """A plate with a round hole that holds a circle `hole_m` wide."""
    return plate_with_hole(PLATE_M, hole_m).placed(Placement(toward(normal), at))


def slit(at: Points, normal: Points, along_m: float, across_m: float, turn_rad: float) -> Mesh:
    """A plate with an oblong hole, turned about its normal."""
    u, v, s = along_m / 2, across_m / 2, PLATE_M / 2
    inner = np.array([[-u, -v], [u, -v], [u, v], [-u, v]])
    outer = np.array([[-s, -s], [s, -s], [s, s], [-s, s]])
    c, n = np.cos(turn_rad), np.sin(turn_rad)
    flat = np.vstack([inner, outer]) @ np.array([[c, n], [-n, c]])
    i = np.arange(4)
    j = (i + 1) % 4
    faces = np.vstack([np.column_stack([i, 4 + i, 4 + j]), np.column_stack([i, 4 + j, j])])
    mesh = Mesh.of(np.column_stack([flat[:, 0], 0 * flat[:, 0], flat[:, 1]]), faces)
    return mesh.placed(Placement(toward(normal), at))


def cone(axis: Points, half_rad: float, rings: int = 3, spokes: int = 24) -> Points:
    """Unit directions (n, 3) that fill a cone, its rim among them."""
    axis = unit(axis)
    side = unit(np.cross(axis, [0.0, 0.0, 1.0] if abs(axis[2]) < 0.9 else [1.0, 0.0, 0.0]))
    other = np.cross(axis, side)
    out = [axis[None]]
    for ring in range(1, rings + 1):
        turn = 2 * np.pi * (np.arange(spokes) + 0.5 * (ring % 2)) / spokes
        round_ = np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * other
        angle = half_rad * ring / rings
        out.append(np.cos(angle) * axis + np.sin(angle) * round_)
    return np.concatenate(out)


def in_cone(start: Points, axis: Points, half_rad: float, corners: Points) -> NDArray[np.intp]:
    """The triangles (t, 3, 3) whose bounding balls reach into a cone; all others are out of it for certain."""
    middle = corners.mean(axis=1)
    reach = np.linalg.norm(corners - middle[:, None], axis=2).max(axis=1)
    step = middle - start
    far = np.linalg.norm(step, axis=1)
    aside = np.arccos(np.clip(step @ axis / np.maximum(far, 1e-300), -1.0, 1.0))
    return np.flatnonzero((far <= reach) | (aside <= half_rad * 1.001 + np.arcsin(np.minimum(1.0, reach / far))))


def first_met(start: Points, directions: Points, corners: Points) -> tuple[Points, NDArray[np.intp]]:
    """Distance (n,) and triangle (n,) that rays from `start` meet first; infinite and -1 for none.

    Moller & Trumbore 1997, J. Graphics Tools 2(1):21.
    """
    nearest, which = np.full(len(directions), np.inf), np.full(len(directions), -1, dtype=np.intp)
    for at in range(0, len(corners), 4000):
        a, b, c = (corners[at : at + 4000, k] for k in range(3))
        e, f = b - a, c - a
        p = np.cross(directions[:, None], f[None])
        size = (p * e).sum(axis=2)
        with np.errstate(divide="ignore", invalid="ignore"):
            t_ = start - a
            u = (p * t_).sum(axis=2) / size
            q = np.cross(t_, e)
            v = (directions[:, None] * q[None]).sum(axis=2) / size
            far = (f * q).sum(axis=1)[None] / size
            hit = (np.abs(size) > 1e-300) & (u >= 0) & (v >= 0) & (u + v <= 1) & (far > 1e-9)
        far = np.where(hit, far, np.inf)
        best = far.argmin(axis=1)
        here = far[np.arange(len(far)), best]
        closer = here < nearest
        nearest, which = np.where(closer, here, nearest), np.where(closer, at + best, which)
    return nearest, which


def shows_disc(moment: Moment, axis: Points, half_rad: float) -> bool:
    """Whether the eye sees nothing but the secret in a whole cone: a disc of it, with whatever covers there are."""
    (secret,) = moment.still.secrets
    eye = moment.eye_points()[0]
    ways = cone(axis, half_rad)
    mesh = secret.mesh
    some = in_cone(eye, axis, half_rad, mesh.corners)
    if not secret.covers and not secret.two_sided:
        # What does not cover shows past its own back.
        some = some[np.einsum("ij,ij->i", eye - mesh.corners[some, 0], mesh.area_normals[some]) > 0]
    far, which = first_met(eye, ways, mesh.corners[some])
    if not np.isfinite(far).all():
        return False
    turned = np.einsum("ij,ij->i", ways, mesh.area_normals[some][which])
    if not secret.two_sided and (turned >= 0).any():
        return False
    for cover in (*moment.still.covers, *moment.setting):
        corners = cover.mesh.corners
        if (first_met(eye, ways, corners[in_cone(eye, axis, half_rad, corners)])[0] < far).any():
            return False
    return True
