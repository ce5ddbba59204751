"""Estimates of a whole body from stature, sex, age and mass."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from sightline.figure.tables import (
    ANSUR,
    ANSUR_FROM_MEMORY,
    ANSUR_ON_STATURE,
    CHILD_BMI,
    CHILD_CROWN_TO_EYE,
    CHILD_HEAD_GIRTH,
    CHILD_HEAD_HEIGHT,
    CHILD_STATURE,
    DRILLIS_CONTINI,
    Sex,
)

BODY_FIELDS: tuple[str, ...] = (
    "stature_m", "mass_kg", "eye_height_m", "chin_height_m", "head_height_m", "head_girth_m", "head_breadth_m",
    "head_length_m", "interpupillary_m", "neck_girth_m", "shoulder_height_m", "biacromial_m", "shoulder_width_m",
    "bideltoid_m", "across_shoulder_front_m", "across_shoulder_back_m", "armscye_girth_m", "chest_girth_m",
    "chest_breadth_m", "chest_depth_m", "waist_girth_m", "waist_breadth_m", "waist_depth_m", "hip_girth_m",
    "hip_breadth_m", "hip_depth_m", "upper_arm_m", "forearm_m", "biceps_girth_m", "elbow_girth_m", "forearm_girth_m",
    "wrist_girth_m", "hand_length_m", "hand_breadth_m", "hand_girth_m", "hand_girth_over_thumb_m", "hip_height_m",
    "crotch_height_m", "knee_height_m", "ankle_height_m", "thigh_girth_m", "knee_girth_m", "calf_girth_m",
    "ankle_girth_m", "foot_length_m", "foot_breadth_m",
)  # fmt: skip

# Girths and depths: ANSUR II name, and how it grows with build, as a power of (BMI / mean BMI). 0.5 keeps a limb's
# volume in step with mass; bone grows less, the waist more. Common practice, no source.
_GIRTHS: dict[str, tuple[str, float]] = {
    "neck_girth_m": ("neckcircumference", 0.35),
    "chest_girth_m": ("chestcircumference", 0.50),
    "chest_breadth_m": ("chestbreadth", 0.40),
    "chest_depth_m": ("chestdepth", 0.60),
    "waist_girth_m": ("waistcircumference", 0.75),
    "waist_breadth_m": ("waistbreadth", 0.65),
    "waist_depth_m": ("waistdepth", 0.85),
    "hip_girth_m": ("buttockcircumference", 0.45),
    "hip_breadth_m": ("hipbreadth", 0.40),
    "hip_depth_m": ("buttockdepth", 0.55),
    "armscye_girth_m": ("armscye", 0.45),
    "biceps_girth_m": ("bicepscircumferenceflexed", 0.60),
    "forearm_girth_m": ("forearmcircumferenceflexed", 0.40),
    "wrist_girth_m": ("wristcircumference", 0.20),
    "thigh_girth_m": ("thighcircumference", 0.55),
    "knee_girth_m": ("kneegirth", 0.35),
    "calf_girth_m": ("calfcircumference", 0.45),
    "ankle_girth_m": ("anklecircumference", 0.25),
    "hand_girth_m": ("handcircumference", 0.15),
}
# Bones and breadths that grow with stature: ANSUR II name.
_BONES: dict[str, str] = {
    "biacromial_m": "biacromialbreadth",
    "bideltoid_m": "bideltoidbreadth",
    "hand_breadth_m": "handbreadth",
    "foot_breadth_m": "footbreadthhorizontal",
    "crotch_height_m": "crotchheight",
}
# Heads hardly grow with an adult's stature.
_HEAD: dict[str, str] = {
    "head_girth_m": "headcircumference",
    "head_breadth_m": "headbreadth",
    "head_length_m": "headlength",
    "interpupillary_m": "interpupillarybreadth",
}
# Elbow girth over forearm girth, tape lengths over straight breadth, hand girth with the thumb in: from memory.
_ELBOW_OVER_FOREARM = 0.90
# A child of eight or less against an adult of the same height and mass: straight sides, thin limbs. From memory.
_CHILD_SHAPE = {
    "hip_girth_m": 0.93,
    "hip_breadth_m": 0.92,
    "waist_girth_m": 1.09,
    "waist_breadth_m": 1.06,
    "waist_depth_m": 1.10,
    "chest_girth_m": 0.97,
    "biceps_girth_m": 0.93,
    "thigh_girth_m": 0.94,
    "hand_girth_m": 1.05,
}
_FRONT_OVER_BIACROMIAL = 0.97
_BACK_OVER_BIACROMIAL = 1.06
_OVER_THUMB = 1.17


def ansur_mean(name: str, sex: Sex | None) -> float:
    """The mean of an ANSUR II dimension, metres or kg; sex None gives the middle of the two means."""
    if sex is None:
        return (ansur_mean(name, "female") + ansur_mean(name, "male")) / 2.0
    known = ANSUR[sex].get(name)
    return known.mean if known else ANSUR_FROM_MEMORY[sex][name]


def at_age(table: Mapping[float, float], age_years: float) -> float:
    """A table by age read between its years, held beyond its ends."""
    return float(np.interp(age_years, list(table), list(table.values())))


def child_stature(age_years: float, sex: Sex | None = None) -> float:
    """Median stature, metres, at an age in years (CDC 2000; 2-4 and 13-18 years from memory)."""
    if sex is None:
        return (child_stature(age_years, "female") + child_stature(age_years, "male")) / 2.0
    return at_age(CHILD_STATURE[sex], age_years)


def eye_height(
    stature_m: float, *, age_years: float | None = None, sex: Sex | None = None, proportions: str = "drillis-contini"
) -> float:
    """Standing eye height, metres, barefoot.

    Adults: .936 of stature (Drillis & Contini 1966) or, with 'ansur', .9352 (men) and .9331 (women) of stature. Under
    18: stature less about 110 mm (from memory, low confidence), never above the adult ratio.
    """
    adult = DRILLIS_CONTINI["eye_height"] * stature_m
    if proportions == "ansur":
        adult = (1.0 - ansur_mean("vertextoeye", sex) / ansur_mean("stature", sex)) * stature_m
    if age_years is not None and age_years < 18.0:
        # A small child's crown-to-eye shrinks with the head itself, so that no eye falls below the chin.
        drop = CHILD_CROWN_TO_EYE * min(1.0, at_age(CHILD_HEAD_HEIGHT, age_years) / CHILD_HEAD_HEIGHT[5])
        return min(adult, stature_m - drop)
    return adult


def estimate(
    stature_m: float | None, sex: Sex | None, age_years: float | None, mass_kg: float | None, proportions: str
) -> tuple[dict[str, float], dict[str, str]]:
    """Every dimension of the body sheet with the phrase that says where it came from."""
    child = age_years is not None and age_years < 18.0
    who = {"female": "women", "male": "men", None: "mean of women and men, sex not given"}[sex]
    values: dict[str, float] = {}
    sources: dict[str, str] = {}

    def put(name: str, value: float, source: str) -> None:
        values[name], sources[name] = float(value), f"assumed: {source}"

    mean_stature = ansur_mean("stature", sex)
    if stature_m is None:
        if child and age_years is not None:
            put("stature_m", child_stature(age_years, sex), f"CDC 2000 median at {age_years:g} years, {who}")
        else:
            put("stature_m", mean_stature, f"ANSUR II mean, {who}")
    else:
        put("stature_m", stature_m, "given")
    h = values["stature_m"]
    mean_bmi = ansur_mean("weight", sex) / mean_stature**2
    if mass_kg is not None:
        put("mass_kg", mass_kg, "given")
    elif child and age_years is not None:
        put("mass_kg", at_age(CHILD_BMI, age_years) * h * h, "CDC 2000 median body-mass index, from memory")
    else:
        put("mass_kg", mean_bmi * h * h, f"ANSUR II mean body-mass index {mean_bmi:.1f}, {who}")
    build = values["mass_kg"] / (h * h) / mean_bmi
    tall = h / mean_stature
    youth = float(np.clip((14.0 - age_years) / 6.0, 0.0, 1.0)) if age_years is not None else 0.0

    head_height, head_girth = DRILLIS_CONTINI["head_height"] * h, ansur_mean("headcircumference", sex) * tall**0.25
    head_said = "Drillis & Contini 1966 (Winter 2009, Fig. 4.1)"
    if child and age_years is not None:
        head_height, head_girth = at_age(CHILD_HEAD_HEIGHT, age_years), at_age(CHILD_HEAD_GIRTH, age_years)
        # A tall or short child of its age: the head follows half of the difference.
        off = (h / child_stature(age_years, sex)) ** 0.5
        head_height, head_girth, head_said = head_height * off, head_girth * off, "children's heads, from memory"
    # What is left below the chin keeps adult proportions: the whole of a child's difference goes to the head.
    below = (h - head_height) / (h * (1.0 - DRILLIS_CONTINI["head_height"]))
    _lengths(put, h, below, sex, proportions, child, who)
    put("head_height_m", head_height, head_said)
    put("chin_height_m", h - head_height, head_said)
    eye_said = (
        "stature less 110 mm, from memory" if child else f"ANSUR II, {who}" if proportions == "ansur" else head_said
    )
    put("eye_height_m", eye_height(h, age_years=age_years, sex=sex, proportions=proportions), eye_said)
    head_share = head_girth / ansur_mean("headcircumference", sex)
    for name, key in _HEAD.items():
        put(name, ansur_mean(key, sex) * head_share, _said(key, who))
    for name, key in _BONES.items():
        put(name, ansur_mean(key, sex) * tall * (below if name == "crotch_height_m" else 1.0), _said(key, who))
    for name, (key, power) in _GIRTHS.items():
        # sqrt(tall) with stature, so that girth squared times length keeps step with mass.
        straight = 1.0 + (_CHILD_SHAPE.get(name, 1.0) - 1.0) * youth
        said = _said(key, who) + ", scaled to stature and mass" + (", a child's shape from memory" if youth else "")
        put(name, ansur_mean(key, sex) * tall**0.5 * build**power * straight, said)
    if child:
        put("neck_girth_m", values["neck_girth_m"] * (head_share / tall**0.5) ** 0.5, "children's necks, from memory")
    put("elbow_girth_m", _ELBOW_OVER_FOREARM * values["forearm_girth_m"], "0.90 of the forearm girth, from memory")
    put("across_shoulder_front_m", _FRONT_OVER_BIACROMIAL * values["biacromial_m"], "0.97 of biacromial, from memory")
    put("across_shoulder_back_m", _BACK_OVER_BIACROMIAL * values["biacromial_m"], "1.06 of biacromial, from memory")
    put("hand_girth_over_thumb_m", _OVER_THUMB * values["hand_girth_m"], "1.17 of the hand girth, from memory")
    return {name: values[name] for name in BODY_FIELDS}, {name: sources[name] for name in BODY_FIELDS}


def _said(key: str, who: str) -> str:
    memory = key in ANSUR_FROM_MEMORY["male"]
    return f"ANSUR II mean{' from memory' if memory else ''}, {who}"


def _lengths(
    put: Callable[[str, float, str], None],
    h: float,
    below: float,
    sex: Sex | None,
    proportions: str,
    child: bool,
    who: str,
) -> None:
    """Heights and lengths: fractions of stature, shrunk by `below` where a child's head takes its share."""
    source = "Drillis & Contini 1966 (Winter 2009, Fig. 4.1)" + (", less the child's larger head" if child else "")
    for name in ("hip_height", "knee_height", "ankle_height", "shoulder_height", "upper_arm", "forearm", "hand_length"):
        put(f"{name}_m", DRILLIS_CONTINI[name] * h * below, source)
    put("foot_length_m", DRILLIS_CONTINI["foot_length"] * h, source)
    put("shoulder_width_m", DRILLIS_CONTINI["shoulder_width"] * h, source)
    if proportions != "ansur" or child:
        return
    lines = [ANSUR_ON_STATURE[s]["acromialheight"] for s in ((sex,) if sex else ("female", "male"))]
    put("shoulder_height_m", sum(line.at(h) for line in lines) / len(lines), f"ANSUR II on stature, {who}")
    for name, key in (
        ("upper_arm_m", "acromionradialelength"),
        ("forearm_m", "radialestylionlength"),
        ("hand_length_m", "handlength"),
        ("foot_length_m", "footlength"),
    ):
        put(name, ansur_mean(key, sex) / ansur_mean("stature", sex) * h, _said(key, who))
