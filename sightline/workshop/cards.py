"""What stands on the working cards: dressing, getting out, the dresser's, signals. Words only; pictures draw them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from sightline.figure.sheet import BodySheet
from sightline.scene.dressing import DressStep
from sightline.staging.body import hidden_side
from sightline.workshop import doffing, dressing, release, signals
from sightline.workshop.bench import Bench
from sightline.workshop.section import Item

Place = Literal["left", "right", "middle"]
Level = Literal["neck", "shoulder", "chest", "waist", "hand"]
CARDS = ("dress", "doff", "dresser", "signals")
SIDES = "Left and right are the WEARER's."
DEFER = (
    "Local code and the venue's fire authority come before this card; in pain or numbness stop now, ask a professional."
)

PLANNED = "Planned, not tried: sightline cards lists what it rests on."
ASSUMPTIONS = (
    "Steps, fastenings and hands are as the scene says; seconds that nobody timed are guessed from what closes it.",
)
NOT_CHECKED = (
    "whether it goes on and comes off in these seconds: practise with a watch, warm, in low light, with whoever helps on the day",
    "whether every fastening, the shears and the doors are where the card says, and whether a signal is heard and felt",
)


@dataclass(frozen=True)
class Row:
    """One line of a card: a box to tick or a number, what is done, and in small what goes with it."""

    mark: str
    words: str
    small: str = ""


@dataclass(frozen=True)
class Block:
    """A heading with rows; `aside` stands at its right end."""

    heading: str
    rows: tuple[Row, ...]
    aside: str = ""


@dataclass(frozen=True)
class Pin:
    """A numbered place on the figure seen from behind, so that the wearer's left is at the left."""

    number: int
    place: Place
    level: Level


@dataclass(frozen=True)
class Figure:
    """The wearer from behind; `hidden` and `shown` are the wearer's own sides."""

    sheet: BodySheet
    hidden: str | None
    shown: str | None
    pins: tuple[Pin, ...]


@dataclass(frozen=True)
class Card:
    """One side of one sheet. `first` stands above everything: what is no or not known."""

    key: str
    title: str
    lead: str
    first: tuple[str, ...]
    blocks: tuple[Block, ...]
    foot: tuple[str, ...]
    figure: Figure | None = None


def cards_of(bench: Bench) -> list[Card]:
    """The four cards; a card whose matter the scene does not have says so. Raises FileError as `dressing_of` does."""
    first = tuple(_on_paper(item.words) for item in first_of_all(bench))
    made = [_dress(bench, first), _doff(bench, first), _dresser(bench, first), _signals(bench, first)]
    return [replace(card, foot=(*card.foot, PLANNED)) for card in made]


def rests_on(bench: Bench) -> tuple[list[str], list[str]]:
    """What the cards take for granted, and what was not checked, each sentence once."""
    parts = [part.section(bench) for part in (dressing, release, doffing, signals)]
    granted = [said for part in parts for said in part.assumptions]
    unseen = [said for part in parts for said in part.not_checked]
    return list(dict.fromkeys([*ASSUMPTIONS, *granted])), list(dict.fromkeys([*NOT_CHECKED, *unseen]))


def first_of_all(bench: Bench) -> list[Item]:
    """What is no or not known of getting free, from the sections that can say it."""
    found = (*release.section(bench).top, *doffing.section(bench).top)
    return [item for item in found if item.state in ("no", "not known")]


def _on_paper(words: str) -> str:
    """Without what is to be written in the scene's file: whoever holds the card has no file."""
    return re.sub(r"\.?,?\s*(then )?[Ss]ay: [a-z ]+: \{[^}]*\}[^.]*", "", words)


def _dress(bench: Bench, first: tuple[str, ...]) -> Card:
    found = dressing.dressing_of(bench)
    if found is None:
        return Card(
            "dress", "Dress", "The order of dressing is not known: nothing to put on is written.", first, (), (DEFER,)
        )
    last = found.closes_last
    rows = []
    for n, (step, done) in enumerate(found.placed(), 1):
        who = "HELPER, " if done.helped else "ONE HAND, " if done.one_handed else _hands(step.hands)
        closing = ", CLOSES LAST" if step is last else ""
        gone = f"; then the {step.takes_hand} hand is gone" if step.takes_hand else ""
        rows.append(Row(str(n), _up(step.step), f"{who}{done.seconds:.0f} s{gone}{closing}"))
    helped = found.order.cost[0]
    alone = "alone" if not helped else f"with a helper for {helped} of {len(rows)} steps"
    lead = f"{len(rows)} steps, about {found.order.seconds:.0f} s, {alone}."
    blocks = (Block("Put on in this order", tuple(rows)),)
    return Card("dress", "Dress", lead + _guessed(found), first, blocks, (SIDES, DEFER))


def _hands(count: int) -> str:
    return ("", "one hand, ", "both hands, ")[count]


def _guessed(found: dressing.Dressing) -> str:
    return " Steps and times are guessed from the parts: time them." if found.assumed else ""


def _doff(bench: Bench, first: tuple[str, ...]) -> Card:
    blocks: list[Block] = []
    above: set[str] = set()
    found, ways = dressing.dressing_of(bench), doffing.ways_out(bench)
    # Where the scene wrote no steps, those that are guessed come with guessed seconds.
    guesses = {way.key for way in ways if way.guessed or (found is not None and found.assumed)}
    for way in ways:
        if not way.known:
            blocks.append(Block(_up(way.title), (Row("?", "Not known"),)))
            continue
        # What stands above need not be read twice.
        offs = [off for off in way.offs if not off.along and off.step.step not in above]
        before = "after the above, " if above and len(offs) < way.steps else ""
        alone = "" if way.alone else ", not alone"
        rows = [_off_row(n, off) for n, off in enumerate(offs, 1)]
        above |= {off.step.step for off in way.offs}
        took = f"about {way.seconds:.0f} s in all, guessed" if way.key in guesses else f"{way.seconds:.0f} s in all"
        blocks.append(Block(_up(way.title), tuple(rows), f"{before}{took}{alone}"))
    cuts = [Row("X", _up(step.fastening or step.step), step.step) for step in doffing.cut_points(bench)]
    shears = Row("", "Shears hang", doffing.shears_of(bench))
    blocks.append(Block("Cut here", (*(cuts or [Row("?", "Not known where")]), shears), "if it does not open"))
    guessed = " Seconds nobody timed are guessed: time them." if guesses else ""
    lead = f"The person first, the secret last. Practise with a watch.{guessed}"
    return Card("doff", "Get out", lead, first, tuple(blocks), (SIDES, DEFER))


def _off_row(n: int, off: doffing.Off) -> Row:
    small = f"{off.seconds:.0f} s" + (", HELPER" if off.helped else "") + (", or CUT" if off.step.undo.cut else "")
    return Row(str(n), _up(off.words), small)


def _dresser(bench: Bench, first: tuple[str, ...]) -> Card:
    found, scene = dressing.dressing_of(bench), bench.scene
    hidden = hidden_side(scene.performer) if scene.performer else None
    shown = {"left": "right", "right": "left"}.get(hidden) if hidden else None
    rows, pins = [], []
    last = found.closes_last if found else None
    fastenings = [step for step, _ in found.placed() if step.fastening] if found else []
    for n, step in enumerate(fastenings, 1):
        ready = step.start or "start state NOT KNOWN: write it here"
        closing = ". CLOSES LAST" if step is last else ""
        cut = ". May be CUT" if step.undo.cut else ""
        rows.append(Row(str(n), _up(step.step), f"{_up(step.fastening or '')}: {ready}{closing}{cut}"))
        pins.append(_pin(n, step, hidden))
    blocks = [Block("Fastenings, as they lie ready", tuple(rows) or (Row("?", "None is written"),))]
    blocks.append(Block("Final look, from the audience side", tuple(_final_look(bench))))
    blocks.append(Block("Shears", (Row("", _up(doffing.shears_of(bench))),)))
    figure = Figure(bench.sheet, hidden, shown, tuple(pins)) if bench.sheet is not None else None
    lead = "Seen from BEHIND: left and right are the WEARER's."
    return Card("dresser", "Dresser", lead, first, tuple(blocks), (DEFER,), figure)


def _pin(n: int, step: DressStep, hidden: str | None) -> Pin:
    """Where on the body a step is, by the words of its own name."""
    said = f" {step.step} {step.fastening or ''} ".casefold()
    place: Place = "left" if " left " in said else "right" if " right " in said else "middle"
    levels: tuple[tuple[str, Level], ...] = (
        ("wrist", "hand"), ("glove", "hand"), ("neck", "neck"), ("collar", "neck"), ("cape", "neck"),
        ("shoulder", "shoulder"), ("waist", "waist"), ("belt", "waist"), ("plate", "waist"), ("hip", "waist"),
    )  # fmt: skip
    level: Level = next((found for word, found in levels if word in said), "chest")
    if "cuff" in said and hidden is not None:
        return Pin(n, "left" if hidden == "left" else "right", "chest")
    return Pin(n, place, level)


def _final_look(bench: Bench) -> Iterator[Row]:
    scene = bench.scene
    false = [str(limb.name or f"false {limb.replaces}") for limb in scene.false_limbs]
    arm = " and ".join(false) or "arm"
    yield Row("[ ]", "Hem level", "nothing of the rig below it")
    yield Row("[ ]", "Shoulder line even", f"left as high as right over the {arm}")
    seams = [seam.name for limb in scene.false_limbs for seam in (*limb.seams, *limb.darts)]
    yield Row("[ ]", "Seams turned away", ", ".join(seams) or "none is written")
    yield Row("[ ]", "No skin gap at the wrist", "both wrists, arm stretched and bent")
    hidden = hidden_side(scene.performer) if scene.performer else None
    if hidden is not None and scene.prop is not None:
        yield Row("[ ]", f"Nothing of the {hidden} arm shows", f"walk round the {scene.prop.name}; crouch once")


def _signals(bench: Bench, first: tuple[str, ...]) -> Card:
    said = bench.scene.signals
    out = signals.leaving(bench)
    blocks = (
        Block("Performer to handler", tuple(Row("", _up(row.meaning), row.form) for row in signals.signals_of(bench))),
        Block(
            "Answer",
            (
                Row("", "Who answers", signals.answers(said)),
                Row("", "Nobody answers in 10 s", signals.nobody_answers(said)),
                Row("", "Stop line", f'"{signals.stop_line(said)}"'),
            ),
        ),
        Block(
            "Everybody out",
            (
                Row("", "Wear or drop", out.wear_or_drop),
                Row("", "Door", out.door),
                Row("", "Leads", out.leads.removeprefix("Leads: ").removesuffix(".")),
            ),
        ),
    )
    lead = "Both hands busy, mouth in role: the foot speaks. Try every signal in costume, with the music on."
    return Card("signals", "Signals", lead, first, blocks, (SIDES, DEFER))


def _up(text: str) -> str:
    return text[:1].upper() + text[1:]
