"""How far the joints of the arm go, degrees, as published, and the limits taken here."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from sightline.figure.tables import Sex

# Norkin & White, Measurement of Joint Motion (F. A. Davis), Table A.1: American Academy of Orthopaedic Surgeons;
# American Medical Association (each "at least"); Boone & Azen 1979 (109 men); Macedo & Magee (90 women, 18-59 years);
# Walker et al. 1984 (65-85 years).
AAOS_DEG: dict[str, float] = {
    "shoulder flexion": 180.0,
    "shoulder extension": 60.0,
    "shoulder abduction": 180.0,
    "shoulder medial rotation": 70.0,
    "shoulder lateral rotation": 90.0,
    "elbow flexion": 150.0,
    "pronation": 80.0,
    "supination": 80.0,
    "wrist flexion": 80.0,
    "wrist extension": 70.0,
    "radial deviation": 20.0,
    "ulnar deviation": 30.0,
}
WALKER_DEG: dict[str, float] = {
    "shoulder flexion": 165.0,
    "shoulder extension": 44.0,
    "shoulder abduction": 165.0,
    "shoulder medial rotation": 62.0,
    "shoulder lateral rotation": 81.0,
    "elbow flexion": 143.0,
    "pronation": 71.0,
    "supination": 74.0,
    "wrist flexion": 64.0,
    "wrist extension": 63.0,
    "radial deviation": 19.0,
    "ulnar deviation": 26.0,
}
BOONE_AZEN_DEG: dict[str, float] = {
    "shoulder flexion": 167.0,
    "shoulder extension": 62.0,
    "shoulder abduction": 184.0,
    "shoulder medial rotation": 69.0,
    "shoulder lateral rotation": 104.0,
    "elbow flexion": 143.0,
    "pronation": 76.0,
    "supination": 82.0,
    "wrist flexion": 76.0,
    "wrist extension": 75.0,
    "radial deviation": 22.0,
    "ulnar deviation": 36.0,
}
AMA_DEG: dict[str, float] = {
    "shoulder flexion": 180.0,
    "shoulder extension": 50.0,
    "shoulder abduction": 170.0,
    "shoulder medial rotation": 80.0,
    "shoulder lateral rotation": 60.0,
    "elbow flexion": 140.0,
    "pronation": 80.0,
    "supination": 80.0,
    "wrist flexion": 60.0,
    "wrist extension": 60.0,
    "radial deviation": 20.0,
    "ulnar deviation": 30.0,
}
MACEDO_MAGEE_DEG: dict[str, float] = {
    "shoulder flexion": 188.0,
    "shoulder extension": 70.0,
    "shoulder abduction": 188.0,
    "shoulder medial rotation": 94.0,
    "shoulder lateral rotation": 108.0,
    "elbow flexion": 149.0,
    "pronation": 92.0,
    "supination": 96.0,
    "wrist flexion": 93.0,
    "wrist extension": 86.0,
    "radial deviation": 18.0,
    "ulnar deviation": 41.0,
}
# Shoulder flexion of young active adults, dominant side, 5th percentile: men 153, women 155 (BMC Sports Science,
# Medicine and Rehabilitation 4:33, Table 4).
SHOULDER_FLEXION_P5_DEG = {"male": 153.0, "female": 155.0}


@dataclass(frozen=True)
class ArmLimits:
    """What an arm may do, degrees. The defaults lie between the elderly of Walker et al. and AAOS."""

    elbow_flexion_deg: float = AAOS_DEG["elbow flexion"]
    shoulder_flexion_deg: float = 170.0
    shoulder_extension_deg: float = 50.0
    wrist_flexion_deg: float = 75.0
    wrist_extension_deg: float = 65.0
    radial_deviation_deg: float = 20.0
    ulnar_deviation_deg: float = 28.0
    # Elbow drawn in past straight down, and raised out to the side of it: common practice, no source.
    swivel_in_deg: float = 30.0
    swivel_out_deg: float = 90.0
    # Upper arm drawn inward of straight ahead. From memory of the trade's "horizontal adduction" of about 45.
    across_deg: float = 45.0

    @property
    def elbow_flexion_rad(self) -> float:
        return float(np.radians(self.elbow_flexion_deg))


DEFAULT_LIMITS = ArmLimits()

LimitTable = Literal["usual", "aaos", "ama", "boone-azen", "macedo-magee", "walker", "p5"]
TABLES_DEG: dict[str, dict[str, float]] = {
    "aaos": AAOS_DEG,
    "ama": AMA_DEG,
    "boone-azen": BOONE_AZEN_DEG,
    "macedo-magee": MACEDO_MAGEE_DEG,
    "walker": WALKER_DEG,
}
SOURCES: dict[str, str] = {
    "usual": "between Walker et al. 1984 (65-85 years) and AAOS, as in Norkin & White Table A.1",
    "aaos": "American Academy of Orthopaedic Surgeons, in Norkin & White Table A.1",
    "ama": "American Medical Association, in Norkin & White Table A.1",
    "boone-azen": "Boone & Azen 1979 (109 men), in Norkin & White Table A.1",
    "macedo-magee": "Macedo & Magee (90 women, 18-59 years), in Norkin & White Table A.1",
    "walker": "Walker et al. 1984 (65-85 years), in Norkin & White Table A.1",
    "p5": "shoulder flexion that 95 in 100 young active adults reach (BMC Sports Sci Med Rehabil 4:33, Table 4)",
}


def arm_limits(table: str = "usual", sex: Sex | None = None) -> ArmLimits:
    """The limits of one published table. What it does not give (swivel, reach across) is as usual.

    `p5` is the usual with the fifth percentile of shoulder flexion; without a sex the lesser of both. Raises ValueError.
    """
    if table == "usual":
        return DEFAULT_LIMITS
    if table == "p5":
        low = SHOULDER_FLEXION_P5_DEG[sex] if sex else min(SHOULDER_FLEXION_P5_DEG.values())
        return replace(DEFAULT_LIMITS, shoulder_flexion_deg=low)
    if table not in TABLES_DEG:
        raise ValueError(f"there is no table '{table}' of joint limits; there are: {', '.join(SOURCES)}")
    said = TABLES_DEG[table]
    joints = ("elbow flexion", "shoulder flexion", "shoulder extension", "wrist flexion", "wrist extension",
              "radial deviation", "ulnar deviation")  # fmt: skip
    return replace(DEFAULT_LIMITS, **{f"{joint.replace(' ', '_')}_deg": said[joint] for joint in joints})
