"""Where prop, plate, opening and mounts must go for another body: the changes of a scene that a recast needs.

The prop is set so that what the hands hold lies from the shoulder as it did, in arm lengths: by the published
fractions a body of twice the stature holds it twice as high above its soles. What is built is moved only where
the new body cannot do with it as it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.props.box import spot_point, wall_of
from sightline.scene.editing import Edit, edited
from sightline.scene.prop import Opening
from sightline.scene.reading import Written, scene_from_text
from sightline.scene.scene import Scene
from sightline.staging.body import Body
from sightline.units import printed_length
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.grips import GripReach, grips
from sightline.workshop.landing import landing_spot
from sightline.workshop.openings import crossings
from sightline.workshop.recastrows import least_opening_m

# What a strap, a plate or a saw is set to: nearer than this nothing is moved. Common practice, no source.
SET_M = 0.005
# A hole is not cut larger for less than this. Common practice, no source.
CUT_M = 0.001
# Kept between the back wall and a fuller body. Common practice, no source.
BELLY_M = 0.010
# A false arm built this near to the old share of the real lengths keeps its mount. Common practice, no source.
SAME_SCALE = 0.01
# The hole follows the arm in at most so many looks.
LOOKS = 3


@dataclass(frozen=True)
class Shift:
    """How far the prop goes for the new body, metres, performer's frame: ahead and up."""

    ahead_m: float = 0.0
    up_m: float = 0.0


def reread(written: Written[Scene], text: str) -> Written[Scene]:
    return scene_from_text(text, written.document.file, written.folder, written.root)


def held_points(bench: Bench) -> FloatArray:
    """What hands hold on or in the prop, (n, 3) m from its middle along the performer's axes."""
    scene, carried = bench.scene, bench.carried
    assert carried is not None
    points = [spot_point(carried.size_m, limb.hand_at)[0] for limb in scene.false_limbs if limb.hand_at is not None]
    if scene.puppet is not None:
        points.append(np.array(scene.puppet.grip))
    found = np.array(points or [np.zeros(3)], dtype=float)
    return carried.placement.directions(found)


def prop_shift(bench: Bench, new: Body) -> Shift:
    """How far the prop moves so that hands and shoulder line up as before, in arm lengths."""
    old, carried = bench.body, bench.carried
    if old is None or carried is None:
        return Shift()
    side = old.hidden or "left"
    held = carried.middle + held_points(bench).mean(axis=0)
    before, after = old.shoulder(side), new.shoulder(side)
    moved = after + new.sheet.arm_m / old.sheet.arm_m * (held - before) - held
    ahead, up = -float(moved[1]), float(moved[2])
    # A fuller body must not be met by the back wall where there was room before.
    fuller = (_front_m(new) - _front_m(old)) if new.sheet != old.sheet else 0.0
    back = float(-(carried.placement.points([0.0, carried.size_m[1] / 2, 0.0]))[1])
    if back - _front_m(old) >= BELLY_M:
        ahead = max(ahead, fuller + BELLY_M - (back - _front_m(old)))
    return Shift(round(ahead, 3) if abs(ahead) >= SET_M else 0.0, round(up, 3) if abs(up) >= SET_M else 0.0)


def _front_m(body: Body) -> float:
    """How far the trunk stands out ahead of the mark, metres."""
    return max(body.sheet.chest_depth_m, body.sheet.waist_depth_m) / 2


def prop_edits(scene: Scene, shift: Shift) -> Iterator[Edit]:
    """The prop's own place, and every beat that says another."""
    if scene.prop is None:
        return
    at = scene.prop.at
    if shift.ahead_m:
        yield Edit(("prop", "at", "ahead"), printed_length(at.ahead + shift.ahead_m))
    if shift.up_m:
        for key in ("up", "front_edge", "back_edge"):
            value = getattr(at, key)
            if value is not None:
                yield Edit(("prop", "at", key.replace("_", " ")), printed_length(value + shift.up_m))
    for i, beat in enumerate(scene.blocking.beats):
        for key, by in (("ahead", shift.ahead_m), ("up", shift.up_m)):
            value = getattr(beat.prop, key) if beat.prop is not None else None
            if value is not None and by:
                yield Edit(("blocking", "beats", i, "prop", key), printed_length(value + by))


def plate_edits(bench: Bench, new: Body, shift: Shift) -> Iterator[Edit]:
    """The plate keeps its place under the hook, or without one at the waist."""
    old = bench.body
    assert old is not None
    hooked = any(part.hook is not None for part in bench.scene.rig)
    rise = waist_m(new) - waist_m(old)
    for i, part in enumerate(bench.scene.rig):
        if part.plate is None:
            continue
        wanted = (part.plate.up or waist_m(old)) + (shift.up_m if hooked else rise)
        by_itself = part.plate.up if part.plate.up is not None else waist_m(new)
        if abs(wanted - by_itself) >= SET_M:
            yield Edit(("rig", i, "plate", "up"), printed_length(round(wanted, 3)))


def waist_m(body: Body) -> float:
    """Where straps end and a plate hangs that says nothing else: midway between hip and shoulder, shoes on."""
    return (body.sheet.hip_height_m + body.sheet.shoulder_height_m) / 2 + body.skeleton.shoe_m


def tape_edits(bench: Bench, new: Body) -> Iterator[Edit]:
    """A false arm that was given by a tape from shoulder to wrist: the same share of the new arm."""
    old = bench.body
    assert old is not None
    times = new.sheet.arm_m / old.sheet.arm_m
    for i, limb in enumerate(bench.scene.false_limbs):
        tape = limb.shoulder_to_wrist
        if tape is not None and abs(tape * (times - 1.0)) >= CUT_M:
            yield Edit(("false limbs", i, "shoulder to wrist"), printed_length(round(tape * times, 3)))


def size_text(bench: Bench, new: Body, text: str) -> str:
    """The text with the hole cut larger where the new hand or arm asks for it; one that does stays as it is cut.

    It is as large as hand and arm need with all allowances, and as the moves need where the arm pressed no edge before.
    """
    found = bench.arm_opening
    if found is None or bench.body is None:
        return text
    i, opening = found
    after = _try(bench, text)
    before = least_opening_m(bench, opening.shape)
    need = least_opening_m(after, opening.shape) if after else least_opening_m(bench, opening.shape, new.sheet)
    press = 0.0
    if after is not None:
        had, has = (_edge_m(grips(b)) for b in (bench, after))
        if had is not None and has is not None and has < min(had, 0.0):
            # On both sides of the arm, and to spare what a saw is good for.
            press = 2 * (min(max(had, 0.0), SET_M) - has)
    wide, high = opening.size_m
    sides = {"diameter": (wide, 0)} if opening.diameter is not None else {
        "width": (wide, 0 if wide >= high else 1), "height": (high, 1 if wide >= high else 0)
    }  # fmt: skip
    edits = []
    for key, (have, k) in sides.items():
        wanted = max(need[k] if need[k] > before[k] + CUT_M else have, have + press)
        if wanted > have + CUT_M:
            edits.append(Edit(("prop", "openings", i, key), printed_length(_up_to_mm(wanted))))
    return edited(text, edits)


def _edge_m(found: Sequence[GripReach]) -> float | None:
    """The least clearance of the arm to its opening's edge over all moves, metres; less than nothing presses."""
    edges = [grip.best.edge.distance_m for grip in found if grip.best is not None and grip.best.edge is not None]
    return min(edges) if edges else None


def _up_to_mm(value_m: float) -> float:
    return float(np.ceil(value_m * 1000 - 1e-6)) / 1000


def hole_text(bench: Bench, new: Body, text: str) -> str:
    """The text with the arm's opening round the new arm, where it does not do as it is; unchanged where it does."""
    found = bench.arm_opening
    if found is None or not bench.hidden:
        return text
    before = grips(bench)
    staged = _try(bench, text)
    if staged is not None and _as_roomy(before, grips(staged)):
        return text
    i, opening = found
    base = reread(bench.written, text)
    at = np.array(opening.at, dtype=float) + _line_shift(bench, new, base, opening)
    for _ in range(LOOKS):
        moved = _hole_at(text, i, at)
        staged = _try(bench, moved)
        if staged is None:
            # Not for want of a hole: something else is out of reach.
            return text
        off = _middle(grips(staged)) - _middle(before)
        if float(np.hypot(*off)) < SET_M:
            return moved
        at = at + off
    return _hole_at(text, i, at)


def _hole_at(text: str, i: int, at: FloatArray) -> str:
    place = ", ".join(printed_length(round(float(v), 3)) for v in at)
    return edited(text, [Edit(("prop", "openings", i, "at"), f"[{place}]")])


def _try(bench: Bench, text: str) -> Bench | None:
    try:
        return bench_of(reread(bench.written, text))
    except SightlineError:
        return None


def _as_roomy(before: Sequence[GripReach], after: Sequence[GripReach]) -> bool:
    """Whether every move that was reached still is, and the arm clears the edge as it did, to what a saw is good for."""
    now = {grip.move: grip for grip in after}
    for grip in before:
        if grip.best is None:
            continue
        best = now[grip.move].best if grip.move in now else None
        if best is None:
            return False
        if grip.best.edge is not None and best.edge is not None:
            least = min(grip.best.edge.distance_m, SET_M)
            if best.edge.distance_m < least - CUT_M:
                return False
    return True


def _middle(found: Sequence[GripReach]) -> FloatArray:
    """The middle of where all moves cross the wall, from the opening's middle (2,); nothing where none does."""
    at = crossings(list(found))
    return (at.min(axis=0) + at.max(axis=0)) / 2 if len(at) else np.zeros(2)


def _line_shift(bench: Bench, new: Body, moved: Written[Scene], opening: Opening) -> FloatArray:
    """How far the straight line from shoulder to grip crosses the opening's wall elsewhere (across, up), m."""
    from sightline.props.box import prop_placement

    old, carried, scene = bench.body, bench.carried, moved.model
    assert old is not None
    assert carried is not None
    assert scene.prop is not None
    assert scene.puppet is not None
    side = old.hidden or "left"
    wall = wall_of(carried.size_m, opening.wall)
    spots = []
    for body, placed in ((old, carried.placement), (new, prop_placement(scene.prop.at, carried.size_m))):
        start, end = placed.inverse().points(body.shoulder(side)), np.array(scene.puppet.grip, dtype=float)
        over, under = float((start - wall.middle) @ wall.outward), float((end - wall.middle) @ wall.outward)
        share = over / (over - under) if over - under > 1e-6 else 0.5
        at = start + share * (end - start) - wall.middle
        spots.append(np.array([at @ wall.across, at @ wall.up]))
    return np.asarray(spots[1] - spots[0])


def mount_text(bench: Bench, text: str) -> str:
    """The text with the false hands where arms of the new lengths land at the bend that the scene says."""
    after = _try(bench, text)
    if after is None or after.carried is None or after.body is None:
        return text
    scales = {arm.name: arm.scale for arm in bench.false_arms}
    for i, limb in enumerate(after.scene.false_limbs):
        arm = next((a for a in after.false_arms if a.name == (limb.name or f"false {limb.replaces}")), None)
        if arm is None or limb.elbow is None or limb.hand_at is None or arm.name not in scales:
            continue
        if abs(arm.scale / scales[arm.name] - 1.0) <= SAME_SCALE:
            continue
        spot = landing_spot(replace(arm, scale=arm.scale / scales[arm.name]), limb.hand_at, after.carried, after.body)
        if spot is not None and float(np.linalg.norm(spot - np.array(limb.hand_at.at))) >= SET_M:
            place = ", ".join(printed_length(round(float(v), 3)) for v in spot)
            text = edited(text, [Edit(("false limbs", i, "hand at", "at"), f"[{place}]")])
    return text
