"""What a raised arm weighs on its shoulder: published segment masses, each model beside the others.

Masses are shares of body mass, centres of mass shares of the segment from its near end. Gravity only, held still.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sightline.figure.sheet import BodySheet
from sightline.figure.tables import Sex
from sightline.geometry.frame import FloatArray

G_M_S2 = 9.81


class Share(NamedTuple):
    """One segment: its share of body mass, and where along it the centre of mass is."""

    mass: float
    middle: float


# Dempster 1955 in Winter, Biomechanics and Motor Control of Human Movement, Table 4.1 (the same in two open copies).
# The hand's middle is published from wrist to second knuckle; here the share is taken of the whole hand's length,
# which is on the heavy side.
WINTER = {
    "upper arm": Share(0.028, 0.436),
    "forearm": Share(0.016, 0.430),
    "hand": Share(0.006, 0.506),
    "forearm and hand": Share(0.022, 0.682),
    "total arm": Share(0.050, 0.530),
}
# De Leva 1996, J. Biomech. 29:1223; the hand from wrist to the tip of the third finger.
DE_LEVA: dict[Sex, dict[str, Share]] = {
    "male": {"upper arm": Share(0.0271, 0.5772), "forearm": Share(0.0162, 0.4574), "hand": Share(0.0061, 0.3624)},
    "female": {"upper arm": Share(0.0255, 0.5754), "forearm": Share(0.0138, 0.4559), "hand": Share(0.0056, 0.3427)},
}
THREE, TWO, TOTAL, LEVA = (
    "three segments, Dempster in Winter",
    "upper arm, and forearm with hand, Dempster in Winter",
    "total-arm row, Dempster in Winter",
    "three segments, de Leva 1996",
)


@dataclass(frozen=True)
class ArmAt:
    """An arm somewhere: joints (3,) m, `fingers` the hand's direction, `hand_m` its length."""

    shoulder: FloatArray
    elbow: FloatArray
    wrist: FloatArray
    fingers: FloatArray
    hand_m: float


def points(arm: ArmAt, body_kg: float, sex: Sex | None) -> dict[str, list[tuple[float, FloatArray]]]:
    """By model: masses (kg) and the places (3,) where they are."""

    def on(share: Share, start: FloatArray, line: FloatArray) -> tuple[float, FloatArray]:
        return share.mass * body_kg, start + share.middle * line

    upper, fore, hand = arm.elbow - arm.shoulder, arm.wrist - arm.elbow, arm.fingers * arm.hand_m

    def three(rows: dict[str, Share]) -> list[tuple[float, FloatArray]]:
        return [
            on(rows["upper arm"], arm.shoulder, upper), on(rows["forearm"], arm.elbow, fore),
            on(rows["hand"], arm.wrist, hand),
        ]  # fmt: skip

    two = [on(WINTER["upper arm"], arm.shoulder, upper), on(WINTER["forearm and hand"], arm.elbow, fore)]
    return {THREE: three(WINTER), TWO: two, LEVA: three(de_leva(sex))}


def de_leva(sex: Sex | None) -> dict[str, Share]:
    """De Leva's rows for a sex, or the mean of both."""
    if sex is not None:
        return DE_LEVA[sex]
    both = zip(DE_LEVA["female"].items(), DE_LEVA["male"].values(), strict=True)
    return {name: Share((a.mass + b.mass) / 2, (a.middle + b.middle) / 2) for (name, a), b in both}


def moment_nm(pivot: FloatArray, loads: list[tuple[float, FloatArray]]) -> float:
    """Gravity's moment about a joint (3,), N m: level distance times weight, summed as vectors."""
    level = sum((kg * (at - pivot)[:2] for kg, at in loads), start=np.zeros(2))
    return float(G_M_S2 * np.linalg.norm(level))


def straight_arm_nm(sheet: BodySheet) -> dict[str, float]:
    """The arm straight and level, N m about the shoulder, by every model: the disagreement of the published rows."""
    ahead = np.array([0.0, -1.0, 0.0])
    shoulder = np.zeros(3)
    elbow, wrist = ahead * sheet.upper_arm_m, ahead * sheet.arm_m
    arm = ArmAt(shoulder, elbow, wrist, ahead, sheet.hand_length_m)
    found = {name: moment_nm(shoulder, loads) for name, loads in points(arm, sheet.mass_kg, sheet.sex).items()}
    total = WINTER["total arm"]
    return {TOTAL: moment_nm(shoulder, [(total.mass * sheet.mass_kg, total.middle * wrist)])} | found


def level_forearm_nm(sheet: BodySheet, held_kg: float = 0.0) -> float:
    """The forearm level, N m about the elbow, by the forearm-and-hand row; `held_kg` at the wrist."""
    row = WINTER["forearm and hand"]
    arm = row.mass * sheet.mass_kg * row.middle
    return G_M_S2 * sheet.forearm_m * (arm + held_kg)


def raised_deg(shoulder: FloatArray, elbow: FloatArray) -> float:
    """How far the upper arm is raised from hanging, degrees."""
    v = elbow - shoulder
    return float(np.degrees(np.arctan2(np.hypot(v[0], v[1]), -v[2])))
