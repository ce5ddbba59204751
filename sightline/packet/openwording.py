"""Sentences of the open papers, made of open facts alone; what the scene does not say is worded so that anybody may read it."""

from __future__ import annotations

import math

from sightline.blocking.notation import distance
from sightline.packet.openfacts import OpenFacts, Place

# All of these: common practice, no source.
LATECOMERS = "Latecomers wait until the end of a set, or until the performer has left the place."
LATECOMERS_STAND = "At the back, behind the last row, in front of the act; never at its sides or behind it."
FILMING = (
    "Photographs and film for private use are welcome from the front, from where the audience is. No flash, no lamps, nobody "
    "walks round the act."
)
COMPLAINT = (
    '"Thank you for telling me. I have written it down and the company will read it today." Write the place, the time and the '
    "guest's own words; do not discuss how the act is made. Offer another place in front where there is one."
)
CASES = "the company's handler"
BAGS = (
    "Cases and bags of the company are opened by {who}, in private, before doors; one person of the house looks on. Nobody else "
    "opens, moves or photographs them. If somebody in authority must look at once, call {who} first."
)
STOP = (
    "Whoever says it is obeyed: the act stops, the house lights go up, people are kept back, and the handler is left to work. "
    "The venue's own emergency procedure and first aid come first."
)


def to_write(text: str) -> str:
    """What is not said is left as a dotted line to write on."""
    return text or "." * 46


def bag_line(facts: OpenFacts) -> str:
    return BAGS.format(who=facts.cases_opened_by or CASES)


def place_words(place: Place) -> str:
    """`1.50 m (4 ft 11 in) away, 10 deg to the performer's left (house right) of straight ahead`."""
    bearing, away = place
    turn = round(math.degrees(bearing))
    if turn == 0:
        return f"{distance(away)} away, straight ahead of the performer"
    side = "left (house right)" if turn > 0 else "right (house left)"
    if abs(turn) > 120:
        return f"{distance(away)} away, behind the performer on the performer's {side}"
    return f"{distance(away)} away, {abs(turn)} deg to the performer's {side}"


def arc_words(front_rad: tuple[float, float]) -> str:
    right, left = (abs(math.degrees(x)) for x in front_rad)
    if left < 0.5:
        return f"from straight ahead to {right:.0f} deg on the performer's right (house left)"
    if right < 0.5:
        return f"from straight ahead to {left:.0f} deg on the performer's left (house right)"
    if abs(right - left) < 0.5:
        return f"up to {right:.0f} deg to either side of straight ahead"
    return f"from {right:.0f} deg on the performer's right (house left) to {left:.0f} deg on the performer's left (house right)"


def wall_words(facts: OpenFacts) -> str:
    if facts.surrounded:
        return "No wall is needed, by the company's plan; people may be all round."
    return "A wall, flat or curtain close behind the performer, or a roped line that nobody passes. Not surrounded without a wall."


def audience_lines(facts: OpenFacts) -> list[str]:
    """Where the audience may be."""
    if facts.surrounded:
        return [f"All round, from {distance(facts.ring_m)} on."]
    out = []
    if facts.front_rad is not None:
        out.append(f"From {distance(facts.ring_m)} on: {arc_words(facts.front_rad)}.")
    if facts.farther is not None:
        far, right, left = facts.farther
        out.append(f"From {distance(far)} on: {arc_words((right, left))}.")
    return out or [f"In front, from {distance(facts.ring_m)} on; the company says how far round."]


def house_lines(facts: OpenFacts) -> list[str]:
    """The same for this house: where there are seats, they say it."""
    if facts.seated:
        return [
            "In the seats of the house as listed; nobody on the stage, in the wings, behind the act or in a gangway."
        ]
    return audience_lines(facts)


def suits(facts: OpenFacts) -> list[str]:
    """What the act suits: as the company says; else what follows from where the audience may be."""
    if facts.suits:
        return list(facts.suits)
    if facts.surrounded:
        return ["Open floors with people all round, stages, foyers"]
    return ["Stages and platforms seen from the front", "A pitch in a foyer, hall or aisle with a wall behind"]


def not_for(facts: OpenFacts) -> list[str]:
    """What does not work; that it is not surrounded is said whatever else is."""
    own = list(facts.not_for)
    if not facts.surrounded:
        own.append("Not surrounded without a wall; no audience behind, above or close at the sides")
    own.append("No mirrors or glass behind the performer, no strong light from behind")
    return own
