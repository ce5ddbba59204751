"""The body sheet to print: every size with its source, and where people of that stature lie."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, Literal

from sightline.errors import SightlineError
from sightline.figure.estimate import ansur_mean
from sightline.figure.measures import FIELDS, MEASURES
from sightline.figure.sheet import BodySheet, body_sheet
from sightline.figure.tables import ANSUR, ANSUR_ON_STATURE, ANSUR_WITH_STATURE, DRILLIS_CONTINI, Sex

Of = Literal["of that stature", "of any stature"]

# The fields of the sheet that the survey gives a spread for, by the survey's name.
SPREAD_OF: dict[str, str] = {
    "stature_m": "stature", "mass_kg": "weight", "eye_height_m": "vertextoeye", "shoulder_height_m": "acromialheight",
    "upper_arm_m": "acromionradialelength", "forearm_m": "radialestylionlength", "hand_length_m": "handlength",
    "hand_breadth_m": "handbreadth", "hand_girth_m": "handcircumference", "biceps_girth_m": "bicepscircumferenceflexed",
    "forearm_girth_m": "forearmcircumferenceflexed", "wrist_girth_m": "wristcircumference",
    "biacromial_m": "biacromialbreadth", "bideltoid_m": "bideltoidbreadth", "chest_depth_m": "chestdepth",
    "head_breadth_m": "headbreadth", "head_length_m": "headlength", "interpupillary_m": "interpupillarybreadth",
}  # fmt: skip
# Nine people in ten lie within so many standard deviations of the mean, where they are spread as by Gauss.
NINE_IN_TEN_SD = 1.645
# A tape reading farther off is more likely a slip than a body: common practice, no source.
SLIP_SD = 4.0
CITED = (
    "Drillis & Contini 1966, Body Segment Parameters, New York University, as drawn in Winter, Biomechanics and Motor "
    "Control of Human Movement, 4th ed. 2009, Fig. 4.1: between joint centres.",
    "ANSUR II: Gordon et al. 2014, 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007, worked out from "
    "its public data (4082 men, 1986 women): between landmarks on the skin. Soldiers are fitter than most people.",
    "'from memory' was not read in any source: measure it before anything is cut to it.",
)
NOT_CHECKED = (
    "how the performer stood and breathed, who held the tape, and what was worn under it",
    "today's shoes and clothes, and whether the body has changed since it was taped",
)
_TITLES = {"mass_kg": "mass", "biacromial_m": "shoulder breadth, bone to bone", "interpupillary_m": "pupil to pupil",
           "bideltoid_m": "shoulder breadth over the muscle", "shoulder_width_m": "shoulder width (for the build)",
           "crotch_height_m": "inside leg"}  # fmt: skip


@dataclass(frozen=True)
class Row:
    """One size: `value` in `unit` (m or kg), `low` to `high` where nine in ten people lie, None where not published."""

    name: str
    measure: str | None
    title: str
    value: float
    unit: Literal["m", "kg"]
    state: Literal["measured", "estimated"]
    source: str
    low: float | None
    high: float | None
    of: Of | None
    how: str | None


@dataclass(frozen=True)
class Definition:
    """One of several things that are called by the same name. `value_m` is that of the mean person of this stature."""

    called: str
    meant: str
    value_m: float
    source: str
    low_m: float | None = None
    high_m: float | None = None


@dataclass(frozen=True)
class Sheet:
    rows: list[Row]
    definitions: list[Definition]
    warnings: list[str]
    notes: list[str]


def known_measure(name: str) -> str:
    """The key of a measure however it is spelt. Raises SightlineError with the nearest ones."""
    key = name.strip().casefold().replace(" ", "_").replace("-", "_")
    if key in FIELDS:
        return key
    near = get_close_matches(key, FIELDS, n=2, cutoff=0.6) + [k for k in FIELDS if key and k.startswith(key)]
    named = [k.replace("_", " ") for k in dict.fromkeys(near or FIELDS)]
    hint = f"did you mean {' or '.join(named)}?" if near else f"the measures are {', '.join(named)}."
    raise SightlineError(f"'{name.strip()[:40]}' is no measure of the body sheet; {hint}")


def spread_at(name: str, sex: Sex | None, stature_m: float) -> tuple[float, float, Of]:
    """Mean and standard deviation (m or kg) of a field of `SPREAD_OF`, and of whom: of that stature where published.

    By least squares on stature where the survey's line is known (residual sd), from its correlation with stature
    (sd sqrt(1 - r^2)), else of all statures, which is wider. Sex None: women and men mixed half and half.
    """
    return _spread(SPREAD_OF[name], sex, stature_m)


def _spread(key: str, sex: Sex | None, stature_m: float) -> tuple[float, float, Of]:
    if sex is None:
        (low, a, of), (high, b, _) = (_spread(key, each, stature_m) for each in ("female", "male"))
        return (low + high) / 2, math.sqrt((a * a + b * b) / 2 + ((high - low) / 2) ** 2), of
    table = ANSUR[sex]
    mean, sd = table[key]
    if key == "vertextoeye":
        return stature_m - mean, sd, "of that stature"
    if key in ANSUR_ON_STATURE[sex]:
        line = ANSUR_ON_STATURE[sex][key]
        return line.at(stature_m), line.residual_sd_m, "of that stature"
    r = ANSUR_WITH_STATURE[sex].get(key)
    if r is not None:
        off = (stature_m - table["stature"].mean) / table["stature"].sd
        return mean + r * sd * off, sd * math.sqrt(1 - r * r), "of that stature"
    return mean, sd, "of any stature"


def definitions(sex: Sex | None, stature_m: float) -> list[Definition]:
    """What is meant by shoulder width and by the length of an arm: sources differ by more than any tolerance."""

    def share(*names: str) -> float:
        return sum(ansur_mean(name, sex) for name in names) / ansur_mean("stature", sex) * stature_m

    def fraction(*names: str) -> float:
        return sum(DRILLIS_CONTINI[name] for name in names) * stature_m

    who = {"female": "women", "male": "men", None: "women and men"}[sex]

    def bent(called: str, meant: str, key: str) -> Definition:
        mean, sd, _ = _spread(key, sex, stature_m)
        low, high = mean - NINE_IN_TEN_SD * sd, mean + NINE_IN_TEN_SD * sd
        return Definition(called, meant, mean, f"ANSUR II on stature, {who}, residual sd {sd * 1000:.1f} mm", low, high)

    drillis, ansur = "Drillis & Contini 1966 (Winter 2009, Fig. 4.1)", f"ANSUR II means over mean stature, {who}"
    return [
        Definition("shoulder width", "0.259 of stature, neither of the next two", fraction("shoulder_width"), drillis),
        Definition("shoulder width", "bone to bone (biacromial), what a yoke is cut to", share("biacromialbreadth"), ansur),
        Definition("shoulder width", "over the muscle (bideltoid), what a doorway sees", share("bideltoidbreadth"), ansur),
        Definition("arm length", "joint centres to fingertip, 0.440 of stature: what the skeleton is built to",
                   fraction("upper_arm", "forearm", "hand_length"), drillis),
        Definition("arm length", "shoulder tip to elbow knob to wrist knob to fingertip: what a tape takes here",
                   share("acromionradialelength", "radialestylionlength", "handlength"), ansur),
        Definition("arm length", "shoulder to elbow bent, and elbow to fingertip: counts the elbow twice",
                   share("shoulderelbowlength", "forearmhandlength"), ansur),
        bent("upper arm, bent", "shoulder tip to the point of the bent elbow", "shoulderelbowlength"),
        bent("forearm and hand", "point of the bent elbow to fingertip", "forearmhandlength"),
    ]  # fmt: skip


def sheet_rows(body: BodySheet) -> list[Row]:
    """Every size of a body in the order of the sheet."""
    measures = {field: key for key, field in FIELDS.items()}
    rows = []
    for name, value in body.dimensions().items():
        said = body.sources.get(name, "measured")
        low = high = of = None
        # The survey has adults only; a child of that stature is built otherwise.
        if name in SPREAD_OF and not body.child:
            mean, sd, of = spread_at(name, body.sex, body.stature_m)
            low, high = mean - NINE_IN_TEN_SD * sd, mean + NINE_IN_TEN_SD * sd
        key = measures.get(name)
        title = _TITLES.get(name, name.removesuffix("_m").replace("_", " "))
        state: Literal["measured", "estimated"] = "measured" if said == "measured" else "estimated"
        rows.append(
            Row(name, key, title, value, "kg" if name == "mass_kg" else "m", state, _source(name, said, body), low, high,
                of, MEASURES[key] if key else None)
        )  # fmt: skip
    return rows


def _source(name: str, said: str, body: BodySheet) -> str:
    """The phrase beside the number; a published fraction is named."""
    if said == "measured":
        return "given"
    phrase = said.removeprefix("assumed: ")
    fraction = DRILLIS_CONTINI.get(name.removesuffix("_m"))
    if fraction is not None and phrase.startswith("Drillis") and not body.child:
        phrase = f"{fraction:.3f} of stature, {phrase}"
    return phrase


def slips(body: BodySheet, measured: Mapping[str, float], mass_kg: float | None) -> list[str]:
    """The measured values that lie more than four standard deviations from what is usual at that stature."""
    if body.child:
        return []
    usual = body_sheet(
        stature_m=body.stature_m, sex=body.sex, age_years=body.age_years, mass_kg=mass_kg, proportions="ansur"
    )
    found = []
    for key, value in measured.items():
        name = FIELDS[key]
        if name not in SPREAD_OF:
            continue
        mean, sd, of = spread_at(name, body.sex, body.stature_m)
        # Of any stature: the survey's mean, brought to this stature as the estimate is.
        middle = mean if of == "of that stature" or name == "stature_m" else getattr(usual, name)
        if abs(value - middle) > SLIP_SD * sd:
            off = (value - middle) / sd
            found.append(
                f"{key.replace('_', ' ')} {value * 100:.1f} cm is {abs(off):.1f} standard deviations "
                f"{'over' if off > 0 else 'under'} the usual {middle * 100:.1f} cm (ANSUR II, sd {sd * 1000:.1f} mm): "
                "measure it again."
            )
    return found


def sheet_of(body: BodySheet, measured: Mapping[str, float], mass_kg: float | None) -> Sheet:
    """The whole sheet. `measured` (keys of MEASURES, m) are what was taped, `mass_kg` the mass that was given."""
    rows = sheet_rows(body)
    warnings = slips(body, measured, mass_kg)
    # 23 kg/m2 is a usual build; half or double of it is rather a slip of the unit. From memory.
    if not body.child and not 0.5 <= body.mass_kg / (23.0 * body.stature_m**2) <= 2.0:
        warnings.append(
            f"{body.mass_kg:.0f} kg at {body.stature_m * 100:.0f} cm is far from usual: were the units right?"
        )
    taped = sum(row.state == "measured" for row in rows)
    notes = [f"{taped} of {len(rows)} sizes {'is' if taped == 1 else 'are'} measured; the rest is estimated."]
    if body.child:
        notes.append("A child's estimates are from memory in part, and no spread is published here: measure the child.")
    else:
        notes.append(
            f"Nine people in ten lie within the range (mean and {NINE_IN_TEN_SD} sd); of any stature where no spread is "
            "published for one stature. Percentiles do not add: nobody is at the fifth in everything. Ranges are between "
            "landmarks on the skin; lengths by Drillis & Contini are between joint centres."
        )
    if body.sex is None and not body.child:
        notes.append("No sex is given: ranges are of women and men mixed half and half.")
    if mass_kg is None:
        notes.append("No mass is given: girths are those of a usual build.")
    return Sheet(rows, [] if body.child else definitions(body.sex, body.stature_m), warnings, notes)


def template(body: BodySheet | None) -> str:
    """The `measured:` block of a scene, every line to be filled in, with how to measure it and what was estimated."""
    lines = [
        "# Into the scene below `performer:`. Take the # away from what you have measured; what stays out is estimated.",
        "measured:",
    ]
    for key, how in MEASURES.items():
        value = getattr(body, FIELDS[key]) if body else None
        shown = f"{value * 100:.1f} cm" if value else "00.0 cm"
        guess = f" (estimated {shown})" if value else ""
        lines.append(f"  # {key.replace('_', ' ')}: {shown}    # {how}{guess}")
    return "\n".join(lines) + "\n"


def row_document(row: Row) -> dict[str, Any]:
    def rounded(value: float | None) -> float | None:
        return None if value is None else float(f"{value:.9g}")

    return {
        "name": row.name, "measure": row.measure, "title": row.title, "value": rounded(row.value), "unit": row.unit,
        "state": row.state, "source": row.source, "low": rounded(row.low), "high": rounded(row.high), "range": row.of,
        "how": row.how,
    }  # fmt: skip
