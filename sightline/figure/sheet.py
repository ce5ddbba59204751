"""The body sheet: every dimension of one performer, and where each came from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from sightline.figure.estimate import BODY_FIELDS, estimate
from sightline.figure.measures import FIELDS, MEASURES
from sightline.figure.tables import Sex

__all__ = ["FIELDS", "MEASURES", "BodySheet", "body_sheet"]

Proportions = Literal["drillis-contini", "ansur"]

STATURE_RANGE_M = (0.5, 2.5)
MASS_RANGE_KG = (5.0, 400.0)
AGE_RANGE_YEARS = (2.0, 120.0)
# A tape reading outside these shares of the estimate is a slip (wrong unit, wrong line), not a body. Common practice,
# no source.
PLAUSIBLE = (0.5, 2.0)

# What else moves with a dimension when it is measured and the other is not: a fuller chest is deeper and broader too.
_FOLLOWERS: dict[str, tuple[str, ...]] = {
    "chest_girth_m": ("chest_breadth_m", "chest_depth_m"),
    "waist_girth_m": ("waist_breadth_m", "waist_depth_m"),
    "hip_girth_m": ("hip_breadth_m", "hip_depth_m"),
    "head_girth_m": ("head_breadth_m", "head_length_m"),
    "biceps_girth_m": ("armscye_girth_m",),
    "forearm_girth_m": ("elbow_girth_m",),
    "hand_girth_m": ("hand_girth_over_thumb_m",),
    "thigh_girth_m": ("knee_girth_m",),
    "across_shoulder_back_m": ("biacromial_m", "shoulder_width_m", "bideltoid_m", "across_shoulder_front_m"),
    "across_shoulder_front_m": ("biacromial_m", "shoulder_width_m", "bideltoid_m", "across_shoulder_back_m"),
    "biacromial_m": ("shoulder_width_m", "bideltoid_m", "across_shoulder_front_m", "across_shoulder_back_m"),
}


@dataclass(frozen=True)
class BodySheet:
    """All dimensions of one body, metres (mass in kg), barefoot, standing.

    `sources` gives for each dimension "measured" or "assumed: ..." in one phrase. `upper_arm_m` and `forearm_m` are the
    lengths of the two bones of the arm solver. Girths are those of the skin that is built.
    """

    stature_m: float
    mass_kg: float
    eye_height_m: float
    chin_height_m: float
    head_height_m: float
    head_girth_m: float
    head_breadth_m: float
    head_length_m: float
    interpupillary_m: float
    neck_girth_m: float
    shoulder_height_m: float
    biacromial_m: float
    shoulder_width_m: float
    bideltoid_m: float
    across_shoulder_front_m: float
    across_shoulder_back_m: float
    armscye_girth_m: float
    chest_girth_m: float
    chest_breadth_m: float
    chest_depth_m: float
    waist_girth_m: float
    waist_breadth_m: float
    waist_depth_m: float
    hip_girth_m: float
    hip_breadth_m: float
    hip_depth_m: float
    upper_arm_m: float
    forearm_m: float
    biceps_girth_m: float
    elbow_girth_m: float
    forearm_girth_m: float
    wrist_girth_m: float
    hand_length_m: float
    hand_breadth_m: float
    hand_girth_m: float
    hand_girth_over_thumb_m: float
    hip_height_m: float
    crotch_height_m: float
    knee_height_m: float
    ankle_height_m: float
    thigh_girth_m: float
    knee_girth_m: float
    calf_girth_m: float
    ankle_girth_m: float
    foot_length_m: float
    foot_breadth_m: float
    sex: Sex | None = None
    age_years: float | None = None
    sources: Mapping[str, str] = field(default_factory=dict, compare=False, hash=False, repr=False)

    @property
    def child(self) -> bool:
        return self.age_years is not None and self.age_years < 18.0

    @property
    def arm_m(self) -> float:
        """Shoulder joint to wrist joint, straight."""
        return self.upper_arm_m + self.forearm_m

    def dimensions(self) -> dict[str, float]:
        """Every number of the sheet by name, in the order of a form."""
        return {name: float(getattr(self, name)) for name in BODY_FIELDS}

    def assumptions(self) -> list[str]:
        """The dimensions that nobody measured, as `name: phrase`, for the list of assumptions."""
        return [f"{name}: {said}" for name, said in self.sources.items() if said != "measured"]


def body_sheet(
    *,
    stature_m: float | None = None,
    sex: Sex | None = None,
    age_years: float | None = None,
    mass_kg: float | None = None,
    proportions: Proportions = "drillis-contini",
    measured: Mapping[str, float] | None = None,
) -> BodySheet:
    """A body sheet from what is known; the rest from published tables, each with its source.

    `measured` takes the keys of `MEASURES`, metres. `sex` None takes the mean of women and men. Under 18 years a
    child's own proportions are used, and its age's median stature when none is given. Raises ValueError naming what was
    given, and the range that would do.
    """
    taken = dict(measured or {})
    unknown = [key for key in taken if key not in FIELDS]
    if unknown:
        raise ValueError(f"'{unknown[0]}' is no measure of the body sheet; the measures are {', '.join(MEASURES)}")
    if sex not in ("female", "male", None):
        raise ValueError(f"sex must be 'female', 'male' or None, got {sex!r}")
    if proportions not in ("drillis-contini", "ansur"):
        raise ValueError(f"proportions must be 'drillis-contini' or 'ansur', got {proportions!r}")
    for key, value in taken.items():
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{key}: got {value:g} m; a measure must be more than nothing")
    said_height = "height" in taken
    if said_height:
        stature_m = taken["height"]
    _within("stature_m", stature_m, STATURE_RANGE_M, "m")
    _within("age_years", age_years, AGE_RANGE_YEARS, "years")
    _within("mass_kg", mass_kg, MASS_RANGE_KG, "kg")

    values, sources = estimate(stature_m, sex, age_years, mass_kg, proportions)
    guess = dict(values)
    for key, value in taken.items():
        name = FIELDS[key]
        low, high = (share * guess[name] for share in PLAUSIBLE)
        if not low <= value <= high:
            raise ValueError(f"{key}: got {value:.3f} m; a plausible measure is {low:.3f} to {high:.3f} m")
        values[name], sources[name] = value, "measured"
    _follow(values, guess, sources)
    if "height" in taken or stature_m is not None:
        sources["stature_m"] = "measured"
    if mass_kg is not None:
        sources["mass_kg"] = "measured"
    return BodySheet(sex=sex, age_years=age_years, sources=sources, **values)


def _within(name: str, value: float | None, allowed: tuple[float, float], what: str) -> None:
    if value is not None and not (math.isfinite(value) and allowed[0] <= value <= allowed[1]):
        raise ValueError(f"{name}: got {value:g} {what}; it must be {allowed[0]:g} to {allowed[1]:g} {what}")


def _follow(values: dict[str, float], guess: Mapping[str, float], sources: dict[str, str]) -> None:
    """Carry a measured girth over to the breadths and depths that nobody measured."""
    measured = {name for name, said in sources.items() if said == "measured"}
    for name, others in _FOLLOWERS.items():
        if name not in measured:
            continue
        for other in others:
            if other not in measured:
                values[other] = guess[other] * values[name] / guess[name]
                sources[other] = f"assumed: scaled with the measured {name.removesuffix('_m').replace('_', ' ')}"
    if "chin_height_m" not in measured:
        values["chin_height_m"] = values["stature_m"] - values["head_height_m"]
