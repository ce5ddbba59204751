"""The place on a wall where a false arm of the performer's own lengths lands on the performer's shoulder."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.props.box import wall_of
from sightline.props.falselimb import FalseArm
from sightline.scene.performer import WallSpot
from sightline.staging.body import Body, Carried, hand_on
from sightline.workshop.screws import EDGE_M

STEP_M = 0.01


def landing_spot(arm: FalseArm, spot: WallSpot, carried: Carried, body: Body) -> FloatArray | None:
    """(across, up) m from the wall's middle, the nearest such place to `spot`; None where the wall has none.

    The bend is kept, so that shoulder and wrist must be as far apart as own bones at this bend leave them. The distance
    is read on a grid over the wall; where it passes the wanted one between two neighbours, the place is interpolated.
    """
    wall = wall_of(carried.size_m, spot.wall)
    wanted = float(np.linalg.norm(arm.hold.wrist - arm.shoulder)) / arm.scale
    across, up = (np.arange(-room, room + 1e-9, STEP_M) for room in (size / 2 - EDGE_M for size in wall.size_m))
    if len(across) < 2 or len(up) < 2:
        return None

    def off(a: float, u: float) -> float:
        placed = spot.model_copy(update={"at": (a, u)})
        hold = hand_on(placed, carried, arm.shoulder, arm.side, body.sheet.hand_length_m)
        return float(np.linalg.norm(hold.wrist - arm.shoulder)) - wanted

    table = np.array([[off(float(a), float(u)) for u in up] for a in across])
    found: list[FloatArray] = []
    for axis, step in ((0, np.array([STEP_M, 0.0])), (1, np.array([0.0, STEP_M]))):
        first, second = (table[:-1], table[1:]) if axis == 0 else (table[:, :-1], table[:, 1:])
        for i, j in np.argwhere(first * second <= 0):
            a, b = first[i, j], second[i, j]
            share = a / (a - b) if a != b else 0.0
            place = np.array([across[i], up[j]]) + share * step
            # Where the hand's own way flips between two places, the distance jumps past the wanted one.
            if abs(off(*place.tolist())) < 0.001:
                found.append(place)
    if not found:
        return None
    return min(found, key=lambda place: float(np.linalg.norm(place - np.array(spot.at))))
