"""Every size of a scene that a tape can take at the bench, and how it is measured: the lines of the as-built sheet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sightline.figure.measures import MEASURES
from sightline.props.box import opening_names
from sightline.scene.document import KeyPath, path_words
from sightline.scene.shapes import Shape
from sightline.workshop.asbuiltsize import Size, Teller, arm_of, edges_m, sleeved_m, spots_of, straight_m
from sightline.workshop.bench import Bench


def sizes_of(bench: Bench) -> list[Size]:
    """All sizes, in the order in which somebody with a tape comes by them."""
    tell = Teller(bench)
    return [
        *_box(bench, tell), *_openings(bench, tell), *_held(bench, tell), *_limbs(bench, tell), *_costume(bench, tell),
        *_rig(bench, tell), *_puppet(bench, tell), *_performer(bench, tell), *_mark(bench, tell), *_shapes(bench, tell),
    ]  # fmt: skip


def _box(bench: Bench, tell: Teller) -> Iterator[Size]:
    box = bench.box
    if box is None or bench.prop is None:
        return
    group, at = f"{bench.prop.name}: the box itself, outside sizes", ("prop", "box")
    yield tell.of((*at, "width"), "length", box.width, "left wall to right wall", group)
    yield tell.of((*at, "depth"), "length", box.depth, "front wall to back wall", group)
    yield tell.of((*at, "height"), "length", box.height, "bottom to top, without a lip", group)
    yield tell.of((*at, "wall"), "length", box.wall, "thickness of a wall, at a cut edge", group)


def _openings(bench: Bench, tell: Teller) -> Iterator[Size]:
    if bench.box is None or bench.prop is None:
        return
    spots = {path: (spot, what) for path, spot, what in spots_of(bench)}
    for i, (opening, name) in enumerate(zip(bench.prop.openings, opening_names(bench.prop.openings), strict=True)):
        group, at = f"{name}: {opening.shape}, in the {opening.wall} wall", ("prop", "openings", i)
        if opening.diameter is not None:
            yield tell.of((*at, "diameter"), "length", opening.diameter, "at its widest", group)
        else:
            yield tell.of((*at, "width"), "length", opening.width or 0.0, "along the wall", group)
            yield tell.of((*at, "height"), "length", opening.height or 0.0, "up the wall, or front to back", group)
        yield from tell.spot(at, *spots[at], group)


def _held(bench: Bench, tell: Teller) -> Iterator[Size]:
    if bench.prop is None or bench.carried is None:
        return
    at, group = bench.prop.at, f"{bench.prop.name}: as it is held on the mark; both edges or neither"
    path = ("prop", "at")
    front, back = edges_m(bench)
    floor = "floor to the bottom edge, plumb, at its middle"
    if at.front_edge is not None and at.back_edge is not None:
        yield tell.of((*path, "front edge"), "length", at.front_edge, f"front: {floor}", group)
        yield tell.of((*path, "back edge"), "length", at.back_edge, f"back: {floor}", group)
    else:
        yield tell.worked_out("prop.at.front edge", "length", front, f"front: {floor}", group)
        yield tell.worked_out("prop.at.back edge", "length", back, f"back: {floor}", group)
    yield tell.of((*path, "ahead"), "offset", at.ahead, "mark to the box's middle, ahead along the floor", group)
    yield tell.of((*path, "left"), "offset", at.left, "mark to the box's middle, to the performer's left", group)
    if at.turn:
        yield tell.of((*path, "turn"), "angle", at.turn, "turned to the performer's left", group)


def _limbs(bench: Bench, tell: Teller) -> Iterator[Size]:
    spots = {path: (spot, what) for path, spot, what in spots_of(bench)}
    for i, limb in enumerate(bench.scene.false_limbs):
        arm, path = arm_of(bench, i), ("false limbs", i)
        if arm is None:
            continue
        group = f"{arm.name}, its hand on the box"
        if (*path, "hand at") in spots:
            yield from tell.spot((*path, "hand at"), *spots[(*path, "hand at")], group)
        how = "straight across, shoulder to wrist, as it is bent"
        yield tell.worked_out(f"{path_words(path)}.shoulder to wrist", "length", straight_m(arm), how, group)
        how = "how far the elbow stands outward from hanging straight below"
        yield tell.of((*path, "elbow out"), "angle", limb.elbow_out, how, group)
    if (held := ("pose", "visible hand")) in spots:
        yield from tell.spot(held, *spots[held], "the hand that is not hidden, on the box")


def _costume(bench: Bench, tell: Teller) -> Iterator[Size]:
    for i, entry in enumerate(bench.scene.costume):
        if (part := entry.sleeve) is not None:
            path, group, long = ("costume", i, "sleeve"), f"{part.name}, on the {part.on}", sleeved_m(bench, part.on)
            for end, share in (("from", part.start), ("to", part.end)):
                if long is not None and (end == "to" or share > 0):
                    how = f"along the arm, shoulder to where the sleeve {'ends' if end == 'to' else 'begins'}"
                    yield tell.worked_out(f"{path_words(path)}.{end}", "distance", share * long, how, group)
            yield tell.of((*path, "ease"), "length", part.ease, "how far the cloth stands off the arm", group)
        if (shirt := entry.shirt) is not None:
            path, group = ("costume", i, "shirt"), f"{shirt.name}, worn"
            yield tell.of((*path, "ease"), "length", shirt.ease, "how far the cloth stands off the body", group)
            if shirt.slot is not None:
                yield tell.of((*path, "slot", "width"), "length", shirt.slot.width, "the slit, across", group)
                yield tell.of((*path, "slot", "height"), "length", shirt.slot.height, "the slit, up", group)
        if (drape := entry.drape) is not None:
            path, group = ("costume", i, "drape"), f"{drape.name}, on the {drape.edge} edge of the {drape.wall} wall"
            yield tell.of((*path, "width"), "length", drape.width, "across, as it hangs", group)
            yield tell.of((*path, "drop"), "length", drape.drop, "edge down to the hem, as it hangs", group)
            yield tell.of((*path, "out"), "distance", drape.out, "how far it hangs off the wall", group)
            yield tell.of((*path, "across"), "offset", drape.across, "its middle from the wall's middle", group)
        if (flap := entry.flap) is not None:
            path, group = ("costume", i, "flap"), f"{flap.name}, on the {flap.edge} edge of the {flap.wall} wall"
            yield tell.of((*path, "width"), "length", flap.width, "along the edge", group)
            yield tell.of((*path, "length"), "length", flap.length, "how far it stands from the edge", group)
            yield tell.of((*path, "angle"), "angle", flap.angle, "0: carries the wall on; 90: square to it", group)
        if (cuff := entry.cuff) is not None:
            path, group = ("costume", i, "cuff"), f"{cuff.name}, on the opening"
            yield tell.of((*path, "length"), "length", cuff.length, "wall to its free end", group)
            yield tell.of((*path, "flare"), "distance", cuff.flare, "how much farther out it is at the free end", group)


def _rig(bench: Bench, tell: Teller) -> Iterator[Size]:
    spots = {path: (spot, what) for path, spot, what in spots_of(bench)}
    for i, part in enumerate(bench.scene.rig):
        if part.strap is not None:
            yield tell.of(("rig", i, "strap", "width"), "length", part.strap.width, "across", part.strap.name)
        if part.hook is not None:
            yield tell.of(("rig", i, "hook", "size"), "length", part.hook.size, "at its largest", part.hook.name)
        if (plate := part.plate) is not None:
            yield tell.of(("rig", i, "plate", "width"), "length", plate.width, "across", plate.name)
            yield tell.of(("rig", i, "plate", "height"), "length", plate.height, "up", plate.name)
            if plate.up is not None:
                yield tell.of(("rig", i, "plate", "up"), "length", plate.up, "floor to its middle", plate.name)
        if (screw := part.screw) is not None:
            yield tell.of(("rig", i, "screw", "diameter"), "length", screw.diameter, "across its head", screw.name)
        for what, held in (("hook", part.hook), ("screw", part.screw)):
            if held is not None and (at := ("rig", i, what, "at")) in spots:
                yield from tell.spot(at, *spots[at], held.name)


def _puppet(bench: Bench, tell: Teller) -> Iterator[Size]:
    puppet = bench.scene.puppet
    if puppet is not None and puppet.mesh is None:
        yield tell.of(("puppet", "height"), "length", puppet.height, "foot to crown", puppet.name)


def _performer(bench: Bench, tell: Teller) -> Iterator[Size]:
    performer = bench.scene.performer
    if performer is None or performer.mesh is not None:
        return
    group = "the performer"
    if performer.stature is not None:
        how = "barefoot, floor to the top of the head"
        yield tell.of(("performer", "stature"), "length", performer.stature, how, group)
    for name, value in performer.measured.items():
        how = MEASURES.get(name.strip().replace(" ", "_"), "as it was taken before").rstrip(".")
        yield tell.of(("performer", "measured", name), "length", value, how[:1].lower() + how[1:], group)
    yield tell.of(("performer", "shoes"), "distance", performer.shoes, "thickness of sole and heel", group)


def _mark(bench: Bench, tell: Teller) -> Iterator[Size]:
    if not bench.staged.has_performer:
        return
    blocking, group = bench.scene.blocking, "the mark, and which way the performer faces"
    x, y = blocking.mark
    yield tell.of(("blocking", "mark", 0), "offset", x, "from the centre line, + to stage left (house right)", group)
    yield tell.of(("blocking", "mark", 1), "offset", y, "from the plaster line or pitch middle, + upstage", group)
    if blocking.aim_at is None:
        how = "0: full front; + to the performer's left"
        yield tell.of(("blocking", "facing"), "angle", bench.staged.facing_rad, how, group)


_PLAIN = {"radius": "middle to the rim", "width": "across", "depth": "front to back", "height": "up"}


def _shapes(bench: Bench, tell: Teller) -> Iterator[Size]:
    scene = bench.scene
    lists: list[tuple[str, list[Any]]] = [
        ("covers", list(scene.covers)), ("secrets", list(scene.secrets)), ("must see", list(scene.must_see)),
    ]  # fmt: skip
    for key, shapes in lists:
        for i, shape in enumerate(shapes):
            yield from _shape(tell, (key, i), shape, f"{shape.name} ({key})")


def _shape(tell: Teller, path: KeyPath, shape: Shape, group: str) -> Iterator[Size]:
    form = shape.shape_key
    if form is None:
        return
    if form != "mesh":
        part = getattr(shape, form)
        for name in type(part).model_fields:
            yield tell.of((*path, form, name), "length", getattr(part, name), _PLAIN[name], group)
    origin = "the mark" if shape.carried else "the origin"
    ways = ("to the performer's left", "back") if shape.carried else ("to stage left (house right)", "upstage")
    for k, way in enumerate((*ways, "up")):
        how = f"its middle from {origin if k < 2 else 'the floor'}, + {way}"
        yield tell.of((*path, "at", k), "offset", shape.at[k], how, group)
