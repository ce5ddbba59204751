"""A template of each opening of the box, to be laid on the wall's outside and drawn round."""

from __future__ import annotations

import numpy as np

from sightline.drawings.clip import clipped
from sightline.drawings.drawing import Drawing, Layer, Rect, Stroke, Words
from sightline.drawings.lettering import width_mm
from sightline.drawings.wallview import SHEET_MM, WallView, both, circle, cross, right_of, to_wall, up_words
from sightline.geometry.frame import FloatArray
from sightline.props.box import Wall, box_size, opening_names, wall_of
from sightline.scene.prop import CarriedBox, Opening
from sightline.workshop import cutting
from sightline.workshop.screws import edge_words

_ARC_DEG = 1.0
# A centre cross reaches beyond what is cut, so that it is still there when the piece is out.
_BEYOND_MM = 6.0
MEANINGS: dict[Layer, str] = {
    "cut": "cut, inside the line", "guide": "reinforcing ring, glued on the inside", "mark": "centre and dimensions",
    "sheet": "edge of the wall: lay it on the edge", "fold": "another opening of this wall",
}  # fmt: skip
CAUTION = (
    "Cut with eye protection and the piece held down, fingers clear of the blade. Round and pad every edge that flesh meets: the "
    "inside of the upper arm lies over nerves and vessels. Solvents and glues by their own sheets."
)


def opening_drawings(
    box: CarriedBox, openings: list[Opening], title: str, sheet_mm: tuple[float, float] = SHEET_MM
) -> list[Drawing]:
    """One template for each opening, in the scene's order, seen from outside; `title` is the scene's.

    `sheet_mm` is the paper a template may take: a datum edge farther away is not drawn, its distance is told. The
    openings are such as their walls hold (staging refuses others).
    """
    names = opening_names(openings)
    return [
        _template(box, openings, opening, name, title, sheet_mm)
        for opening, name in zip(openings, names, strict=True)
    ]  # fmt: skip


def outline_mm(opening: Opening, grown_mm: float = 0.0) -> FloatArray:
    """The hole's outline (k, 2) mm about its own middle, anticlockwise; `grown_mm` larger on every side, corners round.

    Points lie on the true outline, a degree apart in its arcs.
    """
    half = np.array(opening.size_m) * 500
    radius = float(half.min())
    if opening.shape == "rectangle":
        radius = min(opening.corner_radius * 1000, radius)
    core, radius = half - radius, radius + grown_mm
    turns = np.radians(np.arange(0.0, 90.0 + _ARC_DEG / 2, _ARC_DEG)) if radius > 1e-9 else np.zeros(1)
    corners = [
        np.array(sign) * core + radius * np.column_stack([np.cos(turns + quarter), np.sin(turns + quarter)])
        for sign, quarter in (((1, 1), 0.0), ((-1, 1), np.pi / 2), ((-1, -1), np.pi), ((1, -1), 1.5 * np.pi))
    ]
    points = np.vstack(corners)
    apart = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1) > 1e-9
    return points[apart]


def on_wall(wall: Wall, opening: Opening, grown_mm: float = 0.0) -> FloatArray:
    """The outline (k, 2) as one sees it from outside, wall mm."""
    flip = np.array([right_of(wall), 1.0])
    return to_wall(wall, *opening.at) + outline_mm(opening, grown_mm) * flip


def _template(
    box: CarriedBox, openings: list[Opening], opening: Opening, name: str, title: str, sheet_mm: tuple[float, float]
) -> Drawing:  # fmt: skip
    wall = wall_of(box_size(box), opening.wall)
    size = (wall.size_m[0] * 1000, wall.size_m[1] * 1000)
    middle = to_wall(wall, *opening.at)
    half = np.array(opening.size_m) * 500
    ring_mm = cutting.RING_M * 1000
    left = cutting.margins(box, opening, openings)
    # The ring is on the inside, between the walls that meet this one.
    inside = np.array([box.wall * 1000] * 2 + [size[0] - box.wall * 1000, size[1] - box.wall * 1000])
    low = np.maximum(middle - half - ring_mm, 0.0)
    high = np.minimum(middle + half + ring_mm, size)
    view = WallView(size, (float(low[0]), float(low[1]), float(high[0]), float(high[1])), sheet_mm)
    within: Rect = (float(inside[0]), float(inside[1]), float(inside[2]), float(inside[3]))
    view.strokes = [Stroke(on_wall(wall, opening), "cut", True), *_ring(wall, opening, within), *cross(middle, 10.0)]
    for k in range(2):
        arm = np.eye(2)[k] * (half[k] + _BEYOND_MM)
        inner = np.eye(2)[k] * (half[k] - _BEYOND_MM)
        view.strokes += [Stroke(np.array([middle + s * inner, middle + s * arm]), "mark") for s in (-1, 1)]
        view.dimension(middle, k)
    view.strokes.append(circle(middle, 2.0, "mark"))
    # In quarters of the hole, clear of the lines through its middle.
    for text, height, down in (("CUT OUT", 3.5, 8.0), (_corner_words(opening), 2.2, -10.0)):
        if text and width_mm(text, height) <= half[0] * 0.8 - 5.0:
            at = (float(middle[0]) - 5.0, float(middle[1]) + down)
            view.words.append(Words(text, at, height_mm=height, anchor="end"))
    _others(view, wall, opening, openings)
    told = _told(box, openings, opening, wall, middle, size, left)
    head = f"{opening.wall.upper()} WALL: {name}"
    return view.drawing(f"{title}: template of the {name}", head, told, MEANINGS, up_words(wall))


def _ring(wall: Wall, opening: Opening, within: Rect) -> list[Stroke]:
    return clipped(Stroke(on_wall(wall, opening, cutting.RING_M * 1000), "guide", True), within)


def _others(view: WallView, wall: Wall, opening: Opening, openings: list[Opening]) -> None:
    """Neighbouring openings of the same wall, as far as the template reaches."""
    for other in openings:
        if other is not opening and other.wall == opening.wall:
            view.strokes.append(Stroke(on_wall(wall, other), "fold", True))


def _corner_words(opening: Opening) -> str:
    if opening.shape == "round":
        return ""
    if opening.shape == "slot":
        return f"ends round, radius {both(min(opening.size_m) * 500)}"
    return f"corner radius {both(opening.corner_radius * 1000)}" if opening.corner_radius > 0 else "corners square"


def _told(
    box: CarriedBox, openings: list[Opening], opening: Opening, wall: Wall, middle: FloatArray,
    size: tuple[float, float], left: cutting.Margins,
) -> list[str]:  # fmt: skip
    wide, high = (value * 1000 for value in opening.size_m)
    sized = f"Round, diameter {both(wide)}" if opening.shape == "round" else (
        f"{opening.shape.capitalize()}, {both(wide)} wide, {both(high)} high, {_corner_words(opening)}"
    )  # fmt: skip
    about = edge_words(wall)
    ring = [value * 1000 for value in cutting.ring_size(opening)]
    outer = both(ring[0]) if opening.shape == "round" else f"{both(ring[0])} by {both(ring[1])}"
    lines = [
        f"Seen from OUTSIDE: {about.removeprefix('seen from outside ')}.",
        f"{sized}.",
        f"Its middle is {both(middle[0])} from the left edge, {both(size[0] - middle[0])} from the right, {both(middle[1])} from "
        f"the bottom, {both(size[1] - middle[1])} from the top; the wall is {both(size[0])} by {both(size[1])}, outside sizes.",
        f"Reinforcing ring on the inside: {outer} outside, {both(cutting.RING_M * 1000)} wide ({cutting.COMMON}); "
        + (
            "needed: little of the wall is left here."
            if left.least_m < cutting.MARGIN_M
            else "advised in board or foam."
        ),
    ]
    # At an edge the ring meets the wall that stands there.
    room = min(min(left.left_m, left.right_m, left.below_m, left.above_m) - box.wall, left.bridge_m or np.inf)
    if room < cutting.RING_M:
        lines.append(
            f"There is room for only {both(max(room, 0.0) * 1000)} of the ring where it is narrowest: glue a batten along that side "
            "instead."
        )
    if opening.shape == "rectangle" and opening.corner_radius < cutting.CORNER_M:
        lines.append(f"Corners rounded less than {both(cutting.CORNER_M * 1000)} tear: round them more.")
    lines.append("Cut inside the line in one piece and keep the piece: for patches, glue tests and as a stopper.")
    lines.append(CAUTION)
    return lines
