"""Doors and aisles: how wide performer and prop are in plan, how they turn, and the narrowest door they pass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.blocking.notation import distance
from sightline.geometry.frame import FloatArray
from sightline.workshop.bench import Bench
from sightline.workshop.section import Item, Section

# Left on each side of what goes through, for a walking body that sways. Common practice, no source.
EASE_M = 0.05
# A turn that gains less than this is not worth telling.
WORTH_M = 0.02
# Clear width of an accessible door (32 in) and route (36 in): the US accessibility standards of 2010, by craft.md 5.
DOOR_M, ROUTE_M = 0.815, 0.915
PRACTICE = "common practice, no source"
DOOR_SOURCE = "32 in clear door, 36 in accessible route, US accessibility standards; local code decides"
# A strict convention rule: nothing more than 6 in beyond the body (craft notes, section 5).
BEYOND_BODY_M = 0.1524


@dataclass(frozen=True)
class Footprint:
    """Everything worn and carried in plan, metres. `turning_m` is the farthest point from the spine's plumb line."""

    width_m: float
    depth_m: float
    turning_m: float
    narrowest_m: float
    narrowest_turn_deg: float

    @property
    def straight_m(self) -> float:
        """Narrowest door walked straight through."""
        return self.width_m + 2 * EASE_M

    @property
    def sideways_m(self) -> float:
        return self.depth_m + 2 * EASE_M

    @property
    def best_m(self) -> float:
        """Narrowest door at the best turn of the body."""
        return self.narrowest_m + 2 * EASE_M


def footprint(points: FloatArray, spine: FloatArray) -> Footprint:
    """The plan of points (n, 2 or 3): across is x, depth is y; `spine` (2,) is what the body turns about."""
    plan = np.asarray(points, dtype=float)[:, :2]
    across = np.ptp(plan, axis=0)
    # Half a turn brings the same width back; a degree is finer than anybody turns.
    turns = np.radians(np.arange(0.0, 180.0))
    widths = np.ptp(plan @ np.array([np.cos(turns), np.sin(turns)]), axis=0)
    best = int(widths.argmin())
    reach = float(np.linalg.norm(plan - spine[:2], axis=1).max())
    return Footprint(float(across[0]), float(across[1]), reach, float(widths[best]), float(np.degrees(turns[best])))


def footprint_of(bench: Bench) -> Footprint | None:
    """Body, prop, limbs, costume and rig together; None without a performer."""
    body = bench.body
    if body is None:
        return None
    act, skeleton = bench.staged.act, body.skeleton
    meshes = [c.mesh for c in act.covers] + [s.mesh for s in act.secrets] + [c.mesh for c in act.poses[0].surfaces()]
    spine = (skeleton.left_hip + skeleton.right_hip)[:2] / 2
    return footprint(np.concatenate([mesh.vertices for mesh in meshes if len(mesh.faces)]), spine)


def section(bench: Bench) -> Section:
    found = footprint_of(bench)
    if found is None:
        words = "Doors and aisles are not known: the scene has no performer."
        return Section("doors and aisles", [Item("footprint", "not known", words)])
    items = [
        Item(
            "footprint", "told",
            f"In plan performer and prop are {distance(found.width_m)} across and {distance(found.depth_m)} deep.",
            [round(found.width_m, 4), round(found.depth_m, 4)], "m",
        ),
        Item(
            "turning circle", "told",
            f"Turning on the spot sweeps a circle of {distance(2 * found.turning_m)}, {distance(found.turning_m)} from "
            "the spine: nobody stands in it while the performer turns.",
            found.turning_m, "m",
        ),
        _door("door straight", "walked straight through", found.straight_m),
        _door("door sideways", "passed sideways", found.sideways_m),
        _turned(found),
        _route(found),
        *_beyond(bench, found),
    ]  # fmt: skip
    return Section(
        "doors and aisles",
        items,
        cautions=[
            "For information only: how wide a way out must be, and what may stand in it, the venue's fire authority and "
            "local code decide. A prop that fills an aisle blocks other people's way out.",
        ],
        assumptions=[f"A door needs {distance(EASE_M)} to spare on each side ({PRACTICE})."],
        not_checked=["door heights, closers and thresholds; stairs, lifts, turnstiles and vehicles"],
    )


def _door(key: str, how: str, needed_m: float) -> Item:
    fits = needed_m <= DOOR_M
    words = f"The narrowest door {how} is {distance(needed_m)} clear, {distance(EASE_M)} to spare on each side; "
    words += f"a door of {DOOR_M * 1000:.0f} mm (32 in) is {'wide enough' if fits else 'too narrow'}."
    return Item(key, "told" if fits else "warn", words, needed_m, "m", DOOR_SOURCE)


def body_turn_deg(found: Footprint) -> float:
    """How the body turns (positive to its own left) so that its narrowest width lies across the door."""
    axis = found.narrowest_turn_deg
    # The narrow axis stands `axis` counter-clockwise of across; turning the body back by as much brings it there.
    return -axis if axis <= 90.0 else 180.0 - axis


def _turned(found: Footprint) -> Item:
    words = "No turn of the body passes a narrower door than these."
    if min(found.straight_m, found.sideways_m) - found.best_m > WORTH_M:
        turn = body_turn_deg(found)
        way = "left" if turn > 0 else "right"
        words = f"Turned {abs(turn):.0f} deg to the own {way}, a door of {distance(found.best_m)} does."
    return Item("door turned", "told", words, found.best_m, "m", PRACTICE)


def _route(found: Footprint) -> Item:
    fits = found.straight_m <= ROUTE_M
    words = f"On a route of {ROUTE_M * 1000:.0f} mm (36 in) performer and prop "
    words += "leave room at the sides, but nobody passes." if fits else "do not walk straight."
    return Item("aisle", "told" if fits else "warn", words, ROUTE_M, "m", DOOR_SOURCE)


def _beyond(bench: Bench, found: Footprint) -> list[Item]:
    sheet = bench.sheet
    if sheet is None:
        return []
    # Elbow to elbow a standing body is little wider than its shoulders.
    beyond = max(found.width_m - sheet.bideltoid_m, 0.0) / 2
    ahead = 0.0
    body = bench.body
    if bench.carried is not None and body is not None:
        size, placed = bench.carried.size_m, bench.carried.placement
        corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) * size / 2
        ahead = float(-placed.points(corners)[:, 1].min()) - sheet.chest_depth_m / 2
    most = max(beyond, ahead)
    if most <= BEYOND_BODY_M:
        return []
    words = (
        f"The prop stands {distance(most)} beyond the body; strict convention rules allow {distance(BEYOND_BODY_M)} or "
        "ask for a handler: ask the organiser."
    )
    return [Item("beyond the body", "warn", words, most, "m", "convention costume rules, craft notes")]
