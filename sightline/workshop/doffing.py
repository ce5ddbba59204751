"""Getting out in a hurry: free the arm, drop the prop, out of everything - steps, seconds, where to cut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sightline.scene.dressing import DressStep
from sightline.staging.body import hidden_side
from sightline.workshop.bench import Bench
from sightline.workshop.dressing import Dressing, dressing_of, seconds_of
from sightline.workshop.section import Item, Section

PRACTICE = "common practice, no source"
# Undoing by what closes it, seconds, where the scene does not say. Common practice, no source.
UNDO_S = (
    ("hook and loop", 2.0), ("snap", 2.0), ("press", 2.0), ("magnet", 1.0), ("zip", 4.0), ("belt", 3.0), ("buckle", 3.0),
    ("hook", 3.0), ("button", 4.0), ("pin", 8.0), ("tie", 8.0), ("knot", 15.0), ("lace", 20.0), ("screw", 20.0),
)  # fmt: skip
OTHER_UNDO_S = 4.0
# One cut with shears that are at hand. Common practice, no source.
CUT_S = 3.0
SHEARS = "blunt-ended shears on a cord at the handler's belt"


@dataclass(frozen=True)
class Off:
    """One thing undone: who can do it, how long, and whether it may be cut instead."""

    step: DressStep
    seconds: float
    helped: bool

    @property
    def words(self) -> str:
        return self.step.undo.say or f"undo '{self.step.step}'"

    @property
    def along(self) -> bool:
        """It comes off with what was undone before."""
        return self.seconds == 0


@dataclass(frozen=True)
class WayOut:
    """The fewest steps to one end, first to last; `asked` says how the end is named in the scene where it is missing."""

    key: str
    title: str
    offs: tuple[Off, ...]
    known: bool
    asked: str = ""

    @property
    def steps(self) -> int:
        return sum(not off.along for off in self.offs)

    @property
    def seconds(self) -> float:
        return sum(off.seconds for off in self.offs)

    @property
    def guessed(self) -> bool:
        """Whether seconds of it are ours, not said in the scene."""
        return any(off.step.undo.seconds is None for off in self.offs)

    @property
    def alone(self) -> bool:
        return not any(off.helped for off in self.offs)

    @property
    def cut_seconds(self) -> float:
        """With whatever may be cut, cut."""
        return sum(min(off.seconds, CUT_S) if off.step.undo.cut else off.seconds for off in self.offs)


def undo_seconds(step: DressStep) -> float:
    """As said; else by what closes it; a step that closes nothing comes off in half the time it went on."""
    if step.undo.seconds is not None:
        return step.undo.seconds
    if step.fastening:
        said = step.fastening.casefold()
        return next((seconds for word, seconds in UNDO_S if word in said), OTHER_UNDO_S)
    return min(seconds_of(step) / 2, 10.0)


def to_undo(dressing: Dressing, goals: Iterable[int]) -> set[int]:
    """The fewest steps to undo: the goals and everything that was built on them. Cutting one saves none of these."""
    names = [step.step for step in dressing.steps]
    found: set[int] = set()
    waiting = list(goals)
    while waiting:
        goal = waiting.pop()
        if goal in found:
            continue
        found.add(goal)
        waiting += [i for i, step in enumerate(dressing.steps) if names[goal] in step.needs]
    return found


def way_out(dressing: Dressing, key: str, title: str, goals: list[int], asked: str = "") -> WayOut:
    """Undone last to first, as it went on, so that as many hands are free as there were then."""
    wanted = to_undo(dressing, goals)
    still = {done.index for done in dressing.order.done}
    offs = []
    for done in reversed(dressing.order.done):
        i, step = done.index, dressing.steps[done.index]
        if i not in wanted:
            continue
        still.discard(i)
        gone = {dressing.steps[k].takes_hand for k in still} - {None}
        offs.append(Off(step, undo_seconds(step), step.undo.hands > 2 - len(gone)))
    return WayOut(key, title, tuple(offs), bool(goals), asked)


def ways_out(bench: Bench) -> list[WayOut]:
    """Free the arm (where one is hidden), drop the prop (where there is one), out of everything."""
    dressing, scene = dressing_of(bench), bench.scene
    if dressing is None or scene.performer is None:
        return []
    steps, hidden = dressing.steps, hidden_side(scene.performer)
    out = []
    if hidden is not None:
        into = [i for i, step in enumerate(steps) if step.takes_hand == hidden]
        out.append(way_out(dressing, "free the arm", f"free the {hidden} arm", into, f"takes hand: {hidden}"))
    if scene.prop is not None:
        on = [i for i, step in enumerate(steps) if step.takes_prop]
        out.append(way_out(dressing, "drop the prop", f"drop the {scene.prop.name}", on, "takes prop: yes"))
    out.append(way_out(dressing, "out of everything", "out of everything", list(range(len(steps)))))
    return out


def cut_points(bench: Bench) -> list[DressStep]:
    """Steps that may be cut through, first to cut first."""
    dressing = dressing_of(bench)
    if dressing is None:
        return []
    return [dressing.steps[done.index] for done in reversed(dressing.order.done) if dressing.steps[done.index].undo.cut]


def shears_of(bench: Bench) -> str:
    return bench.scene.signals.shears or SHEARS


def section(bench: Bench) -> Section:
    ways = ways_out(bench)
    if not ways:
        words = "Getting out is not known: the scene has no performer, or nothing to take off."
        return Section("getting out", [Item("out of everything", "not known", words)])
    top = [item for way in ways if (item := _top(way))]
    items = [_item(way) for way in ways if way.known]
    cuts = cut_points(bench)
    if cuts:
        words = f"Cut here: {'; '.join(f'{step.fastening or step.step} ({step.step})' for step in cuts)}. "
        words += f"Shears: {shears_of(bench)}."
        items.append(Item("cut points", "told", words, [step.step for step in cuts], None, PRACTICE))
    else:
        words = "Where to cut is not said (undo: {cut: yes}), so in an emergency everything has to be undone."
        items.append(Item("cut points", "not known", words, []))
    dressing = dressing_of(bench)
    assumed = dressing is not None and (dressing.assumed or any(s.undo.seconds is None for s in dressing.steps))
    shears = [] if bench.scene.signals.shears else [f"Shears: {SHEARS} ({PRACTICE})."]
    return Section(
        "getting out",
        items,
        cautions=[
            "Practise getting out with a watch, in full costume, before every run; a performer in trouble is helped first "
            "and the secret comes last. What the figures leave out is fright.",
        ],
        assumptions=[
            *([f"Times of undoing that the scene does not say are guessed ({PRACTICE})."] if assumed else []),
            *shears,
        ],
        top=top,
    )


def _top(way: WayOut) -> Item | None:
    if not way.known:
        words = f"How the performer can {way.title} is not known: no step of dressing says '{way.asked}'."
        return Item(way.key, "not known", words)
    helped = [off.step.step for off in way.offs if off.helped]
    if helped and way.key != "out of everything":
        words = f"The performer cannot {way.title} alone: a helper must undo '{helped[0]}'."
        return Item(f"{way.key} alone", "no", words)
    return None


def _item(way: WayOut) -> Item:
    names = [off.words for off in way.offs if not off.along]
    said = "; ".join(f"{n} {name}" for n, name in enumerate(names, 1))
    steps = "1 step" if len(names) == 1 else f"{len(names)} steps"
    alone = "" if way.alone else ", not alone"
    words = f"{way.title[:1].upper()}{way.title[1:]}: {steps}, about {way.seconds:.0f} s{alone}: {said}."
    return Item(way.key, "told" if way.alone else "warn", words, way.seconds, "s", PRACTICE)
