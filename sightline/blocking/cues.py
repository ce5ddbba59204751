"""The cue sheet: every beat as a line that a stage manager can call from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sightline.blocking.beats import HELD_KEYS, Step
from sightline.blocking.notation import (
    Area,
    body_position,
    clock,
    cross_words,
    degrees_from_front,
    distance,
    facing_words,
    side,
    turn_words,
)
from sightline.scene.blocking import Focus, Held
from sightline.units import say_length

# Left blank for the departments to write in.
DEPARTMENTS = ("LX", "SND", "FLY", "AV")
COLUMNS = (
    "cue", "time", "beat", *DEPARTMENTS, "trigger", "where", "facing", "action", "focus", "false arm", "hands",
)  # fmt: skip
# P is the performer; without a letter before it a cell that begins with @ would be a formula in a spreadsheet.
WHO = "P"


@dataclass(frozen=True)
class Cue:
    """One line of the cue sheet, in words. `step` is the beat that it stands for.

    `news` is what of focus, false arm and hands is not as in the beat before; what ended is `-`.
    """

    number: str
    step: Step
    trigger: str
    where: str
    facing: str
    action: str
    focus: str
    news: dict[str, str]

    def row(self) -> dict[str, str]:
        step = self.step
        return {
            "cue": self.number, "time": clock(step.at_s), "beat": step.name, **dict.fromkeys(DEPARTMENTS, ""),
            "trigger": self.trigger, "where": self.where, "facing": self.facing, "action": self.action,
            "focus": self.focus, "false arm": step.false_arm or "", "hands": step.hands or "",
        }  # fmt: skip

    def document(self) -> dict[str, object]:
        """The line for other programs: seconds, metres, degrees."""
        step = self.step
        return {
            "number": self.number, "name": step.name, "at_s": step.at_s, "hold_s": step.hold_s,
            "position_m": list(step.mark_m), "facing_deg": float(f"{degrees_from_front(step.facing_rad):.9g}"),
            "moves": None if step.moves is None else list(step.moves), "false_arm": step.false_arm,
            "hands": step.hands, "focus": self.focus or None, "words": self.row(),
        }  # fmt: skip


def cue_sheet(steps: Sequence[Step], area: Area) -> list[Cue]:
    """Every beat in order, numbered 1, 2, ... where it has no `cue` of its own."""
    out = []
    for n, step in enumerate(steps, 1):
        before = steps[n - 2] if n > 1 else None
        out.append(
            Cue(
                step.cue or str(n), step, _trigger(before, step), _where(before, step, area), _facing(before, step),
                _action(before, step), focus_words(step.focus), _news(before, step),
            )
        )  # fmt: skip
    return out


def warnings(cues: Sequence[Cue]) -> list[str]:
    """A sentence for every cue number that is called twice."""
    numbers = [cue.number for cue in cues]
    twice = [number for number in dict.fromkeys(numbers) if numbers.count(number) > 1]
    return [f"Cue {number} is there {numbers.count(number)} times; give each its own 'cue'." for number in twice]


def _trigger(before: Step | None, step: Step) -> str:
    if before is None:
        return "top of the act" if step.at_s == 0 else f"on the clock, {clock(step.at_s)}"
    goes = step.way_m > 0 or step.facing_rad != before.facing_rad or step.held != before.held
    return f"{'goes' if goes else 'on the clock'} {clock(before.until_s if goes else step.at_s)}"


def _where(before: Step | None, step: Step, area: Area) -> str:
    """`P X DC: ...`; a way that bends also says by how many places it goes and how long it is."""
    said = f"{WHO} {cross_words(before.mark_m if before else step.mark_m, step.mark_m, area)}"
    if before is None or len(step.path_m) == 2:
        return said
    bends = len(step.path_m) - 2
    return f"{said}; by {bends} place{'s' if bends > 1 else ''}, {distance(step.way_m)} of way"


def _facing(before: Step | None, step: Step) -> str:
    """The body position; after a turn what was turned, too."""
    turned = turn_words(before.facing_rad, step.facing_rad) if before else "no turn"
    return facing_words(step.facing_rad) if turned == "no turn" else f"{body_position(step.facing_rad)}; {turned}"


def _action(before: Step | None, step: Step) -> str:
    """What the puppet does, where that is not simply everything, and how the prop is held from now on."""
    parts = []
    if before is None or step.moves != before.moves:
        if step.moves is not None:
            parts.append("puppet: " + (", ".join(step.moves) or "still"))
        elif before is not None:
            parts.append("puppet: any move")
    changed = [key for key in HELD_KEYS if before and getattr(step.held, key) != getattr(before.held, key)]
    if changed:
        parts.append("prop: " + ", ".join(_held_words(step.held, key) for key in changed))
    return "; ".join(parts)


def _news(before: Step | None, step: Step) -> dict[str, str]:
    now, then = (
        {"focus": focus_words(s.focus), "false arm": s.false_arm or "", "hands": s.hands or ""} if s else {}
        for s in (step, before)
    )
    return {key: said or "-" for key, said in now.items() if said != then.get(key, "")}


def _held_words(held: Held, key: str) -> str:
    value = getattr(held, key)
    if key in ("tilt", "turn"):
        return f"{key} {math.degrees(value):.0f} deg"
    return f"{key} {say_length(value)} ({say_length(value, 'imperial')})"


def focus_words(focus: Focus | None) -> str:
    """`stalls A13`, `12 deg to stage left (house right)`, `house` for straight out, or nothing."""
    if focus is None:
        return ""
    if focus.eye is not None:
        return focus.eye
    turned = degrees_from_front(focus.bearing or 0.0)
    if abs(turned) < 0.5:
        return "house, straight out"
    if abs(turned) > 179.5:
        return "straight upstage"
    return f"{abs(turned):.0f} deg to {side(turned)}"
