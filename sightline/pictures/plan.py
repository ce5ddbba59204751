"""The plan with its heat map: which seats can see a secret, and how much of it; storeys side by side, at one scale."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.blocking.worstseats import worst_seats
from sightline.geometry.frame import FloatArray
from sightline.house.storeys import storeys
from sightline.moment import Moment
from sightline.pictures import style
from sightline.pictures.board import Board, heading_in
from sightline.pictures.layer import LARGEST_ARCMIN, SMALLEST_ARCMIN, Layer, layer_of, layers
from sightline.pictures.legend import ELSEWHERE, HELD, WALK, draw_legend, keys_of, legend_in
from sightline.pictures.planned import CHECK, planned
from sightline.pictures.planpanel import (
    FOOT_IN,
    HEAD_IN,
    Ground,
    draw_panel,
    ground_of,
    panel_foot,
    panel_head,
)
from sightline.pictures.typeset import broken, cut, line_in
from sightline.sight.check import Finding

__all__ = ["LARGEST_ARCMIN", "SMALLEST_ARCMIN", "PlanSheet", "draw_map", "draw_plan", "map_sheet"]

# How wide the large panel is where there are one, two or more storeys, and how tall at most; a small one's least width.
MAIN_IN, TALLEST_IN, SMALL_IN = (7.6, 5.4, 4.4), 8.6, 1.75
GAP_IN = 2 * style.STEP_IN
SMALL_HEAD_IN = 2 * line_in(style.LABEL_PT) + 0.03


@dataclass(frozen=True)
class PlanSheet:
    """One sheet: a large plan (or none) and small ones, with what is said over and under them.

    `small_moments` are those of the small plans where they differ from the large one's, as beats do. `listed`: the command
    that lists what the plan rests on.
    """

    moment: Moment
    title: str
    said: str
    large: Layer | None
    small: tuple[Layer, ...] = ()
    note: str = ""
    held_m: FloatArray | None = None
    walk_m: FloatArray | None = None
    small_in: float = SMALL_IN
    small_moments: tuple[Moment, ...] = ()
    listed: str = CHECK


def draw_map(finding: Finding, only: str | None = None, margin: bool = False, each: bool = False) -> Any:
    """The figure: a large plan of all secrets together, small ones of each. `only` draws one secret by name.

    With `margin` the plans show how much hidden eyes have to spare; the finding must have margins then. `each` has no
    large plan, and every secret in a middle-sized one.
    """
    return draw_plan(map_sheet(finding, only, margin, each))


def map_sheet(
    finding: Finding,
    only: str | None = None,
    margin: bool = False,
    each: bool = False,
    held_m: FloatArray | None = None,
) -> PlanSheet:
    """What `draw_map` draws. `held_m` (n, 3): eyes of the seats that are held."""
    every = layers(finding, margin)
    if only is not None:
        every = [layer_of(finding, only, margin)]
    first, rest = every[0], every[1:]
    # What nobody sees needs no plan of its own, only its name.
    unseen = [] if each else [layer.title.lower() for layer in rest if not layer.shows]
    shown = [layer for layer in rest if layer.shows or each]
    small = sorted(shown, key=lambda layer: -layer.seen)
    what = "Nothing uncovers" if margin else "Hidden from everybody"
    said = f"{what}: {', '.join(unseen)}." if unseen else ""
    return PlanSheet(
        finding.moment, finding.moment.title, headline(finding.moment, first, only), None if each and rest else first,
        tuple(small), said, held_m, small_in=2.6 if each else SMALL_IN,
    )  # fmt: skip


def headline(moment: Moment, layer: Layer, only: str | None = None) -> str:
    """What the sheet shows, in one sentence."""
    where = f" in {moment.plan.venue}" if moment.plan.venue else ""
    if layer.margin_deg is not None:
        which = f" of the {only}" if only else ""
        return f"How much there is to spare{which}{where}: {layer.said}; {layer.seen} of {len(moment.eyes)} eyes can see it"
    what = only or ("a secret" if len(moment.secret_names()) > 1 else moment.secret_names()[0])
    faint = int((layer.verdict == 1).sum())
    said = f"{layer.seen} of {len(moment.eyes)} eyes{where} can see {what}"
    return said + (f"; {faint} more faintly, below what they can notice" if faint else "")


def named_seats(moment: Moment, layer: Layer, most: int = 3) -> list[int]:
    """The seats that a plan names: the worst, or those with least to spare, from directions that differ."""
    return worst_seats(moment.eye_points(), moment.focus_m, layer.verdict, layer.size_arcmin, layer.margin_deg, most)


def draw_plan(sheet: PlanSheet) -> Any:
    """The figure of a sheet: large panels of all storeys in a row, small ones under them, legend and scale."""
    moment = sheet.moment
    ground = ground_of(moment, sheet.held_m, sheet.walk_m)
    floors = storeys(moment.eyes)
    count = len(floors)
    main = MAIN_IN[min(count, len(MAIN_IN)) - 1]
    scale = float(min(main / ground.size_m[0], TALLEST_IN / ground.size_m[1]))
    room = max(count * main + (count - 1) * GAP_IN, 7.6)
    every = [layer for layer in (sheet.large, *sheet.small) if layer is not None]
    margin = any(layer.margin_deg is not None for layer in every)
    named = named_seats(moment, sheet.large) if sheet.large is not None else []
    keys = keys_of(moment, every, bool(named) or any(named_seats(moment, layer, 1) for layer in sheet.small))
    keys += [
        key for key, there in ((HELD, len(ground.held_m)), (WALK, len(ground.walk_m)), (ELSEWHERE, count > 1)) if there
    ]
    block = Small.fitting(ground, count, len(sheet.small), room, sheet.small_in)
    note = broken(sheet.note, room, style.TEXT_PT)
    panel_tall = float(ground.size_m[1]) * scale
    main_tall = HEAD_IN + panel_tall + FOOT_IN + GAP_IN if sheet.large is not None else 0.0
    head = heading_in(sheet.title, sheet.said, room) + GAP_IN
    foot = len(note) * line_in(style.TEXT_PT) + style.STEP_IN + legend_in(keys, room) + style.EDGE_IN
    board = Board(room + 2 * style.EDGE_IN, head + main_tall + block.tall_in + foot)
    board.heading(sheet.title, sheet.said)
    top = head
    if sheet.large is not None:
        wide = float(ground.size_m[0]) * scale
        left = style.EDGE_IN + (room - count * wide - (count - 1) * GAP_IN) / 2
        for k, storey in enumerate(floors):
            x = left + k * (wide + GAP_IN)
            panel_head(board, x, top, wide, storey.name if count > 1 else "")
            draw_panel(board, x, top + HEAD_IN, scale, ground, storey, sheet.large, True, named, ghosts=count > 1)
            panel_foot(board, x, top + HEAD_IN + panel_tall, wide, scale)
        top += main_tall
    for k, layer in enumerate(sheet.small):
        row, column = divmod(k, block.columns)
        here = sheet.small_moments[k] if sheet.small_moments else moment
        own = (
            ground if here is moment else Ground(here, here.eye_points()[:, :2], ground.low, ground.high, ground.held_m)
        )
        block.draw(board, top + row * block.row_in, column, own, layer)
    top += block.tall_in
    top = board.say(style.EDGE_IN, top, note, style.TEXT_PT, style.QUIET) + style.STEP_IN
    draw_legend(board, top, keys, margin)
    board.foot(planned(moment.assumptions, sheet.listed))
    return board.figure


@dataclass(frozen=True)
class Small:
    """How the small plans are laid out: how many in a row, and at what scale."""

    columns: int
    rows: int
    scale: float
    wide_in: float
    row_in: float

    @property
    def tall_in(self) -> float:
        return self.rows * self.row_in

    @staticmethod
    def fitting(ground: Ground, count: int, plans: int, room: float, least_in: float) -> Small:
        if not plans:
            return Small(1, 0, 1.0, room, 0.0)
        # Storeys of one plan stand close together, plans farther apart.
        columns = int(np.clip((room + GAP_IN) // (count * least_in + GAP_IN), 1, plans))
        wide = (room + GAP_IN) / max(columns, min(2, plans)) - GAP_IN
        scale = float(min(wide / count / ground.size_m[0], 4.2 / ground.size_m[1]))
        row = SMALL_HEAD_IN + float(ground.size_m[1]) * scale + FOOT_IN + GAP_IN
        return Small(columns, -(-plans // columns), scale, wide, row)

    def draw(self, board: Board, top: float, column: int, ground: Ground, layer: Layer) -> None:
        left = style.EDGE_IN + column * (self.wide_in + GAP_IN)
        said = [cut(layer.title, self.wide_in, style.LABEL_PT, "bold")]
        end = board.say(left, top, said, style.LABEL_PT, weight="bold")
        board.say(left, end, [cut(layer.said, self.wide_in, style.LABEL_PT)], style.LABEL_PT, style.QUIET)
        named = named_seats(ground.moment, layer, 1)
        each = float(ground.size_m[0]) * self.scale
        for k, storey in enumerate(storeys(ground.moment.eyes)):
            draw_panel(board, left + k * each, top + SMALL_HEAD_IN, self.scale, ground, storey, layer, False, named)
        foot = top + SMALL_HEAD_IN + float(ground.size_m[1]) * self.scale
        count = len(storeys(ground.moment.eyes))
        panel_foot(board, left, foot, max(count * each, 1.7), self.scale)
