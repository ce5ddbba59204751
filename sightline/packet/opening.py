"""From the whole brief to the open facts: the only place where an open paper's matter is taken out of what is closed."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from sightline.blocking.clock import Clock
from sightline.blocking.notation import clock as time_words
from sightline.blocking.ring import DISTANCES_M
from sightline.house.eyes import Eye
from sightline.packet.audiencepicture import clean_eyes
from sightline.packet.brief import Brief
from sightline.packet.openfacts import OpenFacts, Place, Restricted
from sightline.packet.openwords import first_telling, telling_words
from sightline.packet.paper import LeftOut
from sightline.packet.seatranges import SeatRange, seat_ranges
from sightline.staging.audience import audience
from sightline.workshop.passing import footprint_of
from sightline.workshop.signals import stop_line

# The first row of a crowd stands at 1.5 to 3 m (craft notes, section 5: common practice); pitches of walkabout acts are
# about 4 x 3 m with the back to a wall (a published rider, ibid.).
LEAST_RING_M, PITCH_M = 1.5, (4.0, 3.0)
# The audience in front, at least so far to either side; behind is what lies beyond the second.
FRONT_RAD, BEHIND_RAD = math.radians(45.0), math.radians(120.0)
NOT_AS_MEANT = "Restricted view: the picture is not as intended from here. Not to be sold or filled for this show."
COVERED = "Restricted view: part of the act is covered from here. To be sold as such."
CLEAR_SHARE = 0.5
GOOD_SEATS = 12
# An arc so much wider is worth standing farther back for. Common practice, no source.
MORE_RAD = math.radians(15.0)
# How the fields are called in the scene, for the sentence that asks for another word.
KEYS = {
    "title": "papers: {production: ...}", "venue": "venue: {name: ...}", "company": "papers: {company: ...}",
    "contact": "papers: {contact: ...}", "start": "papers: {times: {start: ...}}", "sets": "papers: {times: {sets: ...}}",
    "drawn_by": "papers: {drawn by: ...}", "revision": "papers: {revision: ...}", "date": "papers: {date: ...}",
    "stop_phrase": "papers: {open: {stop phrase: ...}}",
}  # fmt: skip


def open_facts(brief: Brief) -> OpenFacts:
    """Raises LeftOut without a performer, and where a word of the scene's own would tell the working."""
    bench, scene = brief.act(), brief.scene
    said, times = scene.papers, scene.papers.times
    own, found = said.open, footprint_of(bench)
    assert found is not None
    clock = _clock(brief)
    whole = audience(bench.written).eyes
    seated = any(eye.row is not None for eye in whole)
    ring = own.ring or max(LEAST_RING_M, (scene.venue.keep_back if scene.venue else 0.0), _ring(clock))
    # On a stage nobody steps round; a handler is there all the same.
    posts = () if seated else _posts(clock, ring, found.turning_m)
    facts = OpenFacts(
        title=said.production or scene.title, company=said.company or "", contact=said.contact or "",
        drawn_by=said.drawn_by or "", revision=said.revision or "", date=said.date or "", venue=brief.moment.plan.venue,
        about=own.about or "", start=times.start or "", running=_time(times.running), sets=times.sets or "",
        rest=_time(times.rest), footprint_m=(found.width_m, found.depth_m), turning_m=found.turning_m,
        pitch_m=own.pitch or _pitch(found.turning_m), ring_m=ring, front_rad=_front(clock, ring),
        farther=_farther(clock, ring), surrounded=_surrounded(clock, ring), door_m=own.door or math.ceil(found.straight_m * 20 - 1e-9) / 20,
        power=own.power or "", changing_room=own.changing_room or "", fee=own.fee or "", insurance=own.insurance or "",
        handlers=max(1, len(posts)) if own.handlers is None else own.handlers, posts=posts,
        photo=(clock.photo.bearing_rad, clock.photo.distance_m) if clock and clock.photo else None,
        suits=tuple(own.suits), not_for=tuple(own.not_for), latecomers=own.latecomers or "",
        latecomers_stand=own.latecomers_stand or "", filming=own.filming or "", complaint=own.complaint or "",
        cases_opened_by=own.cases_opened_by or "", stop_phrase=own.stop_phrase or stop_line(scene.signals),
        seats=sum(eye.row is not None for eye in whole), held=_held(brief, whole),
        restricted=_restricted(brief), wheelchair=tuple(seat_ranges(eye for eye in whole if eye.kind == "wheelchair" and _a_place(eye))),
        good=_good(brief), seated=seated,
    )  # fmt: skip
    refuse_telling(facts, telling_words(scene, brief.moment))
    return facts


def refuse_telling(facts: OpenFacts, words: Sequence[str]) -> None:
    """Raises LeftOut for the first text in which a telling word stands."""
    for name, text in facts.texts():
        word = first_telling(text, words)
        if word is not None:
            key = KEYS.get(name, f"papers: {{open: {{{name.replace('_', ' ')}: ...}}}}")
            raise LeftOut(
                f"'{text[:60]}' would tell the working, by the word '{word}'; an open paper does not carry it. Other words: {key}."
            )


def _time(seconds: float | None) -> str:
    if seconds is None:
        return ""
    return f"{seconds / 60:g} min" if seconds >= 60 and seconds % 30 == 0 else time_words(seconds)


def _clock(brief: Brief) -> Clock | None:
    """None where nobody can be asked all round."""
    try:
        return brief.clock
    except LeftOut:
        return None


def _pitch(turning_m: float) -> tuple[float, float]:
    """The usual pitch, or more where the act does not turn in it with half a metre to spare."""
    least = math.ceil(2 * (2 * turning_m + 1.0)) / 2
    return max(PITCH_M[0], least), max(PITCH_M[1], least)


def _ring(clock: Clock | None) -> float:
    """From where on the front is as it should be; the usual ring where it never is."""
    if clock is None:
        return LEAST_RING_M
    near = [ray.nearest_m for ray in clock.rays if abs(ray.bearing_rad) <= FRONT_RAD + 1e-9]
    return max((far for far in near if far is not None), default=LEAST_RING_M) if None not in near else LEAST_RING_M


def _front(clock: Clock | None, ring_m: float) -> tuple[float, float] | None:
    """How far round to either side of straight ahead the audience may be, in one piece; None where it is not known."""
    if clock is None:
        return None
    fine = {
        round(math.degrees(ray.bearing_rad)) % 360: ray.nearest_m is not None and ray.nearest_m <= ring_m
        for ray in clock.rays
    }
    if not fine.get(0, False):
        return None
    ends = []
    for way in (-1, 1):
        step = 0
        while step < 170 and fine.get((way * (step + 10)) % 360, False):
            step += 10
        ends.append(way * math.radians(step))
    return (ends[0], ends[1]) if ends[1] > ends[0] else None


def _farther(clock: Clock | None, ring_m: float) -> tuple[float, float, float] | None:
    """The nearest of the distances farther out from which the audience may be clearly farther round."""
    near = _front(clock, ring_m)
    least = near[1] - near[0] if near else 0.0
    for far in (far for far in DISTANCES_M if far > ring_m):
        found = _front(clock, far)
        if found and found[1] - found[0] > least + MORE_RAD:
            return far, *found
    return None


def _surrounded(clock: Clock | None, ring_m: float) -> bool:
    return clock is not None and clock.clean_share(ring_m) == 1.0


def _posts(clock: Clock | None, ring_m: float, turning_m: float) -> tuple[Place, ...]:
    """Beside the act and outside its turning circle, within the ring."""
    if clock is None:
        return ()
    away = max(turning_m + 0.3, min(ring_m - 0.2, 1.5))
    return tuple((post.bearing_rad, away) for post in clock.posts)


def _held(brief: Brief, whole: Sequence[Eye]) -> tuple[SeatRange, ...]:
    """Seats that the scene says are held."""
    venue = brief.scene.venue
    names = set(venue.held_seats) if venue else set()
    return tuple(seat_ranges(eye for eye in whole if eye.id in names))


def _good(brief: Brief) -> tuple[SeatRange, ...]:
    """Numbered seats in front that are best to photograph from."""
    eyes = brief.moment.eyes
    best = [i for i in clean_eyes(brief.finding) if eyes[i].row is not None and eyes[i].kind == "seated"]
    return tuple(seat_ranges(eyes[i] for i in sorted(best[:GOOD_SEATS])))


def _a_place(eye: Eye) -> bool:
    """Whether this is a place of the house, and not somebody imagined in a crowd that stands."""
    return eye.row is not None or eye.floor_m is None


def _restricted(brief: Brief) -> tuple[Restricted, ...]:
    """Seats from which the picture is not as it should be, and those from which part of it is covered; each once."""
    finding, eyes = brief.finding, brief.moment.eyes
    bad = finding.worst_verdict() == 2
    if brief.scene.blocking.beats:
        by_id = dict(
            zip(
                (eye.id for eye in brief.rehearsal.eyes),
                (brief.rehearsal.any_verdict == 2).any(axis=0).tolist(),
                strict=True,
            )
        )
        bad |= np.array([by_id.get(eye.id, False) for eye in eyes], dtype=bool)
    covered = np.zeros(len(eyes), dtype=bool)
    # A hand on the far side of the prop is nobody's loss.
    stars = {
        "face",
        *(must.name for must in brief.scene.must_see),
        *([brief.scene.puppet.name] if brief.scene.puppet else []),
    }
    for name, must in finding.must_see.items():
        if name in stars:
            covered |= must.without_heads < CLEAR_SHARE
    # Somebody has decided, with name and date, that these are sold as they are.
    taken = {name for leak in brief.scene.accepted if leak.beat is None for name in leak.seats}
    bad &= np.array([eye.id not in taken for eye in eyes], dtype=bool)
    out = []
    for reason, which in ((NOT_AS_MEANT, bad), (COVERED, covered & ~bad)):
        seats = [eye for eye, holds in zip(eyes, which, strict=True) if holds and eye.row is not None]
        # A wheelchair place is never taken away; what to do about its view is for the company.
        out += [Restricted(found, reason) for found in seat_ranges(eye for eye in seats if eye.kind != "wheelchair")]
        chairs = seat_ranges(eye for eye in seats if eye.kind == "wheelchair")
        out += [Restricted(found, CHAIRS) for found in chairs]
    return tuple(out)


CHAIRS = "Wheelchair place, never taken away: the company is asked before doors how the view can be made good."
