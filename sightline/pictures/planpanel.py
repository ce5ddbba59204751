"""One panel of a plan: the lines of the venue, the mark and facing, the seats of one storey."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.house.outline import Outline
from sightline.house.storeys import Storey, storeys
from sightline.moment import Moment
from sightline.pictures import style
from sightline.pictures.board import Board
from sightline.pictures.labels import ROUND, Labels
from sightline.pictures.layer import Layer
from sightline.pictures.seatmarks import draw_held, draw_row_ends, draw_seats, draw_worst, mark_pt

LINES = {
    "stage edge": (style.INK, style.HEAVY, "-"), "plaster line": (style.QUIET, style.THIN, "--"),
    "centre line": (style.QUIET, style.THIN, (0, (8, 3, 1, 3))), "proscenium": (style.INK, style.HEAVY, "-"),
    "wall": (style.QUIET, style.MEDIUM, "-"), "masking": (style.INK, style.MEDIUM, "-"),
    "rail": (style.QUIET, style.MEDIUM, "-"), "column": (style.INK, style.MEDIUM, "-"),
    "box": (style.INK, style.MEDIUM, "-"), "balcony front": (style.INK, style.MEDIUM, "-"),
    "standing area": (style.FAINT_LINE, style.MEDIUM, "-"), "aisle": (style.FAINT_LINE, style.THIN, "-"),
    "exit": (style.CLEAR, style.MEDIUM, ":"), "keep clear": (style.CLEAR, style.MEDIUM, ":"), "edge": (style.QUIET, style.MEDIUM, ":"),
    # A heavy line for a mirror, a small star for a lamp.
    "mirror": (style.HIDDEN, 2 * style.HEAVY, "-"), "lamp": (style.INK, style.MEDIUM, "-"),
}  # fmt: skip
# Lines that belong to seats of one storey only, and those that small plans leave away.
OF_SEATS = ("aisle", "balcony front")
ONLY_LARGE = ("aisle", "centre line", "plaster line")
HEAD_IN, FOOT_IN = 0.19, 0.26
# From this width on a storey's name has room between the two sides' words.
ROOMY_IN = 3.9
# And the sides' own words beside each other.
WORDS_IN = 2.85


@dataclass(frozen=True)
class Ground:
    """What all panels of a sheet share: the moment, its eyes in plan (e, 2), and the piece of floor that is shown."""

    moment: Moment
    points: FloatArray
    low: FloatArray
    high: FloatArray
    held_m: FloatArray = field(default_factory=lambda: np.zeros((0, 3)))
    walk_m: FloatArray = field(default_factory=lambda: np.zeros((0, 2)))

    @property
    def size_m(self) -> FloatArray:
        return self.high - self.low

    @property
    def start(self) -> FloatArray:
        """Where sightlines begin: the mark, or the middle of what is secret."""
        mark = self.moment.plan.mark_m
        return np.array(mark) if mark is not None else self.moment.focus_m[:2]


def ground_of(moment: Moment, held_m: FloatArray | None = None, walk_m: FloatArray | None = None) -> Ground:
    """The floor round all eyes, the mark and what is upstage of it."""
    points = moment.eye_points()[:, :2]
    held = np.zeros((0, 3)) if held_m is None else held_m
    walk = np.zeros((0, 2)) if walk_m is None else walk_m
    low, high = extent(moment, np.vstack([points, held[:, :2], walk]))
    return Ground(moment, points, low, high, held, walk)


def extent(moment: Moment, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    mark = np.array([moment.plan.mark_m or moment.focus_m[:2]])
    marked = [o.points_m for o in moment.plan.outlines if isinstance(o, Outline) and o.kind in ("mirror", "lamp")]
    every = np.vstack([points, mark, mark + [0, 2.5], *marked])
    low, high = every.min(axis=0) - 1.2, every.max(axis=0) + 1.2
    # A plan much deeper than wide, or the other way, wastes the sheet.
    room = max(high[0] - low[0], 0.55 * (high[1] - low[1]), 6.0)
    middle = (low[0] + high[0]) / 2
    return np.array([middle - room / 2, low[1]]), np.array([middle + room / 2, high[1]])


def draw_panel(
    board: Board, left: float, top: float, inch_per_m: float, ground: Ground, storey: Storey, layer: Layer,
    large: bool, named: Sequence[int] = (), ghosts: bool = False,
) -> Any:  # fmt: skip
    """One storey's plan, its upper left corner at so many inches. Gives its axes, which are in metres."""
    axes = floor(board, left, top, inch_per_m, ground, storey, large)
    points, moment = ground.points, ground.moment
    size = min(mark_pt(points[each.members], inch_per_m) for each in storeys(moment.eyes))
    if ghosts:
        others = np.setdiff1d(np.arange(len(points)), storey.members)
        axes.scatter(*points[others].T, s=1.2 if large else 0.4, color=style.FAINT_LINE, linewidths=0, zorder=1)
    draw_seats(axes, layer, storey.members, points, size)
    on_storey = np.isin(np.arange(len(points)), storey.members)
    draw_held(axes, _held_here(ground, storey), size)
    labels = Labels(axes, ground.low, ground.high, inch_per_m, points[storey.members], size / 2 / 72 / inch_per_m)
    performer(axes, ground, large, labels)
    here = [i for i in named if on_storey[i]]
    draw_worst(
        axes, labels if large else None, layer, here, moment.eyes, points, ground.start, size, named[0] if named else -1
    )
    if large:
        _names(labels, ground)
        draw_row_ends(labels, moment.eyes, storey.members, points, size)
    return axes


def floor(board: Board, left: float, top: float, inch_per_m: float, ground: Ground, storey: Storey, large: bool) -> Any:
    """Axes in metres with the lines of the venue as one storey has them."""
    wide, tall = ground.size_m * inch_per_m
    axes = board.axes(left, top, float(wide), float(tall))
    axes.set_xlim(ground.low[0], ground.high[0])
    axes.set_ylim(ground.low[1], ground.high[1])
    axes.set_axis_off()
    for outline in ground.moment.plan.outlines:
        assert isinstance(outline, Outline)
        if (not large and outline.kind in ONLY_LARGE) or not _belongs(outline, ground, storey):
            continue
        colour, weight, dash = LINES.get(outline.kind, (style.QUIET, style.THIN, "-"))
        axes.plot(
            *outline.points_m.T,
            color=colour,
            lw=weight * (1 if large else 0.6),
            ls=dash,
            zorder=1,
            solid_capstyle="butt",
        )
    return axes


def _belongs(outline: Outline, ground: Ground, storey: Storey) -> bool:
    """Aisles and balcony fronts are drawn where their seats are; everything else on every storey."""
    if outline.kind not in OF_SEATS:
        return True
    # Both are named after their block, and so are its seats: the block, then one word. Only where no seat is (a list gives
    # seats names of its own), whatever begins so: 'stalls' would take the seats of 'stalls upper' as well.
    block = outline.name.rsplit(" aisle ", 1)[0]
    ids = [eye.id for eye in ground.moment.eyes]
    own = [i for i, name in enumerate(ids) if name.rpartition(" ")[0] == block]
    own = own or [i for i, name in enumerate(ids) if name.startswith(f"{block} ")]
    return bool(np.isin(own, storey.members).any())


def _held_here(ground: Ground, storey: Storey) -> FloatArray:
    """The held seats whose height fits this storey's eyes best."""
    if not len(ground.held_m) or not len(storey.members):
        return np.zeros((0, 2))
    heights = np.array([eye.position_m[2] for eye in ground.moment.eyes])
    every = np.arange(len(heights))
    nearest = [
        int(every[np.argmin(np.hypot(*(ground.points - seat[:2]).T) + 4 * np.abs(heights - seat[2]))])
        for seat in ground.held_m
    ]
    return ground.held_m[np.isin(nearest, storey.members)][:, :2]


def performer(axes: Any, ground: Ground, large: bool, labels: Labels | None = None) -> None:
    """The mark as a cross, the facing as an arrow, the way walked as a dashed line."""
    moment = ground.moment
    if len(ground.walk_m) > 1:
        axes.plot(*ground.walk_m.T, color=style.MARKED, lw=style.MEDIUM, ls=(0, (4, 2)), zorder=6)
    if moment.plan.mark_m is None:
        return
    x, y = moment.plan.mark_m
    size = 0.34 if large else 0.5
    axes.plot([x - size, x + size], [y, y], color=style.MARKED, lw=style.HEAVY, zorder=7)
    axes.plot([x, x], [y - size, y + size], color=style.MARKED, lw=style.HEAVY, zorder=7)
    ahead = np.array([np.sin(moment.plan.facing_rad), -np.cos(moment.plan.facing_rad)])
    tip = np.array([x, y]) + ahead * (1.3 if large else 1.7)
    axes.annotate(
        "", xy=tip, xytext=(x, y), zorder=7,
        arrowprops={"arrowstyle": "-|>", "color": style.MARKED, "lw": style.MEDIUM, "shrinkA": 0, "shrinkB": 0},
    )  # fmt: skip
    if labels is not None:
        labels.taken.append((x - size, y - size, x + size, y + size))


def _names(labels: Labels, ground: Ground) -> None:
    """What a plan should name: mirrors, lamps, ways out."""
    done = set()
    for outline in ground.moment.plan.outlines:
        assert isinstance(outline, Outline)
        if outline.kind not in ("mirror", "lamp", "exit", "keep clear", "standing area") or outline.name in done:
            continue
        done.add(outline.name)
        points = outline.points_m
        inside = np.all((points > ground.low) & (points < ground.high), axis=1)
        if inside.any():
            middle = points[inside].mean(axis=0)
            at = middle if outline.kind != "standing area" else points[inside][np.argmax(points[inside][:, 1])]
            labels.put(outline.name, at, ROUND, 0.15, style.SMALL_PT + 0.8, style.QUIET, paper=True)


def panel_head(board: Board, left: float, top: float, wide: float, name: str) -> None:
    """Both lefts and rights over a panel, and its storey's name between or under them."""
    small = style.LABEL_PT - 0.5
    # Over a narrow panel the words run out to both sides from its middle.
    narrow = wide < WORDS_IN
    ends = (left + wide / 2 - 0.06, left + wide / 2 + 0.06) if narrow else (left, left + wide)
    board.say(ends[0], top, ["stage right = house left"], small, style.QUIET, ha="right" if narrow else "left")
    board.say(ends[1], top, ["stage left = house right"], small, style.QUIET, ha="left" if narrow else "right")
    if name:
        under = 0.0 if wide > ROOMY_IN else HEAD_IN - 0.04
        board.say(left + wide / 2, top + under, [name], style.LABEL_PT, style.INK, "bold", "center")


def panel_head_in(wide: float, named: bool) -> float:
    """How tall a panel's head is, inches."""
    return 2 * HEAD_IN if named and wide <= ROOMY_IN else HEAD_IN


def panel_foot(board: Board, left: float, top: float, wide: float, inch_per_m: float) -> None:
    """The scale bar with its unit, and the arrow that points to the audience."""
    axes = board.plain_axes(left, top, wide, FOOT_IN)
    length = next((m for m in (10.0, 5.0, 2.0, 1.0, 0.5) if m * inch_per_m < 0.32 * wide), 0.5)
    end, y = length * inch_per_m, 0.13
    axes.plot([0.01, end], [y, y], color=style.INK, lw=style.MEDIUM, solid_capstyle="butt")
    for x in (0.01, end):
        axes.plot([x, x], [y - 0.035, y + 0.035], color=style.INK, lw=style.MEDIUM)
    axes.text(end + 0.06, y, f"{length:g} m", va="center", fontsize=style.LABEL_PT)
    axes.annotate(
        "", xy=(wide - 0.08, 0.24), xytext=(wide - 0.08, 0.02),
        arrowprops={"arrowstyle": "-|>", "color": style.INK, "lw": style.MEDIUM, "shrinkA": 0, "shrinkB": 0},
    )  # fmt: skip
    word = "to the audience" if wide > 2.4 else "audience"
    axes.text(wide - 0.2, y, word, ha="right", va="center", fontsize=style.LABEL_PT)
