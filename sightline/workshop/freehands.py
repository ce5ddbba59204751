"""Which hand is free when, what will want one, and what the false hand seems to be doing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from sightline.workshop.bench import Bench
from sightline.workshop.section import Item, Section

if TYPE_CHECKING:
    from sightline.blocking.attention import HandNeed
    from sightline.blocking.beats import Step

Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")
PRACTICE = "common practice, no source"
# What wants a hand in public, and what to do where none is free. Common practice, no source.
WANTS = (
    ("rail", "hold a stair rail", "a handler goes one step below and gives an arm, or the prop comes off for the stairs"),
    ("badge", "show a badge or a ticket", "the handler carries it, or it hangs in view on the prop"),
    ("drink", "take a drink", "the handler holds a bottle with a straw, out of the audience's view"),
    ("door", "open a door", "the handler opens and holds it"),
)  # fmt: skip


@dataclass(frozen=True)
class HandState:
    """What one real hand does all through the act. `free`: it could take something."""

    side: Side
    doing: str
    free: bool


def hand_states(bench: Bench) -> list[HandState]:
    """Left, then right; empty without a performer."""
    body, scene = bench.body, bench.scene
    if body is None:
        return []
    prop = scene.prop.name if scene.prop else None
    replaced = {limb.replaces for limb in scene.false_limbs}
    out = []
    for side in SIDES:
        if side == body.hidden:
            works = f" and works the {scene.puppet.name}" if scene.puppet else ""
            out.append(HandState(side, f"is hidden in the {prop or 'prop'}{works}", False))
        elif f"{side} arm" in replaced:
            out.append(HandState(side, "is replaced by a false one and not shown; what it does is not said", False))
        elif prop is not None and scene.pose.visible_hand is not None:
            out.append(HandState(side, f"holds the {prop} at its {scene.pose.visible_hand.wall} wall", False))
        else:
            out.append(HandState(side, "hangs free", True))
    return out


def section(bench: Bench) -> Section:
    states = hand_states(bench)
    if not states:
        return Section("hands", [Item("free hand", "not known", "Hands are not known: the scene has no performer.")])
    free = [state.side for state in states if state.free]
    items = [
        Item(
            f"{state.side} hand", "told", f"The performer's real {state.side} hand {state.doing}, from the first beat to "
            "the last.", "free" if state.free else "taken",
        )
        for state in states
    ]  # fmt: skip
    if free:
        items.append(
            Item("free hand", "yes", f"Free all through the act: the {' and the '.join(free)} hand.", list(free))
        )
    else:
        items.append(Item("free hand", "no", "Both real hands are taken for the whole of the act.", []))
    for key, what, instead in WANTS:
        if free:
            items.append(Item(key, "yes", f"The {free[0]} hand can {what}.", free[0], None, PRACTICE))
        else:
            items.append(Item(key, "no", f"None of the hands can {what}: {instead}.", None, None, PRACTICE))
    if not free and (bench.scene.rig or any(step.takes_prop for step in bench.scene.dressing)):
        words = "Whether the rig alone holds the prop while the visible hand lets go is not known here: try it over a table."
        items.append(Item("letting go", "not known", words))
    items += _beats(bench)
    return Section(
        "hands",
        items,
        cautions=[
            "A performer with no hand free cannot catch a fall: no stairs, kerbs or crowds without a handler beside them."
        ]
        if not free
        else [],
    )


def _beats(bench: Bench) -> list[Item]:
    """What the beats say of hands; without beats only how the false hand lies."""
    scene = bench.scene
    steps: Sequence[Step] = []
    if scene.blocking.beats:
        from sightline.blocking.attention import hand_needs
        from sightline.blocking.beats import steps as steps_of

        steps = steps_of(bench.written, bench.staged.house.eyes)
        items = [_need(steps[need.beat], need) for need in hand_needs(steps, scene)]
    else:
        items = [Item("beats", "told", "The scene has no beats, so no beat asks for a hand.")]
    for limb in scene.false_limbs:
        if not limb.replaces.endswith("arm"):
            continue
        items.append(_false_hand(bench, str(limb.replaces), limb.hand_at.wall if limb.hand_at else None, steps))
    return items


def _need(step: Step, need: HandNeed) -> Item:
    from sightline.blocking.notation import clock

    where = f"beat '{step.name}' ({clock(step.at_s)})"
    if need.conflict:
        return Item(f"{step.name} at {step.at_s:g} s", "no", f"Conflict: {need.proposal}", step.at_s, "s")
    return Item(f"{step.name} at {step.at_s:g} s", "yes", f"{where.capitalize()}: {need.needs}.", step.at_s, "s")


def _false_hand(bench: Bench, replaces: str, wall: str | None, steps: Sequence[Step]) -> Item:
    from sightline.blocking.notation import clock

    thing = bench.scene.prop.name if bench.scene.prop else "prop"
    lies = (
        f"The false {replaces.split()[0]} hand lies on the {thing}'s {wall} wall" if wall else f"The false {replaces}"
    )
    key = f"false {replaces}"
    said = [(step, step.false_arm) for step in steps if step.false_arm]
    if not said:
        words = (
            f"{lies}{'' if wall else ' is an imported one'} as if it held it; what it seems to be doing is not said "
        )
        words += "(false arm: in the beats). A hand that never stirs needs a reason."
        return Item(key, "not known" if not wall else "warn", words, None, None, PRACTICE)
    # A reason holds on until the next is said.
    runs: list[tuple[float, str]] = []
    for step, reason in said:
        if not runs or runs[-1][1] != reason:
            runs.append((step.at_s, str(reason)))
    without = [step.name for step in steps if not step.false_arm]
    words = f"{lies}; it seems: " + "; ".join(f"{clock(at)} {reason}" for at, reason in runs) + "."
    if without:
        words += f" No reason is given in: {', '.join(without)}."
    return Item(key, "warn" if without else "told", words, [list(run) for run in runs])
