"""One scene of the gallery: what is written, what is asked of it, what the answer must be and why."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from sightline.sight.check import Finding

Measure = Callable[[Finding], float]


@dataclass(frozen=True)
class Turning:
    """A margin in degrees: of eye `eye`, which, turned about the one small secret in the `plane` that it makes with
    that direction, first sees it after this angle."""

    eye: str
    plane: tuple[float, float, float]


@dataclass(frozen=True)
class Case:
    """`asked` says the quantity in words, with its unit. `tolerance` is a difference in that unit, `because` its reason.

    `files` are meshes that the scene names, as text by name.
    """

    name: str
    asked: str
    scene: str
    measure: Measure | Turning
    expected: float
    formula: str
    tolerance: float
    because: str
    files: Mapping[str, str] = field(default_factory=dict)


# Reasons of tolerances, by the word that stands for each.
GRID, FACETS, FLAT, SAMPLES, EXACT = "grid", "facets", "flat spots", "samples", "exact"
REASONS = {
    GRID: "patches are judged by their middles: an edge across n rows of them is told to about one part in n",
    FACETS: "a round shape is a polyhedron of the same area",
    FLAT: "triangles farther off than 20 of their own radii are taken for flat spots, which is good to 0.1 %",
    SAMPLES: "a seam has a sample every 5 mm, half of one lost or won at each edge",
    EXACT: "nothing is judged by a grid; what remains is rounding",
}


def at(*place_m: float) -> str:
    """A place as a scene file has it."""
    return "[" + ", ".join(f"{x:.9f} m" for x in place_m) + "]"


def eye(x: float, y: float, z: float = 0.0, name: str = "E1", kind: str = "") -> str:
    return f"{{id: {name}, at: {at(x, y, z)}{f', kind: {kind}' if kind else ''}}}"


def seen_by(*eyes: str) -> str:
    return f"eyes: [{', '.join(eyes)}]\n"


def rectangle(width_m: float, height_m: float) -> str:
    return f"rectangle: {{width: {width_m:.9f} m, height: {height_m:.9f} m}}"


def disc(radius_m: float) -> str:
    return f"disc: {{radius: {radius_m:.9f} m}}"


def cover(shape: str, place: tuple[float, float, float], name: str = "cover", more: str = "") -> str:
    return f"{{name: {name}, {shape}, at: {at(*place)}{more}}}"


def covers(*each: str) -> str:
    return f"covers: [{', '.join(each)}]\n"


def target(
    shape: str, place: tuple[float, float, float] = (0.0, 0.0, 0.0), more: str = "", detail: str = "2 cm"
) -> str:
    return f"detail: {detail}\nsecrets: [{cover(shape, place, 'target', more)}]\n"


def seam(*points: tuple[float, float, float], more: str = "") -> str:
    return f"secrets: [{{name: target, kind: seam, path: [{', '.join(at(*p) for p in points)}]{more}}}]\n"


def _only(finding: Finding) -> int:
    """The place of the only eye; the measures below are for scenes that have one."""
    assert len(finding.moment.eyes) == 1
    return 0


def solid_angle(finding: Finding) -> float:
    return float(finding.secrets["target"].sighting.seen.solid_angle_sr[_only(finding)])


def fraction(finding: Finding) -> float:
    return float(finding.secrets["target"].sighting.fraction[_only(finding)])


def visible_length(finding: Finding) -> float:
    return float(finding.secrets["target"].sighting.seen.length_m[_only(finding)])


def longest_run(finding: Finding) -> float:
    return float(finding.secrets["target"].sighting.seen.run_m[_only(finding)])


def line_width(finding: Finding) -> float:
    return float(finding.secrets["target"].sighting.seen.width_arcmin[_only(finding)])


def clear_fraction(finding: Finding) -> float:
    return float(finding.must_see["owl"].clear_fraction[_only(finding)])


def eyes_that_see(finding: Finding) -> float:
    return float((finding.secrets["target"].sighting.seen.solid_angle_sr > 0).sum())


def secrets_by_eyes(finding: Finding, count: int) -> int:
    """How many secrets exactly so many eyes see something of."""
    shown = np.array([f.sighting.seen.solid_angle_sr > 0 for f in finding.secrets.values()])
    return int((shown.sum(axis=1) == count).sum())


def obj(vertices: list[tuple[float, float, float]], faces: list[tuple[int, ...]]) -> str:
    """A mesh file as text."""
    lines = [f"v {x:.9f} {y:.9f} {z:.9f}" for x, y, z in vertices]
    return "\n".join([*lines, *("f " + " ".join(str(i + 1) for i in face) for face in faces), ""])
