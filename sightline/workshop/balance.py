"""Whether what hangs stays hanging, what pulls on what, and how near the performer is to tipping. Held still."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from sightline.figure.sheet import BodySheet
from sightline.figure.skeleton import Skeleton
from sightline.geometry.frame import FloatArray
from sightline.workshop.armload import G_M_S2, THREE, ArmAt, points
from sightline.workshop.feet import footprints, hull, room_m

# Rows of force and moment that a flat problem keeps: (Fy, Fz, Mx) seen from the side, (Fx, Fz, My) from the front.
ROWS = {"side": (1, 2, 3), "front": (0, 2, 4)}
# Help of the hand that is rounding and no help; and the solver's slack, as a share of the weight.
NO_HELP_N, SLACK = 0.01, 1e-6
# Dempster in Winter, Table 4.1, share of body mass and of the way from the near joint. FROM MEMORY, but for the arm's.
TRUNK, HEAD, THIGH, SHANK, FOOT = (0.497, 0.50), (0.081, 1.0), (0.100, 0.433), (0.0465, 0.433), (0.0145, 0.50)


@dataclass(frozen=True)
class Support:
    """A force that can act one way only: at a point (3,), along a direction (3,) as it acts on what hangs."""

    name: str
    at_m: FloatArray
    along: FloatArray


@dataclass(frozen=True)
class Hanging:
    """The forces (N) that hold a weight: for each support the least and the most that statics leaves open.

    `hand_n` is the least that a hand must add where the supports alone do not do; None where even that does not.
    """

    least_n: dict[str, float]
    most_n: dict[str, float]
    hand_n: float | None

    @property
    def by_itself(self) -> bool:
        return self.hand_n is not None and self.hand_n < NO_HELP_N


def hanging(
    weight_n: float,
    middle_m: FloatArray,
    supports: list[Support],
    view: Literal["side", "front"],
    hand_m: FloatArray | None = None,
) -> Hanging:
    """Rigid-body equilibrium, flat, without friction, of a weight at `middle_m` (3,) on supports that only pull or push.

    Where they can hold it in more ways than one, the range over all of them.
    """
    from scipy.optimize import linprog

    rows = list(ROWS[view])
    unit_hand: list[Support] = []
    if hand_m is not None:
        flat = np.eye(3)[[rows[0], 2]]
        unit_hand = [Support("hand", hand_m, way * sign) for way in flat for sign in (1.0, -1.0)]
    given = [*supports, *unit_hand]
    if not given:
        return Hanging({}, {}, None)
    columns = [_wrench(s.at_m - middle_m, s.along)[rows] for s in given]
    # Solved in shares of the weight, so that the solver's own tolerances mean the same for every load.
    a = np.column_stack(columns)
    b = np.zeros(3)
    b[1] = 1.0
    cost = np.array([0.0] * len(supports) + [1.0] * len(unit_hand))
    first = linprog(cost, A_eq=a, b_eq=b, bounds=(0, None), method="highs")
    if not first.success:
        return Hanging({}, {}, None)
    needed = float(first.fun)
    # With the least help of the hand, how far can each support vary?
    bounds = [(0.0, None)] * len(supports) + [(0.0, needed + SLACK)] * len(unit_hand)
    least, most = {}, {}
    for i, support in enumerate(supports):
        want = np.zeros(len(given))
        want[i] = 1.0
        low = linprog(want, A_ub=[cost], b_ub=[needed + SLACK], A_eq=a, b_eq=b, bounds=bounds, method="highs")
        high = linprog(-want, A_ub=[cost], b_ub=[needed + SLACK], A_eq=a, b_eq=b, bounds=bounds, method="highs")
        least[support.name] = float(low.fun) * weight_n if low.success else float("nan")
        most[support.name] = -float(high.fun) * weight_n if high.success else float("inf")
    return Hanging(least, most, needed * weight_n)


def _wrench(arm: FloatArray, force: FloatArray) -> FloatArray:
    return np.concatenate([force, np.cross(arm, force)])


def shared_n(weight_n: float, middle_x_m: float, one_x_m: float, other_x_m: float) -> tuple[float, float]:
    """What two plumb straps at one_x and other_x bear of a weight between them, N; one is negative where it rolls over."""
    share = (middle_x_m - one_x_m) / (other_x_m - one_x_m)
    return weight_n * (1.0 - share), weight_n * share


def body_points(sheet: BodySheet, skeleton: Skeleton, arms: dict[str, ArmAt]) -> list[tuple[float, FloatArray]]:
    """The body's segments, mass (kg) and middle (3,): trunk, head and legs from memory, `arms` as for the moment."""
    kg = sheet.mass_kg
    hips = (skeleton.left_hip + skeleton.right_hip) / 2
    shoulders = (skeleton.left_shoulder + skeleton.right_shoulder) / 2
    out = [
        (TRUNK[0] * kg, hips + TRUNK[1] * (shoulders - hips)),
        (HEAD[0] * kg, skeleton.neck + HEAD[1] * (skeleton.head - skeleton.neck)),
    ]
    for side in ("left", "right"):
        hip, knee, ankle, toes = (getattr(skeleton, f"{side}_{name}") for name in ("hip", "knee", "ankle", "foot"))
        out.append((THIGH[0] * kg, hip + THIGH[1] * (knee - hip)))
        out.append((SHANK[0] * kg, knee + SHANK[1] * (ankle - knee)))
        middle = ankle + (FOOT[1] - 0.25) * sheet.foot_length_m * toes
        out.append((FOOT[0] * kg, np.array([middle[0], middle[1], ankle[2] / 2])))
    for arm in arms.values():
        out += points(arm, kg, sheet.sex)[THREE]
    return out


def middle_of_all(parts: list[tuple[float, FloatArray]]) -> FloatArray:
    """Centre of mass (3,) of masses at places."""
    return np.asarray(sum((kg * at for kg, at in parts), start=np.zeros(3)) / sum(kg for kg, _ in parts))


@dataclass(frozen=True)
class Tipping:
    """How far the centre of mass, `high_m` up, may go each way before it leaves the feet, metres."""

    high_m: float
    room_m: dict[str, float]

    @property
    def nearest(self) -> str:
        return min(self.room_m, key=lambda way: self.room_m[way])

    def lean_deg(self, way: str) -> float:
        """The lean of the whole stiff body about the feet at which it tips."""
        return float(np.degrees(np.arctan2(self.room_m[way], self.high_m)))

    def push_g(self, way: str) -> float:
        """The level acceleration, in g, at which the far edge is all that is stood on: the other way is pushed."""
        return self.room_m[way] / self.high_m

    def turn_speed_m_s(self, radius_m: float) -> float:
        """The speed round a bend at which the body, kept upright, tips outward: the smaller side."""
        sideways = min(self.room_m["left"], self.room_m["right"])
        return float(np.sqrt(max(sideways, 0.0) / self.high_m * G_M_S2 * radius_m))


WAYS = {"ahead": (0.0, -1.0), "back": (0.0, 1.0), "left": (1.0, 0.0), "right": (-1.0, 0.0)}


def tipping(middle_m: FloatArray, sheet: BodySheet, skeleton: Skeleton) -> Tipping:
    """The room of a centre of mass (3,), performer's frame, over the feet as they stand; not past the point of stepping."""
    outline = hull(np.concatenate(footprints(sheet, skeleton)))
    room = {name: room_m(outline, middle_m[:2], np.array(way)) for name, way in WAYS.items()}
    return Tipping(float(middle_m[2]), room)
