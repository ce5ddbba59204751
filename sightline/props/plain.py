"""Plain shapes of the scene file as placed meshes."""

from __future__ import annotations

from collections.abc import Callable

from sightline.geometry import shapes
from sightline.geometry.frame import Placement, about_z, toward
from sightline.geometry.mesh import Mesh
from sightline.scene.fields import Facing
from sightline.scene.shapes import MeshFile, Shape

ReadMesh = Callable[[MeshFile], Mesh]


def placement(at: tuple[float, float, float], facing: Facing) -> Placement:
    """Where a shape stands: its centre at `at` (m), its front turned to a direction or an angle (rad)."""
    import numpy as np

    rotation = toward(facing) if isinstance(facing, tuple) else about_z(facing)
    return Placement(rotation, np.asarray(at, dtype=float))


def shape_mesh(shape: Shape, read_mesh: ReadMesh) -> Mesh:
    """The mesh of one plain shape, placed, in metres. Misfit when its file is no mesh."""
    return _own_mesh(shape, read_mesh).placed(placement(shape.at, shape.facing))


def _own_mesh(shape: Shape, read_mesh: ReadMesh) -> Mesh:
    if shape.disc:
        return shapes.disc(shape.disc.radius)
    if shape.rectangle:
        return shapes.rectangle(shape.rectangle.width, shape.rectangle.height)
    if shape.box:
        return shapes.box(shape.box.width, shape.box.depth, shape.box.height)
    if shape.cylinder:
        return shapes.cylinder(shape.cylinder.radius, shape.cylinder.height)
    if shape.sphere:
        return shapes.sphere(shape.sphere.radius)
    assert shape.mesh is not None
    return read_mesh(shape.mesh)
