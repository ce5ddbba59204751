"""Where an opening lies in its wall: what is left round it, what holds it, and what to do with the piece cut out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.props.box import box_size, wall_of
from sightline.scene.prop import CarriedBox, Opening
from sightline.workshop.armway import rim_points
from sightline.workshop.clearance import within_hole

# Hole to edge or corner; corners rounded; the width of a reinforcing ring; what a saw takes. Common practice, no source.
MARGIN_M = 0.050
CORNER_M = 0.010
RING_M = 0.025
KERF_M = 0.002
COMMON = "common practice, no source"


@dataclass(frozen=True)
class Margins:
    """Least material (m) from the hole to each edge of its wall, to its nearest corner, and to the nearest other hole."""

    left_m: float
    right_m: float
    below_m: float
    above_m: float
    corner_m: float
    bridge_m: float | None
    left_share: float

    @property
    def least_m(self) -> float:
        sides = [self.left_m, self.right_m, self.below_m, self.above_m]
        return min(sides + ([self.bridge_m] if self.bridge_m is not None else []))


def margins(box: CarriedBox, opening: Opening, others: list[Opening]) -> Margins:
    """Left and right as the wall's `across` runs: right is where across is least."""
    size = wall_of(box_size(box), opening.wall).size_m
    half = np.array(opening.size_m) / 2
    at = np.array(opening.at)
    high = np.array(size) / 2 - (at + half)
    low = (at - half) + np.array(size) / 2
    corners = np.array([[sx * size[0] / 2, sy * size[1] / 2] for sx in (-1, 1) for sy in (-1, 1)])
    corner = float(within_hole(opening, corners - at).min())
    same = [o for o in others if o is not opening and o.wall == opening.wall]
    bridge = min((float(within_hole(o, rim_points(opening) + at - np.array(o.at)).min()) for o in same), default=None)
    cut = sum(area(o) for o in (opening, *same))
    left = 1.0 - cut / (size[0] * size[1])
    return Margins(float(high[0]), float(low[0]), float(low[1]), float(high[1]), corner, bridge, left)


def area(opening: Opening) -> float:
    """Area of the hole, m2."""
    width, height = opening.size_m
    if opening.shape == "round":
        return float(np.pi * width**2 / 4)
    radius = min(width, height) / 2 if opening.shape == "slot" else opening.corner_radius
    return float(width * height - (4 - np.pi) * radius**2)


def ring_size(opening: Opening) -> FloatArray:
    """Outer size (2,) of a reinforcing ring round the hole, m."""
    return np.array(opening.size_m) + 2 * RING_M


def ring_from(opening: Opening, openings: list[Opening]) -> Opening | None:
    """Another opening whose cut-out piece is large enough for this one's ring; None where there is none."""
    need = np.sort(ring_size(opening))
    for other in openings:
        if other is opening:
            continue
        piece = np.sort(np.array(other.size_m)) - 2 * KERF_M
        if other.shape == "rectangle" and opening.shape != "rectangle" and (piece >= need).all():
            return other
        # A round ring in a round piece, or any ring in a round piece by its diagonal.
        across = need[1] if opening.shape == "round" else float(np.hypot(*need))
        if other.shape == "round" and piece[0] >= across:
            return other
    return None
