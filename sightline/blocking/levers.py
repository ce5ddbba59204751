"""What can be changed about a scene: every kind of change, how far it may go, what it costs, how it is written.

A lever has sizes; each size is a Change: edits of the scene's text. What `advise` tries is the edited text itself,
read and staged anew, so that what it prints is what it will write.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from sightline.blocking.notation import feet
from sightline.scene.editing import Edit
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.units import printed_angle, printed_length

# How far each kind of change is searched: stated with the results. Common practice, no source.
MOST_TURN_DEG, MOST_CROSS_M, MOST_RAISE_M, MOST_SLIDE_M, MOST_TILT_DEG = 45.0, 1.0, 0.12, 0.10, 12.0
MOST_FLAP_M, MOST_CUFF_M, MOST_DRAPE_M, MOST_CAPE_M, MOST_BEND_DEG = 0.20, 0.15, 0.60, 0.10, 30.0
SMALLER_OPENING_M = 0.03
# How exactly sizes are found.
ANGLE_TOLERANCE_DEG, LENGTH_TOLERANCE_M = 0.1, 0.002
# A lip on the back stands this steeply out towards the performer, so that it does not touch them.
LIP_ANGLE_DEG = 75.0


@dataclass(frozen=True)
class Change:
    """One change of one size: `cost` in points, `words` as a builder or stage manager would say it.

    `mark_m` is where the performer then stands, `footprint_m` (n, 2) the floor that new scenery takes, where either is
    changed. `kind` is the lever's, as a search can be kept to; empty where it is called as the lever itself.
    """

    lever: str
    size: float
    cost: float
    words: str
    edits: tuple[Edit, ...]
    mark_m: tuple[float, float] | None = None
    footprint_m: tuple[tuple[float, float], ...] | None = None
    kind: str = ""


@dataclass(frozen=True)
class Lever:
    """A kind of change. `make` gives the change of a size, from nothing to `most`; `whole` ones have but one size.

    `fine` is how exactly a size is found, in m or deg. `places` is true for turn and cross, which leave the act itself as it is.
    """

    name: str
    kind: str
    most: float
    make: Callable[[float], Change]
    whole: bool = False
    places: bool = False
    fine: float = LENGTH_TOLERANCE_M

    def full(self) -> Change:
        return self.make(self.most)


def levers(written: Written[Scene], elbows_deg: Sequence[float] = ()) -> list[Lever]:
    """Every lever that this scene has, in an order of their own, but for turn and cross.

    `elbows_deg`: how the false arms that are built from sizes are bent now, in their order.
    """
    found = [
        *_attitude(written), *_flaps(written), *_cloth(written), *_seams(written, elbows_deg), *_prop(written), *_pose(written),
        *_setting(written),
    ]  # fmt: skip
    return [replace(lever, make=_of_kind(lever)) for lever in found]


def _of_kind(lever: Lever) -> Callable[[float], Change]:
    """What the lever makes, with its kind written on it."""
    return lambda size: replace(lever.make(size), kind=lever.kind)


def turn_to(written: Written[Scene], facing_rad: float, turn_rad: float) -> Change:
    """Turn on the mark by an angle, positive to the performer's left."""
    size = abs(math.degrees(turn_rad))
    # By the performer's own side: which side of the stage that is depends on the way they face.
    said = f"turn {size:.1f} deg to the performer's own {'left' if turn_rad > 0 else 'right'}"
    value = printed_angle(math.degrees(facing_rad + turn_rad))
    return Change("turn", size, written.model.cost.turn_per_deg * size, said, (Edit(("blocking", "facing"), value),))


def cross_to(written: Written[Scene], mark_m: tuple[float, float], step_m: tuple[float, float]) -> Change:
    """Cross by (dx, dy): a new mark."""
    size = math.hypot(*step_m)
    parts = []
    if abs(step_m[0]) >= 0.0005:
        side = "stage left (house right)" if step_m[0] > 0 else "stage right (house left)"
        parts.append(f"{abs(step_m[0]):.3f} m ({feet(abs(step_m[0]))}) to {side}")
    if abs(step_m[1]) >= 0.0005:
        way = "upstage" if step_m[1] > 0 else "downstage"
        parts.append(f"{abs(step_m[1]):.3f} m ({feet(abs(step_m[1]))}) {way}")
    there = (mark_m[0] + step_m[0], mark_m[1] + step_m[1])
    value = f"[{printed_length(there[0])}, {printed_length(there[1])}]"
    cost = written.model.cost.cross_per_cm * size * 100
    return Change("cross", size, cost, "X " + ", ".join(parts), (Edit(("blocking", "mark"), value),), mark_m=there)


def turnable(written: Written[Scene]) -> bool:
    """Whether the facing is said as an angle or not at all: one that is aimed at a seat turns with the mark."""
    blocking = written.model.blocking
    return blocking.aim_at is None and not blocking.beats


def _attitude(written: Written[Scene]) -> Iterator[Lever]:
    prop, cost = written.model.prop, written.model.cost
    if prop is None or prop.at.up is None:
        return
    at = prop.at
    up = prop.at.up

    def number(key: str, base: float, sign: float, per_cm: float, words: str) -> Callable[[float], Change]:
        def make(size: float) -> Change:
            said = f"{words} {size * 100:.1f} cm ({feet(size)})"
            edit = Edit(("prop", "at", key), printed_length(base + sign * size))
            return Change(f"{words}", size, per_cm * size * 100, said, (edit,))

        return make

    yield Lever("raise", "raise", MOST_RAISE_M, number("up", up, 1, cost.raise_per_cm, "raise the prop"))
    yield Lever("lower", "lower", MOST_RAISE_M, number("up", up, -1, cost.raise_per_cm, "lower the prop"))
    slide = cost.slide_per_cm
    yield Lever("slide nearer", "slide", MOST_SLIDE_M, number("ahead", at.ahead, -1, slide, "hold the prop nearer by"))
    yield Lever("slide out", "slide", MOST_SLIDE_M, number("ahead", at.ahead, 1, slide, "hold the prop further out by"))
    for sign, side in ((1, "left"), (-1, "right")):
        words = f"slide the prop to the performer's {side} by"
        yield Lever(f"slide {side}", "slide", MOST_SLIDE_M, number("left", at.left, sign, slide, words))
    tilt = math.degrees(at.tilt or 0.0)
    for sign, words in ((1, "drop the front edge"), (-1, "lift the front edge")):

        def make(size: float, sign: int = sign, words: str = words) -> Change:
            edit = Edit(("prop", "at", "tilt"), printed_angle(tilt + sign * size))
            return Change(words, size, cost.tilt_per_deg * size, f"{words} by {size:.1f} deg", (edit,))

        yield Lever(f"tilt {'down' if sign > 0 else 'up'}", "tilt", MOST_TILT_DEG, make, fine=ANGLE_TOLERANCE_DEG)


def _flaps(written: Written[Scene]) -> Iterator[Lever]:
    """Lips: steep ones round the back wall, towards the performer; upright ones on the top edges of an open box."""
    scene = written.model
    if scene.prop is None or scene.performer is None:
        return
    box = scene.prop.box
    if box is None:
        return
    spans = {"top": box.width, "bottom": box.width, "left": box.height, "right": box.height}
    wanted = [("back", edge, LIP_ANGLE_DEG, spans[edge]) for edge in ("top", "left", "right", "bottom")]
    wanted += [(wall, "top", 0.0, box.width if wall in ("front", "back") else box.depth) for wall in _WALLS]
    for wall, edge, angle, span in wanted:
        name = f"{edge} lip" if angle else f"{wall} rim"
        if name in _names(scene):
            continue

        def make(
            size: float, name: str = name, wall: str = wall, edge: str = edge, angle: float = angle, span: float = span
        ) -> Change:
            item = f"flap: {{name: {name}, wall: {wall}, edge: {edge}, width: {printed_length(span)}, "
            item += f"length: {printed_length(size)}, angle: {printed_angle(angle)}}}"
            where = f"{edge} edge of the {wall} wall" + (f", {angle:g} deg out" if angle else ", straight on")
            said = f"a lip {size * 100:.1f} cm ({feet(size)}) long on the {where}"
            cost = scene.cost.flap_per_cm * size * 100
            return Change(name, size, cost, said, (Edit(("costume",), f"{{{item}}}", append=True),))

        yield Lever(name, "flap", MOST_FLAP_M, make)


_WALLS = ("front", "back", "left", "right")


def _cloth(written: Written[Scene]) -> Iterator[Lever]:
    scene = written.model
    if scene.performer is None:
        return
    cost, names = scene.cost, _names(scene)
    if "cape" not in names and scene.performer.mesh is None:

        def cape(size: float) -> Change:
            item = f"{{shirt: {{name: cape, ease: {printed_length(size)}}}}}"
            said = f"a cape over the shoulders, {size * 100:.1f} cm ({feet(size)}) of ease"
            return Change("cape", size, cost.cape_per_cm * size * 100, said, (Edit(("costume",), item, append=True),))

        yield Lever("cape", "drape", MOST_CAPE_M, cape)
    box = scene.prop.box if scene.prop else None
    if box is None or scene.prop is None:
        return
    if scene.prop.openings and not any(part.cuff for part in scene.costume):

        def cuff(size: float) -> Change:
            item = f"{{cuff: {{length: {printed_length(size)}, flare: 5 cm}}}}"
            said = f"a cloth tunnel {size * 100:.1f} cm ({feet(size)}) long round the arm at its opening"
            return Change("cuff", size, cost.cuff_per_cm * size * 100, said, (Edit(("costume",), item, append=True),))

        yield Lever("cuff", "sleeve", MOST_CUFF_M, cuff)
    for wall in ("back", "left", "right"):
        name = f"{wall} drape"
        if name in names:
            continue
        span = box.width if wall == "back" else box.depth

        def drape(size: float, name: str = name, wall: str = wall, span: float = span) -> Change:
            item = f"{{drape: {{name: {name}, wall: {wall}, edge: bottom, width: {printed_length(span)}, "
            item += f"drop: {printed_length(size)}}}}}"
            said = f"a drape {size * 100:.0f} cm ({feet(size)}) deep under the {wall} wall"
            return Change(name, size, cost.drape_per_cm * size * 100, said, (Edit(("costume",), item, append=True),))

        yield Lever(name, "drape", MOST_DRAPE_M, drape)


def _seams(written: Written[Scene], elbows_deg: Sequence[float]) -> Iterator[Lever]:
    """A longer sleeve over the false arm, and seams that ring it moved up under the sleeve."""
    scene = written.model
    arms = [i for i, limb in enumerate(scene.false_limbs) if limb.mesh is None]
    if not arms:
        return
    sleeves = [i for i, part in enumerate(scene.costume) if part.sleeve and part.sleeve.on == "false arm"]
    short = [i for i in sleeves if (part := scene.costume[i].sleeve) is not None and part.end < 1.0]
    if not sleeves or short:
        edits = (
            (Edit(("costume", short[0], "sleeve", "to"), "1.0"),)
            if short
            else (Edit(("costume",), "{sleeve: {on: false arm}}", append=True),)
        )
        said = "a sleeve over the false arm down to the hand"
        yield _whole("sleeve", "sleeve", Change("sleeve", 1.0, scene.cost.sleeve, said, edits))
    moved, words = [], []
    for i in arms:
        for j, seam in enumerate(scene.false_limbs[i].seams):
            if seam.ring is not None and seam.ring > 0.65:
                moved.append(Edit(("false limbs", i, "seams", j, "ring"), "0.6"))
                words.append(f"the {seam.name}")
    if moved:
        said = f"{' and '.join(words)} moved up the arm, to 0.6 of the way from the shoulder, under the sleeve"
        yield _whole("seam", "sleeve", Change("seam", 1.0, scene.cost.seam * len(moved), said, tuple(moved)))
    for i, now in zip(arms, elbows_deg, strict=False):
        if scene.false_limbs[i].shoulder_to_wrist is not None:
            continue  # its tape measure says the bend
        for sign, word in ((-1, "straighten"), (1, "bend")):
            if sign < 0 and now < MOST_BEND_DEG + 1.0:
                continue  # it is as good as straight

            def bend(size: float, i: int = i, sign: int = sign, word: str = word, now: float = now) -> Change:
                edit = Edit(("false limbs", i, "elbow"), printed_angle(now + sign * size))
                said = f"{word} the false elbow by {size:.0f} deg, to a bend of {now + sign * size:.0f} deg"
                return Change(f"{word} elbow", size, scene.cost.bend_per_deg * size, said, (edit,))

            yield Lever(f"{word} elbow", "bend", MOST_BEND_DEG, bend, fine=ANGLE_TOLERANCE_DEG)


def _prop(written: Written[Scene]) -> Iterator[Lever]:
    scene = written.model
    prop = scene.prop
    if prop is None or prop.box is None:
        return
    if prop.box.top == "open":
        edits, said = [Edit(("prop", "box", "top"), "closed")], "a lid on the box"
        if scene.puppet is not None:
            # The puppet comes out of the lid: a hole as wide as it, over the grip.
            wide, deep = 0.65 * scene.puppet.height, 0.45 * scene.puppet.height
            x, y, _ = scene.puppet.grip
            item = f"{{wall: top, shape: rectangle, width: {printed_length(wide)}, height: {printed_length(deep)}, "
            item += f"at: [{printed_length(x)}, {printed_length(y)}], for: puppet}}"
            edits.append(Edit(("prop", "openings"), item, append=True))
            said += f" with a hole of {wide * 100:.0f} x {deep * 100:.0f} cm for the {scene.puppet.name}"
        yield _whole("lid", "flap", Change("lid", 1.0, scene.cost.lid, said, tuple(edits)))
    for i, opening in enumerate(prop.openings):
        if opening.wall == "back" and opening.diameter is not None:
            now = opening.diameter

            def smaller(size: float, i: int = i, now: float = now) -> Change:
                edit = Edit(("prop", "openings", i, "diameter"), printed_length(now - size))
                said = f"the opening in the back smaller by {size * 100:.1f} cm, {100 * (now - size):.1f} cm across"
                return Change("opening", size, scene.cost.opening_per_cm * size * 100, said, (edit,))

            if now > 2 * SMALLER_OPENING_M:
                yield Lever("opening", "flap", SMALLER_OPENING_M, smaller)


def _pose(written: Written[Scene]) -> Iterator[Lever]:
    scene = written.model
    if scene.performer is None or not scene.performer.hide or scene.pose.hidden_elbow is not None:
        return
    said = "the hidden elbow kept straight below, whatever the puppet does (rehearse it)"
    change = Change("elbow", 1.0, scene.cost.elbow_held, said, (Edit(("pose", "hidden elbow"), "0 deg"),))
    yield _whole("elbow", "bend", change)


def _setting(written: Written[Scene]) -> Iterator[Lever]:
    """Flats beside and behind the mark, as tall as a person: 2.4 m, 0.8 m from it, square to the plaster line."""
    scene = written.model
    x, y = scene.blocking.mark
    names = {piece.name for piece in scene.venue.scenery} if scene.venue else set()
    for side, name in ((1.0, "flat SL"), (-1.0, "flat SR")):
        if name in names:
            continue

        def flat(size: float, side: float = side, name: str = name) -> Change:
            item = f"{{name: {name}, flat: {{width: {printed_length(size)}, height: 2.4 m}}, facing: 90 deg, "
            item += f"at: [{printed_length(x + side * 1.2)}, {printed_length(y)}, 0 m]}}"
            where = "stage left (house right)" if side > 0 else "stage right (house left)"
            said = f"a masking flat {size:.2f} m ({feet(size)}) deep, 1.2 m to {where} of the mark"
            cost = scene.cost.masking_per_cm * size * 100
            foot = ((x + side * 1.2, y - size / 2), (x + side * 1.2, y + size / 2))
            return Change(name, size, cost, said, (Edit(("venue", "scenery"), item, append=True),), footprint_m=foot)

        yield Lever(name, "masking", 1.5, flat)
    if "wall behind" not in names:
        item = f"{{name: wall behind, flat: {{width: 4 m, height: 2.4 m}}, at: [{printed_length(x)}, "
        item += f"{printed_length(y + 0.6)}, 0 m]}}"
        said = "stand at a wall: 4 m wide and 2.4 m high, 0.6 m behind the mark"
        edit = Edit(("venue", "scenery"), item, append=True)
        foot = ((x - 2.0, y + 0.6), (x + 2.0, y + 0.6))
        yield _whole("wall", "wall", Change("wall", 1.0, scene.cost.wall, said, (edit,), footprint_m=foot))


def _whole(name: str, kind: str, change: Change) -> Lever:
    return Lever(name, kind, 1.0, lambda _: change, whole=True)


def _names(scene: Scene) -> set[str]:
    return {
        str(part.name)
        for entry in scene.costume
        for part in (entry.sleeve, entry.shirt, entry.drape, entry.flap, entry.cuff, entry.mesh)
        if part is not None
    }
