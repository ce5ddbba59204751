"""Five rehearsals in which an act is learnt, each with what to do and when it is done, from what the scene says."""

from __future__ import annotations

from sightline.packet.brief import Brief
from sightline.staging.body import hidden_side
from sightline.workshop.doffing import ways_out
from sightline.workshop.dressing import dressing_of

Lesson = tuple[str, list[tuple[str, str]]]


def rehearsals(brief: Brief) -> list[Lesson]:
    """Title, and lines to tick with what goes with them in small. Common practice, no source.

    Getting out comes first: nobody is put in who has not got out.
    """
    scene = brief.scene
    thing = scene.prop.name if scene.prop else "prop"
    live = scene.puppet.name if scene.puppet else "puppet"
    hidden = (hidden_side(scene.performer) if scene.performer else None) or "hidden"
    return [
        ("Out of it, before in it", _out(brief, thing)),
        (f"The {hidden} arm and the {live}, before a mirror", _alive(brief, live, hidden)),
        ("Two hands that are not alike", _hands(brief, thing, hidden)),
        ("Marks, facings and cues with the handler", _marks(brief)),
        ("The whole act, and everything that goes wrong", _whole(brief, live)),
    ]


def _out(brief: Brief, thing: str) -> list[tuple[str, str]]:
    found, ways = dressing_of(brief.bench), ways_out(brief.bench)
    steps = f"{len(found.steps)} steps, about {found.order.seconds:.0f} s" if found else "the scene names no steps"
    lines = [(f"Dress by the card, twice, the {thing} on the floor", steps)]
    lines += [
        (
            f"{way.title[:1].upper()}{way.title[1:]}: with the handler, then alone, then with eyes shut",
            f"about {way.seconds:.0f} s" if way.known else "how is not known: write it first",
        )
        for way in ways
    ]
    lines.append(("Every signal given and answered; the stop line aloud", "until neither of you mistakes one"))
    lines.append(("Done when the arm is out and the weight off in the time of the card, three times running", ""))
    return lines


def _alive(brief: Brief, live: str, hidden: str) -> list[tuple[str, str]]:
    puppet = brief.scene.puppet
    names = list(puppet.moves) if puppet is not None and puppet.moves else []
    each = f"of the table: {', '.join(names)}" if names else "small: no farther than the table says"
    return [
        (f"The {hidden} hand in by its way, the {live} on it, ten breaths at rest", "pins and needles, numbness: out at once, and say so"),
        (f"Every move of the {live}, slowly, then in time", each),
        ("A film from the front and from each side, looked at together", "does it breathe, does it look, does the sleeve at the back move"),
        (f"Done when somebody who does not know asks about the {live} and not about the arm", ""),
    ]  # fmt: skip


def _hands(brief: Brief, thing: str, hidden: str) -> list[tuple[str, str]]:
    reasons = [beat.false_arm for beat in brief.scene.blocking.beats if beat.false_arm]
    why = "; ".join(dict.fromkeys(reasons)) if reasons else "not written: find one"
    still = brief.scene.blocking.still_for
    return [
        (f"The {thing} carried as if by both hands: weight in the back, not in the real hand", "the rig bears it; show that it is heavy"),
        (f"A reason for the false arm to be still, after {still:.0f} s at the latest", why),
        ("The real hand does nothing that the false one could not", "no scratching, no waving, no picking up"),
        (f"A look at the false hand now and then, never at the {hidden} shoulder", ""),
        ("Done when a film without sound shows two arms", ""),
    ]  # fmt: skip


def _marks(brief: Brief) -> list[tuple[str, str]]:
    blocking = brief.scene.blocking
    beats = len(blocking.beats)
    what = f"{beats} beats" if beats else "one mark, one facing"
    return [
        ("Marks taped out by the stage manager's table; the facing set by an aim, not by feel", what),
        ("Walked without, with, and with the load; the handler calls stairs, kerbs and doors", "the floor close by is out of sight"),
        (f"Missed on purpose by {blocking.stray.distance * 100:.0f} cm and turned too far, filmed from the worst seats", ""),
        ("Somebody steps round: the handler says 'better view round here', you turn by the clock card", ""),
        ("Done when the handler finds you on the mark five times of five with a tape", ""),
    ]  # fmt: skip


def _whole(brief: Brief, live: str) -> list[tuple[str, str]]:
    return [
        ("Run in costume, under show light, at full length, with its rests", "a phone films from each of the worst seats"),
        (f"The {live} drops, the strap slips, a child pulls at the false hand: played", "let go first, save the secret second"),
        ("Evacuation: as the signals card says, worn or dropped, behind whoever leads", "the venue's own plan comes first"),
        ("The film beside this book: every secret in its table looked for", "what shows is mended or accepted by name, never forgotten"),
        ("Done when performer and handler both say so", "either may ask for one more"),
    ]  # fmt: skip
