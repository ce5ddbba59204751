"""Seams: how much of their length shows, in how long a run, and how wide they look."""

from __future__ import annotations

import math

from tests.published.gallery.case import (
    SAMPLES,
    Case,
    cover,
    covers,
    eye,
    line_width,
    longest_run,
    rectangle,
    seam,
    seen_by,
    visible_length,
)
from tests.published.gallery.covers import slats

LENGTH, RUN = "visible length (m)", "longest run (m)"
ACROSS = seam((-0.3, 0, 0), (0.3, 0, 0))
# The floor is seen from 1.64 m up, over a box whose far top edge is 0.35 m ahead and 1.10 m up.
HIDDEN_FLOOR_M = 0.35 * 1.64 / (1.64 - 1.10)

LINES = (
    Case(
        "seam behind one slat", LENGTH, ACROSS + slats(1, 1.0, 0.1, -0.4) + seen_by(eye(0, -4)), visible_length,
        0.6 - 0.1 * 4 / 3.6, "L - w d2 / d1", 0.011, SAMPLES,
    ),
    Case(
        "seam behind five slats", LENGTH, ACROSS + slats(5, 0.1, 0.04, -1.0) + seen_by(eye(0, -8)), visible_length,
        0.6 - 5 * 0.04 * 8 / 7, "L - N w d2 / d1", 0.03, SAMPLES + ", ten edges",
    ),
    Case(
        "unbroken run of a seam past a slat", RUN,
        ACROSS + covers(cover(rectangle(0.1, 1.0), (0.09, -0.4, 0))) + seen_by(eye(0, -4)), longest_run,
        0.3 + 0.04 * 4 / 3.6, "L / 2 + x d2 / d1, x = 4 cm the slat's near edge", 0.006, SAMPLES,
    ),
    Case(
        "ring of tape round a tube", LENGTH,
        "covers: [{name: tube, cylinder: {radius: 5 cm, height: 40 cm}}]\n"
        + seam(*((0.05 * math.cos(t), 0.05 * math.sin(t), 0.0) for t in (2 * math.pi * k / 96 for k in range(97))),
               more=", on: tube")
        + seen_by(eye(0, -6)),
        visible_length, 2 * 0.05 * math.acos(0.05 / 6), "2 r arccos(r / d)", 0.011, SAMPLES,
    ),
    Case(
        "floor line hidden by a carried box", LENGTH,
        seam((0, -0.5, 0), (0, -2.0, 0))
        + "covers: [{name: box, box: {width: 60 cm, depth: 20 cm, height: 30 cm}, at: [0 m, -25 cm, 95 cm]}]\n"
        + seen_by(eye(0, 0, 1.64)),
        visible_length, 2.0 - HIDDEN_FLOOR_M, "2 - X, X = x H / (H - h) = 1.0630 m", 0.006, SAMPLES,
    ),
    *(
        Case(
            f"gap of {mm} mm at {far} m", "width (arcmin)",
            seam((-0.1, 0, 0), (0.1, 0, 0), more=f", width: {mm} mm") + seen_by(eye(0, -far)), line_width, 1.0,
            "3.438 m per mm and arcmin (acuity table; IES definition of acuity)", 2e-3,
            "the table has four digits; the seam's middle is 2.5 mm from a sample",
        )
        for mm, far in ((1, 3.438), (5, 17.189))
    ),
)  # fmt: skip
