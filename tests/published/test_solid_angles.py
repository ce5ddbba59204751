"""Solid angles in closed form, through the whole path from scene file to report.

disc on axis: 2 pi (1 - h / sqrt(h2 + r2)); rectangle on axis: 4 atan(ab / (2 d sqrt(4 d2 + a2 + b2))); Van Oosterom &
Strackee 1983, IEEE Trans. Biomed. Eng. 30(2):125. Tolerance of the issue: 0.5 %.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from sightline.geometry.solid_angle import disc_of, triangle
from tests.conftest import leak_of_scene

CASES = [
    ("disc: {radius: 1 m}", 1.0, 1.8403023690),
    ("disc: {radius: 1 m}", 2.0, 0.6633335223),
    ("disc: {radius: 5 cm}", 10.0, 7.853834375e-5),
    ("rectangle: {width: 1 m, height: 1 m}", 1.0, 0.8054316832),
    ("rectangle: {width: 2 m, height: 2 m}", 1.0, 2 * math.pi / 3),
    ("rectangle: {width: 40 cm, height: 50 cm}", 10.0, 1.998975621e-3),
]


@pytest.mark.parametrize(("shape", "distance_m", "expected_sr"), CASES)
def test_solid_angle_of_a_plain_shape(shape: str, distance_m: float, expected_sr: float) -> None:
    scene = f"""
        secrets: [{{name: target, {shape}}}]
        eyes: [{{id: E1, at: [0 m, -{distance_m} m, 0 m]}}]
    """
    leak = leak_of_scene(scene)
    assert leak["solid_angle_sr"] == pytest.approx(expected_sr, rel=0.005)
    assert leak["visible_fraction"] == pytest.approx(1.0)


def test_sphere_is_a_cone_of_thirty_degrees() -> None:
    """Sphere r = 1 at d = 2 fills the cone of half angle 30 deg: 2 pi (1 - cos 30) = 0.8417872145 sr."""
    scene = """
        detail: 2 cm
        secrets: [{name: target, sphere: {radius: 1 m}}]
        eyes: [{id: E1, at: [0 m, -2 m, 0 m]}]
    """
    # A split icosahedron with the sphere's area is a little larger than it at the silhouette.
    assert leak_of_scene(scene)["solid_angle_sr"] == pytest.approx(0.8417872145, rel=0.02)


def test_triangle_formula_against_an_octant_and_a_tetrahedron() -> None:
    """(1,0,0),(0,1,0),(0,0,1) -> pi/2; a face of the regular tetrahedron from its centre -> pi."""
    octant = np.eye(3)[None]
    face = np.array([[[1, 1, 1], [1, -1, -1], [-1, 1, -1]]], dtype=float)
    origin = np.zeros((1, 3))
    assert triangle(origin, octant)[0] == pytest.approx(math.pi / 2)
    assert triangle(origin, face)[0] == pytest.approx(math.pi)


def test_angular_size_is_the_disc_of_equal_solid_angle() -> None:
    """A disc of radius r at h has half angle atan(r/h): 90 deg across for r = h."""
    assert disc_of(np.array([1.8403023690]))[0] == pytest.approx(90 * 60, rel=1e-6)
    assert disc_of(np.array([7.853834375e-5]))[0] == pytest.approx(2 * math.degrees(math.atan(0.005)) * 60, rel=1e-4)
