"""How the act is put on and got out of, and how performer and handler understand each other, as written."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from sightline.scene.fields import Count, Flag, Length, Part, Time, Words, as_list, wrong

HandCount = Annotated[Count, Field(le=2)]


class Undo(Part):
    """How a step is undone in a hurry: how long, with how many hands, whether it may be cut, and what the card says."""

    seconds: Time | None = None
    hands: HandCount = 1
    cut: Flag = False
    say: Words | None = None


class DressStep(Part):
    """One step of dressing. `needs` are names of the steps that come before it.

    `hands`: how many of the wearer's own it takes; `helper`: somebody else does it in any case. `fastening` is what
    closes (buckle, zip, tie, hook and loop ...), `start` how it lies ready. Once a step that `takes hand: left` is
    done, that hand is gone; once one that `takes prop` is done, the prop hangs on the wearer.
    """

    step: Words
    needs: Annotated[list[Words], BeforeValidator(as_list), Field(max_length=40)] = []
    hands: HandCount = 2
    helper: Flag = False
    seconds: Time | None = None
    fastening: Words | None = None
    start: Words | None = None
    takes_hand: Literal["left", "right"] | None = None
    takes_prop: Flag = False
    undo: Undo = Undo()


def _named_doors(value: Any) -> Any:
    if not isinstance(value, dict):
        raise wrong("Doors are named, each with its clear width: doors: {stage door: 91 cm}.")
    return value


class Signals(Part):
    """What stands in for the usual signals; each must work with both hands busy and the mouth in role.

    `doors` are the ways out by name with their clear widths; `evacuation` whether the prop is worn or dropped then.
    """

    fine: Words | None = None
    slow: Words | None = None
    water: Words | None = None
    turn_me: Words | None = None
    get_me_out: Words | None = None
    answers: Words | None = None
    nobody_answers: Words | None = None
    stop_line: Words | None = None
    evacuation: Literal["wear", "drop"] | None = None
    leads: Words | None = None
    doors: Annotated[dict[Words, Length], BeforeValidator(_named_doors), Field(max_length=20)] = {}
    shears: Words | None = None
