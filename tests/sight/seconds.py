"""What a second opinion takes an eye to notice, written anew from design.md section 5 and the sources named there."""

from __future__ import annotations

import math

import numpy as np

from sightline.house.eyes import Eye
from sightline.moment import Moment, Secret
from tests.sight.brute import Bools, Points
from tests.sight.spots import LIFT_M, Spots

# Spots in arcmin, lines in arcsec, and how long a line must be in arcmin; cameras go by their pixels.
POINT_SPOT, PEOPLE_SPOT, LINE_ARCSEC, LINE_RUN_ARCMIN, LEAST_CONTRAST = 1.0, 2.0, 0.5, 4.0, 0.02
SWAYS = ("seated", "standing", "child", "floor child", "wheelchair")
ASIDE_M, UP_M = 0.063 / 2 + 0.05, 0.05


def heads(moment: Moment) -> list[Points]:
    """Each place (e, 3) where a head may be: at rest, an eye and a lean to either side, leaned up and down."""
    rest = np.array([eye.position_m for eye in moment.eyes])
    moving = np.array([eye.kind in SWAYS for eye in moment.eyes], dtype=float)[:, None]
    if not moving.any():
        return [rest]
    to = moment.focus_m - rest
    right = np.column_stack([to[:, 1], -to[:, 0], 0 * to[:, 0]]) / np.hypot(to[:, 0], to[:, 1])[:, None]
    up = np.array([0.0, 0.0, UP_M])
    return [rest, *(rest + sign * moving * step for step in (ASIDE_M * right, up) for sign in (1, -1))]


def threshold(eye: Eye) -> float:
    """The least size in arcmin that an eye notices; of a camera two pixels, and nothing where it is not known."""
    if eye.kind in ("phone", "camera"):
        camera = eye.camera
        if camera is None or not camera.fov_rad or not camera.pixels:
            return 0.0
        return 2.0 * math.degrees(2.0 * math.tan(camera.fov_rad / 2.0) / camera.pixels) * 60.0
    return POINT_SPOT if eye.kind == "point" else PEOPLE_SPOT


def noticed(solid_angle_sr: float, contrast: float) -> float:
    """Diameter (arcmin) of the disc of that solid angle, times the root of its contrast."""
    half = math.acos(max(-1.0, 1.0 - solid_angle_sr / (2.0 * math.pi)))
    size = 2.0 * (half if half > 1e-3 else math.sqrt(solid_angle_sr / math.pi))
    return math.degrees(size) * 60.0 * math.sqrt(max(contrast, LEAST_CONTRAST))


def line_verdict(secret: Secret, spots: Spots, shown: Bools, seat: Points, eye: Eye) -> int:
    """Of a seam of which samples (n,) are shown to an eye: the longest run by its angle, judged with its width."""
    assert spots.lengths is not None
    away = np.linalg.norm(spots.base + LIFT_M * spots.normals - seat, axis=1)
    angles = np.degrees(spots.lengths / away) * 60.0
    if spots.ring and not shown.all():
        turn = -int(np.flatnonzero(~shown)[0])
        shown, angles, away = np.roll(shown, turn), np.roll(angles, turn), np.roll(away, turn)
    runs = np.split(np.flatnonzero(shown), np.flatnonzero(np.diff(np.flatnonzero(shown)) > 1) + 1)
    run = max(float(angles[part].sum()) for part in runs)
    width = float(np.degrees(spots.width_m / away[shown]).max() * 60.0)
    contrast = max(secret.contrast, LEAST_CONTRAST)
    least = threshold(eye)
    if run >= LINE_RUN_ARCMIN:
        least_arcsec = least * 3.0 if eye.kind in ("phone", "camera") else LINE_ARCSEC
        return 2 if contrast * width * 60.0 >= least_arcsec else 1
    return 2 if 2.0 * math.sqrt(run * width / math.pi) * math.sqrt(contrast) >= least else 1
