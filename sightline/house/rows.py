"""The C-value of a row, and the row heights that keep it.

D is the horizontal distance from the FRONT spectator's eye to the focus and R that eye's height above the focus;
the rear eye is at (D + T, R + N). The relation is C = D (N + R) / (D + T) - R: the height at which the rear eye's
line to the focus passes over the front eye (plus.maths.org, "Arsenal Collection: Stadium Sightline"; P. Shepherd,
University of Bath, worksheet 2012). EN 13200-1:2019, which asks for it in stadiums, says that it does not apply to
theatres: there the C-value is borrowed, not required.
"""

from __future__ import annotations

import math

import numpy as np

from sightline.geometry.frame import FloatArray

# What a C-value means: P. Shepherd, University of Bath, worksheet 2012. Other authors draw other bands.
C_BANDS_M = ((0.150, "good even over hats"), (0.120, "optimal"), (0.090, "good with the head tilted back"))
C_LEAST_M = 0.060
C_LEAST_WORDS = "look between heads"


def c_value(distance_m: float, height_m: float, tread_m: float, riser_m: float) -> float:
    """Clearance, m, of the rear eye's line to the focus over the front eye; negative when that eye is in the way.

    `distance_m` (D) and `height_m` (R, may be negative) belong to the front eye; `tread_m` (T) and `riser_m` (N)
    lead to the rear one. ValueError for a distance or tread that is not more than nothing.
    """
    _check(distance_m, tread_m)
    return distance_m * (riser_m + height_m) / (distance_m + tread_m) - height_m


def riser_for(c_m: float, distance_m: float, height_m: float, tread_m: float) -> float:
    """The riser N, m, that gives the clearance `c_m`: N = (R + C) (D + T) / D - R."""
    _check(distance_m, tread_m)
    return (height_m + c_m) * (distance_m + tread_m) / distance_m - height_m


def row_heights(
    first_height_m: float, first_distance_m: float, tread_m: float, c_m: float, rows: int, *, descend: bool = True
) -> FloatArray:
    """Eye heights (rows,) above the focus, m, each row having the clearance `c_m` over the one before.

    With `descend=False` no row is put lower than the one before it; its clearance is then larger.
    """
    heights = np.empty(rows)
    height, distance = first_height_m, first_distance_m
    for row in range(rows):
        heights[row] = height
        riser = riser_for(c_m, distance, height, tread_m)
        height += riser if descend else max(riser, 0.0)
        distance += tread_m
    return heights


def c_words(c_m: float) -> str:
    """The clearance in the worksheet's words."""
    for least_m, words in C_BANDS_M:
        if c_m >= least_m:
            return words
    return C_LEAST_WORDS if c_m >= C_LEAST_M else "blocked by the head in front"


def angle_below_horizontal(distance_m: float, height_m: float) -> float:
    """How far below the horizontal an eye `height_m` above the focus looks at it, radians."""
    return math.atan2(height_m, distance_m)


def _check(distance_m: float, tread_m: float) -> None:
    if not (distance_m > 0 and tread_m > 0 and math.isfinite(distance_m) and math.isfinite(tread_m)):
        raise ValueError("the distance to the focus and the tread must be more than nothing")
