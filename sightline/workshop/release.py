"""The section on release: after a fall, a grab or a trapped limb, does the performer come out, and does the box come off.

Every question is answered yes, no or not known, and what is not yes stands on top of every card.
"""

from __future__ import annotations

import numpy as np

from sightline.blocking.notation import feet
from sightline.geometry.mesh import Mesh
from sightline.workshop.bench import Bench
from sightline.workshop.bodyspots import at_neck, distance_m, spots
from sightline.workshop.doffing import ways_out
from sightline.workshop.feet import footprints, gap_m, hull
from sightline.workshop.pullout import elbows_words, pull_out
from sightline.workshop.section import Item, Section, State

# Nothing hard nearer than this to face, throat, breastbone or armpit. Common practice, no source.
HARD_NEAR_M = 0.10
# A box that is let go tilts as it falls: less than this clear of the toes is not known. Ours, no source.
DROP_NEAR_M = 0.10
NAME = "release"
DRAWN = "worked out from the drawing; try it by hand, at full size"
TRIED = "tried by hand, says the scene"
CAUTIONS = (
    "Try every release with the performer in it, standing still, then walking, then in the dark and with gloves on, before "
    "any audience; a second person stands by with blunt-tipped shears.",
    "After a fall: let go, lie still, say where it hurts; nobody pulls at the performer or the rig until the performer says so. "
    "A blow to head or neck, or numbness: leave them as they lie and call the emergency services.",
    "Pull test for anything that must part: hook a hand scale or a bag of tins to the false hand, to its elbow and to each tie in "
    "turn, pull slowly and then with a jerk, forward, down and to the side. It must part before the performer has to step or "
    "is turned, leave nothing sharp, and go back together. Write down at how much (no source gives a figure that holds for all).",
)


def section(bench: Bench) -> Section:
    """All answers; what cannot be told is not known."""
    if bench.body is None:
        item = Item("release", "not known", "Release is not known: the scene has no performer.")
        return Section(NAME, [item])
    top = [_arm(bench), _loops(bench), _neck(bench), *_grab(bench), _hard(bench), _drop(bench)]
    return Section(
        NAME, _times(bench), list(CAUTIONS), ["The hand lets go of the puppet and leaves it in the box."],
        ["pockets, rings, bracelets and long hair that catch; a box that is held by somebody else"], top,
    )  # fmt: skip


def _said(answer: bool | None, good: bool) -> State | None:
    """The state of a plain answer: `good` is what it must be."""
    return None if answer is None else "yes" if answer is good else "no"


def _arm(bench: Bench) -> Item:
    key = "arm pulls straight"
    told = bench.scene.release.arm_pulls_straight
    if bench.body is None or bench.body.hidden is None or not bench.hidden:
        return Item(key, "yes", "No arm is hidden in the prop, so none has to come out.", None, None, DRAWN)
    if told is False:
        return Item(
            key, "no", "The hidden arm does not come out in one straight pull with nothing undone.", None, None, TRIED
        )
    if bench.box is None or bench.arm_opening is None:
        if told:
            return Item(
                key, "yes", "The hidden arm comes out in one straight pull with nothing undone.", None, None, TRIED
            )
        return Item(
            key, "not known", "Whether the hidden arm comes out straight is not known: the prop's opening is not drawn."
        )
    rest = [pose for pose in bench.hidden if pose.move == "rest"]
    ways = [pull_out(bench, pose) for pose in rest]
    best = max(ways, key=lambda way: (way.clear and way.reaches, way.clear, way.reaches))
    hand = (
        f"the hand over its thumb is {best.hand_m * 1000:.0f} mm ({feet(best.hand_m, 8)}), the hole "
        f"{best.hole_m * 1000:.0f} mm ({feet(best.hole_m, 8)})"
    )
    if best.spare_m < 0:
        state: State = "no"
        said = f"The hidden hand does not come back through its opening: {hand}."
    elif not best.clear and not best.bent_clear:
        state = "no"
        said = f"Pulled straight back the hand catches on the opening's edge ({hand}): move the opening, or make it larger."
    elif not best.clear:
        state = "not known"
        said = (
            f"Pulled back along the forearm the hand catches on the opening's edge, for that line goes {best.off_m * 1000:.0f} mm "
            f"({feet(best.off_m, 8)}) beside the opening's middle ({hand}); with the wrist giving "
            "way it might pass. Try it, or move the opening."
        )
    elif not best.reaches:
        state = "no"
        said = (
            f"The arm cannot be drawn the {best.back_m * 100:.0f} cm ({feet(best.back_m)}) back "
            "that free the hand, standing still: the prop must be pushed off first."
        )
    elif all(way.clear and way.reaches for way in ways):
        state = "yes"
        said = f"The hidden arm comes out in one straight pull of {best.back_m * 100:.0f} cm ({feet(best.back_m)}): {hand}."
    else:
        out = [pose.swivel_rad for pose, way in zip(rest, ways, strict=True) if way.clear and way.reaches]
        state = "not known"
        said = (
            f"The hidden arm comes out in one straight pull in {len(out)} of the {len(ways)} elbow "
            f"positions it may have ({elbows_words(out)}): keep the elbow there, or make the opening larger."
        )
    if state != "yes" and told:
        return Item(key, "not known", f"{said} The scene says it was tried and comes out: drawing and trial disagree, so measure "
"again.", best.spare_m, "m", DRAWN)  # fmt: skip
    if state == "yes" and any(c.cuff is not None for c in bench.scene.costume) and told is None:
        said += " A cuff lies round it: it must be open, without elastic or a drawstring."
    return Item(key, state, said, best.spare_m, "m", TRIED if told else DRAWN)


def _loops(bench: Bench) -> Item:
    key = "no loop tightens"
    state = _said(bench.scene.release.loop_tightens, False)
    if state == "no":
        said = "A loop tightens when it is pulled: sew it shut as a ring, or take it out."
    elif state == "yes":
        said = "No loop tightens when it is pulled."
    elif not bench.scene.rig and not bench.scene.costume and not bench.scene.false_limbs:
        return Item(key, "yes", "Nothing drawn here is a loop.", None, None, DRAWN)
    else:
        state, said = (
            "not known",
            "Whether any loop (strap, drawstring, wrist band, cord) tightens when it is pulled "
            "is not known. Pull each, then say: release: {loop tightens: no}.",
        )
    return Item(
        key, state or "not known", said, None, None, TRIED if bench.scene.release.loop_tightens is not None else None
    )


def _neck(bench: Bench) -> Item:
    body, told, key = bench.body, bench.scene.release.neck, "nothing round the neck"
    assert body is not None
    act = bench.staged.act
    worn = {piece.name for part in bench.scene.costume if (piece := part.shirt or part.drape or part.mesh) is not None}
    things: dict[str, Mesh] = {cover.name: cover.mesh for cover in act.covers if cover.name in worn}
    straps = [p.strap.name for p in bench.scene.rig if p.strap] + [p.mesh.name for p in bench.scene.rig if p.mesh]
    things |= {secret.name: secret.mesh for secret in act.secrets if secret.name in straps}
    near = [name for name, mesh in things.items() if at_neck(body, mesh)]
    if told == "fixed":
        return Item(
            key,
            "no",
            "Something round the neck has no breakaway: put one in, or take it off the neck.",
            None,
            None,
            TRIED,
        )
    if told == "breakaway":
        return Item(key, "yes", "What goes round the neck parts at a breakaway.", None, None, TRIED)
    if near:
        said = f"Drawn at the neck: {', '.join(near)}. "
        said += (
            "The scene says nothing goes round it: look again."
            if told == "nothing"
            else "Whether it opens or parts there is not known."
        )
        return Item(key, "not known", said + " Say: release: {neck: breakaway}, or fixed.", near, None, DRAWN)
    if told == "nothing" or not things:
        return Item(key, "yes", "Nothing goes round the neck.", None, None, TRIED if told else DRAWN)
    return Item(key, "yes", "Nothing drawn goes round the neck.", None, None, DRAWN)


def _grab(bench: Bench) -> list[Item]:
    release = bench.scene.release
    out = []
    for key, told, there, what, name in (
        ("limb parts under a grab", release.limb_parts, bench.scene.false_limbs, "the false limb comes", "limb parts"),
        (
            "costume ties part under a grab",
            release.ties_part,
            bench.scene.costume,
            "every costume tie comes",
            "ties part",
        ),
    ):
        state = _said(told, True)
        if state is None and not there:
            out.append(
                Item(
                    key,
                    "yes",
                    f"There is no {'false limb' if name == 'limb parts' else 'costume'} to be grabbed.",
                    None,
                    None,
                    DRAWN,
                )
            )
        elif state is None:
            said = (
                f"Whether {what} away under a grab is not known. Do the pull test, then say: release: {{{name}: yes}}."
            )
            out.append(Item(key, "not known", said))
        else:
            stuck = f"Under a grab {what.removesuffix('comes')}does not come away: hook-and-loop, magnets or a weak tie part."
            said = f"Under a grab {what} away." if state == "yes" else stuck.replace("every", "some")
            out.append(Item(key, state, said, None, None, TRIED))
    return out


def _hard(bench: Bench) -> Item:
    body, carried, key = bench.body, bench.carried, "nothing hard at face, throat, breastbone, armpit"
    assert body is not None
    told = bench.scene.release.hard_edges_padded
    hard = {}
    if carried is not None:
        half = carried.size_m / 2
        ends = carried.placement.points([[x * half[0], half[1], half[2]] for x in (-1.0, 1.0)])
        hard["the box's top back edge"] = Mesh.of([*ends, ends[1] + 1e-9], [[0, 1, 2]])
    names = [piece.name for part in bench.scene.rig if (piece := part.hook or part.screw or part.plate) is not None]
    hard |= {secret.name: secret.mesh for secret in bench.staged.act.secrets if secret.name in names}
    if not hard:
        return Item(key, "yes", "Nothing hard is drawn near face, throat, breastbone or armpit.", None, None, DRAWN)
    found = [
        (distance_m(mesh, at[None]), name, spot) for name, mesh in hard.items() for spot, at in spots(body).items()
    ]
    distance, name, spot = min(found)
    where = f"{name} comes within {distance * 100:.0f} cm ({feet(distance)}) of the {spot}"
    if distance >= HARD_NEAR_M and told is not False:
        said = f"Nearest of all that is hard, {where}; in a fall forward it is still what is fallen on, so round and pad it."
        return Item(key, "yes", said, distance, "m", f"at least {HARD_NEAR_M * 100:.0f} cm: common practice, no source")
    if told:
        return Item(key, "yes", f"{where[:1].upper() + where[1:]}, and is padded.", distance, "m", TRIED)
    said = f"{where[:1].upper() + where[1:]}: pad it thickly or move it, then say: release: {{hard edges padded: yes}}."
    return Item(
        key,
        "no",
        said,
        distance,
        "m",
        TRIED if told is False else f"at least {HARD_NEAR_M * 100:.0f} cm: common practice, no source",
    )


def _drop(bench: Bench) -> Item:
    body, carried, key = bench.body, bench.carried, "prop drops clear of the feet"
    assert body is not None
    told = bench.scene.release.drop_clear
    if carried is None:
        return Item(key, "yes", "There is no prop to drop.", None, None, DRAWN)
    if told is False:
        return Item(key, "no", "The prop cannot be dropped clear of the feet.", None, None, TRIED)
    half = carried.size_m / 2
    corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) * half
    shadow = hull(carried.placement.points(corners)[:, :2])
    gap = min(gap_m(shadow, foot) for foot in footprints(body.sheet, body.skeleton))
    if gap <= 0:
        said = f"Let go, the prop falls on the feet: its outline lies over them by {-gap * 100:.0f} cm ({feet(-gap)})."
        return Item(key, "no", said, gap, "m", DRAWN)
    clear = f"Falling straight, the prop comes down {gap * 100:.0f} cm ({feet(gap)}) clear of the toes"
    if told:
        return Item(key, "yes", f"{clear}, and was let go by hand.", gap, "m", TRIED)
    if gap < DROP_NEAR_M:
        said = f"{clear}; it tilts as it falls, so that is not known to be enough. Try it over a mat, empty."
        return Item(key, "not known", said, gap, "m", DRAWN)
    if bench.scene.rig or bench.scene.false_limbs:
        return Item(key, "not known", f"{clear}, but whether rig and false limb let go of it at once is not known. Try it, "
f"then say: release: {{drop clear: yes}}.", gap, "m", DRAWN)  # fmt: skip
    return Item(key, "yes", f"{clear}.", gap, "m", DRAWN)


def _times(bench: Bench) -> list[Item]:
    """Free the arm, drop the box, out of everything: three things, never one figure for all."""
    guesses = {way.key: way for way in ways_out(bench)}
    ways = guesses if bench.scene.dressing else {}
    out = []
    for key, title in (("free the arm", "free the arm"), ("drop the box", "drop the prop"), ("out of everything", "")):
        said = f"To {key}" if title else "To get out of everything"
        way = ways.get(title or key)
        if way is None or not way.known:
            guess = guesses.get(title or key)
            known = ": steps and seconds are not known"
            if guess is not None and guess.known and not bench.scene.dressing:
                known = f": {guess.steps} steps and {guess.seconds:.0f} s are only guessed from the parts (see 'getting out')"
            words = f"{said}{known}; write dressing, time it three times and take the slowest."
            out.append(Item(key, "not known", words))
            continue
        alone = "alone" if way.alone else "not alone"
        words = f"{said}: {way.steps} steps, about {way.seconds:.0f} s, {alone}; time it (see 'getting out')."
        out.append(Item(key, "told" if way.alone else "warn", words, way.seconds, "s", "the scene's dressing"))
    return out
