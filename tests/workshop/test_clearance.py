"""Distances of meshes to walls and holes, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import box as block
from sightline.scene.prop import CarriedBox, Opening
from sightline.workshop.armway import rim_points
from sightline.workshop.clearance import clearance, plates, within_hole

BOX = CarriedBox(width=0.46, depth=0.32, height=0.30, wall=0.006)


def rod(radius: float, tilt_deg: float = 0.0, shift=(0.0, 0.0), half: float = 0.30, sides: int = 192) -> Mesh:
    """A round rod through the middle of the box's back wall, tilted in the vertical plane; vertices on the true circle."""
    turn = 2 * np.pi * np.arange(sides) / sides
    ring = np.column_stack([radius * np.cos(turn), np.zeros(sides), radius * np.sin(turn)])
    vertices = np.concatenate([ring + [0, y, 0] for y in (-half, half)])
    i = np.arange(sides)
    j = (i + 1) % sides
    faces = np.concatenate([np.column_stack([i, j, sides + j]), np.column_stack([i, sides + j, sides + i])])
    a = np.radians(tilt_deg)
    turned = vertices @ np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]]).T
    return Mesh.of(turned + [shift[0], 0.16 - 0.003, shift[1]], faces)


def back(opening: Opening):
    return next(plate for plate in plates(BOX, [opening]) if plate.name == "back")


@pytest.mark.parametrize("radius", [0.03, 0.05, 0.069])
@pytest.mark.parametrize("shift", [0.0, 0.01, -0.04])
def test_a_rod_straight_through_a_round_hole(radius, shift):
    # Closed form: hole radius less rod radius less how far it is off the middle; negative where it presses.
    found = clearance(rod(radius, shift=(shift, 0.0)), back(Opening(wall="back", diameter=0.14)))
    assert found.distance_m == pytest.approx(0.07 - radius - abs(shift), abs=5e-4)


@pytest.mark.parametrize("tilt_deg", [10, 25, 40])
def test_a_slanted_rod_through_a_round_hole(tilt_deg):
    # Closed form: the rim's nearest points lie R cos(a) - (t/2) sin(a) from the rod's middle line.
    a, radius = np.radians(tilt_deg), 0.035
    found = clearance(rod(radius, tilt_deg), back(Opening(wall="back", diameter=0.14)))
    assert found.distance_m == pytest.approx(0.07 * np.cos(a) - 0.003 * np.sin(a) - radius, abs=5e-4)


def test_slot_rectangle_and_other_walls():
    slot = Opening(wall="back", shape="slot", width=0.16, height=0.09)
    assert clearance(rod(0.03, shift=(0.02, 0.0)), back(slot)).distance_m == pytest.approx(0.015, abs=5e-4)
    square = Opening(wall="back", shape="rectangle", width=0.1, height=0.2)
    assert clearance(rod(0.03, shift=(0.01, 0.0)), back(square)).distance_m == pytest.approx(0.01, abs=5e-4)
    small = block(0.04, 0.04, 0.04)
    at = {p.name: clearance(Mesh(small.vertices + [0.1, 0, 0], small.faces), p).distance_m for p in plates(BOX, [])}
    assert at["left"] == pytest.approx(0.23 - 0.006 - 0.12, abs=1e-4)
    assert at["right"] == pytest.approx(0.23 - 0.006 + 0.08, abs=1e-4)
    assert at["top"] == pytest.approx(0.15 - 0.006 - 0.02, abs=1e-4)
    # Outside, past the wall's edge: straight to that edge.
    over = clearance(Mesh(small.vertices + [0.0, 0.18, 0.22], small.faces), back(slot))
    assert over.distance_m == pytest.approx(0.05, abs=1e-3)


@pytest.mark.parametrize(
    "opening",
    [Opening(wall="back", diameter=0.1), Opening(wall="back", shape="slot", width=0.2, height=0.08),
     Opening(wall="back", shape="rectangle", width=0.2, height=0.1, corner_radius=0.02)],
)  # fmt: skip
def test_rim_points_are_on_the_outline(opening):
    assert np.abs(within_hole(opening, rim_points(opening))).max() < 1e-9
