"""The reachable inside of the prop, cut from above and from the side, with the arm that gets there."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.pictures import style
from sightline.workshop.reach import ReachView

SIZE_IN = (10.0, 5.6)
REACHED = "#8fb3a3"
# Drawn with the arm and its shoulder, but no farther from the box than this.
ROUND_M = 0.12
# Of the walls cut by each view: (name, axis that the wall stands across, which end).
WALLS = {"left": (0, 1), "right": (0, -1), "back": (1, 1), "front": (1, -1), "top": (2, 1), "bottom": (2, -1)}
NAMES = ("left", "back", "up")


def draw_reach(view: ReachView, title: str) -> Any:
    """The figure: section from above at the grip's height, and from the performer's left at the grip's place across."""
    figure = style.figure(*SIZE_IN)
    reached = view.inside.volume_m3 * 1000
    figure.text(0.03, 0.95, f"{title}: what the hidden hand reaches", fontsize=13, weight="bold", parse_math=False)
    said = (
        f"{reached:.1f} of {view.inside.whole_m3 * 1000:.1f} litres, {view.inside.share * 100:.0f} %: grip points every "
        f"{float(view.inside.step_m.max()) * 1000:.0f} mm, the clothed arm clear of the opening's edge."
    )
    figure.text(0.03, 0.905, said, fontsize=9, color=style.QUIET)
    # From above the performer is at the foot of the picture and their left at the left, as they see it themselves.
    for place, across, up, flip, name in (
        (
            (0.06, 0.14, 0.42, 0.71),
            0,
            1,
            (-1.0, -1.0),
            "from above, cut at the grip's height; performer's left at the left",
        ),
        (
            (0.55, 0.14, 0.42, 0.71),
            1,
            2,
            (1.0, 1.0),
            "from the performer's left, cut at the grip; performer at the right",
        ),
    ):
        axes = figure.add_axes(place)
        _section(axes, view, across, up, np.array(flip))
        axes.set_title(name, fontsize=8.5, color=style.INK, loc="left")
    figure.text(
        0.03, 0.025, "tinted: reached by the palm's middle   black: walls, cut; grey: a hole beside the cut   line: shoulder to grip",
        fontsize=8, color=style.QUIET,
    )  # fmt: skip
    return figure


def _section(axes: Any, view: ReachView, across: int, up: int, flip: FloatArray) -> None:
    cut = 3 - across - up
    _tint(axes, view, across, up, cut, flip)
    _walls(axes, view, across, up, cut, flip)
    if view.arm is not None:
        line = view.arm[:, [across, up]] * flip
        axes.plot(line[:, 0], line[:, 1], color=style.MARKED, lw=style.HEAVY, zorder=5)
        axes.plot(line[1:3, 0], line[1:3, 1], "o", ms=4, mfc="white", mec=style.MARKED, zorder=6)
        axes.plot(*line[0], "s", ms=6, color=style.MARKED, zorder=6)
        axes.annotate(
            "shoulder",
            line[0],
            (-7, 0),
            textcoords="offset points",
            fontsize=8,
            color=style.MARKED,
            ha="right",
            va="center",
        )
    grip = view.grip[[across, up]] * flip
    axes.plot(*grip, "x", ms=7, mew=1.5, color=style.INK, zorder=7)
    axes.annotate("grip", grip, (5, 4), textcoords="offset points", fontsize=8)
    axes.set_aspect("equal")
    axes.margins(0.04)
    axes.set_xlabel(f"{NAMES[across]} of the prop's middle (m)", fontsize=8)
    axes.set_ylabel(f"{NAMES[up]} (m)", fontsize=8)
    axes.tick_params(labelsize=7)
    for which, sign in ((axes.xaxis, flip[0]), (axes.yaxis, flip[1])):
        which.set_major_formatter(lambda value, _, sign=sign: f"{value * sign + 0.0:g}")
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _tint(axes: Any, view: ReachView, across: int, up: int, cut: int, flip: FloatArray) -> None:
    planes = (view.inside.x, view.inside.y, view.inside.z)
    layer = int(np.abs(planes[cut] - view.grip[cut]).argmin())
    reached = np.take(view.inside.reached, layer, axis=cut)
    wide, high = view.inside.step_m[across], view.inside.step_m[up]
    from matplotlib.collections import PatchCollection
    from matplotlib.patches import Rectangle

    cells = [
        Rectangle((flip[0] * a - wide / 2, flip[1] * b - high / 2), wide, high)
        for i, a in enumerate(planes[across]) for j, b in enumerate(planes[up]) if reached[i, j]
    ]  # fmt: skip
    axes.add_collection(PatchCollection(cells, facecolor=REACHED, edgecolor=REACHED, lw=0.2, zorder=1))


def _walls(axes: Any, view: ReachView, across: int, up: int, cut: int, flip: FloatArray) -> None:
    """The four walls that the section cuts, as strips; holes that it meets are gaps, others grey."""
    from matplotlib.patches import Polygon

    box = view.box
    size = np.array([box.width, box.depth, box.height])
    for name, (axis, end) in WALLS.items():
        if axis == cut or (name == "top" and box.top == "open"):
            continue
        along = up if axis == across else across
        whole = (-float(size[along]) / 2, float(size[along]) / 2)
        strips = [(whole, style.INK)]
        strips += [(stretch, style.FAINT_LINE) for stretch in _beside(view, name, along)]
        strips += [(stretch, "white") for stretch in _gaps(view, name, along, cut, float(size[along]))]
        for order, ((low, high), colour) in enumerate(strips):
            corner = np.zeros((4, 2))
            outer, inner = end * size[axis] / 2, end * (size[axis] / 2 - box.wall)
            column = 0 if axis == across else 1
            corner[:, column] = [outer, outer, inner, inner]
            corner[:, 1 - column] = [low, high, high, low]
            axes.add_patch(
                Polygon(corner * flip, closed=True, facecolor=colour, edgecolor=colour, lw=0.4, zorder=3 + order / 100)
            )


def _first(name: str) -> int:
    """The prop's axis along a wall's `across`: the axes in rising order, but for the one that it stands across."""
    return min(i for i in range(3) if i != WALLS[name][0])


def _beside(view: ReachView, name: str, along: int) -> list[tuple[float, float]]:
    """How far the holes of a wall reach along an axis, whether or not the cut goes through them."""
    k = 0 if along == _first(name) else 1
    holes = [hole for hole in view.openings if hole.wall == name]
    return [(hole.at[k] - hole.size_m[k] / 2, hole.at[k] + hole.size_m[k] / 2) for hole in holes]


def _gaps(view: ReachView, name: str, along: int, cut: int, length_m: float) -> list[tuple[float, float]]:
    """Stretches of a wall where the cut goes through a hole, along one axis of the prop."""
    from sightline.workshop.clearance import within_hole

    points = np.linspace(-length_m / 2, length_m / 2, 801)
    gone = np.zeros(len(points), dtype=bool)
    for hole in view.openings:
        if hole.wall != name:
            continue
        level = np.full(len(points), float(view.grip[cut]))
        plane = np.column_stack([points, level] if along == _first(name) else [level, points]) - np.array(hole.at)
        gone |= within_hole(hole, plane) <= 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], gone, [False]]).astype(int)))
    return [(float(points[a]), float(points[b - 1])) for a, b in zip(edges[::2], edges[1::2], strict=True)]
