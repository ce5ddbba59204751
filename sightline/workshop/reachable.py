"""How much of the prop's inside the hidden hand gets to: grip points on a grid, each tried through the opening."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sightline.figure import arm as arms
from sightline.geometry.frame import FloatArray
from sightline.props.box import box_size, wall_of
from sightline.props.hands import PALM_OFF_M
from sightline.workshop.armway import ArmWay

# At most so many grip points: a finer grid is made coarser.
MOST_POINTS = 8000
ELBOWS = 13
# Why a grip point is out of reach, in the order in which it is asked.
WHY = ("reached", "too far", "too near", "joints", "edge", "clothed")
WHY_WORDS = {
    "at a wall": "too near a wall for a hand",
    "too far": "beyond a straight arm",
    "too near": "nearer than the elbow bends",
    "joints": "refused by a joint",
    "edge": "behind the opening's edge",
    "clothed": "reached only with the arm pressed against the edge",
}


@dataclass(frozen=True)
class Inside:
    """Grip points on a grid in the prop's frame. `x`, `y`, `z` are the planes (nx,), (ny,), (nz,); `why` (nx, ny, nz) are
    indices into WHY; `short_m` how far each is out of reach (> 0 too far, < 0 too near). `room_m` is the inside (3,)."""

    x: FloatArray
    y: FloatArray
    z: FloatArray
    why: NDArray[np.int8]
    short_m: FloatArray
    step_m: FloatArray
    room_m: FloatArray

    @property
    def reached(self) -> NDArray[np.bool_]:
        return np.asarray(self.why == 0)

    @property
    def volume_m3(self) -> float:
        """What is reached."""
        return float(self.reached.sum() * np.prod(self.step_m))

    @property
    def whole_m3(self) -> float:
        """All of the inside, the strip along the walls where no hand's middle can be included."""
        return float(np.prod(self.room_m))

    @property
    def share(self) -> float:
        return self.volume_m3 / self.whole_m3

    def shares(self) -> dict[str, float]:
        """Share of the inside that is not reached, by reason, largest first."""
        cell = float(np.prod(self.step_m)) / self.whole_m3
        found = {name: float((self.why == i).sum()) * cell for i, name in enumerate(WHY) if i}
        found["at a wall"] = 1.0 - self.why.size * cell
        return {name: share for name, share in sorted(found.items(), key=lambda kv: -kv[1]) if share > 0}


def inside_of(way: ArmWay, grid_m: float, pin_rad: float | None = None) -> Inside:
    """Try every grip point of a grid in the box. The fingers point on from the opening's middle to the grip.

    `pin_rad` keeps the elbow at one swivel. A point counts only where clothed flesh clears the hole's edge.
    """
    assert way.box is not None
    size = box_size(way.box)
    room = size - 2 * way.box.wall
    # The hand has a thickness: its middle comes no nearer to a wall than half of that.
    free = np.maximum(room - 2 * PALM_OFF_M, 1e-6)
    step = max(grid_m, float(np.cbrt(np.prod(free) / MOST_POINTS)))
    counts = np.maximum(1, np.round(free / step)).astype(int)
    steps = free / counts
    axes = [(np.arange(n) + 0.5) * s - n * s / 2 for n, s in zip(counts, steps, strict=True)]
    points = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    why, short = _tried(way, points, pin_rad)
    shape = tuple(int(n) for n in counts)
    x, y, z = axes
    return Inside(x, y, z, why.reshape(shape), short.reshape(shape), steps, room)


def _tried(way: ArmWay, points: FloatArray, pin_rad: float | None) -> tuple[NDArray[np.int8], FloatArray]:
    assert way.box is not None
    code = {name: i for i, name in enumerate(WHY)}
    why = np.full(len(points), code["joints"], dtype=np.int8)
    start = way.prop.inverse().points(way.shoulder)
    if way.opening is not None:
        start = wall_of(box_size(way.box), way.opening.wall).point(*way.opening.at, -way.box.wall / 2)
    fingers = points - start
    long = np.linalg.norm(fingers, axis=1, keepdims=True)
    fingers = np.where(long > 0.01, fingers / np.where(long == 0, 1.0, long), [0.0, -1.0, 0.0])
    grips = way.prop.points(points)
    wrists = grips - way.prop.directions(fingers) * arms.palm_centre(way.sheet.hand_length_m)
    short = way.shortfall(wrists)
    why[short > 0] = code["too far"]
    why[short < 0] = code["too near"]
    ask = np.flatnonzero(short == 0)
    if not len(ask):
        return why, short
    swivels = np.array([pin_rad]) if pin_rad is not None else arms.swivel_family(way.side, ELBOWS, way.limits)
    elbows = way.elbows(wrists[ask], swivels)
    fits = way.allowed(elbows, wrists[ask])
    # The family's middle first: whoever is settled is not asked again.
    for k in np.argsort(np.abs(swivels)):
        open_ = np.flatnonzero((why[ask] != 0) & fits[:, k])
        if not len(open_):
            continue
        rows = ask[open_]
        line, clear = way.passes(elbows[open_, k], wrists[rows], grips[rows])
        best = np.where(clear, 0, np.where(line, code["clothed"], code["edge"])).astype(np.int8)
        was = why[rows]
        # Nearest to success is what is told: clothed before edge before joints.
        better = (best == 0) | (was == code["joints"]) | ((was == code["edge"]) & (best == code["clothed"]))
        why[rows] = np.where(better, best, was)
    return why, short
