"""The photographer's sheet: where pictures are taken from, how, and what is asked first."""

from __future__ import annotations

from sightline.packet.flow import Flow
from sightline.packet.fronthouse import PLAN_MM
from sightline.packet.openfacts import OpenFacts
from sightline.packet.openwording import audience_lines, place_words
from sightline.packet.paper import PaperName, Sheets
from sightline.packet.pitchplan import key_lines, pitch_plan


def photographer_sheet(facts: OpenFacts, paper: PaperName) -> Sheets:
    flow = Flow(
        paper,
        f"For the photographer: {facts.title}",
        "The act is composed for the front, like a picture. Thank you for showing it as it is meant.",
    )
    flow.head("Where from")
    if facts.seated:
        where = "; ".join(seats.text for seats in facts.good)
        flow.bullets(
            [f"The best seats: {where}." if where else "From the middle of the house; the company shows the place."]
        )
    else:
        best = [f"The best spot, X on the plan: {place_words(facts.photo)}."] if facts.photo is not None else []
        flow.bullets([*best, *audience_lines(facts)])
    flow.bullets([
        "Stay in front: not from the side, from behind, from a balcony over the act, or low from the floor, unless the company has "
        "looked at that place with you.",
        "Lens at the height of a standing adult's eyes, or a seated one's from the seats.",
    ])  # fmt: skip
    flow.head("How")
    flow.bullets([
        "No flash and no lamp of your own: a hard light from one side takes the life out of it. Ask for light instead.",
        "Both faces in the picture: the performer's and the puppet's. They look at each other before they look at you; that is the moment.",
        "No pictures in the changing room, of the preset, or while the performer dresses or rests.",
        "Nobody touches the performer or what is carried; nobody waits or sets up in a way out.",
    ])  # fmt: skip
    flow.head("Before it is published")
    flow.bullets(["The company sees the pictures first and says which; please allow a day."])
    flow.blanks(
        [f"contact: {facts.contact}" if facts.contact else "contact", "pictures to (address, by when)", "credit"], 7.0
    )
    if facts.seated:
        return Sheets(flow.pages)
    page, top = flow.space(PLAN_MM)
    scale = pitch_plan(page, facts, (flow.left, top + 3.0, flow.wide, PLAN_MM - 4.0), paper, queue=False)
    flow.para("; ".join(f"{sign}: {text}" for sign, text in key_lines(facts, queue=False)) + ".")
    return Sheets(flow.pages, scale)
