"""Where a limb is cut: its bones or the whole of it, lengthwise seams as curves on it, and darts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.tube import Tube

Shape = Literal["auto", "straight", "mitre"]
# Elbows bent by this and more are mitred by themselves. From memory of costume makers' practice.
MITRE_FROM_DEG = 25.0
# Where the first lengthwise seam runs where nobody says: the inner side, towards the body; in one piece over a strong
# bend the front, the inside of the bend, where all that is too much comes out at the seam.
INNER_RAD, FRONT_RAD = np.pi, np.pi / 2.0
MOST_PANELS = 4
# Names of the parts, which seams are given for.
WHOLE, UPPER, FORE = "limb", "upper arm", "forearm"
RING = "elbow seam"
Lines = Mapping[str, "Line | Sequence[Line]"]
Line = tuple[ArrayLike, ArrayLike]


@dataclass(frozen=True)
class Choices:
    """What a maker chooses. `lines` gives the lengthwise seams of a part ('limb', 'upper arm', 'forearm') as curves
    (share (k,), around_rad (k,)), one or as many as panels; parts that it leaves out have theirs where they are by default.

    `darts` is how many at most there may be in a piece; fewer are made where fewer do.
    """

    shape: Shape = "auto"
    panels: int = 1
    darts: int = 4
    lines: Lines | None = None


@dataclass(frozen=True)
class Curve:
    """A lengthwise seam: `around_rad` (k,) at rising `share` (k,), running on over full turns without a jump."""

    name: str
    share: FloatArray
    around_rad: FloatArray

    def at(self, share: FloatArray) -> FloatArray:
        return np.asarray(np.interp(share, self.share, self.around_rad))


@dataclass(frozen=True)
class Dart:
    """A cut into a sheet from its edge: `end` the edge it starts at; `place` and `tip` rows or columns of the sheet.

    From 'first' or 'last' (a ring's edge) it runs along column `place` to row `tip`; from 'a' or 'b' (a lengthwise
    seam's edge) it runs round along row `place` to column `tip`.
    """

    sheet: int
    end: Literal["first", "last", "a", "b"]
    place: int
    tip: int


@dataclass(frozen=True)
class Part:
    """Rows `first` to `last` of the tube, cut along `curves` into as many sheets."""

    name: str
    first: int
    last: int
    curves: tuple[Curve, ...]


@dataclass(frozen=True)
class Plan:
    parts: tuple[Part, ...]
    darts: tuple[Dart, ...] = ()

    def with_darts(self, darts: Sequence[Dart]) -> Plan:
        return replace(self, darts=tuple(darts))


def plan_of(tube: Tube, choices: Choices) -> Plan:
    """The parts and their lengthwise seams. Raises SightlineError for a choice that cannot be."""
    if not (isinstance(choices.panels, int) and 1 <= choices.panels <= MOST_PANELS):
        raise SightlineError(f"Panels must be 1 to {MOST_PANELS} round the limb; got {choices.panels}.")
    if choices.darts < 0:
        raise SightlineError(f"A piece has no darts, or some; got {choices.darts}.")
    if choices.shape not in ("auto", "straight", "mitre"):
        raise SightlineError(f"The shape is auto, straight or mitre; got '{choices.shape}'.")
    mitred = choices.shape == "mitre" or (choices.shape == "auto" and tube.bend_deg >= MITRE_FROM_DEG)
    if mitred and tube.elbow is None:
        raise SightlineError(f"'{tube.name}' is straight: there is no elbow to mitre. Take the shape straight or auto.")
    given = dict(choices.lines or {})
    for name in given:
        if name not in (WHOLE, UPPER, FORE):
            raise SightlineError(f"'{name}' is no part that seams are given for; they are {WHOLE}, {UPPER}, {FORE}.")
    last = len(tube.points) - 1
    if not mitred:
        known = [name for name in (UPPER, FORE) if name in given]
        if known:
            raise SightlineError(
                f"Seams are given for the {known[0]}, but the limb is one part; give them for '{WHOLE}'."
            )
        at = FRONT_RAD if tube.bend_deg >= MITRE_FROM_DEG else INNER_RAD
        return Plan((Part(WHOLE, 0, last, _curves(WHOLE, given.get(WHOLE), choices.panels, at)),))
    elbow = tube.elbow or 0
    rows = ((UPPER, 0, elbow), (FORE, elbow, last))
    return Plan(tuple(
        Part(name, first, end, _curves(name, given.get(name, given.get(WHOLE)), choices.panels)) for name, first, end in rows
    ))  # fmt: skip


def _curves(
    part: str, given: Line | Sequence[Line] | None, panels: int, at_rad: float = INNER_RAD
) -> tuple[Curve, ...]:
    """The part's seams, in rising order round the limb."""
    if given is None:
        lines: list[Line] = [
            (np.array([0.0, 1.0]), np.full(2, at_rad + 2.0 * np.pi * k / panels)) for k in range(panels)
        ]
    elif len(given) == 2 and np.ndim(given[0]) == 1:  # type: ignore[arg-type]
        # One curve for several panels: the others keep even distances from it.
        share, around = (np.asarray(values, dtype=float) for values in given)
        lines = [(share, around + 2.0 * np.pi * k / panels) for k in range(panels)]
    else:
        lines = list(given)  # type: ignore[arg-type]
    made = [_curve(part, share, around) for share, around in lines]
    made.sort(key=lambda curve: float(curve.around_rad.mean()))
    if len(made) == 1:
        return (replace(made[0], name=f"{part} seam"),)
    return tuple(replace(curve, name=f"{part} seam {k + 1}") for k, curve in enumerate(made))


def _curve(part: str, share: ArrayLike, around: ArrayLike) -> Curve:
    at, turn = np.asarray(share, dtype=float), np.asarray(around, dtype=float)
    if at.ndim != 1 or at.shape != turn.shape or len(at) < 2 or not np.all(np.isfinite([at, turn])):
        raise SightlineError(f"A seam of the {part} needs two points or more, each a share and an angle.")
    if at[0] > at[-1]:
        at, turn = at[::-1], turn[::-1]
    if np.any(np.diff(at) <= 0.0) or at[0] < 0.0 or at[-1] > 1.0:
        raise SightlineError(f"A seam of the {part} must run on along the limb, its shares rising within 0 to 1.")
    turn = np.unwrap(turn)
    return Curve(part, at, turn - 2.0 * np.pi * np.floor(turn.mean() / (2.0 * np.pi)))
