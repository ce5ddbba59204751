"""Where in a room the camera of one eye goes, on that eye's own line of sight.

Lengths in metres; places are in the performer's own frame (+x to the performer's left, -y ahead, z up from the room's
floor, the mark at the origin).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray, unit
from sightline.workshop.room import Room

NEAREST_M = 1.0
# A camera on its stand keeps this off walls, ceiling and floor; the performer this much round the mark. Common practice,
# no source.
OFF_WALL_M, OFF_CEILING_M, OFF_FLOOR_M, ELBOW_ROOM_M = 0.25, 0.10, 0.10, 0.50
# The mark is looked for on a grid.
STEP_M, MOST_STEPS = 0.1, 40


@dataclass(frozen=True)
class Knot:
    """Where the string is held: the middle of one secret, at rest."""

    letter: str
    secret: str
    at_m: FloatArray


@dataclass(frozen=True)
class Spot:
    """One eye and, where the room holds it, its camera.

    `venue_m` is the eye in the performer's frame; `string_m` knot to camera; `nearness_deg` by how much the directions
    to the secret's own ends change by coming nearer; `room` the index of its eye in the room's finding.
    """

    number: int
    eye: str
    kind: str
    chosen: str
    knot: Knot
    venue_m: FloatArray
    venue_verdict: str
    leak_arcmin: float
    margin_deg: float | None
    camera_m: FloatArray | None
    string_m: float
    nearness_deg: float
    why_not: str | None
    room: int | None = None
    predicted: str | None = None

    @property
    def venue_distance_m(self) -> float:
        return float(np.linalg.norm(self.venue_m - self.knot.at_m))

    @property
    def bearing_deg(self) -> float:
        """Of the line from the knot to the eye: 0 straight ahead of the performer, + to the performer's left."""
        way = self.venue_m - self.knot.at_m
        return float(np.degrees(np.arctan2(way[0], -way[1])))

    @property
    def tilt_deg(self) -> float:
        """How far the camera looks up (+) or down (-)."""
        way = self.venue_m - self.knot.at_m
        return -float(np.degrees(np.arctan2(way[2], np.hypot(way[0], way[1]))))


def best_mark(
    spots: Sequence[Spot], room: Room, taken: tuple[FloatArray, FloatArray]
) -> tuple[Room, tuple[float, float]]:  # fmt: skip
    """Which way the room is used and where the mark is, so that most eyes fit, and then stand farthest off."""
    turned = Room(room.along_m, room.across_m, room.ceiling_m)
    step = max(STEP_M, max(room.across_m, room.along_m) / MOST_STEPS)
    best: tuple[tuple[int, float, float], Room, tuple[float, float]] | None = None
    for held in (turned, room) if turned != room else (room,):
        low, high = taken
        # Across from the wall at the performer's right (-x); along from the wall behind (+y).
        across = np.arange(max(-low[0], 0.0), held.across_m - high[0] + 1e-9, step)
        along = np.arange(max(high[1], 0.0), held.along_m + low[1] + 1e-9, step)
        for x in across.tolist():
            for y in along.tolist():
                lengths = [
                    float(np.linalg.norm(at - spot.knot.at_m)) if at is not None else 0.0
                    for spot, (at, _) in zip(spots, reaches(spots, held, (x, y)), strict=True)
                ]
                rank = (sum(length > 0 for length in lengths), round(sum(lengths), 3), -abs(x - held.across_m / 2))
                if best is None or rank > best[0]:
                    best = rank, held, (round(x, 3), round(y, 3))
    if best is None:
        return room, (room.across_m / 2, min(ELBOW_ROOM_M, room.along_m / 2))
    return best[1], best[2]


def reaches(
    spots: Sequence[Spot], room: Room, mark: tuple[float, float]
) -> list[tuple[FloatArray | None, str | None]]:  # fmt: skip
    """For each eye the camera as far out on its line as the room lets it, or why there is none."""
    low = np.array([-mark[0] + OFF_WALL_M, mark[1] - room.along_m + OFF_WALL_M, OFF_FLOOR_M])
    high = np.array([room.across_m - mark[0] - OFF_WALL_M, mark[1] - OFF_WALL_M, room.ceiling_m - OFF_CEILING_M])
    walls = (("the wall at the performer's right", "the wall at the performer's left"),
             ("the wall ahead", "the wall behind"), ("the floor", "the ceiling"))  # fmt: skip
    out: list[tuple[FloatArray | None, str | None]] = []
    for spot in spots:
        knot, whole = spot.knot.at_m, spot.venue_distance_m
        if whole < NEAREST_M:
            out.append((None, f"it is itself only {whole:.2f} m from the secret"))
            continue
        way = unit(spot.venue_m - knot)
        most, stop = whole, ""
        for k in range(3):
            if abs(way[k]) > 1e-12:
                reach = float(((high if way[k] > 0 else low)[k] - knot[k]) / way[k])
                if reach < most:
                    most, stop = reach, walls[k][int(way[k] > 0)]
        if most >= NEAREST_M:
            out.append((knot + way * most, None))
            continue
        at = knot + way * NEAREST_M
        said = f"the camera would be at {stop}" if stop.startswith("the wall") else (
            f"the camera would be above the ceiling of {room.ceiling_m:.2f} m"
            if stop == "the ceiling" else "the camera would be below the floor"
        )  # fmt: skip
        out.append(
            (
                None,
                f"{said}: at {NEAREST_M:.1f} m from the knot it would be {at[2]:.2f} m up, and there is room for {max(most, 0):.2f} m",
            )
        )
    return out


def nearness_deg(points: FloatArray, eye: FloatArray, camera: FloatArray) -> float:
    """The most by which the direction from any of the points (n, 3) to the viewpoint changes between the two."""
    one, other = eye - points, camera - points
    one = one / np.linalg.norm(one, axis=1, keepdims=True)
    other = other / np.linalg.norm(other, axis=1, keepdims=True)
    crossed = np.linalg.norm(np.cross(one, other), axis=1)
    return float(np.degrees(np.arctan2(crossed, np.einsum("ij,ij->i", one, other))).max())
