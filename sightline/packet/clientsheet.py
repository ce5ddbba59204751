"""The sheet for the client and the box office: what is provided by whom, which seats are sold as what, what may be promised."""

from __future__ import annotations

from sightline.blocking.notation import distance
from sightline.packet.actsheet import needs, to_agree
from sightline.packet.flow import Flow
from sightline.packet.fronthouse import seat_tables
from sightline.packet.openfacts import OpenFacts
from sightline.packet.openwording import COMPLAINT, FILMING, LATECOMERS, house_lines, not_for
from sightline.packet.paper import PaperName, Sheets

# Tried in turn until it is on one sheet; long lists of seats take more.
TEXT_PT = (8.5, 8.0, 7.4)


def client_sheet(facts: OpenFacts, paper: PaperName) -> Sheets:
    for text_pt in TEXT_PT:
        pages = _drawn(facts, paper, text_pt).pages
        if len(pages) == 1:
            return Sheets(pages)
    return Sheets(_drawn(facts, paper, TEXT_PT[0]).pages)


def _drawn(facts: OpenFacts, paper: PaperName, text_pt: float) -> Flow:
    said = "What is asked of the house, how seats are sold, and what may be promised."
    flow = Flow(paper, f"Client and box office: {facts.title}", said, text_pt=text_pt)
    flow.head("What the house provides")
    provided = [
        (name, text)
        for name, text in needs(facts)
        if name not in ("running time", "sets", "rest between", "with it come")
    ]
    flow.table((("what", 30), ("how", 150)), [[name, text or "to be agreed"] for name, text in provided])
    flow.ticks([
        ("Water and a chair in the changing room, a lock on its door", "only the company goes in"),
        (
            f"A way {distance(facts.door_m)} wide from the changing room to the place, walked together before doors",
            "doors, steps and lifts are looked at by the handler",
        ),
        ("Ways out and what must stay clear agreed with the venue", "its fire authority and local code decide"),
    ], 40.0)  # fmt: skip
    flow.head("Where the audience is")
    flow.bullets(house_lines(facts))
    flow.head("What does not work")
    flow.bullets(not_for(facts))
    seat_tables(flow, facts)
    flow.head("What may be promised when tickets are sold")
    flow.bullets([
        f"Running time: {facts.running or 'to be agreed'}. Start: {facts.start or 'to be agreed'}.",
        facts.latecomers or LATECOMERS,
        facts.filming or FILMING,
    ])  # fmt: skip
    flow.head("If somebody complains about a seat")
    flow.para(facts.complaint or COMPLAINT)
    flow.head("To agree", 30.0)
    flow.blanks([f"{name}: {text}" if text else name for name, text in to_agree(facts)], 7.0)
    flow.blanks(["agreed for the house (name, day)", "agreed for the company (name, day)"], 7.0)
    return flow
