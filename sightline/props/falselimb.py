"""A limb that is not real: its joints from the hand's place and the bend, its skin, hand and seams."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from sightline.errors import Misfit, UnreachableError
from sightline.figure import arm as arms
from sightline.figure.armskin import arm_mesh
from sightline.figure.seam import arm_line, arm_path, arm_points, arm_ring
from sightline.figure.sheet import BodySheet
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.props.hands import HandHold
from sightline.scene.prop import FalseLimb, LimbSeam

# Where round the limb a lengthwise seam runs, degrees from the outer side towards the front.
SEAM_SIDES = {"outer": 0.0, "front": 90.0, "inner": 180.0, "back": 270.0}
# A false arm more than this share longer or shorter than the real one is noticed. Common practice, no source.
LENGTH_SHARE = 0.08


@dataclass(frozen=True)
class FalseArm:
    """A parametric false arm, in the performer's frame. `scale` is its length over the real arm's."""

    name: str
    side: Literal["left", "right"]
    sheet: BodySheet
    shoulder: FloatArray
    elbow: FloatArray
    hold: HandHold
    girth: float
    scale: float
    mesh: Mesh

    @property
    def bend_deg(self) -> float:
        """How far the elbow is bent; a straight arm is bent by nothing."""
        upper, fore = self.elbow - self.shoulder, self.hold.wrist - self.elbow
        cosine = float(upper @ fore) / float(np.linalg.norm(upper) * np.linalg.norm(fore))
        return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))

    def notes(self) -> list[str]:
        if abs(self.scale - 1.0) <= LENGTH_SHARE:
            return []
        more = "longer" if self.scale > 1 else "shorter"
        share = abs(self.scale - 1) * 100
        return [f"'{self.name}' comes out {share:.0f} % {more} than the real arm at this bend; it may look wrong."]

    def hand(self) -> Mesh:
        """The part of the skin that is the hand, an open sheet."""
        beyond = (self.mesh.corners.mean(axis=1) - self.hold.wrist) @ self.hold.fingers > 0.01
        near = np.linalg.norm(self.mesh.corners.mean(axis=1) - self.hold.wrist, axis=1) < 1.6 * self.sheet.hand_length_m
        return Mesh.of(self.mesh.vertices, self.mesh.faces[beyond & near])

    def seam_path(self, seam: LimbSeam) -> FloatArray:
        """The line (n, 3) of a seam on this arm's skin, metres, its points at most 5 mm apart where it follows a path."""
        joints = (self.sheet, self.side, self.shoulder, self.elbow, self.hold.wrist)
        if seam.path is not None:
            return arm_path(*joints, seam.path, **self._skin)
        if seam.ring is not None:
            ring = arm_ring(*joints, seam.ring, scale_girth=self.girth)
            return np.vstack([ring, ring[:1]])
        assert seam.side is not None
        around = np.radians(SEAM_SIDES[seam.side])
        return arm_line(*joints, (seam.start, seam.end), around, scale_girth=self.girth)

    def skin_points(self, share: ArrayLike, around_rad: ArrayLike) -> FloatArray:
        """Points (k, 3) m on the skin at shares and angles (k,) as a seam says them; see `figure.seam.arm_points`."""
        joints = (self.sheet, self.side, self.shoulder, self.elbow, self.hold.wrist)
        return arm_points(*joints, share, around_rad, **self._skin)

    @property
    def _skin(self) -> dict[str, Any]:
        """What turns and swells the forearm as in the mesh."""
        return {
            "hand_direction": self.hold.fingers, "palm_normal": self.hold.palm, "scale_girth": self.girth
        }  # fmt: skip

    @property
    def elbow_share(self) -> float:
        """How far along the limb the elbow is."""
        upper = float(np.linalg.norm(self.elbow - self.shoulder))
        return upper / (upper + float(np.linalg.norm(self.hold.wrist - self.elbow)))


def false_arm(limb: FalseLimb, sheet: BodySheet, shoulder: FloatArray, hold: HandHold) -> FalseArm:
    """Solve and build a false arm. Raises Misfit where its hand cannot be with the lengths it has."""
    side: Literal["left", "right"] = limb.handed or ("left" if limb.replaces == "left arm" else "right")
    upper, fore = sheet.upper_arm_m, sheet.forearm_m
    distance = float(np.linalg.norm(hold.wrist - shoulder))
    scale = 1.0
    if limb.elbow is not None:
        scale = distance / float(arms.shoulder_wrist_distance(upper, fore, limb.elbow))
    elif limb.shoulder_to_wrist is not None:
        scale = distance / limb.shoulder_to_wrist
    try:
        elbow = arms.solve(shoulder, hold.wrist, upper * scale, fore * scale, [limb.elbow_out], side)[0]
    except UnreachableError as error:
        raise Misfit(("hand at",), f"The false hand cannot be there: {error}.") from error
    mesh = arm_mesh(sheet, side, shoulder, elbow, hold.wrist, hold.fingers, hold.palm, scale_girth=limb.girth)
    return FalseArm(limb_name(limb), side, sheet, shoulder, elbow, hold, limb.girth, scale, mesh)


def limb_name(limb: FalseLimb) -> str:
    return limb.name or f"false {limb.replaces}"
