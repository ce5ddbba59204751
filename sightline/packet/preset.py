"""The preset: how everything must lie before the act begins, from what the scene says and what always holds."""

from __future__ import annotations

from sightline.packet.brief import Brief
from sightline.staging.body import hidden_side
from sightline.workshop.doffing import shears_of
from sightline.workshop.dressing import dressing_of

Rows = list[tuple[str, str]]


def preset_rows(brief: Brief) -> list[tuple[str, Rows]]:
    """Headings with what to tick: (what, what goes with it). Raises LeftOut without a performer."""
    bench, scene = brief.act(), brief.scene
    thing = scene.prop.name if scene.prop else "prop"
    prop: Rows = []
    if scene.prop is not None:
        front, back = _walls(brief)
        prop.append(
            (f"{_up(thing)} on its place, {front} wall DS", f"the {back} wall, with the hole for the arm, is US")
        )
    if scene.puppet is not None:
        prop.append(
            (
                f"{_up(scene.puppet.name)} in the {thing}, right way up, face DS",
                "its grip free, within the hidden hand's reach",
            )
        )
    for flap in (part.flap for part in scene.costume if part.flap is not None):
        prop.append(
            (f"{_up(flap.name)}: down and flat", f"on the {flap.wall} wall's {flap.edge} edge; stays put when tapped")
        )
    for limb in scene.false_limbs:
        prop.append(
            (
                f"{_up(limb.name or f'false {limb.replaces}')} on its mount, hand on the {thing}",
                "breakaway tried by hand once, seams turned away",
            )
        )
    wear: Rows = []
    found = dressing_of(bench)
    for step, _ in found.placed() if found else []:
        if step.fastening:
            wear.append(
                (
                    f"Undone: {step.fastening}, for '{step.step}'",
                    step.start or "how it lies ready is not written: write it here",
                )
            )
    hidden = hidden_side(scene.performer) if scene.performer else None
    if hidden:
        wear.append(
            (f"Sleeve of the {hidden} arm clear of the hole", "nothing to catch on the way in, nothing on the way out")
        )
    people: Rows = [
        ("Shears in their place", shears_of(bench)),
        ("Water within the handler's reach, with a straw or tube", "the performer has no free hand"),
        ("Spare: tape, tie, batteries, a second glove", "and whatever broke last time"),
        (
            "Emergency doff card in the hand of everyone who may have to help",
            "it is CLOSED: collect the cards afterwards",
        ),
        ("Way from place to exit walked and clear", "the performer does not see the floor close by: the handler leads"),
    ]
    return [(f"The {thing}", prop), ("What is worn, fastenings undone", wear), ("People", people)]


def _walls(brief: Brief) -> tuple[str, str]:
    """Which wall faces the audience and which the performer: the box's front is away from whoever carries it."""
    opening = brief.bench.arm_opening
    return "front", opening[1].wall if opening else "back"


def _up(text: str) -> str:
    return text[:1].upper() + text[1:]
