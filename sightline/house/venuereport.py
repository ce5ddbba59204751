"""A venue judged by itself, as one document: levels, rows, blocked seats, places for wheelchairs, published bands."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.house.build import House
from sightline.house.quality import Row, SeatQuality, rows_of, seat_quality
from sightline.house.rows import C_BANDS_M, C_LEAST_M, C_LEAST_WORDS, c_words
from sightline.scene.venue import Venue

# Time-Saver Standards for Building Types (De Chiara), as quoted: last seat preferably within 75 to 100 ft; looking up at
# most 30 deg to the highest significant thing on stage, and down at most 30 deg from the highest seat; 60 deg aside is the
# limit of tolerable distortion of a flat screen.
LAST_SEAT_M, FARTHEST_SEAT_M = 22.86, 30.48
STEEPEST_DEG, SCREEN_DEG = 30.0, 60.0
C_SCOPE = (
    "The C-value is a stadium's: EN 13200-1:2019 says that it does not apply to theatres, cinemas, opera houses, "
    "auditoria and lecture halls. Here it is a borrowed yardstick, asked by nobody."
)
C_SOURCE = "P. Shepherd, University of Bath, worksheet 2012 (other authors draw other bands)"
NOT_CHECKED = (
    "Where the audience leans, hats and hair, columns that the venue's file does not name.",
    "Whether these seats, ways and places are allowed: the venue, its fire authority and the local code decide.",
)


@dataclass(frozen=True)
class VenueReport:
    """What `sightline venue` tells and draws. `blocked` (n,): the eye does not see every reference point for scenery;
    `by_heads` (n,) the same for heads besides, None when they were not asked for. `companions` are ids."""

    house: House
    quality: SeatQuality
    rows: list[Row]
    points_m: FloatArray
    hidden: NDArray[np.bool_]
    hidden_by_heads: NDArray[np.bool_] | None
    companions: frozenset[str]

    @cached_property
    def row_of(self) -> NDArray[np.intp]:
        """The index of each eye's row (n,), -1 without one."""
        out = np.full(len(self.house.eyes), -1, dtype=np.intp)
        for index, row in enumerate(self.rows):
            out[list(row.members)] = index
        return out

    @cached_property
    def blocked(self) -> NDArray[np.bool_]:
        return np.asarray(self.hidden.any(axis=1))

    @cached_property
    def by_heads(self) -> NDArray[np.bool_] | None:
        return None if self.hidden_by_heads is None else np.asarray(self.hidden_by_heads.any(axis=1))


def venue_report(
    house: House, venue: Venue, points_m: FloatArray, hidden: NDArray[np.bool_],
    hidden_by_heads: NDArray[np.bool_] | None, companions: frozenset[str],
) -> VenueReport:  # fmt: skip
    quality = seat_quality(house, venue)
    return VenueReport(house, quality, rows_of(house, quality), points_m, hidden, hidden_by_heads, companions)


def document(report: VenueReport, name: str) -> dict[str, Any]:
    """The report as JSON's plain values; lengths in metres, angles in degrees, nine significant digits."""
    house, quality = report.house, report.quality
    every = list(range(len(house.eyes)))
    levels: dict[str, list[int]] = {}
    for i, eye in enumerate(house.eyes):
        levels.setdefault(eye.level or "single eyes", []).append(i)
    return {
        "schema_version": 1,
        "venue": house.name,
        "file": name,
        "heads_count": report.hidden_by_heads is not None,
        "reference_points_m": [[_rounded(x) for x in point] for point in report.points_m.tolist()],
        "whole": _group(report, every),
        "levels": {level: _group(report, members) for level, members in levels.items()},
        "rows": [_row(report, row) for row in report.rows],
        "blocked": [
            {
                "id": house.eyes[i].id,
                "points": np.flatnonzero(report.hidden[i]).tolist(),
                "points_by_heads": [] if report.hidden_by_heads is None else np.flatnonzero(report.hidden_by_heads[i]).tolist(),
            }
            for i in every
            if report.blocked[i] or (report.by_heads is not None and report.by_heads[i])
        ],
        "wheelchair": [eye.id for eye in house.eyes if eye.kind == "wheelchair"],
        "companions": sorted(report.companions),
        "bands": {
            "source": C_SOURCE,
            "scope": C_SCOPE,
            "bands_m": [{"from": least, "words": words} for least, words in (*C_BANDS_M, (C_LEAST_M, C_LEAST_WORDS))],
            "angles_source": "Time-Saver Standards for Building Types (De Chiara), as quoted",
            "steepest_deg": STEEPEST_DEG,
            "screen_side_deg": SCREEN_DEG,
            "last_seat_m": [LAST_SEAT_M, FARTHEST_SEAT_M],
        },
        "beyond": {
            "farther_than_22_86_m": int((quality.distance_m > LAST_SEAT_M).sum()),
            "look_down_more_than_30_deg": int((quality.down_deg > STEEPEST_DEG).sum()),
            "look_up_more_than_30_deg": int((quality.up_deg > STEEPEST_DEG).sum()),
            "more_than_60_deg_aside": int((quality.side_deg > SCREEN_DEG).sum()),
        },
        "assumptions": list(house.notes),
        "not_checked": list(NOT_CHECKED),
    }  # fmt: skip


def _group(report: VenueReport, members: Sequence[int]) -> dict[str, Any]:
    """Figures of some eyes together."""
    eyes, quality = [report.house.eyes[i] for i in members], report.quality
    some = np.array(members, dtype=np.intp)
    clear = quality.c_m[some][~np.isnan(quality.c_m[some])] if len(some) else np.zeros(0)
    return {
        "eyes": len(eyes),
        "people": _rounded(sum(eye.weight for eye in eyes)),
        "kinds": dict(sorted(Counter(eye.kind for eye in eyes).items())),
        "rows": int((np.unique(report.row_of[some]) >= 0).sum()),
        "distance_m": _span(quality.distance_m[some]),
        "c_least_m": _rounded(clear.min()) if len(clear) else None,
        "c_median_m": _rounded(np.median(clear)) if len(clear) else None,
        "look_down_deg": _span(quality.down_deg[some]),
        "look_up_deg": _span(quality.up_deg[some]),
        "side_deg": _span(quality.side_deg[some]),
        "blocked": int(report.blocked[some].sum()),
        "blocked_by_heads": None if report.by_heads is None else int(report.by_heads[some].sum()),
    }


def _row(report: VenueReport, row: Row) -> dict[str, Any]:
    figures = _group(report, row.members)
    for key in ("rows", "people"):
        figures.pop(key)
    return {
        "level": row.level, "block": row.block, "row": row.row, **figures,
        "c_words": None if row.c_least_m is None else c_words(row.c_least_m),
        "rise_m": _rounded(row.rise_m), "rise_for_60_mm_m": _rounded(row.rise_for_60_mm_m),
        "rise_for_120_mm_m": _rounded(row.rise_for_120_mm_m),
    }  # fmt: skip


def _span(values: FloatArray) -> list[float | None]:
    return [_rounded(values.min()), _rounded(values.max())] if len(values) else [None, None]


def _rounded(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(f"{float(value):.9g}")
