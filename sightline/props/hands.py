"""How a hand lies on a wall of the prop: real or false, the wrist, the fingers and the palm follow from the place."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sightline.geometry.frame import FloatArray, unit

# Half the thickness of a palm at rest on something: hand depth about 28 mm, from memory.
PALM_OFF_M = 0.014


class HandHold(NamedTuple):
    """Where a hand is: its wrist joint (3,) m, fingers' direction and palm normal, unit vectors."""

    wrist: FloatArray
    fingers: FloatArray
    palm: FloatArray


def lay(contact: FloatArray, outward: FloatArray, shoulder: FloatArray, side: str, hand_length_m: float) -> HandHold:
    """A hand flat on a wall at `contact`, all in one frame; fingers run on from the shoulder, as near as the wall allows.

    On a wall that faces the shoulder or turns its back on it the fingers point up the wall, slightly inward.
    """
    from sightline.figure.arm import grip_wrist

    away = unit(contact - shoulder)
    along = away - (away @ outward) * outward
    if np.linalg.norm(along) < 0.5:
        inward = np.array([-1.0 if side == "left" else 1.0, 0.0, 0.0])
        along = np.array([0.0, -0.4, 0.8]) + 0.4 * inward
        along = along - (along @ outward) * outward
    fingers = unit(along)
    centre = contact + outward * PALM_OFF_M
    return HandHold(grip_wrist(centre, fingers, hand_length_m), fingers, -outward)
