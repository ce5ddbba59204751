"""The hidden arm in every pose: what it, and what it holds, weighs on its shoulder."""

from __future__ import annotations

from dataclasses import dataclass

from sightline.workshop.armload import ArmAt, moment_nm, points, raised_deg
from sightline.workshop.bench import Bench
from sightline.workshop.masses import Weighed


@dataclass(frozen=True)
class Raised:
    """One pose. `moments_nm` by model of the arm; `raised_deg` of the upper arm from hanging."""

    name: str
    move: str
    moments_nm: dict[str, float]
    raised_deg: float

    @property
    def most_nm(self) -> float:
        return max(self.moments_nm.values())

    @property
    def least_nm(self) -> float:
        return min(self.moments_nm.values())


def raised(bench: Bench, parts: list[Weighed]) -> list[Raised]:
    """Every pose of the hidden arm, as the bench has them (rest first). What the hand holds goes where the pose puts it.

    Nothing is taken off for an arm that rests on the opening's edge: it should not.
    """
    if bench.sheet is None or not bench.hidden:
        return []
    held = [part for part in parts if part.bearer == "hand" and part.part == "puppet"]
    sleeves = [part for part in parts if part.bearer == "hand" and part.part != "puppet"]
    rest = bench.hidden[0].grip.inverse()
    out = []
    for pose in bench.hidden:
        loads = [(part.mass_kg, pose.grip.points(rest.points(part.middle_m))) for part in held]
        loads += [(part.mass_kg, pose.elbow) for part in sleeves]
        arm = ArmAt(pose.shoulder, pose.elbow, pose.wrist, pose.fingers, bench.sheet.hand_length_m)
        moments = {
            model: moment_nm(pose.shoulder, [*segments, *loads])
            for model, segments in points(arm, bench.sheet.mass_kg, bench.sheet.sex).items()
        }
        out.append(Raised(pose.name, pose.move, moments, raised_deg(pose.shoulder, pose.elbow)))
    return out
