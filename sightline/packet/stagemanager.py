"""The stage manager's papers: plan to scale with the marks, spike table, cue sheet, preset, running sheet, report."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from sightline.blocking.cautions import BLIND
from sightline.blocking.marks import Spike
from sightline.blocking.notation import clock
from sightline.geometry.frame import FloatArray
from sightline.packet.blocked import Blocked
from sightline.packet.brief import Brief
from sightline.packet.flow import Flow
from sightline.packet.frame import heading, leaf, room_of
from sightline.packet.paper import Kind, Sheets
from sightline.packet.preset import preset_rows
from sightline.packet.scaleplan import draw_bar, draw_outlines, draw_sides, plan_axes, scale_for
from sightline.pictures import style
from sightline.pictures.labels import ROUND, Labels
from sightline.pictures.marks import TAPE_COLOURS
from sightline.pictures.page import Page

# Over and under the plan: the scale bar, and the room for the check bar.
BAR_MM, CHECK_MM = 9.0, 8.0


def _sheets(brief: Brief) -> list[Sheets]:
    blocked = brief.blocked
    plan, scale = _plan(brief, blocked)
    said = f"Measure from CL and {_base(blocked)}, never from walls. {blocked.tapes.why}"
    flow = Flow(brief.paper, "Spike table", said, text_pt=7.6)
    _spikes(flow, blocked)
    _cues(flow, blocked)
    preset = Flow(
        brief.paper, "Preset", "Before doors, before every set. Nothing is preset until somebody has signed for it."
    )
    _preset(brief, preset)
    running = Flow(brief.paper, "Running sheet")
    running.bullets([BLIND], "!")
    _running(brief, running)
    _report(brief, running)
    return [Sheets([plan], scale), Sheets(flow.pages), Sheets(preset.pages), Sheets(running.pages)]


def _base(blocked: Blocked) -> str:
    return "PL" if blocked.from_what == "PL" else f"the {blocked.from_what}"


def extent(blocked: Blocked) -> tuple[FloatArray, FloatArray]:
    """Corners of what the plan must show, m: marks, ways, hooks, the origin and the near stage edge."""
    points = [
        np.array([spike.spot_m for spike in blocked.spikes]),
        np.array([blocked.tapes.a_m, blocked.tapes.b_m, (0, 0)]),
    ]
    every = np.vstack([*points, *(step.path_m for step in blocked.steps)])
    low, high = every.min(axis=0), every.max(axis=0)
    fronts = [float(line.points_m[:, 1].min()) for line in blocked.outlines if line.kind == "stage edge"]
    if fronts and low[1] - 3.0 <= min(fronts) < low[1]:
        low = np.array([low[0], min(fronts)])
    return low - 0.5, high + 0.5


def _plan(brief: Brief, blocked: Blocked) -> tuple[Page, str]:
    page = leaf(brief.paper, landscape=True)
    said = (
        f"Spikes and ways in plan. Depths from {_base(blocked)}; SL = HR, SR = HL; dashed: the ways walked; the arrow at a "
        "mark: the first facing there."
    )
    top = heading(page, "Marks", said)
    left, _, right, foot = room_of(page)
    box = (left, top, right - left, foot - top - BAR_MM - CHECK_MM)
    low, high = extent(blocked)
    scale = scale_for(high - low, (box[2], box[3]), brief.paper)
    middle = (low + high) / 2
    axes = plan_axes(page, box, scale, middle)
    draw_outlines(axes, blocked.outlines)
    half = np.array([box[2], box[3]]) / 2 / scale.mm_per_m
    spots = np.array([spike.spot_m for spike in blocked.spikes])
    mm = 1 / scale.mm_per_m
    walked = [
        np.linspace(a, b, 12) for step in blocked.steps for a, b in zip(step.path_m, step.path_m[1:], strict=False)
    ]
    labels = Labels(axes, middle - half, middle + half, scale.mm_per_m / 25.4, np.vstack([spots, *walked]), 1.2 * mm)
    _ways(axes, blocked)
    for name, hook in zip("AB", (blocked.tapes.a_m, blocked.tapes.b_m), strict=True):
        axes.plot(*hook, marker="^", ms=5.5, mfc="white", mec=style.INK, mew=style.THIN, zorder=4)
        labels.put(f"tape {name}", hook, ROUND, 2.2 * mm, must=True, paper=True)
    for spike in blocked.spikes:
        _mark(axes, labels, spike, mm)
    draw_sides(page, box)
    draw_bar(page, left + 4.0, box[1] + box[3] + 5.5, scale)
    page.check_bar(foot - 1.5)
    return page, scale.words


def _ways(axes: Any, blocked: Blocked) -> None:
    for step in blocked.steps:
        way = step.path_m
        if float(np.abs(np.diff(way, axis=0)).sum()) > 0.01:
            axes.plot(*way.T, color=style.HIDDEN, lw=style.MEDIUM, ls=(0, (5, 2)), zorder=2)
            tail, tip = way[-2] + (way[-1] - way[-2]) * 0.5, way[-2] + (way[-1] - way[-2]) * 0.58
            axes.annotate(
                "", xy=tip, xytext=tail, zorder=3,
                arrowprops={"arrowstyle": "-|>", "color": style.HIDDEN, "lw": style.MEDIUM, "shrinkA": 0, "shrinkB": 0},
            )  # fmt: skip


def _mark(axes: Any, labels: Labels, spike: Spike, mm: float) -> None:
    """A cross of 5 mm with number and name, and the first facing."""
    x, y = spike.spot_m
    axes.plot([x - 2.5 * mm, x + 2.5 * mm], [y, y], color=style.INK, lw=style.HEAVY, zorder=5)
    axes.plot([x, x], [y - 2.5 * mm, y + 2.5 * mm], color=style.INK, lw=style.HEAVY, zorder=5)
    if spike.facing_rad is not None:
        tip = np.array([x, y]) + np.array([np.sin(spike.facing_rad), -np.cos(spike.facing_rad)]) * 9 * mm
        axes.annotate(
            "", xy=tip, xytext=(x, y), zorder=5,
            arrowprops={"arrowstyle": "-|>", "color": style.INK, "lw": style.MEDIUM, "shrinkA": 0, "shrinkB": 0},
        )  # fmt: skip
    said = f"{spike.number}  {spike.label}, {spike.tape}"
    labels.put(said, spike.spot_m, ROUND, 3.6 * mm, 9.0, weight="bold", must=True, paper=True)


def _spikes(flow: Flow, blocked: Blocked) -> None:
    depth, names = f"from {blocked.from_what}", blocked.tapes.names
    (ax, ay), (bx, by) = blocked.tapes.a_m, blocked.tapes.b_m
    flow.para(
        f"A is hooked at {ax:+.3f}, {ay:+.3f} m and B at {bx:+.3f}, {by:+.3f} m from CL and {_base(blocked)} (+ stage left, + upstage). "
        "Two lengths meet twice: 'meet' says on which side of the line from A to B. A mark is a small cross with its number on the tape."
    )
    flow.bullets([*blocked.warnings, BLIND], "!")
    rows = []
    for spike in blocked.spikes:
        row = spike.row()
        rows.append([
            row["no."], spike.tape, spike.label, both(row, "from CL"), both(row, depth), row["facing"],
            *(f"{row[name + ', m']} m\n{row[name + ', ft']}" for name in names), row["tapes meet"], row["beats"], "",
        ])  # fmt: skip
    columns = (
        ("no.", 7), ("tape", 13), ("mark", 18), ("from CL", 25), (depth, 29), ("facing", 26), (names[0], 20), (names[1], 20),
        ("meet", 16), ("beats", 21), ("done", 10),
    )  # fmt: skip
    flow.table(columns, rows)
    _swatches(flow, blocked.spikes)


def _swatches(flow: Flow, spikes: Sequence[Spike]) -> None:
    """The tape's colours once, by name: colour never tells alone."""
    from matplotlib.patches import Rectangle

    page, top = flow.space(7.0)
    x = flow.left
    for tape in dict.fromkeys(spike.tape for spike in spikes):
        page.axes.add_patch(Rectangle((x, top + 1.0), 6.0, 3.0, fc=TAPE_COLOURS[tape], ec=style.INK, lw=0.4))
        page.say(x + 7.5, top + 3.6, tape, flow.text_pt)
        x += 11.0 + page.width_mm(tape, flow.text_pt)


def both(row: dict[str, str], key: str) -> str:
    """A place in both measures, one above the other."""
    return f"{row[key]}\n{row[key + ', ft']}" if " m " in row[key] else row[key]


def _cues(flow: Flow, blocked: Blocked) -> None:
    flow.head("Cue sheet", 40.0)
    flow.para(
        "P performer, X crosses to, @ is at; D down, U up, C centre. FF full front 0 deg, 1/4 45, profile 90, 3/4 135; L and R are the "
        "performer's own. What a cue does not say stays as it was. LX, SND: for the departments to write in.",
        colour=style.QUIET,
    )
    rows = []
    for cue in blocked.cues:
        row = cue.row()
        said = "\n".join(f"{key}: {text}" for key, text in cue.news.items())
        rows.append(
            [
                row["cue"],
                f"{row['time']}\n{row['trigger']}",
                row["beat"],
                row["where"],
                row["facing"],
                row["action"],
                said,
                "",
                "",
            ]
        )
    columns = (
        ("cue", 8), ("there at", 19), ("beat", 20), ("where", 36), ("facing", 28), ("action", 25), ("focus, false arm, hands", 32),
        ("LX", 9), ("SND", 9),
    )  # fmt: skip
    flow.table(columns, rows)


def _preset(brief: Brief, flow: Flow) -> None:
    for head, rows in preset_rows(brief):
        flow.head(head)
        flow.ticks(rows, 26.0)
    flow.head("Checked")
    flow.blanks(["by", "at", "what was not as it should be"])


def _running(brief: Brief, flow: Flow) -> None:
    times = brief.scene.papers.times
    said = [
        f"start {times.start}" if times.start else "",
        f"running time {clock(times.running)}" if times.running else "",
    ]
    said += [f"sets {times.sets}" if times.sets else "", f"rest {clock(times.rest)}" if times.rest else ""]
    flow.para(
        "; ".join(x for x in said if x)
        or "Start, running time, sets and rest are not written in the scene: 'papers: {times: ...}'."
    )
    rows = [
        [
            cue.number,
            clock(cue.step.at_s),
            cue.step.name,
            cue.where,
            "; ".join(x for x in (cue.action, cue.step.hands or "") if x),
            "",
            "",
        ]
        for cue in brief.blocked.cues
    ]
    columns = (
        ("cue", 8),
        ("at", 10),
        ("beat", 24),
        ("where", 46),
        ("what happens", 40),
        ("done", 9),
        ("late, changed, seen", 40),
    )
    flow.table(columns, rows)


def _report(brief: Brief, flow: Flow) -> None:
    flow.head("Show report, stub", 90.0)
    flow.blanks(["date, place, which set", "started at", "ended at", "house: seats held, late, moved"])
    flow.ticks([
        ("Nobody told or showed that they saw the working", "who says so"),
        ("Somebody saw something: seat, second, what they saw", "look it up with sightline rehearse --at --eye"),
        ("Marks held", "or: which one was missed, by how much"),
        ("Nobody was hurt, numb or too hot", "or: the venue's accident book, and what changes before the next set"),
    ], 60.0)  # fmt: skip
    flow.blanks(["repairs for the workshop", "notes for the director", "signed"])


KINDS = [Kind("stage manager", "stage-manager", "Stage manager's book", ("stage manager",), "closed", _sheets)]
