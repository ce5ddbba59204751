"""One picture of the act for everybody: from a good place in front, from which everything is as it is meant to be."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.house.eyes import Eye
from sightline.packet.brief import Brief
from sightline.pictures.cast import Traced, shaded, trace
from sightline.pictures.view import view_of
from sightline.sight.check import Finding

# A picture for selling is taken from about so near, and at most so far to the side. Common practice, no source.
GOOD_M, FRONT_RAD = 4.0, math.radians(40.0)
NEAREST_M = 1.5
SIZE = (960, 720)
FINER = 2
MOST_TRIES = 8
# Kinds of eyes through which an adult of the audience looks.
KINDS = ("seated", "standing", "wheelchair", "point", "camera")


@dataclass(frozen=True)
class AudiencePicture:
    """Pixels (down, across, 3) in 0..1, how far away it was taken, m, and nothing else."""

    pixels: FloatArray
    away_m: float


def audience_picture(brief: Brief) -> AudiencePicture | None:
    """None where no place in front is clean. No point of the picture lies on what must not be seen."""
    finding = brief.finding
    for eye in clean_eyes(finding)[:MOST_TRIES]:
        view = view_of(finding, eye, pose=0, size=SIZE)
        traced = trace(finding.looked.scenery.covers(view.pose), view.camera, FINER)
        if not tells(traced, finding):
            picture = np.clip(shaded(traced, brief.palette), 0, 1)
            return AudiencePicture(
                picture, float(np.linalg.norm(finding.moment.eye_points()[eye] - finding.moment.focus_m))
            )
    return None


def clean_eyes(finding: Finding) -> list[int]:
    """Eyes in front from which no secret shows, not even faintly, and all that must be seen is clear; the best first."""
    moment = finding.moment
    clean = finding.worst_verdict() == 0
    for must in finding.must_see.values():
        clean &= must.clear
    at, focus = moment.eye_points(), moment.focus_m
    flat = at[:, :2] - focus[:2]
    away = np.hypot(flat[:, 0], flat[:, 1])
    facing = moment.plan.facing_rad
    bearing = np.array([math.remainder(b - facing, 2 * math.pi) for b in np.arctan2(flat[:, 0], -flat[:, 1]).tolist()])
    usable = (
        clean
        & (np.abs(bearing) <= FRONT_RAD)
        & (away >= NEAREST_M)
        & np.array([_looks(eye) for eye in moment.eyes], dtype=bool)
    )
    cost = np.abs(bearing) * 3.0 + np.abs(np.log(np.maximum(away, 0.1) / GOOD_M))
    # A face that is not half behind something counts as much as a row or two nearer.
    for must in finding.must_see.values():
        cost += (1.0 - must.clear_fraction) / len(finding.must_see)
    return [int(i) for i in np.lexsort((np.arange(len(cost)), np.round(cost, 9))) if usable[i]]


def _looks(eye: Eye) -> bool:
    return eye.kind in KINDS


def tells(traced: Traced, finding: Finding) -> bool:
    """Whether any point of the picture shows a secret's own surface."""
    secrets = set(finding.moment.secret_names())
    which = [k for k, cover in enumerate(traced.covers) if cover.name in secrets]
    return bool(np.isin(traced.index, which).any())
