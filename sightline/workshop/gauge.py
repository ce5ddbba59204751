"""What must go through an opening: hand and arm as published or measured, the allowances by name, the least opening."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sightline.figure.armskin import fore_flesh, upper_flesh
from sightline.figure.sheet import BodySheet
from sightline.figure.tables import ANSUR, Sex

Shape = Literal["round", "slot", "rectangle"]

# ANSUR II public data file (2012; 4082 men, 1986 women), metres: 5th, 50th, 95th percentile of breadth across the
# knuckles, thumb left out. As a circle the hand's girth would be 73 mm (men, 95th): the breadth governs.
HAND_BREADTH: dict[Sex, tuple[float, float, float]] = {"male": (0.081, 0.088, 0.096), "female": (0.072, 0.078, 0.085)}
# The same of flexed girths, 5th and 95th.
BICEPS_GIRTH: dict[Sex, tuple[float, float]] = {"male": (0.303, 0.418), "female": (0.259, 0.360)}
FOREARM_GIRTH: dict[Sex, tuple[float, float]] = {"male": (0.275, 0.3479), "female": (0.235, 0.296)}
P95_SD = 1.645
# A finger (EN 547-3, a5). From memory: the table was not read.
FINGER_M = 0.023
# A flat hand with the thumb laid in the palm is at least this thick: hand depth 28 mm and a thumb. From memory.
HAND_THICK_M = 0.045


@dataclass(frozen=True)
class Passing:
    """The two widths (m) of what goes through, the broad one first, and where they are from."""

    broad_m: float
    thick_m: float
    source: str
    measured: bool


@dataclass(frozen=True)
class Allowances:
    """Added to bare flesh, in all, metres: Form A of ISO 15534, x_p + clothing + movement."""

    glove_m: float
    clothing_m: float
    movement_m: float


def form_a(body_m: float, clothing_m: float, movement_m: float) -> float:
    """The opening, metres, for a body dimension: x_p + a_clothing + a_movement (ISO 15534, as explained in a public text)."""
    return body_m + clothing_m + movement_m


def share_passing(hole_m: float, mean_m: float, sd_m: float, clothing_m: float = 0.0) -> float:
    """Share (0 to 1) of people, spread as by Gauss, whose clothed dimension is no more than the hole."""
    if sd_m <= 0:
        raise ValueError(f"sd_m must be more than nothing, got {sd_m}")
    return 0.5 * (1.0 + math.erf((hole_m - clothing_m - mean_m) / sd_m / math.sqrt(2.0)))


def percentile(mean_m: float, sd_m: float, p: float) -> float:
    """The value that a share `p` (0 to 1, not at its ends) of people, spread as by Gauss, do not exceed."""
    from statistics import NormalDist

    return NormalDist(mean_m, sd_m).inv_cdf(p)


def ellipse_thickness(girth_m: float, broad_m: float) -> float:
    """The shorter axis of an ellipse of a girth and a longer axis, metres (Ramanujan's second formula, inverted).

    Of a girth too small for that breadth: nothing; of one too large: the circle's, so that the girth still goes through.
    """
    circle = girth_m / math.pi
    if circle >= broad_m:
        return circle
    low, high = 0.0, broad_m
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if _girth(broad_m, middle) < girth_m else (low, middle)
    return low


def _girth(broad_m: float, thick_m: float) -> float:
    a, b = broad_m / 2, thick_m / 2
    h = ((a - b) / (a + b)) ** 2
    return math.pi * (a + b) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h)))


def hand_through(sheet: BodySheet) -> Passing:
    """The hand with the thumb in the palm: the user's own where its girth over the thumb was taped, else ANSUR II P95."""
    if sheet.sources.get("hand_girth_over_thumb_m") == "measured":
        girth = sheet.hand_girth_over_thumb_m
        broad = max(sheet.hand_breadth_m, girth / math.pi)
        how = "measured" if sheet.sources.get("hand_breadth_m") == "measured" else "estimated"
        said = f"own hand: girth over the thumb measured, breadth {how}"
        return Passing(broad, max(ellipse_thickness(girth, broad), HAND_THICK_M), said, True)
    if sheet.sources.get("hand_breadth_m") == "measured":
        return Passing(
            sheet.hand_breadth_m, HAND_THICK_M, "own hand: breadth measured; thickness 45 mm from memory", True
        )
    sex: Sex = sheet.sex or "male"
    whose = {"male": "men", "female": "women"}[sex] + ("" if sheet.sex else ", the larger, for no sex is given")
    said = f"ANSUR II, 95th percentile of {whose}; breadth governs; thickness 45 mm from memory"
    return Passing(HAND_BREADTH[sex][2], HAND_THICK_M, said, False)


def arm_through(sheet: BodySheet, bone: int, share: float) -> Passing:
    """The thickest of the arm that has gone through a wall that cuts it at `share` along a bone (0 upper arm, 1 forearm,
    2 hand), bare. Girths as the body sheet has them, raised to ANSUR II P95 where nobody measured them."""
    biceps = _raised(sheet, "biceps_girth_m", BICEPS_GIRTH)
    forearm = _raised(sheet, "forearm_girth_m", FOREARM_GIRTH)
    broad, thick = [0.0], [0.0]
    for which, flesh, scale in ((0, upper_flesh(sheet), biceps), (1, fore_flesh(sheet), forearm)):
        start = 0.0 if bone < which else share if bone == which else 1.0
        if start >= 1.0:
            continue
        outlines = flesh.outlines(np.linspace(start, 1.0, 41), 48) * scale
        size = outlines.max(axis=1) - outlines.min(axis=1)
        broad.append(float(size.max(axis=1).max()))
        thick.append(float(size.min(axis=1).max()))
    names = {0: ("biceps_girth_m", "forearm_girth_m"), 1: ("forearm_girth_m",)}.get(bone, ())
    measured = bool(names) and all(sheet.sources.get(name) == "measured" for name in names)
    said = "own arm, measured" if measured else "ANSUR II, 95th percentile of flexed girth where not measured"
    return Passing(max(broad), max(thick), said, measured)


def _raised(sheet: BodySheet, name: str, table: dict[Sex, tuple[float, float]]) -> float:
    """By how much an estimated girth is scaled up so that 95 of 100 pass; a child's estimate gets an adult's spread."""
    if sheet.sources.get(name) == "measured":
        return 1.0
    sex: Sex = sheet.sex or "male"
    if sheet.child:
        column = "bicepscircumferenceflexed" if name.startswith("biceps") else "forearmcircumferenceflexed"
        return table[sex][1] / ANSUR[sex][column].mean
    return max(1.0, table[sex][1] / float(getattr(sheet, name)))


def least_size(shape: Shape, hand: Passing, arm: Passing | None, add: Allowances) -> tuple[float, float]:
    """The smallest opening, long side then short, that passes hand and arm with the allowances.

    A round hole takes the broadest; in a slot or rectangle hand and arm turn their broad side along it.
    """
    broad = form_a(hand.broad_m, add.glove_m, add.movement_m)
    thick = form_a(hand.thick_m, add.glove_m, add.movement_m)
    if arm is not None:
        broad = max(broad, form_a(arm.broad_m, add.clothing_m, add.movement_m))
        thick = max(thick, form_a(arm.thick_m, add.clothing_m, add.movement_m))
    return (max(broad, thick), max(broad, thick)) if shape == "round" else (max(broad, thick), thick)
