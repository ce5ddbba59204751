"""The day sheet, worked back from the start: arrive, dress, mirror, walk, places, run, rest, doff, dry, pack."""

from __future__ import annotations

from sightline.packet.brief import Brief
from sightline.packet.daytimes import entries, start_minutes, time_words
from sightline.packet.flow import Flow
from sightline.packet.paper import Kind, LeftOut, Sheets
from sightline.workshop.doffing import ways_out
from sightline.workshop.dressing import dressing_of, seconds_of

# Dressing takes longer on the day than with a watch in the workshop. Common practice, no source.
DAY_FACTOR = 1.5
LEAST_DRESS_S, LEAST_DOFF_S = 600.0, 300.0
ASK = "Write it in the scene: papers: {times: {start: '19:30', running: 15 min, sets: 3, rest: 45 min}}."


def _sheet(brief: Brief) -> Sheets:
    bench = brief.act()
    times, day = brief.scene.papers.times, brief.scene.papers.day
    start = start_minutes(times.start)
    if start is None:
        said = f"'{times.start}' is no time of day" if times.start else "The scene does not say when the act starts"
        raise LeftOut(f"{said}, so there is nothing to work the day back from. {ASK}")
    dressing = dressing_of(bench)
    worn = sum(seconds_of(step) for step in dressing.steps) * DAY_FACTOR if dressing else 0.0
    out = next((way.seconds for way in ways_out(bench) if way.key == "out of everything"), 0.0) * DAY_FACTOR
    dress = day.dress if day.dress is not None else max(worn, LEAST_DRESS_S)
    doff = day.doff if day.doff is not None else max(out, LEAST_DOFF_S)
    flow = Flow(
        brief.paper,
        "Day sheet",
        f"Worked back from the start at {time_words(start)}; before it to the earlier five minutes, after it to the later.",
    )
    rows = [
        [time_words(entry.at_min), entry.what, _minutes(entry.lasts_s), entry.who, ""] for entry in entries(start, times, day, dress, doff)
    ]  # fmt: skip
    flow.table((("at", 24), ("what", 66), ("takes", 18), ("who", 56), ("done", 16)), rows)
    if times.running is None:
        flow.bullets(
            [f"How long a set runs is not written: what comes after the start is counted from the start itself. {ASK}"],
            "!",
        )
    if day.dress is None:
        steps = f"{len(dressing.steps)} steps of dressing" if dressing else "no steps of dressing that the scene names"
        flow.bullets(
            [
                f"Dressing: {steps}, half as long again as with a watch, at least {_minutes(LEAST_DRESS_S)} (common practice, no source)."
            ]
        )
    flow.bullets([
        "Nothing is given up to make up for lateness but the length of a set: not the mirror check, not the rest.",
        "A performer who is hot, numb, dizzy or in pain comes out at once, whatever the sheet says: the performer "
        "decides, the handler may, nobody argues.",
    ], "!")  # fmt: skip
    flow.blanks(["called by", "changes on the day"])
    return Sheets(flow.pages)


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds else ""


KINDS = [Kind("day", "day-sheet", "Day sheet", ("performer", "handler", "dresser", "stage manager"), "closed", _sheet)]
