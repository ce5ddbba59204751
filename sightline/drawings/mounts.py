"""A template of each false limb's mount: where its screws go through the wall, to be laid on the wall's outside."""

from __future__ import annotations

import numpy as np

from sightline.drawings.drawing import Drawing, Layer, Rect, Stroke, Words
from sightline.drawings.opening import on_wall
from sightline.drawings.wallview import SHEET_MM, WallView, both, circle, cross, right_of, up_words
from sightline.figure.arm import Side
from sightline.geometry.frame import FloatArray
from sightline.workshop import mounts
from sightline.workshop.bench import Bench
from sightline.workshop.limbs import BenchLimb, LimbPose, limbs_of
from sightline.workshop.screws import PALM_HALF, edge_words
from sightline.workshop.section import Item

MEANINGS: dict[Layer, str] = {
    "cut": "opening, cut already", "guide": "palm on the wall", "mark": "screws, palm's middle, dimensions",
    "sheet": "edge of the wall: lay it on the edge",
}  # fmt: skip
CAUTION = (
    "Drill with eye protection, the wall held down on scrap. Cover screw points, washers and edges on the side of the performer's "
    "body. The false arm must come away under a grab: its shoulder end is fixed to the performer by a breakaway. What carries "
    "weight near a performer or over people is for a qualified person to look at."
)
_SCREW_MM = 4.0
_POINTS = np.radians(np.arange(0.0, 360.0, 2.0))


def mount_drawings(
    bench: Bench, sheet_mm: tuple[float, float] = SHEET_MM
) -> tuple[list[Drawing], list[str]]:  # fmt: skip
    """The templates, and a sentence for each limb that has none with the reason. Raises FileError as `fit` does."""
    section = mounts.section(bench)
    items = {item.key: item for item in section.items}
    drawings: list[Drawing] = []
    why: list[str] = []
    for limb in limbs_of(bench):
        hand, screws = items.get(f"{limb.name}: hand"), items.get(f"{limb.name}: screws")
        if limb.pose is not None and hand and screws and hand.state == "yes" and isinstance(screws.value, list):
            drawings.append(_template(bench, limb, limb.pose, hand, screws, sheet_mm))
            continue
        said = [item for item in (screws, hand, items.get(f"{limb.name}: mount")) if item and item.state != "yes"]
        why.append(said[0].words if said else f"'{limb.name}': where its mount is is not known.")
    if not drawings and not why:
        why = [item.words for item in section.items]
    return drawings, why


def _template(
    bench: Bench, limb: BenchLimb, pose: LimbPose, hand: Item, screws: Item, sheet_mm: tuple[float, float]
) -> Drawing:  # fmt: skip
    assert bench.carried is not None
    assert bench.body is not None
    assert bench.prop is not None
    sheet = bench.body.sheet
    contact = mounts.contact_of(limb, pose, bench.carried, sheet.hand_length_m)
    wall = contact.wall
    size = (wall.size_m[0] * 1000, wall.size_m[1] * 1000)
    palm = np.array(hand.value, dtype=float) * 1000
    places = np.array(screws.value, dtype=float) * 1000
    ways = bench.carried.placement.inverse().directions(pose.fingers)
    along = np.array([float(ways @ wall.across) * right_of(wall), float(ways @ wall.up)])
    long = float(np.linalg.norm(along))
    along = along / long if long > 1e-6 else np.array([0.0, 1.0])
    half = np.array([PALM_HALF[0] * sheet.hand_length_m, PALM_HALF[1] * sheet.hand_breadth_m]) * 1000
    ring = palm + _turn(np.column_stack([half[0] * np.cos(_POINTS), half[1] * np.sin(_POINTS)]), along)
    every = np.vstack([ring, places])
    low, high = np.maximum(every.min(axis=0), 0.0), np.minimum(every.max(axis=0), size)
    things: Rect = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    view = WallView(size, things, sheet_mm)
    view.strokes = [Stroke(ring, "guide", True), *_fingers(palm, along, float(half[0]))]
    tip = np.array([[-2.5, -1.5], [2.5, -1.5], [0.0, 3.0]])
    view.strokes += [Stroke(palm + tip, "mark", True), *cross(palm, 1.2)]
    for n, place in enumerate(places):
        view.strokes += [circle(place, _SCREW_MM, "mark"), *cross(place, _SCREW_MM + 3.0)]
        beside = place + np.array([_SCREW_MM + 1.0, _SCREW_MM - 0.5])
        view.words.append(Words(str(n + 1), (float(beside[0]), float(beside[1])), height_mm=4.0))
        for k in range(2):
            view.dimension(place, k)
    for opening in bench.prop.openings:
        if opening.wall == contact.name:
            view.strokes.append(Stroke(on_wall(wall, opening), "cut", True))
    apart = float(np.linalg.norm(places[1] - places[0]))
    head = f"{limb.side.upper()} ARM (false) on the {contact.name.upper()} WALL"
    told = _told(limb.name, limb.side, edge_words(wall), palm, places, apart)
    if bench.box is None:
        told.append(
            "The prop is an imported mesh: the edges are those of its outer size; check them on the prop itself."
        )
    told.append(CAUTION)
    return view.drawing(f"{bench.scene.title}: mount of the {limb.name}", head, told, MEANINGS, up_words(wall))


def _turn(points: FloatArray, along: FloatArray) -> FloatArray:
    """Points (k, 2) given along and across a unit way, as places."""
    return points @ np.array([along, [-along[1], along[0]]])


def _fingers(palm: FloatArray, along: FloatArray, half_mm: float) -> list[Stroke]:
    """An arrow from the palm's middle the way the fingers point."""
    start, end = half_mm * 0.25, half_mm * 0.85
    line = np.array([[start, 0.0], [end, 0.0]])
    head = np.array([[end - 3.0, 1.5], [end, 0.0], [end - 3.0, -1.5]])
    return [Stroke(palm + _turn(points, along), "mark") for points in (line, head)]


def _told(
    name: str, side: Side, edges: str, palm: FloatArray, places: FloatArray, apart: float
) -> list[str]:  # fmt: skip
    def place(at: FloatArray) -> str:
        return f"{both(float(at[0]))} from the left edge, {both(float(at[1]))} from the bottom edge"

    return [
        f"'{name}', at the performer's own {side}. Seen from OUTSIDE: {edges.removeprefix('seen from outside ')}.",
        f"Screw 1, nearer the wrist: {place(places[0])}.",
        f"Screw 2, nearer the fingers: {place(places[1])}; {both(apart)} from screw 1.",
        f"Middle of the palm (triangle): {place(palm)}; the arrow from it is the way the fingers point.",
        "Drive the screw nearer the wrist, hold the shoulder on its mark, and only then drill for the other.",
    ]
