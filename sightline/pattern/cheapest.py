"""The cheapest way over a grid from its first row to its last, one place in each, without sharp turns."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.sight.rays import BoolArray

# Places to the side that a way moves from one row to the next: about 45 degrees at most on an arm.
MOST_ASIDE = 2
# What a change of direction by one place costs, in metres of seam, so that a knife can follow. Common practice, no source.
TURN_M = 0.0005
# Orders of so many seams are all tried.
ATONCE = 3


def cheapest(
    places: FloatArray,
    sight: FloatArray,
    strain: FloatArray,
    banned: BoolArray,
    flat: tuple[float, FloatArray],
    ring: bool,
) -> tuple[FloatArray, float] | None:
    """The column (m,) taken in every row of a grid (m, n), and what it costs; None where no way is free.

    A step costs its length on the skin times `sight`, and its length on the table times 1 + `strain`: `flat` are the
    step along (m) and aside (m - 1,) there, so that straight ways are equally long wherever they run. Without `ring` the
    columns go round (the columns returned count on past n); with it the way must end in the column where it started.
    Dynamic programming over place and last move, with a price on the change of move.
    """
    n = sight.shape[1]
    moves = np.arange(-MOST_ASIDE, MOST_ASIDE + 1)
    turn: FloatArray = np.asarray(TURN_M * (moves[:, None] - moves[None, :]) ** 2, dtype=float)
    steps = np.stack([_step(places, sight, strain, banned, flat, int(d), ring) for d in moves], axis=2)
    if not ring:
        return _best(steps, turn, moves, None, wraps=True)
    found = [way for start in range(n) if (way := _best(steps, turn, moves, start, wraps=False)) is not None]
    return min(found, key=lambda way: way[1]) if found else None


def _step(
    places: FloatArray, sight: FloatArray, strain: FloatArray, banned: BoolArray, flat: tuple[float, FloatArray],
    move: int, ring: bool,
) -> FloatArray:  # fmt: skip
    """What it costs (m - 1, n) to come to each place of the next row by one move."""

    def before(grid: FloatArray | BoolArray) -> FloatArray:
        return np.roll(grid[:-1], move, axis=1)

    size = np.linalg.norm(places[1:] - before(places), axis=2)
    table = np.hypot(flat[0], move * flat[1])[:, None]
    seen, crooked = (sight[1:] + before(sight)) / 2, (strain[1:] + before(strain)) / 2
    out = size * seen + table * (1.0 + crooked)
    out[banned[1:] | before(banned).astype(bool)] = np.inf
    if ring and move:
        # Rows of a ring do not go round: nothing comes in from the other end.
        out[:, slice(0, move) if move > 0 else slice(move, None)] = np.inf
    return np.asarray(out)


def _best(
    steps: FloatArray, turn: FloatArray, moves: np.ndarray, start: int | None, wraps: bool
) -> tuple[FloatArray, float] | None:
    rows, n, k = steps.shape
    # Cost (n, k) of being at a place, come by a move; at the start every move is as good.
    cost = np.zeros((n, k)) if start is None else np.full((n, k), np.inf)
    if start is not None:
        cost[start] = 0.0
    came = np.zeros((rows, n, k), dtype=np.intp)
    for i in range(rows):
        # Of each place and coming move: the best move before it.
        onward = cost[:, :, None] + turn[None]
        best = onward.argmin(axis=1)
        least = np.take_along_axis(onward, best[:, None, :], axis=1)[:, 0]
        fresh = np.empty_like(cost)
        for d, move in enumerate(moves):
            fresh[:, d] = np.roll(least[:, d], move) + steps[i, :, d]
            came[i, :, d] = np.roll(best[:, d], move)
        cost = fresh
    ends = cost if start is None else np.where(np.arange(n)[:, None] == start, cost, np.inf)
    if not np.isfinite(ends.min()):
        return None
    # Of equals the first: columns are counted from the seam's usual place.
    at, d = (int(x) for x in np.unravel_index(int((ends > ends.min() + 1e-12).argmin()), ends.shape))
    total, column = float(ends[at, d]), np.empty(rows + 1)
    column[rows] = at if not wraps or at <= n // 2 else at - n
    for i in range(rows - 1, -1, -1):
        move, here = int(moves[d]), at
        d = int(came[i, here, d])
        at = (here - move) % n
        column[i] = column[i + 1] - move
    return column, total
