"""What advice must not buy concealment with: people's safety and access. Such changes are refused, not ranked low."""

from __future__ import annotations

import numpy as np

from sightline.blocking.keepout import Ground, KeepOut, grounds_of, obstacles
from sightline.blocking.levers import Change
from sightline.blocking.trial import Outcome
from sightline.geometry.frame import FloatArray
from sightline.house.build import House
from sightline.house.eyes import Eye
from sightline.house.ground import way_to_way_m
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.staging.places import protected

# What comes nearer than this touches.
TOUCHES_M = 1e-6
# Scenery keeps so far from aisles and from wheelchair places. Common practice, no source.
FROM_AISLES_M, FROM_WHEELCHAIRS_M = 0.3, 1.0


class Refusals:
    """The rules of one scene, ready to be asked about any change of it."""

    def __init__(self, written: Written[Scene], house: House):
        self.written, self.house = written, house
        self.keep_out: KeepOut = obstacles(house)
        self.protected = protected(house.eyes)
        self._from_edges = written.model.blocking.from_edges
        self._base = self.keep_out.refusal(np.array([written.model.blocking.mark]), self._from_edges)

    def of_mark(self, mark_m: tuple[float, float]) -> str | None:
        """Why the performer may not stand there; None if they may, or already stand no better."""
        if self._base is not None:
            # The scene's own mark is refused: rehearse says so; here only staying put is allowed.
            return None if mark_m == self.written.model.blocking.mark else self._base
        return self.keep_out.refusal(np.array([mark_m]), self._from_edges)

    def of_scenery(self, footprint_m: FloatArray) -> str | None:
        """Why nothing may stand on a piece of floor (n, 2): in an exit, an aisle, an area to be kept clear."""
        for area in self.keep_out.areas:
            if area.holds(footprint_m) or area.distance_m(footprint_m) < TOUCHES_M:
                return f"It would stand in '{area.name}', which is to be kept clear."
        for aisle in grounds_of(self.house.outlines, "aisle"):
            if aisle.holds(footprint_m) or aisle.distance_m(footprint_m) < FROM_AISLES_M:
                return f"It would stand in the aisle '{aisle.name}'."
        for eye in self.house.eyes:
            at = np.array([eye.position_m[:2]])
            if eye.kind == "wheelchair" and way_to_way_m(at, footprint_m) < FROM_WHEELCHAIRS_M:
                return f"It would stand in the way of the wheelchair place '{eye.id}'."
        return None

    def of_sector(
        self, eyes: list[Eye], from_rad: float, to_rad: float, out_m: float, mark_m: FloatArray
    ) -> str | None:
        """Why a sector may not be closed: it holds a wheelchair place, or an exit or a clear way lies in it."""
        for eye in eyes:
            if eye.id in self.protected:
                return f"It would close off the wheelchair or companion place '{eye.id}'."
        turn = np.linspace(from_rad, from_rad + (to_rad - from_rad) % (2 * np.pi), 24)
        rim = mark_m + out_m * np.column_stack([np.sin(turn), -np.cos(turn)])
        fan = Ground("sector", "sector", np.concatenate([mark_m[None], rim, mark_m[None]]), True)
        for area in self.keep_out.areas:
            if area.holds(fan.points_m) or area.distance_m(fan.points_m) < TOUCHES_M or fan.holds(area.points_m):
                return f"It would close off '{area.name}', which is to be kept clear."
        return None

    def of_seats(self, ids: list[str]) -> str | None:
        """Why seats may not be held off sale: wheelchair and companion places never are."""
        taken = [eye for eye in ids if eye in self.protected]
        return f"It would hold the wheelchair or companion place '{taken[0]}' off sale." if taken else None

    def of_outcome(self, before: Outcome, after: Outcome) -> str | None:
        """Why changes may not be made for what they take from wheelchair and companion places: a clear view."""
        there = dict(zip(after.ids, range(len(after.ids)), strict=True))
        for name, had in before.clear.items():
            for i, eye in enumerate(before.ids):
                if eye in self.protected and had[i] and (eye not in there or not after.clear[name][there[eye]]):
                    return f"It would take the clear view of the {name} from the wheelchair or companion place '{eye}'."
        return None

    def not_checked(self) -> list[str]:
        said = self.keep_out.not_checked()
        return [said] if said else []


def placed(changes: tuple[Change, ...], base: tuple[float, float]) -> tuple[float, float]:
    """The mark after changes, or the scene's own."""
    for change in changes:
        if change.mark_m is not None:
            return change.mark_m
    return base
