"""What was measured, as changes of the scene's text: the as-built scene, with what was planned kept beside it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from sightline.errors import Misfit, UnreachableError
from sightline.figure.arm import flexion_at_distance
from sightline.geometry.frame import FloatArray
from sightline.props.box import wall_of
from sightline.scene.document import KeyPath, path_words
from sightline.scene.editing import Edit, quoted
from sightline.units import printed_angle, printed_length
from sightline.workshop.asbuilt import EDGES, Reading, Taken
from sightline.workshop.asbuiltsize import GRAIN, Size, Teller, arm_of, sleeved_m, spots_of, straight_m
from sightline.workshop.bench import Bench
from sightline.workshop.mockup import from_edges

# What YAML takes as plain words, also within braces.
_PLAIN = re.compile(r"(about )?-?[0-9A-Za-z]([0-9A-Za-z ./'()+–-]*[0-9A-Za-z'.)])?")


def plain(text: str) -> str:
    """Any text as a YAML scalar of one line, without quotes where it needs none."""
    return text if _PLAIN.fullmatch(text) else quoted(text)


def edits_of(bench: Bench, sizes: Mapping[str, Size], taken: Sequence[Taken]) -> tuple[Edit, ...]:
    """The changes that make the scene as it was measured. What moved by nothing changes nothing.

    Raises Misfit, its path in the sheet, for what cannot be.
    """
    got = {one.size.key: one for one in taken}
    made = [*_written(sizes, got), *_held(bench, got), *_spots(bench, got), *_limbs(bench, got), *_sleeves(bench, got)]
    return tuple(made)


def record(reading: Reading, seen_from: Sequence[str], by: str, date: str) -> Edit:
    """The entry of `as built`: every size that moved, planned and built, and who saw what was not computed."""
    sizes = ", ".join(
        f"{{size: {quoted(one.size.key)}, planned: {plain(one.size.said)}, built: {plain(one.said)}}}"
        for one in reading.moved
    )
    entry = [f"sizes: [{sizes}]"]
    if seen_from:
        entry.append(f"seen from: [{', '.join(quoted(eye) for eye in seen_from)}]")
    entry += [f"{key}: {quoted(said)}" for key, said in (("by", by), ("date", date)) if said.strip()]
    return Edit(("as built",), "{" + ", ".join(entry) + "}", append=True)


def _written(sizes: Mapping[str, Size], got: Mapping[str, Taken]) -> Iterator[Edit]:
    """Sizes that stand in the scene as they are measured; of a place, the whole of it."""
    points: dict[KeyPath, dict[int, Taken]] = {}
    for one in got.values():
        path = one.size.path
        if path is None or not one.moved:
            continue
        if isinstance(path[-1], int):
            points.setdefault(path[:-1], {})[path[-1]] = one
        else:
            yield Edit(path, plain(one.said))
    for path, moved in points.items():
        planned = [size for k in range(3) if (size := sizes.get(path_words((*path, k)))) is not None]
        yield Edit(path, items=tuple(plain(moved[k].said if k in moved else s.said) for k, s in enumerate(planned)))


def _value(one: Taken) -> float:
    """What was measured; the plan's own value, unrounded, where it is no other."""
    return one.built.value if one.moved else one.size.planned.value


def _outside(bench: Bench, got: Mapping[str, Taken]) -> FloatArray:
    """Outer size (3,) of the prop as built."""
    assert bench.carried is not None
    size = np.array(bench.carried.size_m, dtype=float)
    for k, key in enumerate(("width", "depth", "height")):
        if f"prop.box.{key}" in got:
            size[k] = _value(got[f"prop.box.{key}"])
    return size


def _held(bench: Bench, got: Mapping[str, Taken]) -> Iterator[Edit]:
    """Both bottom edges' heights as the height of the middle and the tilt, which is how this scene says it."""
    if bench.prop is None or any(key not in got or got[key].size.path is not None for key in EDGES):
        return
    front, back = (_value(got[key]) for key in EDGES)
    _, depth, height = _outside(bench, got)
    rise = (back - front) / depth
    if abs(rise) >= 1:
        sentence = "The two edge heights differ by more than the prop is deep."
        raise Misfit(("sizes", EDGES[1], "measured"), sentence)
    tilt = math.asin(rise)
    up = (front + back) / 2 + height / 2 * math.cos(tilt)
    at = bench.prop.at
    if abs(up - (at.up or 0.0)) > GRAIN["m"]:
        yield Edit(("prop", "at", "up"), printed_length(up))
    if abs(tilt - (at.tilt or 0.0)) > GRAIN["rad"]:
        yield Edit(("prop", "at", "tilt"), printed_angle(math.degrees(tilt)))


def _spots(bench: Bench, got: Mapping[str, Taken]) -> Iterator[Edit]:
    """Places on a wall, measured from its edges, as places from its middle."""
    tell = Teller(bench)
    for path, spot, _ in spots_of(bench):
        key = path_words(path)
        ways = [got.get(f"{key}.from left"), got.get(f"{key}.from bottom")]
        size = _outside(bench, got)
        half = np.array(wall_of(size, spot.wall).size_m) / 2
        rightward = from_edges(size, spot.wall, (1.0, 0.0))[0] - half[0]
        raw = tell.raw((*path, "at"))
        items = []
        changed = False
        for k, (way, sign) in enumerate(zip(ways, (rightward, 1.0), strict=True)):
            there = spot.at[k] if way is None else sign * (_value(way) - float(half[k]))
            moved = abs(there - spot.at[k]) > GRAIN["m"]
            changed |= moved
            kept = plain(str(raw[k])) if isinstance(raw, list) else printed_length(spot.at[k])
            items.append(printed_length(there) if moved else kept)
        if changed:
            yield Edit((*path, "at"), items=tuple(items))


def _limbs(bench: Bench, got: Mapping[str, Taken]) -> Iterator[Edit]:
    """A false arm measured straight from shoulder to wrist, as its bend, or as the scene's own tape says it."""
    for i, limb in enumerate(bench.scene.false_limbs):
        arm, path = arm_of(bench, i), ("false limbs", i)
        key = f"{path_words(path)}.shoulder to wrist"
        if arm is None or key not in got or not got[key].moved:
            continue
        # The scene's own tape is of the real arm; the false one is so much longer or shorter.
        real = got[key].built.value / arm.scale
        if limb.shoulder_to_wrist is not None:
            yield Edit((*path, "shoulder to wrist"), printed_length(real))
            continue
        try:
            bend = float(flexion_at_distance(arm.sheet.upper_arm_m, arm.sheet.forearm_m, real))
        except UnreachableError:
            sentence = f"No bend gives this: an arm of these lengths is {straight_m(arm) * 100:.1f} cm as planned."
            raise Misfit(("sizes", key, "measured"), sentence) from None
        yield Edit((*path, "elbow"), printed_angle(math.degrees(bend)))


def _sleeves(bench: Bench, got: Mapping[str, Taken]) -> Iterator[Edit]:
    """How far a sleeve reaches, as a share of the arm; one that reaches past the wrist counts to the wrist."""
    for i, entry in enumerate(bench.scene.costume):
        for end in ("from", "to"):
            one = got.get(path_words(("costume", i, "sleeve", end)))
            if entry.sleeve is None or one is None or not one.moved:
                continue
            long = sleeved_m(bench, entry.sleeve.on)
            assert long is not None
            share = min(one.built.value / long, 1.0)
            yield Edit(("costume", i, "sleeve", end), f"{share:.4f}")
