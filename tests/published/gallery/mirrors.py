"""Plane mirrors: the image lies as far behind as the thing before (Euclid, Catoptrics); the mirror is its window."""

from __future__ import annotations

import math

from tests.published.gallery.case import (
    EXACT,
    FACETS,
    GRID,
    Case,
    cover,
    covers,
    disc,
    eye,
    fraction,
    rectangle,
    seen_by,
    solid_angle,
    target,
)
from tests.published.gallery.sizes import SHARE, SR

# The secret turns its back on the house, its front to a mirror 2 m upstage of it; the eye is 4 m before the mirror, and
# so far up that it looks over the secret's own edge.
BACK = ", facing: full back"
EYE_UP_M = 4.0
MIDDLE_UP_M = EYE_UP_M * 2 / 6


def hung(width_m: float, height_m: float = 1.6) -> str:
    place = f"[0 m, 2 m, {MIDDLE_UP_M:.9f} m]"
    return f"venue: {{mirrors: [{{name: glass, {rectangle(width_m, height_m)}, at: {place}, facing: full front}}]}}\n"


SIGHT = seen_by(eye(0, -2, EYE_UP_M))
WIDE = target(rectangle(0.6, 0.2), more=BACK)
# The way in the mirror of a thing 4 m from the image's plane and 4 m aside.
FAR_M = math.hypot(6.0, EYE_UP_M)

MIRRORS = (
    Case(
        "disc seen in a mirror", SR, target(disc(0.1), more=BACK) + hung(1.0) + SIGHT, solid_angle,
        math.pi * 0.1**2 * 6.0 / FAR_M**3, "pi r2 cos t / d2 from the eye's image", 2e-6, FACETS,
    ),
    Case(
        "narrow mirror as a window", SHARE, WIDE + hung(0.2) + SIGHT, fraction, 0.2 * 6 / 4 / 0.6,
        "a window of width w at d1 shows w d2 / d1 at d2", 0.02, GRID,
    ),
    Case(
        "post before the eye, on the second leg", SHARE,
        WIDE + hung(2.0) + covers(cover(rectangle(0.04, 1.0), (0, -1, EYE_UP_M - MIDDLE_UP_M / 2), "post")) + SIGHT, fraction,
        1 - 0.04 * 6 / 1 / 0.6, "a post of width w, 1 m along a way of 6 m, hides 6 w", 0.02, GRID,
    ),
    Case(
        "post before the secret, on the first leg", SHARE,
        WIDE + hung(2.0) + covers(cover(rectangle(0.2, 1.0), (0, 1, MIDDLE_UP_M / 2), "post")) + SIGHT, fraction,
        1 - 0.2 * 6 / 5 / 0.6, "a post of width w, 5 m along a way of 6 m, hides 6 w / 5", 0.02, GRID,
    ),
    Case(
        "back of a mirror", SHARE,
        WIDE + hung(2.0).replace("full front", "full back") + SIGHT, fraction, 0.0, "a mirror shows nothing in its back", 0.0, EXACT,
    ),
)  # fmt: skip
