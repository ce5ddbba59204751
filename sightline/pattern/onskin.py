"""Places on a limb's skin by share along and angle round it, whether the limb is built from sizes or a surface as a grid."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from sightline.figure.seam import ELBOW_SHARE
from sightline.geometry.frame import FloatArray
from sightline.pattern.tube import Tube
from sightline.props.falselimb import FalseArm
from sightline.scene.prop import LimbSeam

STEP_M = 0.005


class Skin(Protocol):
    """Where share (0 shoulder, 1 wrist) and angle (rad, from the outer side to the front) are, in the performer's frame."""

    def points(self, share: ArrayLike, around_rad: ArrayLike) -> FloatArray:
        """Places (k, 3) m of shares and angles (k,)."""

    def path(self, turns: FloatArray) -> FloatArray:
        """The line (q, 3) m of a seam along `turns` (k, 2) of share and angle, its points at most 5 mm apart."""

    @property
    def elbow_share(self) -> float | None:
        """How far along the elbow is; None in a straight limb."""


@dataclass(frozen=True)
class ArmSkin:
    """The skin of a false arm built from sizes."""

    arm: FalseArm

    def points(self, share: ArrayLike, around_rad: ArrayLike) -> FloatArray:
        return self.arm.skin_points(share, around_rad)

    def path(self, turns: FloatArray) -> FloatArray:
        return self.arm.seam_path(LimbSeam(name="seam", path=[(float(s), float(w)) for s, w in turns]))

    @property
    def elbow_share(self) -> float | None:
        return self.arm.elbow_share


@dataclass(frozen=True)
class TubeSkin:
    """A skin known as a grid, such as an imported scan; between its points it runs straight."""

    tube: Tube

    def points(self, share: ArrayLike, around_rad: ArrayLike) -> FloatArray:
        at, turn = np.broadcast_arrays(np.asarray(share, dtype=float), np.asarray(around_rad, dtype=float))
        at, turn = at.reshape(-1), turn.reshape(-1)
        ring, shares = self._across(turn)
        rising = np.maximum.accumulate(shares, axis=0)
        rows, columns = len(rising), np.arange(len(at))
        i = np.clip((rising <= at).sum(axis=0) - 1, 0, rows - 2)
        gap = rising[i + 1, columns] - rising[i, columns]
        t = np.divide(at - rising[i, columns], gap, out=np.zeros(len(at)), where=gap > 0).clip(0.0, 1.0)[:, None]
        return np.asarray((1 - t) * ring[i, columns] + t * ring[i + 1, columns])

    def _across(self, turn: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Where the rings are at angles (k,): places (m, k, 3) and shares (m, k)."""
        tube, n = self.tube, self.tube.points.shape[1]
        alike = bool(np.all(tube.around_rad == tube.around_rad[0]))
        out = []
        for angle in tube.around_rad[:1] if alike else tube.around_rad:
            # Angles may start anywhere, but rise by one turn over the columns.
            known = angle[0] + np.concatenate([np.mod(angle - angle[0], 2 * np.pi), [2 * np.pi]])
            out.append(np.interp(angle[0] + np.mod(turn - angle[0], 2 * np.pi), known, np.arange(n + 1)))
        column = np.array(out)
        j, row = column.astype(int) % n, np.arange(len(tube.points))[:, None]
        u, after = column - np.floor(column), (column.astype(int) + 1) % n
        ring = (1 - u)[..., None] * tube.points[row, j] + u[..., None] * tube.points[row, after]
        return ring, (1 - u) * tube.share[row, j] + u * tube.share[row, after]

    def path(self, turns: FloatArray) -> FloatArray:
        split = self.elbow_share
        if split is not None:
            turns = np.where([True, False] & (np.abs(turns - split) < ELBOW_SHARE), split, turns)
        where = np.linspace(0, len(turns) - 1, 16 * len(turns) + 1)
        where = np.union1d(where, np.concatenate([np.arange(len(turns)), self._crossings(turns, where)]))
        points = self.points(*along(turns, where).T)
        counts = np.maximum(1, np.ceil(np.linalg.norm(np.diff(points, axis=0), axis=1) / STEP_M - 1e-9)).astype(int)
        of = np.repeat(np.arange(len(counts)), counts)
        share = np.concatenate([np.arange(n) / n for n in counts])[:, None]
        return np.vstack([points[of] + share * (points[of + 1] - points[of]), points[-1:]])

    def _crossings(self, turns: FloatArray, where: FloatArray) -> FloatArray:
        """Where a path crosses the grid's rings. Over the ball of an elbow they are a hair of a share apart."""
        share, around = along(turns, where).T
        out = []
        for row in self._across(around)[1]:
            above = share - row
            k = np.flatnonzero(above[:-1] * above[1:] < 0)
            out.append(where[k] + above[k] / (above[k] - above[k + 1]) * (where[k + 1] - where[k]))
        return np.concatenate(out)

    @property
    def elbow_share(self) -> float | None:
        return None if self.tube.elbow is None else float(np.median(self.tube.share[self.tube.elbow]))


def along(turns: FloatArray, where: FloatArray) -> FloatArray:
    """Share and angle (q, 2) at places (q,) of a path (k, 2), counted in its points: 0 the first, k - 1 the last."""
    index = np.arange(len(turns))
    return np.column_stack([np.interp(where, index, turns[:, 0]), np.interp(where, index, turns[:, 1])])


def size_of(skin: Skin) -> tuple[float, float]:
    """Length along and mean radius of a limb, metres."""
    share, around = np.linspace(0.0, 1.0, 41), np.arange(12) / 12 * 2 * np.pi
    grid = skin.points(np.repeat(share, 12), np.tile(around, 41)).reshape(41, 12, 3)
    middle = grid.mean(axis=1)
    length = float(np.linalg.norm(np.diff(middle, axis=0), axis=1).sum())
    return length, float(np.median(np.linalg.norm(grid - middle[:, None], axis=2)))
