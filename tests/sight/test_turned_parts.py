"""Closed meshes of several parts, some of them inside out: what is inside is told of each part by itself.

A patch that is wrongly taken to be inside is dropped, and a secret in plain view would be called hidden.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.mesh import Mesh
from sightline.sight.rays import Solid
from tests.conftest import report_of
from tests.sight.meshes import shifted, write_mesh


def cube(size_m: float, out: bool = True) -> Mesh:
    mesh = shapes.box(size_m, size_m, size_m)
    return mesh if out else mesh.flipped()


# In a cube of 0.2 m, between it and one of 0.4 m, and between that and one of 0.6 m, all about the origin; beside them.
PLACES = np.array([[0.0, 0.0, 0.0], [0.15, 0.01, 0.02], [0.25, 0.01, 0.02], [0.35, 0.01, 0.02]])


@pytest.mark.parametrize(
    ("parts", "inside"),
    [
        # A wall round a hollow, however the file as a whole is wound.
        ([cube(0.4), cube(0.2, False)], [False, True, False, False]),
        ([cube(0.4, False), cube(0.2)], [False, True, False, False]),
        # One body in another, wound alike: inside both. Between them the front of the inner one is met, which is doubt.
        ([cube(0.4), cube(0.2)], [True, False, False, False]),
        ([cube(0.4, False), cube(0.2, False)], [True, False, False, False]),
        # A body in a hollow is one whichever way it is wound.
        ([cube(0.6), cube(0.4, False), cube(0.2)], [True, False, True, False]),
        ([cube(0.2, False), cube(0.6), cube(0.4, False)], [True, False, True, False]),
        ([cube(0.6, False), cube(0.4), cube(0.2)], [True, False, True, False]),
    ],
)
def test_parts_in_parts(parts: list[Mesh], inside: list[bool]) -> None:
    assert Solid(Mesh.joined(parts), np.zeros(3)).holds(PLACES).tolist() == inside


@pytest.mark.parametrize("larger_m", [0.3, 0.8])
@pytest.mark.parametrize("gap_m", [0.0, 0.5])
@pytest.mark.parametrize("first", [True, False])
def test_parts_beside_each_other(larger_m: float, gap_m: float, first: bool) -> None:
    """A cube and one beside it, apart or touching, one of them inside out, be it the smaller or the larger."""
    side = 0.2 + gap_m + larger_m / 2
    both = Mesh.joined([cube(0.4, first), shifted(cube(larger_m, not first), side, 0.0, 0.0)])
    points = np.array([[0.01, 0.02, 0.03], [side, 0.01, 0.02], [0.01, 0.02, 0.22], [0.21, 0.0, 0.199 + larger_m / 2]])
    # The last two are above the first cube and above the edge of the other, whose bounds together reach there.
    points[3, 2] = larger_m / 2 + 0.01
    assert Solid(both, np.zeros(3)).holds(points).tolist() == [True, True, False, False]


def test_a_shelf_let_into_the_walls_is_no_hollow_of_them() -> None:
    """Its corners are all within the walls of an open tray, and it is inside out: what lies between two of them is
    outside, though every ray from there meets the tray or a shelf."""
    tray = Mesh.from_manifold(
        shapes.box(0.5, 0.5, 0.5).manifold() - shapes.box(0.4, 0.5, 0.4).manifold().translate((0, -0.05, 0))
    )
    shelf = shapes.box(0.46, 0.4, 0.02)
    for turned in (shelf, shelf.flipped()):
        low, high = (shifted(turned, 0.0, 0.0, z) for z in (-0.03, 0.03))
        solid = Solid(Mesh.joined([tray, low, high]), np.zeros(3))
        points = np.array([[0.0, 0.0, 0.0], [0.1, 0.1, 0.01], [0.01, 0.02, 0.031], [0.0, 0.1, -0.15]])
        assert solid.holds(points).tolist() == [False, False, True, False]


def test_a_part_that_is_inside_out_buries_nothing_beside_it(tmp_path: Path) -> None:
    """A tray open to the front, inside out, in one file with a block: what lies in the tray is in plain view.

    By the volume of both together the tray's hollow would count as inside. The arm, 3 cm of radius, is all out of it.
    """
    walls = shapes.box(0.5, 0.5, 0.5).manifold() - shapes.box(0.46, 0.5, 0.46).manifold().translate((0, -0.02, 0))
    tray = Mesh.from_manifold(walls)
    block = shapes.box(2.0, 1.0, 0.7)
    reports = []
    for crate in (tray, Mesh(tray.vertices, tray.faces).flipped()):
        write_mesh(tmp_path / "crate.obj", Mesh.joined([crate, Mesh(block.vertices - [0, 0, 0.7], block.faces)]))
        scene = "covers: [{name: crate, mesh: crate.obj, at: [0 m, 0 m, 1.2 m]}]\n"
        scene += "secrets: [{name: arm, sphere: {radius: 3 cm}, at: [0.1 m, 0.15 m, 1.2 m]}]\n"
        reports.append(report_of(scene + "eyes: [{id: E, at: [0 m, -5 m, 1.3 m]}]\n", tmp_path))
    for report in reports:
        assert report["secrets"]["arm"]["patches_inside_solids"] == 0
        assert report["eyes"][0]["secrets"]["arm"]["verdict"] == "seen"
    assert reports[0]["eyes"] == reports[1]["eyes"]
