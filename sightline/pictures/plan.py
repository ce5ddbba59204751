"""The plan with its heat map: which seats can see a secret, and how much of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.house.outline import Outline
from sightline.moment import Moment
from sightline.pictures import style
from sightline.sight.check import Finding, VerdictArray

# The colour scale runs over leaks of this angular size, in equal ratios.
SMALLEST_ARCMIN, LARGEST_ARCMIN = 2.0, 600.0
# And over margins of these angles.
SMALLEST_DEG, LARGEST_DEG = 0.5, 60.0
LEVEL_GAP_M = 2.2
_LINES = {
    "stage edge": (style.INK, style.HEAVY, "-"), "plaster line": (style.QUIET, style.THIN, "--"),
    "centre line": (style.QUIET, style.THIN, (0, (8, 3, 1, 3))), "proscenium": (style.INK, style.HEAVY, "-"),
    "wall": (style.QUIET, style.MEDIUM, "-"), "masking": (style.INK, style.MEDIUM, "-"),
    "rail": (style.QUIET, style.MEDIUM, "-"), "column": (style.INK, style.MEDIUM, "-"),
    "box": (style.INK, style.MEDIUM, "-"), "balcony front": (style.INK, style.MEDIUM, "-"),
    "standing area": (style.FAINT_LINE, style.MEDIUM, "-"), "aisle": (style.FAINT_LINE, style.THIN, "-"),
    "exit": ("#3f7d55", style.MEDIUM, ":"), "keep clear": ("#3f7d55", style.MEDIUM, ":"), "edge": (style.QUIET, style.MEDIUM, ":"),
    # A heavy line for a mirror, a small star for a lamp.
    "mirror": (style.HIDDEN, 2 * style.HEAVY, "-"), "lamp": (style.INK, style.MEDIUM, "-"),
}  # fmt: skip


@dataclass(frozen=True)
class Layer:
    """What one panel shows: verdicts (e,) and sizes in arcmin (e,) of one secret or of all together.

    With `margin_deg` (e,), NaN where it is not known, it shows how much the hidden ones have to spare instead.
    """

    title: str
    verdict: VerdictArray
    size_arcmin: FloatArray
    margin_deg: FloatArray | None = None

    @property
    def shows(self) -> bool:
        """Whether it is worth a plan of its own: somebody sees, or has less to spare than the scale's end."""
        if self.margin_deg is None:
            return bool(self.verdict.any())
        return bool((~(self.margin_deg >= LARGEST_DEG)).any())

    @property
    def said(self) -> str:
        """What a small plan says under its title."""
        if self.margin_deg is not None:
            hidden = self.margin_deg[self.verdict == 0]
            known = hidden[~np.isnan(hidden)]
            return f"least {known.min():.1f} deg to spare" if len(known) else "nobody has any to spare"
        seen, faint = int((self.verdict == 2).sum()), int((self.verdict == 1).sum())
        return f"{seen} can see it" + (f", {faint} faintly" if faint else "")


def layers(finding: Finding, margin: bool = False) -> list[Layer]:
    """All secrets together first, then each by itself."""
    least = finding.least_margin() if margin else None
    together = Layer("Any secret", finding.worst_verdict(), finding.size_of_leak(), least)
    single = [
        Layer(_first_up(name), found.verdict, found.size_arcmin, found.margin_deg if margin else None)
        for name, found in finding.secrets.items()
    ]
    return [together, *single] if len(single) != 1 else single


def draw_map(finding: Finding, only: str | None = None, margin: bool = False) -> Any:
    """The figure: a large plan of all secrets together, small ones of each. `only` draws one secret by name.

    With `margin` the plans show how much hidden eyes have to spare; the finding must have margins then.
    """
    panels = layers(finding, margin)
    if only is not None:
        found = finding.secrets[only]
        panels = [Layer(_first_up(only), found.verdict, found.size_arcmin, found.margin_deg if margin else None)]
    moment = finding.moment
    shift = level_shifts(moment)
    points = moment.eye_points()[:, :2] + shift
    low, high = extent(moment, points)
    # What nobody sees needs no plan of its own, only its name.
    unseen = [layer.title.lower() for layer in panels[1:] if not layer.shows]
    small = sorted((layer for layer in panels[1:] if layer.shows), key=lambda layer: -int((layer.verdict == 2).sum()))
    columns = min(len(small), 4)
    rows = -(-len(small) // columns) if small else 0
    wide, tall = high - low
    main_in = 7.6
    main_tall = float(np.clip(main_in * tall / wide, 3.2, 9.0))
    small_tall = main_in / max(columns, 2) * tall / wide + 0.45 if rows else 0.0
    height = 1.0 + main_tall + rows * small_tall + 1.15
    figure = style.figure(8.4, height)
    top = 1 - 0.75 / height
    figure.text(0.05, 1 - 0.32 / height, moment.title, fontsize=14, fontweight="bold", va="center")
    figure.text(0.05, 1 - 0.56 / height, _headline(moment, panels[0], only), fontsize=9, color=style.QUIET, va="center")
    axes = figure.add_axes((0.05, top - main_tall / height, 0.90, main_tall / height))
    draw_panel(axes, moment, panels[0], points, shift, low, high, large=True)
    for k, layer in enumerate(small):
        row, column = divmod(k, columns)
        share = 0.90 / max(columns, 2)
        bottom = top - (main_tall + (row + 1) * small_tall + 0.10) / height
        panel = figure.add_axes((0.05 + column * share, bottom, share * 0.97, (small_tall - 0.42) / height))
        draw_panel(panel, moment, layer, points, shift, low, high, large=False)
    if unseen:
        what = "Nothing uncovers" if margin else "Hidden from everybody"
        said = f"{what}: {', '.join(unseen)}."
        figure.text(0.05, 0.95 / height, said, fontsize=8, color=style.QUIET, va="center")
    legend(figure, height, margin)
    return figure


def level_shifts(moment: Moment) -> FloatArray:
    """How far each eye (e, 2) is drawn from where it is: levels above the first are unfolded behind the one below."""
    at = moment.eye_points()[:, :2]
    shift = np.zeros_like(at)
    levels = [level for level in moment.plan.levels if any(eye.level == level for eye in moment.eyes)]
    members = [np.array([eye.level == level for eye in moment.eyes]) for level in levels]
    for k in range(1, len(levels)):
        below = (at + shift)[np.any(members[:k], axis=0)]
        here = at[members[k]]
        overlaps = here[:, 1].max() > below[:, 1].min() - LEVEL_GAP_M
        if overlaps and here[:, 1].max() < 0:
            shift[members[k], 1] = below[:, 1].min() - LEVEL_GAP_M - here[:, 1].max()
    return shift


def extent(moment: Moment, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    mark = np.array([moment.plan.mark_m or (0.0, 0.0)])
    every = np.vstack([points, mark, mark + [0, 2.5]])
    low, high = every.min(axis=0) - 1.2, every.max(axis=0) + 1.2
    # A strip along the bottom for the level's name and the scale bar.
    low[1] -= 0.045 * (high[1] - low[1])
    # A plan much deeper than wide, or the other way, wastes the sheet.
    room = max(high[0] - low[0], 0.55 * (high[1] - low[1]), 6.0)
    middle = (low[0] + high[0]) / 2
    return np.array([middle - room / 2, low[1]]), np.array([middle + room / 2, high[1]])


def draw_panel(
    axes: Any,
    moment: Moment,
    layer: Layer,
    points: FloatArray,
    shift: FloatArray,
    low: FloatArray,
    high: FloatArray,
    large: bool,
) -> None:
    axes.set_xlim(low[0], high[0])
    axes.set_ylim(low[1], high[1])
    axes.set_aspect("equal", anchor="C")
    axes.set_axis_off()
    for outline in moment.plan.outlines:
        assert isinstance(outline, Outline)
        if not large and outline.kind in ("aisle", "centre line", "plaster line"):
            continue
        colour, weight, dash = _LINES.get(outline.kind, (style.QUIET, style.THIN, "-"))
        moved = outline.points_m + _outline_shift(outline, moment, shift)
        axes.plot(
            moved[:, 0],
            moved[:, 1],
            color=colour,
            lw=weight * (1 if large else 0.7),
            ls=dash,
            zorder=1,
            solid_capstyle="butt",
        )
    _seats(axes, layer, points, (6.0 if large else 2.8) * _crowding(points, high - low))
    _performer(axes, moment, large)
    if large:
        _furniture(axes, moment, low, high, points)
    else:
        axes.set_title(f"{layer.title}\n{layer.said}", fontsize=7.5, color=style.INK, loc="left", pad=3)


def _outline_shift(outline: Outline, moment: Moment, shift: FloatArray) -> FloatArray:
    """A balcony's lines move with its seats."""
    for level in moment.plan.levels:
        if level in outline.name or (outline.kind == "balcony front" and "balcony" in level):
            member = [i for i, eye in enumerate(moment.eyes) if eye.level == level]
            if member:
                return np.asarray(shift[member[0]])
    return np.zeros(2)


def _crowding(points: FloatArray, size: FloatArray) -> float:
    """Marker scale: smaller where many eyes share the sheet."""
    per_eye = float(np.prod(size)) / max(len(points), 1)
    return float(np.clip(np.sqrt(per_eye) * 16.0 / size[0], 0.35, 1.25))


def _seats(axes: Any, layer: Layer, points: FloatArray, size: float) -> None:
    from matplotlib.colors import LogNorm

    norm = LogNorm(SMALLEST_ARCMIN, LARGEST_ARCMIN, clip=True)
    hidden, faint, seen = (layer.verdict == k for k in range(3))
    area = size**2
    if layer.margin_deg is not None:
        _spare(axes, layer, layer.margin_deg, points, area)
        return
    axes.scatter(
        *points[hidden].T,
        s=area * 0.55,
        marker="o",
        facecolors="none",
        edgecolors=style.HIDDEN,
        linewidths=0.6,
        zorder=3,
    )
    if faint.any():
        axes.scatter(
            *points[faint].T,
            s=area * 0.9,
            marker="^",
            facecolors=style.SCALE_STOPS[0],
            edgecolors=style.INK,
            linewidths=0.7,
            zorder=4,
        )
    if seen.any():
        # The largest leaks last, so that nothing lies over them.
        order = np.argsort(layer.size_arcmin[seen], kind="stable")
        axes.scatter(
            *points[seen][order].T, s=area, marker="s", c=layer.size_arcmin[seen][order], cmap=style.scale(), norm=norm,
            edgecolors=style.INK, linewidths=0.35, zorder=5,
        )  # fmt: skip


def _spare(axes: Any, layer: Layer, margin_deg: FloatArray, points: FloatArray, area: float) -> None:
    """Hidden eyes as discs, the darker the less they have to spare; a cross where something is seen."""
    from matplotlib.colors import LogNorm

    hidden, known = layer.verdict == 0, ~np.isnan(margin_deg)
    axes.scatter(*points[~hidden].T, s=area * 0.9, marker="x", color=style.MARKED, linewidths=1.1, zorder=6)
    rest = hidden & ~known
    axes.scatter(
        *points[rest].T, s=area * 0.55, marker="o", facecolors="none", edgecolors=style.HIDDEN, linewidths=0.6, zorder=3
    )
    some = np.flatnonzero(hidden & known)
    some = some[np.argsort(-margin_deg[some], kind="stable")]
    axes.scatter(
        *points[some].T, s=area, marker="o", c=np.maximum(margin_deg[some], SMALLEST_DEG), cmap=style.scale().reversed(),
        norm=LogNorm(SMALLEST_DEG, LARGEST_DEG, clip=True), edgecolors=style.INK, linewidths=0.35, zorder=5,
    )  # fmt: skip


def _performer(axes: Any, moment: Moment, large: bool) -> None:
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


def _furniture(axes: Any, moment: Moment, low: FloatArray, high: FloatArray, points: FloatArray) -> None:
    """Sides, levels and scale bar, each where nothing else is drawn."""
    word = {"fontsize": 7.5, "color": style.QUIET, "zorder": 8}
    word |= {"bbox": {"facecolor": style.PAPER, "edgecolor": "none", "pad": 2.0}}
    line = 0.021 * (high[1] - low[1])
    top = high[1] - 0.5 * line
    axes.text(low[0], top, "stage right\nhouse left", ha="left", va="top", **word)
    axes.text(high[0], top, "stage left\nhouse right", ha="right", va="top", **word)
    unfolded = np.any(level_shifts(moment) != 0.0, axis=1)
    if unfolded.any():
        for level in moment.plan.levels:
            member = np.array([eye.level == level for eye in moment.eyes])
            if member.any():
                said = f"{level} (drawn behind the level below)" if unfolded[member].any() else level
                at = points[member][:, 1].min() - 1.6 * line
                axes.text((low[0] + high[0]) / 2, at, said, ha="center", va="center", **word)
    length = 5.0 if high[0] - low[0] > 14 else 2.0 if high[0] - low[0] > 6 else 1.0
    left, base = low[0] + 0.2, low[1] + 0.6 * line
    axes.plot([left, left + length], [base, base], color=style.INK, lw=style.MEDIUM, zorder=8)
    for end in (left, left + length):
        axes.plot([end, end], [base - 0.4 * line, base + 0.4 * line], color=style.INK, lw=style.MEDIUM, zorder=8)
    axes.text(left + length + 0.4 * line, base, f"{length:g} m", ha="left", va="center", fontsize=7.5, zorder=8)


def _headline(moment: Moment, layer: Layer, only: str | None) -> str:
    seen, faint = int((layer.verdict == 2).sum()), int((layer.verdict == 1).sum())
    if layer.margin_deg is not None:
        where = f" in {moment.plan.venue}" if moment.plan.venue else ""
        which = f" of the {only}" if only else ""
        return f"How much there is to spare{which}{where}: {layer.said}; {seen} of {len(moment.eyes)} eyes can see it"
    what = only or ("a secret" if len(moment.secret_names()) > 1 else moment.secret_names()[0])
    where = f" in {moment.plan.venue}" if moment.plan.venue else ""
    said = f"{seen} of {len(moment.eyes)} eyes{where} can see {what}"
    return said + (f"; {faint} more faintly, below what they can notice" if faint else "")


def legend(figure: Any, height: float, margin: bool = False) -> None:
    """The shapes of the verdicts, and the colour scale: of sizes, or of margins."""
    from matplotlib.colors import LogNorm

    strip = figure.add_axes((0.05, 0.42 / height, 0.44, 0.34 / height))
    strip.set_axis_off()
    strip.set_xlim(0, 10)
    strip.set_ylim(0, 1)
    keys: tuple[tuple[str, str, str, str], ...] = (
        ("o", "none", style.HIDDEN, "hidden"),
        ("^", style.SCALE_STOPS[0], style.INK, "faint"),
        ("s", style.SCALE_STOPS[3], style.INK, "seen"),
    )
    if margin:
        keys = (
            ("o", style.SCALE_STOPS[2], style.INK, "hidden"),
            ("o", "none", style.HIDDEN, "unknown"),
            ("x", style.MARKED, style.MARKED, "not hidden"),
        )
    for k, (marker, face, edge, word) in enumerate(keys):
        inks = {"color": face} if marker == "x" else {"facecolors": face, "edgecolors": edge}
        strip.scatter([0.25 + 2.3 * k], [0.5], s=36, marker=marker, linewidths=0.7, **inks)
        strip.text(0.6 + 2.3 * k, 0.5, word, va="center", fontsize=8)
    strip.plot([7.15, 7.55], [0.5, 0.5], color=style.MARKED, lw=style.HEAVY)
    strip.plot([7.35, 7.35], [0.1, 0.9], color=style.MARKED, lw=style.HEAVY)
    strip.text(7.8, 0.5, "mark, facing", va="center", fontsize=8)
    bar = figure.add_axes((0.55, 0.52 / height, 0.38, 0.10 / height))
    low, high = (SMALLEST_DEG, LARGEST_DEG) if margin else (SMALLEST_ARCMIN, LARGEST_ARCMIN)
    shades = np.geomspace(low, high, 256)[None]
    colours = style.scale().reversed() if margin else style.scale()
    bar.pcolormesh(
        shades[0], [0, 1], shades[:, :-1], cmap=colours, norm=LogNorm(low, high), rasterized=False, shading="flat"
    )
    bar.set_xscale("log")
    ticks = ([1, 3, 10, 30], ["1°", "3°", "10°", "30°"]) if margin else ([2, 10, 60, 600], ["2'", "10'", "1°", "10°"])
    bar.set_xticks(*ticks, fontsize=7.5)
    bar.minorticks_off()
    bar.set_yticks([])
    title = "how far they are from seeing something (degrees)"
    if not margin:
        title = "how large what they see looks (arcminutes ', degrees)"
    bar.set_title(title, fontsize=7.5, color=style.QUIET, loc="left", pad=3)
    for spine in bar.spines.values():
        spine.set_visible(False)


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]
