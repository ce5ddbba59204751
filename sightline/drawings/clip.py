"""Lines cut at a rectangle's edge: what lies outside is not hidden but not there."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from sightline.drawings.drawing import Rect, Stroke
from sightline.drawings.looks import LOOKS
from sightline.geometry.frame import FloatArray

# Shorter than this is a line that only touches the rectangle.
_NOTHING_MM = 1e-9


def clipped(stroke: Stroke, rect: Rect) -> list[Stroke]:
    """The parts of a line within a rectangle, each going on with the dashes of the whole. A line on the edge is within."""
    points = np.asarray(stroke.points, dtype=float)
    low, high = np.array(rect[:2]), np.array(rect[2:])
    if np.any(points.max(axis=0) < low) or np.any(points.min(axis=0) > high):
        return []
    if np.all(points >= low) and np.all(points <= high):
        return [stroke]
    walk = np.vstack([points, points[:1]]) if stroke.closed else points
    runs = _runs(walk, low, high, stroke.dash_from_mm)
    # In a closed line the last part may run on into the first; dashes begin anew there, as they do in the whole.
    solid = not LOOKS[stroke.layer].dashes
    if stroke.closed and solid and len(runs) > 1 and np.array_equal(runs[0][0][0], runs[-1][0][-1]):
        (first, _), (last, begun) = runs[0], runs[-1]
        runs = [*runs[1:-1], ([*last, *first[1:]], begun)]
    return [Stroke(np.array(run), stroke.layer, False, begun) for run, begun in runs]


def _runs(walk: FloatArray, low: FloatArray, high: FloatArray, along: float) -> list[tuple[list[FloatArray], float]]:
    """Stretches of the walk within, each with the length walked before it begins (Liang and Barsky's clipping)."""
    runs: list[tuple[list[FloatArray], float]] = []
    going = False
    for start, end in pairwise(walk):
        way = end - start
        length = float(np.hypot(*way))
        if length <= _NOTHING_MM:
            continue
        t0, t1 = _within(start, way, low, high)
        if (t1 - t0) * length > _NOTHING_MM:
            enter = start if t0 == 0.0 else start + t0 * way
            leave = end if t1 == 1.0 else start + t1 * way
            if going and t0 == 0.0:
                runs[-1][0].append(leave)
            else:
                runs.append(([enter, leave], along + t0 * length))
            going = t1 == 1.0
        else:
            going = False
        along += length
    return runs


def _within(start: FloatArray, way: FloatArray, low: FloatArray, high: FloatArray) -> tuple[float, float]:
    """From which to which share of a straight line it is within; (1, 0) for nowhere."""
    t0, t1 = 0.0, 1.0
    for k in range(2):
        if way[k] == 0.0:
            if not low[k] <= start[k] <= high[k]:
                return 1.0, 0.0
            continue
        a, b = sorted((float((low[k] - start[k]) / way[k]), float((high[k] - start[k]) / way[k])))
        t0, t1 = max(t0, a), min(t1, b)
    return (t0, t1) if t0 < t1 else (1.0, 0.0)
