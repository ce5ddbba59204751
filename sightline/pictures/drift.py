"""The drift round a mark, large enough to tape out from: region, lozenge, disc, turns, and who leaks first where."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from typing import Any

import numpy as np

from sightline.blocking.cautions import EDGE
from sightline.blocking.drift import Drift, Slice, Turn, first_leaks, middle_turn, on_bearing
from sightline.blocking.notation import body_position, datum, depth_words, side_words
from sightline.blocking.odds import Odds
from sightline.blocking.tapeout import centimetres, degrees_down, inches
from sightline.house.outline import Outline
from sightline.pictures import style
from sightline.pictures.planned import planned

WIDE_IN, TALL_IN = 8.4, 9.1
PLAN_IN = 5.9
# The plan shows at most this much to each side of the mark, and at least so little.
HALF_M = (0.25, 0.78)
MOST_NAMES = 5
CLEAN = "#dce7ea"
TAPE = "#8a6d00"
_WHITE = {"boxstyle": "round,pad=0.2", "facecolor": "white", "edgecolor": "none", "alpha": 0.9}


def draw_drift(drift: Drift, odds: Odds, title: str, venue: str, outlines: Sequence[Outline] = ()) -> Any:
    """The figure. `outlines` are the venue's, in the frame of the stage."""
    figure = style.figure(WIDE_IN, TALL_IN)
    figure.text(0.045, 1 - 0.36 / TALL_IN, title, fontsize=14, fontweight="bold", va="center", parse_math=False)
    base = datum(outlines)
    place = f"mark {side_words(drift.mark_m[0])}, {depth_words(drift.mark_m[1], base)}"
    where = f"{place}; facing {body_position(drift.facing_rad)}"
    said = "  |  ".join(x for x in ("Drift", where, venue) if x)
    figure.text(0.045, 1 - 0.63 / TALL_IN, said, fontsize=8, color=style.QUIET, va="center", parse_math=False)
    axes = figure.add_axes((0.045, 1 - (0.85 + PLAN_IN) / TALL_IN, PLAN_IN / WIDE_IN, PLAN_IN / TALL_IN))
    reach = max(r.distance_m for r in drift.region)
    half = float(np.clip(1.45 * reach + 0.05, *HALF_M))
    _plan(axes, drift, half, outlines)
    _column(figure, drift, odds)
    _slices(figure, drift)
    said = planned(where="sightline drift")
    figure.text(0.045, 0.15 / TALL_IN, said, fontsize=style.FOOT_PT, color=style.QUIET, va="center", parse_math=False)
    return figure


def _framed(axes: Any, half: float) -> None:
    """A square of `half` m to each side of the mark, in a faint frame without a scale."""
    axes.set_xlim(-half, half)
    axes.set_ylim(-half, half)
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_color(style.FAINT_LINE)


def _plan(axes: Any, drift: Drift, half: float, outlines: Sequence[Outline]) -> None:
    from matplotlib.patches import Circle, Polygon

    _framed(axes, half)
    for outline in outlines:
        axes.plot(*(outline.points_m - drift.mark_m).T, color=style.FAINT_LINE, lw=style.MEDIUM, zorder=1)
    region = drift.polygon_m
    axes.add_patch(Polygon(region, closed=True, fc=CLEAN, ec=style.HIDDEN, lw=style.MEDIUM, zorder=2))
    room = _Room(half)
    _furniture(axes, room)
    _fan(axes, room, drift)
    if drift.disc_m > 0:
        axes.add_patch(
            Circle((0, 0), drift.disc_m, fill=False, ec=style.INK, lw=style.MEDIUM, ls=(0, (4, 2)), zorder=5)
        )
    corners = drift.lozenge.corners_m
    if drift.lozenge.down_m > 0:
        axes.add_patch(Polygon(corners, closed=True, fill=False, ec=TAPE, lw=3.2, zorder=6, joinstyle="miter"))
    arm = 0.05 * half
    for x, y in (((-arm, arm), (0, 0)), ((0, 0), (-arm, arm))):
        axes.plot(x, y, color=style.MARKED, lw=2.2, zorder=9)
    _corner_lengths(axes, room, drift)
    _names(axes, room, drift)


def _fan(axes: Any, room: _Room, drift: Drift) -> None:
    """The facing as an arrow, the turns each way as a fan about it."""
    from matplotlib.patches import Wedge

    ahead = math.degrees(drift.facing_rad) - 90.0  # of the x axis, anticlockwise
    left, right = (math.degrees(turn.turn_rad) for turn in (drift.left, drift.right))
    radius = 0.60 * room.half
    axes.add_patch(
        Wedge((0, 0), radius, ahead - right, ahead + left, fc=style.MARKED, ec=style.MARKED, alpha=0.13, zorder=4)
    )
    for aside, turn, own in ((left, drift.left, "left"), (-right, drift.right, "right")):
        bearing = drift.facing_rad + math.radians(aside)
        end = on_bearing(bearing, radius)
        axes.plot([0, end[0]], [0, end[1]], color=style.MARKED, lw=style.MEDIUM, zorder=7)
        # Each word on its own side of its line, so that a narrow fan does not pile them up.
        way = 1 if own == "left" else -1
        said = f"{degrees_down(turn.turn_rad)}°{'+' if turn.eye is None else ''} own {own}"
        ahead_of = np.array(on_bearing(bearing, 1.0))
        x, y = ahead_of * radius * 0.94 + way * 0.17 * room.half * np.array(on_bearing(bearing + math.pi / 2, 1.0))
        room.take(x, y, said, 8.0)
        axes.text(x, y, said, fontsize=8, color=style.MARKED, ha="center", va="center", zorder=10, bbox=_WHITE)
    for share in np.linspace(0.25, 1.0, 10):  # nothing is written over the arrow
        room.take(*on_bearing(drift.facing_rad, radius * float(share)), "|", 8.0)
    tip = on_bearing(drift.facing_rad, radius * 1.08)
    look = {"arrowstyle": "-|>", "color": style.MARKED, "lw": 1.8, "shrinkA": 0, "shrinkB": 0, "mutation_scale": 13}
    axes.annotate("", xy=tip, xytext=(0, 0), zorder=8, arrowprops=look)


class _Room:
    """Which places on the plan are taken; boxes are (left, base, right, top) in metres."""

    def __init__(self, half: float):
        self.half, self.point_m = half, 2 * half / (PLAN_IN * 72)
        self.taken: list[tuple[float, float, float, float]] = []

    def box(self, x: float, y: float, said: str, size: float) -> tuple[float, float, float, float]:
        """About what a text centred at x, y takes up."""
        lines = said.split("\n")
        wide = (max(map(len, lines)) * 0.60 * size + 5) * self.point_m / 2
        tall = (len(lines) * 1.25 * size + 4) * self.point_m / 2
        return x - wide, y - tall, x + wide, y + tall

    def take(self, x: float, y: float, said: str, size: float) -> bool:
        """Take the place, if it is free and within the frame."""
        left, base, right, top = here = self.box(x, y, said, size)
        if min(left, base) < -0.98 * self.half or max(right, top) > 0.98 * self.half:
            return False
        if any(left < r and right > le and base < t and top > b for le, b, r, t in self.taken):
            return False
        self.taken.append(here)
        return True


def _corner_lengths(axes: Any, room: _Room, drift: Drift) -> None:
    """How far each corner of the lozenge is from the mark, beyond it; beside it where the facing runs over it."""
    if drift.lozenge.down_m <= 0:
        return
    for x, y in drift.lozenge.corners_m.tolist():
        far = math.hypot(x, y)
        said = f"{centimetres(far)}\n{inches(far)}"
        outward = np.array([x, y]) / far
        aside = np.array([-outward[1], outward[0]])
        for along, across in (
            (0.10, 0.0),
            (0.10, 0.16),
            (0.10, -0.16),
            (0.05, 0.2),
            (0.05, -0.2),
            (-0.05, 0.26),
            (-0.05, -0.26),
        ):
            wider = along + 0.07 * abs(outward[0])  # a line is wider than it is tall
            spot = np.array([x, y]) + room.half * (wider * outward + across * aside)
            if room.take(float(spot[0]), float(spot[1]), said, 8.0):
                axes.text(
                    *spot,
                    said,
                    fontsize=8,
                    fontweight="bold",
                    color=TAPE,
                    ha="center",
                    va="center",
                    zorder=10,
                    bbox=_WHITE,
                )
                break


def _names(axes: Any, room: _Room, drift: Drift) -> None:
    """Who leaks first, outside the region at each side; who found no room is told by the command."""
    for reaches in first_leaks(drift)[:MOST_NAMES]:
        middle = len(reaches) // 2
        order = sorted(range(len(reaches)), key=lambda k: abs(k - middle))
        spots = ((reaches[k], out) for out in (0.16, 0.24, 0.34, 0.46) for k in order)
        for reach, out in spots:
            x, y = on_bearing(reach.bearing_rad, reach.distance_m + out * room.half)
            said = "\n".join(textwrap.wrap(f"{reach.eye}: {reach.secret or 'in the way'}", 20))
            if room.take(x, y, said, 7.5):
                axes.annotate(
                    said, xy=reach.at_m, xytext=(x, y), fontsize=7.5, ha="center", va="center", zorder=11, bbox=_WHITE,
                    parse_math=False, arrowprops={"arrowstyle": "-", "color": style.QUIET, "lw": style.THIN},
                )  # fmt: skip
                break


def _furniture(axes: Any, room: _Room) -> None:
    half = room.half
    word = {"fontsize": 7.5, "color": style.QUIET, "zorder": 12, "bbox": _WHITE}
    edge = 0.965 * half
    axes.text(-edge, edge, "stage right\nhouse left", ha="left", va="top", **word)
    axes.text(edge, edge, "stage left\nhouse right", ha="right", va="top", **word)
    axes.text(edge, -edge, "downstage, to the house", ha="right", va="bottom", **word)
    wide, tall = 0.30 * half, 0.10 * half
    room.taken += [
        (-half, half - tall, -half + wide, half), (half - wide, half - tall, half, half),
        (half - 2 * wide, -half, half, -half + tall), (-half, -half, 0.0, -half + 1.6 * tall),
    ]  # fmt: skip
    metric = max(x for x in (0.05, 0.10, 0.20, 0.25, 0.50) if x <= 0.6 * half)
    inch = max(x for x in (2, 4, 6, 12, 18) if x * 0.0254 <= 0.6 * half)
    tick, left = 0.012 * half, -edge + 0.02 * half
    for length, y, said in (
        (metric, -0.90 * half, f"{metric * 100:g} cm"),
        (inch * 0.0254, -0.955 * half, f"{inch} in"),
    ):
        axes.plot([left, left + length], [y, y], color=style.INK, lw=style.MEDIUM, zorder=12)
        for x in (left, left + length):
            axes.plot([x, x], [y - tick, y + tick], color=style.INK, lw=style.MEDIUM, zorder=12)
        axes.text(left + length + 2 * tick, y, said, fontsize=7.5, va="center", zorder=12)


def _column(figure: Any, drift: Drift, odds: Odds) -> None:
    """The figures, beside the plan."""
    shape = drift.lozenge
    x, y = 0.045 + (PLAN_IN + 0.18) / WIDE_IN, TALL_IN - 0.95

    def say(text: str, size: float = 8.0, wrap: int = 30, **look: Any) -> None:
        nonlocal y
        for line in textwrap.wrap(text, wrap):
            figure.text(x, y / TALL_IN, line, fontsize=size, va="top", parse_math=False, **look)
            y -= size * 1.32 / 72

    def head(text: str) -> None:
        nonlocal y
        y -= 0.10
        say(text, 9.0, 28, fontweight="bold")

    head("Tape this, from the mark")
    if shape.down_m > 0:
        for value, way in (
            (shape.down_m, "downstage"), (shape.up_m, "upstage"), (shape.left_m, "stage left (house right)"),
            (shape.right_m, "stage right (house left)"),
        ):  # fmt: skip
            say(f"{centimetres(value)}, {inches(value)}", color=TAPE, fontweight="bold")
            say(way, 7.5)
    else:
        say("Nothing: a step shows more.")
    head("Any way at all")
    say(f"{centimetres(drift.disc_m)}, {inches(drift.disc_m)}  (dashed ring)")
    head("Turn, on the mark")
    for turn, own in ((drift.left, "left"), (drift.right, "right")):
        say(f"own {own}: {_turn_words(turn)}")
        if turn.eye:
            say(f"then {turn.eye}: {turn.secret or 'in the way'}", 7.0, 34, color=style.QUIET)
    middle = middle_turn(drift)
    if middle is not None:
        half = degrees_down((drift.left.turn_rad + drift.right.turn_rad) / 2)
        say(
            f"Face {abs(math.degrees(middle)):.0f}° farther to own {'left' if middle > 0 else 'right'}: {half}° each way.",
            7.5,
            32,
        )
    head("How likely a leak is")
    say(
        f"strays of {odds.stray.distance * 1000:g} mm and {math.degrees(odds.stray.turn):.3g}° (2 sd), {odds.stray.draws} draws:",
        7.5,
        31,
    )
    low, high = odds.worse_interval
    say(f"{odds.p_worse * 100:.1f} %", 13, fontweight="bold")
    say(f"somebody sees more (95 %: {low * 100:.1f} to {high * 100:.1f} %)", 7.5, 31)
    if drift.eyes_seen:
        say(f"{drift.eyes_seen} of {drift.eyes} see a secret on the mark itself.", 7.5, 27, fontweight="bold")
    head("On the plan")
    key = "tinted: nobody sees more, for this facing; thick: tape; arrow and fan: facing, turns; names: who sees more first"
    say(key, 7.5, 31, color=style.QUIET)
    head("Mind")
    say(EDGE, 7.5, 31)


def _turn_words(turn: Turn) -> str:
    return f"{degrees_down(turn.turn_rad)}°" + (" or more" if turn.eye is None else "")


def _slices(figure: Any, drift: Drift) -> None:
    """Small plans below: where it stays clean once the performer has turned."""
    top = TALL_IN - 0.85 - PLAN_IN - 0.32
    said = "Turned as well: filled where nobody sees more, crossed where somebody does"
    figure.text(0.045, top / TALL_IN, said, fontsize=8.5, fontweight="bold", va="center")
    side = 1.22
    for k, cut in enumerate(drift.slices):
        left = 0.045 + k * (side + 0.72) / WIDE_IN
        axes = figure.add_axes((left, (top - 0.42 - side) / TALL_IN, side / WIDE_IN, side / TALL_IN))
        _slice(axes, cut)


def _slice(axes: Any, cut: Slice) -> None:
    x, y = np.meshgrid(cut.offsets_m, cut.offsets_m)
    half = float(cut.offsets_m[-1]) * 1.12
    axes.scatter(x[cut.clean], y[cut.clean], s=30, marker="s", color=style.HIDDEN, linewidths=0)
    axes.scatter(x[~cut.clean], y[~cut.clean], s=9, marker="x", color=style.SCALE_STOPS[3], linewidths=0.7)
    axes.plot([0], [0], marker="+", ms=9, mew=1.6, color=style.MARKED)
    _framed(axes, half)
    turn = math.degrees(cut.turn_rad)
    axes.set_title(f"{abs(turn):.0f}° to own {'left' if turn > 0 else 'right'}", fontsize=8, loc="left", pad=3)
    axes.set_xlabel(f"{2 * float(cut.offsets_m[-1]) * 100:.0f} cm across", fontsize=6.5, labelpad=2, loc="left")
