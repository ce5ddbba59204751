"""What an eye can notice of what reaches it. Every constant is named, sourced and can be overridden in the scene.

Two criteria are kept apart: a spot must be large enough to be made out; a line of contrast is detected at a
small fraction of the width at which it could be resolved. Where sources disagree the smaller figure is taken:
doubt counts as seen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

# Normal acuity resolves 1 arcmin (decimal acuity = 1 / gap in arcmin; IES definition of visual acuity, ISO 8596
# from memory). Johnson's detection criterion, one line pair on target, makes 2 arcmin (from memory).
SPOT_ARCMIN = 2.0
# A bare point of a plain scene has no body and no excuse: it notices what acuity resolves.
POINT_ARCMIN = 1.0
# A thin dark line is detected at about 0.5 arcsec (Hecht & Mintz 1939, from memory), times contrast.
LINE_ARCSEC = 0.5
# Spatial summation of a line holds once it runs this far; shorter ones are judged as spots. Common practice, no source.
LINE_RUN_ARCMIN = 4.0
# Below this contrast nothing more is believed of summation. Common practice, no source.
LEAST_CONTRAST = 0.02
# A camera shows a thing that covers two pixels (the sampling theorem).
CAMERA_PIXELS = 2.0
# Two eyes 63 mm apart (ANSUR II: 64.0 mm men, 61.7 mm women) and 50 mm of lean either way (common practice, no source).
EYES_APART_M = 0.063
LEAN_M = 0.050
# How far to the side an eye of a head that leans is from the middle of the head at rest.
HEAD_REACH_M = EYES_APART_M / 2 + LEAN_M

PEOPLE = frozenset({"seated", "standing", "child", "floor child", "wheelchair"})
CAMERAS = frozenset({"phone", "camera"})


@dataclass(frozen=True)
class Acuity:
    """The thresholds of one eye: spots in arcmin, lines in arcsec; 0 when everything that arrives is noticed."""

    spot_arcmin: float
    line_arcsec: float


def acuity(kind: str, pixel_arcmin: float | None, spot: float | None = None, line: float | None = None) -> Acuity:
    """The thresholds of an eye of `kind`. `spot` and `line` override those of people; cameras go by their pixels."""
    if kind in CAMERAS:
        size = CAMERA_PIXELS * pixel_arcmin if pixel_arcmin else 0.0
        # A line thinner than a pixel still darkens it: it counts from a tenth of a pixel (common practice, no source).
        return Acuity(size, pixel_arcmin * 6.0 if pixel_arcmin else 0.0)
    return Acuity(spot or (POINT_ARCMIN if kind == "point" else SPOT_ARCMIN), line or LINE_ARCSEC)


def spot_noticed(size_arcmin: float, contrast: float, eye: Acuity) -> bool:
    """Whether a spot of this angular size is seen. Contrast times area is constant (Ricco's law, from memory)."""
    return size_arcmin > 0 and size_arcmin * math.sqrt(max(contrast, LEAST_CONTRAST)) >= eye.spot_arcmin


def line_noticed(width_arcmin: float, run_arcmin: float, contrast: float, eye: Acuity) -> bool:
    """Whether a line is seen: contrast times width over a run long enough; a shorter one is a spot."""
    if run_arcmin <= 0:
        return False
    wide_enough = max(contrast, LEAST_CONTRAST) * width_arcmin * 60.0 >= eye.line_arcsec
    if run_arcmin >= LINE_RUN_ARCMIN:
        return wide_enough
    return spot_noticed(2.0 * math.sqrt(run_arcmin * width_arcmin / math.pi), contrast, eye)


def sways(kind: str) -> bool:
    return kind in PEOPLE
