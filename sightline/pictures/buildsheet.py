"""The build sheet and the repair sheet of one limb, A4 pages to print: ink alone, boxes to tick, blanks to fill in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.blocking.cautions import REPAIR
from sightline.blocking.notation import inches
from sightline.geometry.frame import FloatArray
from sightline.pattern.assembly import Assembly
from sightline.pattern.cautions import CAUTIONS
from sightline.pattern.cutlist import Bought, CutList
from sightline.pattern.flatshape import polygon_of
from sightline.pattern.layout import Layout
from sightline.pattern.pattern import Pattern
from sightline.pattern.piece import Piece
from sightline.pattern.repair import Damage, RepairSheet
from sightline.pictures import style
from sightline.pictures.page import MARGIN_MM, PAGE_MM, Page
from sightline.pictures.sheets import END_MM, TOP_MM, WIDE_MM, Sheets

TEXT_PT = 7.9
# The sheets drawn small: as high as this at the most, and with this between two of them.
LAYOUT_MM, BETWEEN_MM = 88.0, 6.0
BOX_MM = 3.0
# Room for a pencil in the log, mm a line.
LOG_MM = 9.0
GAP_MM = 8.0
RESTS = "Planned, not built. What it rests on and what was not checked: the last page of the build sheet."
Columns = Sequence[tuple[str, float]]


@dataclass(frozen=True)
class BuildSheet:
    """What the build sheet is drawn from."""

    pattern: Pattern
    cuts: CutList
    assembly: Assembly
    layout: Layout | None
    assumptions: Sequence[str] = ()
    not_checked: Sequence[str] = ()


def draw_build(made: BuildSheet, scene: str) -> list[Any]:
    """The pages as figures: cut list, materials and sheets; glue and assembly; cautions and what is taken for granted."""
    pattern, cuts = made.pattern, made.cuts
    sheets = Sheets(pattern.title, f"Build sheet of '{pattern.limb}', from {scene}", TEXT_PT, RESTS)
    page, y = sheets.page("cut list"), TOP_MM + 3.0
    foam = pattern.foam
    said = (
        f"Foam: {foam.material}, {foam.thickness_m * 1000:g} mm; the limb's surface of the scene is its {foam.skin}. Mark and cut on the "
        "inside of the sheet; never turn a piece over."
    )
    page, y = sheets.text(page, y, said)
    page, y = _cut_table(sheets, page, y + GAP_MM, cuts)
    page, y = _bought_table(sheets, page, y + GAP_MM, cuts)
    if made.layout is not None:
        page, y = _layout(sheets, page, y + GAP_MM, pattern, made.layout)
    page, y = sheets.page("assembly"), TOP_MM + 4.0
    page, y = _glue_table(sheets, page, y, cuts)
    page, y = _steps(sheets, page, y + GAP_MM, made.assembly)
    page, y = sheets.page("cautions"), TOP_MM + 4.0
    page, y = _list(sheets, page, y, "For whoever cuts and glues", CAUTIONS, mark="!")
    page, y = _list(sheets, page, y + GAP_MM, "Taken for granted", made.assumptions)
    _list(sheets, page, y + GAP_MM, "Not checked", made.not_checked)
    return sheets.done()


def draw_repair(made: RepairSheet, scene: str) -> list[Any]:
    """The pages as figures: what to look at before each show and the kit; damages and their fixes; the log."""
    sheets = Sheets(made.title, f"Repair sheet of '{made.limb}', from {scene}", TEXT_PT, RESTS)
    page, y = sheets.page("before each show"), TOP_MM + 4.0
    rows = [
        ["", wear.name + (f" ({_numbers(wear.pieces)})" if wear.pieces else ""), wear.look, wear.pull]
        for wear in made.wear
    ]
    columns: Columns = (("", 6.0), ("where", 42.0), ("look for", 72.0), ("pull", 66.0))
    page, y = _boxed_table(sheets, page, y, "Look and pull, before each show", columns, rows)
    page, y = sheets.text(page, y + 2.0, made.check_again, "bold")
    rows = [["", spare.name, spare.quantity, spare.note] for spare in made.kit]
    columns = (("", 6.0), ("in the kit", 62.0), ("how much", 42.0), ("note", 76.0))
    page, y = _boxed_table(sheets, page, y + GAP_MM, "Spare kit", columns, rows)
    page, y = _blanks(sheets, page, y + GAP_MM, made.blanks)
    page, y = sheets.page("damage and repair"), TOP_MM + 4.0
    rows = [[damage.what, _recut(damage), damage.quick, damage.proper] for damage in made.damages]
    columns = (("damage", 39.0), ("cut anew", 30.0), ("in twenty minutes", 58.0), ("properly", 59.0))
    page, y = sheets.table(page, y, "What to do", columns, rows)
    for said in REPAIR:
        page, y = sheets.text(page, y + 1.4, f"! {said}")
    page, y = sheets.text(page, y + 2.0, made.check_again, "bold")
    page, y = sheets.page("log"), TOP_MM + 4.0
    _log(page, y, made.log_lines)
    return sheets.done()


def _length(value_m: float) -> str:
    return f"{value_m * 1000:.0f} mm\n{inches(value_m)}"


def _mass(value_kg: float | None) -> str:
    return "" if value_kg is None else f"{value_kg * 1000:.0f} g"


def _numbers(pieces: Sequence[int]) -> str:
    word = "piece" if len(pieces) == 1 else "pieces"
    return f"{word} {' and '.join([', '.join(map(str, pieces[:-1])), str(pieces[-1])] if len(pieces) > 1 else [str(pieces[0])])}"


def _cut_table(sheets: Sheets, page: Page, y: float, cuts: CutList) -> tuple[Page, float]:
    rows = [
        ["", f"{row.number} of {row.of}", row.name, _length(row.width_m), _length(row.height_m), f"{row.area_m2 * 1e4:.0f} cm2",
         _mass(row.mass_kg), "" if row.sheet is None else str(row.sheet)]
        for row in cuts.pieces
    ]  # fmt: skip
    rows.append(
        ["", "", "together", "", "", f"{sum(r.area_m2 for r in cuts.pieces) * 1e4:.0f} cm2", _mass(cuts.mass_kg), ""]
    )
    columns: Columns = (
        ("", 6.0), ("piece", 17.0), ("name", 55.0), ("across", 24.0), ("along the grain", 28.0), ("area", 22.0), ("mass", 18.0),
        ("sheet", 16.0),
    )  # fmt: skip
    return _boxed_table(sheets, page, y, "Cut list", columns, rows, len(rows) - 1)


def _bought_table(sheets: Sheets, page: Page, y: float, cuts: CutList) -> tuple[Page, float]:
    def cost(row: Bought) -> str:
        return row.cost_how if row.cost is None else f"{row.cost:.2f}\n{row.cost_how}"

    rows = [
        [row.name, row.quantity, _mass(row.mass_kg) + (f"\n{row.mass_how}" if row.mass_how else ""), cost(row), ""]
        for row in cuts.bought
    ]
    total = cuts.cost
    if total is not None:
        rows.append(["together, of what has a price", "", "", f"{total:.2f}", ""])
    money = f"cost, {cuts.currency}" if cuts.currency else "cost"
    columns: Columns = (
        ("material", 44.0),
        ("how much", 54.0),
        ("mass", 24.0),
        (money, 28.0),
        ("flame test certificate", 36.0),
    )
    return sheets.table(page, y, "Materials", columns, rows)


def _glue_table(sheets: Sheets, page: Page, y: float, cuts: CutList) -> tuple[Page, float]:
    rows = [
        [f"'{row.seam}'", row.kind, _numbers(row.pieces), f"{row.length_m * 100:.1f} cm ({inches(row.length_m)})",
         f"{row.area_m2 * 1e4:.0f} cm2"]
        for row in cuts.glue
    ]  # fmt: skip
    rows.append(
        ["together", "", "", f"{cuts.glue_m * 100:.1f} cm ({inches(cuts.glue_m)})", f"{cuts.glue_m2 * 1e4:.0f} cm2"]
    )
    columns: Columns = (("seam", 60.0), ("kind", 22.0), ("joins", 34.0), ("length", 42.0), ("glue, both faces", 28.0))
    return sheets.table(page, y, "Glue", columns, rows)


def _steps(sheets: Sheets, page: Page, y: float, made: Assembly) -> tuple[Page, float]:
    rows = [["", str(step.number), step.words] for step in made.steps]
    columns: Columns = (
        ("", 6.0),
        ("step", 12.0),
        ("what is joined, and how the last of it is reached from inside", 168.0),
    )
    page, y = _boxed_table(sheets, page, y, "Assembly order", columns, rows)
    trapped = made.trapped
    if trapped:
        numbers = ", ".join(str(step.number) for step in trapped)
        said = f"! Step {numbers}: no order lets a hand reach it from inside. Ask for another seam, or press it from outside."
        page, y = sheets.text(page, y + 1.5, said, "bold")
    for said in (
        "Dry-fit every seam before glue: marks with the same number meet, the writing is inside. Coat both faces, wait and press as the "
        "glue's own sheet says; start at the far end and finish where the hand comes out.",
        "Fix hand and breakaway last: the hand at the wrist end, the breakaway at the shoulder end, by the mount template.",
        *([] if made.proven else ["So many seams were not tried in every order; this one was found seam by seam."]),
    ):
        page, y = sheets.text(page, y + 1.5, said)
    return page, y


def _list(
    sheets: Sheets, page: Page, y: float, head: str, lines: Sequence[str], mark: str = "-"
) -> tuple[Page, float]:  # fmt: skip
    """Sentences under a heading, each with its mark."""
    if not lines:
        return page, y
    if y > END_MM - 20.0:
        page, y = sheets.overleaf(), TOP_MM + 4.0
    page.say(MARGIN_MM, y, head, 9, weight="bold")
    y += 1.0
    for said in lines:
        page, y = sheets.text(page, y + 1.4, f"{mark} {said}")
    return page, y


def _boxed_table(
    sheets: Sheets, page: Page, y: float, head: str, columns: Columns, rows: Sequence[Sequence[str]],
    boxes: int | None = None,
) -> tuple[Page, float]:  # fmt: skip
    """A table whose first column is a box to tick, in its first `boxes` rows (all without it)."""
    drawn: list[tuple[Page, float]] = []
    page, y = sheets.table(page, y, head, columns, rows, drawn)
    for at, base in drawn[:boxes]:
        x, foot = MARGIN_MM + 0.6, base + 0.4
        at.line([x, x + BOX_MM, x + BOX_MM, x, x], [foot, foot, foot - BOX_MM, foot - BOX_MM, foot], style.MEDIUM)
    return page, y


def _layout(sheets: Sheets, page: Page, y: float, pattern: Pattern, layout: Layout) -> tuple[Page, float]:
    """The stock sheets side by side, small, with their pieces by number."""
    stock = layout.stock
    tall = min(LAYOUT_MM, WIDE_MM * stock.height_m / stock.width_m)
    # Millimetres on paper for a metre of the sheet.
    scale = tall / stock.height_m
    wide = stock.width_m * scale
    pieces = {piece.number: piece for piece in pattern.pieces}
    each_row = max(1, int((WIDE_MM + BETWEEN_MM) // (wide + BETWEEN_MM)))
    for first in range(0, layout.sheets, each_row):
        if y + tall + 10.0 > END_MM:
            page, y = sheets.overleaf(), TOP_MM + 4.0
        if first == 0:
            said = (
                f"Sheets: {layout.sheets} of {stock.name}, seen from the inside of the foam; {layout.gap_m * 1000:g} mm between pieces; "
                f"{layout.used * 100:.0f} % used"
            )
            page.say(MARGIN_MM, y, said, 9, weight="bold")
        y += 3.0
        for k in range(first, min(first + each_row, layout.sheets)):
            left = MARGIN_MM + (k - first) * (wide + BETWEEN_MM)
            page.line([left, left + wide, left + wide, left, left], [y, y, y + tall, y + tall, y], style.MEDIUM)
            if layout.sheets > 1:
                page.say(left + 1.0, y + tall + page.line_mm, f"sheet {k + 1}", page.text_pt, color=style.QUIET)
            for placed in layout.placed:
                if placed.sheet == k + 1:
                    cos, sin = np.cos(placed.turn_rad), np.sin(placed.turn_rad)
                    turn = np.array([[cos, -sin], [sin, cos]])
                    piece = pieces[placed.number]
                    at = piece.flat[piece.outline] @ turn.T + np.array(placed.shift_m)
                    x, up = left + at[:, 0] * scale, y + tall - at[:, 1] * scale
                    page.line([*x, x[0]], [*up, up[0]], style.THIN)
                    middle = turn @ _inside(piece) + np.array(placed.shift_m)
                    page.axes.text(
                        left + middle[0] * scale, y + tall - middle[1] * scale, str(placed.number), fontsize=page.text_pt,
                        weight="bold", ha="center", va="center",
                    )  # fmt: skip
        y += tall + page.line_mm + 2.0
    return page, y


def _inside(piece: Piece) -> FloatArray:
    """A place (2,) of the flat piece well inside it, for its number."""
    spot = polygon_of(piece).representative_point()
    return np.array([spot.x, spot.y])


def _blanks(sheets: Sheets, page: Page, y: float, lines: Sequence[str]) -> tuple[Page, float]:
    if y + 6.0 * (len(lines) + 1) > END_MM:
        page, y = sheets.overleaf(), TOP_MM + 4.0
    page.say(MARGIN_MM, y, "Fill in once", 9, weight="bold")
    for said in lines:
        page, y = sheets.text(page, y + 3.2, said)
    return page, y


def _recut(damage: Damage) -> str:
    if damage.piece is None:
        return "none"
    said = f"piece {damage.piece}"
    if damage.sheet is not None:
        said += f"\nsheet {damage.sheet}"
    if damage.pages:
        word = "tile page" if len(damage.pages) == 1 else "tile pages"
        said += f"\n{word} {', '.join(damage.pages)}"
    return said


def _log(page: Page, y: float, lines: int) -> None:
    """Empty lines for a pencil."""
    columns: Columns = (
        ("date, show", 28.0),
        ("what was found", 50.0),
        ("what was done, piece", 50.0),
        ("by", 18.0),
        ("checked again by", 40.0),
    )
    page.say(MARGIN_MM, y, "Log: what was found, what was done, who checked", 9, weight="bold")
    top, x = y + 2.0, MARGIN_MM
    lines = min(lines, int((END_MM - top - 6.0) // LOG_MM))
    foot = top + 6.0 + lines * LOG_MM
    for name, wide in columns:
        page.say(x + 0.8, top + 4.2, name, page.text_pt, color=style.QUIET)
        page.line([x, x], [top, foot], style.THIN, style.QUIET)
        x += wide
    page.line([x, x], [top, foot], style.THIN, style.QUIET)
    for k in range(lines + 1):
        page.line([MARGIN_MM, PAGE_MM[0] - MARGIN_MM], [top + 6.0 + k * LOG_MM] * 2, style.THIN, style.QUIET)
    page.line([MARGIN_MM, PAGE_MM[0] - MARGIN_MM], [top, top], style.MEDIUM)
