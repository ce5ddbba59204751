"""Levels of service: how much floor each person of a crowd has, by published schemes.

Schemes differ, so each is named in full. Fruin's walkway levels are for people who walk, his queue levels for people who
stand; a level F of a walkway is no crush of people who stand, and is never taken for one here.
"""

from __future__ import annotations

FT2_M2 = 0.3048**2

# The least floor for each person of levels A, B, C ...; who has less is in the next one. Square metres.
LEAST_M2: dict[str, dict[str, float]] = {
    # Fruin, Pedestrian Planning and Design (1971), walkways: A more than 35 ft2, B 25, C 15, D 10, E 5, F less.
    "fruin walkway": {"A": 35 * FT2_M2, "B": 25 * FT2_M2, "C": 15 * FT2_M2, "D": 10 * FT2_M2, "E": 5 * FT2_M2},
    # Fruin 1971, queues: A 13 ft2 and more, B, C, D, E 2 ft2 and more, F less. FROM MEMORY.
    "fruin queue": {"A": 1.21, "B": 0.93, "C": 0.65, "D": 0.28, "E": 0.19},
    # Highway Capacity Manual 2000, walkways, as a lecture of NPTEL quotes it; its levels D to F were not seen.
    "hcm walkway": {"A": 5.6, "B": 3.7, "C": 2.2},
}
SERVICES = tuple(f"{scheme} {level}" for scheme, levels in LEAST_M2.items() for level in levels)


def level_of(scheme: str, m2_per_person: float) -> str:
    """The level, A best, of so much floor for each person; `below C` where the next level's bound is not known."""
    levels = LEAST_M2[scheme]
    for level, least in levels.items():
        # A bound in feet turned into metres must still meet itself.
        if m2_per_person >= least * (1 - 1e-9):
            return level
    return "F" if scheme.startswith("fruin") else f"below {list(levels)[-1]}"


def service_per_m2(service: str) -> float:
    """People per square metre at the crowded end of a level such as `fruin queue C`."""
    scheme, level = service.rsplit(" ", 1)
    return 1.0 / LEAST_M2[scheme][level]


def floor_of_flow_m2(width_m: float, people_per_s: float, walking_m_s: float) -> float:
    """Floor of each walker, m2: speed over flow per width. ValueError for a flow that is none."""
    if not (width_m > 0 and people_per_s > 0 and walking_m_s > 0):
        raise ValueError("width, flow and speed must be more than nothing")
    return walking_m_s / (people_per_s / width_m)
