"""The body's skin: every part a closed solid that follows the skeleton's joints."""

from __future__ import annotations

from sightline.figure.armskin import arm_mesh
from sightline.figure.cloth import shirt_mesh, sleeve_mesh
from sightline.figure.head import head_mesh
from sightline.figure.leg import leg_mesh, legs_mesh
from sightline.figure.seam import arm_line, arm_ring
from sightline.figure.sheet import BodySheet
from sightline.figure.skeleton import Skeleton
from sightline.figure.torso import torso_mesh
from sightline.geometry.mesh import Mesh

__all__ = [
    "PARTS",
    "arm_line",
    "arm_mesh",
    "arm_ring",
    "body_mesh",
    "leg_mesh",
    "shirt_mesh",
    "sleeve_mesh",
]

PARTS = ("head", "torso", "legs", "right arm", "left arm")


def body_mesh(
    sheet: BodySheet,
    skeleton: Skeleton,
    *,
    leave_out: frozenset[str] = frozenset({"left arm"}),
    coarse: bool = False,
) -> dict[str, Mesh]:
    """The parts of the body by name, each watertight and wound outward, metres, in the skeleton's frame.

    Parts overlap where they join (an arm runs into the trunk), so that no view passes between them. `leave_out` names
    parts not wanted; ValueError for a name that is none of `PARTS`.
    """
    strange = leave_out - set(PARTS)
    if strange:
        raise ValueError(f"no part of the body is called {sorted(strange)[0]!r}; the parts are {', '.join(PARTS)}")
    parts: dict[str, Mesh] = {}
    if "head" not in leave_out:
        parts["head"] = head_mesh(sheet, skeleton, coarse=coarse)
    if "torso" not in leave_out:
        parts["torso"] = torso_mesh(sheet, skeleton.trunk, skeleton.shoe_m, coarse=coarse)
    if "legs" not in leave_out:
        parts["legs"] = legs_mesh(sheet, skeleton, coarse=coarse)
    for side in ("right", "left"):
        if f"{side} arm" not in leave_out:
            parts[f"{side} arm"] = arm_mesh(sheet, side, *skeleton.arm(side), coarse=coarse)
    return parts
