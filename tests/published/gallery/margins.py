"""How far an eye is from seeing something: the angle at the secret between the eye and the nearest edge."""

from __future__ import annotations

import math

from tests.published.gallery.case import Case, Turning, cover, covers, eye, rectangle, seen_by, target
from tests.published.gallery.covers import ring

DEG = "margin (deg)"
FOUND = "edges are followed to a tenth of a degree; the secret is 2 mm wide"
SPOT = target(rectangle(0.002, 0.002))
PLATE_X = 0.5


def at_bearing(degrees: float, up_deg: float = 0.0, far_m: float = 5.0) -> str:
    b, e = math.radians(degrees), math.radians(up_deg)
    return eye(far_m * math.cos(e) * math.sin(b), -far_m * math.cos(e) * math.cos(b), far_m * math.sin(e))


HALF_PLANE = covers(cover(rectangle(40, 40), (-20 + 0.3, -1, 0)))
RIM = math.degrees(math.atan(0.2))

MARGINS = (
    Case(
        "edge of a half plane", DEG, SPOT + HALF_PLANE + seen_by(at_bearing(math.degrees(math.atan(0.3)) - 10)),
        Turning("E1", (1, 0, 0)), 10.0, "atan(x / d) - bearing", 0.5, FOUND,
    ),
    Case(
        "edge of a half plane from above", DEG, SPOT + covers(cover(rectangle(40, 40), (-20, -1, 0))) + seen_by(at_bearing(-12, 35)),
        Turning("E1", (1, 0, 0)), math.degrees(math.asin(math.cos(math.radians(35)) * math.sin(math.radians(12)))),
        "asin(cos e sin b)", 0.5, FOUND,
    ),
    Case(
        "nearer edge of a plate", DEG, SPOT + covers(cover(rectangle(2 * PLATE_X, 4), (0, -1, 0))) + seen_by(at_bearing(8)),
        Turning("E1", (1, 0, 0)), math.degrees(math.atan(PLATE_X)) - 8, "atan(w / 2 d) - bearing", 0.5, FOUND,
    ),
    Case(
        "rim of a round hole", DEG, SPOT + "covers: [{name: wall, mesh: wall.obj, at: [0 m, -1 m, 0 m]}]\n" + seen_by(at_bearing(RIM + 5)),
        Turning("E1", (-1, 0, 0)), 5.0, "bearing - atan(r / d)", 0.5, FOUND, {"wall.obj": ring(0.2, 30)},
    ),
    Case(
        "turning to the edge of its own sheet", DEG, SPOT + seen_by(at_bearing(100)),
        Turning("E1", (0, -1, 0)), 10.0, "a sheet shows from 90 deg on", 0.5, FOUND,
    ),
    Case(
        "shut in all round", DEG, SPOT + "covers: [{name: shell, sphere: {radius: 20 cm}}]\n" + seen_by(at_bearing(0)),
        Turning("E1", (1, 0, 0)), 180.0, "nothing uncovers it", 0.0, "by definition",
    ),
)  # fmt: skip
