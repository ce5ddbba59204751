"""The tube of a built false arm: its own skin from shoulder to wrist, where seams of the scene lie on it too."""

from __future__ import annotations

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.pattern.bent import Bone, bent_tube
from sightline.pattern.tube import AROUND, Tube
from sightline.props.falselimb import FalseArm

# Sections read along each bone; between them the skin is a smooth curve.
_STATIONS = 73


def tube_of_arm(arm: FalseArm, around: int = AROUND) -> Tube:
    """Shares and angles are those of `FalseArm.skin_points`; only the elbow's ring is in the mitre plane.

    Raises SightlineError where the elbow is bent so far that nothing of a bone's skin is left.
    """
    turn = 2.0 * np.pi * np.arange(around) / around
    split = arm.elbow_share

    def bone(first: float, last: float, far: FloatArray) -> Bone:
        share, angle = np.meshgrid(np.linspace(first, last, _STATIONS), turn, indexing="ij")
        points = arm.skin_points(share.ravel(), angle.ravel()).reshape(_STATIONS, around, 3)
        return Bone(points, far, arm.elbow)

    # At the elbow's own share a seam lies on the mitre; a little beside it, on each bone's own last section.
    upper = bone(0.0, split - 1e-8, arm.shoulder)
    fore = bone(1.0, split + 1e-8, arm.hold.wrist)
    return bent_tube(arm.name, arm.side, upper, fore, turn, -1 if arm.side == "left" else 1)
