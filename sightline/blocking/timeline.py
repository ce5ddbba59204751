"""The frames of an act: at which seconds it is looked at, and what is so then."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sightline.blocking.beats import HELD_KEYS, Step, place_at, step_at
from sightline.blocking.posed import REST, Moves
from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.scene.blocking import Held
from sightline.staging.stage import Mark

FPS = 4.0
MOST_FRAMES = 50_000
# Times nearer to each other than this are one frame.
SAME_S = 1e-6


@dataclass(frozen=True)
class Scheme:
    """All that decides what can be seen at one time. Two frames with equal schemes show the same.

    `moving`: performer or prop are on their way, so that all that goes along moves. `optional` are those moves that
    only one of the two beats of a way has: one that is out of reach on the way cannot happen there, and is no error.
    """

    mark_m: Mark
    facing_rad: float
    held: tuple[float | None, ...]
    moves: Moves
    moving: bool = False
    optional: frozenset[str] = frozenset()


def frame_times(steps: Sequence[Step], fps: float) -> FloatArray:
    """Seconds (f,) from the first beat to the end of the last one's hold; every beat's own two times among them.

    Raises SightlineError for so many frames that nobody would wait for them.
    """
    start, end = steps[0].at_s, steps[-1].until_s
    if (end - start) * fps > MOST_FRAMES:
        raise SightlineError(
            f"{(end - start) * fps:,.0f} frames are too many; the most is {MOST_FRAMES:,}. Take a smaller --fps."
        )
    own = np.array(sorted({t for step in steps for t in (step.at_s, step.until_s) if t <= end}))
    grid = np.arange(math.ceil(start * fps), math.floor(end * fps) + 1) / fps
    after = np.minimum(np.searchsorted(own, grid), len(own) - 1)
    gap = np.minimum(np.abs(own[after] - grid), np.abs(own[np.maximum(after - 1, 0)] - grid))
    return np.unique(np.concatenate([grid[gap > SAME_S], own]))


def spans_s(times_s: FloatArray) -> FloatArray:
    """How many seconds (f,) each frame stands for: half of the gap to either neighbour."""
    out = np.zeros(len(times_s))
    gaps = np.diff(times_s)
    out[:-1] += gaps / 2
    out[1:] += gaps / 2
    return out


def scheme_at(steps: Sequence[Step], t_s: float, ease: str, poses: Sequence[str]) -> Scheme:
    """What is so at a time. `poses`: names of the moves that there are. On a way both its beats' moves may happen."""
    mark, facing, held = place_at(steps, t_s, ease)
    i = step_at(steps, t_s)
    step = steps[i]
    coming = steps[i + 1] if i + 1 < len(steps) and t_s > step.until_s else None
    moves = moves_of(step, poses)
    moving, optional = False, frozenset[str]()
    if coming is not None:
        before, after = (frozenset(poses) if m is None else m for m in (moves, moves_of(coming, poses)))
        moves, optional = _named(before | after, poses), before ^ after
        moving = coming.way_m > 0 or coming.facing_rad != step.facing_rad or coming.held != step.held
    return Scheme(mark, facing, _values(held), moves, moving, optional)


def scheme_of(step: Step, poses: Sequence[str]) -> Scheme:
    """What is so when a beat is reached."""
    return Scheme(step.mark_m, step.facing_rad, _values(step.held), moves_of(step, poses))


def moves_of(step: Step, poses: Sequence[str]) -> Moves:
    """The moves of a beat among those that there are, rest always; None where that is all of them."""
    return None if step.moves is None else _named(frozenset(step.moves), poses)


def _named(moves: frozenset[str], poses: Sequence[str]) -> Moves:
    there = frozenset(poses)
    kept = (moves | {REST}) & there
    return None if kept == there or not kept else kept


def _values(held: Held) -> tuple[float | None, ...]:
    return tuple(getattr(held, key) for key in HELD_KEYS)


def held_of(scheme: Scheme) -> Held:
    """How the prop is held."""
    return Held().model_copy(update=dict(zip(HELD_KEYS, scheme.held, strict=True)))
