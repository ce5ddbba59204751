"""How near the page's quick answer comes to the check, measured on this very act on marks of its own."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sightline.blocking.placing import Placing
from sightline.errors import Misfit
from sightline.house.eyes import Eye
from sightline.packet.pageact import PageAct
from sightline.packet.quick import quick

MARKS = 6
MOST_EYES = 140
MOST_TRIES = 120
# Marks count where between these shares of the eyes see something: elsewhere any answer would be nearly right.
LOW, HIGH = 0.2, 0.8
STRAY_M = 2.5


@dataclass
class Measured:
    """Counts over marks and eyes: of verdicts [exact][quick], hidden, faint, seen. `hard`: were marks within LOW..HIGH."""

    marks: int
    table: list[list[int]]
    hard: bool

    @property
    def eyes(self) -> int:
        return sum(map(sum, self.table))

    @property
    def seen_drawn_seen(self) -> float:
        return self.table[2][2] / max(sum(self.table[2]), 1)

    @property
    def hidden_drawn_seen(self) -> float:
        return self.table[0][2] / max(sum(self.table[0]), 1)

    @property
    def same(self) -> float:
        return sum(self.table[k][k] for k in range(3)) / max(self.eyes, 1)

    @property
    def words(self) -> str:
        """One sentence for beside the picture."""
        if not self.eyes:
            return "How near the quick answer comes was not measured for this act."
        return (
            f"Measured on {self.marks} other mark{'' if self.marks == 1 else 's'} of this act against sightline check, "
            f"{self.eyes} answers: "
            f"{self.same:.1%} have the same verdict; of those that see a secret {self.seen_drawn_seen:.1%} are drawn seen, "
            f"of those from whom all is hidden {self.hidden_drawn_seen:.1%} are drawn seen."
        )


def measured(act: PageAct, marks: int = MARKS) -> Measured:
    """Ask quick and exact on marks round the scene's own, turned any way: the same marks every time."""
    placing, staged = act.placing, act.placing.staged
    eyes = _some(tuple(staged.house.eyes))
    draw = np.random.default_rng(20)
    table = [[0, 0, 0] for _ in range(3)]
    found, easy = 0, []
    for _ in range(MOST_TRIES):
        if found == marks:
            break
        away, turn = draw.uniform(-STRAY_M, STRAY_M, 2), draw.uniform(-math.pi, math.pi)
        mark = (float(staged.mark_m[0] + away[0]), float(staged.mark_m[1] + away[1] / 2))
        share = float((quick(act.fields, placing.moment(mark, turn, eyes), placing.thresholds).worst() == 2).mean())
        if not LOW <= share <= HIGH:
            easy.append((mark, turn))
        elif _compare(act, placing, mark, turn, eyes, table):
            found += 1
    hard = found > 0
    for mark, turn in easy:
        if found == marks:
            break
        found += _compare(act, placing, mark, turn, eyes, table)
    return Measured(found, table, hard)


def _some(eyes: tuple[Eye, ...]) -> tuple[Eye, ...]:
    return eyes[:: max(1, -(-len(eyes) // MOST_EYES))]


def _compare(
    act: PageAct,
    placing: Placing,
    mark: tuple[float, float],
    turn: float,
    eyes: tuple[Eye, ...],
    table: list[list[int]],
) -> bool:
    try:
        exact = placing.exact(mark, turn, eyes).worst_verdict()
    except Misfit:
        return False
    answer = quick(act.fields, placing.moment(mark, turn, eyes), placing.thresholds).worst()
    for one, other in zip(exact.tolist(), answer.tolist(), strict=True):
        table[one][other] += 1
    return True
