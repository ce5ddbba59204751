"""The papers for everybody. Each is drawn from open facts, and from nothing else of the brief."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sightline.packet.brief import Brief
from sightline.packet.openfacts import OpenFacts
from sightline.packet.paper import Drawn, Kind, PaperName, Sheets


def _of_facts(draw: Callable[[OpenFacts, PaperName], Drawn]) -> Callable[[Brief], Drawn]:
    def make(brief: Brief) -> Drawn:
        from sightline.packet.opening import open_facts

        return draw(open_facts(brief), brief.paper)

    return make


def _act(brief: Brief) -> Drawn:
    from sightline.packet.actsheet import act_sheet
    from sightline.packet.audiencepicture import audience_picture
    from sightline.packet.opening import open_facts

    facts = open_facts(brief)
    brief.tick("picture from in front")
    return Sheets(act_sheet(facts, audience_picture(brief), brief.paper))


def _house(facts: OpenFacts, paper: PaperName) -> Drawn:
    from sightline.packet.fronthouse import front_of_house

    return front_of_house(facts, paper)


def _client(facts: OpenFacts, paper: PaperName) -> Drawn:
    from sightline.packet.clientsheet import client_sheet

    return client_sheet(facts, paper)


def _photographer(facts: OpenFacts, paper: PaperName) -> Drawn:
    from sightline.packet.photographer import photographer_sheet

    return photographer_sheet(facts, paper)


KINDS: list[Any] = [
    Kind("act", "act-sheet", "Act sheet", ("bookers", "everybody"), "open", _act),
    Kind("front of house", "front-of-house", "Front of house", ("front of house",), "open", _of_facts(_house)),
    Kind("client", "client-box-office", "Client and box office", ("client", "box office"), "open", _of_facts(_client)),
    Kind("photographer", "photographer", "For the photographer", ("photographers",), "open", _of_facts(_photographer)),
]  # fmt: skip
