"""Whether the hidden arm comes out of its opening in one straight pull."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sightline.errors import UnreachableError
from sightline.figure import arm as arms
from sightline.geometry.frame import FloatArray, unit
from sightline.props.box import Wall, holds, opening_names, wall_of
from sightline.scene.prop import Opening
from sightline.staging.hidden import HiddenPose
from sightline.workshop.bench import Bench

# Points looked at round the hand's outline as it goes through the hole.
ROUND = 48
# A line flatter than this to the wall (share of its length) goes along it, not through it.
STEEP = 0.2
# A cuff turned over the edge of its opening. Common practice, no source.
CUFF_CLOTH_M = 0.003


@dataclass(frozen=True)
class PullOut:
    """One way out, straight back along the forearm.

    `spare_m` is the hole's width less the hand's; `clear` whether the hand passes, `bent_clear` whether it would along
    its own line with the wrist giving way, `off_m` how far from the hole's middle the forearm's line goes; `reaches`
    whether the arm can be drawn `back_m` back without a step.
    """

    hand_m: float
    hole_m: float
    clear: bool
    bent_clear: bool
    off_m: float
    reaches: bool
    back_m: float

    @property
    def spare_m(self) -> float:
        return self.hole_m - self.hand_m


def hand_width_m(bench: Bench) -> float:
    """What must pass: the larger of the hand's breadth and its girth over the thumb as a circle, and a sleeve's cloth."""
    sheet = bench.sheet
    assert sheet is not None
    sleeves = [c.sleeve for c in bench.scene.costume if c.sleeve is not None and c.sleeve.on == "hidden arm"]
    cloth = max((s.thickness for s in sleeves), default=0.0)
    return max(sheet.hand_breadth_m, sheet.hand_girth_over_thumb_m / np.pi) + 2 * cloth


def hole_width_m(bench: Bench) -> float:
    """The narrowest way through the arm's opening: its smaller side, less twice the cloth of a cuff in it."""
    found = bench.arm_opening
    assert found is not None
    names = opening_names(bench.scene.prop.openings) if bench.scene.prop else []
    cuffs = [c.cuff for c in bench.scene.costume if c.cuff is not None]
    lined = any(cuff.opening in (None, names[found[0]]) for cuff in cuffs)
    return min(found[1].size_m) - (2 * CUFF_CLOTH_M if lined else 0.0)


def elbows_words(swivels_rad: Sequence[float]) -> str:
    """`the elbow 21 deg in, straight below or 10 deg out`: swivels, radians, from straight below and outwards."""
    words = []
    for degrees in sorted(round(float(np.degrees(swivel))) for swivel in swivels_rad):
        way = "out" if degrees > 0 else "in"
        words.append("straight below" if degrees == 0 else f"{abs(degrees)} deg {way}")
    return "the elbow " + (" or ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0])


def pull_out(bench: Bench, pose: HiddenPose) -> PullOut:
    """One pose. The hand goes back along the line of its forearm; needs a box with an opening for the arm."""
    body, carried, box, found = bench.body, bench.carried, bench.box, bench.arm_opening
    assert body is not None
    assert carried is not None
    assert box is not None
    assert found is not None
    sheet, opening = body.sheet, found[1]
    wide, hole = hand_width_m(bench), hole_width_m(bench)
    back = unit(pose.elbow - pose.wrist)
    wall = wall_of(carried.size_m, opening.wall)
    inverse = carried.placement.inverse()
    start, way = inverse.points(pose.wrist), inverse.directions(back)
    steep = float(way @ wall.outward)
    clear, off = _passes(start, way, wall, opening, wide, hole, box.wall)
    bent, _ = _passes(start, -inverse.directions(pose.fingers), wall, opening, wide, hole, box.wall)
    if steep < STEEP:
        return PullOut(wide, hole, False, bent, off, False, 0.0)
    # From the fingertips to the wall's outer face: so far the wrist goes back.
    tips = inverse.points(pose.wrist + pose.fingers * sheet.hand_length_m)
    out_m = max(float((wall.middle - tips) @ wall.outward) / steep, 0.0)
    return PullOut(wide, hole, clear, bent, off, _reaches(bench, pose, pose.wrist + back * out_m), out_m)


def _passes(
    start: FloatArray, way: FloatArray, wall: Wall, opening: Opening, wide_m: float, hole_m: float, wall_m: float
) -> tuple[bool, float]:
    """Whether a disc of the hand's width, swept from `start` along `way` (prop frame), stays within the hole at both
    faces of the wall, and how far from the hole's middle its own middle goes."""
    steep = float(way @ wall.outward)
    if steep < STEEP:
        return False, float("inf")
    one = unit(np.cross(way, wall.up if abs(way @ wall.up) < 0.9 else wall.across))
    other = np.cross(way, one)
    turn = np.linspace(0.0, 2 * np.pi, ROUND, endpoint=False)[:, None]
    ring = np.vstack([start, start + wide_m / 2 * (np.cos(turn) * one + np.sin(turn) * other)])
    shrunk = hole_m / min(opening.size_m)
    clear, off = True, 0.0
    for depth in (0.0, -wall_m):
        far = ((wall.middle + wall.outward * depth - ring) @ wall.outward) / steep
        met = ring + far[:, None] * way - wall.middle
        flat = np.column_stack([met @ wall.across, met @ wall.up]) - np.array(opening.at)
        clear &= all(holds(opening, at / shrunk) for at in flat)
        off = max(off, float(np.linalg.norm(flat[0])))
    return clear, off


def _reaches(bench: Bench, pose: HiddenPose, wrist: FloatArray) -> bool:
    body = bench.body
    assert body is not None
    assert body.hidden is not None
    side = body.hidden
    try:
        elbows = arms.solve(
            pose.shoulder, wrist, body.sheet.upper_arm_m, body.sheet.forearm_m, arms.swivel_family(side, 37), side
        )
    except UnreachableError:
        return False
    return bool(arms.allowed(pose.shoulder, elbows, wrist, side).any())
