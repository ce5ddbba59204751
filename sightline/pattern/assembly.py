"""In which order the pieces are joined, so that no seam is left that a hand cannot reach from inside."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass

from sightline.pattern.joints import Joint
from sightline.pattern.notches import EdgeMarks
from sightline.pattern.pattern import Pattern
from sightline.pattern.reach import Access, Inside, ends_words

# So many half-built limbs are looked at before the best order found is taken as it is.
MOST_STATES = 4000
# One seam out of reach weighs more than any way inside a limb; steps in tenths of a millimetre, so that sums are exact.
_TRAPPED, _STEP_M = 10**9, 1e-4


@dataclass(frozen=True)
class Step:
    """One seam to close: how its last place is reached, and the numbers of its first and last mark, in the order in
    which they come together; None where it has no marks. `words` say all of it."""

    number: int
    joint: Joint
    access: Access
    marks: tuple[int, int] | None
    words: str


@dataclass(frozen=True)
class Assembly:
    """The order. `proven`: no other order traps fewer seams or needs a hand less far in."""

    steps: tuple[Step, ...]
    proven: bool

    @property
    def trapped(self) -> tuple[Step, ...]:
        """Steps whose last place no hand reaches."""
        return tuple(step for step in self.steps if not step.access.reached)


def assembly(pattern: Pattern, marks: Sequence[EdgeMarks] = ()) -> Assembly:
    """The order that traps fewest seams, and of those the one that needs a hand least far in; ties by kind and number.

    Best first over sets of closed seams: a way costs never less for going on, so the first whole order found is best.
    """
    inside = Inside(pattern)
    order, proven = best_order(inside)
    return Assembly(steps_of(inside, order, marks), proven)


def best_order(inside: Inside) -> tuple[tuple[int, ...], bool]:
    """Numbers of the joints in the order they are closed, and whether it is proven best."""
    count = len(inside.joints)
    ranks = {j: rank for rank, j in enumerate(sorted(range(count), key=lambda j: _rank(inside.joints[j], j)))}
    # (cost, what is left, ranks in order): of equal costs the farthest goes first, then the usual order of work.
    queue: list[tuple[int, int, tuple[int, ...], tuple[int, ...]]] = [(0, count, (), ())]
    done: set[frozenset[int]] = set()
    while queue:
        cost, left, ranked, order = heapq.heappop(queue)
        closed = frozenset(order)
        if left == 0:
            return order, True
        if closed in done:
            continue
        done.add(closed)
        if len(done) > MOST_STATES:
            return _greedily(inside, order, ranks), False
        for j in range(count):
            if j not in closed:
                step = cost_of(inside.access(j, closed))
                heapq.heappush(queue, (cost + step, left - 1, (*ranked, ranks[j]), (*order, j)))
    return (), True


def cost_of(access: Access) -> int:
    """What closing a seam this way costs; only orders are compared by it."""
    return round(access.far_m / _STEP_M) if access.reached else _TRAPPED


def order_cost(inside: Inside, order: Sequence[int]) -> int:
    """What a whole order costs."""
    return sum(cost_of(inside.access(j, frozenset(order[:k]))) for k, j in enumerate(order))


def steps_of(inside: Inside, order: Sequence[int], marks: Sequence[EdgeMarks] = ()) -> tuple[Step, ...]:
    """Any order as steps with their words: what an order that somebody else chose would trap is seen in them."""
    numbers = {edge.joint: [notch.number for notch in edge.notches] for edge in marks}
    out = []
    for k, j in enumerate(order):
        joint = inside.joints[j]
        access = inside.access(j, frozenset(order[:k]))
        # Pressed towards the end that is reached last.
        own = numbers.get(j, [])
        own = own if access.end else own[::-1]
        span = (own[0], own[-1]) if own else None
        out.append(Step(k + 1, joint, access, span, _words(joint, access, span)))
    return tuple(out)


def _greedily(inside: Inside, order: tuple[int, ...], ranks: dict[int, int]) -> tuple[int, ...]:
    """The rest of an order, each time the seam that is easiest to reach."""
    while len(order) < len(inside.joints):
        closed = frozenset(order)
        left = (j for j in range(len(inside.joints)) if j not in closed)
        order = (*order, min(left, key=lambda j: (cost_of(inside.access(j, closed)), ranks[j])))
    return order


def _rank(joint: Joint, index: int) -> tuple[int, int]:
    """Darts first, while a piece lies flat; then seams between pieces, for the limb lies open; then those that close it."""
    return (0 if joint.kind == "dart" else 1 if len(joint.pieces) > 1 else 2, index)


def _words(joint: Joint, access: Access, marks: tuple[int, int] | None) -> str:
    if joint.kind == "dart":
        what = f"Close the dart '{joint.seam}' of piece {joint.pieces[0]}"
    elif len(joint.pieces) == 1:
        what = f"Close piece {joint.pieces[0]} along '{joint.seam}'"
    else:
        what = f"Join pieces {joint.pieces[0]} and {joint.pieces[1]} along '{joint.seam}'"
    if marks is not None:
        what += f", mark to mark, from {marks[0]} to {marks[1]}" if marks[0] != marks[1] else f", at mark {marks[0]}"
    size = f"{joint.length_m * 100:.0f} cm" if joint.length_m >= 0.01 else f"{joint.length_m * 1000:.0f} mm"
    return f"{what} ({size}); {ends_words(access)}."
