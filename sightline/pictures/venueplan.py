"""A house by itself: plans of its storeys with the clearance of every seat, and a section through its rows."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.house.quality import Row
from sightline.house.storeys import Storey, storeys
from sightline.house.venuereport import VenueReport
from sightline.moment import Moment, PlanOutline, Pose
from sightline.pictures import style
from sightline.pictures.board import Board, heading_in
from sightline.pictures.labels import Labels
from sightline.pictures.legend import OUTLINES, Key, draw_legend, legend_in
from sightline.pictures.planpanel import FOOT_IN, HEAD_IN, Ground, floor, ground_of, panel_foot, panel_head
from sightline.pictures.seatmarks import draw_row_ends, mark_pt
from sightline.scene.venue import Venue

# How wide a panel is where there are one, two or more storeys, and how tall at most.
PANEL_IN, TALLEST_IN = (7.6, 5.4, 4.4), 8.0
TALLEST_SECTION_IN = 3.4
GAP_IN = 2 * style.STEP_IN

# From this clearance up, m: a sign for each band of the worksheet that `rows.py` names.
BANDS = (
    (0.120, Key("C 120 mm and more", "o", "none", style.HIDDEN)),
    (0.090, Key("C 90 to 120 mm", "o", style.SCALE_STOPS[0], style.INK)),
    (0.060, Key("C 60 to 90 mm: between heads", "^", style.SCALE_STOPS[1], style.INK)),
    (0.0, Key("C 0 to 60 mm: under the least band", "v", style.SCALE_STOPS[2], style.INK)),
    (-np.inf, Key("C less than 0: the edge is behind the eyes in front", "s", style.SCALE_STOPS[3], style.INK)),
)
NOBODY = Key("nobody in front, or no rows", ".", style.QUIET, style.QUIET)
BLOCKED = Key("a point of the stage is hidden by scenery", "x", style.MARKED, style.MARKED)
BY_HEADS = Key("a point is behind somebody's head", "+", style.MARKED, style.MARKED)
CHAIR = Key("wheelchair", "D", "none", style.BETTER)
POINT = Key("points that all should see", "*", style.PAPER, style.MARKED)


def draw_venue(report: VenueReport, venue: Venue) -> Any:
    """The figure of one house."""
    house = report.house
    title, said = house.name, headline(report)
    still = Pose("as it stands")
    moment = Moment(
        title, still, (still,), tuple(house.eyes), setting=tuple(house.scenery),
        plan=PlanOutline(tuple(house.outlines), None, 0.0, house.name, tuple(house.levels)),
    )  # fmt: skip
    ground = ground_of(moment, walk_m=report.points_m[:, :2])
    floors = [each for each in storeys(house.eyes) if len(each.members)]
    count = max(len(floors), 1)
    wide = PANEL_IN[min(count, len(PANEL_IN)) - 1]
    scale = float(min(wide / ground.size_m[0], TALLEST_IN / ground.size_m[1]))
    room = max(count * wide + (count - 1) * GAP_IN, 7.6)
    keys = _keys(report)
    sections = _sections(report)
    section = Section.fitting(report, venue, sections, room) if sections else None
    tall = float(ground.size_m[1]) * scale
    head = heading_in(title, said, room) + GAP_IN
    under = section.tall_in + GAP_IN if section is not None else 0.0
    foot = legend_in(keys, room, False) + style.EDGE_IN
    board = Board(room + 2 * style.EDGE_IN, head + HEAD_IN + tall + FOOT_IN + GAP_IN + under + foot)
    board.heading(title, said)
    shown = float(ground.size_m[0]) * scale
    for n, storey in enumerate(floors):
        left = (
            style.EDGE_IN + n * (wide + GAP_IN) + (wide - shown) / 2 + (room - count * wide - (count - 1) * GAP_IN) / 2
        )
        panel_head(board, left, head, shown, storey.name if count > 1 else "")
        _panel(board, left, head + HEAD_IN, scale, ground, storey, report)
        panel_foot(board, left, head + HEAD_IN + tall, shown, scale)
    top = head + HEAD_IN + tall + FOOT_IN + GAP_IN
    if section is not None:
        section.draw(board, top)
        top += under
    draw_legend(board, top, keys, False, False)
    return board.figure


def headline(report: VenueReport) -> str:
    """What the sheet shows, in one or two sentences."""
    eyes, far = report.house.eyes, report.quality.distance_m
    if not eyes:
        return "Nobody sits or stands here."
    clear = report.quality.c_m[~np.isnan(report.quality.c_m)]
    said = f"{len(eyes)} eyes, {far.min():.1f} to {far.max():.1f} m from the edge of the stage"
    if len(clear):
        least, half = clear.min() * 1000, np.median(clear) * 1000
        said += (
            f"; C-value, a stadium's yardstick borrowed here: least {least:.0f} mm, half of them {half:.0f} mm or more"
        )
    said += f". {int(report.blocked.sum())} do not see every point of the stage for scenery"
    if report.by_heads is not None:
        said += f", {int(report.by_heads.sum())} more for heads"
    return said + "."


def _band(c_m: float) -> int:
    # To the millimetre, as it is printed.
    return next(k for k, (least, _) in enumerate(BANDS) if round(c_m, 3) >= least)


def _keys(report: VenueReport) -> list[Key]:
    clear = report.quality.c_m
    bands = {_band(float(c)) for c in clear[~np.isnan(clear)]}
    keys = [key for k, (_, key) in enumerate(BANDS) if k in bands]
    keys += [NOBODY] if np.isnan(clear).any() else []
    keys += [BLOCKED] if report.blocked.any() else []
    keys += [BY_HEADS] if report.by_heads is not None and report.by_heads.any() else []
    keys += [CHAIR] if any(eye.kind == "wheelchair" for eye in report.house.eyes) else []
    keys.append(POINT)
    kinds = {outline.kind for outline in report.house.outlines}
    return list(dict.fromkeys([*keys, *(key for kind, key in OUTLINES.items() if kind in kinds)]))


def _panel(
    board: Board, left: float, top: float, scale: float, ground: Ground, storey: Storey, report: VenueReport
) -> None:  # fmt: skip
    axes = floor(board, left, top, scale, ground, storey, True)
    points, members = ground.points, storey.members
    size = min(mark_pt(points[each.members], scale) for each in storeys(report.house.eyes) if len(each.members))
    clear = report.quality.c_m[members]
    at = points[members]
    which = np.array([-1 if np.isnan(c) else _band(float(c)) for c in clear])
    for k, key in [(-1, NOBODY), *enumerate(key for _, key in BANDS)]:
        here = at[which == k]
        if len(here):
            area = size**2 * (0.55 if key.marker in (".", "o") else 0.8)
            axes.scatter(
                *here.T, s=area, marker=key.marker, facecolors=key.face, edgecolors=key.edge, linewidths=min(0.5, size * 0.12), zorder=3
            )  # fmt: skip
    chair = np.array([report.house.eyes[i].kind == "wheelchair" for i in members])
    if chair.any():
        axes.scatter(
            *at[chair].T,
            s=(size * 1.5) ** 2,
            marker="D",
            facecolors="none",
            edgecolors=CHAIR.edge,
            linewidths=1.0,
            zorder=5,
        )
    heads = report.by_heads
    marks = [(report.blocked[members], BLOCKED)]
    if heads is not None:
        marks.append((heads[members] & ~report.blocked[members], BY_HEADS))
    for there, key in marks:
        if there.any():
            axes.scatter(*at[there].T, s=(size * 1.2) ** 2, marker=key.marker, color=key.edge, linewidths=1.1, zorder=6)
    axes.scatter(
        *report.points_m[:, :2].T, s=44, marker=POINT.marker, facecolors=POINT.face, edgecolors=POINT.edge, linewidths=0.9, zorder=7
    )  # fmt: skip
    labels = Labels(axes, ground.low, ground.high, scale, at, size / 2 / 72 / scale)
    draw_row_ends(labels, report.house.eyes, members, points, size)


def _sections(report: VenueReport) -> list[list[Row]]:
    """For each level the block with most rows, its rows from the front."""
    by_block: dict[tuple[str, str], list[Row]] = {}
    for row in report.rows:
        by_block.setdefault((row.level, row.block), []).append(row)
    best: dict[str, list[Row]] = {}
    for (level, _), rows in by_block.items():
        if len(rows) > len(best.get(level, [])):
            best[level] = rows
    return [rows for rows in best.values() if len(rows) > 1]


class Section:
    """Rows in their distance from the edge of the stage and their heights, both at one scale."""

    def __init__(
        self,
        lines: list[tuple[str, FloatArray, FloatArray]],
        low: float,
        high: float,
        far: float,
        scale: float,
        height_m: float,
    ):
        self.lines, self.low, self.high, self.far, self.scale, self.height_m = lines, low, high, far, scale, height_m

    STAGE_M = 1.6

    @staticmethod
    def fitting(report: VenueReport, venue: Venue, sections: list[list[Row]], room: float) -> Section:
        lines = []
        for rows in sections:
            middle = [_middle(report, row) for row in rows]
            away = report.quality.distance_m[middle]
            order = np.argsort(away, kind="stable")
            up = report.house.positions_m[middle, 2]
            below = np.array([_floor(report, i) for i in middle])
            name = rows[0].level if rows[0].block in ("", rows[0].level) else f"{rows[0].level}, {rows[0].block}"
            lines.append((name, np.column_stack([away, up])[order], below[order]))
        height = venue.stage.height
        low = min(-height, *(float(below.min()) for _, _, below in lines)) - 0.3
        high = max(float(points[:, 1].max()) for _, points, _ in lines) + 0.7
        far = max(float(points[:, 0].max()) for _, points, _ in lines) + 1.0
        scale = min((room - 0.4) / (far + Section.STAGE_M), TALLEST_SECTION_IN / (high - low))
        return Section(lines, low, high, far, scale, height)

    @property
    def tall_in(self) -> float:
        return (self.high - self.low) * self.scale + 0.35

    def draw(self, board: Board, top: float) -> None:
        wide, tall = (self.far + self.STAGE_M) * self.scale, (self.high - self.low) * self.scale
        said = [
            "Section: the middle of every row, its floor, its line to the edge of the stage; lengths and heights at one scale"
        ]
        board.say(style.EDGE_IN, top, said, style.LABEL_PT, style.QUIET)
        left = style.EDGE_IN + (board.room_in - wide) / 2
        axes = board.axes(left, top + 0.2, wide, tall)
        axes.set_xlim(-self.STAGE_M, self.far)
        axes.set_ylim(self.low, self.high)
        axes.set_axis_off()
        axes.plot(
            [-self.STAGE_M, 0.0, 0.0], [0.0, 0.0, -max(self.height_m, 0.05)], color=style.INK, lw=style.HEAVY, zorder=3
        )
        axes.text(-self.STAGE_M, 0.12, "stage", fontsize=style.LABEL_PT, color=style.QUIET)
        for _, points, below in self.lines:
            half = np.diff(points[:, 0]).min() / 2
            for (away, up), ground in zip(points, below, strict=True):
                axes.plot([0.0, away], [0.0, up], color=style.FAINT_LINE, lw=style.THIN, zorder=1)
                axes.plot([away - half, away + half], [ground, ground], color=style.INK, lw=style.MEDIUM, zorder=2)
                axes.plot([away, away], [ground, up], color=style.QUIET, lw=style.THIN, ls=":", zorder=2)
            axes.scatter(
                *points.T, s=12, marker="o", facecolors=style.PAPER, edgecolors=style.INK, linewidths=0.8, zorder=4
            )
        ends: dict[tuple[int, int], list[str]] = {}
        for name, points, _ in self.lines:
            # Rows that lie over each other in the section share one label.
            ends.setdefault((round(float(points[-1, 0])), round(float(points[-1, 1]))), []).append(name)
        for names in ends.values():
            x, y = next(points[-1] for name, points, _ in self.lines if name == names[0])
            axes.text(x, y + 0.12 / self.scale, "; ".join(names), fontsize=style.LABEL_PT, ha="right", parse_math=False)
        self._scale(axes)

    def _scale(self, axes: Any) -> None:
        length = next((m for m in (5.0, 2.0, 1.0) if m < 0.3 * self.far), 0.5)
        y = self.low + 0.12
        axes.plot([-self.STAGE_M, -self.STAGE_M + length], [y, y], color=style.INK, lw=style.MEDIUM)
        axes.text(-self.STAGE_M + length + 0.15, y, f"{length:g} m", va="center", fontsize=style.LABEL_PT)


def _middle(report: VenueReport, row: Row) -> int:
    """The seat in the middle of a row's distances that is no wheelchair place, if there is one."""
    seats = [i for i in row.members if report.house.eyes[i].kind != "wheelchair"] or list(row.members)
    order = sorted(seats, key=lambda i: (float(report.quality.side_deg[i]), i))
    return order[0]


def _floor(report: VenueReport, i: int) -> float:
    eye = report.house.eyes[i]
    return eye.floor_m if eye.floor_m is not None else eye.position_m[2] - 1.12
