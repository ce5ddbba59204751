"""Every grip that the act asks of the hidden hand, by every elbow that joints and opening allow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.figure import arm as arms
from sightline.figure.armskin import arm_mesh
from sightline.figure.limits import SOURCES, ArmLimits, arm_limits
from sightline.geometry.frame import FloatArray
from sightline.props.box import box_size, wall_of
from sightline.scene.prop import Move, Opening
from sightline.staging.hidden import ELBOWS, FIST_CURL, TRIED, Target, default_moves, palm_down, target
from sightline.workshop.armway import ArmWay
from sightline.workshop.bench import Bench
from sightline.workshop.clearance import Clearance, clearance, plates

# Cloth of a close sleeve where the scene gives none, and what loose cloth comes to in folds. Common practice, no source.
CLOTH_M = 0.002
FOLDS = 2.0
ELDERLY_YEARS = 65.0


@dataclass(frozen=True)
class Way:
    """One elbow for one grip, performer's frame; clearances None where there is no box or no opening.

    `raise_deg` is the upper arm's angle from hanging, `slant_deg` the arm's from straight through the opening's wall;
    `bone` and `share` say which bone is in the wall (0 upper arm, 1 forearm, 2 hand) and how far along.
    """

    swivel_rad: float
    elbow: FloatArray
    raise_deg: float
    bend_deg: float
    edge: Clearance | None
    wall: Clearance | None
    bone: int | None
    share: float | None
    slant_deg: float | None
    cross_m: FloatArray | None = None

    @property
    def least_m(self) -> float:
        found = [c.distance_m for c in (self.edge, self.wall) if c is not None]
        return min(found) if found else 0.0


@dataclass(frozen=True)
class GripReach:
    """One move: how far out of reach (> 0 too far, < 0 too near, 0 reached), which joints refuse, and the ways left."""

    move: str
    asked: Target
    short_m: float
    refused: tuple[str, ...]
    misses: bool
    ways: tuple[Way, ...]

    @property
    def reached(self) -> bool:
        return bool(self.ways)

    @property
    def best(self) -> Way | None:
        """The elbow with most room; of those that all clear by a centimetre, the one that lifts the arm least."""
        if not self.ways:
            return None
        return max(self.ways, key=lambda way: (min(way.least_m, 0.010), -way.raise_deg))

    @property
    def highest_deg(self) -> float:
        return max((way.raise_deg for way in self.ways), default=0.0)


def chosen_limits(bench: Bench) -> tuple[ArmLimits, str, str]:
    """The joint limits of this scene, the table's name and its source."""
    fit, performer = bench.scene.fit, bench.scene.performer
    over = fit.ages == "over 65" or (
        fit.ages is None and performer is not None and (performer.age or 0.0) >= ELDERLY_YEARS
    )
    name = fit.limits or ("walker" if over else "usual")
    return arm_limits(name, performer.sex if performer else None), name, SOURCES[name]


def cloth_of(bench: Bench) -> tuple[float, str]:
    """What clothing adds to the hidden arm's radius, metres, and where that is from."""
    if bench.scene.fit.clothing is not None:
        return bench.scene.fit.clothing / 2, "as the scene says (fit: clothing)"
    sleeves = [c.sleeve for c in bench.scene.costume if c.sleeve is not None and c.sleeve.on == "hidden arm"]
    if sleeves:
        return FOLDS * sum(s.thickness for s in sleeves), "the hidden arm's sleeve in folds: twice its thickness"
    return CLOTH_M, "no sleeve is on the hidden arm: a close one in folds is allowed for, common practice, no source"


def arm_way(bench: Bench) -> ArmWay | None:
    """The hidden arm and its opening; None where the scene has no hidden arm or no prop."""
    body, carried = bench.body, bench.carried
    if body is None or body.hidden is None or carried is None:
        return None
    opening = bench.arm_opening[1] if bench.arm_opening else None
    limits, _, _ = chosen_limits(bench)
    return ArmWay(
        body.sheet, body.hidden, body.shoulder(body.hidden), limits, bench.box, opening, carried.placement,
        cloth_of(bench)[0],
    )  # fmt: skip


def grips(bench: Bench) -> list[GripReach]:
    """Rest and all moves, those of the scene or the four extremes that are taken for granted; [] without a hidden arm."""
    way = arm_way(bench)
    puppet = bench.scene.puppet
    if way is None or puppet is None:
        return []
    moves = {"rest": Move(), **(default_moves() if puppet.moves is None else puppet.moves)}
    return [_grip(bench, way, name, move) for name, move in moves.items()]


def _grip(bench: Bench, way: ArmWay, name: str, move: Move) -> GripReach:
    body, carried, puppet = bench.body, bench.carried, bench.scene.puppet
    assert body is not None
    assert carried is not None
    assert puppet is not None
    asked = target(body, carried, puppet, way.opening, way.box.wall if way.box else 0.0, move)
    short = float(way.shortfall(asked.wrist))
    if short:
        return GripReach(name, asked, short, (), False, ())
    pin = bench.scene.pose.hidden_elbow
    swivels = arms.swivel_family(way.side, TRIED, way.limits) if pin is None else np.array([pin])
    elbows = way.elbows(asked.wrist[None], swivels)[0]
    fits = way.allowed(elbows[None], asked.wrist[None])[0]
    if not fits.any():
        said = arms.problems(way.shoulder, elbows[len(elbows) // 2], asked.wrist, way.side, way.limits)
        return GripReach(name, asked, 0.0, tuple(said), False, ())
    chosen = np.flatnonzero(fits)
    line, _ = way.passes(elbows[chosen], *(np.tile(p, (len(chosen), 1)) for p in (asked.wrist, asked.grip)))
    chosen = chosen[line]
    if not len(chosen):
        return GripReach(name, asked, 0.0, (), True, ())
    if len(chosen) > ELBOWS:
        chosen = chosen[np.round(np.linspace(0, len(chosen) - 1, ELBOWS)).astype(int)]
    openings = bench.prop.openings if bench.prop else []
    ways = tuple(_way(way, openings, asked, float(swivels[i]), elbows[i]) for i in chosen)
    return GripReach(name, asked, 0.0, (), False, ways)


def _way(way: ArmWay, openings: list[Opening], asked: Target, swivel_rad: float, elbow: FloatArray) -> Way:
    upper = elbow - way.shoulder
    raised = float(np.degrees(np.arctan2(np.hypot(upper[0], upper[1]), -upper[2])))
    bend = float(np.degrees(arms.flexion(way.shoulder, elbow, asked.wrist)))
    if way.box is None:
        return Way(swivel_rad, elbow, raised, bend, None, None, None, None, None)
    mesh = arm_mesh(
        way.sheet, way.side, way.shoulder, elbow, asked.wrist, asked.fingers, palm_down(asked.fingers),
        coarse=True, curl=FIST_CURL, extra_thickness_m=way.cloth_m,
    ).placed(way.prop.inverse())  # fmt: skip
    own = way.opening.wall if way.opening else None
    found = {plate.name: clearance(mesh, plate) for plate in plates(way.box, openings)}
    others = [c for name, c in found.items() if name != own]
    nearest = min(others, key=lambda c: c.distance_m)
    if way.opening is None:
        return Way(swivel_rad, elbow, raised, bend, None, nearest, None, None, None)
    through = way.crossing(elbow[None], asked.wrist[None], asked.grip[None])
    outward = wall_of(box_size(way.box), way.opening.wall).outward
    slant = float(np.degrees(np.arccos(np.clip(abs(through.along[0] @ outward), 0.0, 1.0))))
    return Way(
        swivel_rad, elbow, raised, bend, found[way.opening.wall], nearest,
        int(through.bone[0]), float(through.share[0]), slant, through.at[0],
    )  # fmt: skip
