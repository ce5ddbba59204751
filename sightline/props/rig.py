"""The hidden harness: straps, plate, hook, screws. Each is a secret, and blocks like anything else."""

from __future__ import annotations

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import box, cylinder
from sightline.props.box import spot_point
from sightline.scene.wear import Hook, Plate, Screw, Strap

# Webbing stands this far off the skin, so that it is not lost in the facets of the body.
WEBBING_M = 0.003
STRAP_STEP_M = 0.015


def strap_mesh(strap: Strap, torso: Mesh, shoulder: FloatArray, waist_m: float) -> Mesh:
    """A ribbon, an open sheet, in the performer's frame. `shoulder` is the joint it runs over, `waist_m` its ends."""
    if strap.path is not None:
        return ribbon(np.array(strap.path, dtype=float), strap.width)
    inboard = float(shoulder[0]) * 0.72
    edges = [_over_the_shoulder(torso, inboard + side * strap.width / 2, waist_m) for side in (-1, 1)]
    if min(map(len, edges)) < 4:
        raise Misfit((), "The strap finds no shoulder to run over.")
    return _between(*edges)


def _over_the_shoulder(torso: Mesh, x_m: float, waist_m: float) -> FloatArray:
    """The outline of the body in the plane x = `x_m`, from the waist in front up over and down behind."""
    corners = torso.corners
    points = []
    for a, b in ((0, 1), (1, 2), (2, 0)):
        p, q = corners[:, a], corners[:, b]
        crosses = (p[:, 0] - x_m) * (q[:, 0] - x_m) < 0
        share = (x_m - p[crosses, 0]) / (q[crosses, 0] - p[crosses, 0])
        points.append(p[crosses] + share[:, None] * (q[crosses] - p[crosses]))
    outline = np.concatenate(points)
    outline = outline[outline[:, 2] >= waist_m]
    if len(outline) < 4:
        return outline
    middle = np.array([x_m, (outline[:, 1].min() + outline[:, 1].max()) / 2, waist_m])
    away = outline - middle
    angle = np.arctan2(away[:, 2], -away[:, 1])
    radius = np.hypot(away[:, 1], away[:, 2])
    # The outermost point of each small sector: folds of the mesh inside do not count. Sectors without a point of
    # their own lie between those that have one.
    sectors = np.linspace(0.03, np.pi - 0.03, 48)
    nearest = np.abs(angle[:, None] - sectors[None]).argmin(axis=1)
    filled = np.unique(nearest)
    outermost = np.array([radius[nearest == k].max() for k in filled])
    reach = np.interp(sectors, sectors[filled], outermost) + WEBBING_M
    return middle + reach[:, None] * np.column_stack([0 * sectors, -np.cos(sectors), np.sin(sectors)])


def _between(one: FloatArray, other: FloatArray) -> Mesh:
    """The strip between two edges of as many points (n, 3)."""
    n = len(one)
    i = np.arange(n - 1)
    faces = np.concatenate([np.column_stack([i, n + i, i + 1]), np.column_stack([n + i, n + i + 1, i + 1])])
    return Mesh.of(np.concatenate([one, other]), faces)


def ribbon(path: FloatArray, width_m: float) -> Mesh:
    """A flat strip along a path (n, 3), level across where the path allows."""
    steps = np.gradient(path, axis=0)
    across = np.cross(steps, [0.0, 0.0, 1.0])
    side = np.array([1.0, 0.0, 0.0])
    level = np.linalg.norm(across, axis=1) > 0.3 * np.linalg.norm(steps, axis=1)
    out = np.empty_like(path)
    for i, step in enumerate(steps):
        wide = across[i] if level[i] and np.ptp(path[:, 0]) > 1e-6 else side - (side @ unit(step)) * unit(step)
        if np.linalg.norm(wide) < 1e-9:
            wide = np.array([0.0, 1.0, 0.0])
        out[i] = unit(wide) * width_m / 2
        if i and out[i] @ out[i - 1] < 0:
            out[i] = -out[i]
    return _between(path - out, path + out)


def plate_mesh(plate: Plate, belly_y_m: float, waist_m: float) -> Mesh:
    """A plate 6 mm thick before the belly, performer's frame."""
    up = plate.up if plate.up is not None else waist_m
    solid = box(plate.width, 0.006, plate.height)
    return Mesh(solid.vertices + [0.0, belly_y_m - 0.006, up], solid.faces)


def hook_mesh(hook: Hook, size_m: FloatArray) -> Mesh:
    """A hook as a small block on its wall, prop frame."""
    point, wall = spot_point(size_m, hook.at, 0.012)
    solid = box(hook.size * 0.5, 0.024, hook.size)
    frame = np.column_stack([wall.across, -wall.outward, wall.up])
    if np.linalg.det(frame) < 0:
        frame[:, 0] = -frame[:, 0]
    return Mesh(solid.vertices @ frame.T + point, solid.faces)


def screw_mesh(screw: Screw, size_m: FloatArray) -> Mesh:
    """A screw head 3 mm proud of its wall, prop frame."""
    point, wall = spot_point(size_m, screw.at, 0.0015)
    head = cylinder(screw.diameter / 2, 0.003, 24)
    first = wall.across
    frame = np.column_stack([first, np.cross(wall.outward, first), wall.outward])
    return Mesh(head.vertices @ frame.T + point, head.faces)
