"""The plan as inline SVG: the house, the performer on the mark, and a shape for every eye.

Drawn in twentieths of a metre, stage left to the right and the audience below, as `pictures/plan.py` does. All colours
come from the page's style sheet, so that it follows light, dark and print.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from html import escape
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.house.outline import Outline
from sightline.moment import Moment
from sightline.pictures import style
from sightline.pictures.layer import LARGEST_ARCMIN, SMALLEST_ARCMIN

PER_M = 20.0
STEPS = len(style.SCALE_STOPS)
LEAST_RADIUS, MOST_RADIUS = 2.2, 7.0
ROOM_M = 1.0
# Between the last row of one level and the first of the next, which is drawn behind it.
LEVEL_GAP_M = 2.2


@dataclass(frozen=True)
class Laid:
    """Where everything is on the plan: eyes (e, 2) in its units, their radius, lines, and the frame (x, y, w, h)."""

    at: FloatArray
    radius: float
    lines: list[tuple[str, FloatArray]]
    levels: list[tuple[str, float, float]]
    box: tuple[float, float, float, float]

    @property
    def ink(self) -> float:
        """How large what is not to scale is drawn: 1 on a plan as wide as a theatre."""
        return float(np.clip(self.box[2] / (21 * PER_M), 0.3, 2.5))


def laid_out(moment: Moment) -> Laid:
    """The plan of a moment in the frame of the stage."""
    shift = level_shifts(moment)
    at = (moment.eye_points()[:, :2] + shift) * [PER_M, -PER_M]
    lines = []
    for outline in moment.plan.outlines:
        assert isinstance(outline, Outline)
        moved = outline.points_m + _shift_of(outline, moment, shift)
        lines.append((outline.kind, moved * [PER_M, -PER_M]))
    levels = _levels(moment, at)
    mark = np.array([moment.plan.mark_m or (0.0, 0.0)]) * [PER_M, -PER_M]
    every = np.vstack([at, mark, mark - [0, 2.2 * PER_M], mark + [0, 1.5 * PER_M]])
    low, high = every.min(axis=0) - ROOM_M * PER_M, every.max(axis=0) + ROOM_M * PER_M
    wide = max(high[0] - low[0], 0.6 * (high[1] - low[1]), 6 * PER_M)
    # A strip at the foot for the scale bar and the level's name.
    high[1] += 0.06 * wide
    middle = (low[0] + high[0]) / 2
    box = (float(middle - wide / 2), float(low[1]), float(wide), float(high[1] - low[1]))
    laid = Laid(np.round(at, 1), 0.0, lines, levels, box)
    return replace(laid, radius=_radius(at, laid.ink))


def _levels(moment: Moment, at: FloatArray) -> list[tuple[str, float, float]]:
    """The name of each level under its last row; none at all where people of several stand among each other."""
    out: list[tuple[str, float, float]] = []
    spans: list[tuple[float, float]] = []
    for level in moment.plan.levels:
        member = np.array([eye.level == level for eye in moment.eyes])
        if member.any():
            out.append((level, float(at[member, 0].mean()), float(at[member, 1].max())))
            spans.append((float(at[member, 1].min()), float(at[member, 1].max()) + PER_M))
    spans.sort()
    apart = all(one[1] <= other[0] for one, other in pairwise(spans))
    return out if apart else []


def level_shifts(moment: Moment) -> FloatArray:
    """How far each eye (e, 2) is drawn from where it is: levels above the first are unfolded behind the one below."""
    at = moment.eye_points()[:, :2]
    shift = np.zeros_like(at)
    members = [np.array([eye.level == level for eye in moment.eyes]) for level in moment.plan.levels]
    members = [member for member in members if member.any()]
    for k in range(1, len(members)):
        below = (at + shift)[np.any(members[:k], axis=0)]
        here = at[members[k]]
        overlaps = here[:, 1].max() > below[:, 1].min() - LEVEL_GAP_M
        if overlaps and here[:, 1].max() < 0:
            shift[members[k], 1] = below[:, 1].min() - LEVEL_GAP_M - here[:, 1].max()
    return shift


def _shift_of(outline: Outline, moment: Moment, shift: FloatArray) -> FloatArray:
    """A balcony's lines move with its seats."""
    for level in moment.plan.levels:
        if level in outline.name or (outline.kind == "balcony front" and "balcony" in level):
            member = [i for i, eye in enumerate(moment.eyes) if eye.level == level]
            if member:
                return np.asarray(shift[member[0]])
    return np.zeros(2)


def _radius(at: FloatArray, ink: float) -> float:
    """Of a mark: less than half of the way between most neighbours."""
    from scipy.spatial import cKDTree

    if len(at) < 2:
        return MOST_RADIUS * ink
    gaps = cKDTree(at).query(at, k=2)[0][:, 1]
    return round(float(np.clip(0.38 * np.quantile(gaps, 0.25), LEAST_RADIUS, MOST_RADIUS)), 2)


def marks(laid: Laid, verdict: NDArray[np.int8], size_arcmin: FloatArray) -> list[str]:
    """The path of every class of eye: hidden, faint, and the steps of the scale. The twin of `js/plan.js`."""
    out: list[list[str]] = [[] for _ in range(2 + STEPS)]
    r = laid.radius
    low, wide = math.log(SMALLEST_ARCMIN), math.log(LARGEST_ARCMIN) - math.log(SMALLEST_ARCMIN)
    for (x, y), found, size in zip(laid.at.tolist(), verdict.tolist(), size_arcmin.tolist(), strict=True):
        if found == 0:
            out[0].append(
                f"M{x - 0.7 * r:g} {y:g}a{0.7 * r:g} {0.7 * r:g} 0 1 0 {1.4 * r:g} 0a{0.7 * r:g} {0.7 * r:g} 0 1 0 {-1.4 * r:g} 0"
            )
        elif found == 1:
            out[1].append(f"M{x:g} {y - r:g}l{r:g} {1.8 * r:g}h{-2 * r:g}z")
        else:
            share = (math.log(max(size, SMALLEST_ARCMIN)) - low) / wide
            bin_ = min(STEPS - 1, max(0, int(share * STEPS)))
            out[2 + bin_].append(f"M{x - r:g} {y - r:g}h{2 * r:g}v{2 * r:g}h{-2 * r:g}z")
    return ["".join(parts) for parts in out]


def plan_svg(
    laid: Laid,
    moment: Moment,
    verdict: NDArray[np.int8],
    size_arcmin: FloatArray,
    name: str,
    title: str,
    worst: int | None = None,
) -> str:
    """The SVG element with id `name`. `worst`: the eye to which a sightline is drawn, -1 none; None for a plan that
    can be worked."""  # fmt: skip
    parts = [f'<title id="{name}-title">{escape(title)}</title>']
    parts += [f'<path class="o o-{kind.replace(" ", "-")}" d="{_path(points)}"/>' for kind, points in laid.lines]
    if worst is not None and worst >= 0 and moment.plan.mark_m is not None:
        (x, y), (mx, my) = laid.at[worst], np.array(moment.plan.mark_m) * [PER_M, -PER_M]
        parts.append(f'<path class="ray" d="M{x:g} {y:g}L{mx:g} {my:g}"/>')
    parts += [
        f'<path class="m m-{_css(k)}" data-layer="{k}" d="{d}"/>'
        for k, d in enumerate(marks(laid, verdict, size_arcmin))
    ]
    if worst is None:
        r = laid.radius
        parts.append('<path class="changed" data-part="changed" d=""/>')
        parts.append(
            f'<g class="chosen" data-part="chosen" hidden=""><circle r="{2.1 * r:g}"/><circle r="{2.1 * r:g}"/></g>'
        )
    parts.append(_performer(moment, laid.ink, worst is None))
    parts += [
        f'<text class="level" x="{x:g}" y="{y + laid.radius + 15 * laid.ink:.1f}">{escape(level)}</text>'
        for level, x, y in laid.levels
    ]
    parts.append(_bar(laid))
    box = " ".join(f"{value:.1f}" for value in laid.box)
    opening = f'<svg id="{name}" class="plan" viewBox="{box}" font-size="{13 * laid.ink:.2f}"'
    return f'{opening} role="img" aria-labelledby="{name}-title">{"".join(parts)}</svg>'


def _css(k: int) -> str:
    return ("hidden", "faint")[k] if k < 2 else f"seen s{k - 2}"


def _path(points: FloatArray) -> str:
    closed = len(points) > 2 and bool(np.allclose(points[0], points[-1]))
    steps = points[:-1] if closed else points
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in steps.tolist()) + ("Z" if closed else "")


def _performer(moment: Moment, ink: float, worked: bool) -> str:
    """A cross on the mark, and an arrow where the performer faces; with handles to drag by where the plan is worked."""
    if moment.plan.mark_m is None:
        return ""
    x, y = moment.plan.mark_m
    turn = f"translate({x * PER_M:g} {-y * PER_M:g}) rotate({-math.degrees(moment.plan.facing_rad):g})"
    arrow = '<path class="spike" d="M-8 0H8M0 -8V26"/><path class="tip" d="M0 36L-5 24H5Z"/>'
    handles = (
        '<circle class="grab" data-drag="mark" r="17"/><circle class="grab" data-drag="facing" cy="33" r="15"/>'
        if worked
        else ""
    )
    return f'<g class="performer" data-part="performer" transform="{turn}"><g transform="scale({ink:.3f})">{arrow}{handles}</g></g>'


def _bar(laid: Laid) -> str:
    x, y, wide, tall = laid.box
    length = 5 if wide > 14 * PER_M else 2 if wide > 6 * PER_M else 1
    ink = laid.ink
    left, base = x + 8 * ink, y + tall - 10 * ink
    return (
        f'<path class="bar" d="M{left:.1f} {base:.1f}h{length * PER_M:g}M{left:.1f} {base - 4 * ink:.1f}v{8 * ink:.1f}'
        f'M{left + length * PER_M:.1f} {base - 4 * ink:.1f}v{8 * ink:.1f}"/>'
        f'<text class="bar-words" x="{left + length * PER_M + 7 * ink:.1f}" y="{base + 4.5 * ink:.1f}">{length} m</text>'
    )
