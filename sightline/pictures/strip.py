"""The time strip: along the act, how many can see each secret and how large it looks, and what else goes on then.

A bar's height is how many eyes see, its colour how large the largest of them sees it; both are told in figures, too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.blocking.attention import AWAY, TOWARDS, Attention
from sightline.blocking.cues import focus_words
from sightline.blocking.notation import clock
from sightline.blocking.rehearsal import SEEN, Rehearsal
from sightline.geometry.frame import FloatArray
from sightline.pictures import style
from sightline.pictures.plan import LARGEST_ARCMIN, SMALLEST_ARCMIN
from sightline.pictures.planned import planned

WIDE_IN, LEFT_IN, RIGHT_IN = 11.0, 1.55, 0.35
ROW_IN, LANE_IN, GAP_IN = 0.52, 0.30, 0.10
HEAD_IN, FOOT_IN = 1.0, 1.0
# Beats' names stand on so many lines, one after the other, so that neighbours do not touch.
NAME_LINES, NAME_IN = 3, 0.17
# A letter of 7 points is about this wide.
LETTER_IN = 0.062
MOST_ROWS = 24


def draw_strip(rehearsal: Rehearsal, attention: Attention) -> Any:
    """The figure."""
    names: list[str | None] = [*([None] if len(rehearsal.secrets) > 1 else []), *rehearsal.secrets]
    quiet = [n for n in rehearsal.secrets if not (rehearsal.looks(n) == SEEN)[rehearsal.of_frame].any()]
    rows = [n for n in names if n is None or n not in quiet][:MOST_ROWS] or names[:1]
    lanes = 4 if rehearsal.written.model.false_limbs else 3
    if len(rows) == 2:
        # One secret alone is all that is ever seen.
        rows = rows[1:]
    start, end = _limits(rehearsal)
    per_in = (end - start) / (WIDE_IN - LEFT_IN - RIGHT_IN)
    over = _names(rehearsal, per_in)
    names_in = (1 + max((name.line for name in over), default=0)) * NAME_IN + 0.10
    height = HEAD_IN + names_in + len(rows) * (ROW_IN + GAP_IN) + lanes * (LANE_IN + GAP_IN) + FOOT_IN
    figure = style.figure(WIDE_IN, height)
    top = height - HEAD_IN - names_in

    def axes(tall: float) -> Any:
        nonlocal top
        top -= tall
        made = figure.add_axes(
            (LEFT_IN / WIDE_IN, top / height, (WIDE_IN - LEFT_IN - RIGHT_IN) / WIDE_IN, tall / height)
        )
        top -= GAP_IN
        made.set_xlim(start, end)
        made.set_ylim(0, 1)
        made.set_yticks([])
        for side in ("left", "right", "top"):
            made.spines[side].set_visible(False)
        made.spines["bottom"].set_color(style.FAINT_LINE)
        made.tick_params(axis="x", length=0, labelbottom=False)
        return made

    _head(figure, height, rehearsal, quiet)
    most = max(1, int(max(rehearsal.eyes_seen(name).max() for name in rows)))
    drawn = []
    for name in rows:
        here = axes(ROW_IN)
        _bars(here, rehearsal, name, most)
        drawn.append(here)
    for lane in (_way, _moves, _focus, _still)[:lanes]:
        here = axes(LANE_IN)
        lane(here, rehearsal, attention, per_in)
        drawn.append(here)
    _beats(drawn, rehearsal, over, per_in)
    drawn[-1].spines["bottom"].set_color(style.QUIET)
    _clock(drawn[-1], start, end)
    _legend(figure, height)
    said = planned(rehearsal.assumptions, "sightline rehearse")
    figure.text(0.03, 0.08 / height, said, fontsize=style.FOOT_PT, color=style.QUIET, va="center", parse_math=False)
    return figure


def _limits(rehearsal: Rehearsal) -> tuple[float, float]:
    start, end = float(rehearsal.times_s[0]), float(rehearsal.times_s[-1])
    return (start, end) if end > start else (start - 1.0, start + 1.0)


def _edges(rehearsal: Rehearsal) -> FloatArray:
    """Where the bar of each frame begins and ends (f + 1,): half way to its neighbours."""
    start, end = _limits(rehearsal)
    times = rehearsal.times_s
    return np.concatenate([[start], (times[:-1] + times[1:]) / 2, [end]])


def _head(figure: Any, height: float, rehearsal: Rehearsal, quiet: list[str]) -> None:
    word = {"va": "center", "parse_math": False}
    figure.text(0.03, 1 - 0.28 / height, rehearsal.written.model.title, fontsize=14, fontweight="bold", **word)
    ever, eyes = int(rehearsal.ever_seen.sum()), len(rehearsal.eyes)
    said = (
        f"{ever} of {eyes} eyes can see a secret at some time"
        if ever
        else f"none of {eyes} eyes sees a secret in any frame"
    )
    if rehearsal.lasts:
        said += f"; {rehearsal.eye_seconds():.0f} eye-seconds in {clock(rehearsal.times_s[-1] - rehearsal.times_s[0])}"
    figure.text(0.03, 1 - 0.54 / height, said, fontsize=9, color=style.QUIET, **word)
    if quiet:
        unseen = f"Seen in no frame: {_short(', '.join(quiet), 150)}."
        figure.text(0.03, 1 - 0.76 / height, unseen, fontsize=8, color=style.QUIET, **word)


def _bars(axes: Any, rehearsal: Rehearsal, name: str | None, most: int) -> None:
    """Seats that can see it as bars, to one scale for all rows."""
    from matplotlib.colors import LogNorm

    counts = rehearsal.eyes_seen(name)
    size = rehearsal.size_arcmin if name is None else rehearsal.size_arcmin[:, [rehearsal.secrets.index(name)]]
    verdict = rehearsal.verdict if name is None else rehearsal.verdict[:, [rehearsal.secrets.index(name)]]
    largest = np.where(verdict == SEEN, size, 0.0).max(axis=(1, 2), initial=0.0)[rehearsal.of_frame]
    norm, edges = LogNorm(SMALLEST_ARCMIN, LARGEST_ARCMIN, clip=True), _edges(rehearsal)
    shown = counts > 0
    axes.bar(
        edges[:-1][shown], counts[shown] / most * 0.92, np.diff(edges)[shown], align="edge",
        color=style.scale()(norm(np.maximum(largest[shown], SMALLEST_ARCMIN))), linewidth=0, zorder=3,
    )  # fmt: skip
    if shown.any():
        tops = np.repeat(counts / most * 0.92, 2)
        axes.plot(np.repeat(edges, 2)[1:-1], tops, color=style.INK, lw=style.THIN, zorder=4)
        peak = int(counts.argmax())
        middle = (edges[peak] + edges[peak + 1]) / 2
        left, right = _limits_of(axes)
        beside = "right" if middle > (left + right) / 2 else "left"
        step = (right - left) * 0.006 * (1 if beside == "left" else -1)
        # Over a low bar, so that nothing of it is covered.
        tall = float(counts[peak]) / most * 0.92
        edge = edges[peak + 1] if beside == "left" else edges[peak]
        axes.text(
            edge + step, tall if tall > 0.5 else tall + 0.08, f"{counts[peak]} at {clock(float(rehearsal.times_s[peak]))}",
            fontsize=7, ha=beside, va="top" if tall > 0.5 else "bottom", zorder=6,
            bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 0.8},
        )  # fmt: skip
    label = "any secret" if name is None else name
    seconds = f"{rehearsal.eye_seconds(name):.0f} eye-seconds" if rehearsal.lasts else f"{int(counts.max())} can see it"
    _label(axes, label, seconds, bold=name is None)


def _limits_of(axes: Any) -> tuple[float, float]:
    left, right = axes.get_xlim()
    return float(left), float(right)


def _label(axes: Any, text: str, second: str = "", bold: bool = False) -> None:
    weight = "bold" if bold else "normal"
    word = {"ha": "right", "transform": axes.transAxes, "parse_math": False}
    axes.text(-0.012, 0.66 if second else 0.5, _short(text, 24), fontsize=8, va="center", fontweight=weight, **word)
    if second:
        axes.text(-0.012, 0.22, second, fontsize=7, va="center", color=style.QUIET, **word)


def _pieces(rehearsal: Rehearsal) -> list[tuple[float, float]]:
    """From when to when each beat is in force."""
    ends = [step.at_s for step in rehearsal.steps[1:]] + [_limits(rehearsal)[1]]
    return [(step.at_s, end) for step, end in zip(rehearsal.steps, ends, strict=True)]


def _way(axes: Any, rehearsal: Rehearsal, attention: Attention, per_in: float) -> None:
    """Held: a solid bar. On the way: a thin line with a point where it ends."""
    _label(axes, "stands / goes")
    for step, (start, end) in zip(rehearsal.steps, _pieces(rehearsal), strict=True):
        until = min(step.until_s, end)
        if until > start:
            axes.barh(0.5, until - start, 0.34, left=start, color=style.HIDDEN, linewidth=0, zorder=3)
        if end > until and step.index + 1 < len(rehearsal.steps):
            coming = rehearsal.steps[step.index + 1]
            goes = coming.way_m > 0 or coming.facing_rad != step.facing_rad
            said = f"{coming.way_m:.1f} m" if coming.way_m > 0 else "turns" if goes else ""
            said = said or ("prop moves" if coming.held != step.held else "")
            axes.plot([until, end], [0.5, 0.5], color=style.HIDDEN, lw=style.MEDIUM, ls="--" if said else ":", zorder=2)
            said = _fit(said, end - until, per_in)
            _in_lane(axes, (until + end) / 2, said, middle=True)


def _moves(axes: Any, rehearsal: Rehearsal, attention: Attention, per_in: float) -> None:
    _label(axes, "puppet moves")
    if rehearsal.written.model.puppet is None:
        _in_lane(axes, _limits(rehearsal)[0], "no puppet")
        return
    for step, (start, end) in zip(rehearsal.steps, _pieces(rehearsal), strict=True):
        said = "any" if step.moves is None else ", ".join(step.moves) or "still"
        _in_lane(axes, start + 0.05 * per_in, _fit(said, end - start, per_in))


def _focus(axes: Any, rehearsal: Rehearsal, attention: Attention, per_in: float) -> None:
    """Where the beat looks, and under it a line for every risky stretch: to the leak (up), or away (down)."""
    _label(axes, "focus")
    for step, (start, end) in zip(rehearsal.steps, _pieces(rehearsal), strict=True):
        _in_lane(axes, start + 0.05 * per_in, _fit(focus_words(step.focus) or "-", end - start, per_in), up=0.72)
    markers = {TOWARDS: ("^", style.MARKED), AWAY: ("v", style.HIDDEN)}
    for spell in attention.spells:
        marker, colour = markers.get(spell.focus, ("_", style.QUIET))
        half = max(spell.seconds / 2, 0.0)
        middle = (spell.start_s + spell.end_s) / 2
        axes.plot([middle - half, middle + half], [0.2, 0.2], color=colour, lw=style.HEAVY, zorder=3)
        axes.plot([middle], [0.2], marker=marker, ms=5, color=colour, mec=style.INK, mew=0.4, zorder=4)


def _still(axes: Any, rehearsal: Rehearsal, attention: Attention, per_in: float) -> None:
    """The false arm: outlined while it is still, hatched where that is too long, red where nobody gives a reason."""
    _label(axes, "false arm still")
    for part in attention.still:
        wrong = part.too_long and part.reason is None
        axes.barh(
            0.5, part.seconds, 0.62, left=part.start_s, facecolor=style.PAPER, zorder=2,
            edgecolor=style.MARKED if wrong else style.QUIET, linewidth=style.HEAVY if wrong else style.THIN,
            hatch="////" if part.too_long else None,
        )  # fmt: skip
        short = f"{part.seconds:.0f} s"
        said = _fit(f"{short}: {part.reason or 'no reason'}", part.seconds, per_in)
        # Less than a word of the reason says nothing.
        said = said if len(said) >= len(short) + 5 else _fit(short, part.seconds, per_in)
        _in_lane(axes, part.start_s + 0.06 * per_in, said, boxed=True)


def _in_lane(axes: Any, x: float, said: str, middle: bool = False, boxed: bool = False, up: float = 0.5) -> None:
    if said:
        box = {"facecolor": style.PAPER, "edgecolor": "none", "pad": 0.8} if middle or boxed else None
        axes.text(
            x, up, said, fontsize=7, ha="center" if middle else "left", va="center", zorder=5, bbox=box, parse_math=False
        )  # fmt: skip


@dataclass(frozen=True)
class _Name:
    """A beat's name over the strip: on which line, and whether it stands to the left of its own time."""

    at_s: float
    said: str
    line: int
    leftward: bool


def _names(rehearsal: Rehearsal, per_in: float) -> list[_Name]:
    """Where the names go so that none touches another; what finds no room on any line is left out."""
    free, out = [-np.inf] * NAME_LINES, []
    for step in rehearsal.steps:
        said = f"{clock(step.at_s)} {_short(step.name, 30)}"
        wide = (len(said) * LETTER_IN * 1.08 + 0.12) * per_in
        leftward = step.at_s + wide > _limits(rehearsal)[1] + RIGHT_IN * per_in
        begins, ends = (step.at_s - wide, step.at_s) if leftward else (step.at_s, step.at_s + wide)
        line = next((k for k in range(NAME_LINES) if free[k] <= begins), None)
        if line is not None:
            free[line] = ends
            out.append(_Name(step.at_s, said, line, leftward))
    return out


def _beats(drawn: list[Any], rehearsal: Rehearsal, names: list[_Name], per_in: float) -> None:
    """A line down through everything at each beat, its time and name over the strip."""
    for axes in drawn:
        for step in rehearsal.steps:
            axes.axvline(step.at_s, color=style.FAINT_LINE, lw=style.MEDIUM, zorder=1)
    top = drawn[0]
    inches = top.bbox.height / top.figure.dpi
    for name in names:
        y = 1 + (0.06 + NAME_IN * name.line) / inches
        word = {"color": style.QUIET, "lw": style.THIN, "clip_on": False, "zorder": 1}
        top.plot([name.at_s, name.at_s], [1, y + 0.13 / inches], **word)
        top.text(
            name.at_s + (-0.04 if name.leftward else 0.04) * per_in, y, name.said, fontsize=7.5, va="bottom",
            ha="right" if name.leftward else "left", parse_math=False, clip_on=False,
        )  # fmt: skip


def _clock(axes: Any, start: float, end: float) -> None:
    """Times under the last lane, at round seconds."""
    steps = (0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400)
    step = next((s for s in steps if (end - start) / s <= 14), steps[-1])
    ticks = np.arange(np.ceil(start / step - 1e-9), np.floor(end / step + 1e-9) + 1) * step
    axes.set_xticks(ticks, [clock(float(t)) for t in ticks], fontsize=7.5)
    axes.tick_params(axis="x", length=3, labelbottom=True)


def _legend(figure: Any, height: float) -> None:
    from matplotlib.colors import LogNorm

    keys = figure.add_axes((0.03, 0.20 / height, 0.50, 0.42 / height))
    keys.set_axis_off()
    keys.set_xlim(0, 10)
    keys.set_ylim(0, 1)
    for x, marker, colour, said in (
        (0.15, "^", style.MARKED, "focus towards those who see"),
        (3.6, "v", style.HIDDEN, "focus away from them"),
    ):
        keys.plot([x], [0.8], marker=marker, ms=5.5, color=colour, mec=style.INK, mew=0.4)
        keys.text(x + 0.2, 0.8, said, fontsize=7.5, va="center")
    said = "Bars: how many eyes, one scale for all rows. Hatched: still for too long; red: no reason given."
    keys.text(0.05, 0.25, said, fontsize=7.5, va="center")
    bar = figure.add_axes((0.62, 0.34 / height, 0.34, 0.11 / height))
    shades = np.geomspace(SMALLEST_ARCMIN, LARGEST_ARCMIN, 256)[None]
    norm = LogNorm(SMALLEST_ARCMIN, LARGEST_ARCMIN)
    bar.pcolormesh(shades[0], [0, 1], shades[:, :-1], cmap=style.scale(), norm=norm, shading="flat")
    bar.set_xscale("log")
    bar.set_xticks([2, 10, 60, 600], ["2'", "10'", "1°", "10°"], fontsize=7.5)
    bar.minorticks_off()
    bar.set_yticks([])
    bar.set_title(
        "how large the largest leak looks (arcminutes ', degrees)", fontsize=7.5, color=style.QUIET, loc="left", pad=3
    )
    for spine in bar.spines.values():
        spine.set_visible(False)


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def _fit(text: str, seconds: float, per_in: float) -> str:
    """As much of a text as finds room beside a stretch of time; nothing where that would say nothing."""
    letters = int((seconds / per_in - 0.10) / LETTER_IN)
    return text if len(text) <= letters else _short(text, letters) if letters >= 4 else ""
