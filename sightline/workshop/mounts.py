"""Where a false arm is fixed so that hand, elbow and shoulder all land: screws on the prop, a strap at the shoulder.

A false arm is one stiff piece. Its two screws under the palm decide where its elbow and shoulder are; how much an error
of the mount is worth there is a lever (`lever.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sightline.blocking.notation import millimetres
from sightline.figure.arm import palm_centre
from sightline.geometry.frame import FloatArray
from sightline.props.box import Wall, wall_of
from sightline.props.hands import PALM_OFF_M
from sightline.scene.performer import WallName
from sightline.staging.body import Body, Carried
from sightline.workshop.anatomy import SHOULDER_M, graded, shoulder_off
from sightline.workshop.bench import Bench
from sightline.workshop.landing import landing_spot
from sightline.workshop.lever import Lever, allowed_deg, lever, screw_tolerance_m
from sightline.workshop.limbs import BenchLimb, LimbPose, distance_to, limbs_of, no_landmarks, without_limbs
from sightline.workshop.piercing import piercing_item
from sightline.workshop.screws import edge_words, screw_pair, solid_at, spot_on
from sightline.workshop.section import Item, Section, State

# A palm farther than this off its wall holds nothing. Common practice, no source.
MID_AIR_M = 0.010
# What a careful maker keeps when drilling by a tape. Common practice, no source.
DRILL_M = 0.001
# A false arm built this near to the real lengths needs no other place for its hand. Common practice, no source.
SAME_SHARE = 0.01
WALLS: tuple[WallName, ...] = ("front", "back", "left", "right", "top", "bottom")


@dataclass(frozen=True)
class Contact:
    """Where a palm is on the prop: its wall, the place (across, up) m on it, and how far off it the palm is."""

    name: WallName
    wall: Wall
    at: FloatArray
    off_m: float


def section(bench: Bench) -> Section:
    """Mount points of all false arms. Raises FileError at a landmark that cannot be meant."""
    limbs, carried, body = limbs_of(bench), bench.carried, bench.body
    if not limbs or body is None:
        return without_limbs(bench, "mounts", "Where to fix the false limb")
    if carried is None:
        return Section(
            "mounts", [Item("mounts", "not known", "Where to fix a limb is not known: the scene has no prop.")]
        )
    items: list[Item] = []
    for limb in limbs:
        if limb.pose is None:
            items.append(no_landmarks(limb, "mount", "where to fix it"))
        else:
            items += _limb_items(bench, limb, limb.pose, carried, body)
    return Section(
        "mounts", items,
        cautions=[
            "The false arm must come away under a grab: fix its shoulder end to the performer by a breakaway (a magnet or "
            "hook-and-loop), never by a knot or buckle, and pull at it by hand before every show.",
            "Screw points, washers and edges stay covered on the side of the performer's body; nothing hard between prop and "
            "throat, breastbone or armpit.",
            "What carries weight near a performer or over people is for a qualified person to look at.",
        ],
        assumptions=["The false arm is one stiff piece, and the prop is held as the scene says; a soft arm lands by hand."],
        not_checked=["whether screws and wall hold the limb's weight and a pull at it"],
    )  # fmt: skip


def contact_of(limb: BenchLimb, pose: LimbPose, carried: Carried, hand_length_m: float) -> Contact:
    """Where the limb's palm meets the prop: on the wall it was given, or the one outside which it is."""
    palm_at = pose.palm_at
    if palm_at is None:
        palm_at = pose.wrist + palm_centre(hand_length_m) * pose.fingers + PALM_OFF_M * pose.palm
    at = carried.placement.inverse().points(palm_at)
    name: WallName
    if limb.written.hand_at is not None:
        name = limb.written.hand_at.wall
    else:
        outs = {w: float((at - wall_of(carried.size_m, w).middle) @ wall_of(carried.size_m, w).outward) for w in WALLS}
        name = max(WALLS, key=lambda w: outs[w])
    wall = wall_of(carried.size_m, name)
    away = at - wall.middle
    return Contact(name, wall, np.array([away @ wall.across, away @ wall.up]), float(away @ wall.outward))


def _limb_items(bench: Bench, limb: BenchLimb, pose: LimbPose, carried: Carried, body: Body) -> Iterator[Item]:
    contact = contact_of(limb, pose, carried, body.sheet.hand_length_m)
    hand = _hand_item(bench, limb, contact, carried)
    yield hand
    apart_m, pivot = None, contact.at
    if hand.state == "yes":
        openings = bench.prop.openings if bench.prop else []
        ways = carried.placement.inverse().directions(pose.fingers)
        pair = screw_pair(
            contact.wall, contact.name, contact.at, np.array([ways @ contact.wall.across, ways @ contact.wall.up]),
            openings, body.sheet.hand_length_m, body.sheet.hand_breadth_m,
        )  # fmt: skip
        yield _screws_item(limb, contact, pair)
        if pair is not None:
            apart_m, pivot = float(np.linalg.norm(pair[1] - pair[0])), (pair[0] + pair[1]) / 2
    yield from _landings(limb, pose, contact, carried, body)
    yield from _lever_items(limb, levers_of(pose, contact.wall, pivot, carried), apart_m)
    yield _held_item(limb, pose, carried)
    yield from _own_lengths(limb, carried, body)
    yield _strap(bench, limb, pose, body)
    yield piercing_item(bench, limb, pose, carried)


def _hand_item(bench: Bench, limb: BenchLimb, contact: Contact, carried: Carried) -> Item:
    """Whether there is anything under the palm to screw to."""
    key, prop = f"{limb.name}: hand", bench.prop
    assert prop is not None
    spot = spot_on(contact.wall, *contact.at)
    beyond = float(np.max(np.abs(contact.at) - np.array(contact.wall.size_m) / 2))
    why = None
    if contact.off_m > MID_AIR_M:
        why = f"its palm is {millimetres(contact.off_m)} off the {contact.name} wall"
    elif contact.off_m < -MID_AIR_M:
        why = f"its palm is {millimetres(-contact.off_m)} inside the {contact.name} wall"
    elif beyond > 0:
        why = f"its palm is {millimetres(beyond)} beyond the edge of the {contact.name} wall"
    elif prop.box is not None and contact.name == "top" and prop.box.top == "open":
        why = "the box has no top wall"
    elif not solid_at(contact.wall, contact.name, contact.at, prop.openings, 0.0, 0.0):
        why = f"under its palm the {contact.name} wall has an opening"
    elif prop.box is None:
        skin = next(cover.mesh for cover in bench.staged.act.covers if cover.name == prop.name)
        gap = distance_to(skin, carried.placement.points(contact.wall.point(*contact.at)))
        why = f"the prop's own surface is {millimetres(gap)} away there" if gap > MID_AIR_M else None
    if why is not None:
        return Item(key, "no", f"'{limb.name}' is held by nothing: its hand is in mid-air, for {why}.")
    words = (
        f"'{limb.name}': the palm's middle lies on the {contact.name} wall, {spot.words} ({edge_words(contact.wall)})."
    )
    return Item(key, "yes", words, [spot.from_left_m, spot.from_bottom_m], "m: from left, from bottom edge")


def _screws_item(limb: BenchLimb, contact: Contact, pair: tuple[FloatArray, FloatArray] | None) -> Item:
    key = f"{limb.name}: screws"
    if pair is None:
        words = (
            f"'{limb.name}': there is no room for two screws under the palm on the {contact.name} wall, so it would turn; "
            "move the hand off the edge or the opening."
        )
        return Item(key, "no", words)
    heel, knuckles = (spot_on(contact.wall, *place) for place in pair)
    apart = float(np.linalg.norm(pair[1] - pair[0]))
    words = (
        f"'{limb.name}': two screws, so that it cannot turn, on the outside of the {contact.name} wall: nearer the wrist "
        f"{heel.words}; nearer the fingers {knuckles.words}; {millimetres(apart)} apart."
    )
    places = [[spot.from_left_m, spot.from_bottom_m] for spot in (heel, knuckles)]
    return Item(key, "told", words, places, "m: from left, from bottom edge", "room under a palm: from memory")


def _landings(limb: BenchLimb, pose: LimbPose, contact: Contact, carried: Carried, body: Body) -> Iterator[Item]:
    """Where elbow and shoulder come to be, told from the prop, and whether the shoulder is where it must be."""
    for joint, at in (("elbow", pose.elbow), ("shoulder", pose.shoulder)):
        away = carried.placement.inverse().points(at) - contact.wall.middle
        spot = spot_on(contact.wall, float(away @ contact.wall.across), float(away @ contact.wall.up))
        out = float(away @ contact.wall.outward)
        words = (
            f"'{limb.name}': the middle of its {joint} lands {millimetres(abs(out))} {'out' if out >= 0 else 'in'} from the plane of "
            f"the {contact.name} wall, {millimetres(spot.from_left_m)} from its left and {millimetres(spot.from_bottom_m)} from its bottom "
            "edge (less than nothing is beyond the edge)"
        )
        if joint == "elbow":
            yield Item(
                f"{limb.name}: elbow lands", "told", words + ".", [out, spot.from_left_m, spot.from_bottom_m], "m"
            )
            continue
        far = float(np.linalg.norm(shoulder_off(pose, limb.side, body)[0]))
        words += f": {millimetres(far)} from the performer's shoulder ({SHOULDER_M * 1000:.0f} mm pass)."
        yield Item(
            f"{limb.name}: shoulder lands", graded(far, SHOULDER_M), words, far, "m", "common practice, no source"
        )  # fmt: skip


def levers_of(pose: LimbPose, wall: Wall, at: FloatArray, carried: Carried) -> dict[str, Lever]:
    """The levers of wrist, elbow and shoulder about a place (across, up) of a wall: midway between the screws."""
    pivot = carried.placement.points(wall.point(*at))
    outward, across = carried.placement.directions(wall.outward), carried.placement.directions(wall.across)
    joints = {"wrist": pose.wrist, "elbow": pose.elbow, "shoulder": pose.shoulder}
    return {name: lever(name, joint, pivot, outward, across) for name, joint in joints.items()}


def _held_item(limb: BenchLimb, pose: LimbPose, carried: Carried) -> Item:
    """What the false shoulder does when the prop itself is held a degree otherwise."""
    away = carried.placement.inverse().points(pose.shoulder)
    tilt, turn = (float(np.radians(1.0) * np.hypot(*away[list(axes)]) * 1000) for axes in ((1, 2), (0, 1)))
    words = (
        f"'{limb.name}': it goes with the prop: for each degree that the prop is tilted about its middle otherwise than "
        f"planned its shoulder moves {tilt:.1f} mm, for each degree that it is turned {turn:.1f} mm."
    )
    return Item(f"{limb.name}: prop held", "told", words, [tilt, turn], "mm per deg", "rigid-body lever")


def _lever_items(limb: BenchLimb, levers: dict[str, Lever], apart_m: float | None) -> Iterator[Item]:
    for name, arm in levers.items():
        words = (
            f"'{limb.name}': for each mm that the mount is off its place the {name} is off 1 mm; for each degree that it is "
            f"turned on the wall {arm.turn_m_per_deg() * 1000:.1f} mm; for each degree that the palm is not flat "
            f"{arm.tilt_m_per_deg() * 1000:.1f} mm."
        )
        figures = [1.0, arm.turn_m_per_deg() * 1000, arm.tilt_m_per_deg() * 1000]
        yield Item(f"{limb.name}: {name} moves", "told", words, figures, "mm per mm, mm per deg, mm per deg")
    far = levers["shoulder"]
    turn, tilt = allowed_deg(SHOULDER_M, far.turn_m), allowed_deg(SHOULDER_M, far.tilt_m)
    words = (
        f"'{limb.name}': to keep its shoulder within {SHOULDER_M * 1000:.0f} mm of the performer's, by one error alone: the "
        f"mount {SHOULDER_M * 1000:.0f} mm off, turned {turn:.1f} deg, or the palm {tilt:.1f} deg from flat."
    )
    yield Item(f"{limb.name}: mount tolerance", "told", words, [turn, tilt], "deg: turn, tilt", "rigid-body lever")
    if apart_m is None:
        return
    each = screw_tolerance_m(SHOULDER_M, far.turn_m, apart_m)
    state: State = "yes" if each >= DRILL_M else "warn"
    words = f"'{limb.name}': with both screws off at once, each may be {each * 1000:.1f} mm off its place"
    if state == "warn":
        words += (
            f", which no tape keeps ({DRILL_M * 1000:.0f} mm). Drive the one nearer the wrist, hold the shoulder on its mark, "
            "and only then drill for the other"
        )
    yield Item(f"{limb.name}: screw tolerance", state, words + ".", each, "m", "rigid-body lever")


def _own_lengths(limb: BenchLimb, carried: Carried, body: Body) -> Iterator[Item]:
    """For an arm that was stretched to its bend: where the hand must be for the performer's own lengths to do."""
    if limb.arm is None or limb.written.hand_at is None:
        return
    key, scale = f"{limb.name}: own lengths", limb.arm.scale
    if abs(scale - 1.0) <= SAME_SHARE:
        yield Item(key, "yes", f"'{limb.name}': an arm of the performer's own lengths lands here.", scale)
        return
    found = landing_spot(limb.arm, limb.written.hand_at, carried, body)
    words = (
        f"'{limb.name}': at this bend the arm is {abs(scale - 1) * 100:.1f} % {'longer' if scale > 1 else 'shorter'} than the "
        "performer's own."
    )
    name = limb.written.hand_at.wall
    if found is None:
        words += f" No place on the {name} wall lets one of the own lengths land; change the bend or move the prop."
        yield Item(key, "warn", words, scale)
        return
    spot = spot_on(wall_of(carried.size_m, name), *found)
    across, up = (f"{value * 1000:.0f} mm" for value in found)
    words += (
        f" One of the own lengths lands with the hand {spot.words}: hand at: {{wall: {name}, at: [{across}, {up}]}}."
    )
    yield Item(key, "warn", words, [float(found[0]), float(found[1])], "m: across, up from the wall's middle")


def _strap(bench: Bench, limb: BenchLimb, pose: LimbPose, body: Body) -> Item:
    """Where the limb's upper end is tied to the performer, in tape terms."""
    shoulder = body.shoulder(limb.side)
    straps = [part.strap.name for part in bench.scene.rig if part.strap and part.strap.over == limb.side]
    on = f" to '{straps[0]}', which runs over this shoulder" if straps else ""
    words = (
        f"'{limb.name}': tie its upper end at the performer's {limb.side} shoulder{on}, {millimetres(abs(float(shoulder[0])))} from "
        f"the middle of the body and {millimetres(float(shoulder[2]))} above the floor in shoes, by a breakaway on a pad: over the top "
        "of the shoulder, not on the collarbone or through the armpit."
    )
    if not straps:
        words += f" The rig has no strap over the {limb.side} shoulder to tie it to."
    return Item(f"{limb.name}: strap point", "told", words, [float(v) for v in shoulder], "m: left, back, up")
