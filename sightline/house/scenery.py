"""Pieces of scenery as covers, and their footprints for the plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from sightline.errors import Misfit
from sightline.geometry import shapes
from sightline.geometry.frame import FloatArray, about_z, toward
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.ground import bearing_points
from sightline.house.outline import Outline, area, line
from sightline.house.simplify import simplified
from sightline.house.solids import strip
from sightline.scene.setting import RailSize, SceneryPiece

MeshReader = Callable[[str], Mesh]


def turned(facing: tuple[float, ...] | float) -> FloatArray:
    """Rotation matrix (3, 3) for a facing as written: an angle in radians, or a direction."""
    return toward(facing) if isinstance(facing, tuple) else about_z(facing)


def pieces(
    written: SceneryPiece, read_mesh: MeshReader, note: Callable[[str], object] = str
) -> Iterator[tuple[Cover, Outline]]:
    """The cover of a piece and its line on the plan; two of each where it stands on both sides.

    `note` is told what was done to a mesh that may be simplified.
    """
    mesh, plan, kind = _mesh(written, read_mesh)
    if written.simplify is not None:
        found = simplified(mesh, written.name, written.simplify)
        note(found.said)
        mesh = found.mesh
    closed = len(plan) > 2
    if not written.both_sides:
        yield Cover(written.name, mesh), (area if closed else line)(written.name, kind, plan)
        return
    middle = float(plan[:, 0].mean())
    if abs(middle) < 1e-6:
        raise Misfit(("both sides",), f"'{written.name}' stands on the centre line; it has no other side.")
    for flip in (False, True):
        side = "SL" if (middle > 0) != flip else "SR"
        name = f"{written.name} {side}"
        points = plan * [-1.0, 1.0] if flip else plan
        yield Cover(name, mesh.mirrored_x() if flip else mesh), (area if closed else line)(name, kind, points)


def _mesh(written: SceneryPiece, read_mesh: MeshReader) -> tuple[Mesh, FloatArray, str]:
    bar = written.rail or written.wall
    if bar is not None:
        mesh, plan = _bar(bar)
        return mesh, plan, "rail" if written.rail is not None else "wall"
    sheet = written.flat or written.leg or written.border
    if sheet is not None:
        mesh, height, kind = shapes.rectangle(sheet.width, sheet.height), sheet.height, "masking"
        plan = np.array([[-sheet.width / 2, 0.0], [sheet.width / 2, 0.0]])
    elif written.column is not None:
        mesh, height, kind = (
            shapes.cylinder(written.column.radius, written.column.height),
            written.column.height,
            "column",
        )
        plan = bearing_points((0.0, 0.0), written.column.radius, np.arange(48) * 2 * np.pi / 48)
    elif written.box is not None:
        size = written.box
        mesh, height, kind = shapes.box(size.width, size.depth, size.height), size.height, "box"
        w, d = size.width / 2, size.depth / 2
        plan = np.array([[-w, -d], [w, -d], [w, d], [-w, d]])
    else:
        assert written.mesh is not None
        own = read_mesh(written.mesh.file)
        if not len(own.faces):
            raise Misfit(("mesh",), f"The mesh '{written.mesh.file}' has no faces.")
        scaled = own.vertices * written.mesh.scale
        if written.mesh_up == "y":
            scaled = np.ascontiguousarray(scaled[:, [0, 2, 1]] * [1.0, -1.0, 1.0])
        mesh, height, kind = Mesh(scaled, own.faces), 0.0, "box"
        (x0, y0, _), (x1, y1, _) = mesh.bounds
        plan = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    turn = turned(written.facing)
    at = np.array(written.at)
    # The foot is at `at` before it is turned, so that a raked flat turns about its foot.
    lifted = mesh.vertices + np.array([0.0, 0.0, height / 2])
    flat_plan = np.column_stack([plan, np.zeros(len(plan))]) @ turn.T + at
    return Mesh(lifted @ turn.T + at, mesh.faces), flat_plan[:, :2], kind


def _bar(bar: RailSize) -> tuple[Mesh, FloatArray]:
    start, end = np.array(bar.start), np.array(bar.to)
    along = (end - start) / np.linalg.norm(end - start)
    right = np.array([along[1], -along[0]]) * bar.thickness / 2
    ends = np.array([start, end])
    top = bar.floor + bar.height
    low = bar.floor if bar.solid else max(bar.floor, top - bar.thickness)
    return strip(ends + right, ends - right, low, top), ends
