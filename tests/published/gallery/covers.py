"""Plates, holes, slats and flaps before what is secret. Projection from the eye: similar triangles (Euclid, Optics)."""

from __future__ import annotations

import math

from sightline.sight.check import Finding
from tests.published.gallery.case import (
    FACETS,
    GRID,
    Case,
    clear_fraction,
    cover,
    covers,
    disc,
    eye,
    eyes_that_see,
    fraction,
    obj,
    rectangle,
    seen_by,
    solid_angle,
    target,
)
from tests.published.gallery.sizes import SHARE, SR, corner, disc_on_axis

SQUARE = 0.30


def ring(inner_m: float, outer_m: float, sides: int = 128) -> str:
    """A wall with a round hole: the hole's polygon has the area of the circle."""
    inner_m *= math.sqrt((2 * math.pi / sides) / math.sin(2 * math.pi / sides))
    turns = [2 * math.pi * k / sides for k in range(sides)]
    vertices = [(r * math.cos(t), 0.0, r * math.sin(t)) for r in (inner_m, outer_m) for t in turns]
    faces: list[tuple[int, ...]] = [(k, (k + 1) % sides, sides + (k + 1) % sides, sides + k) for k in range(sides)]
    return obj(vertices, faces)


def frame(hole_m: float, y_m: float) -> str:
    """Four plates that leave a square hole."""
    half, wide = hole_m / 2, 1.0
    return covers(
        cover(rectangle(2 * wide + hole_m, wide), (0, y_m, half + wide / 2), "above"),
        cover(rectangle(2 * wide + hole_m, wide), (0, y_m, -half - wide / 2), "below"),
        cover(rectangle(wide, hole_m), (half + wide / 2, y_m, 0), "left"),
        cover(rectangle(wide, hole_m), (-half - wide / 2, y_m, 0), "right"),
    )


def lens(radius_m: float, apart_m: float) -> float:
    """Area common to two circles of one radius."""
    d, r = apart_m, radius_m
    return 2 * r * r * math.acos(d / (2 * r)) - d / 2 * math.sqrt(4 * r * r - d * d)


def slats(count: int, pitch_m: float, width_m: float, y_m: float) -> str:
    first = -(count - 1) / 2 * pitch_m
    return covers(*(cover(rectangle(width_m, 1.0), (first + k * pitch_m, y_m, 0), f"slat {k}") for k in range(count)))


ROD_M = 0.6


def rod(radius_m: float = 0.03, sides: int = 24) -> str:
    """A closed rod along x whose wall has the area of a round one."""
    r = radius_m * math.pi / sides / math.sin(math.pi / sides)
    turns = [2 * math.pi * k / sides for k in range(sides)]
    vertices = [(x, r * math.cos(t), r * math.sin(t)) for x in (-ROD_M / 2, ROD_M / 2) for t in turns]
    around = [(k, (k + 1) % sides) for k in range(sides)]
    faces: list[tuple[int, ...]] = [(a, sides + a, sides + b, b) for a, b in around]
    faces += [(0, a, b) for a, b in around[1:-1]] + [(sides, sides + b, sides + a) for a, b in around[1:-1]]
    return obj(vertices, faces)


def flap(length_m: float, angle_deg: float) -> str:
    """A flap hinged at the left edge (x = -SQUARE / 2) of the secret, turned out of its plane by an angle."""
    a = math.radians(angle_deg)
    x, y = length_m / 2 * math.cos(a), -length_m / 2 * math.sin(a)
    place = (-SQUARE / 2 + x, y - 1e-4, 0.0)
    return covers(
        cover(rectangle(length_m, 1.0), place, "flap", f", facing: [{-math.sin(a):.9f}, {-math.cos(a):.9f}, 0]")
    )


def past_a_flap(length_m: float, angle_deg: float, x_m: float, far_m: float) -> float:
    """Share of the secret that the flap's tip leaves to an eye at (x, -far)."""
    a = math.radians(angle_deg)
    tip_x, tip_y = -SQUARE / 2 + length_m * math.cos(a), length_m * math.sin(a)
    edge = x_m + (tip_x - x_m) * far_m / (far_m - tip_y)
    return 1 - (edge + SQUARE / 2) / SQUARE


CELLS, VIEWERS = 4, 6


def view_factor(blocker: str) -> str:
    """The floor of a unit cube as eyes, its lid as secrets, an opaque square of half its width at mid height."""
    cell = 1 / CELLS
    lids = [
        cover(rectangle(cell, cell), ((i + 0.5) * cell, (j + 0.5) * cell, 1.0), f"lid {i} {j}", ", facing: [0, 0, -1]")
        for i in range(CELLS)
        for j in range(CELLS)
    ]
    eyes = [
        eye((i + 0.5) / VIEWERS, (j + 0.5) / VIEWERS, 0.0, f"E{i}-{j}") for i in range(VIEWERS) for j in range(VIEWERS)
    ]
    return f"{blocker}secrets: [{', '.join(lids)}]\n{seen_by(*eyes)}"


def exchange(finding: Finding) -> float:
    """Mean over the eyes of the solid angle times the cosine at the eye, over pi: the view factor of floor and lid."""
    eyes = finding.moment.eye_points()
    total = 0.0
    for found in finding.secrets.values():
        middle = found.sighting.secret.mesh.vertices.mean(axis=0)
        for place, angle in zip(eyes, found.sighting.seen.solid_angle_sr, strict=True):
            step = middle - place
            total += float(angle) * float(step[2]) / math.sqrt(float(step @ step))
    return total / math.pi / len(eyes)


def wedge_eyes() -> str:
    turns = [math.radians(2.5 + 5 * k) for k in range(72)]
    return seen_by(*(eye(5 * math.sin(t), -5 * math.cos(t), 0.0, f"E{k}") for k, t in enumerate(turns)))


OWL = (
    "must see: [{name: owl, rectangle: {width: 40 cm, height: 40 cm}}]\n"
    "secrets: [{name: target, disc: {radius: 1 cm}, at: [0 m, 5 m, 0 m]}]\n"
)
PLATE = target(rectangle(SQUARE, SQUARE))
FAR_EYE = seen_by(eye(0, -4))

COVERS = (
    Case(
        "square half covered midway", SR, PLATE + covers(cover(rectangle(1, 2), (0.5, -0.25, 0))) + seen_by(eye(0, -0.5)),
        solid_angle, 2 * corner(SQUARE / 2, SQUARE / 2, 0.5), "two of four rectangles from over their corners", 0.004, GRID,
    ),
    Case(
        "square a quarter covered midway", SR,
        PLATE + covers(cover(rectangle(1, 1), (0.5, -0.25, 0.5))) + seen_by(eye(0, -0.5)),
        solid_angle, 3 * corner(SQUARE / 2, SQUARE / 2, 0.5), "three of four rectangles from over their corners", 0.004, GRID,
    ),
    Case(
        "panel before a wider square", SHARE, PLATE + covers(cover(rectangle(0.1, 1), (0, -0.4, 0))) + FAR_EYE, fraction,
        1 - 0.1 * 4 / 3.6 / SQUARE, "a panel of width w at d1 hides w d2 / d1 at d2", 0.02, GRID,
    ),
    Case(
        "shadow line of a half plane", SHARE,
        target(rectangle(0.4, 0.4), (0, 8.4, 1.1)) + covers(cover(rectangle(6, 3), (0, 8, -0.4))) + seen_by(eye(0, 0, 1.2)),
        fraction, (1.3 - 1.095) / 0.4, "e + (y1 - e) x2 / x1 = 1.20 + (1.10 - 1.20) 8.4 / 8 = 1.095 m", 0.02, GRID,
    ),
    Case(
        "round hole in a wall, on its axis", SHARE,
        PLATE + "covers: [{name: wall, mesh: wall.obj, at: [0 m, -1 m, 0 m]}]\n" + FAR_EYE, fraction,
        math.pi * (0.09 * 4 / 3) ** 2 / SQUARE**2, "a hole of radius r at d1 shows pi (r d2 / d1)2 at d2", 0.02, GRID,
        {"wall.obj": ring(0.09, 3)},
    ),
    Case(
        "the same hole from aside", SHARE,
        PLATE + "covers: [{name: wall, mesh: wall.obj, at: [0.25 m, -1 m, 0.1 m]}]\n" + seen_by(eye(1.0, -4, 0.4)), fraction,
        math.pi * (0.09 * 4 / 3) ** 2 / SQUARE**2, "the same area from anywhere in a parallel plane", 0.02, GRID,
        {"wall.obj": ring(0.09, 3)},
    ),
    Case(
        "square hole in a wall", SHARE, PLATE + frame(0.15, -1.0) + FAR_EYE, fraction, (0.15 * 4 / 3) ** 2 / SQUARE**2,
        "a hole of width w at d1 shows w d2 / d1 at d2", 0.03, GRID,
    ),
    Case(
        "square plate round a disc that covers", SHARE, PLATE + covers(cover(disc(0.08), (0, -1, 0))) + FAR_EYE, fraction,
        1 - math.pi * (0.08 * 4 / 3) ** 2 / SQUARE**2, "1 - pi (r d2 / d1)2 / a2", 0.02, GRID,
    ),
    Case(
        "ring left by a disc before a larger one", SR,
        target(disc(0.15)) + covers(cover(disc(0.05), (0, -0.2, 0))) + seen_by(eye(0, -0.5)), solid_angle,
        disc_on_axis(0.15, 0.5) - disc_on_axis(0.05, 0.3), "2 pi (cos t1 - cos t2)", 0.006, GRID + ", " + FACETS,
    ),
    Case(
        "partial eclipse of two discs", SHARE,
        target(disc(0.12)) + covers(cover(disc(0.09), (0.09, -1, 0))) + FAR_EYE, fraction,
        1 - lens(0.12, 0.12) / (math.pi * 0.12**2), "1 - lens of two circles of one size, apart by their radius", 0.015,
        GRID + ", " + FACETS,
    ),
    Case(
        "rod behind slats", SHARE,
        target("mesh: rod.obj") + slats(5, 0.11, 0.05, -1.0) + seen_by(eye(0, -20)), fraction,
        math.acos(0.03 / 20) / math.pi * ROD_M / (ROD_M + 0.03) * (1 - 5 * 0.05 * 20 / 19 / ROD_M),
        "half the wall, less N w d2 / d1 of its length", 0.01, GRID + "; the rod's front is 3 cm nearer", {"rod.obj": rod()},
    ),
    Case(
        "flap at 45 deg", SHARE, PLATE + flap(0.2, 45) + seen_by(eye(0.3, -4)), fraction, past_a_flap(0.2, 45, 0.3, 4),
        "the tip's shadow: x + (x1 - x) d / (d - y1)", 0.02, GRID,
    ),
    Case(
        "flap at 80 deg from the other side", SHARE, PLATE + flap(0.25, 80) + seen_by(eye(-2.0, -4)), fraction,
        past_a_flap(0.25, 80, -2.0, 4), "the tip's shadow: x + (x1 - x) d / (d - y1)", 0.02, GRID,
    ),
    Case(
        "must-see behind a half plane", "clear fraction", OWL + covers(cover(rectangle(4, 4), (2 + 0.036, -0.4, 0))) + FAR_EYE,
        clear_fraction, (0.2 + 0.036 * 4 / 3.6) / 0.4, "an edge x at d1 hides from x d2 / d1 on", 0.02, GRID,
    ),
    Case(
        "opening between two walls", "eyes that see it",
        target("box: {width: 1 cm, depth: 1 cm, height: 1 cm}", detail="1 cm")
        + covers(
            cover(rectangle(6, 3), (0, 0.1, 0), "back"),
            cover(rectangle(2.4, 3), (2.2, -1.0, 0), "left", ", facing: [1, 0, 0]"),
            cover(rectangle(2.4, 3), (-2.2, -1.0, 0), "right", ", facing: [1, 0, 0]"),
        )
        + wedge_eyes(), eyes_that_see, 18, "corners at x = 2.2, y = -2.2: 90 deg of eyes 5 deg apart", 0.0, "a count",
    ),
    Case(
        "floor and lid of a cube", "view factor", view_factor(""), exchange, 0.199824896,
        "opposite faces of a unit cube (View3D manual)", 0.003, "4 x 4 secrets, 6 x 6 eyes stand for the faces",
    ),
    Case(
        "floor and lid with a square between, in a corner", "view factor",
        view_factor(covers(cover(rectangle(0.5, 0.5), (0.25, 0.25, 0.5), "square", ", facing: [0, 0, 1]"))), exchange,
        0.1498686718, "3/4 of 0.199824896 by symmetry (geometry: View3D example square-obstruction)", 0.003,
        "4 x 4 secrets, 6 x 6 eyes stand for the faces",
    ),
    Case(
        "floor and lid with a square between, in the middle", "view factor",
        view_factor(covers(cover(rectangle(0.5, 0.5), (0.5, 0.5, 0.5), "square", ", facing: [0, 0, 1]"))), exchange,
        0.0995062946, "by quadrature", 0.003, "4 x 4 secrets, 6 x 6 eyes stand for the faces",
    ),
)  # fmt: skip
