"""Two scenes side by side: which eyes got better, which worse."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.house.storeys import storeys
from sightline.pictures import style
from sightline.pictures.board import Board, heading_in
from sightline.pictures.layer import Layer
from sightline.pictures.legend import ELSEWHERE, WORSE, draw_legend, keys_of, legend_in
from sightline.pictures.plan import named_seats
from sightline.pictures.planned import planned
from sightline.pictures.planpanel import FOOT_IN, draw_panel, ground_of, panel_foot, panel_head, panel_head_in
from sightline.pictures.typeset import cut, line_in
from sightline.sight.check import Finding

GAP_IN = 2 * style.STEP_IN
# Width of one panel where each scene has one storey, or more; and how tall it may be.
PANEL_IN, STOREY_IN, TALLEST_IN = 5.0, 3.5, 7.6


def change_of(before: Finding, after: Finding) -> tuple[list[str], np.ndarray[Any, Any]]:
    """Ids of the eyes that both have, and -1 (better), 0 or +1 (worse) for each: verdict first, then size by a tenth."""
    old = {eye.id: i for i, eye in enumerate(before.moment.eyes)}
    new = {eye.id: i for i, eye in enumerate(after.moment.eyes)}
    both = [name for name in old if name in new]
    i, j = [old[name] for name in both], [new[name] for name in both]
    verdict = after.worst_verdict()[j].astype(int) - before.worst_verdict()[i].astype(int)
    a, b = before.size_of_leak()[i], after.size_of_leak()[j]
    size = np.where(b > 1.1 * a, 1, np.where(b < 0.9 * a, -1, 0))
    return both, np.where(verdict != 0, np.sign(verdict), size)


def draw_comparison(before: Finding, after: Finding, names: tuple[str, str]) -> Any:
    """The figure: the plans of either scene, all secrets together, with the eyes that got worse ringed on the second."""
    sides = (before, after)
    layers = [Layer("", f.worst_verdict(), f.size_of_leak()) for f in sides]
    grounds = [ground_of(f.moment) for f in sides]
    low = np.min([g.low for g in grounds], axis=0)
    high = np.max([g.high for g in grounds], axis=0)
    grounds = [type(g)(g.moment, g.points, low, high) for g in grounds]
    floors = [storeys(f.moment.eyes) for f in sides]
    count = max(len(f) for f in floors)
    each = PANEL_IN if count == 1 else STOREY_IN
    scale = float(min(each / (high - low)[0], TALLEST_IN / (high - low)[1]))
    wide, tall = (float(x) * scale for x in high - low)
    side_in = count * wide + (count - 1) * style.STEP_IN
    room = 2 * max(side_in, 3.6) + 2 * GAP_IN
    both, change = change_of(before, after)
    said = f"Eyes that can see a secret: {layers[0].seen} before, {layers[1].seen} after; better for {int((change < 0).sum())}, "
    said += f"worse for {int((change > 0).sum())} of the {len(both)} that are in both"
    keys = list(
        dict.fromkeys(
            key
            for f, layer in zip(sides, layers, strict=True)
            for key in keys_of(f.moment, [layer], bool(layer.verdict.any()))
        )
    )
    keys += [key for key, there in ((WORSE, (change > 0).any()), (ELSEWHERE, count > 1)) if there]
    title = before.moment.title
    head = heading_in(title, said, room) + GAP_IN
    named_in = line_in(style.TEXT_PT) + 0.04
    over = panel_head_in(wide, count > 1)
    body = named_in + over + tall + FOOT_IN + GAP_IN
    board = Board(room + 2 * style.EDGE_IN, head + body + legend_in(keys, room) + style.EDGE_IN)
    board.heading(title, said)
    for k, (finding, layer, ground) in enumerate(zip(sides, layers, grounds, strict=True)):
        left = style.EDGE_IN + k * (room / 2 + GAP_IN)
        word = f"{('Before', 'After')[k]}: {names[k]} - {layer.seen} can see a secret"
        board.say(left, head, [cut(word, room / 2 - GAP_IN, style.TEXT_PT, "bold")], style.TEXT_PT, weight="bold")
        top = head + named_in
        named = named_seats(finding.moment, layer, 1)
        for n, storey in enumerate(floors[k]):
            x = left + n * (wide + style.STEP_IN)
            panel_head(board, x, top, wide, storey.name if count > 1 else "")
            axes = draw_panel(board, x, top + over, scale, ground, storey, layer, True, named, ghosts=count > 1)
            panel_foot(board, x, top + over + tall, wide, scale)
            if k == 1:
                _rings(axes, finding, ground.points, storey.members, both, change)
    draw_legend(board, head + body, keys, margin=False)
    board.foot(planned(after.moment.assumptions, "sightline compare"))
    return board.figure


def _rings(
    axes: Any, finding: Finding, points: np.ndarray[Any, Any], members: np.ndarray[Any, Any], both: list[str],
    change: np.ndarray[Any, Any],
) -> None:  # fmt: skip
    """A double ring round every eye that got worse: it must not be missed."""
    where = {eye.id: i for i, eye in enumerate(finding.moment.eyes)}
    worse = [where[name] for name, sign in zip(both, change, strict=True) if sign > 0]
    worse = [i for i in worse if i in members]
    for size in (50, 95):
        axes.scatter(
            *points[worse].T, s=size, marker="o", facecolors="none", edgecolors=style.WORSE, linewidths=1.0, zorder=9
        )
