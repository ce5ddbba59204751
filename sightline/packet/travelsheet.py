"""The travel sheet: what is packed how large and how heavy, what comes apart, set-up, tools, battery, and what it fits."""

from __future__ import annotations

from collections.abc import Sequence

from sightline.blocking.notation import inches
from sightline.packet.brief import Brief
from sightline.packet.flow import Flow
from sightline.packet.paper import Kind, LeftOut, Sheets
from sightline.pictures import style
from sightline.pictures.page import Page
from sightline.scene.outdoors import open_questions, stop_words
from sightline.workshop.load import kilograms
from sightline.workshop.packing import Packed, Placed
from sightline.workshop.travel import Fit, TravelItem, Trip, battery_words, mass_words, trip_of

SIGNS = {"fits": "ok", "does not fit": "NO", "no way found": "?", "not known": "?"}
# Both views of the packed case side by side; the larger of their sides is drawn this long.
VIEW_MM = 62.0
DAY = "from the day's own times; write travel: {set up: 20 min, take down: 15 min}"


def _sheet(brief: Brief) -> Sheets:
    bench = brief.act()
    trip = trip_of(bench)
    if not trip.items:
        raise LeftOut("The scene has no parts that travel.")
    said = (
        "Sizes are outside sizes as packed, longest side first. ok: fits. NO: does not. ?: not known, try it by hand."
    )
    flow = Flow(brief.paper, "Travel sheet", said)
    columns = (("", 6), ("what", 34), ("packed, cm", 28), ("packed, in", 40), ("mass", 30), ("goes in", 20), ("is", 22))
    flow.table(columns, [_row(n, item, trip) for n, item in enumerate(trip.items, 1)])
    flow.bullets([*trip.notes, *mass_words(trip)])
    flow.head("It must fit")
    if trip.fits:
        for fit in trip.fits:
            flow.bullets([f"{SIGNS[fit.answer]}: {fit.words}"], ">")
        for fit in trip.fits:
            if fit.where == "case" and fit.packed is not None and fit.packed.placed:
                _layout(flow, fit, fit.packed, trip)
    else:
        flow.para(
            "No case, car or door is written: travel: {case: 60 x 45 x 40 cm, car: 100 x 90 x 70 cm, door: 76 x 200 cm}."
        )
    flow.head("What comes apart")
    apart = [item for item in trip.items if item.comes_off]
    whole = [item.name for item in trip.items if not item.comes_off]
    flow.ticks(
        [
            (f"{_up(item.name)}: {item.comes_off}", "" if item.given else "guessed from the scene's parts")
            for item in apart
        ]
    )
    if whole:
        flow.para(f"In one piece: {', '.join(whole)}.")
    _set_up(brief, flow, trip)
    flow.head("Battery")
    flow.bullets(battery_words(trip.said.battery))
    outdoors = brief.scene.venue.outdoors if brief.scene.venue else None
    flow.head("Wind and wet")
    stop = stop_words(outdoors)
    flow.bullets([stop] if stop else [], "!")
    flow.bullets([f"Not checked: {said}." for said in open_questions(outdoors)])
    flow.head("Mind")
    flow.bullets(CAUTIONS, "!")
    flow.blanks(["packed by", "counted back in by", "lost or broken on the way"])
    return Sheets(flow.pages)


CAUTIONS = (
    "It shows the working: the false limb and the hole travel covered, and nobody opens the case in front of the audience.",
    "Nothing presses on the false hand, the seams or the lips; whatever must stand upright is marked so, for here it is turned "
    "any way round.",
    "Heavy things low, nothing loose in the car behind people; long or heavy cases are lifted by two people, by the "
    "venue's and local rules on lifting.",
    "After the way and before a person wears it: pull at every strap, screw and breakaway by hand.",
)


def _row(n: int, item: TravelItem, trip: Trip) -> list[str]:
    size = item.size_m
    metric = "not written" if size is None else " x ".join(f"{side * 100:.0f}" for side in size)
    feet = "" if size is None else " x ".join(inches(side, 2) for side in size)
    mass = "not weighed" if item.mass_kg is None else kilograms(item.mass_kg)
    goes = item.inside or ("case" if trip.said.case else "")
    return [str(n), item.name, metric, feet, mass, goes, "as written" if item.given else "guessed"]


def _set_up(brief: Brief, flow: Flow, trip: Trip) -> None:
    said, day = trip.said, brief.scene.papers.day
    flow.head("Set-up")
    up = said.set_up if said.set_up is not None else day.unpack
    down = said.take_down if said.take_down is not None else day.pack
    how = "" if said.set_up is not None and said.take_down is not None else f" ({DAY})"
    people = (
        f"{said.people} {'person' if said.people == 1 else 'people'}"
        if said.people
        else "how many people is not written"
    )
    flow.bullets([
        f"Up in {up / 60:.0f} min, down in {down / 60:.0f} min{how}; {people}. Dressing and the mirror check come on top.",
        _tools(said.tools),
    ])  # fmt: skip


def _tools(tools: list[str] | None) -> str:
    if tools is None:
        return "Tools are not written (travel: {tools: [...]}, or [] for none)."
    return f"Tools: {', '.join(tools)}." if tools else "No tools are needed."


def _layout(flow: Flow, fit: Fit, packed: Packed, trip: Trip) -> None:
    """The case from above and from the front, parts by their number, and where each goes in words."""
    wide, deep, high = fit.inside_m
    scale = VIEW_MM / max(wide, deep, high)
    tall = max(deep, high) * scale
    numbers = {item.name: n for n, item in enumerate(trip.items, 1)}
    page, top = flow.space(tall + 13.0)
    left = flow.left + 4.0
    for title, axes, size, order in (
        ("from above (front of the case at the foot)", (0, 1), (wide, deep), 2),
        ("from the front", (0, 2), (wide, high), 1),
    ):
        page.say(left, top + 5.0, title, 7.0, color=style.QUIET)
        _view(page, (left, top + 7.0), scale, size, axes, _nearest_last(packed.placed, order), numbers)
        left += wide * scale + 16.0
    rows = [
        [
            str(numbers[part.name]),
            part.name,
            " x ".join(f"{side * 100:.0f}" for side in part.size_m),
            " / ".join(f"{at * 100:.0f}" for at in part.at_m),
        ]
        for part in packed.placed
    ]
    columns = (
        ("", 6),
        ("in this order", 50),
        ("stands across x deep x high, cm", 60),
        ("from the left / front / bottom, cm", 64),
    )
    flow.table(columns, rows)


def _nearest_last(placed: Sequence[Placed], axis: int) -> list[Placed]:
    """Parts so that those nearer to the viewer are drawn over the others: from above the highest, from the front the first."""
    if axis == 2:
        return sorted(placed, key=lambda part: part.at_m[2])
    return sorted(placed, key=lambda part: -part.at_m[1])


def _view(
    page: Page, at: tuple[float, float], scale: float, size: tuple[float, float], axes: tuple[int, int],
    parts: Sequence[Placed], numbers: dict[str, int],
) -> None:  # fmt: skip
    from matplotlib.patches import Rectangle

    left, top = at
    wide, tall = (side * scale for side in size)
    page.axes.add_patch(Rectangle((left, top), wide, tall, fc="white", ec=style.INK, lw=style.HEAVY))
    across, up = axes
    for n, part in enumerate(parts):
        x, w = left + part.at_m[across] * scale, part.size_m[across] * scale
        h = part.size_m[up] * scale
        y = top + tall - part.at_m[up] * scale - h
        page.axes.add_patch(Rectangle((x, y), w, h, fc=style.PAPER, ec=style.INK, lw=style.MEDIUM))
        # The number stands in the part's upper left corner, unless something nearer covers it.
        corner = (part.at_m[across] + 1e-6, part.at_m[up] + part.size_m[up] - 1e-6)
        if not any(_covers(other, corner, axes) for other in parts[n + 1 :]):
            page.say(x + 1.5, y + 4.2, str(numbers[part.name]), 9.0, weight="bold")


def _covers(part: Placed, at: tuple[float, float], axes: tuple[int, int]) -> bool:
    return all(part.at_m[k] <= at[i] <= part.at_m[k] + part.size_m[k] for i, k in enumerate(axes))


def _up(text: str) -> str:
    return text[:1].upper() + text[1:]


KINDS = [Kind("travel", "travel-sheet", "Travel sheet", ("tour manager", "handler", "builder"), "closed", _sheet)]
