"""How large a plain shape looks, and how much of it there is to be seen, with nothing in the way.

Solid angles: cone and cap 2 pi (1 - cos t); rectangle 4 atan(ab / (2 d sqrt(4 d2 + a2 + b2))); Van Oosterom & Strackee
1983, IEEE Trans. Biomed. Eng. 30(2):125.
"""

from __future__ import annotations

import math

from tests.published.gallery.case import (
    EXACT,
    FACETS,
    FLAT,
    GRID,
    Case,
    cover,
    covers,
    disc,
    eye,
    fraction,
    obj,
    rectangle,
    seen_by,
    solid_angle,
    target,
)

SR, SHARE = "solid angle (sr)", "visible fraction"


def disc_on_axis(radius_m: float, far_m: float) -> float:
    return 2 * math.pi * (1 - far_m / math.hypot(far_m, radius_m))


def corner(a: float, b: float, d: float) -> float:
    """Solid angle of a rectangle a x b from a distance d over one of its corners: a quarter of one seen from its axis."""
    return math.atan(a * b / (d * math.sqrt(a * a + b * b + d * d)))


def over_the_rim(radius_m: float, far_m: float) -> float:
    """Solid angle of a disc from straight over its rim: pi - 2 h K(k) / R, R2 = h2 + 4 r2, k = 2 r / R (Paxton 1959,
    Rev. Sci. Instrum. 30:254, from memory; tests/published/test_gallery.py holds it against quadrature).

    K by the arithmetic-geometric mean: K(k) = pi / (2 agm(1, sqrt(1 - k2))).
    """
    whole = math.hypot(far_m, 2 * radius_m)
    one, other = 1.0, far_m / whole
    while abs(one - other) > 1e-15:
        one, other = (one + other) / 2, math.sqrt(one * other)
    return math.pi - 2 * far_m / whole * math.pi / (2 * one)


# Quadrants of an L about the point under the eye: right of it, up and down, and left of it, up.
L_ARMS = ((0.20, 0.10), (0.20, 0.15), (0.10, 0.10))
L_SHAPE = obj(
    [(-0.1, 0, 0), (0, 0, 0), (0.2, 0, 0), (-0.1, 0, 0.1), (0, 0, 0.1), (0.2, 0, 0.1), (0, 0, -0.15), (0.2, 0, -0.15)],
    [(0, 1, 4, 3), (1, 2, 5, 4), (6, 7, 2, 1)],
)
OCTANT = obj([(0.3, 0, 0), (0, 0.3, 0), (0, 0, 0.3)], [(0, 1, 2)])

SIZES = (
    Case(
        "disc on its axis, as far as its radius", SR, target(disc(0.1)) + seen_by(eye(0, -0.1)), solid_angle,
        1.8403023690, "2 pi (1 - h / sqrt(h2 + r2)), r = h", 0.004, FACETS,
    ),
    Case(
        "disc on its axis, two radii away", SR, target(disc(0.1)) + seen_by(eye(0, -0.2)), solid_angle,
        0.6633335223, "2 pi (1 - h / sqrt(h2 + r2)), h = 2 r", 0.0015, FACETS,
    ),
    Case(
        "small disc from 10 m", SR, target(disc(0.05)) + seen_by(eye(0, -10)), solid_angle,
        7.853834375e-5, "2 pi (1 - h / sqrt(h2 + r2)), r = 5 cm", 1e-7, FACETS,
    ),
    Case(
        "disc from over its rim", SR, target(disc(0.1)) + seen_by(eye(0.1, -0.1)), solid_angle,
        over_the_rim(0.1, 0.1), "pi - 2 h K(k) / sqrt(h2 + 4 r2), Paxton 1959 (from memory, checked by quadrature)",
        0.004, FACETS,
    ),
    Case(
        "square plate on its axis", SR, target(rectangle(0.2, 0.2)) + seen_by(eye(0, -0.2)), solid_angle,
        0.8054316832, "4 atan(ab / (2 d sqrt(4 d2 + a2 + b2))), a = b = d", 8e-4, FLAT,
    ),
    Case(
        "face of a cube from its middle", SR, target(rectangle(0.2, 0.2)) + seen_by(eye(0, -0.1)), solid_angle,
        2 * math.pi / 3, "4 pi / 6", 1e-6, EXACT,
    ),
    Case(
        "rectangle from 10 m", SR, target(rectangle(0.4, 0.5)) + seen_by(eye(0, -10)), solid_angle,
        1.998975621e-3, "4 atan(ab / (2 d sqrt(4 d2 + a2 + b2))), 40 x 50 cm", 1e-7, EXACT,
    ),
    Case(
        "rectangle from over its corner", SR, target(rectangle(0.3, 0.2)) + seen_by(eye(0.15, -0.4, 0.1)), solid_angle,
        corner(0.3, 0.2, 0.4), "atan(ab / (d sqrt(a2 + b2 + d2)))", 3e-4, FLAT,
    ),
    Case(
        "rectangle from 60 deg aside", SR,
        target(rectangle(0.2, 0.2)) + seen_by(eye(math.sin(math.radians(60)), -math.cos(math.radians(60)))),
        solid_angle, 2 * (corner(math.sin(math.radians(60)) + 0.1, 0.1, 0.5) - corner(math.sin(math.radians(60)) - 0.1, 0.1, 0.5)),
        "difference of rectangles from over their corners", 2e-5, FLAT,
    ),
    Case(
        "L-shaped plate from over its inner corner", SR,
        target("mesh: l.obj") + seen_by(eye(0, -0.3)), solid_angle,
        sum(corner(a, b, 0.3) for a, b in L_ARMS), "three rectangles from over their corners", 5e-4, FLAT,
        {"l.obj": L_SHAPE},
    ),
    Case(
        "triangle across an octant from its corner", SR, target("mesh: octant.obj", more=", two sided: yes") + seen_by(eye(0, 0, 0)),
        solid_angle, math.pi / 2, "4 pi / 8", 1.6e-3, FLAT, {"octant.obj": OCTANT},
    ),
    Case(
        "ball from two radii off", SR, target("sphere: {radius: 10 cm}", detail="1 cm") + seen_by(eye(0, -0.2)), solid_angle,
        2 * math.pi * (1 - math.cos(math.radians(30))), "cone of 30 deg: 2 pi (1 - cos 30)", 0.017,
        FACETS + ", 2 % at its outline",
    ),
    Case(
        "ball from three radii off", SHARE, target("sphere: {radius: 10 cm}") + seen_by(eye(0, -0.3)),
        fraction, 1 / 3, "cap: (1 - r / d) / 2", 0.01, GRID,
    ),
    Case(
        "ball sunk into a floor but for a cap", SHARE,
        target("sphere: {radius: 10 cm}") + covers(cover("box: {width: 1 m, depth: 1 m, height: 1 m}", (0, 0, -0.45)))
        + seen_by(eye(0, 0, 9)),
        fraction, 0.25, "Archimedes, On the Sphere and Cylinder: cap of height h has h / 2 r of the area", 0.015, GRID,
    ),
    Case(
        "round rod from the side", SHARE, target("cylinder: {radius: 5 cm, height: 60 cm}") + seen_by(eye(0, -4)), fraction,
        math.acos(0.05 / 4) / math.pi * 0.6 / 0.65, "arccos(r / d) / pi of the wall, h / (h + r) of the whole", 0.01, GRID,
    ),
    Case(
        "cube square on", SHARE, target("box: {width: 20 cm, depth: 20 cm, height: 20 cm}") + seen_by(eye(0, -3)),
        fraction, 1 / 6, "one face of six", 1e-6, EXACT,
    ),
    Case(
        "cube along its diagonal", SHARE,
        target("box: {width: 20 cm, depth: 20 cm, height: 20 cm}") + seen_by(eye(2, -2, 2)),
        fraction, 1 / 2, "three faces of six", 1e-6, EXACT,
    ),
)  # fmt: skip
