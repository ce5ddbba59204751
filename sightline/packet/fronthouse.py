"""The front of house sheet: times, seats, latecomers, filming, bags, what to say, and the pitch with its queue."""

from __future__ import annotations

from collections.abc import Sequence

from sightline.packet.flow import Flow
from sightline.packet.openfacts import OpenFacts
from sightline.packet.openwording import (
    COMPLAINT,
    FILMING,
    LATECOMERS,
    LATECOMERS_STAND,
    STOP,
    bag_line,
    house_lines,
    place_words,
)  # fmt: skip
from sightline.packet.paper import PaperName, Sheets
from sightline.packet.pitchplan import key_lines, pitch_plan

PLAN_MM = 118.0
CROWD_CHAIRS = (
    "In a crowd that stands, wheelchair users are offered the first row, straight ahead, on level ground; "
    "a handler keeps their view free."
)


def front_of_house(facts: OpenFacts, paper: PaperName) -> list[Sheets]:
    """Words and seats on the first sheet, the pitch in plan on the next."""
    flow = Flow(
        paper,
        f"Front of house: {facts.title}",
        "For everybody who works in front of house today. Please ask the stage manager, not the performer.",
    )
    _times(flow, facts)
    flow.head("Stop phrase")
    flow.para(f'"{facts.stop_phrase}"', weight="bold")
    flow.para(STOP)
    flow.head("Latecomers")
    flow.bullets([facts.latecomers or LATECOMERS, f"Standing place: {facts.latecomers_stand or LATECOMERS_STAND}"])
    seat_tables(flow, facts)
    flow.head("Filming and photographs")
    flow.bullets([facts.filming or FILMING, *photo_lines(facts)])
    flow.head("If a guest is unhappy with what they saw")
    flow.para(facts.complaint or COMPLAINT)
    flow.head("Bag search")
    flow.para(bag_line(facts))
    flow.head("People of the company")
    flow.blanks(
        [
            "handler (name, where they stand)",
            "stage manager on the day (name, telephone)",
            "first aid of the house (name, telephone)",
        ]
    )
    out = [Sheets(flow.pages)]
    plan = Flow(paper, "Pitch, queue and footprint" if not facts.seated else "Place and footprint", _said(facts))
    scale = plan_on(plan, facts, queue=not facts.seated)
    return [*out, Sheets(plan.pages, scale)]


def _said(facts: OpenFacts) -> str:
    wide, deep = facts.footprint_m
    return (
        f"In plan performer and what is carried take {wide:.2f} x {deep:.2f} m and turn in a circle of {2 * facts.turning_m:.2f} m. "
        "Ways out, aisles and what must stay clear are the venue's to decide, with its fire authority; nobody waits in them."
    )


def plan_on(flow: Flow, facts: OpenFacts, queue: bool) -> str:
    """The plan with its key and where the audience is; gives its scale."""
    page, top = flow.space(PLAN_MM)
    scale = pitch_plan(page, facts, (flow.left, top, flow.wide, PLAN_MM - 2.0), flow.paper, queue)
    flow.head("Key", 20.0)
    flow.bullets([f"{sign}: {text}" for sign, text in key_lines(facts, queue)])
    flow.head("Where the audience is", 20.0)
    flow.bullets(house_lines(facts))
    if facts.posts:
        posts = facts.posts[: facts.handlers]
        flow.head("Where handlers stand", 20.0)
        flow.bullets([f"H{k}: {place_words(post)}" for k, post in enumerate(posts, 1)])
    return scale


def _times(flow: Flow, facts: OpenFacts) -> None:
    rows = [
        (name, text)
        for name, text in (
            ("start", facts.start),
            ("running time", facts.running),
            ("sets", facts.sets),
            ("rest between", facts.rest),
        )
        if text
    ]
    if rows:
        flow.table((("times", 30), ("", 120)), [list(row) for row in rows])
    missing = [
        name
        for name, text in (
            ("start", facts.start),
            ("running time", facts.running),
            ("sets", facts.sets),
            ("rest between", facts.rest),
        )
        if not text
    ]
    flow.blanks(missing, 7.0)
    flow.y += 2.0


def photo_lines(facts: OpenFacts) -> list[str]:
    return (
        [f"The marked spot for photographs: {place_words(facts.photo)}."]
        if facts.photo is not None and not facts.seated
        else []
    )


def seat_tables(flow: Flow, facts: OpenFacts) -> None:
    """Held, restricted and wheelchair places with their counts, as ranges."""
    rows = [[seats.text, str(seats.count), "Held by the company: nobody sits here."] for seats in facts.held]
    rows += [[each.seats.text, str(each.seats.count), each.reason] for each in facts.restricted]
    columns = (("seats", 60), ("count", 14), ("reason", 110))
    if facts.seated or rows:
        _seats(flow, facts, columns, rows)
    flow.head("Wheelchair places", 22.0)
    if facts.wheelchair:
        flow.bullets([f"{seats.text} ({seats.count})" for seats in facts.wheelchair])
        flow.para(
            "Not to be moved, and the place beside each not to be given away, without a new check by the company.",
            weight="bold",
        )
    elif not facts.seated:
        flow.para(CROWD_CHAIRS)
    else:
        flow.para(
            "None are drawn in the plan. Where one is made, the company is asked first, so that the view from it can be checked."
        )


def _seats(flow: Flow, facts: OpenFacts, columns: Sequence[tuple[str, float]], rows: list[list[str]]) -> None:
    flow.head("Held and restricted seats", 22.0)
    if not rows:
        flow.para(f"None, by the company's plan: all {facts.seats} seats can be sold and filled.")
        return
    flow.table(columns, rows)
    held, restricted = sum(seats.count for seats in facts.held), sum(each.seats.count for each in facts.restricted)
    flow.para(f"{held} held, {restricted} restricted, of {facts.seats} seats.")
