"""A plan at a true standard scale on a page: the lines of the venue, a scale bar, both lefts, the way to the audience.

Scales after ISO 5455 (1:20, 1:50, 1:100 ...; from memory) with the 1:25 of working plans; in feet 1/2 in, 1/4 in and
1/8 in = 1 ft (craft notes, section 6).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.house.outline import Outline
from sightline.packet.paper import PaperName
from sightline.pictures import style
from sightline.pictures.page import Page
from sightline.pictures.planpanel import LINES

METRIC = (25, 50, 100, 200, 250, 500, 1000, 2000, 5000)
FEET = (
    (24, "1/2 in = 1 ft"),
    (48, "1/4 in = 1 ft"),
    (96, "1/8 in = 1 ft"),
    (192, "1/16 in = 1 ft"),
    (384, "1/32 in = 1 ft"),
)
# Exact by definition (international foot).
FOOT_M = 0.3048
BAR_MOST_MM, BAR_TALL_MM = 60.0, 1.6


@dataclass(frozen=True)
class Scale:
    """`divisor`: one metre is 1000 / divisor mm on paper. `feet`: the bar is in feet."""

    divisor: int
    words: str
    feet: bool

    @property
    def mm_per_m(self) -> float:
        return 1000.0 / self.divisor


def scale_for(size_m: FloatArray, room_mm: tuple[float, float], paper: PaperName) -> Scale:
    """The largest standard scale at which it fits; on Letter a scale in feet."""
    known = [(d, f"1:{d}") for d in METRIC] if paper == "a4" else list(FEET)
    fitting = [s for s in known if all(size * 1000 / s[0] <= room for size, room in zip(size_m, room_mm, strict=True))]
    divisor, words = fitting[0] if fitting else known[-1]
    said = words if paper == "a4" else f"{words} (1:{divisor})"
    return Scale(divisor, said, paper == "letter")


def plan_axes(page: Page, box_mm: tuple[float, float, float, float], scale: Scale, middle_m: FloatArray) -> Any:
    """Axes in metres that fill a box (left, top, width, height) of the page; one metre is exactly at scale."""
    left, top, wide, tall = box_mm
    width, height = page.size_mm
    axes = page.figure.add_axes((left / width, 1 - (top + tall) / height, wide / width, tall / height))
    half = np.array([wide, tall]) * scale.divisor / 2000.0
    axes.set_xlim(middle_m[0] - half[0], middle_m[0] + half[0])
    axes.set_ylim(middle_m[1] - half[1], middle_m[1] + half[1])
    # Below the page's own axes, on which words and bars stand.
    axes.set_zorder(-1)
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_color(style.QUIET)
        spine.set_linewidth(style.THIN)
    return axes


def draw_outlines(axes: Any, outlines: Iterable[Outline], kinds: frozenset[str] | None = None) -> None:
    """The venue's lines with the weights of the house style; what hangs overhead is dashed."""
    for outline in outlines:
        if outline.kind not in LINES or (kinds is not None and outline.kind not in kinds):
            continue
        line: tuple[str, float, Any] = LINES[outline.kind]
        colour, weight, dash = line if "border" not in outline.name else (style.QUIET, style.THIN, (0, (3, 3)))
        axes.plot(*outline.points_m.T, color=colour, lw=weight, ls=dash, zorder=1, solid_capstyle="butt")


def draw_bar(page: Page, x: float, y: float, scale: Scale) -> float:
    """The scale bar, dark and light by turns, with its unit; from (x, y) to the right. Gives its length, mm."""
    from matplotlib.patches import Rectangle

    unit_m = FOOT_M if scale.feet else 1.0
    steps = (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500) if not scale.feet else (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
    whole = max((s for s in steps if s * unit_m * scale.mm_per_m <= BAR_MOST_MM), default=steps[0])
    long = whole * unit_m * scale.mm_per_m
    parts = 5 if whole in (5, 50, 500) else 4 if whole != 1 else 2
    # Cut at its own ends: half a line's weight beyond them would make it measure long.
    ends = Rectangle((x, y), long, BAR_TALL_MM, transform=page.axes.transData)
    for k in range(parts):
        colour = style.INK if k % 2 == 0 else "white"
        part = Rectangle(
            (x + k * long / parts, y), long / parts, BAR_TALL_MM, fc=colour, ec=style.INK, lw=0.6, zorder=9
        )
        page.axes.add_patch(part)
        part.set_clip_path(ends)
    name = "ft" if scale.feet else "m"
    for value, at in ((0.0, x), (whole, x + long)):
        text = f"{value:g} {name}" if value else "0"
        page.axes.text(at, y - 0.8, text, fontsize=6.5, ha="center", va="bottom", parse_math=False)
    page.say(x + long + 6.0, y + BAR_TALL_MM, f"scale {scale.words}, printed at 100 %", 7.0)
    return long


def draw_sides(page: Page, box_mm: tuple[float, float, float, float]) -> None:
    """Both lefts and rights at the plan's upper corners, and below its middle the arrow to the audience."""
    left, top, wide, tall = box_mm
    look = {"fontsize": 6.8, "color": style.INK, "va": "top", "zorder": 10, "parse_math": False}
    look |= {"bbox": {"facecolor": "white", "edgecolor": "none", "pad": 0.8}}
    page.axes.text(left + 1.5, top + 1.5, "stage right\nhouse left", ha="left", **look)
    page.axes.text(left + wide - 1.5, top + 1.5, "stage left\nhouse right", ha="right", **look)
    page.axes.text(left + wide - 6.0, top + tall - 2.0, "audience", ha="right", **(look | {"va": "bottom"}))
    tip = (left + wide - 3.5, top + tall - 1.5)
    page.axes.annotate(
        "", xy=tip, xytext=(tip[0], tip[1] - 7.0), zorder=10,
        arrowprops={"arrowstyle": "-|>", "color": style.INK, "lw": style.MEDIUM, "shrinkA": 0, "shrinkB": 0},
    )  # fmt: skip
