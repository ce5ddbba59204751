"""How high the eyes of an audience are above their own floor, and who stands where in a mixed crowd."""

from __future__ import annotations

from collections.abc import Mapping
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray

# Seated: 44 in (adult female) to 48 in (adult male): Long, Architectural Acoustics, ch. 17, citing Ramsey and
# Sleeper 1970. The lower end is taken, as the Theatre Catalog 1947, p. 155 (3 ft 8 in) does.
SEATED_EYE_M = 1.12
SEATED_EYE_HIGH_M = 1.22

# Standing eye above the floor, barefoot: ANSUR II (2012), stature - (sitting height - sitting eye height),
# computed from the raw data: mean, 5th and 95th percentile.
STANDING_EYE_MEN_M = (1.6424, 1.536, 1.753)
STANDING_EYE_WOMEN_M = (1.5195, 1.421, 1.626)
SHOES_M = 0.025  # Common practice, no source.
STANDING_EYE_M = (STANDING_EYE_MEN_M[0] + STANDING_EYE_WOMEN_M[0]) / 2 + SHOES_M

# Mean eye height in a wheelchair 47.45 in: US Justice Department ADA consent order, as quoted.
WHEELCHAIR_EYE_M = 1.2052

# Children of about 5 to 12, standing: published anthropometric tables, through the project's notes on the craft.
CHILD_EYE_LOW_M, CHILD_EYE_HIGH_M = 1.01, 1.47
# A child of 8: WHO 2007 stature medians (boys 1.272651 m, girls 1.265558 m) less 110 mm from crown to eye
# (the crown-to-eye length is from memory; no table of children's eye heights was found), plus shoes.
CHILD_EYE_M = (1.272651 + 1.265558) / 2 - 0.110 + SHOES_M

# From memory: a child sitting on the floor, and a phone held up over the heads.
FLOOR_CHILD_EYE_LOW_M, FLOOR_CHILD_EYE_HIGH_M = 0.65, 0.75
RAISED_PHONE_LOW_M, RAISED_PHONE_HIGH_M = 1.9, 2.3
# A camera on a tripod, where nothing is said. Common practice, no source.
CAMERA_EYE_M = 1.5

EYE_HEIGHT_M: dict[str, float] = {
    "seated": SEATED_EYE_M,
    "standing": STANDING_EYE_M,
    "child": CHILD_EYE_M,
    "floor child": (FLOOR_CHILD_EYE_LOW_M + FLOOR_CHILD_EYE_HIGH_M) / 2,
    "wheelchair": WHEELCHAIR_EYE_M,
    "phone": (RAISED_PHONE_LOW_M + RAISED_PHONE_HIGH_M) / 2,
    "camera": CAMERA_EYE_M,
    "point": 0.0,
}
"""Eye above its own floor, by kind; the mean or the middle of the published range."""

KIND_OF: dict[str, str] = {
    "adults": "standing", "children": "child", "floor children": "floor child", "seated": "seated",
    "wheelchair": "wheelchair", "raised phones": "phone",
}  # fmt: skip
"""The kind of eye that each sort of people has."""

# Quantiles further out than this are not trusted to the normal distribution.
_FAR_QUANTILE = 0.01


def mixed(shares: Mapping[str, float], count: int, seed: int) -> tuple[list[str], FloatArray]:
    """Kinds and eye heights (count,), m, of a crowd of `count` with these shares of 1.

    Heights of adults are the equally spaced quantiles of the published distributions, half women, half men; other
    heights are spread evenly over their range. The same arguments always give the same crowd.
    """
    numbers = whole_shares(shares, count)
    kinds: list[str] = []
    heights: list[FloatArray] = []
    for people, number in numbers.items():
        kinds += [KIND_OF[people]] * number
        heights.append(_heights(people, number))
    order = shuffled(count, seed)
    height = np.concatenate(heights) if heights else np.zeros(0)
    return [kinds[i] for i in order], height[order]


def whole_shares(shares: Mapping[str, float], count: int) -> dict[str, int]:
    """How many of `count` each share gets: largest remainders, ties to the first named. Sums to `count`."""
    total = sum(shares.values())
    exact = {name: share / total * count for name, share in shares.items() if share > 0}
    numbers = {name: int(value + 1e-9) for name, value in exact.items()}
    left = count - sum(numbers.values())
    by_rest = sorted(exact, key=lambda name: numbers[name] - exact[name])
    for name in by_rest[:left]:
        numbers[name] += 1
    return numbers


def shuffled(count: int, seed: int) -> NDArray[np.int64]:
    """A fixed permutation of 0..count-1 for a seed; an integer hash, so that no library release changes it."""
    start = seed * 0x9E3779B97F4A7C15 % 2**64  # Python's integers: numpy warns of a scalar that wraps round.
    x = np.arange(count, dtype=np.uint64) + np.uint64(start)
    x = (x ^ (x >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    x = (x ^ (x >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return np.argsort(x ^ (x >> np.uint64(31)), kind="stable").astype(np.int64)


def standing_heights(number: int) -> FloatArray:
    """Eye heights (number,), m, in shoes: women at even, men at odd places, each at equally spaced quantiles."""
    out = np.empty(number)
    for start, (mean, p5, p95) in ((0, STANDING_EYE_WOMEN_M), (1, STANDING_EYE_MEN_M)):
        places = out[start::2]
        # 3.2897 standard deviations lie between the 5th and the 95th percentile of a normal distribution.
        curve = NormalDist(mean, (p95 - p5) / (2 * NormalDist().inv_cdf(0.95)))
        shares = np.clip((np.arange(len(places)) + 0.5) / max(len(places), 1), _FAR_QUANTILE, 1 - _FAR_QUANTILE)
        places[:] = [curve.inv_cdf(float(share)) for share in shares]
    return out + SHOES_M


def _heights(people: str, number: int) -> FloatArray:
    ranges = {
        "children": (CHILD_EYE_LOW_M, CHILD_EYE_HIGH_M),
        "floor children": (FLOOR_CHILD_EYE_LOW_M, FLOOR_CHILD_EYE_HIGH_M),
        "seated": (SEATED_EYE_M, SEATED_EYE_HIGH_M),
        "raised phones": (RAISED_PHONE_LOW_M, RAISED_PHONE_HIGH_M),
    }
    if people == "adults":
        return standing_heights(number)
    if people not in ranges:
        return np.full(number, EYE_HEIGHT_M[KIND_OF[people]])
    low, high = ranges[people]
    return low + (high - low) * (np.arange(number) + 0.5) / max(number, 1)
