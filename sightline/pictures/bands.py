"""Standing areas filled by what could be seen from anywhere in them: one plan for each height, with level lines."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.path import Path as Outline
from numpy.typing import NDArray

from sightline.blocking.heightbands import Area, Band, HeightBands
from sightline.geometry.frame import FloatArray
from sightline.house.storeys import storeys
from sightline.moment import Moment
from sightline.pictures import style
from sightline.pictures.board import Board, heading_in
from sightline.pictures.labels import ROUND, Labels
from sightline.pictures.layer import LARGEST_ARCMIN, SMALLEST_ARCMIN
from sightline.pictures.legend import MARK, OUTLINES, Key, draw_legend, legend_in
from sightline.pictures.planned import planned
from sightline.pictures.planpanel import FOOT_IN, floor, ground_of, panel_foot, panel_head, performer
from sightline.pictures.typeset import broken, line_in

# Level lines at these sizes; what is below the first is as good as hidden and drawn so.
LEVELS = ((0.5, "seen from here on"), (10.0, "10'"), (60.0, "1°"), (300.0, "5°"))
PANEL_IN, TALLEST_IN = 3.9, 5.6
HEAD_IN = 0.19 + 2 * line_in(style.LABEL_PT)
GAP_IN = 2 * style.STEP_IN
UNSEEN = Key("dotted: hidden there", "hidden", style.PAPER, style.HIDDEN)
LEVEL = Key("level line: what is seen looks so large", line="-", edge=style.INK, weight=style.MEDIUM)


def draw_bands(moment: Moment, found: HeightBands) -> Any:
    """The figure: a plan for each height band, two in a row."""
    ground = ground_of(moment)
    storey = storeys(moment.eyes)[0]
    room = 2 * PANEL_IN + GAP_IN
    scale = float(min(PANEL_IN / ground.size_m[0], TALLEST_IN / ground.size_m[1]))
    tall = float(ground.size_m[1]) * scale
    said = f"Standing areas in {moment.plan.venue or 'the scene'}, filled by the largest leak of any secret at four eye heights"
    note = broken(
        f"Asked every {found.spacing_m * 100:.0f} cm, each place by itself; between two places the level lines are drawn straight. "
        "Places that a handler keeps people from are asked as well. Whoever stands elsewhere, or at another height, sees "
        "otherwise.", room, style.TEXT_PT,
    )  # fmt: skip
    keys = [Key("seen, dark where it looks large", "s", style.SCALE_STOPS[2], style.INK), UNSEEN, LEVEL]
    keys += [MARK] if moment.plan.mark_m is not None else []
    kinds = {getattr(outline, "kind", "") for outline in moment.plan.outlines} - {"plaster line", "centre line"}
    keys += dict.fromkeys(key for kind, key in OUTLINES.items() if kind in kinds)
    head = heading_in(moment.title, said, room) + GAP_IN
    row = HEAD_IN + tall + FOOT_IN + GAP_IN
    rows = -(-len(found.bands) // 2)
    foot = len(note) * line_in(style.TEXT_PT) + style.STEP_IN + legend_in(keys, room) + style.EDGE_IN
    board = Board(room + 2 * style.EDGE_IN, head + rows * row + foot)
    board.heading(moment.title, said)
    wide = float(ground.size_m[0]) * scale
    for k, band in enumerate(found.bands):
        down, across = divmod(k, 2)
        left, top = style.EDGE_IN + across * (PANEL_IN + GAP_IN), head + down * row
        end = board.say(left, top, [f"{band.name}, eyes {band.eye_m:.2f} m up"], style.LABEL_PT, weight="bold")
        end = board.say(left, end, [_share(found, band)], style.LABEL_PT, style.QUIET)
        panel_head(board, left, end, wide, "")
        axes = floor(board, left, top + HEAD_IN, scale, ground, storey, large=False)
        labels = Labels(axes, ground.low, ground.high, scale)
        performer(axes, ground, True, labels)
        for area, verdict, size in zip(found.areas, band.verdict, band.size_arcmin, strict=True):
            _area(axes, labels, area, verdict, size, scale)
        panel_foot(board, left, top + HEAD_IN + tall, wide, scale)
    top = board.say(style.EDGE_IN, head + rows * row, note, style.TEXT_PT, style.QUIET) + style.STEP_IN
    draw_legend(board, top, keys, margin=False)
    board.foot(planned(moment.assumptions))
    return board.figure


def _share(found: HeightBands, band: Band) -> str:
    """How much of all places can see something."""
    asked = seen = 0
    for area, verdict in zip(found.areas, band.verdict, strict=True):
        if len(area.x):
            x, y = np.meshgrid(area.x, area.y)
            within = area.holds(np.column_stack([x.ravel(), y.ravel()])).reshape(verdict.shape) & (verdict >= 0)
        else:
            within = verdict >= 0
        asked += int(within.sum())
        seen += int((verdict[within] == 2).sum())
    return f"a secret is seen from {100 * seen / max(asked, 1):.0f} % of the places"


def _area(
    axes: Any, labels: Labels, area: Area, verdict: NDArray[np.int8], size: FloatArray, inch_per_m: float
) -> None:
    from matplotlib.colors import LogNorm

    norm = LogNorm(SMALLEST_ARCMIN, LARGEST_ARCMIN, clip=True)
    if not len(area.x):
        seen, hidden = verdict == 2, verdict == 0
        axes.scatter(
            *area.points[hidden].T,
            s=9,
            marker="o",
            facecolors="none",
            edgecolors=style.HIDDEN,
            linewidths=0.5,
            zorder=3,
        )
        axes.scatter(
            *area.points[seen].T, s=13, marker="s", c=size[seen], cmap=style.scale(), norm=norm, edgecolors=style.INK,
            linewidths=0.3, zorder=4,
        )  # fmt: skip
        return
    known = np.isfinite(size)
    # Sizes are even in their logarithm; what is hidden stands a little below the least line.
    value = np.log10(np.maximum(np.where(known, size, 0.05), 0.05))
    clip = _clip(axes, area)
    least = np.log10(LEVELS[0][0])
    shades = np.linspace(np.log10(SMALLEST_ARCMIN), np.log10(LARGEST_ARCMIN), 13)
    colours = [style.scale()(float(norm(10 ** (s + 0.09)))) for s in [least, *shades]]
    if known.any() and value[known].max() > least:
        filled = axes.contourf(
            area.x, area.y, value, levels=[least, *shades, 9.0], colors=colours[: len(shades) + 1], zorder=1.5
        )
        filled.set_clip_path(clip)
    if known.any() and value[known].min() < least:
        hidden = axes.contourf(area.x, area.y, value, levels=[-9.0, least], colors="none", hatches=["..."], zorder=1.5)
        hidden.set_edgecolor(style.FAINT_LINE)
        hidden.set_linewidth(0)
        hidden.set_clip_path(clip)
    for k, (arcmin, word) in enumerate(LEVELS):
        level = np.log10(arcmin)
        if not value[known].min() < level < value[known].max():
            continue
        lines = axes.contour(
            area.x,
            area.y,
            value,
            levels=[level],
            colors=[style.INK],
            linewidths=[style.THIN + 0.25 * k],
            linestyles="solid",
            zorder=4,
        )
        lines.set_clip_path(clip)
        for segment in sorted((s for s in lines.allsegs[0] if len(s) > 1), key=len, reverse=True):
            inside = segment[area.holds(segment)]
            # The line between hidden and seen explains itself.
            if (
                k
                and len(inside)
                and labels.put(word, inside[len(inside) // 2], ROUND, 0.02, style.SMALL_PT + 0.8, paper=True)
            ):
                break


def _clip(axes: Any, area: Area) -> Any:
    """The area's own outline, to cut what is filled; the inner circle of a ring is a hole."""
    from matplotlib.patches import PathPatch

    paths = []
    for k, line in enumerate(area.outlines):
        points = line if k == 0 else line[::-1]
        paths.append(Outline(points, closed=True))
    patch = PathPatch(
        Outline.make_compound_path(*paths), facecolor="none", edgecolor=style.QUIET, lw=style.THIN, zorder=5
    )
    axes.add_patch(patch)
    return patch


def json_of(found: HeightBands) -> dict[str, Any]:
    """The same as plain dicts and lists: per band and area the share of places from which a secret is seen."""
    return {
        "spacing_m": float(f"{found.spacing_m:.9g}"),
        "bands": [
            {
                "name": band.name,
                "eye_height_m": float(f"{band.eye_m:.9g}"),
                "areas": [
                    {
                        "name": area.name,
                        "places": int((verdict >= 0).sum()),
                        "seen": int((verdict == 2).sum()),
                        "faint": int((verdict == 1).sum()),
                        "largest_arcmin": float(f"{np.nanmax(size, initial=0.0):.9g}"),
                    }
                    for area, verdict, size in zip(found.areas, band.verdict, band.size_arcmin, strict=True)
                ],
            }
            for band in found.bands
        ],
    }
