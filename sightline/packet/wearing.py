"""Papers for who is in it and who helps: performer, handler, dresser, and the card for getting out fast."""

from __future__ import annotations

import math

from sightline.blocking.clock import STEPS_ROUND_M, Clock
from sightline.blocking.notation import clock as time_words
from sightline.blocking.notation import facing_words
from sightline.packet.brief import Brief
from sightline.packet.flow import Flow
from sightline.packet.paper import Kind, LeftOut, Sheets
from sightline.packet.ready import ready_sheets
from sightline.pictures import style
from sightline.workshop.section import Item

# From the load's findings, what tells how long to hold and when to rest.
LASTING = ("run and rest", "hold", "raise", "endurance", "total", "share", "puppet")


def _cards(brief: Brief, *keys: str) -> Sheets:
    from sightline.pictures.cards import draw_card

    return ready_sheets([draw_card(brief.cards[key], brief.scene.title) for key in keys])


def _performer(brief: Brief) -> list[Sheets]:
    brief.act()
    flow = Flow(brief.paper, "What you do, how long, and when you rest")
    rows = [
        [
            cue.number,
            time_words(cue.step.at_s),
            cue.step.name,
            cue.where,
            cue.facing,
            "; ".join(x for x in (cue.action, cue.focus) if x),
        ]
        for cue in brief.blocked.cues
    ]
    columns = (
        ("cue", 8),
        ("there at", 14),
        ("beat", 26),
        ("where", 52),
        ("facing", 42),
        ("puppet, prop, where to look", 44),
    )
    if rows:
        flow.table(columns, rows)
    flow.head("Run and rest")
    _lasting(brief, flow)
    return [Sheets(flow.pages), _cards(brief, "dress", "doff", "signals")]


def _lasting(brief: Brief, flow: Flow) -> None:
    """What the load allows, with its cautions: for people's health, never left away."""
    load = next((part for part in brief.sections if part.name == "load"), None)
    if load is None:
        return
    found = {item.key: item for item in load.items}
    said = [found[key] for key in LASTING if key in found]
    flow.bullets([item.words for item in said])
    flow.bullets(load.cautions, "!")


def _handler(brief: Brief) -> list[Sheets]:
    brief.act()
    parts: list[Sheets] = []
    try:
        parts.append(_clock(brief, brief.clock))
    except LeftOut:
        # Where the clock cannot be asked, the signals still must be in the handler's hand.
        said = "There is no clock for this scene: something secret stays where it is when the performer moves."
        flow = Flow(brief.paper, "Handler", said)
        _watch(brief, flow)
        parts.append(Sheets(flow.pages))
    return [*parts, _cards(brief, "signals", "doff")]


def _clock(brief: Brief, found: Clock) -> Sheets:
    """The pocket card at its own size to cut out, and the same in a table."""
    from sightline.pictures.clock import CARD_MM

    said = (
        f"Facing {facing_words(found.facing_rad)}; left and right are the PERFORMER's own; 12 o'clock is straight ahead of "
        "the performer."
    )
    flow = Flow(brief.paper, "The handler's clock", said, text_pt=7.4)
    page, top = flow.space(CARD_MM[1] + 4.0)
    left = flow.left + flow.wide - CARD_MM[0]
    _card_on(brief, found, page, left, top)
    page.say(left, top + CARD_MM[1] + 3.4, "Cut out: A7, for a pocket.", 6.6, color=style.QUIET)
    _beside(flow, found, top, flow.wide - CARD_MM[0] - 6.0, _fine(brief))
    rows = []
    for hour in found.hours:
        near = "never" if hour.nearest_m is None else f"{hour.nearest_m:g} m on"
        first = f"{hour.first.kind} eye: {hour.first.secret}" if hour.first.kind else ""
        rows.append([str(hour.hour), near, hour.turn_words(), first])
    columns = (
        ("hour", 12),
        ("clean from", 30),
        (f"turn when somebody is {STEPS_ROUND_M:g} m away", 60),
        ("first to see", 60),
    )
    flow.table(columns, rows, "By the hour")
    _watch(brief, flow)
    return Sheets(flow.pages)


def _card_on(brief: Brief, found: Clock, page: object, left: float, top: float) -> None:
    import io

    from matplotlib.image import imread

    from sightline.pictures.clock import CARD_MM, draw_clock
    from sightline.pictures.page import Page
    from sightline.pictures.style import picture_bytes

    assert isinstance(page, Page)
    where = brief.moment.plan.venue
    picture = imread(io.BytesIO(picture_bytes(draw_clock(found, brief.scene.title, where), "png")))
    wide, tall = page.size_mm
    axes = page.figure.add_axes((left / wide, 1 - (top + CARD_MM[1]) / tall, CARD_MM[0] / wide, CARD_MM[1] / tall))
    axes.imshow(picture, aspect="auto", interpolation="none")
    axes.set_axis_off()


def _beside(flow: Flow, found: Clock, top: float, wide: float, fine: str) -> None:
    """What to do with the card, left of it; `fine` is how the performer says so."""
    share = {distance: found.clean_share(distance) * 100 for distance in (1.5, 2.0, 3.0)}
    lines = [f"Clean from {distance:g} m on: {value:.0f} % of the circle." for distance, value in share.items()]
    if found.photo is not None:
        lines.append(f"Photographs from {_hour(found.photo.bearing_rad)} o'clock, {found.photo.distance_m:g} m away.")
    else:
        lines.append("There is no spot for photographs that is clean near by.")
    for n, post in enumerate(found.posts, 1):
        lines.append(
            f"Handler {n} stands at {_hour(post.bearing_rad)} o'clock and watches {math.degrees(post.wide_rad):.0f} deg."
        )
    lines += [
        "When somebody steps round: say 'better view round here', wait, turn the performer by what the card says, then look who is "
        "behind.",
        "The performer does not see the floor close by: stairs, kerbs and doors are yours to call.",
        f"A hand on the shoulder means 'fine?'. The answer: {fine} (see the signals).",
    ]
    y = top + 2.0
    for text in lines:
        for line in flow.page.lines_of(text, wide):
            y += flow.page.line_mm
            flow.page.say(flow.left, y, line, flow.text_pt)
        y += 2.0


def _fine(brief: Brief) -> str:
    """The one form of 'fine', as the signals card has it: a signal of health never has two."""
    from sightline.workshop.signals import signals_of

    return signals_of(brief.bench)[0].form


def _hour(bearing_rad: float) -> int:
    from sightline.blocking.ring import hour_of

    return hour_of(bearing_rad)


def _watch(brief: Brief, flow: Flow) -> None:
    """What the handler keeps an eye on for the performer's health."""
    flow.head("Run and rest: yours to call")
    load = next((part for part in brief.sections if part.name == "load"), None)
    items: list[Item] = [item for item in load.items if item.key in ("run and rest", "hold")] if load else []
    flow.bullets([item.words for item in items])
    flow.ticks([
        ("Water at every rest, by straw or tube", "before thirst"),
        ("Asked: fine? pins and needles? hot?", "numbness, a cold hand, a headache: out of it now, and stay with the person"),
        ("Doff card and shears on you", "you can do it in the dark, you have tried"),
    ])  # fmt: skip


def _dresser(brief: Brief) -> list[Sheets]:
    return [_cards(brief, "dresser", "dress")]


def _emergency(brief: Brief) -> list[Sheets]:
    return [_cards(brief, "doff")]


HELP = ("handler", "dresser", "stage manager", "front of house duty manager", "everyone who may have to help")
KINDS = [
    Kind("performer", "performer", "Performer's papers", ("performer",), "closed", _performer),
    Kind("handler", "handler", "Handler's papers", ("handler",), "closed", _handler),
    Kind("dresser", "dresser", "Dresser's papers", ("dresser",), "closed", _dresser),
    Kind("emergency", "emergency-doff", "Emergency: getting out", HELP, "closed", _emergency),
]  # fmt: skip
