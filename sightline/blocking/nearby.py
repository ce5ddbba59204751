"""What happens to the verdicts when the performer is not quite on the mark.

A stray is (dx, dy, turn): metres in the frame of the stage (+x stage left, +y upstage) and radians to the performer's
own left, from the mark and the facing that were meant.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from sightline.blocking.placing import Placing
from sightline.errors import Misfit
from sightline.house.eyes import Eye
from sightline.sight.check import Finding, VerdictArray

# Whoever leaked at one place leaks at the next one, too, most often: so many of them are asked before all others.
MOST_KNOWN = 24


@dataclass(frozen=True)
class Answer:
    """Whether any verdict is worse than on the mark, and whether any eye sees anything at all.

    `eye` and `secret`: of what got worse the largest. An eye without a secret is one the performer would run into.
    """

    worse: bool
    seen: bool
    eye: str | None = None
    secret: str | None = None


@dataclass
class Nearby:
    """The verdicts on a mark, to compare others near it with. Raises Misfit where the mark itself cannot be asked."""

    placing: Placing
    mark_m: tuple[float, float]
    facing_rad: float
    asked: int = 0
    _known: list[int] = field(default_factory=list)

    @cached_property
    def eyes(self) -> tuple[Eye, ...]:
        return tuple(self.placing.staged.house.eyes)

    @cached_property
    def finding(self) -> Finding:
        """The verdicts on the mark, by rays alone."""
        return self.placing.exact(self.mark_m, self.facing_rad)

    @cached_property
    def base(self) -> dict[str, VerdictArray]:
        return {name: found.verdict for name, found in self.finding.secrets.items()}

    def ask(self, dx_m: float, dy_m: float, turn_rad: float, *, whole: bool = False, exact: bool = False) -> Answer:
        """The verdicts after a stray against those on the mark.

        `whole`: also know for certain whether anybody sees anything, not only whether anything got worse. `exact`: by
        rays alone, as all that is printed.
        """
        self.asked += 1
        if self._known and not exact:
            answer = self._of(dx_m, dy_m, turn_rad, self._known, exact)
            if answer.worse and (answer.seen or not whole):
                return answer
        return self._of(dx_m, dy_m, turn_rad, range(len(self.eyes)), exact)

    def _of(self, dx_m: float, dy_m: float, turn_rad: float, who: Sequence[int], exact: bool) -> Answer:
        look = self.placing.exact if exact else self.placing.quick
        mark = (self.mark_m[0] + dx_m, self.mark_m[1] + dy_m)
        try:
            found = look(mark, self.facing_rad + turn_rad, tuple(self.eyes[i] for i in who))
        except Misfit as misfit:
            # The performer would stand where somebody is, or in the scenery: that is no clean place.
            return Answer(True, True, str(misfit.path[-1]))
        members = np.asarray(who, dtype=np.intp)
        most, largest, secret = -1, -1.0, None
        leaks: list[int] = []
        for name, here in found.secrets.items():
            worse = np.flatnonzero(here.verdict > self.base[name][members])
            leaks += [int(members[i]) for i in worse]
            for i in worse:
                if here.size_arcmin[i] > largest:
                    most, largest, secret = int(members[i]), float(here.size_arcmin[i]), name
        seen = bool((found.worst_verdict() == 2).any())
        if most < 0:
            return Answer(False, seen)
        # The largest first, then the others that leaked here, then those from before.
        self._known = list(dict.fromkeys([most, *leaks[: MOST_KNOWN // 2], *self._known]))[:MOST_KNOWN]
        return Answer(True, seen, self.eyes[most].id, secret)


def limit(ask: Callable[[float], Answer], steps: Sequence[float], fine: float) -> tuple[float, Answer | None]:
    """How far one can go before `ask` says worse, and what it said beyond; (the last step, None) if it never does.

    Goes outward by the steps, then halves what is left down to `fine`. The value given was itself asked and not worse
    (0 counts as that).
    """
    low = 0.0
    for step in steps:
        answer = ask(step)
        if answer.worse:
            break
        low = step
    else:
        return low, None
    high, beyond = step, answer
    while high - low > fine:
        middle = (low + high) / 2
        answer = ask(middle)
        if answer.worse:
            high, beyond = middle, answer
        else:
            low = middle
    return low, beyond
