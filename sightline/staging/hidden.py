"""The hidden arm: every elbow it may have and every move of the puppet, each one pose."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sightline.errors import Misfit, UnreachableError
from sightline.figure import arm as arms
from sightline.figure.armskin import arm_mesh
from sightline.geometry.frame import FloatArray, Placement, about_x, about_z, unit
from sightline.geometry.mesh import Mesh
from sightline.props.box import holds, wall_of
from sightline.scene.prop import Move, Opening, Puppet
from sightline.staging.body import Body, Carried

# Elbow positions per move; the swivels tried before those that miss the opening are dropped.
ELBOWS = 9
TRIED = 61
# Without named moves the grip is taken to wander this far each way. Common practice, no source.
WANDER_M, WANDER_DEG = 0.040, 20.0
FIST_CURL = 0.45


@dataclass(frozen=True)
class HiddenPose:
    """One arm and where it puts the puppet: meshes in the performer's frame, the grip's placement there.

    `shoulder`, `elbow`, `wrist` (3,) and `fingers` (unit) are its joints and where the hand points; `swivel_rad` as
    for the arm solver.
    """

    name: str
    move: str
    arm: Mesh
    grip: Placement
    shoulder: FloatArray
    elbow: FloatArray
    wrist: FloatArray
    fingers: FloatArray
    swivel_rad: float


class Target(NamedTuple):
    """What one move asks of the arm, performer's frame: grip (3,), fingers (unit), wrist joint (3,), the turn (3, 3)."""

    grip: FloatArray
    fingers: FloatArray
    wrist: FloatArray
    turned: FloatArray


def default_moves() -> dict[str, Move]:
    """Rest is added by the caller; these are the four extremes."""
    turn, by = np.radians(WANDER_DEG), WANDER_M
    return {
        "left": Move(by=(by, 0.0, 0.0), turn=turn),
        "right": Move(by=(-by, 0.0, 0.0), turn=-turn),
        "up": Move(by=(0.0, 0.0, by), nod=-turn),
        "down": Move(by=(0.0, 0.0, -by), nod=turn),
    }


def hidden_poses(
    body: Body, carried: Carried, puppet: Puppet, opening: Opening | None, wall_m: float, pin_rad: float | None,
    sleeve_m: float = 0.0, elbows: int = ELBOWS,
) -> tuple[list[HiddenPose], list[str]]:  # fmt: skip
    """All poses of the hidden arm, rest first, and the assumed moves that it cannot make; at most `elbows` for a move.

    Raises Misfit where the grip, a move that the scene names, or the way to it is out of reach.
    """
    assert body.hidden is not None
    moves = {"rest": Move(), **(default_moves() if puppet.moves is None else puppet.moves)}
    default = puppet.moves is None
    out: list[HiddenPose] = []
    left_out: list[str] = []
    for name, move in moves.items():
        try:
            out += _move_poses(body, carried, puppet, opening, wall_m, pin_rad, sleeve_m, name, move, elbows)
        except Misfit:
            # The wandering we assume need not all be in reach; what the scene names must be.
            if name == "rest" or not default:
                raise
            left_out.append(name)
    return out, left_out


def _move_poses(
    body: Body, carried: Carried, puppet: Puppet, opening: Opening | None, wall_m: float, pin_rad: float | None,
    sleeve_m: float, name: str, move: Move, most: int,
) -> list[HiddenPose]:  # fmt: skip
    side = body.hidden
    assert side is not None
    where = ("puppet", "grip") if name == "rest" else ("puppet", "moves", name)
    grip_at, fingers, wrist, turned = target(body, carried, puppet, opening, wall_m, move)
    palm = palm_down(fingers)
    shoulder = body.shoulder(side)
    swivels = arms.swivel_family(side, TRIED) if pin_rad is None else np.array([pin_rad])
    try:
        elbows = arms.solve(shoulder, wrist, body.sheet.upper_arm_m, body.sheet.forearm_m, swivels, side)
    except UnreachableError as error:
        raise Misfit(where, f"The hidden hand cannot reach this: {error}.") from error
    fits = arms.allowed(shoulder, elbows, wrist, side)
    if not fits.any():
        reasons = arms.problems(shoulder, elbows[len(elbows) // 2], wrist, side)
        raise Misfit(where, "No joint of the hidden arm allows this: " + "; ".join(reasons) + ".")
    chosen = np.flatnonzero(fits)
    if opening is not None:
        lines = [np.array([shoulder, elbows[i], wrist, grip_at]) for i in chosen]
        met = [_crossing(line, carried, opening, wall_m) for line in lines]
        through = [at is not None and holds(opening, at) for at in met]
        if not any(through):
            nearest = min(met, key=lambda at: np.inf if at is None else float(np.linalg.norm(at)))
            raise Misfit(where, _missed(nearest, opening))
        chosen = chosen[through]
    if len(chosen) > most:
        chosen = chosen[np.round(np.linspace(0, len(chosen) - 1, most)).astype(int)]
    out = []
    for i in chosen:
        mesh = arm_mesh(
            body.sheet, side, shoulder, elbows[i], wrist, fingers, palm,
            coarse=True, curl=FIST_CURL, extra_thickness_m=sleeve_m,
        )  # fmt: skip
        said = name if len(chosen) == 1 else f"{name}, elbow {np.degrees(swivels[i]):+.0f} deg"
        frame = Placement(carried.placement.rotation @ turned, grip_at)
        out.append(HiddenPose(said, name, mesh, frame, shoulder, elbows[i], wrist, fingers, float(swivels[i])))
    return out


def target(body: Body, carried: Carried, puppet: Puppet, opening: Opening | None, wall_m: float, move: Move) -> Target:
    """Where a move takes grip, fingers and wrist."""
    turned = about_z(move.turn) @ about_x(move.nod)
    fingers = carried.placement.directions(turned @ _way_in(carried, opening, puppet, wall_m, body))
    grip_at = carried.placement.points(np.array(puppet.grip) + np.array(move.by))
    return Target(grip_at, fingers, arms.grip_wrist(grip_at, fingers, body.sheet.hand_length_m), turned)


def _way_in(carried: Carried, opening: Opening | None, puppet: Puppet, wall_m: float, body: Body) -> FloatArray:
    """Which way the fingers point at rest, prop frame: on from the opening to the grip."""
    grip = np.array(puppet.grip)
    assert body.hidden is not None
    start = carried.placement.inverse().points(body.shoulder(body.hidden))
    if opening is not None:
        start = wall_of(carried.size_m, opening.wall).point(*opening.at, -wall_m / 2)
    way = grip - start
    return unit(way) if np.linalg.norm(way) > 0.01 else np.array([0.0, -1.0, 0.0])


def palm_down(fingers: FloatArray) -> FloatArray:
    """The palm's normal of a hand that points along `fingers`, as near to straight down as that allows."""
    down = np.array([0.0, 0.0, -1.0])
    palm = down - (down @ fingers) * fingers
    return unit(palm) if np.linalg.norm(palm) > 1e-3 else np.array([0.0, 1.0, 0.0])


def _crossing(line: FloatArray, carried: Carried, opening: Opening, wall_m: float) -> FloatArray | None:
    """Where the arm's middle line (n, 3) goes through the wall, from the opening's middle (across, up); None: nowhere."""
    wall = wall_of(carried.size_m, opening.wall)
    points = carried.placement.inverse().points(line)
    depth = (points - wall.middle) @ wall.outward + wall_m / 2
    for a, b, p, q in zip(points[:-1], points[1:], depth[:-1], depth[1:], strict=True):
        if p > 0 >= q:
            place = a + (b - a) * p / (p - q) - wall.middle
            return np.array([place @ wall.across, place @ wall.up]) - np.array(opening.at)
    return None


def _missed(at: FloatArray | None, opening: Opening) -> str:
    """In words for a maker, how the arm goes past its opening."""
    if at is None:
        return f"The hidden arm does not go through the {opening.wall} wall at all; move the prop or the grip."
    sides = ("left", "right") if opening.wall in ("front", "back", "top", "bottom") else ("back", "front")
    said = f"{abs(at[0]) * 1000:.0f} mm to the {sides[0] if at[0] > 0 else sides[1]} and "
    said += f"{abs(at[1]) * 1000:.0f} mm {'above' if at[1] > 0 else 'below'} the opening's middle"
    return f"The hidden arm misses its opening: it meets the {opening.wall} wall {said}. Move the opening, the grip or the prop."
