"""Who could see what, wherever they stand in the standing areas: the areas asked on a grid, at the heights people have."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.blocking.placing import Placing
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover
from sightline.house.eyes import Eye
from sightline.house.ground import inside
from sightline.house.outline import Outline
from sightline.house.people import EYE_HEIGHT_M
from sightline.sight.check import VerdictArray
from sightline.sight.rays import BoolArray, Solid

# Kind of eye and what its band is called; the heights and their sources are in `house/people.py`.
BANDS = (
    ("child", "child"), ("wheelchair", "seated or wheelchair"), ("standing", "standing adult"), ("phone", "raised phone"),
)  # fmt: skip
# As fine as this many eyes in all allow, but no finer than this, m.
MOST_PLACES, FINEST_M, COARSEST_M = 1400, 0.20, 1.0
# Nobody stands so near to the mark, m.
CLEAR_OF_MARK_M = 0.5


@dataclass(frozen=True)
class Area:
    """One standing area: its outlines (a whole ring has two) and the grid `x` (n,), `y` (m,) laid over it.

    An area without any breadth has `points` (k, 2) in place of a grid.
    """

    name: str
    outlines: tuple[FloatArray, ...]
    floor_m: float
    x: FloatArray
    y: FloatArray
    points: FloatArray

    def holds(self, at: FloatArray) -> BoolArray:
        """Which points (n, 2) are in it; what is inside both circles of a ring is not."""
        out = np.zeros(len(at), dtype=bool)
        for outline in self.outlines:
            out ^= inside(outline[:-1], at)
        return out


@dataclass(frozen=True)
class Band:
    """One height: per area the verdicts and sizes in arcmin of the worst secret, (m, n) on the grid or (k,); -1 and NaN
    where nobody was asked."""

    name: str
    eye_m: float
    verdict: tuple[VerdictArray, ...]
    size_arcmin: tuple[FloatArray, ...]


@dataclass(frozen=True)
class HeightBands:
    areas: tuple[Area, ...]
    bands: tuple[Band, ...]
    spacing_m: float


def areas_of(outlines: tuple[object, ...], eyes: list[Eye], spacing_m: float) -> list[Area]:
    """The standing areas among a plan's lines, with their grids."""
    out: list[Area] = []
    standing = [o for o in outlines if isinstance(o, Outline) and o.kind == "standing area"]
    floors = _floors_m({o.name for o in standing}, eyes)
    for name in dict.fromkeys(o.name for o in standing):
        lines = tuple(o.points_m for o in standing if o.name == name)
        floor = floors.get(name, 0.0)
        if all(o.closed for o in standing if o.name == name):
            low = np.min([points.min(axis=0) for points in lines], axis=0)
            high = np.max([points.max(axis=0) for points in lines], axis=0)
            # A step beyond the edge, so that level lines reach it.
            steps = np.ceil((high - low) / spacing_m).astype(int) + 2
            x, y = (low[k] + (np.arange(steps[k] + 1) - 0.5) * (high - low)[k] / (steps[k] - 1) for k in (0, 1))
            out.append(Area(name, lines, floor, x, y, np.zeros((0, 2))))
        else:
            out.append(Area(name, lines, floor, np.zeros(0), np.zeros(0), _along(lines[0], max(spacing_m, 0.4))))
    return out


def _floors_m(names: set[str], eyes: list[Eye]) -> dict[str, float]:
    """The floor that the people of each area stand on, by its name, for the areas that have some.

    Their ids are the area's name and a number, or its name, 'behind' and a number. No more of an id than that is taken off
    before it is compared: the people of 'gallery upper' are not those of 'gallery'.
    """
    floors: dict[str, float] = {}
    for eye in eyes:
        name, _, number = eye.id.rpartition(" ")
        if name not in names:
            name = name.removesuffix(" behind")
        if number.isdecimal() and name in names:
            floors.setdefault(name, eye.floor_m or 0.0)
    return floors


def _along(line: FloatArray, step_m: float) -> FloatArray:
    far = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    at = np.linspace(0.0, far[-1], max(2, round(far[-1] / step_m) + 1))
    return np.column_stack([np.interp(at, far, line[:, k]) for k in (0, 1)])


def height_bands(placing: Placing) -> HeightBands | None:
    """The standing areas of the scene asked at four heights, on its mark; None where nobody stands in any area."""
    staged = placing.staged
    house = staged.house
    rough = areas_of(tuple(house.outlines), house.eyes, COARSEST_M)
    if not rough:
        return None
    total = sum(_floor_m2(area) for area in rough)
    spacing = float(np.clip(np.sqrt(total * len(BANDS) / MOST_PLACES), FINEST_M, COARSEST_M))
    areas = areas_of(tuple(house.outlines), house.eyes, spacing)
    places = [_places(area, spacing, house.scenery, np.array(staged.mark_m)) for area in areas]
    bands = []
    for kind, called in BANDS:
        height = EYE_HEIGHT_M[kind]
        eyes = [
            Eye(
                f"{area.name} {kind} {n}",
                kind,
                (float(at[0]), float(at[1]), area.floor_m + height),
                floor_m=area.floor_m,
            )
            for area, (points, asked) in zip(areas, places, strict=True)
            for n, at in enumerate(points[asked])
        ]
        found = placing.exact(staged.mark_m, staged.facing_rad, tuple(eyes))
        worst, size = found.worst_verdict(), found.size_of_leak()
        verdicts, sizes, start = [], [], 0
        for area, (points, asked) in zip(areas, places, strict=True):
            count = int(asked.sum())
            verdict, much = np.full(len(points), -1, dtype=np.int8), np.full(len(points), np.nan)
            verdict[asked], much[asked] = worst[start : start + count], size[start : start + count]
            shape = (len(area.y), len(area.x)) if len(area.x) else (len(points),)
            verdicts.append(verdict.reshape(shape))
            sizes.append(much.reshape(shape))
            start += count
        bands.append(Band(called, height, tuple(verdicts), tuple(sizes)))
    return HeightBands(tuple(areas), tuple(bands), spacing)


def _floor_m2(area: Area) -> float:
    if not len(area.x):
        return 0.5 * len(area.points)
    x, y = np.meshgrid(area.x, area.y)
    return float(area.holds(np.column_stack([x.ravel(), y.ravel()])).mean() * np.ptp(area.x) * np.ptp(area.y))


def _places(area: Area, spacing_m: float, scenery: list[Cover], mark_m: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Every place of an area (n, 2), and which are asked (n,): in it or a step beside it, and where a person can be."""
    if len(area.x):
        x, y = np.meshgrid(area.x, area.y)
        points = np.column_stack([x.ravel(), y.ravel()])
        asked = np.zeros(len(points), dtype=bool)
        for dx in (-spacing_m, 0.0, spacing_m):
            for dy in (-spacing_m, 0.0, spacing_m):
                asked |= area.holds(points + [dx, dy])
    else:
        points, asked = area.points, np.ones(len(area.points), dtype=bool)
    asked &= np.hypot(*(points - mark_m).T) > CLEAR_OF_MARK_M
    for cover in scenery:
        if cover.mesh.closed:
            solid = Solid(cover.mesh, cover.mesh.bounds.mean(axis=0))
            for kind, _ in BANDS:
                height = np.full(len(points), area.floor_m + EYE_HEIGHT_M[kind])
                asked &= ~solid.holds(np.column_stack([points, height]))
    return points, asked
