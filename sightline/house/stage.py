"""The stage: its outline in plan, its edge as something that hides, the proscenium wall."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.ground import bearing_points
from sightline.house.outline import Outline, area, line
from sightline.house.solids import box_between, prism
from sightline.scene.setting import Stage

_ARC_POINTS = 33


def front_edge(stage: Stage) -> FloatArray:
    """The downstage edge (n, 2) from stage right to stage left, at most as far as `-apron`."""
    half = stage.front_width_m / 2
    if stage.edge_radius is None:
        return np.array([[-half, -stage.apron], [half, -stage.apron]])
    reach = np.arcsin(half / stage.edge_radius)
    centre = (0.0, stage.edge_radius - stage.apron)
    return bearing_points(centre, stage.edge_radius, np.linspace(-reach, reach, _ARC_POINTS))


def outline_m(stage: Stage) -> FloatArray | None:
    """The performing floor in plan (n, 2), counter-clockwise from above, or None for a floor without bounds."""
    if stage.radius is not None:
        return bearing_points((0.0, 0.0), stage.radius, np.arange(96) * 2 * np.pi / 96)
    if stage.width is None or stage.depth is None:
        return None
    half = stage.width / 2
    if stage.kind in ("floor", "round"):
        deep = stage.depth / 2
        return np.array([[-half, -deep], [half, -deep], [half, deep], [-half, deep]])
    back = np.array([[half, stage.depth], [-half, stage.depth]])
    if stage.apron == 0:
        return np.vstack([[[-half, 0.0], [half, 0.0]], back])
    front = front_edge(stage)
    # Where the apron is as wide as the stage the corners at the plaster line would be doubled.
    wings = [[-half, 0.0]], [[-stage.front_width_m / 2, 0.0]], front, [[stage.front_width_m / 2, 0.0]], [[half, 0.0]]
    points = np.vstack([*wings, back])
    keep = np.any(np.abs(points - np.roll(points, 1, axis=0)) > 1e-9, axis=1)
    return points[keep]


def covers(stage: Stage) -> list[Cover]:
    """The raised floor down to the auditorium, and the proscenium wall."""
    out = []
    if stage.height > 0 and (body := _body(stage)) is not None:
        out.append(Cover("stage", body))
    if stage.proscenium is not None:
        out.append(Cover("proscenium", _proscenium(stage)))
    return out


def _body(stage: Stage) -> Mesh | None:
    points = outline_m(stage)
    if points is None:
        return None
    if stage.kind == "round" or stage.apron == 0 or stage.kind == "floor":
        return prism(points, -stage.height, 0.0)
    # Stage and apron are convex each, together they need not be.
    half, deep = stage.width, stage.depth
    assert half is not None
    assert deep is not None
    back = box_between([-half / 2, 0.0, -stage.height], [half / 2, deep, 0.0])
    wide = stage.front_width_m / 2
    apron = np.vstack([front_edge(stage), [[wide, 0.0], [-wide, 0.0]]])
    keep = np.any(np.abs(apron - np.roll(apron, 1, axis=0)) > 1e-9, axis=1)
    return Mesh.joined([back, prism(apron[keep], -stage.height, 0.0)])


def wall_width_m(stage: Stage) -> float:
    """Width of the proscenium wall: as written, or else 4 m to either side (common practice, no source)."""
    assert stage.proscenium is not None
    return stage.proscenium.wall or stage.proscenium.opening + 8.0


def _proscenium(stage: Stage) -> Mesh:
    arch = stage.proscenium
    assert arch is not None
    half, wide, top = arch.opening / 2, wall_width_m(stage) / 2, arch.height + arch.header
    parts = [
        box_between([-wide, -arch.thickness, -stage.height], [-half, 0.0, top]),
        box_between([half, -arch.thickness, -stage.height], [wide, 0.0, top]),
        box_between([-half, -arch.thickness, arch.height], [half, 0.0, top]),
    ]
    return Mesh.joined(parts)


def outlines(stage: Stage) -> list[Outline]:
    out = []
    points = outline_m(stage)
    if points is not None:
        out.append(area("stage", "stage edge", points))
    reach = 2.0 if points is None else float(np.abs(points[:, 0]).max())
    front = -2.0 if points is None else float(points[:, 1].min())
    back = 2.0 if points is None else float(points[:, 1].max())
    out.append(line("centre line", "centre line", [[0.0, front], [0.0, back]]))
    if stage.kind in ("proscenium", "thrust"):
        out.append(line("plaster line", "plaster line", [[-reach, 0.0], [reach, 0.0]]))
    if (arch := stage.proscenium) is not None:
        half, wide = arch.opening / 2, wall_width_m(stage) / 2
        for side, name in ((-1.0, "SR"), (1.0, "SL")):
            near, far = side * half, side * wide
            corners = [[near, -arch.thickness], [far, -arch.thickness], [far, 0.0], [near, 0.0]]
            out.append(area(f"proscenium {name}", "proscenium", corners))
    return out
