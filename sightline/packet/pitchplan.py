"""The pitch in plan, to a true scale, from open facts alone: footprint, first row, wall, handlers, photographs, queue."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.packet.openfacts import OpenFacts, Place
from sightline.packet.paper import PaperName
from sightline.packet.scaleplan import draw_bar, plan_axes, scale_for
from sightline.pictures import style
from sightline.pictures.page import Page

# The queue for photographs stands so far beside the pitch and the first rows. Common practice, no source.
QUEUE_OUT_M = 0.6
MARGIN_M = 0.9


def pitch_plan(
    page: Page, facts: OpenFacts, box_mm: tuple[float, float, float, float], paper: PaperName, queue: bool = True
) -> str:
    """Draw it in a box (left, top, width, height) of the page, with its scale bar below; gives the scale in words."""
    left, top, wide, tall = box_mm
    inner = (left, top, wide, tall - 9.0)
    half, depth = facts.pitch_m[0] / 2, facts.pitch_m[1]
    ring = facts.ring_m
    front = depth - facts.turning_m - 0.4
    far = front if facts.seated else max(front, ring + 0.5, facts.farther[0] + 0.3 if facts.farther else 0.0)
    photo = facts.photo or (0.0, ring)
    # On the side from which photographs are taken; on the performer's left where that is straight ahead.
    sign = -1.0 if photo[0] < 0 else 1.0
    side = sign * (max(half, _side_of_front(facts, sign)) + QUEUE_OUT_M)
    low, high = np.array([-half - MARGIN_M, -far - 0.2]), np.array([half + MARGIN_M, facts.turning_m + 0.7])
    if queue:
        low[0], high[0] = min(low[0], side - 0.4), max(high[0], side + 0.4)
    scale = scale_for(high - low, (inner[2], inner[3]), paper)
    axes = plan_axes(page, inner, scale, (low + high) / 2)
    back = facts.turning_m + 0.4
    _pitch(axes, half, back, back - depth)
    _act(axes, facts)
    if not facts.seated:
        _front(axes, facts, far, -sign)
    if not facts.surrounded:
        axes.plot([-half, half], [back, back], color=style.INK, lw=3.2, solid_capstyle="butt", zorder=3)
        _say(axes, (0.0, back + 0.12), "wall, flat or curtain", va="bottom")
    for k, post in enumerate(facts.posts[: facts.handlers], 1):
        _person(axes, post, f"H{k}")
    if facts.photo is not None and not facts.seated:
        _cross(axes, facts.photo)
    if queue:
        _queue(axes, side, photo)
    _sides(page, inner)
    draw_bar(page, left + 2.0, top + tall - 3.4, scale)
    return scale.words


def key_lines(facts: OpenFacts, queue: bool = True) -> list[tuple[str, str]]:
    """What the signs of the drawing mean."""
    out = [
        ("dark", "performer with what is carried; dashed circle: kept free, the performer turns here"),
    ]
    if not facts.seated:
        out.append(("heavy line in front", "first row of the audience, not nearer"))
    if facts.farther is not None and not facts.seated:
        out.append(("broken line", "from here on the audience may be farther round"))
    if facts.posts:
        out.append(
            (
                "H",
                "a handler of the company stands here" if facts.handlers == 1 else "handlers of the company stand here",
            )
        )
    if facts.photo is not None and not facts.seated:
        out.append(("X", "stand here to photograph, one at a time"))
    if queue:
        out.append(("dots", "queue for photographs, along the side, off the ways that must stay clear"))
    return out


def spot(place: Place) -> FloatArray:
    """Where a place is in the drawing: the performer at (0, 0) faces down, the performer's left at the right."""
    bearing, away = place
    return np.array([away * math.sin(bearing), -away * math.cos(bearing)])


def _pitch(axes: Any, half: float, back: float, front: float) -> None:
    axes.plot(
        [-half, half, half, -half, -half], [back, back, front, front, back], color=style.QUIET, lw=style.MEDIUM, ls=(0, (6, 3)), zorder=1
    )  # fmt: skip
    _say(
        axes,
        (-half + 0.08, front + 0.08),
        f"pitch {2 * half:g} x {back - front:g} m",
        ha="left",
        va="bottom",
        colour=style.QUIET,
    )


def _act(axes: Any, facts: OpenFacts) -> None:
    from matplotlib.patches import Circle, Rectangle

    wide, deep = facts.footprint_m
    # Most of the depth is ahead of the spine, about which the performer turns.
    ahead = min(facts.turning_m, deep - 0.12)
    circle = Circle((0, 0), facts.turning_m, fc="none", ec=style.INK, lw=style.THIN, ls=(0, (4, 3)), zorder=4)
    axes.add_patch(circle)
    body = Rectangle((-wide / 2, -ahead), wide, deep, fc="#6f7378", ec=style.INK, lw=style.MEDIUM, zorder=3)
    axes.add_patch(body)
    # Nothing reaches out of the circle it turns in: the box's corners are of no body.
    body.set_clip_path(circle)
    axes.annotate(
        "", xy=(0, -ahead - 0.28), xytext=(0, -ahead), zorder=5,
        arrowprops={"arrowstyle": "-|>", "color": style.INK, "lw": style.MEDIUM, "shrinkA": 0, "shrinkB": 0},
    )  # fmt: skip


def _front(axes: Any, facts: OpenFacts, far: float, sign: float) -> None:
    """The line of the first row as far round as people may be, and rows of dots behind it."""
    right, left = facts.front_rad or (-math.pi / 4, math.pi / 4)
    if facts.surrounded:
        right, left = -math.pi, math.pi
    angles = np.linspace(right, left, 60)
    axes.plot(facts.ring_m * np.sin(angles), -facts.ring_m * np.cos(angles), color=style.INK, lw=style.HEAVY, zorder=3)
    if facts.farther is not None:
        away, start, end = facts.farther
        wider = np.linspace(start, end, 60)
        axes.plot(
            away * np.sin(wider), -away * np.cos(wider), color=style.INK, lw=style.MEDIUM, ls=(0, (8, 2)), zorder=3
        )
        _reach(axes, away, (start, end), sign)
    _reach(axes, facts.ring_m, (right, left), sign)
    for k, away in enumerate(np.arange(facts.ring_m + 0.35, max(far, facts.ring_m + 0.4), 0.6)):
        if facts.farther is not None and away >= facts.farther[0]:
            right, left = facts.farther[1:]
        count = max(2, round((left - right) * away / 0.6))
        dots = (
            np.linspace(right, left, count)
            if k % 2 == 0
            else np.linspace(right, left, count + 1)[:-1] + (left - right) / count / 2
        )
        axes.scatter(away * np.sin(dots), -away * np.cos(dots), s=16, fc="none", ec=style.QUIET, lw=0.6, zorder=2)


def _reach(axes: Any, away: float, arc: tuple[float, float], sign: float) -> None:
    """How far out a first row is, said at its end on one side (1 the performer's left)."""
    end = arc[1] if sign > 0 else arc[0]
    at = (away * math.sin(end) + sign * 0.16, -away * math.cos(end))
    _say(axes, at, f"from {away:g} m", ha="left" if sign > 0 else "right")


def _person(axes: Any, place: Place, name: str) -> None:
    at = spot(place)
    axes.plot(*at, marker="s", ms=12, mfc="white", mec=style.INK, mew=style.MEDIUM, zorder=6)
    axes.text(
        *at, name, fontsize=6.2, ha="center", va="center", weight="bold", color=style.INK, zorder=7, parse_math=False
    )


def _cross(axes: Any, place: Place) -> None:
    axes.plot(*spot(place), marker="X", ms=10, mfc="white", mec=style.INK, mew=style.MEDIUM, zorder=6)


def _side_of_front(facts: OpenFacts, sign: float) -> float:
    """How far to one side (1 the performer's left) the first rows stand, m."""
    arcs = [(facts.ring_m, facts.front_rad)] if facts.front_rad else []
    arcs += [(facts.farther[0], facts.farther[1:])] if facts.farther else []
    ends = [away * math.sin(min(max(sign * end, 0.0), math.pi / 2)) for away, arc in arcs for end in arc]
    return max(ends, default=0.0)


def _queue(axes: Any, side: float, photo: Place) -> None:
    """A line of people beside the pitch and the audience, then across to where photographs are taken."""
    sign = math.copysign(1.0, side)
    head = float(spot(photo)[1])
    at = head + 0.55 * np.arange(4)
    axes.scatter(np.full(len(at), side), at, s=20, fc=style.INK, ec="none", zorder=3)
    axes.annotate(
        "", xy=(float(spot(photo)[0]) + sign * 0.18, head), xytext=(side - sign * 0.12, head), zorder=2,
        arrowprops={"arrowstyle": "-|>", "color": style.QUIET, "lw": style.MEDIUM, "shrinkA": 0, "shrinkB": 0},
    )  # fmt: skip
    where = (side + sign * 0.2, float(at.mean()))
    axes.text(*where, "queue", fontsize=6.8, rotation=90, ha="center", va="center", color=style.INK, parse_math=False)


def _sides(page: Page, box: tuple[float, float, float, float]) -> None:
    left, top, wide, tall = box
    look = {"fontsize": 6.8, "color": style.INK, "zorder": 10, "parse_math": False}
    look |= {"bbox": {"facecolor": "white", "edgecolor": "none", "pad": 0.8}}
    page.axes.text(left + 1.5, top + 1.5, "performer's right\nhouse left", ha="left", va="top", **look)
    page.axes.text(left + wide - 1.5, top + 1.5, "performer's left\nhouse right", ha="right", va="top", **look)
    page.axes.text(left + wide / 2, top + tall - 1.5, "audience", ha="center", va="bottom", **look)


def _say(
    axes: Any, at: tuple[float, float], text: str, ha: str = "center", va: str = "center", colour: str = style.INK
) -> None:
    axes.text(*at, text, fontsize=6.8, ha=ha, va=va, color=colour, zorder=8, parse_math=False)
