"""Where on a wall the screws of a false hand go, told from the wall's edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.blocking.notation import millimetres
from sightline.geometry.frame import FloatArray
from sightline.props.box import Wall, holds
from sightline.scene.prop import Opening

# The part of the palm that lies on the wall, about its middle: half its length along the fingers as a share of hand
# length, half its breadth as a share of hand breadth. From memory.
PALM_HALF = (0.17, 0.32)
# Clear of a wall's edge and of an opening's. Common practice, no source.
EDGE_M, HOLE_EDGE_M = 0.015, 0.010
# Two screws nearer than this do not keep a limb from turning. Common practice, no source.
NEAREST_M = 0.020
_GRID_M = 0.005
_NAMES = ((("x", 1), "left"), (("x", -1), "right"), (("y", 1), "back"), (("y", -1), "front"))


@dataclass(frozen=True)
class Spot:
    """A place on a wall (across, up) m from its middle, and from its left and bottom edge as seen from outside."""

    across_m: float
    up_m: float
    from_left_m: float
    from_bottom_m: float

    @property
    def words(self) -> str:
        return f"{millimetres(self.from_left_m)} from the left edge, {millimetres(self.from_bottom_m)} from the bottom edge"


def spot_on(wall: Wall, across_m: float, up_m: float) -> Spot:
    """The place told from the edges as one sees them who looks at the wall from outside, its `up` upward."""
    # Looking along -outward, right is up x outward.
    right = 1.0 if np.cross(wall.up, wall.outward) @ wall.across > 0 else -1.0
    left = wall.size_m[0] / 2 + right * across_m
    return Spot(across_m, up_m, float(left), float(wall.size_m[1] / 2 + up_m))


def edge_words(wall: Wall) -> str:
    """Which of the prop's edges are left and bottom on a wall seen from outside."""
    left = -np.cross(wall.up, wall.outward)
    return f"seen from outside the left edge is the {_way(left)} one, the bottom edge the {_way(-wall.up)} one"


def _way(direction: FloatArray) -> str:
    names = (("performer's left", "performer's right"), ("back (performer's)", "front"), ("upper", "lower"))
    k = int(np.argmax(np.abs(direction)))
    return names[k][0 if direction[k] > 0 else 1]


def solid_at(wall: Wall, name: str, at: FloatArray, openings: list[Opening], clear_m: float, edge_m: float) -> bool:
    """Whether the wall is there at (across, up), `edge_m` inside its edges and `clear_m` clear of every opening."""
    if np.any(np.abs(at) > np.array(wall.size_m) / 2 - edge_m + 1e-9):
        return False
    turn = np.linspace(0.0, 2 * np.pi, 16, endpoint=False)
    ring = np.vstack([np.zeros(2), clear_m * np.column_stack([np.cos(turn), np.sin(turn)])])
    return not any(
        holds(opening, at + step - np.array(opening.at))
        for opening in openings
        if opening.wall == name
        for step in ring
    )


def screw_pair(
    wall: Wall,
    name: str,
    at: FloatArray,
    fingers: FloatArray,
    openings: list[Opening],
    hand_length_m: float,
    hand_breadth_m: float,
) -> tuple[FloatArray, FloatArray] | None:
    """Two places (2,) under the palm at `at` (2,), as far apart as wall and openings allow; None for no room.

    `fingers` (2,) is the fingers' way on the wall. The first is the one nearer to the wrist.
    """
    size = float(np.linalg.norm(fingers))
    along = fingers / size if size > 1e-6 else np.array([0.0, 1.0])
    side = np.array([-along[1], along[0]])
    half = np.array([PALM_HALF[0] * hand_length_m, PALM_HALF[1] * hand_breadth_m])
    steps = [np.arange(-int(h / _GRID_M), int(h / _GRID_M) + 1) * _GRID_M for h in half]
    a, b = (grid.ravel() for grid in np.meshgrid(*steps, indexing="ij"))
    within = (a / half[0]) ** 2 + (b / half[1]) ** 2 <= 1.0 + 1e-9
    places = at + a[within, None] * along + b[within, None] * side
    fit = np.array([solid_at(wall, name, place, openings, HOLE_EDGE_M, EDGE_M) for place in places], dtype=bool)
    places = places[fit]
    if len(places) < 2:
        return None
    apart = np.linalg.norm(places[:, None] - places[None], axis=-1)
    one, other = np.unravel_index(int(np.argmax(apart)), apart.shape)
    if apart[one, other] < NEAREST_M:
        return None
    pair = sorted((places[one], places[other]), key=lambda place: float(place @ along))
    return pair[0], pair[1]
