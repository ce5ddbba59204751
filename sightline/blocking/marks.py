"""Marks as they are taped out: from centre line and plaster line, and by two tapes.

Metres in the frame of the stage, on a level floor: +x stage left (house right), +y upstage.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sightline.blocking.beats import Step
from sightline.blocking.notation import (
    Spot,
    datum,
    degrees_from_front,
    depth_words,
    facing_words,
    feet,
    opening_half_m,
    short_side,
)
from sightline.house.csvtable import guarded
from sightline.house.outline import Outline
from sightline.scene.blocking import Blocking

# Tape that is told apart by the colour-blind too, brightest steps first; every mark also has its number written on
# it. Common practice, no source.
TAPES = ("yellow", "blue", "white", "orange", "light blue", "pink")
# Two tapes that cross at less than this fix a mark poorly: an error in length slides it far. Common practice, no source.
POOR_FIX_RAD = math.radians(15.0)
# Marks nearer to each other than this are one mark.
SAME_MARK_M = 0.001
# Where nothing else is said or built, tapes are hooked this far to either side of the origin. Common practice, no source.
HOOK_M = 2.0


@dataclass(frozen=True)
class Tapes:
    """The two points that tapes are hooked on, and what they are called. `why` says where they come from."""

    a_m: Spot
    b_m: Spot
    names: tuple[str, str]
    why: str

    def side_of(self, spot: Spot) -> float:
        """Distance from the line A to B, positive to its left (upstage, where A is stage right of B)."""
        (ax, ay), (bx, by) = self.a_m, self.b_m
        cross = (bx - ax) * (spot[1] - ay) - (by - ay) * (spot[0] - ax)
        return cross / math.dist(self.a_m, self.b_m)

    def side_name(self, spot: Spot) -> str:
        """On which side of the line between the hooks the tapes must meet; they would meet on the other, too."""
        off = self.side_of(spot)
        if abs(off) < SAME_MARK_M:
            return "on the line"
        x, y = self.a_m[1] - self.b_m[1], self.b_m[0] - self.a_m[0]  # the normal to the left of A to B
        if abs(y) >= abs(x):
            return "upstage" if y * off > 0 else "downstage"
        return "stage left" if x * off > 0 else "stage right"

    def crossing_rad(self, spot: Spot) -> float | None:
        """The angle between the tapes where they meet, 0 to pi; None at a hook itself."""
        away = [np.subtract(hook, spot) for hook in (self.a_m, self.b_m)]
        if min(float(np.hypot(*way)) for way in away) < SAME_MARK_M:
            return None
        cosine = float(away[0] @ away[1]) / float(np.hypot(*away[0]) * np.hypot(*away[1]))
        return math.acos(min(1.0, max(-1.0, cosine)))

    def meeting(self, from_a_m: float, from_b_m: float, left: bool = True) -> Spot:
        """Where two taped lengths meet, to the left of A to B or to its right; the nearest place if they do not."""
        a, b = np.array(self.a_m), np.array(self.b_m)
        base = float(np.hypot(*(b - a)))
        along = (base**2 + from_a_m**2 - from_b_m**2) / (2 * base)
        off = math.sqrt(max(from_a_m**2 - along**2, 0.0)) * (1.0 if left else -1.0)
        ahead = (b - a) / base
        x, y = a + along * ahead + off * np.array([-ahead[1], ahead[0]])
        return float(x), float(y)


@dataclass(frozen=True)
class Spike:
    """One row of the spike table. `facing_rad` is that of the first beat there, None where no beat goes."""

    number: int
    label: str
    shape: str
    tape: str
    spot_m: Spot
    facing_rad: float | None
    tapes: Tapes
    from_what: str
    beats: tuple[str, ...]

    @property
    def lengths_m(self) -> tuple[float, float]:
        """From tape A and from tape B."""
        return math.dist(self.tapes.a_m, self.spot_m), math.dist(self.tapes.b_m, self.spot_m)

    def warning(self) -> str | None:
        """A sentence where the two tapes cross too flat to hold the mark."""
        angle = self.tapes.crossing_rad(self.spot_m)
        if angle is None or POOR_FIX_RAD <= angle <= math.pi - POOR_FIX_RAD:
            return None
        return (
            f"Mark {self.number} ({self.label}) is nearly in line with the two tapes, which meet at "
            f"{math.degrees(angle):.0f} deg: a poor fix. Measure it from CL and {self.from_what}, or choose other 'tapes'."
        )

    def row(self) -> dict[str, str]:
        """The row in words, both sides and both measures, for a sheet."""
        (x, y), (a, b) = self.spot_m, self.lengths_m
        names = self.tapes.names
        return {
            "no.": str(self.number),
            "mark": self.label,
            "shape": self.shape,
            "tape colour": f"{self.number} {self.tape}",
            "from CL": short_side(x),
            "from CL, ft": feet(abs(x), 8),
            f"from {self.from_what}": depth_words(y, self.from_what),
            f"from {self.from_what}, ft": feet(abs(y), 8),
            "facing": "" if self.facing_rad is None else facing_words(self.facing_rad),
            f"{names[0]}, m": f"{a:.3f}",
            f"{names[0]}, ft": feet(a, 8),
            f"{names[1]}, m": f"{b:.3f}",
            f"{names[1]}, ft": feet(b, 8),
            "tapes meet": self.tapes.side_name(self.spot_m),
            "beats": ", ".join(self.beats),
        }

    def document(self) -> dict[str, object]:
        """The row for other programs: metres, degrees."""
        a, b = self.lengths_m
        facing = None if self.facing_rad is None else _nine(degrees_from_front(self.facing_rad))
        return {
            "number": self.number, "label": self.label, "shape": self.shape, "tape": self.tape,
            "position_m": [_nine(v) for v in self.spot_m], "facing_deg": facing,
            "from_tape_a_m": _nine(a), "from_tape_b_m": _nine(b),
            "tape_a_m": [_nine(v) for v in self.tapes.a_m], "tape_b_m": [_nine(v) for v in self.tapes.b_m],
            "tapes_meet": self.tapes.side_name(self.spot_m), "beats": list(self.beats), "words": self.row(),
        }  # fmt: skip


def _nine(value: float) -> float:
    return float(f"{value:.9g}")


def tapes_of(blocking: Blocking, outlines: Sequence[Outline]) -> Tapes:
    """The scene's own `tapes`; else the ends of the proscenium opening at the plaster line; else 2 m from the origin."""
    if blocking.tapes is not None:
        a, b = blocking.tapes
        why = "The two tapes are hooked where the scene says."
    elif (half := opening_half_m(outlines)) is not None:
        a, b = (-half, 0.0), (half, 0.0)
        why = "The two tapes are hooked on the ends of the proscenium opening, at the plaster line."
    else:
        a, b = (-HOOK_M, 0.0), (HOOK_M, 0.0)
        why = f"The two tapes are hooked {HOOK_M:g} m to either side of {datum(outlines)}, square to CL."
    low, high = ("DS", "US") if a[0] == b[0] else ("SR", "SL")
    ends = (low, high) if a < b else (high, low)
    return Tapes(a, b, (f"tape A ({ends[0]})", f"tape B ({ends[1]})"), why)


def spike_table(steps: Sequence[Step], blocking: Blocking, outlines: Sequence[Outline]) -> list[Spike]:
    """Every mark once: in the order of the beats, then the named ones where no beat goes."""
    tapes, from_what = tapes_of(blocking, outlines), datum(outlines)
    # (spot, name, facing, beats)
    found: list[tuple[Spot, str | None, float | None, list[str]]] = []
    for step in steps:
        here = next((entry for entry in found if math.dist(entry[0], step.mark_m) < SAME_MARK_M), None)
        if here is None:
            found.append((step.mark_m, step.mark_name, step.facing_rad, [step.name]))
        else:
            here[3].append(step.name)
    for name, spot in blocking.marks.items():
        if not any(math.dist(entry[0], spot) < SAME_MARK_M for entry in found):
            found.append((spot, name, None, []))
    return [
        Spike(
            n, name or f"M{n}", "cross", TAPES[(n - 1) % len(TAPES)], spot, facing, tapes, from_what, tuple(beats)
        )
        for n, (spot, name, facing, beats) in enumerate(found, 1)
    ]  # fmt: skip


def csv_text(rows: Iterable[Mapping[str, str]], columns: Sequence[str]) -> str:
    """A table for a spreadsheet, by RFC 4180. What a spreadsheet could take for a formula gets a quote before it."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([guarded(name) for name in columns])
    writer.writerows([guarded(row[name]) for name in columns] for row in rows)
    return out.getvalue()
