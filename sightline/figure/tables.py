"""Published body numbers, each beside its source. Lengths in metres, masses in kg, fractions of stature plain.

Sources disagree on what "an arm" is: Drillis & Contini give joint centres, ANSUR II bony landmarks on the skin.
Both are kept, never mixed within one sheet.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

Sex = Literal["female", "male"]

# Drillis & Contini 1966 (Body Segment Parameters, Report 1166.03, New York University), as drawn in Winter,
# Biomechanics and Motor Control of Human Movement, 4th ed. 2009, Fig. 4.1. Fractions of stature.
DRILLIS_CONTINI: dict[str, float] = {
    "ankle_height": 0.039,
    "knee_height": 0.285,
    "hip_height": 0.530,
    "shoulder_height": 0.818,
    "chin_height": 0.870,
    "eye_height": 0.936,
    "head_height": 0.130,
    "upper_arm": 0.186,
    "forearm": 0.146,
    "hand_length": 0.108,
    # Neither biacromial (.237) nor bideltoid (.291) breadth of ANSUR II; kept because it is published.
    "shoulder_width": 0.259,
    "hip_width": 0.191,
    "foot_length": 0.152,
    "foot_breadth": 0.055,
}


class Spread(NamedTuple):
    """Mean and standard deviation of one dimension in one population."""

    mean: float
    sd: float


# ANSUR II (Gordon et al. 2014, 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007; 4082 men, 1986
# women): worked out from the public data file, names as in that file. Metres; weight in kg.
ANSUR: dict[Sex, dict[str, Spread]] = {
    "male": {
        "stature": Spread(1.75621, 0.06855),
        "acromialheight": Spread(1.44074, 0.06329),
        "shoulderelbowlength": Spread(0.36371, 0.01820),
        "forearmhandlength": Spread(0.48021, 0.02329),
        "acromionradialelength": Spread(0.33524, 0.01748),
        "radialestylionlength": Spread(0.26788, 0.01542),
        "biacromialbreadth": Spread(0.41568, 0.01916),
        "bideltoidbreadth": Spread(0.51042, 0.03251),
        "handlength": Spread(0.19328, 0.00995),
        "handbreadth": Spread(0.08826, 0.00439),
        "handcircumference": Spread(0.21228, 0.01024),
        "bicepscircumferenceflexed": Spread(0.35814, 0.03462),
        "forearmcircumferenceflexed": Spread(0.31006, 0.02199),
        "wristcircumference": Spread(0.17592, 0.00896),
        "chestdepth": Spread(0.25385, 0.02625),
        "headbreadth": Spread(0.15433, 0.00553),
        "headlength": Spread(0.19950, 0.00702),
        "vertextoeye": Spread(0.1138, 0.0090),
        "interpupillarybreadth": Spread(0.0640, 0.0034),
        "weight": Spread(85.52, 14.22),
    },
    "female": {
        "stature": Spread(1.62847, 0.06420),
        "acromialheight": Spread(1.33510, 0.05808),
        "shoulderelbowlength": Spread(0.33430, 0.01725),
        "forearmhandlength": Spread(0.43986, 0.02338),
        "acromionradialelength": Spread(0.31120, 0.01716),
        "radialestylionlength": Spread(0.24133, 0.01524),
        "biacromialbreadth": Spread(0.36535, 0.01830),
        "bideltoidbreadth": Spread(0.45032, 0.02869),
        "handlength": Spread(0.18108, 0.01006),
        "handbreadth": Spread(0.07815, 0.00384),
        "handcircumference": Spread(0.18655, 0.00882),
        "bicepscircumferenceflexed": Spread(0.30558, 0.03076),
        "forearmcircumferenceflexed": Spread(0.26408, 0.01852),
        "wristcircumference": Spread(0.15479, 0.00783),
        "chestdepth": Spread(0.24740, 0.02734),
        "headbreadth": Spread(0.14777, 0.00519),
        "headlength": Spread(0.18982, 0.00745),
        "vertextoeye": Spread(0.1089, 0.0082),
        "interpupillarybreadth": Spread(0.0617, 0.0036),
        "weight": Spread(67.76, 10.98),
    },
}

# The same survey, FROM MEMORY, names as in its data file (male values agree within 6 % with the first rows of the
# open file, see tests/published/test_body.py). "kneegirth" and "elbowgirth" are not in the survey at all.
ANSUR_FROM_MEMORY: dict[Sex, dict[str, float]] = {
    "male": {
        "neckcircumference": 0.398,
        "chestcircumference": 1.058,
        "waistcircumference": 0.941,
        "buttockcircumference": 1.020,
        "thighcircumference": 0.625,
        "kneegirth": 0.388,
        "calfcircumference": 0.392,
        "anklecircumference": 0.229,
        "headcircumference": 0.574,
        "chestbreadth": 0.290,
        "waistbreadth": 0.327,
        "waistdepth": 0.235,
        "hipbreadth": 0.345,
        "buttockdepth": 0.248,
        "footlength": 0.271,
        "footbreadthhorizontal": 0.102,
        "crotchheight": 0.846,
        "armscye": 0.455,
    },
    "female": {
        "neckcircumference": 0.330,
        "chestcircumference": 0.947,
        "waistcircumference": 0.861,
        "buttockcircumference": 1.021,
        "thighcircumference": 0.617,
        "kneegirth": 0.372,
        "calfcircumference": 0.374,
        "anklecircumference": 0.216,
        "headcircumference": 0.561,
        "chestbreadth": 0.266,
        "waistbreadth": 0.301,
        "waistdepth": 0.215,
        "hipbreadth": 0.349,
        "buttockdepth": 0.236,
        "footlength": 0.246,
        "footbreadthhorizontal": 0.093,
        "crotchheight": 0.778,
        "armscye": 0.395,
    },
}


class Line(NamedTuple):
    """Ordinary least squares on stature: value = slope * stature + intercept_m, give or take residual_sd_m."""

    slope: float
    intercept_m: float
    residual_sd_m: float

    def at(self, stature_m: float) -> float:
        return self.slope * stature_m + self.intercept_m


# Worked out from the ANSUR II public data file.
ANSUR_ON_STATURE: dict[Sex, dict[str, Line]] = {
    "male": {
        "shoulderelbowlength": Line(0.2169, -0.01719, 0.01050),
        "forearmhandlength": Line(0.2674, 0.01059, 0.01436),
        "acromialheight": Line(0.8926, -0.1269, 0.0162),
    },
    "female": {
        "shoulderelbowlength": Line(0.2204, -0.02459, 0.00987),
        "forearmhandlength": Line(0.2744, -0.00702, 0.01537),
        "acromialheight": Line(0.8793, -0.0969, 0.0137),
    },
}

# How closely a dimension goes with stature (Pearson's r), ANSUR II public data file.
ANSUR_WITH_STATURE: dict[Sex, dict[str, float]] = {
    "male": {"shoulderelbowlength": 0.817, "forearmhandlength": 0.787, "biacromialbreadth": 0.532},
    "female": {"shoulderelbowlength": 0.820, "forearmhandlength": 0.754, "biacromialbreadth": 0.566},
}

# Ratios of means to mean stature, ANSUR II public data file.
ANSUR_RATIOS: dict[Sex, dict[str, float]] = {
    "male": {
        "acromialheight": 0.8203,
        "shoulderelbowlength": 0.2071,
        "acromionradialelength": 0.1909,
        "radialestylionlength": 0.1525,
        "forearmhandlength": 0.2734,
        "handlength": 0.1101,
        "biacromialbreadth": 0.2368,
        "standingeye": 0.9352,
    },
    "female": {
        "acromialheight": 0.8198,
        "shoulderelbowlength": 0.2053,
        "acromionradialelength": 0.1911,
        "radialestylionlength": 0.1482,
        "forearmhandlength": 0.2701,
        "handlength": 0.1112,
        "biacromialbreadth": 0.2244,
        "standingeye": 0.9331,
    },
}

# Stature medians by whole year of age, metres. Ages 5-12 and 20: CDC 2000 growth charts (statage.csv, between
# half-months by straight line). Ages 2-4 and 13-18: the same charts FROM MEMORY.
CHILD_STATURE: dict[Sex, dict[float, float]] = {
    "male": {
        2: 0.868, 3: 0.954, 4: 1.022, 5: 1.0890, 6: 1.1539, 7: 1.2177, 8: 1.2788, 9: 1.3351, 10: 1.3862,
        11: 1.4352, 12: 1.4905, 13: 1.562, 14: 1.639, 15: 1.700, 16: 1.735, 17: 1.753, 18: 1.762, 20: 1.7685,
    },
    "female": {
        2: 0.855, 3: 0.942, 4: 1.010, 5: 1.0766, 6: 1.1471, 7: 1.2149, 8: 1.2759, 9: 1.3292, 10: 1.3799,
        11: 1.4398, 12: 1.5119, 13: 1.573, 14: 1.604, 15: 1.619, 16: 1.625, 17: 1.629, 18: 1.631, 20: 1.6334,
    },
}  # fmt: skip

# The WHO medians of the same ages (Growth Reference 5-19 years, 2007; at 5 the 2006 standard), for comparison.
CHILD_STATURE_WHO: dict[Sex, dict[float, float]] = {
    "male": {
        5: 1.0996, 6: 1.159509, 7: 1.217338, 8: 1.272651, 9: 1.325652, 10: 1.377795, 11: 1.431126, 12: 1.490807,
        19: 1.765432,
    },
    "female": {
        5: 1.0942, 6: 1.151244, 7: 1.208105, 8: 1.265558, 9: 1.324944, 10: 1.386363, 11: 1.449929, 12: 1.512327,
        19: 1.631548,
    },
}  # fmt: skip

# Body-mass index medians of children, kg/m2, both sexes together. FROM MEMORY of the CDC 2000 charts.
CHILD_BMI: dict[float, float] = {
    2: 16.5, 3: 15.9, 4: 15.5, 5: 15.3, 6: 15.3, 8: 15.8, 10: 16.7, 12: 17.9, 14: 19.2, 16: 20.5, 18: 21.6,
}  # fmt: skip

# Chin to crown, and head girth, metres, both sexes together. FROM MEMORY: children's heads are near their full size.
CHILD_HEAD_HEIGHT: dict[float, float] = {2: 0.174, 5: 0.187, 8: 0.198, 12: 0.211, 15: 0.219, 18: 0.2225}
CHILD_HEAD_GIRTH: dict[float, float] = {2: 0.485, 5: 0.512, 8: 0.527, 12: 0.543, 15: 0.558, 18: 0.567}

# Crown to eye of a child, metres. FROM MEMORY, low confidence; .936 of stature is an adult ratio and puts a child's
# eye one to four centimetres too high.
CHILD_CROWN_TO_EYE = 0.110

# Wrist to the middle of the palm as a share of hand length: the hand's centre of mass between wrist and tip of the
# third finger, de Leva 1996 (J. Biomech. 29:1223), men .3624, women .3427.
PALM_CENTRE: dict[Sex, float] = {"male": 0.3624, "female": 0.3427}
