"""The room sheet as a table: one row for each eye, in both measures, with both lefts and rights."""

from __future__ import annotations

from typing import Any

from sightline.blocking.notation import distance, feet, short_side
from sightline.geometry.frame import FloatArray
from sightline.workshop.roomsheet import RoomSheet, shows
from sightline.workshop.roomspot import Knot, Spot

COLUMNS = (
    "no.", "eye", "kind", "chosen", "secret", "knot", "in the venue", "leak, arcmin", "margin, deg", "distance, m",
    "in the room", "expected", "ahead, m", "ahead", "side, m", "side", "height, m", "height", "string, m", "string",
    "from wall behind, m", "from wall at own right, m", "bearing, deg", "tilt, deg", "nearness, deg", "why not",
    "a secret shows", "none shows", "where",
)  # fmt: skip
SIDES = (
    "SL stage left is the performer's own left, HR house right: to the right as seen from in front. SR is the own right, HL "
    "house left."
)


def ahead_words(y_m: float) -> str:
    """How far in front of the performer's mark: `3.25 m ahead (10 ft 8 in)`."""
    if abs(y_m) < 0.005:
        return "level with the mark"
    return f"{abs(y_m):.2f} m {'ahead' if y_m < 0 else 'behind'} ({feet(abs(y_m))})"


def side_words(x_m: float) -> str:
    """How far to the side of the performer's mark: `1.10 m SL / HR (3 ft 7 1/4 in)`."""
    if abs(x_m) < 0.005:
        return "on the mark's line"
    return f"{short_side(round(x_m, 2))} ({feet(abs(x_m))})"


def knot_words(knot: Knot) -> str:
    x, y, z = (float(v) for v in knot.at_m)
    return f"{ahead_words(y)}, {side_words(x)}, {distance(z)} up"


def house_words(spot: Spot) -> str:
    """What the check said of this eye in its own place."""
    if spot.venue_verdict == "hidden":
        if spot.margin_deg is None:
            return "nothing shows"
        return "nothing shows" + (
            f", {spot.margin_deg:.1f} deg to spare" if spot.margin_deg < 180 else ", from anywhere"
        )
    much = f"{spot.leak_arcmin:.0f}'" if spot.leak_arcmin < 60 else f"{spot.leak_arcmin / 60:.1f} deg"
    return f"{spot.venue_verdict}, {much}"


def nearness_words(spot: Spot) -> str:
    """What the camera's being nearer than the eye changes."""
    if spot.venue_distance_m - spot.string_m < 0.01:
        return "none: the camera is where the eye is"
    return (
        f"{spot.venue_distance_m - spot.string_m:.1f} m nearer: directions to the ends of {spot.knot.secret} change by up to "
        f"{spot.nearness_deg:.1f} deg"
    )


def row(sheet: RoomSheet, spot: Spot) -> dict[str, str]:
    """One eye; the cells of a camera that cannot be are empty."""
    made = dict.fromkeys(COLUMNS, "")
    made |= {
        "no.": str(spot.number), "eye": spot.eye, "kind": spot.kind, "chosen": spot.chosen, "secret": spot.knot.secret,
        "knot": spot.knot.letter, "in the venue": house_words(spot), "leak, arcmin": f"{spot.leak_arcmin:.1f}",
        "margin, deg": "" if spot.margin_deg is None else f"{spot.margin_deg:.1f}",
        "distance, m": f"{spot.venue_distance_m:.2f}", "in the room": "no" if spot.camera_m is None else "yes",
        "bearing, deg": f"{spot.bearing_deg:.1f}", "tilt, deg": f"{spot.tilt_deg:.1f}", "why not": spot.why_not or "",
    }  # fmt: skip
    if spot.camera_m is None:
        return made
    x, y, z = (float(v) for v in spot.camera_m)
    behind, right = walls_m(sheet, spot.camera_m)
    return made | {
        "expected": shows(spot.predicted), "ahead, m": f"{-y:.3f}", "ahead": ahead_words(y), "side, m": f"{x:.3f}",
        "side": side_words(x), "height, m": f"{z:.3f}", "height": distance(z), "string, m": f"{spot.string_m:.3f}",
        "string": distance(spot.string_m), "from wall behind, m": f"{behind:.3f}", "from wall at own right, m": f"{right:.3f}",
        "nearness, deg": f"{spot.nearness_deg:.1f}",
    }  # fmt: skip


def walls_m(sheet: RoomSheet, at_m: FloatArray) -> tuple[float, float]:
    """How far a place is from the wall behind the performer, and from the one at the performer's own right."""
    return sheet.mark_m[1] - float(at_m[1]), sheet.mark_m[0] + float(at_m[0])


def tilt_words(spot: Spot) -> str:
    tilt = spot.tilt_deg
    return "level" if abs(tilt) < 0.5 else f"{abs(tilt):.0f} deg {'up' if tilt > 0 else 'down'}"


def document(sheet: RoomSheet) -> dict[str, Any]:
    """The room for programs, metres and degrees in the performer's frame."""

    def rounded(value: float | None) -> float | None:
        return None if value is None else float(f"{value:.9g}")

    def point(at: FloatArray | None) -> list[float | None] | None:
        return None if at is None else [rounded(float(v)) for v in at]

    return {
        "across_m": sheet.room.across_m, "along_m": sheet.room.along_m, "ceiling_m": sheet.room.ceiling_m,
        "mark_from_right_wall_m": sheet.mark_m[0], "mark_from_wall_behind_m": sheet.mark_m[1],
        "knots": [{"knot": k.letter, "secret": k.secret, "at_m": point(k.at_m)} for k in sheet.knots],
        "eyes": [
            {
                "number": s.number, "eye": s.eye, "kind": s.kind, "chosen": s.chosen, "secret": s.knot.secret,
                "knot": s.knot.letter, "verdict": s.venue_verdict, "angular_size_arcmin": rounded(s.leak_arcmin),
                "margin_deg": rounded(s.margin_deg), "eye_m": point(s.venue_m),
                "distance_m": rounded(s.venue_distance_m), "camera_m": point(s.camera_m),
                "string_m": rounded(s.string_m) if s.camera_m is not None else None,
                "bearing_deg": rounded(s.bearing_deg), "tilt_deg": rounded(s.tilt_deg),
                "nearness_deg": rounded(s.nearness_deg) if s.camera_m is not None else None,
                "expected": s.predicted, "why_not": s.why_not,
            }
            for s in sheet.spots
        ],
    }  # fmt: skip
