"""The legend of a plan: the shapes that are on it, in flowing rows, and the colour scale. Colour never tells alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sightline.moment import Moment
from sightline.pictures import style
from sightline.pictures.board import Board
from sightline.pictures.layer import LARGEST_ARCMIN, LARGEST_DEG, SMALLEST_ARCMIN, SMALLEST_DEG, Layer
from sightline.pictures.typeset import width_in
from sightline.pictures.verdicts import size_words

ROW_IN, SIGN_IN = 0.20, 0.26
SCALE_IN = 0.52


@dataclass(frozen=True)
class Key:
    """One sign: `marker` of matplotlib with face and edge, or a `line` style; and its word."""

    word: str
    marker: str = ""
    face: str = "none"
    edge: str = style.INK
    line: Any = None
    weight: float = style.MEDIUM


HIDDEN = Key("hidden", "o", "none", style.HIDDEN)
FAINT = Key("faint: too small to notice", "^", style.SCALE_STOPS[0], style.INK)
SEEN = Key("seen", "s", style.SCALE_STOPS[3], style.INK)
SPARE = Key("hidden, dark where little is spare", "o", style.SCALE_STOPS[2], style.INK)
UNKNOWN = Key("hidden, not known how much to spare", "o", "none", style.HIDDEN)
NOT_HIDDEN = Key("not hidden", "x", style.MARKED, style.MARKED)
MARK = Key("mark, arrow: facing", "+", style.MARKED, style.MARKED)
WORST = Key("ring: worst seat; line: its sightline", "worst", "none", style.MARKED)
TIGHTEST = Key("ring: least to spare; line: its sightline", "worst", "none", style.MARKED)
HELD = Key("held, nobody sits there", "held", "none", style.QUIET)
ELSEWHERE = Key("on another level", ".", style.FAINT_LINE, style.FAINT_LINE)
WALK = Key("way of the performer", line=(0, (4, 2)), edge=style.MARKED)
WORSE = Key("double ring: got worse", "worse", "none", style.WORSE)
# Kinds of outline that a plan should explain.
OUTLINES = {
    "mirror": Key("mirror", line="-", edge=style.HIDDEN, weight=2 * style.HEAVY),
    "lamp": Key("lamp", "*", "none", style.INK),
    "keep clear": Key("keep clear, exit", line=":", edge=style.CLEAR),
    "exit": Key("keep clear, exit", line=":", edge=style.CLEAR),
    "plaster line": Key("plaster line", line="--", edge=style.QUIET, weight=style.THIN),
    "centre line": Key("centre line", line=(0, (8, 3, 1, 3)), edge=style.QUIET, weight=style.THIN),
    "standing area": Key("standing area", line="-", edge=style.FAINT_LINE),
}


def keys_of(moment: Moment, layers: Sequence[Layer], named: bool) -> list[Key]:
    """The signs that these layers need; `named`: some seats are."""
    margin = any(layer.margin_deg is not None for layer in layers)
    if margin:
        keys = [SPARE]
        if any(np.isnan(x.margin_deg[x.verdict == 0]).any() for x in layers if x.margin_deg is not None):
            keys.append(UNKNOWN)
        if any(bool((layer.verdict > 0).any()) for layer in layers):
            keys.append(NOT_HIDDEN)
    else:
        keys = [hidden_key(layers)]
        if any(bool((layer.verdict == 1).any()) for layer in layers):
            keys.append(FAINT)
        if any(bool((layer.verdict == 2).any()) for layer in layers):
            keys.append(SEEN)
    if named:
        keys.append(TIGHTEST if margin and not any((layer.verdict > 0).any() for layer in layers) else WORST)
    if moment.plan.mark_m is not None:
        keys.append(MARK)
    kinds = {getattr(outline, "kind", "") for outline in moment.plan.outlines}
    keys += [key for kind, key in OUTLINES.items() if kind in kinds]
    return list(dict.fromkeys(keys))


def hidden_key(layers: Sequence[Layer]) -> Key:
    """The sign of what is hidden, with the largest leak that could lie between samples, where that is known."""
    known = [layer.missable_arcmin for layer in layers if layer.missable_arcmin is not None]
    return replace(HIDDEN, word=f"hidden, down to {size_words(max(known))}") if known else HIDDEN


def legend_in(keys: Sequence[Key], room_in: float, scale: bool = True) -> float:
    """How tall the legend is, inches."""
    return len(_rows(keys, room_in)) * ROW_IN + (SCALE_IN if scale else 0.0)


def draw_legend(board: Board, top: float, keys: Sequence[Key], margin: bool, scale: bool = True) -> float:
    """The signs in rows, the scale under them. Gives where it ends, inches."""
    rows = _rows(keys, board.room_in)
    axes = board.plain_axes(style.EDGE_IN, top, board.room_in, max(len(rows) * ROW_IN, 0.01))
    for n, row in enumerate(rows):
        for key, x in row:
            _sign(axes, key, x + SIGN_IN / 2, (n + 0.5) * ROW_IN)
            axes.text(
                x + SIGN_IN + 0.04, (n + 0.5) * ROW_IN, key.word, va="center", fontsize=style.LABEL_PT, parse_math=False
            )  # fmt: skip
    top += len(rows) * ROW_IN
    if scale:
        _scale(board, top, margin)
        top += SCALE_IN
    return top


def _rows(keys: Sequence[Key], room_in: float) -> list[list[tuple[Key, float]]]:
    rows: list[list[tuple[Key, float]]] = [[]]
    x = 0.0
    for key in keys:
        wide = SIGN_IN + 0.04 + width_in(key.word, style.LABEL_PT) * 1.05 + 2 * style.STEP_IN
        if rows[-1] and x + wide > room_in:
            rows.append([])
            x = 0.0
        rows[-1].append((key, x))
        x += wide
    return rows


def _sign(axes: Any, key: Key, x: float, y: float) -> None:
    if key.line is not None:
        axes.plot([x - SIGN_IN / 2, x + SIGN_IN / 2], [y, y], color=key.edge, lw=key.weight, ls=key.line)
    elif key.marker in ("x", "+"):
        axes.scatter([x], [y], s=44, marker=key.marker, color=key.edge, linewidths=style.HEAVY)
    elif key.marker == "worst":
        axes.scatter([x], [y], s=24, marker="s", facecolors=style.SCALE_STOPS[3], edgecolors=style.INK, linewidths=0.4)
        axes.scatter([x], [y], s=80, marker="o", facecolors="none", edgecolors=key.edge, linewidths=style.HEAVY)
    elif key.marker == "worse":
        for size in (40, 90):
            axes.scatter([x], [y], s=size, marker="o", facecolors="none", edgecolors=key.edge, linewidths=1.0)
    elif key.marker == "hidden":
        axes.fill_between(
            [x - 0.1, x + 0.1], y - 0.06, y + 0.06, facecolor="none", edgecolor=style.QUIET, hatch="....", lw=0.4
        )
    elif key.marker == "held":
        axes.scatter([x], [y], s=30, marker="s", facecolors="none", edgecolors=key.edge, linewidths=0.6)
        axes.scatter([x], [y], s=22, marker="x", color=key.edge, linewidths=0.6)
    else:
        axes.scatter([x], [y], s=34, marker=key.marker, facecolors=key.face, edgecolors=key.edge, linewidths=0.7)


def _scale(board: Board, top: float, margin: bool) -> None:
    """The colour scale of sizes, or of margins, with its unit."""
    from matplotlib.colors import LogNorm

    said = "how large what they see looks (' arcminutes, ° degrees)"
    if margin:
        said = "how far they are from seeing something (degrees)"
    board.say(style.EDGE_IN, top + 0.03, [said], style.LABEL_PT, style.QUIET)
    bar = board.axes(style.EDGE_IN, top + 0.19, min(4.2, board.room_in), 0.10)
    low, high = (SMALLEST_DEG, LARGEST_DEG) if margin else (SMALLEST_ARCMIN, LARGEST_ARCMIN)
    shades = np.geomspace(low, high, 256)[None]
    colours = style.scale().reversed() if margin else style.scale()
    bar.pcolormesh(
        shades[0], [0, 1], shades[:, :-1], cmap=colours, norm=LogNorm(low, high), rasterized=False, shading="flat"
    )
    bar.set_xscale("log")
    ticks = ([1, 3, 10, 30], ["1°", "3°", "10°", "30°"]) if margin else ([2, 10, 60, 600], ["2'", "10'", "1°", "10°"])
    bar.set_xticks(*ticks, fontsize=style.LABEL_PT)
    bar.minorticks_off()
    bar.tick_params(length=2, pad=1.5)
    bar.set_yticks([])
    for spine in bar.spines.values():
        spine.set_visible(False)
