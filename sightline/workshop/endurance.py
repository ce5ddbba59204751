"""How long a held load can be held: published curves side by side, for they disagree.

`share` is the load over the most that the joint can do for a moment (0 to 1). Times in seconds. They are of healthy
adults holding still until they gave up: none of them is a time to plan for.
"""

from __future__ import annotations

import math

from sightline.figure.sheet import BodySheet
from sightline.figure.tables import Sex
from sightline.workshop.armload import G_M_S2, TOTAL, straight_arm_nm

# Rohmert 1960: T[min] = -1.5 + 2.1/f - 0.6/f2 + 0.1/f3.
ROHMERT_S = (-90.0, 126.0, -36.0, 6.0)
ROHMERT_FOREVER = 0.15
# Shoulder and elbow of Frey Law & Avin 2010 (Ergonomics 53:109): T = a f^b. The coefficients are FROM MEMORY.
SHOULDER_A_S, SHOULDER_B = 14.86, -1.83
# Garg et al. (NIOSHTIC-2 20037558): at the shoulder Rohmert gives too much below 45 % of strength, and there is no load
# from 5 % up that can be held for ever.
ROHMERT_ABOVE_SHOULDER = 0.45
LEAST_MEASURED = 0.05
# Ma et al. 2011 (arXiv 1104.1190): T[min] = -ln(f) / (k f), k per minute, mean of 30 elbows.
MA_K_PER_MIN = 0.96

# The bare arm held level took this share of the strength of the shoulder's flexors at 90 deg of 96 men and 90 women
# of Stockholm (men 22-25 %, women 34 %; "Isometric strength in flexors, abductors, and external rotators of the
# shoulder", abstract). The larger is taken.
BARE_ARM_SHARE: dict[Sex, tuple[float, float]] = {"male": (0.22, 0.25), "female": (0.34, 0.34)}
# Static flexion at 45 deg, mean of 26 young men; 25 women had about half ("Dynamic shoulder flexion strength for use in
# occupational risk analysis and clinical assessment", abstract).
YOUNG_45_NM: dict[Sex, float] = {"male": 68.6, "female": 34.3}

ROHMERT, POWER, MA = (
    "Rohmert 1960, muscles at large",
    "power law for the shoulder, Frey Law & Avin 2010 (coefficients from memory)",
    "exponential, Ma et al. 2011, elbow",
)


def rohmert_s(share: float) -> float:
    """Rohmert's curve. Raises ValueError for a share that is not above 0; above 1 nothing is held."""
    _positive(share)
    if share > 1.0:
        return 0.0
    return max(sum(c / share**i for i, c in enumerate(ROHMERT_S)), 0.0)


def shoulder_s(share: float) -> float:
    """The shoulder: the power law, never above Rohmert up to 45 %; below 5 % the time at 5 % (nobody measured less)."""
    _positive(share)
    if share > 1.0:
        return 0.0
    share = max(share, LEAST_MEASURED)
    held = SHOULDER_A_S * share**SHOULDER_B
    return min(held, rohmert_s(share)) if share <= ROHMERT_ABOVE_SHOULDER else held


def ma_s(share: float) -> float:
    _positive(share)
    return 0.0 if share > 1.0 else 60.0 * -math.log(share) / (MA_K_PER_MIN * share)


def curves_s(share: float) -> dict[str, float]:
    """Every curve at one share, seconds."""
    return {ROHMERT: rohmert_s(share), POWER: shoulder_s(share), MA: ma_s(share)}


def strength_nm(sheet: BodySheet) -> tuple[float, float, str]:
    """The least and the most that the shoulder is taken to do, N m, and where that is from.

    Of a performer whose sex is not given the weaker is taken as the least: doubt goes against the plan.
    """
    least = BARE_ARM_SHARE[sheet.sex or "female"][1]
    most = YOUNG_45_NM[sheet.sex or "male"]
    low = straight_arm_nm(sheet)[TOTAL] / least
    said = (
        f"least: a bare level arm takes {least * 100:.0f} % of it (Stockholm reference groups, at 90 deg); "
        f"most: {most:g} N m (young adults at 45 deg)"
    )
    return low, max(most, low), said


def strength_held_nm(sheet: BodySheet, holds_kg: float, at_m: float) -> float:
    """The strength of an arm that just holds a mass, straight and level, `at_m` from the shoulder: its own arm too."""
    return G_M_S2 * holds_kg * at_m + straight_arm_nm(sheet)[TOTAL]


def _positive(share: float) -> None:
    if not (math.isfinite(share) and share > 0):
        raise ValueError(f"share must be more than nothing, got {share:g}")
