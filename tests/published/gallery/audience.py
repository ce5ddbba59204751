"""More than one eye: two eyes of one person, a head that leans, rows and raised phones.

Umbra w + (w - s)(d2 - d1) / d1 and penumbra s (d2 - d1) / d1 of an occluder w at d1 for eyes s apart: similar
triangles. C-value: plus.maths.org "Arsenal Collection: Stadium Sightline"; P. Shepherd, University of Bath 2012.
"""

from __future__ import annotations

from sightline.sight.check import Finding
from sightline.sight.noticing import EYES_APART_M, LEAN_M
from tests.published.gallery.case import (
    GRID,
    Case,
    clear_fraction,
    cover,
    covers,
    eye,
    fraction,
    rectangle,
    secrets_by_eyes,
    seen_by,
    target,
)

STEP_MM = 1.0
UMBRA = "width hidden from every place (mm)"


def comb(half_mm: float, y_m: float) -> str:
    """Narrow secrets side by side, one a millimetre: how many are hidden is how wide the shadow is."""
    count = round(2 * half_mm / STEP_MM)
    each = [
        cover(rectangle(0.0002, 0.0002), ((k + 0.5) * STEP_MM / 1000 - half_mm / 1000, y_m, 0), f"s{k}")
        for k in range(count)
    ]
    return f"secrets: [{', '.join(each)}]\n"


def umbra_mm(finding: Finding) -> float:
    return secrets_by_eyes(finding, 0) * STEP_MM


def penumbra_mm(finding: Finding) -> float:
    return secrets_by_eyes(finding, 1) * STEP_MM


BOARD = covers(cover(rectangle(0.1, 2.0), (0, 0, 0)))
TWO_EYES = seen_by(eye(-0.0315, -5, 0, "left"), eye(0.0315, -5, 0, "right"))
# The far end of either lean, half the eyes' distance outward.
SPREAD_M = EYES_APART_M + 2 * LEAN_M

# Front eye at D from the focus and R above it; the row behind T farther and N higher.
D, T, R, N = 10.0, 0.8, 2.0, 0.30
EDGE_M = 0.15


def c_value_mm(finding: Finding) -> float:
    """Clearance over the front eye, from how high the shadow of an edge EDGE_M over it falls at the focus."""
    shadow_m = 0.5 - fraction(finding)
    return 1000 * (EDGE_M - shadow_m * T / (D + T))


HEADS_M, PHONE_M = 1.65, 2.1

AUDIENCE = (
    Case(
        "umbra for two eyes", UMBRA, comb(70, 1.0) + BOARD + TWO_EYES, umbra_mm, 107.4,
        "w + (w - s)(d2 - d1) / d1, s = 63 mm, w = 100 mm, 5 and 6 m", 1.0, "one secret a millimetre",
    ),
    Case(
        "penumbra for two eyes", "width seen by one eye only, both sides (mm)", comb(70, 1.0) + BOARD + TWO_EYES, penumbra_mm,
        2 * 12.6, "2 s (d2 - d1) / d1", 2.0, "one secret a millimetre, two sides",
    ),
    Case(
        "umbra for a person who leans", UMBRA, comb(60, 0.5) + BOARD + seen_by(eye(0, -5, 0, "E1", "seated")), umbra_mm,
        100 + (100 - 1000 * SPREAD_M) * 0.5 / 5, "w + (w - s)(d2 - d1) / d1, s = 63 + 2 x 50 mm of lean", 1.0,
        "one secret a millimetre",
    ),
    Case(
        "C-value of a raked row", "C (mm)",
        target(rectangle(0.3, 1.0), (0, 0, 0)) + covers(cover(rectangle(2, 1), (0, -D, R + EDGE_M - 0.5)))
        + seen_by(eye(0, -(D + T), R + N)),
        c_value_mm, 1000 * (D * (N + R) / (D + T) - R), "C = D (N + R) / (D + T) - R", 1.5,
        GRID + "; 20 mm at the focus are 1.5 mm at the row",
    ),
    Case(
        "raised phone over a row of heads", "visible fraction",
        target(rectangle(0.3, 1.6), (0, 0, 0.8)) + covers(cover(rectangle(6, HEADS_M), (0, -2.5, HEADS_M / 2)))
        + seen_by(eye(0, -4.0, PHONE_M, "E1", "phone")),
        fraction, (1.6 - (PHONE_M + (HEADS_M - PHONE_M) * 4.0 / 1.5)) / 1.6, "e + (y1 - e) x2 / x1 = 0.90 m", 0.02, GRID,
    ),
    Case(
        "must-see over a row of heads", "clear fraction",
        "must see: [{name: owl, rectangle: {width: 30 cm, height: 80 cm}, at: [0 m, 0 m, 1.2 m]}]\n"
        "secrets: [{name: target, disc: {radius: 1 cm}, at: [0 m, 5 m, 0 m]}]\n"
        + covers(cover(rectangle(6, 1.3), (0, -3, 0.65))) + seen_by(eye(0, -5, 1.2 + 0.1)),
        clear_fraction, 0.3 / 0.8, "e + (y1 - e) x2 / x1 = 1.30 m", 0.03, "600 patches stand for a must-see",
    ),
)  # fmt: skip
