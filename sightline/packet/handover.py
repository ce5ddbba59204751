"""The handover book: how the act works and how to learn it, for who takes it over; from the scene and its check alone."""

from __future__ import annotations

import math

from sightline.blocking.notation import clock, distance, millimetres
from sightline.packet.brief import Brief
from sightline.packet.flow import Flow
from sightline.packet.lessons import rehearsals
from sightline.packet.paper import Kind, Sheets
from sightline.packet.wording import spare_deg
from sightline.scene.outdoors import open_questions, stop_words
from sightline.scene.prop import Move
from sightline.staging.body import hidden_side
from sightline.staging.hidden import default_moves
from sightline.workshop.bodyswap import body_words
from sightline.workshop.signals import answers, leaving, nobody_answers, signals_of, stop_line

# So many seats are named one by one.
MOST_NAMED = 12


def _sheets(brief: Brief) -> Sheets:
    bench = brief.act()
    sheet = bench.sheet
    assert sheet is not None
    said = (
        f"Everything here is worked out for {body_words(sheet)}. For another body: sightline recast {brief.scene_name} "
        "--stature ..., which lists what changes."
    )
    flow = Flow(brief.paper, "Handover book", said)
    flow.head("How it works")
    flow.bullets(how_it_works(brief))
    _secrets(brief, flow)
    flow.head("Learn it in five rehearsals")
    flow.para(
        "In this order, none left out; the next begins when the last line of the one before holds (common practice, no source)."
    )
    for number, (title, lines) in enumerate(rehearsals(brief), 1):
        flow.need(24.0)
        flow.y += 2.0
        flow.para(f"{number}. {title}", weight="bold")
        flow.ticks(lines)
    _moves(brief, flow)
    _gaze(brief, flow)
    _signals(brief, flow)
    _leaks(brief, flow)
    _drift(brief, flow)
    _outdoors(brief, flow)
    flow.head("Handed over")
    flow.blanks(["by", "to", "date", "all five rehearsals done, signed by both", "what is not in this book"])
    return Sheets(flow.pages)


def how_it_works(brief: Brief) -> list[str]:
    """The act in sentences, from its parts; nothing that the scene does not say."""
    scene, bench = brief.scene, brief.bench
    hidden = hidden_side(scene.performer) if scene.performer else None
    thing = scene.prop.name if scene.prop else "prop"
    live = scene.puppet.name if scene.puppet else None
    lines = []
    if hidden and live:
        lines.append(
            f"The audience sees the performer carry the {thing} with both hands, and the {live} live in it. The {hidden} arm that they "
            "see is false."
            if scene.false_limbs
            else f"The audience sees the {live} live in the {thing}; the performer's {hidden} arm is out of sight."
        )
    found = bench.arm_opening
    if hidden and found is not None and live:
        size = " by ".join(millimetres(side) for side in dict.fromkeys(found[1].size_m))
        lines.append(
            f"The real {hidden} arm goes through the {found[1].shape} opening in the {found[1].wall} wall ({size}) and works the {live}."
        )
    for limb in scene.false_limbs:
        name = limb.name or f"false {limb.replaces}"
        where = (
            f"its hand is fixed to the {limb.hand_at.wall} wall of the {thing}"
            if limb.hand_at
            else "it is an imported limb"
        )
        lines.append(f"The {name}: {where}; at the shoulder it must come away under a grab.")
    rig = [p.strap or p.hook or p.plate or p.screw or p.mesh for p in scene.rig]
    names = [part.name for part in rig if part is not None]
    if names:
        lines.append(f"What bears the weight out of sight: {', '.join(names)}.")
    else:
        lines.append("No rig is written: the visible hand bears the weight.")
    if scene.pose.visible_hand is not None and hidden:
        other = "right" if hidden == "left" else "left"
        lines.append(
            f"The {other} hand is real and holds the {thing} at its {scene.pose.visible_hand.wall} wall all the time; it is not free "
            "for anything else but where a beat says so."
        )
    worn = [p.sleeve or p.shirt or p.drape or p.flap or p.cuff or p.mesh for p in scene.costume]
    hides = [part.name for part in worn if part is not None]
    if hides:
        lines.append(f"What else hides it: {', '.join(hides)}.")
    return lines


def _secrets(brief: Brief, flow: Flow) -> None:
    kinds = {"limb": "the real arm", "seam": "a seam", "rig": "rig", "inside": "an opening's inside"}
    secrets = brief.finding.secrets
    all_kinds = {s.name: s.kind for s in (*brief.moment.still.secrets, *brief.moment.poses[0].secrets)}
    rows = [
        [
            name,
            kinds.get(all_kinds.get(name, "limb"), "secret"),
            str(int((found.verdict == 2).sum())),
            str(int((found.verdict == 1).sum())),
        ]
        for name, found in secrets.items()
    ]
    head = f"What must not be seen, and from how many of {len(brief.moment.eyes)} eyes it is now, on the mark"
    flow.table((("secret", 60), ("what it is", 50), ("see it", 30), ("get a faint glimpse", 46)), rows, head)


def _moves(brief: Brief, flow: Flow) -> None:
    puppet = brief.scene.puppet
    if puppet is None:
        return
    own = puppet.moves is not None
    moves = puppet.moves if puppet.moves is not None else default_moves()
    rows = [["rest", "the grip where the scene has it", ""]]
    rows += [[name, _shift(move), _turn(move)] for name, move in moves.items()]
    head = f"Moves of the {puppet.name}, by the performer's own sides"
    flow.table((("move", 40), ("the grip goes", 80), ("it turns", 66)), rows, head)
    if not own:
        flow.para(
            "The scene names no moves: these four are taken as the farthest the hand wanders, no more than these."
        )
    flow.para("Whatever is not in this table was not checked: no other move without a new check.")


def _shift(move: Move) -> str:
    names = (("to the left", "to the right"), ("back", "ahead"), ("up", "down"))
    parts = [
        f"{millimetres(abs(v))} {side[0] if v > 0 else side[1]}" for v, side in zip(move.by, names, strict=True) if v
    ]
    return ", ".join(parts) or "stays"


def _turn(move: Move) -> str:
    parts = []
    if move.turn:
        parts.append(f"{abs(math.degrees(move.turn)):.0f} deg to the {'left' if move.turn > 0 else 'right'}")
    if move.nod:
        parts.append(f"nods {abs(math.degrees(move.nod)):.0f} deg {'down' if move.nod > 0 else 'up'}")
    return ", ".join(parts) or "no"


def _gaze(brief: Brief, flow: Flow) -> None:
    flow.head("Gaze")
    where = {"audience": "to the audience", "prop": "to the prop"}[brief.scene.pose.gaze]
    lines = [f"Where no beat says otherwise the performer looks {where}."]
    for beat in brief.scene.blocking.beats:
        if beat.focus is not None:
            at = beat.focus.eye or f"{math.degrees(beat.focus.bearing or 0.0):.0f} deg (0 is the house, + stage left)"
            lines.append(f"{clock(beat.at)} {beat.name or 'beat'}: {_live(brief)} and performer look at {at}.")
    lines.append(
        f"Where the {_live(brief)} looks, the audience looks: it looks away from whatever is at risk, and so do you."
    )
    still = [(beat, beat.false_arm) for beat in brief.scene.blocking.beats if beat.false_arm]
    lines += [f"{clock(beat.at)} {beat.name or 'beat'}: the false arm is still because: {why}." for beat, why in still]
    if not still:
        lines.append("Why the false arm is still is not written (beats: {false arm: ...}); find a reason and play it.")
    flow.bullets(lines)


def _live(brief: Brief) -> str:
    return brief.scene.puppet.name if brief.scene.puppet else "puppet"


def _signals(brief: Brief, flow: Flow) -> None:
    said = brief.scene.signals
    rows = [[s.meaning, s.form, "own" if s.own else "the usual"] for s in signals_of(brief.bench)]
    flow.table((("means", 34), ("given by", 124), ("whose", 28)), rows, "Signals")
    out = leaving(brief.bench)
    flow.bullets([
        f"Answers: {answers(said)}.", f"Nobody answers in 10 s: {nobody_answers(said).rstrip('.')}.",
        f'The line that stops the show: "{stop_line(said)}"', out.wear_or_drop, out.door, out.leads,
    ], "!")  # fmt: skip


def _leaks(brief: Brief, flow: Flow) -> None:
    """Accepted ones with who and why; then what is seen and nobody has accepted."""
    flow.head("Leaks that are accepted, and why")
    rows = [
        [", ".join(leak["seats"]), leak["beat"] or "all", leak["sees"], leak["by"], leak["date"], leak["note"]]
        for leak in brief.accepted
    ]
    if rows:
        flow.table((("seats", 40), ("beat", 20), ("see", 36), ("accepted by", 26), ("date", 20), ("why", 44)), rows)
    else:
        flow.para("None is written (accepted: [{seats: [...], sees: ..., by: ..., date: ..., note: ...}]).")
    known = {seat for leak in brief.accepted for seat in leak["seats"]}
    seen = [seat for seat in brief.finding.seen_ids() if seat not in known]
    if seen:
        more = f" and {len(seen) - MOST_NAMED} more" if len(seen) > MOST_NAMED else ""
        flow.bullets(
            [
                f"Seen on the mark and accepted by nobody, {len(seen)}: {', '.join(seen[:MOST_NAMED])}{more}. Mend it, or decide."
            ],
            "!",
        )
    else:
        flow.para("On the mark nobody else sees a secret.")


def _drift(brief: Brief, flow: Flow) -> None:
    """What the scene allows, and what the check has to spare; the shape to tape out is a command of its own."""
    stray = brief.scene.blocking.stray
    flow.head("How far you may stray")
    lines = [
        f"Allowed: {distance(stray.distance)} off the mark and {math.degrees(stray.turn):.0f} deg off the facing, two standard "
        "deviations each: drill until you are nearer than that nineteen times of twenty."
    ]
    spare = spare_deg(brief.finding)
    if len(spare):
        lines.append(
            f"Of those who see nothing on the mark the tightest has {spare.min():.1f} deg to spare: the first to see more."
        )
    elif brief.finding.least_margin() is None:
        lines.append("What there is to spare on the mark was not worked out with this book (sightline map --margin).")
    else:
        lines.append("Nobody on the mark has anything to spare: every eye sees something already.")
    lines.append(
        f"Where it begins to show, way by way, and the lozenge to tape out: sightline drift {brief.scene_name}; the handler's "
        "clock tells which turn mends what."
    )
    flow.bullets(lines)


def _outdoors(brief: Brief, flow: Flow) -> None:
    flow.head("When it stops")
    outdoors = brief.scene.venue.outdoors if brief.scene.venue else None
    stop = stop_words(outdoors)
    flow.bullets([stop] if stop else [], "!")
    flow.bullets([f"Not checked: {said}." for said in open_questions(outdoors)])
    flow.bullets([
        "Pain, numbness, heat, a cold hand or a signal that nobody answers stops it at once: the performer decides, the handler "
        "may, nobody argues.",
        *_limits(brief),
    ], "!")  # fmt: skip


def _limits(brief: Brief) -> list[str]:
    load = next((part for part in brief.sections if part.name == "load"), None)
    items = [item.words for item in load.items if item.key in ("hold", "run and rest", "share")] if load else []
    return items + (load.cautions[:1] if load else [])


def _down(text: str) -> str:
    return text[:1].lower() + text[1:]


KINDS = [Kind("handover", "handover-book", "Handover book", ("performer", "handler", "director"), "closed", _sheets)]
