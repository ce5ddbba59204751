"""The panels of a card box on a page, to scale, outside faces up, with their holes and where to mark them from."""

from __future__ import annotations

from typing import Any

from matplotlib.patches import Circle, FancyBboxPatch, Rectangle

from sightline.blocking.notation import inches
from sightline.pictures import style
from sightline.pictures.page import MARGIN_MM, PAGE_MM, Page
from sightline.workshop.mockup import Cut, Mockup, Panel

# ISO 5455 (from memory), those that a cut list wants.
SCALES = (5, 10, 20, 50, 100, 200)
GAP_MM, LABEL_MM = 16.0, 19.0
WORD_MM = 11.0
CARD = "#efe6d6"


def draw_panels(page: Page, made: Mockup, top_mm: float, end_mm: float) -> float:
    """All panels in rows at the largest scale at which they fit. Gives where they end, mm."""
    scale = next((s for s in SCALES if _height_mm(made.panels, s) <= end_mm - top_mm - 12.0), SCALES[-1])
    page.say(
        MARGIN_MM, top_mm + 3.0, f"Panels of card, scale 1:{scale}: the outside face is towards you", 9, weight="bold"
    )
    page.say(
        MARGIN_MM, top_mm + 7.0, "Mark holes from the left and the bottom edge of the piece itself. The word along an edge is "
        "the panel it meets; write them on the card.", page.text_pt, color=style.QUIET,
    )  # fmt: skip
    y = top_mm + 14.0
    for line in _rows(made.panels, scale):
        x = MARGIN_MM + 6.0
        tall = max(panel.up_m for panel in line) * 1000 / scale
        for panel in line:
            _panel(page, panel, x, y + tall, scale)
            x += panel.across_m * 1000 / scale + GAP_MM
        y += tall + LABEL_MM
    return y


def _rows(panels: tuple[Panel, ...], scale: int) -> list[list[Panel]]:
    room = PAGE_MM[0] - 2 * MARGIN_MM - 8.0
    rows: list[list[Panel]] = []
    used = room + 1.0
    for panel in panels:
        wide = panel.across_m * 1000 / scale
        if used + GAP_MM + wide > room:
            rows.append([])
            used = -GAP_MM
        rows[-1].append(panel)
        used += GAP_MM + wide
    return rows


def _height_mm(panels: tuple[Panel, ...], scale: int) -> float:
    if max(panel.across_m for panel in panels) * 1000 / scale > PAGE_MM[0] - 2 * MARGIN_MM - 8.0:
        return float("inf")
    return sum(max(p.up_m for p in row) * 1000 / scale + LABEL_MM for row in _rows(panels, scale))


def _panel(page: Page, panel: Panel, x: float, foot: float, scale: int) -> None:
    """One panel with its lower left corner at (x, foot) on the page, mm."""
    mm = 1000 / scale
    wide, tall = panel.across_m * mm, panel.up_m * mm
    page.axes.add_patch(Rectangle((x, foot - tall), wide, tall, fc=CARD, ec=style.INK, lw=style.HEAVY))
    size = f"{panel.across_m * 100:.1f} x {panel.up_m * 100:.1f} cm"
    page.say(x, foot + 6.6, panel.name.upper(), 9, weight="bold")
    page.say(x + page.width_mm(panel.name.upper(), 9, "bold") + 2.0, foot + 6.6, size, page.text_pt)
    page.say(x, foot + 10.2, f"{inches(panel.across_m)} x {inches(panel.up_m)}", page.text_pt)
    look = {"fontsize": 6.2, "color": style.QUIET, "ha": "center", "va": "center", "parse_math": False}
    left, right, bottom, top = panel.edges
    page.axes.text(x - 2.0, foot - tall / 2, left, rotation=90, **look)
    page.axes.text(x + wide + 2.0, foot - tall / 2, right, rotation=90, **look)
    page.axes.text(x + wide / 2, foot + 2.0, bottom, **look)
    page.axes.text(x + wide / 2, foot - tall - 2.0, top, **look)
    for cut in panel.cuts:
        _hole(page, cut, x, foot, mm)


def _hole(page: Page, cut: Cut, x: float, foot: float, mm: float) -> None:
    """The hole, its middle, and the two distances to mark it by."""
    at = x + cut.from_left_m * mm, foot - cut.from_bottom_m * mm
    wide, tall, radius = cut.across_m * mm, cut.up_m * mm, cut.corner_radius_m * mm
    look: dict[str, Any] = {"fc": "white", "ec": style.INK, "lw": style.MEDIUM}
    if cut.shape == "round":
        page.axes.add_patch(Circle(at, wide / 2, **look))
    else:
        core = (at[0] - wide / 2 + radius, at[1] - tall / 2 + radius)
        box = f"round,pad={radius},rounding_size={max(radius, 1e-6)}"
        page.axes.add_patch(FancyBboxPatch(core, wide - 2 * radius, tall - 2 * radius, boxstyle=box, **look))
    page.line([x, at[0]], [at[1], at[1]], style.THIN, style.MARKED)
    page.line([at[0], at[0]], [at[1], foot], style.THIN, style.MARKED)
    page.line([at[0] - 1.5, at[0] + 1.5], [at[1], at[1]], style.MEDIUM)
    page.line([at[0], at[0]], [at[1] - 1.5, at[1] + 1.5], style.MEDIUM)
    words = {
        "fontsize": 6.4,
        "parse_math": False,
        "color": style.MARKED,
        "linespacing": 1.1,
        "ha": "left",
        "va": "bottom",
    }
    said = f"{cut.from_left_m * 100:.1f} cm\n{inches(cut.from_left_m)}"
    if at[0] - wide / 2 - x > WORD_MM:
        page.axes.text(x + 0.8, at[1] - 0.5, said, **words)
    else:
        # No room for it beside a hole so near the edge.
        page.axes.text(at[0] + wide / 2 + 1.0, at[1] + 1.5, f"from left {said}", **words)
    page.axes.text(at[0] + 0.7, foot - 0.5, f"{cut.from_bottom_m * 100:.1f} cm\n{inches(cut.from_bottom_m)}", **words)
    size = f"round, {cut.across_m * 100:.1f} cm\n{inches(cut.across_m)} across"
    if cut.shape != "round":
        size = f"{cut.across_m * 100:.1f} x {cut.up_m * 100:.1f} cm, radius {cut.corner_radius_m * 100:.1f} cm"
        size += f"\n{inches(cut.across_m)} x {inches(cut.up_m)}"
    page.axes.text(at[0], at[1] - tall / 2 - 0.8, size, fontsize=6.4, ha="center", va="bottom", parse_math=False)
