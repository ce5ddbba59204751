"""Meshes of venues with fewer triangles: never larger, little smaller, and said."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from sightline.errors import SightlineError
from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import box, cylinder, sphere
from sightline.house.simplify import simplified
from tests.house.venues import venue_of


def bumpy() -> Mesh:
    return sphere(2.0, 5)


def column() -> Mesh:
    return cylinder(0.5, 3.0)


def dented() -> Mesh:
    """A ball with a smaller ball taken out: corners kept in the hollow would stick out of it."""
    return Mesh.from_manifold(bumpy().manifold() - sphere(1.2, 5).manifold().translate((1.6, 0.0, 0.0)))


def ridged() -> Mesh:
    """A column with flutes, hollow and edge by turns."""
    turn = np.linspace(0, 2 * np.pi, 240, endpoint=False)
    radius = 0.5 + 0.01 * np.cos(24 * turn)
    ring = np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])
    from manifold3d import CrossSection, Manifold

    return Mesh.from_manifold(Manifold.extrude(CrossSection([ring]), 3.0, n_divisions=20))


@pytest.mark.parametrize(("make", "tolerance_m"), [(bumpy, 0.02), (dented, 0.03), (ridged, 0.03), (column, 0.02)])
def test_a_simplified_cover_is_never_larger(make: Callable[[], Mesh], tolerance_m: float) -> None:
    mesh = make()
    found = simplified(mesh, "lump", tolerance_m)
    assert len(found.mesh.faces) < len(mesh.faces)
    before, after = mesh.manifold(), found.mesh.manifold()
    assert abs((after - before).volume()) <= 1e-9 * mesh.area_m2
    # Smaller by no more than the tolerance everywhere: what is lost is at most so thick a skin.
    assert 0 < (before - after).volume() <= tolerance_m * mesh.area_m2
    assert "nowhere larger" in found.said
    assert f"{tolerance_m * 1000:g} mm" in found.said


@pytest.mark.parametrize(("make", "tolerance_m"), [(bumpy, 0.02), (dented, 0.03), (ridged, 0.03)])
def test_the_simplified_cover_is_as_near_as_said(make: Callable[[], Mesh], tolerance_m: float) -> None:
    """Corners of the mesh as it was, and middles of its faces, lie within the tolerance of the new surface."""
    from trimesh.triangles import closest_point

    mesh = make()
    found = simplified(mesh, "lump", tolerance_m).mesh
    middles = mesh.corners.mean(axis=1)
    points = np.vstack([mesh.vertices[:: len(mesh.vertices) // 100], middles[:: len(middles) // 100]])
    worst = 0.0
    for point in points:
        nearest = closest_point(found.corners, np.repeat(point[None], len(found.faces), axis=0))  # type: ignore[no-untyped-call]
        worst = max(worst, float(np.linalg.norm(nearest - point, axis=1).min()))
    assert 0 < worst <= tolerance_m


def test_an_open_mesh_stays_whole_and_says_so() -> None:
    ball = sphere(1.0, 3)
    cut = Mesh(ball.vertices, ball.faces[10:])
    found = simplified(cut, "shell", 0.05)
    assert found.mesh is cut
    assert "not closed" in found.said


def test_what_is_simple_already_stays_whole() -> None:
    crate = box(1.0, 1.0, 1.0)
    assert simplified(crate, "crate", 0.05).mesh is crate


def test_a_venue_says_what_became_of_its_mesh() -> None:
    from sightline.house.build import build

    venue = venue_of("scenery: [{name: ball, mesh: ball.glb, at: [0 m, -3 m, 2 m], simplify: 2 cm}]")
    house = build(venue, read_file=lambda name: b"", read_mesh=lambda name: bumpy())
    assert len(house.scenery[0].mesh.faces) < len(bumpy().faces)
    assert any("'ball' is simplified from" in note for note in house.notes)
    with pytest.raises(ValueError, match="Only a mesh is simplified"):
        venue_of("scenery: [{name: a, flat: {width: 1 m, height: 1 m}, at: [0 m, 0 m, 0 m], simplify: 2 cm}]")


def test_a_glb_that_counts_y_upwards_is_set_upright(tmp_path: Path) -> None:
    """A wall 4 m wide, 3 m high and 0.2 m thick, as GLB and as OBJ, read from beside the venue."""
    import trimesh

    from sightline.staging.audience import venue_house

    wall = trimesh.creation.box((4.0, 3.0, 0.2))
    wall.export(tmp_path / "wall.glb")
    wall.export(tmp_path / "wall.obj")
    (tmp_path / "v.yaml").write_text(
        "version: 1\nname: V\nscenery:\n"
        "  - {name: glb, mesh: wall.glb, mesh up: y, at: [0 m, -3 m, 1.5 m]}\n"
        "  - {name: obj, mesh: {file: wall.obj, scale: 2}, at: [0 m, -3 m, 1.5 m], mesh up: y}\n",
        encoding="utf-8",
    )
    glb, obj = venue_house(str(tmp_path / "v.yaml"))[1].scenery
    np.testing.assert_allclose(glb.mesh.bounds, [[-2, -3.1, 0], [2, -2.9, 3]], atol=1e-6)
    np.testing.assert_allclose(np.ptp(obj.mesh.bounds, axis=0), [8, 0.4, 6], atol=1e-6)
    assert glb.mesh.closed
    assert glb.mesh.volume_m3 == pytest.approx(2.4, rel=1e-6)
    (tmp_path / "v.yaml").write_text(
        "version: 1\nscenery: [{name: a, mesh: ../wall.glb, at: [0 m, 0 m, 0 m]}]\n", encoding="utf-8"
    )
    with pytest.raises(SightlineError, match="outside"):
        venue_house(str(tmp_path / "v.yaml"))
