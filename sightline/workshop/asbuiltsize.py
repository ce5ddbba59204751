"""One size that a tape can take at the bench, and what in a scene it stands for.

Lengths in metres, angles in radians, as in the scene. A size is known by its key path in the scene (`prop.box.width`).
A few have none there, because no tape takes them as the scene says them: how high both bottom edges are held, how far a
hole's or a hand's middle is from a wall's edges, how far a sleeve reaches, how an arm is bent.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.props.falselimb import FalseArm, limb_name
from sightline.scene.document import KeyPath, path_words
from sightline.scene.performer import WallSpot
from sightline.units import Measure, QuantityError, Unknown, parse, printed_angle
from sightline.workshop.bench import Bench
from sightline.workshop.mockup import from_edges

SizeKind = Literal["length", "distance", "offset", "angle"]
"""More than nothing; nothing or more; either side of nothing; an angle."""

# What is written in a scene is written to a tenth of a millimetre and a hundredth of a degree; what is worked out is
# rounded for the sheet to a millimetre and a tenth of a degree. Half of that is no difference.
GRAIN = {"m": 0.000051, "rad": math.radians(0.0051)}
WORKED_OUT_GRAIN = {"m": 0.00051, "rad": math.radians(0.051)}
# Farther off than this a place is said in metres rather than centimetres.
LONG_M = 3.0


@dataclass(frozen=True)
class Size:
    """One line of the sheet. `path`: where the scene says it; None where it is worked out from what the scene says."""

    key: str
    kind: SizeKind
    planned: Measure
    said: str
    how: str
    group: str
    path: KeyPath | None = None

    @property
    def unit(self) -> Literal["m", "rad"]:
        return "rad" if self.kind == "angle" else "m"

    def differs(self, built: Measure) -> bool:
        """Whether what was measured is another size, or is known better or worse, than what is planned."""
        grain = (GRAIN if self.path is not None else WORKED_OUT_GRAIN)[self.unit]
        pairs = [(built.value, self.planned.value)]
        if built.is_range or self.planned.is_range:
            pairs += [(built.low, self.planned.low), (built.high, self.planned.high)]
        return any(abs(a - b) > grain for a, b in pairs)


def printed_size(kind: SizeKind, value: float, exact: bool = True) -> str:
    """A size as a maker reads it and a scene takes it: `46 cm`, `6 mm`, `4.25 m`, `12.5 deg`."""
    if kind == "angle":
        return printed_angle(math.degrees(value)) if exact else printed_angle(round(math.degrees(value), 1))
    rounded = round(value, 4 if exact else 3)
    unit, factor, places = (
        ("m", 1.0, 4) if abs(rounded) >= LONG_M else ("mm", 1000.0, 1) if 0 < abs(rounded) < 0.01 else ("cm", 100.0, 2)
    )
    said = f"{rounded * factor:.{places}f}".rstrip("0").rstrip(".")
    return f"{'0' if said == '-0' else said} {unit}"


@dataclass(frozen=True)
class Teller:
    """Makes lines of the sheet: what the scene's own text says stays as it was written."""

    bench: Bench

    def of(self, path: KeyPath, kind: SizeKind, value: float, how: str, group: str) -> Size:
        said, planned = printed_size(kind, value), Measure.exact(value)
        raw = self.raw(path)
        if isinstance(raw, str):
            # For a word (1/4 left), or unknown, the value that is taken for it stands.
            with suppress(QuantityError, Unknown):
                planned, said = parse(raw, "angle" if kind == "angle" else "length"), raw.strip()
        return Size(path_words(path), kind, planned, said, how, group, path)

    def raw(self, path: KeyPath) -> Any:
        """What the file has at a path; None where it has nothing there."""
        node: Any = self.bench.written.document.tree
        for step in path:
            there = step in node if isinstance(node, dict) else isinstance(node, list) and step in range(len(node))
            if not there:
                return None
            node = node[step]
        return node

    def worked_out(self, key: str, kind: SizeKind, value: float, how: str, group: str) -> Size:
        return Size(key, kind, Measure.exact(value), printed_size(kind, value, exact=False), how, group)

    def spot(self, path: KeyPath, spot: WallSpot, what: str, group: str) -> Iterator[Size]:
        """The two distances from a wall's edges of something on it."""
        size = self.bench.carried.size_m if self.bench.carried else np.zeros(3)
        left, bottom = from_edges(size, spot.wall, spot.at)
        lies = spot.wall in ("top", "bottom")
        seen = f"{spot.wall} wall seen from {'above' if spot.wall == 'top' else 'below' if lies else 'outside'}"
        lower = "front edge (hold it towards you)" if lies else "bottom edge"
        key = path_words(path)
        yield self.worked_out(f"{key}.from left", "offset", left, f"{seen}: the box's left edge to {what}", group)
        yield self.worked_out(f"{key}.from bottom", "offset", bottom, f"{seen}: the box's {lower} to {what}", group)


def spots_of(bench: Bench) -> Iterator[tuple[KeyPath, WallSpot, str]]:
    """Everything that is on a wall of the prop: the part of the scene that has wall and place, and what is measured to."""
    scene = bench.scene
    if bench.carried is None:
        return
    if scene.prop is not None and scene.prop.box is not None:
        for i, opening in enumerate(scene.prop.openings):
            yield ("prop", "openings", i), WallSpot(wall=opening.wall, at=opening.at), "the hole's middle"
    for i, limb in enumerate(scene.false_limbs):
        if limb.hand_at is not None and limb.mesh is None:
            yield ("false limbs", i, "hand at"), limb.hand_at, "the middle of the palm"
    if scene.pose.visible_hand is not None and "visible_hand" in scene.pose.model_fields_set:
        yield ("pose", "visible hand"), scene.pose.visible_hand, "the middle of the palm"
    for i, part in enumerate(scene.rig):
        if part.hook is not None and "at" in part.hook.model_fields_set:
            yield ("rig", i, "hook", "at"), part.hook.at, "the hook's middle"
        if part.screw is not None:
            yield ("rig", i, "screw", "at"), part.screw.at, "the screw's middle"


def arm_of(bench: Bench, i: int) -> FalseArm | None:
    """The built arm of a false limb; None for one that is an imported mesh."""
    name = limb_name(bench.scene.false_limbs[i])
    return next((arm for arm in bench.false_arms if arm.name == name), None)


def straight_m(arm: FalseArm) -> float:
    """Shoulder to wrist, straight across."""
    return float(np.linalg.norm(arm.hold.wrist - arm.shoulder))


def sleeved_m(bench: Bench, on: str) -> float | None:
    """How long the arm is, shoulder to wrist along it, that a sleeve is on; None where there is none."""
    if on == "false arm":
        arm = bench.false_arms[0] if bench.false_arms else None
        return None if arm is None else (arm.sheet.upper_arm_m + arm.sheet.forearm_m) * arm.scale
    return None if bench.sheet is None else bench.sheet.upper_arm_m + bench.sheet.forearm_m


def edges_m(bench: Bench) -> tuple[float, float]:
    """How high the prop's front and back bottom edges are above the floor, as it is held."""
    assert bench.carried is not None
    half: FloatArray = bench.carried.size_m / 2
    ends = bench.carried.placement.points(np.array([[0.0, -half[1], -half[2]], [0.0, half[1], -half[2]]]))
    return float(ends[0, 2]), float(ends[1, 2])
