"""The tube of an imported limb: flat sections across its bones, the hand and whatever is beyond the shoulder cut off."""

from __future__ import annotations

import numpy as np

from sightline.errors import SightlineError
from sightline.figure.arm import Side, outward
from sightline.figure.armframe import as_left, left_frame, mirrored
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh
from sightline.pattern.bent import BALL_SHARE, LEAST_BEND_DEG, LEAST_TILT_M, STEP_M, TILT_WIDTHS
from sightline.pattern.knife import Cut, Knife, NotClosed
from sightline.pattern.tube import AROUND, Tube, where_words

# An end of the limb may be open or rounded off so near to its landmark; the tube then begins where it closes.
END_SHARE = 0.08
# A bone shorter than this is nothing to cut a sheet for.
SHORTEST_M = 0.05


def tube_of_mesh(
    name: str, side: Side, mesh: Mesh, shoulder: FloatArray, elbow: FloatArray, wrist: FloatArray, around: int = AROUND
) -> Tube:
    """Sections square to the bones, tilted gradually into the elbow's bisecting plane; each the largest loop round the
    bone. Folds that hide behind others are spanned. Raises SightlineError, with the place, for a limb that is too
    short, has a hole (a section that does not close) or crosses itself.
    """
    s, e, w = as_left(side, shoulder, elbow, wrist)
    lengths = (float(np.linalg.norm(e - s)), float(np.linalg.norm(w - e)))
    total, split = sum(lengths), lengths[0] / sum(lengths)
    if min(lengths) < SHORTEST_M:
        short = "upper arm" if lengths[0] < lengths[1] else "forearm"
        raise SightlineError(
            f"'{name}' is too short for a pattern: its {short} is {min(lengths) * 100:.1f} cm between its landmarks, and "
            f"{SHORTEST_M * 100:g} cm are the least. Look at the mesh's scale."
        )
    left = outward(side) > 0
    knife = Knife(name, Mesh(mesh.vertices if left else mirrored(mesh.vertices), mesh.faces), total, around)
    frame = left_frame(s, e, w)
    u, v = frame.upper_along, frame.fore_along
    half = float(np.arccos(np.clip(u @ v, -1.0, 1.0))) / 2.0
    straight = np.degrees(2.0 * half) < LEAST_BEND_DEG
    mitre = u if straight else unit(u + v)
    middle = knife.ring(Cut(e, mitre, u, frame.upper_out, split))
    across = float(np.linalg.norm(middle - e, axis=1).max())

    def cuts(far_end: FloatArray, along: FloatArray, out: FloatArray, long: float, first: bool) -> list[Cut]:
        """From the far end to just short of the elbow."""
        tilt = min(max(TILT_WIDTHS * across * np.sin(half), LEAST_TILT_M), 0.95 * long)
        if tilt < 1.1 * across * np.sin(half):
            raise SightlineError(
                f"'{name}' is bent so far, and is so thick, that its sections cross at the elbow, {where_words(split, total)}. Open the "
                "elbow, or make the limb thinner."
            )
        made = []
        for far in np.linspace(0.0, long, max(2, int(np.ceil(long / STEP_M))) + 1)[:-1]:
            lean = half * float(np.clip(1.0 - (long - far) / tilt, 0.0, 1.0))
            normal = along if lean < 1e-9 else _leaned(along, mitre, lean)
            at = far / total if first else 1.0 - far / total
            made.append(Cut(far_end + (far if first else -far) * along, normal, along, out, float(at)))
        return made

    near = _rings(knife, cuts(s, u, frame.upper_out, lengths[0], True))
    away = _without_heel(_rings(knife, cuts(w, v, frame.fore_out, lengths[1], False)))[::-1]
    points = np.stack([*(ring for ring, _ in near), middle, *(ring for ring, _ in away)])
    upper = _fractions(points[: len(near)], s, e, [cut.share / split for _, cut in near]) * split
    fore = 1.0 - _fractions(points[len(near) + 1 :], w, e, [(1 - cut.share) / (1 - split) for _, cut in away]) * (
        1 - split
    )
    share = np.concatenate([upper, np.full((1, around), split), fore])
    angle = np.broadcast_to(knife.turn, share.shape).copy()
    elbow_row = None if straight else len(near)
    return Tube(name, side, points if left else mirrored(points), share, angle, elbow_row, -1 if left else 1)


def _leaned(along: FloatArray, mitre: FloatArray, lean_rad: float) -> FloatArray:
    """`along` turned by an angle towards the mitre's normal."""
    square = unit(mitre - (mitre @ along) * along)
    return np.asarray(np.cos(lean_rad) * along + np.sin(lean_rad) * square)


def _rings(knife: Knife, cuts: list[Cut]) -> list[tuple[FloatArray, Cut]]:
    """Every section from the far end on; one that does not close may be missing at the very end of the limb only."""
    out: list[tuple[FloatArray, Cut]] = []
    for cut in cuts:
        try:
            out.append((knife.ring(cut), cut))
        except NotClosed:
            if out or min(cut.share, 1.0 - cut.share) > END_SHARE:
                raise
    return out


def _without_heel(rings: list[tuple[FloatArray, Cut]]) -> list[tuple[FloatArray, Cut]]:
    """From the narrowest ring near the wrist on: what is wider before it is the heel of the hand."""
    girth = [
        float(np.linalg.norm(np.roll(r, -1, axis=0) - r, axis=1).sum())
        for r, cut in rings
        if cut.share > 1.0 - END_SHARE
    ]
    return rings[int(np.argmin(girth)) :] if girth else rings


def _fractions(rings: FloatArray, far: FloatArray, joint: FloatArray, planes: list[float]) -> FloatArray:
    """How far along the bone each point (m, n) is; beyond the joint a trace short of 1, still rising."""
    axis = joint - far
    t = (rings - far) @ axis / (axis @ axis)
    most = 1.0 - BALL_SHARE * (2.0 - np.array(planes))[:, None]
    return np.asarray(np.clip(t, 0.0, most))
