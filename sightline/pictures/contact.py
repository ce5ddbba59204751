"""The contact sheet: small views from the eyes that matter, each with its seat, verdict and distance, and a key plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from sightline.blocking.contacteyes import ContactEye
from sightline.house.storeys import storeys
from sightline.pictures import style
from sightline.pictures.board import Board, heading_in
from sightline.pictures.labels import Labels, outward_first
from sightline.pictures.palette import Palette
from sightline.pictures.planned import AS_COMPUTED, planned
from sightline.pictures.planpanel import FOOT_IN, floor, ground_of, panel_foot, panel_head, panel_head_in, performer
from sightline.pictures.typeset import broken, cut, line_in
from sightline.pictures.verdicts import distance_m, short_verdict
from sightline.pictures.view import DOTS, Manner, picture_on, view_of
from sightline.sight.check import VERDICTS, Finding

COLUMNS = 3
CELL_IN, PICTURE_IN = 3.0, 2.3
GAP_IN = 2 * style.STEP_IN
VERDICT_LINES = 2
# What shows in front of a verdict, so that it is told without its colour.
SIGNS = {
    "hidden": ("o", "none", style.HIDDEN),
    "faint": ("^", style.SCALE_STOPS[0], style.INK),
    "seen": ("s", style.SCALE_STOPS[3], style.INK),
}


def draw_contact(
    finding: Finding, eyes: Sequence[ContactEye], palette: Palette | None = None, manner: Manner = "colour",
    marked: bool = True,
) -> Any:  # fmt: skip
    """The figure: one cell for each eye, then the plan that says where they are."""
    moment = finding.moment
    room = COLUMNS * CELL_IN + (COLUMNS - 1) * GAP_IN
    seen = sum(finding.worst_verdict()[eye.index] == 2 for eye in eyes)
    where = f" in {moment.plan.venue}" if moment.plan.venue else ""
    said = f"{len(eyes)} eyes{where}; {seen} of them can see a secret. "
    said += "Hatched: what shows of a secret." if marked else "Nothing is marked on these pictures."
    text = line_in(style.TEXT_PT) + (1 + VERDICT_LINES) * line_in(style.LABEL_PT)
    cell = PICTURE_IN + 0.05 + text + GAP_IN
    head = heading_in(moment.title, said, room) + GAP_IN
    rows = -(-len(eyes) // COLUMNS)
    key_in = _key_in(finding, room)
    board = Board(room + 2 * style.EDGE_IN, head + rows * cell + key_in + style.EDGE_IN)
    board.heading(moment.title, said)
    for k, eye in enumerate(eyes):
        row, column = divmod(k, COLUMNS)
        _cell(
            board,
            style.EDGE_IN + column * (CELL_IN + GAP_IN),
            head + row * cell,
            finding,
            eye,
            k + 1,
            palette,
            manner,
            marked,
        )
    _key_plan(board, head + rows * cell, finding, eyes, room)
    board.foot(f"{planned(moment.assumptions)} {AS_COMPUTED}")
    return board.figure


def _cell(
    board: Board, left: float, top: float, finding: Finding, eye: ContactEye, number: int, palette: Palette | None,
    manner: Manner, marked: bool,
) -> None:  # fmt: skip
    size = round(CELL_IN * DOTS), round(PICTURE_IN * DOTS)
    axes = board.axes(left, top, CELL_IN, PICTURE_IN)
    picture_on(axes, finding, view_of(finding, eye.index, size=size), marked, None, palette, manner)
    seat = finding.moment.eyes[eye.index]
    verdict = VERDICTS[finding.worst_verdict()[eye.index]]
    top += PICTURE_IN + 0.05
    strip = board.plain_axes(left, top, 0.14, line_in(style.TEXT_PT))
    shape, face, edge = SIGNS[verdict]
    strip.scatter([0.06], [0.065], s=26, marker=shape, facecolors=face, edgecolors=edge, linewidths=0.8)
    name = cut(f"{number}  {seat.id}", CELL_IN - 0.18, style.TEXT_PT, "bold")
    top = board.say(left + 0.18, top, [name], style.TEXT_PT, weight="bold")
    why = cut(f"{eye.why}; {distance_m(finding, eye.index):.1f} m away", CELL_IN, style.LABEL_PT)
    top = board.say(left, top, [why], style.LABEL_PT, style.QUIET)
    lines = broken(short_verdict(finding, eye.index), CELL_IN, style.LABEL_PT)
    if len(lines) > VERDICT_LINES:
        lines = [*lines[: VERDICT_LINES - 1], cut(lines[VERDICT_LINES - 1] + " ...", CELL_IN, style.LABEL_PT)]
    board.say(left, top, lines, style.LABEL_PT)


def _scale(finding: Finding, room: float) -> float:
    ground = ground_of(finding.moment)
    count = len(storeys(finding.moment.eyes))
    wide = min((room - (count - 1) * GAP_IN) / count, 4.4)
    return float(min(wide / ground.size_m[0], 3.6 / ground.size_m[1]))


def _key_in(finding: Finding, room: float) -> float:
    ground, scale = ground_of(finding.moment), _scale(finding, room)
    return panel_head_in(float(ground.size_m[0]) * scale, True) + float(ground.size_m[1]) * scale + FOOT_IN


def _key_plan(board: Board, top: float, finding: Finding, eyes: Sequence[ContactEye], room: float) -> None:
    """Where the numbered eyes are."""
    moment = finding.moment
    ground, scale = ground_of(moment), _scale(finding, room)
    wide, tall = (float(x) * scale for x in ground.size_m)
    floors = storeys(moment.eyes)
    start = style.EDGE_IN + (room - len(floors) * wide - (len(floors) - 1) * GAP_IN) / 2
    for k, storey in enumerate(floors):
        left = start + k * (wide + GAP_IN)
        panel_head(board, left, top, wide, storey.name if len(floors) > 1 else "where they are")
        axes = floor(board, left, top + panel_head_in(wide, True), scale, ground, storey, large=False)
        points = ground.points
        axes.scatter(*points[storey.members].T, s=2.0, color=style.QUIET, alpha=0.6, linewidths=0, zorder=2)
        labels = Labels(axes, ground.low, ground.high, scale)
        performer(axes, ground, False, labels)
        numbered = [(n + 1, eye.index) for n, eye in enumerate(eyes) if eye.index in storey.members]
        at = points[[i for _, i in numbered]]
        if len(at):
            axes.scatter(*at.T, s=9, color=style.INK, linewidths=0, zorder=5)
            labels.marks, labels.mark_m = at, 1.5 / 72 / scale
        for number, i in numbered:
            way = points[i] - ground.start
            labels.put(
                str(number), points[i], outward_first(np.asarray(way)), 3.0 / 72 / scale, weight="bold", must=True
            )
        panel_foot(board, left, top + panel_head_in(wide, True) + tall, wide, scale)
