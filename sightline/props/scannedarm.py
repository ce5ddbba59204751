"""Seams on an imported arm: lines on its mesh by share along and angle round the bones that its landmarks tell."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sightline.errors import Misfit
from sightline.figure.arm import Side, outward
from sightline.figure.armframe import as_left, left_frame, mirrored
from sightline.figure.seam import ELBOW_SHARE
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh
from sightline.props.falselimb import SEAM_SIDES
from sightline.scene.prop import LimbLandmarks, LimbSeam

STEP_M = 0.004
# Skin farther from its bone than this is something else. Common practice, no source.
THICKEST_M = 0.15
# Rays looked for at a time: they are neighbours, so few facets are near all of them.
_AT_A_TIME = 16
# Where rays go over the ball of the elbow, from the upper arm's side (0) to the forearm's (1).
_BALL = np.linspace(0.1, 0.9, 9)


@dataclass(frozen=True)
class ScannedArm:
    """An imported false arm with its joints (3,) m, in the frame of its mesh."""

    name: str
    side: Side
    mesh: Mesh
    shoulder: FloatArray
    elbow: FloatArray
    wrist: FloatArray

    @staticmethod
    def of(name: str, side: Side, mesh: Mesh, at: LimbLandmarks) -> ScannedArm:
        return ScannedArm(name, side, mesh, *(np.array(p, dtype=float) for p in (at.shoulder, at.elbow, at.wrist)))

    @property
    def elbow_share(self) -> float:
        upper = float(np.linalg.norm(self.elbow - self.shoulder))
        return upper / (upper + float(np.linalg.norm(self.wrist - self.elbow)))

    def seam_path(self, seam: LimbSeam) -> FloatArray:
        """The line (n, 3) m of a seam on the skin, its points at most 5 mm apart. Misfit where there is no skin."""
        if seam.path is not None:
            turns = np.array(seam.path, dtype=float)
        elif seam.ring is not None:
            turns = np.array([[seam.ring, 0.0], [seam.ring, 2 * np.pi]])
        else:
            assert seam.side is not None
            around = np.radians(SEAM_SIDES[seam.side])
            turns = np.array([[seam.start, around], [seam.end, around]])
        starts, ways, of = self._rays(turns)
        away = self._skin(starts, ways, of)
        there = np.isfinite(away)
        if there.sum() < 2:
            raise Misfit((), f"There is no skin of '{self.name}' where this seam would lie; look at its landmarks.")
        points = starts[there] + away[there, None] * ways[there]
        gaps = np.linalg.norm(np.diff(points, axis=0), axis=1)
        counts = np.maximum(1, np.ceil(gaps / STEP_M - 1e-9)).astype(int)
        share = np.concatenate([np.arange(n) / n for n in counts])[:, None]
        k = np.repeat(np.arange(len(counts)), counts)
        return np.vstack([points[k] + share * (points[k + 1] - points[k]), points[-1:]])

    def _rays(self, turns: FloatArray) -> tuple[FloatArray, FloatArray, np.ndarray]:
        """Where rays start on the bones and which way they go (k, 3), and the bone each looks for skin of (-1 either)."""
        s, e, w = as_left(self.side, self.shoulder, self.elbow, self.wrist)
        f, split = left_frame(s, e, w), self.elbow_share
        total = float(np.linalg.norm(e - s) + np.linalg.norm(w - e))
        turns = np.where([True, False] & (np.abs(turns - split) < ELBOW_SHARE), split, turns)
        starts, ways, of = [], [], []
        for (s0, w0), (s1, w1) in pairwise(turns):
            count = max(2, int(np.ceil(np.hypot((s1 - s0) * total, (w1 - w0) * 0.06) / STEP_M)) + 1)
            t = np.linspace(0.0, 1.0, count)
            if (s0 - split) * (s1 - split) < 0:
                t = np.union1d(t, (split - s0) / (s1 - s0) + np.array([-1e-9, 0.0, 1e-9]))
            for k, (share, angle) in enumerate(zip(s0 + t * (s1 - s0), w0 + t * (w1 - w0), strict=True)):
                up = np.cos(angle) * f.upper_out + np.sin(angle) * f.upper_front
                fore = np.cos(angle) * f.fore_out + np.sin(angle) * f.fore_front
                near = share - split
                if abs(near) < 5e-10:
                    # Over the ball of the elbow, half of it where a way starts or ends there; round it in its middle.
                    turn = _BALL if s1 > s0 else 1.0 - _BALL
                    turn = (
                        np.array([0.5]) if s0 == s1 else turn[4:] if k == 0 else turn[:5] if k == len(t) - 1 else turn
                    )
                    if s0 != s1 and (up + fore) @ (f.upper_along - f.fore_along) < -1e-9:
                        continue  # in the crease, where the flanks meet by themselves
                    starts += [e] * len(turn)
                    ways += list(unit((1 - turn[:, None]) * up + turn[:, None] * fore))
                    of += [-1] * len(turn)
                elif near < 0:
                    starts.append(s + share / split * (e - s))
                    ways.append(up)
                    of.append(0)
                else:
                    starts.append(e + near / (1 - split) * (w - e))
                    ways.append(fore)
                    of.append(1)
        a, b = np.array(starts), np.array(ways)
        return (a, b, np.array(of)) if outward(self.side) > 0 else (mirrored(a), mirrored(b), np.array(of))

    def _skin(self, starts: FloatArray, ways: FloatArray, of: np.ndarray) -> FloatArray:
        """Distance (k,) m to the outermost skin that belongs to the ray's own bone; inf where there is none."""
        corners = self.mesh.corners
        middle = corners.mean(axis=1)
        reach = np.linalg.norm(corners - middle[:, None], axis=2).max(axis=1, initial=0.0)
        out = np.full(len(starts), np.inf)
        for at in range(0, len(starts), _AT_A_TIME):
            part = slice(at, at + _AT_A_TIME)
            centre = starts[part].mean(axis=0)
            wide = float(np.linalg.norm(starts[part] - centre, axis=1).max()) + THICKEST_M
            some = corners[np.linalg.norm(middle - centre, axis=1) < wide + reach]
            away = _met(starts[part], ways[part], some)
            points = starts[part, None] + np.where(np.isfinite(away), away, 0.0)[..., None] * ways[part, None]
            upper, fore = _off(points, self.shoulder, self.elbow), _off(points, self.elbow, self.wrist)
            own = np.where(of[part, None] == 0, fore - upper, upper - fore)
            good = np.isfinite(away) & ((own >= -0.001) | (of[part, None] < 0)) & (away <= THICKEST_M)
            best = np.where(good, away, -np.inf).max(axis=1, initial=-np.inf)
            out[part] = np.where(best > 0, best, np.inf)
        return out


def _off(points: FloatArray, start: FloatArray, end: FloatArray) -> FloatArray:
    """Distance (...) of points (..., 3) from a bone."""
    axis = end - start
    t = np.clip((points - start) @ axis / max(float(axis @ axis), 1e-12), 0.0, 1.0)
    return np.asarray(np.linalg.norm(points - start - t[..., None] * axis, axis=-1))


def _met(starts: FloatArray, ways: FloatArray, corners: FloatArray) -> FloatArray:
    """Distance (k, f) at which rays (k, 3) meet triangles (f, 3, 3), inf where not (Moller & Trumbore 1997)."""
    a, ab, ac = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    p = np.cross(ways[:, None], ac[None])
    det = np.einsum("kfi,fi->kf", p, ab)
    with np.errstate(divide="ignore", invalid="ignore"):
        from_a = starts[:, None] - a[None]
        u = np.einsum("kfi,kfi->kf", from_a, p) / det
        q = np.cross(from_a, ab[None])
        v = np.einsum("kfi,ki->kf", q, ways) / det
        t = np.einsum("kfi,fi->kf", q, ac) / det
        # A hair beyond each edge, so that no ray slips between two triangles.
        inside = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (t > 1e-6)
    return np.where(inside, t, np.inf)
