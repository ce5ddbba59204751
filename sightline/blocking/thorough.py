"""The thorough check: patches below what the nearest eye can notice, and narrow gaps between covers gone after."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from sightline.house.build import House
from sightline.moment import Moment
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight import noticing
from sightline.sight.check import Thresholds, pixel_arcmin
from sightline.sight.patches import MOST_PATCHES
from sightline.sight.rays import LIFT_M
from sightline.sight.slits import SLIT_M
from sightline.staging.hidden import ELBOWS
from sightline.staging.stage import Staged, put_together

# Of the hidden elbow, for every puppet move: between them nothing is looked at.
THOROUGH_ELBOWS = 2 * ELBOWS - 1
# Finer than this no surface is cut, however near an eye is: it would take hours.
FINEST_M = 0.003
# A patch whose longest edge is s reaches at most 2/3 s from its middle.
REACH_PER_EDGE = 2.0 / 3.0


def put_together_thoroughly(written: Written[Scene], thresholds: Thresholds, house: House | None = None) -> Staged:
    """The scene with all its parts made, for a thorough check. Raises as `put_together`."""
    staged = put_together(written, house, THOROUGH_ELBOWS)
    moment = staged.moment()
    detail, finest = thorough_detail(moment, thresholds)
    note = (
        f"Looked at thoroughly: patches of {detail * 1000:.1f} mm, and up to {THOROUGH_ELBOWS} elbow positions for "
        "every puppet move. Of gaps between two covers, where they cross a secret, those from "
        f"{SLIT_M * 1000:.1f} mm up were gone after; in mirrors, within one cover, and for seams, none was. Seams are looked at "
        "along their middle line only, as without --thorough."
    )
    if not finest:
        note += (
            " For the nearest eyes what could be missed is still more than they notice; 'hidden means' tells how much."
        )
    if any(pose.secrets for pose in moment.poses):
        note += (
            " What moves counts however small: of it, what is smaller than 'hidden means' tells may still be missed."
        )
    return replace(staged, detail_m=detail, slits=True, notes=(*staged.notes, note))


def thorough_detail(moment: Moment, thresholds: Thresholds) -> tuple[float, bool]:
    """Patch spacing (m), and whether it is fine enough that no eye notices what it could miss."""
    secrets = [
        s for s in (*moment.still.secrets, *[s for pose in moment.poses for s in pose.secrets]) if s.path is None
    ]
    musts = [m.mesh for m in (*moment.still.must_see, *moment.poses[0].must_see)]
    if not secrets:
        return moment.detail_m, True
    low = np.min([s.mesh.bounds[0] for s in secrets], axis=0)
    high = np.max([s.mesh.bounds[1] for s in secrets], axis=0)
    gap = np.maximum(np.maximum(low - moment.eye_points(), moment.eye_points() - high), 0.0)
    spots = [
        noticing.acuity(eye.kind, pixel_arcmin(eye), thresholds.spot_arcmin, thresholds.line_arcsec).spot_arcmin
        for eye in moment.eyes
    ]
    # Nothing is too small for a camera that is not known: it takes the finest.
    sway = noticing.HEAD_REACH_M if thresholds.sway else 0.0
    far = np.maximum(np.linalg.norm(gap, axis=1) - sway, 0.0)
    reach = far * np.sin(np.radians(np.array(spots) / 60.0) / 2.0) - LIFT_M
    wanted = float(reach.min(initial=math.inf)) / REACH_PER_EDGE
    # Bisected patches are no smaller than an eighth of their spacing squared.
    largest = max([s.mesh.area_m2 for s in secrets] + [mesh.area_m2 for mesh in musts])
    least = max(FINEST_M, math.sqrt(8.0 * largest / MOST_PATCHES))
    detail = min(moment.detail_m, max(wanted, least))
    return detail, detail <= wanted
