"""People drawn one by one from published distributions, drawn again, and what that says of a result.

The numbers come from an integer hash of seed, draw and person, so that no library's release changes a crowd.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.house.drawn import Crowd
from sightline.house.eyes import Eye
from sightline.house.growth import child_stature_m
from sightline.house.people import (
    EYE_HEIGHT_M,
    FLOOR_CHILD_EYE_HIGH_M,
    FLOOR_CHILD_EYE_LOW_M,
    KIND_OF,
    RAISED_PHONE_HIGH_M,
    RAISED_PHONE_LOW_M,
    SEATED_EYE_HIGH_M,
    SEATED_EYE_M,
    SHOES_M,
)

# ANSUR II (2012), stature: mean and standard deviation, m, worked out from the public data file.
STATURE_MEN_M, STATURE_WOMEN_M = (1.75621, 0.06855), (1.62847, 0.06420)
# The same, crown to eye: sitting height less sitting eye height, mean, m.
CROWN_TO_EYE_MEN_M, CROWN_TO_EYE_WOMEN_M = 0.1138, 0.1089
# Of a child: FROM MEMORY, no table of children's eye heights was found.
CROWN_TO_EYE_CHILD_M = 0.110

_RANGES = {
    "floor children": (FLOOR_CHILD_EYE_LOW_M, FLOOR_CHILD_EYE_HIGH_M),
    "seated": (SEATED_EYE_M, SEATED_EYE_HIGH_M),
    "raised phones": (RAISED_PHONE_LOW_M, RAISED_PHONE_HIGH_M),
}
# Which hash a person's kind, sex, size and age come from, so that none depends on another.
_KIND, _SEX, _SIZE, _AGE = range(4)


def uniforms(count: int, seed: int, draw: int, use: int) -> FloatArray:
    """`count` numbers between 0 and 1, both left out; the same for the same arguments on every machine."""
    start = ((seed * 0x9E3779B97F4A7C15) ^ (draw * 0xD1B54A32D192ED03) ^ ((use + 1) * 0xAEF17502108EF2D9)) % 2**64
    # The sequence of splitmix64: a counter of odd step, mixed.
    step = np.uint64(0x9E3779B97F4A7C15)
    x = np.arange(1, count + 1, dtype=np.uint64) * step + np.uint64(_mixed(start))
    x = (x ^ (x >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    x = (x ^ (x >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    x = x ^ (x >> np.uint64(31))
    return ((x >> np.uint64(11)).astype(float) + 0.5) / 2.0**53


def _mixed(value: int) -> int:
    value = ((value ^ (value >> 30)) * 0xBF58476D1CE4E5B9) % 2**64
    value = ((value ^ (value >> 27)) * 0x94D049BB133111EB) % 2**64
    return value ^ (value >> 31)


def normal(shares: FloatArray) -> FloatArray:
    """Standard scores (n,) at shares (n,) of the normal distribution."""
    curve = NormalDist()
    return np.array([curve.inv_cdf(float(share)) for share in shares])


def adult_statures(count: int, seed: int, draw: int = 0) -> tuple[NDArray[np.bool_], FloatArray]:
    """Who of `count` is a man (every second one, by chance), and how tall everybody is barefoot, m."""
    men = uniforms(count, seed, draw, _SEX) < 0.5
    scores = normal(uniforms(count, seed, draw, _SIZE))
    man, woman = (mean + sd * scores for mean, sd in (STATURE_MEN_M, STATURE_WOMEN_M))
    return men, np.where(men, man, woman)


def drawn_people(crowd: Crowd, draw: int = 0) -> tuple[list[str], FloatArray]:
    """Kinds and eye heights (count,), m above the floor, of one draw of a crowd. Draw 0 is the crowd as written."""
    count, seed = crowd.count, crowd.seed
    names = [name for name, share in crowd.shares if share > 0]
    bounds = np.cumsum([share for _, share in crowd.shares if share > 0])
    which = np.minimum(np.searchsorted(bounds, uniforms(count, seed, draw, _KIND) * bounds[-1]), len(names) - 1)
    people = np.array(names)[which]
    men, statures = adult_statures(count, seed, draw)
    size = uniforms(count, seed, draw, _SIZE)
    heights = np.array([EYE_HEIGHT_M[KIND_OF[name]] for name in people])
    adults = people == "adults"
    heights[adults] = (statures - np.where(men, CROWN_TO_EYE_MEN_M, CROWN_TO_EYE_WOMEN_M) + SHOES_M)[adults]
    young, old = crowd.ages_y
    ages = young + (old - young) * uniforms(count, seed, draw, _AGE)
    scores = normal(size)
    children = np.where(men, child_stature_m("boys", ages, scores), child_stature_m("girls", ages, scores))
    is_child = people == "children"
    heights[is_child] = (children - CROWN_TO_EYE_CHILD_M + SHOES_M)[is_child]
    for name, (low, high) in _RANGES.items():
        heights[people == name] = (low + (high - low) * size)[people == name]
    return [KIND_OF[name] for name in people.tolist()], heights


def is_sampled(eyes: Sequence[Eye]) -> bool:
    return any(eye.drawn is not None for eye in eyes)


def redrawn(eyes: Sequence[Eye], draw: int) -> list[Eye]:
    """The same places with other people in the sampled crowds: kinds and heights of that draw, everybody else as is."""
    crowds = {eye.drawn.crowd for eye in eyes if eye.drawn is not None}
    people: Mapping[Crowd, tuple[list[str], FloatArray]] = {crowd: drawn_people(crowd, draw) for crowd in crowds}
    out = []
    for eye in eyes:
        if eye.drawn is None:
            out.append(eye)
            continue
        kinds, heights = people[eye.drawn.crowd]
        x, y, _ = eye.position_m
        z = eye.drawn.crowd.floor_m + float(heights[eye.drawn.number])
        out.append(replace(eye, kind=kinds[eye.drawn.number], position_m=(x, y, z)))
    return out


@dataclass(frozen=True)
class SamplingError:
    """A figure over `k` draws of the same crowd: its values, their mean, and how far either may be off."""

    values: tuple[float, ...]

    @property
    def mean(self) -> float:
        return math.fsum(self.values) / len(self.values)

    @property
    def spread(self) -> float:
        """Standard deviation of one draw: how much the next crowd may differ; nothing for a single draw."""
        if len(self.values) < 2:
            return 0.0
        mean = self.mean
        return math.sqrt(math.fsum((value - mean) ** 2 for value in self.values) / (len(self.values) - 1))

    @property
    def standard_error(self) -> float:
        """How far the mean of these draws may be off, one standard deviation."""
        return self.spread / math.sqrt(len(self.values))
