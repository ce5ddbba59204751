"""The carried box: real walls, openings cut through them, and where a hand or a hole is on a wall.

Prop frame: origin at the box's centre, +x to the performer's left, +y back towards the performer, +z up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray, Placement, about_x, about_z
from sightline.geometry.mesh import Cover, Mesh
from sightline.scene.performer import WallSpot
from sightline.scene.prop import Attitude, CarriedBox, Opening

if TYPE_CHECKING:
    from manifold3d import CrossSection

ROUND_SIDES = 48
# Outward, across and up of each wall; `across` and `up` as `WallSpot` says.
_WALLS = {
    "front": ((0, -1, 0), (1, 0, 0), (0, 0, 1)),
    "back": ((0, 1, 0), (1, 0, 0), (0, 0, 1)),
    "left": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "right": ((-1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "top": ((0, 0, 1), (1, 0, 0), (0, 1, 0)),
    "bottom": ((0, 0, -1), (1, 0, 0), (0, 1, 0)),
}


@dataclass(frozen=True)
class Wall:
    """One wall of a prop: middle of its outer face, unit axes, outer size (across, up) in metres."""

    middle: FloatArray
    outward: FloatArray
    across: FloatArray
    up: FloatArray
    size_m: tuple[float, float]

    def point(self, across_m: float, up_m: float, out_m: float = 0.0) -> FloatArray:
        """A place on the wall, `out_m` off its outer face, in the prop frame."""
        return self.middle + self.across * across_m + self.up * up_m + self.outward * out_m


def wall_of(size_m: FloatArray, name: str) -> Wall:
    """The named wall of a box of outer size (width, depth, height)."""
    outward, across, up = (np.array(v, dtype=float) for v in _WALLS[name])
    middle = outward * size_m / 2.0
    return Wall(middle, outward, across, up, (float(np.abs(across) @ size_m), float(np.abs(up) @ size_m)))


def box_size(box: CarriedBox) -> FloatArray:
    return np.array([box.width, box.depth, box.height])


def box_mesh(box: CarriedBox, openings: list[Opening]) -> Mesh:
    """The box as one closed solid. Raises Misfit for an opening that its wall cannot hold."""
    from manifold3d import Manifold

    size = box_size(box)
    inner = size - 2 * box.wall
    solid = Manifold.cube(tuple(size), True)
    if box.top == "open":
        inner = inner + [0, 0, box.wall + 0.01]
        solid -= Manifold.cube(tuple(inner), True).translate([0, 0, (box.wall + 0.01) / 2])
    else:
        solid -= Manifold.cube(tuple(inner), True)
    for i, opening in enumerate(openings):
        _refuse_unfit(box, opening, i)
        solid -= _plug(box, opening)
    return Mesh.from_manifold(solid)


def apertures(box: CarriedBox, openings: list[Opening]) -> list[Cover]:
    """Each opening as a sheet across the middle of its wall, named as `opening_names` has it."""
    names = opening_names(openings)
    out = []
    for opening, name in zip(openings, names, strict=True):
        section = outline(opening)
        flat = Mesh.from_manifold(section.extrude(0.001))
        top = np.flatnonzero(np.all(flat.corners[:, :, 2] > 0.0005, axis=1))
        wall = wall_of(box_size(box), opening.wall)
        plane = flat.vertices[:, :2]
        placed = wall.point(*opening.at, -box.wall / 2) + plane[:, :1] * wall.across + plane[:, 1:] * wall.up
        out.append(Cover(name, Mesh.of(placed, flat.faces[top])))
    return out


def opening_names(openings: list[Opening]) -> list[str]:
    """A name for each opening: its own, or `back opening`, `back opening 2`."""
    names: list[str] = []
    for opening in openings:
        base = opening.name or f"{opening.wall} opening"
        name, count = base, 1
        while name in names:
            count += 1
            name = f"{base} {count}"
        names.append(name)
    return names


def outline(opening: Opening) -> CrossSection:
    """The hole's outline about its own middle, metres."""
    from manifold3d import CrossSection

    width, height = opening.size_m
    if opening.shape == "round":
        return CrossSection.circle(width / 2, ROUND_SIDES)
    radius = min(width, height) / 2 - 1e-6 if opening.shape == "slot" else opening.corner_radius
    if radius <= 1e-6:
        return CrossSection.square((width, height), True)
    core = [width / 2 - radius, height / 2 - radius]
    turn = np.arange(ROUND_SIDES) * 2 * np.pi / ROUND_SIDES + np.pi / ROUND_SIDES
    points = np.column_stack([np.cos(turn), np.sin(turn)])
    return CrossSection([(np.sign(points) * core + points * radius).tolist()])


def holds(opening: Opening, at: FloatArray) -> bool:
    """Whether a place on the wall's plane, relative to the opening's middle (2,), is within the hole."""
    width, height = opening.size_m
    x, y = abs(float(at[0])), abs(float(at[1]))
    if opening.shape == "round":
        return bool(np.hypot(x, y) <= width / 2)
    radius = min(width, height) / 2 if opening.shape == "slot" else opening.corner_radius
    over = np.maximum([x - (width / 2 - radius), y - (height / 2 - radius)], 0.0)
    return bool(x <= width / 2 and y <= height / 2 and np.hypot(*over) <= max(radius, 1e-12))


def _plug(box: CarriedBox, opening: Opening) -> object:
    """The solid that cuts the hole, through its own wall only."""
    wall = wall_of(box_size(box), opening.wall)
    frame = np.column_stack([wall.across, wall.up, np.cross(wall.across, wall.up), wall.point(*opening.at)])
    # On half of the walls across x up points into the box, so the plug reaches to both sides of the outer face.
    plug = outline(opening).extrude(4 * box.wall).translate([0, 0, -2 * box.wall])
    return plug.transform(frame)


def _refuse_unfit(box: CarriedBox, opening: Opening, index: int) -> None:
    wall = wall_of(box_size(box), opening.wall)
    if opening.wall == "top" and box.top == "open":
        raise Misfit(("openings", index), "The box has no top wall to cut (top: open).")
    for k, direction in enumerate(("across", "up")):
        hole, room = opening.size_m[k], wall.size_m[k] - 2 * box.wall
        if hole > room:
            sentence = (
                f"The opening is {hole * 1000:.0f} mm {direction}, larger than the {opening.wall} wall's "
                f"{room * 1000:.0f} mm between its edges."
            )
            raise Misfit(("openings", index), sentence)
        over = abs(opening.at[k]) + hole / 2 - room / 2
        if over > 1e-9:
            sentence = f"The opening cuts the {opening.wall} wall's edge by {over * 1000:.0f} mm ({direction}); "
            sentence += "move it or make it smaller."
            raise Misfit(("openings", index, "at"), sentence)


def prop_placement(at: Attitude, size_m: FloatArray) -> Placement:
    """Where the prop is in the performer's frame. Raises Misfit for edge heights that its depth cannot span."""
    if at.front_edge is not None and at.back_edge is not None:
        rise = (at.back_edge - at.front_edge) / float(size_m[1])
        if abs(rise) >= 1:
            raise Misfit(("at",), "The two edge heights differ by more than the prop is deep.")
        tilt = float(np.arcsin(rise))
        up = (at.front_edge + at.back_edge) / 2 + float(size_m[2]) / 2 * np.cos(tilt)
    else:
        tilt, up = at.tilt or 0.0, at.up or 0.0
    return Placement(about_z(at.turn) @ about_x(tilt), np.array([at.left, -at.ahead, up]))


def spot_point(size_m: FloatArray, spot: WallSpot, out_m: float = 0.0) -> tuple[FloatArray, Wall]:
    """The place of a wall spot in the prop frame, and its wall. Raises Misfit for a spot beyond the wall."""
    wall = wall_of(size_m, spot.wall)
    for k in range(2):
        if abs(spot.at[k]) > wall.size_m[k] / 2 + 1e-9:
            over = (abs(spot.at[k]) - wall.size_m[k] / 2) * 1000
            raise Misfit(("at",), f"This place is {over:.0f} mm beyond the edge of the {spot.wall} wall: in mid-air.")
    return wall.point(*spot.at, out_m), wall
