"""The sheet of marks to print: one A4 page with a plan at a true scale, the spike table and the cue sheet.

Everything is laid out in millimetres from the page's upper left corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.blocking.cautions import BLIND
from sightline.blocking.cues import Cue
from sightline.blocking.marks import Spike, Tapes
from sightline.geometry.frame import FloatArray
from sightline.house.outline import Outline
from sightline.pictures import style
from sightline.pictures.page import MARGIN_MM, PAGE_MM, Page, a4
from sightline.pictures.planned import planned

PLAN_MM = (118.0, 88.0)
LEAST_PLAN_MM = 46.0
NOTES_AT_MM = 137.0
ROWS_END_MM = 277.0
TEXT_PT = (7.4, 6.4)
MOST_WARNINGS = 3
# The spike table leaves this much for the cue sheet.
CUES_NEED_MM = 50.0
# Scales after ISO 5455 (from memory), with the 1:25 of working plans (craft notes, section 6).
SCALES = (10, 20, 25, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000, 100_000, 200_000, 500_000)
TAPE_COLOURS = {
    "yellow": "#f2d43d", "blue": "#1f5fa8", "white": "#ffffff", "orange": "#e07b26", "light blue": "#8cc4e8",
    "pink": "#e39ac0",
}  # fmt: skip
_LINES: dict[str, tuple[str, float, Any]] = {
    "stage edge": (style.INK, style.MEDIUM, "-"), "proscenium": (style.INK, style.HEAVY, "-"),
    "plaster line": (style.QUIET, style.THIN, "--"), "centre line": (style.QUIET, style.THIN, (0, (8, 3, 1, 3))),
    "masking": (style.INK, style.MEDIUM, "-"), "rail": (style.QUIET, style.MEDIUM, "-"),
    "column": (style.INK, style.MEDIUM, "-"), "box": (style.INK, style.MEDIUM, "-"),
    "mirror": (style.HIDDEN, style.HEAVY, "-"), "edge": (style.QUIET, style.MEDIUM, ":"),
    "wall": (style.QUIET, style.THIN, "-"), "keep clear": (style.QUIET, style.THIN, ":"),
}  # fmt: skip


@dataclass(frozen=True)
class Sheet:
    """What is printed. `outlines` are the venue's; `warnings` come first among the notes."""

    title: str
    scene: str
    venue: str
    spikes: Sequence[Spike]
    cues: Sequence[Cue]
    tapes: Tapes
    from_what: str
    outlines: Sequence[Outline]
    warnings: Sequence[str]


def draw_marks(sheet: Sheet) -> Any:
    """The page as a figure, exactly A4: in the larger type where everything fits, else in the smaller."""
    for text_pt in TEXT_PT:
        page, complete = _drawn(sheet, text_pt)
        if complete:
            break
    return page.figure


def _drawn(sheet: Sheet, text_pt: float) -> tuple[Page, bool]:
    """The page, and whether all of it found room."""
    page = a4(text_pt)
    page.say(MARGIN_MM, 15.0, sheet.title, 13, weight="bold", width_mm=PAGE_MM[0] - 2 * MARGIN_MM)
    under = [f"Marks and cues, from {sheet.scene}", *([sheet.venue] if sheet.venue else [])]
    page.say(MARGIN_MM, 20.5, "  |  ".join(under), 8, color=style.QUIET, width_mm=PAGE_MM[0] - 2 * MARGIN_MM)
    scale, tall = _plan_scale(sheet)
    _plan(page.figure, sheet, scale, 25.0, tall)
    notes_end = _notes(page, sheet, 25.0)
    top, marks_left = _spikes(page, sheet, max(25.0 + tall, notes_end) + 8.0)
    cues_left = _cues(page, sheet, top + 8.0)
    page.check_bar()
    page.foot(f"{planned(where='sightline marks')} No eyes are looked at here: sightline check.")
    return page, not marks_left and not cues_left


def _plan_scale(sheet: Sheet) -> tuple[int, float]:
    """The largest scale at which the plan fits, as its divisor, and the plan's height in mm."""
    low, high = _extent(sheet)
    wide, tall = (high - low) * 1000
    scale = next((s for s in SCALES if wide / s <= PLAN_MM[0] and tall / s <= PLAN_MM[1]), SCALES[-1])
    return scale, float(np.clip(tall / scale, LEAST_PLAN_MM, PLAN_MM[1]))


def _ways(sheet: Sheet) -> Iterator[FloatArray]:
    yield from (cue.step.path_m for cue in sheet.cues)


def _extent(sheet: Sheet) -> tuple[FloatArray, FloatArray]:
    """Lower left and upper right corner of what the plan shows, m: marks, ways, hooks, origin, the near stage edge."""
    points = [np.array([spike.spot_m for spike in sheet.spikes]), np.array([sheet.tapes.a_m, sheet.tapes.b_m, (0, 0)])]
    every = np.vstack([*points, *_ways(sheet)])
    low, high = every.min(axis=0), every.max(axis=0)
    fronts = [float(line.points_m[:, 1].min()) for line in sheet.outlines if line.kind == "stage edge"]
    if fronts and low[1] - 3.0 <= min(fronts) < low[1]:
        low = np.array([low[0], min(fronts)])
    return low - [0.7, 0.9], high + [0.7, 0.7]


def _plan(figure: Any, sheet: Sheet, scale: int, top_mm: float, tall_mm: float) -> None:
    """The plan in axes of their own, which cut what lies beyond; one metre is 1000 / scale mm on paper."""
    axes = figure.add_axes(
        (MARGIN_MM / PAGE_MM[0], 1 - (top_mm + tall_mm) / PAGE_MM[1], PLAN_MM[0] / PAGE_MM[0], tall_mm / PAGE_MM[1])
    )
    low, high = _extent(sheet)
    middle, half = (low + high) / 2, np.array([PLAN_MM[0], tall_mm]) * scale / 2000
    axes.set_xlim(middle[0] - half[0], middle[0] + half[0])
    axes.set_ylim(middle[1] - half[1], middle[1] + half[1])
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_color(style.FAINT_LINE)
    mm = scale / 1000  # one millimetre on paper, m
    for outline in sheet.outlines:
        if outline.kind in _LINES:
            colour, weight, dash = _LINES[outline.kind]
            if "border" in outline.name:  # it hangs overhead
                colour, weight, dash = style.QUIET, style.THIN, (0, (3, 3))
            axes.plot(*outline.points_m.T, color=colour, lw=weight, ls=dash, zorder=1, solid_capstyle="butt")
    for way in _ways(sheet):
        if float(np.abs(np.diff(way, axis=0)).sum()) > 0.01:
            axes.plot(*way.T, color=style.HIDDEN, lw=style.THIN, zorder=2)
            _arrow(axes, way[-2] + (way[-1] - way[-2]) * 0.55, way[-2] + (way[-1] - way[-2]) * 0.6, style.HIDDEN)
    for name, hook in (("A", sheet.tapes.a_m), ("B", sheet.tapes.b_m)):
        axes.plot(*hook, marker="^", ms=4.5, mfc="white", mec=style.INK, mew=style.THIN, zorder=4)
        axes.text(hook[0], hook[1] + 1.6 * mm, name, fontsize=7, ha="center", va="bottom", zorder=4)
    for spike in sheet.spikes:
        _mark(axes, spike, _free_side(spike, sheet.spikes), mm)
    _sides(axes, middle, half, scale)


def _arrow(axes: Any, tail: FloatArray, tip: FloatArray, colour: str) -> None:
    look = {"arrowstyle": "-|>", "color": colour, "lw": style.THIN, "shrinkA": 0, "shrinkB": 0, "mutation_scale": 6}
    axes.annotate("", xy=tip, xytext=tail, zorder=3, arrowprops=look)


def _free_side(spike: Spike, spikes: Sequence[Spike]) -> int:
    """On which side of a mark its number stands: 1 stage left, -1 stage right; away from the nearest other mark."""
    away = [np.subtract(other.spot_m, spike.spot_m) for other in spikes if other is not spike]
    nearest = min(away, key=lambda d: float(np.hypot(*d)), default=np.array([-1.0, 0.0]))
    return -1 if nearest[0] > 0 else 1


def _mark(axes: Any, spike: Spike, free: int, mm: float) -> None:
    """A cross of 4 mm with its number, and a short arrow the way the performer first faces there."""
    x, y = spike.spot_m
    axes.plot([x - 2 * mm, x + 2 * mm], [y, y], color=style.INK, lw=style.HEAVY, zorder=5)
    axes.plot([x, x], [y - 2 * mm, y + 2 * mm], color=style.INK, lw=style.HEAVY, zorder=5)
    if spike.facing_rad is not None:
        ahead = np.array([np.sin(spike.facing_rad), -np.cos(spike.facing_rad)])
        _arrow(axes, np.array([x, y]), np.array([x, y]) + ahead * 7 * mm, style.INK)
    box = {"boxstyle": "round,pad=0.18", "facecolor": "white", "edgecolor": "none", "alpha": 0.85}
    axes.text(
        x + free * 1.6 * mm, y + 1.6 * mm, str(spike.number), fontsize=9, fontweight="bold", va="bottom",
        ha="left" if free > 0 else "right", zorder=6, bbox=box,
    )  # fmt: skip


def _sides(axes: Any, middle: FloatArray, half: FloatArray, scale: int) -> None:
    mm = scale / 1000
    word = {"fontsize": 6.8, "color": style.QUIET, "zorder": 8, "va": "top"}
    word |= {"bbox": {"facecolor": "white", "edgecolor": "none", "pad": 1.0}}
    (left, base), (right, top) = middle - half, middle + half
    axes.text(left + 2 * mm, top - 2 * mm, "stage right\nhouse left", ha="left", **word)
    axes.text(right - 2 * mm, top - 2 * mm, "stage left\nhouse right", ha="right", **word)
    axes.text(right - 2 * mm, base + 2 * mm, "audience below", ha="right", **(word | {"va": "bottom"}))
    # The longest bar of a round number of metres within 40 mm on paper.
    length = max(r for r in (0.1, 0.2, 0.5, *(d * 10**k for k in range(5) for d in (1, 2, 5))) if r <= 40 * mm)
    x, y = left + 3 * mm, base + 3.5 * mm
    axes.plot([x, x + length], [y, y], color=style.INK, lw=style.MEDIUM, zorder=9, solid_capstyle="butt")
    for end in (x, x + length):
        axes.plot([end, end], [y - mm, y + mm], color=style.INK, lw=style.MEDIUM, zorder=9)
    axes.text(x + length + 1.5 * mm, y, f"{length:g} m    scale 1:{scale}", fontsize=7, va="center", zorder=9)


def _notes(page: Page, sheet: Sheet, top: float) -> float:
    """How to measure, beside the plan. Gives where it ends."""
    base = "PL" if sheet.from_what == "PL" else f"the {sheet.from_what}"
    (ax, ay), (bx, by) = sheet.tapes.a_m, sheet.tapes.b_m
    hooks = f"A at {ax:+.3f}, {ay:+.3f} m and B at {bx:+.3f}, {by:+.3f} m from CL and {base} (+ stage left, + upstage)."
    warned = [f"! {warning}" for warning in sheet.warnings[:MOST_WARNINGS]]
    if len(sheet.warnings) > MOST_WARNINGS:
        warned.append(f"! {len(sheet.warnings) - MOST_WARNINGS} more warnings: see what the command prints.")
    notes = [
        f"Measure from CL and {base}, never from walls.",
        *warned,
        f"! {BLIND}",
        f"{sheet.tapes.why} {hooks} Two lengths meet twice: 'meet' says on which side of the line A-B.",
        "A mark is a small cross with its number on the tape; the arrow is the first facing there.",
        "CL centre line" + (", PL plaster line" if base == "PL" else "") + "; SL stage left is HR house right, SR stage "
        "right is HL house left. P performer, X crosses to, @ is at. D down, U up, C centre.",
        "FF full front 0 deg, 1/4 45, profile 90, 3/4 135, full back 180; L and R are the performer's own. A quarter "
        "turn is 90 deg: trust the degrees. What a cue does not say stays as it was.",
    ]  # fmt: skip
    y = top
    for note in notes:
        weight = "bold" if note.startswith(("Measure", "!")) else "normal"
        for line in page.lines_of(note, PAGE_MM[0] - MARGIN_MM - NOTES_AT_MM, weight):
            page.say(NOTES_AT_MM, y + page.line_mm - 0.2, line, page.text_pt, weight=weight)
            y += page.line_mm
        y += 1.3
    return y


def _head(page: Page, y: float, text: str) -> None:
    page.say(MARGIN_MM, y, text, 9, weight="bold")


def _left_over(page: Page, y: float, count: int, what: str) -> tuple[float, int]:
    """Says how many rows found no room; gives where it ends, and the count."""
    if count:
        said = f"{count} more {what} found no room here: they are in the table (CSV)."
        page.say(MARGIN_MM, y + page.line_mm, said, page.text_pt, weight="bold")
        return y + page.line_mm, count
    return y, 0


def _both(row: dict[str, str], key: str) -> str:
    """A place in both measures, one above the other; nothing to measure where it is on the line."""
    return f"{row[key]}\n{row[key + ', ft']}" if " m " in row[key] else row[key]


def _spikes(page: Page, sheet: Sheet, top: float) -> tuple[float, int]:
    """Draws the table. Gives where it ends, and how many marks found no room."""
    _head(page, top, "Spike table")
    names = sheet.tapes.names
    columns = (
        ("no.", 6), ("", 3.4), ("tape", 14.6), ("mark", 22), ("from CL", 25), (f"from {sheet.from_what}", 30), ("facing", 31),
        (names[0], 20), (names[1], 20), ("meet", 14),
    )  # fmt: skip
    rows = []
    for spike in sheet.spikes:
        row = spike.row()
        depth = f"from {sheet.from_what}"
        rows.append(
            [
                str(spike.number), "", spike.tape, spike.label, _both(row, "from CL"), _both(row, depth), row["facing"],
                *(f"{row[name + ', m']} m\n{row[name + ', ft']}" for name in names), row["tapes meet"],
            ]
        )  # fmt: skip
    end, bases = page.table(top + 1.5, ROWS_END_MM - CUES_NEED_MM, columns, rows)
    from matplotlib.patches import Rectangle

    for spike, base in zip(sheet.spikes, bases, strict=False):
        at = MARGIN_MM + columns[0][1], base - 1.9
        page.axes.add_patch(Rectangle(at, 2.2, 2.2, fc=TAPE_COLOURS[spike.tape], ec=style.INK, lw=0.4))
    return _left_over(page, end, len(sheet.spikes) - len(bases), "marks")


def _cues(page: Page, sheet: Sheet, top: float) -> int:
    """Draws the sheet. Gives how many cues found no room."""
    _head(page, top, "Cue sheet")
    columns = (
        ("cue", 8), ("there at", 17), ("beat", 19), ("where", 39), ("facing", 31), ("action", 25),
        ("focus, false arm, hands", 31), ("LX", 8), ("SND", 8),
    )  # fmt: skip
    rows = []
    for cue in sheet.cues:
        row = cue.row()
        said = [f"{key}: {text}" for key, text in cue.news.items()]
        rows.append(
            [
                row["cue"], f"{row['time']}\n{row['trigger']}", row["beat"], row["where"], row["facing"], row["action"],
                "\n".join(said), "", "",
            ]
        )  # fmt: skip
    end, bases = page.table(top + 1.5, ROWS_END_MM - page.line_mm, columns, rows)
    return _left_over(page, end, len(sheet.cues) - len(bases), "cues")[1]
