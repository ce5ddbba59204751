"""Which lines of a venue are drawn on which storey."""

from __future__ import annotations

from sightline.house.outline import Outline
from sightline.house.storeys import storeys
from sightline.pictures.planpanel import _belongs, ground_of
from tests.pictures.shown import staged_text

# Two blocks of two rows, one over the other: the upper one's name begins with the lower one's.
BLOCKS = """
    secrets: [{name: board, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, 0 m, 1.2 m]}]
    venue:
      seats:
        - {block: stalls, level: stalls, rows: 2, seats: 8, first row: 4 m, aisles: [{after: 4, width: 1 m}]}
        - {block: stalls upper, level: upper, rows: 2, seats: 8, first row: 4 m, floor: 4 m, aisles: [{after: 4, width: 1 m}]}
"""


def test_an_aisle_is_drawn_on_the_storey_of_its_own_block() -> None:
    moment = staged_text(BLOCKS)[1].moment()
    ground = ground_of(moment)
    aisles = [o for o in moment.plan.outlines if isinstance(o, Outline) and o.kind == "aisle"]
    drawn = {
        storey.name: [aisle.name for aisle in aisles if _belongs(aisle, ground, storey)]
        for storey in storeys(moment.eyes)
    }
    assert drawn == {"stalls": ["stalls aisle 1"], "upper": ["stalls upper aisle 1"]}
