"""How likely a leak is when the mark is hit as exactly as people hit marks."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sightline.blocking.nearby import Nearby
from sightline.geometry.frame import FloatArray
from sightline.scene.blocking import Stray
from sightline.sight.looking import Tick

# 95 % of a normal distribution lie within this many standard deviations.
Z_95 = 1.959963984540054
# Of the draws without a leak so many, the farthest strays, are looked at again by rays alone.
MOST_CONFIRMED = 20


@dataclass(frozen=True)
class Odds:
    """Of `draws` strays, the share in which any verdict got worse, and in which any eye sees a secret at all.

    The intervals (low, high) are Wilson's, for 95 %. `confirmed`: draws without a leak that rays alone confirmed.
    """

    stray: Stray
    worse: int
    seen: int
    confirmed: int

    @property
    def p_worse(self) -> float:
        return self.worse / self.stray.draws

    @property
    def p_seen(self) -> float:
        return self.seen / self.stray.draws

    @property
    def worse_interval(self) -> tuple[float, float]:
        return wilson(self.worse, self.stray.draws)

    @property
    def seen_interval(self) -> tuple[float, float]:
        return wilson(self.seen, self.stray.draws)


def strays(stray: Stray) -> FloatArray:
    """The draws (n, 3): dx m, dy m, turn rad; independent and normal, what is stated being two standard deviations."""
    draws = np.random.default_rng(stray.seed).standard_normal((stray.draws, 3))
    return draws * [stray.distance / 2, stray.distance / 2, stray.turn / 2]


def odds_of(nearby: Nearby, stray: Stray, tick: Tick | None = None) -> Odds:
    """Ask every draw. The same seed always gives the same draws."""
    draws = strays(stray)
    again = min(MOST_CONFIRMED, len(draws))
    worse, seen = np.zeros(len(draws), dtype=bool), np.zeros(len(draws), dtype=bool)
    for i, draw in enumerate(draws.tolist()):
        answer = nearby.ask(*draw, whole=True)
        worse[i], seen[i] = answer.worse, answer.seen
        if tick:
            tick(i + 1, len(draws) + again)
    # How far out a draw is, in standard deviations; what was stated as nothing is not out at all.
    spread = np.array([stray.distance / 2, stray.distance / 2, stray.turn / 2])
    out = np.linalg.norm(np.divide(draws, spread, out=np.zeros_like(draws), where=spread > 0), axis=1)
    left = np.flatnonzero(~worse)
    chosen = left[np.argsort(-out[left], kind="stable")][:again]
    for n, i in enumerate(chosen.tolist()):
        answer = nearby.ask(*draws[i].tolist(), exact=True)
        worse[i], seen[i] = answer.worse, seen[i] or answer.seen
        if tick:
            tick(len(draws) + n + 1, len(draws) + again)
    return Odds(stray, int(worse.sum()), int(seen.sum()), int((~worse[chosen]).sum()))


def wilson(hits: int, of: int) -> tuple[float, float]:
    """Wilson's interval for a share, 95 %: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209 (from memory)."""
    share, z2 = hits / of, Z_95**2
    middle = (share + z2 / (2 * of)) / (1 + z2 / of)
    half = Z_95 / (1 + z2 / of) * math.sqrt(share * (1 - share) / of + z2 / (4 * of * of))
    # At either end the formula gives 0 and 1, but for rounding.
    return (0.0 if hits == 0 else middle - half), (1.0 if hits == of else middle + half)
