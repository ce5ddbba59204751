"""The act and what stands round it as one GLB: a mesh and a material for every thing, secrets marked by both."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from sightline.geometry.mesh import Mesh
from sightline.packet.brief import Brief
from sightline.pictures import style

if TYPE_CHECKING:
    from sightline.geometry.frame import FloatArray
    from sightline.sight.rays import IndexArray

SECRET, ROUND_ABOUT = "SECRET", "setting"
# From the stage's frame (x stage left, y upstage, z up) to glTF's, y up and +z towards the audience: glTF 2.0, 3.6.
TO_GLTF = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])


def glb(brief: Brief) -> bytes:
    """The scene at its own mark in its first pose. The same scene gives the same bytes."""
    import trimesh

    library: Any = trimesh
    out = library.Scene()
    for name, mesh, colour in parts(brief):
        # Only what has area is a surface.
        if not len(mesh.faces):
            continue
        points, faces = ordered(mesh)
        solid = library.Trimesh(points @ TO_GLTF.T, faces, process=False)
        solid.visual = library.visual.TextureVisuals(material=_material(name, colour))
        out.add_geometry(solid, node_name=name, geom_name=name)
    return bytes(out.export(file_type="glb"))


def ordered(mesh: Mesh) -> tuple[FloatArray, IndexArray]:
    """Points (n, 3) and faces (m, 3) in an order of their own: solids are joined on several threads, in no fixed order."""
    points, of_vertex = np.unique(np.round(mesh.vertices, 7), axis=0, return_inverse=True)
    faces = of_vertex.reshape(-1)[mesh.faces]
    turned = np.argmin(faces, axis=1)[:, None] + np.arange(3)
    faces = np.take_along_axis(faces, turned % 3, axis=1)
    return points, faces[np.lexsort(faces.T[::-1])]


def parts(brief: Brief) -> list[tuple[str, Mesh, FloatArray]]:
    """Name, mesh and colour (3,) of everything, no name twice; the names of secrets begin with SECRET."""
    from matplotlib.colors import to_rgb

    moment, palette = brief.moment, brief.palette
    marked = np.array(to_rgb(style.MARKED))
    poses = (moment.still, moment.poses[0])
    found = [(f"{SECRET} {s.name}", s.mesh, marked) for p in poses for s in p.secrets]
    found += [(m.name, m.mesh, palette.base(m.name)) for p in poses for m in p.must_see]
    found += [(c.name, c.mesh, palette.base(c.name)) for p in poses for c in p.covers]
    found += [(f"{ROUND_ABOUT} {c.name}", c.mesh, palette.base(c.name)) for c in moment.setting]
    out: list[tuple[str, Mesh, FloatArray]] = []
    count: dict[str, int] = {}
    for name, mesh, colour in found:
        count[name] = count.get(name, 0) + 1
        out.append((name if count[name] == 1 else f"{name} {count[name]}", mesh, colour))
    return out


def _material(name: str, colour: FloatArray) -> Any:
    """Without metal: what has no such word is drawn black."""
    from trimesh.visual import material

    library: Any = material
    secret = name.startswith(SECRET)
    return library.PBRMaterial(
        name=name, baseColorFactor=[*(float(c) for c in colour), 1.0], metallicFactor=0.0, roughnessFactor=0.9,
        doubleSided=True, emissiveFactor=[0.25 * float(c) for c in colour] if secret else None,
    )  # fmt: skip
