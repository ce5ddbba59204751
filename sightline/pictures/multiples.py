"""Small plans side by side, each house at a scale of its own, with its figures: a tour on a few pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sightline.house.storeys import storeys
from sightline.moment import Moment
from sightline.pictures import style
from sightline.pictures.board import Board, heading_in
from sightline.pictures.layer import Layer
from sightline.pictures.legend import ELSEWHERE, OUTLINES, draw_legend, keys_of, legend_in
from sightline.pictures.plan import named_seats
from sightline.pictures.planned import planned
from sightline.pictures.planpanel import FOOT_IN, HEAD_IN, ONLY_LARGE, draw_panel, ground_of, panel_foot, panel_head
from sightline.pictures.typeset import broken, cut, line_in

COLUMNS, ROWS = 3, 3
CELL_IN, TALLEST_IN = 3.3, 2.9
GAP_IN = 3 * style.STEP_IN
LINES = 3
LISTED = "sightline tour"


@dataclass(frozen=True)
class Small:
    """One small plan: what stands over it, the moment whose house is drawn, what its seats see; or only words."""

    title: str
    lines: tuple[str, ...]
    moment: Moment | None = None
    layer: Layer | None = None
    best: bool = False


def draw_multiples(title: str, said: str, plans: Sequence[Small], columns: int = COLUMNS) -> list[Any]:
    """Figures of up to nine plans each, in their order, so many in a row; a heading and a legend on every page."""
    size = columns * ROWS
    parts = [plans[start : start + size] for start in range(0, len(plans), size)]
    return [_page(title, said, part, columns, n, len(parts)) for n, part in enumerate(parts, 1)]


def _page(title: str, said: str, plans: Sequence[Small], columns: int, number: int, of: int) -> Any:
    columns = max(2, min(columns, len(plans)))
    room = columns * CELL_IN + (columns - 1) * GAP_IN
    head = f"{title}, page {number} of {of}" if of > 1 else title
    keys: list[Any] = []
    for plan in plans:
        if plan.moment is not None and plan.layer is not None:
            keys += keys_of(plan.moment, [plan.layer], bool(named_seats(plan.moment, plan.layer, 1)))
            keys += [ELSEWHERE] if len(storeys(plan.moment.eyes)) > 1 else []
    # Small plans leave these lines away.
    left_out = [OUTLINES[kind] for kind in ONLY_LARGE if kind in OUTLINES]
    keys = [key for key in dict.fromkeys(keys) if key not in left_out]
    top = heading_in(head, said, room) + GAP_IN
    words = _words_in(plans)
    rows = [plans[start : start + columns] for start in range(0, len(plans), columns)]
    talls = [max(_plan_in(plan) for plan in row) for row in rows]
    tall = sum(words + each + GAP_IN for each in talls)
    board = Board(room + 2 * style.EDGE_IN, top + tall + legend_in(keys, room) + style.EDGE_IN)
    board.heading(head, said)
    for row, each in zip(rows, talls, strict=True):
        for k, plan in enumerate(row):
            _small(board, style.EDGE_IN + k * (CELL_IN + GAP_IN), top, plan, words)
        top += words + each + GAP_IN
    draw_legend(board, top, keys, False)
    board.foot(planned([said for plan in plans if plan.moment is not None for said in plan.moment.assumptions], LISTED))
    return board.figure


def _words_in(plans: Sequence[Small]) -> float:
    lines = max(len(_lines(plan)) for plan in plans)
    return line_in(style.TEXT_PT) + lines * line_in(style.LABEL_PT) + style.STEP_IN


def _lines(plan: Small) -> list[str]:
    """What is said under a title, broken to the plan's width; an error gets more room than figures."""
    out: list[str] = []
    for line in plan.lines:
        out += broken(line, CELL_IN, style.LABEL_PT)
    most = LINES if plan.moment is not None else 3 * LINES
    return out if len(out) <= most else [*out[: most - 1], cut(out[most - 1] + " ...", CELL_IN, style.LABEL_PT)]


def _scale(plan: Small) -> float:
    assert plan.moment is not None
    ground = ground_of(plan.moment)
    count = len(storeys(plan.moment.eyes))
    return float(min(CELL_IN / count / ground.size_m[0], TALLEST_IN / ground.size_m[1]))


def _plan_in(plan: Small) -> float:
    if plan.moment is None:
        return 0.0
    return HEAD_IN + float(ground_of(plan.moment).size_m[1]) * _scale(plan) + FOOT_IN


def _small(board: Board, left: float, top: float, plan: Small, words: float) -> None:
    title = f"{plan.title} - best for the tour" if plan.best else plan.title
    end = board.say(left, top, [cut(title, CELL_IN, style.TEXT_PT, "bold")], style.TEXT_PT, weight="bold")
    board.say(left, end, _lines(plan), style.LABEL_PT, style.INK if plan.moment is None else style.QUIET)
    if plan.moment is None or plan.layer is None:
        return
    top += words
    ground, scale = ground_of(plan.moment), _scale(plan)
    floors = storeys(plan.moment.eyes)
    wide, tall = float(ground.size_m[0]) * scale, float(ground.size_m[1]) * scale
    start = left + (CELL_IN - len(floors) * wide) / 2
    panel_head(board, left, top, CELL_IN, "")
    for k, storey in enumerate(floors):
        named = named_seats(plan.moment, plan.layer, 1)
        draw_panel(
            board, start + k * wide, top + HEAD_IN, scale, ground, storey, plan.layer, False, named, len(floors) > 1
        )
    panel_foot(board, left, top + HEAD_IN + tall, CELL_IN, scale)
