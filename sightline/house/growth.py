"""How tall children are at an age: published growth tables, by the LMS method.

Stature at a standard score z is M (1 + L S z)^(1/L), and M exp(S z) where L is nothing (Cole 1990).
Table: CDC 2000 growth charts, statage.csv (centimetres; ages in half-months), read in an open copy of the file; between
its ages L, M and S are taken by straight line.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sightline.geometry.frame import FloatArray

AGES_MONTHS = (60.5, 72.5, 84.5, 96.5, 108.5, 120.5, 132.5, 144.5)
# L, M in cm, S by age, CDC 2000 growth charts, statage.csv.
CDC_LMS: dict[str, tuple[tuple[float, float, float], ...]] = {
    "boys": (
        (1.266367398, 109.1751441, 0.042593311), (1.137442868, 115.6608862, 0.043673359),
        (0.753244292, 122.0305342, 0.044403374), (0.455267507, 128.1237104, 0.045127088),
        (0.415687443, 133.7344759, 0.046217028), (0.505564115, 138.8234114, 0.047610108),
        (0.487939275, 143.7303663, 0.048937694), (0.420919142, 149.3088178, 0.049947823),
    ),
    "girls": (
        (-0.057729947, 107.9566031, 0.044276588), (-0.219069129, 115.0054978, 0.044963636),
        (-0.210210748, 121.7616844, 0.045460702), (-0.079283065, 127.8262759, 0.045968169),
        (0.08414848, 133.1303527, 0.04688401), (0.284748919, 138.2111552, 0.048704503),
        (0.744289752, 144.2609497, 0.050524236), (1.303044695, 151.4865636, 0.048599314),
    ),
}  # fmt: skip
_NO_POWER = 1e-6


def lms(sex: str, age_months: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    """L, M (cm) and S at ages; those outside the table take its nearest end. `sex`: boys or girls."""
    table = np.array(CDC_LMS[sex])
    age = np.asarray(age_months, dtype=float)
    power, median, spread = (np.interp(age, AGES_MONTHS, table[:, k]) for k in range(3))
    return power, median, spread


def from_lms(power: ArrayLike, median: ArrayLike, spread: ArrayLike, z: ArrayLike) -> FloatArray:
    """M (1 + L S z)^(1/L), in the unit of M."""
    power, spread, z = (np.asarray(value, dtype=float) for value in (power, spread, z))
    small = np.abs(power) < _NO_POWER
    sure_power = np.where(small, 1.0, power)
    # Further out than the method reaches there is nobody.
    base = np.maximum(1.0 + sure_power * spread * z, 1e-9)
    share = np.where(small, np.exp(spread * z), base ** (1.0 / sure_power))
    return np.asarray(np.asarray(median, dtype=float) * share)


def child_stature_m(sex: str, age_years: ArrayLike, z: ArrayLike) -> FloatArray:
    """Stature, m, of a child of an age at a standard score."""
    power, median, spread = lms(sex, np.asarray(age_years, dtype=float) * 12.0)
    return from_lms(power, median, spread, z) / 100.0
