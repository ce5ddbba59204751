"""Signals between performer and handler, the line that stops the show, and how to leave when everybody must."""

from __future__ import annotations

from dataclasses import dataclass

from sightline.blocking.notation import distance
from sightline.scene.dressing import Signals
from sightline.workshop.bench import Bench
from sightline.workshop.passing import WORTH_M, footprint_of
from sightline.workshop.section import Item, Section

PRACTICE = "common practice, no source"
ANSWER_S = 10
# Each by the foot, which is free, told apart by number or by not ending, and by a word in role. Common practice.
FORMS = {
    "fine": ("fine", "one tap of the foot, after the handler's touch on the shoulder"),
    "slow": ("slow down", "two taps of the foot"),
    "water": ("water", "three taps of the foot; {who} says 'thirsty'"),
    "turn_me": ("turn me", "one heel lifted and kept up: turn me to that side"),
    "get_me_out": ("get me out", "stamping that does not stop; {who} says 'bedtime, bedtime'"),
}
HANDLER = "the handler, within an arm's length, with a touch on the shoulder"
NOBODY = "stand still, out of role say the stop line aloud, free the arm and put the prop down; whoever hears it comes"
STOP_LINE = "Stop the show, please. I need help here."


@dataclass(frozen=True)
class Signal:
    """One row of the table. `own`: the scene wrote it."""

    meaning: str
    form: str
    own: bool


@dataclass(frozen=True)
class Leaving:
    """What happens when everybody must leave: each a sentence."""

    wear_or_drop: str
    door: str
    leads: str


def signals_of(bench: Bench) -> list[Signal]:
    said = bench.scene.signals
    who = f"the {bench.scene.puppet.name}" if bench.scene.puppet else "the performer, in role,"
    return [
        Signal(meaning, getattr(said, key) or form.format(who=who), getattr(said, key) is not None)
        for key, (meaning, form) in FORMS.items()
    ]


def answers(said: Signals) -> str:
    return said.answers or HANDLER


def nobody_answers(said: Signals) -> str:
    return said.nobody_answers or NOBODY


def stop_line(said: Signals) -> str:
    return said.stop_line or STOP_LINE


def leaving(bench: Bench) -> Leaving:
    """Wear it or drop it, through which door, behind whom. Doubt counts for dropping it: hands and feet are needed."""
    from sightline.workshop.doffing import ways_out

    said = bench.scene.signals
    thing = bench.scene.prop.name if bench.scene.prop else "prop"
    ways = {way.key: way for way in ways_out(bench)}
    drop = ways.get("drop the prop")
    if said.evacuation == "wear":
        first = f"Wear the {thing} out; free the arm first."
    elif drop is not None and drop.known:
        first = (
            f"Drop the {thing} (about {drop.seconds:.0f} s), push it out of people's way, and go with both hands free."
        )
    else:
        first = f"Drop the {thing}, push it out of people's way, and go with both hands free."
    leads = said.leads or "the handler, in front; the performer's hand on the handler's shoulder"
    return Leaving(first, _doors(bench), f"Leads: {leads}.")


def _doors(bench: Bench) -> str:
    found, doors = footprint_of(bench), bench.scene.signals.doors
    if found is None:
        return "Which door is wide enough is not known: the scene has no performer."
    turned = f", {distance(found.best_m)} turned" if found.straight_m - found.best_m > WORTH_M else ""
    needs = f"worn, it needs {distance(found.straight_m)} clear{turned}"
    if not doors:
        return f"Which door is wide enough is not known, for no doors are written; {needs}."
    wide = [name for name, width in doors.items() if width >= found.straight_m]
    askew = [name for name, width in doors.items() if found.best_m <= width < found.straight_m]
    narrow = [name for name, width in doors.items() if width < found.best_m]
    parts = [
        f"{kind}: {', '.join(names)}"
        for kind, names in (("wide enough", wide), ("turned only", askew), ("too narrow to wear it through", narrow))
        if names
    ]
    return f"Doors {'; '.join(parts)} ({needs})."


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]


def section(bench: Bench) -> Section:
    if bench.body is None:
        words = "Signals are not known: the scene has no performer."
        return Section("signals", [Item("signals", "not known", words)])
    said, rows = bench.scene.signals, signals_of(bench)
    items = [Item(row.meaning, "told", f"{_first_up(row.meaning)}: {row.form}.", row.form) for row in rows]
    forms = [row.form.casefold().strip(" .") for row in rows]
    twins = [row.meaning for row, form in zip(rows, forms, strict=True) if forms.count(form) > 1]
    if twins:
        items.append(Item("told apart", "no", f"These signals are the same: {', '.join(twins)}.", twins))
    else:
        items.append(Item("told apart", "yes", "Every signal has a form of its own."))
    out = leaving(bench)
    unknown = "is not known" in out.door
    nobody = f"Nobody answers in {ANSWER_S:.0f} s: {nobody_answers(said).rstrip('.')}."
    items += [
        Item("who answers", "told", f"Answers: {answers(said)}.", None, None, None if said.answers else PRACTICE),
        Item("nobody answers", "told", nobody, ANSWER_S, "s", None if said.nobody_answers else PRACTICE),
        Item("stop line", "told", f"The line that stops the show, out of role: \"{stop_line(said)}\"", stop_line(said)),
        Item("evacuation", "told", out.wear_or_drop, said.evacuation or "drop", None, None if said.evacuation else PRACTICE),
        Item("door", "not known" if unknown else "told", out.door),
        Item("leads", "told", out.leads, None, None, None if said.leads else PRACTICE),
    ]  # fmt: skip
    own = sum(row.own for row in rows)
    return Section(
        "signals",
        items,
        cautions=[
            "Try every signal in costume, with the music on, until performer and handler never mistake one; the venue's "
            "own evacuation plan and the fire authority come before this table.",
        ],
        assumptions=[]
        if own == len(rows)
        else [f"Signals that the scene does not write are the usual ones ({PRACTICE})."],
    )
