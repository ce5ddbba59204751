"""Flattening as rigid as possible: every triangle wants to be turned only, neither stretched nor sheared."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.pattern.conformal import gradients, laid

IntArray = NDArray[np.int64]


@dataclass(frozen=True)
class Springs:
    """Edges (e, 2) that must come out `length_m` (e,) long: the sides of seams. `stiff` is their weight in units of area,
    1 counting about as much as one row of triangles along the edge."""

    edges: IntArray
    length_m: FloatArray
    stiff: float


def _near_order(faces: IntArray, count: int) -> IntArray:
    """An order of the vertices (n,) in which neighbours are near each other."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import reverse_cuthill_mckee

    ways = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    graph = coo_array((np.ones(len(ways)), (ways[:, 0], ways[:, 1])), shape=(count, count))
    return np.asarray(reverse_cuthill_mckee((graph + graph.T).tocsr(), symmetric_mode=True), dtype=np.int64)


class Sheet:
    """The energy of one patch. Sum over triangles of area x |J - R|2, J the flattening's slope and R the nearest turn.

    Liu, Zhang, Xu, Gotsman, Gortler 2008, "A local/global approach to mesh parameterization", Computer Graphics Forum
    27:1495, equation 6; the second derivative, which makes a few steps do, from the turn's own (Smith, de Goes, Kim
    2019, "Analytic eigensystems for isotropic distortion energies", ACM Transactions on Graphics 38:3, section 4).
    Areas come from the triangles as they are: no cotangent is clamped.
    """

    def __init__(self, vertices: FloatArray, faces: IntArray, springs: Springs | None = None):
        self.faces, self.n = faces, len(vertices)
        self.slope, self.area = gradients(laid(vertices, faces))
        none = Springs(np.zeros((0, 2), dtype=np.int64), np.zeros(0), 0.0)
        self.springs = springs or none
        # Numbered so that neighbours are near in the system of equations, it is a narrow band along the diagonal.
        place = np.empty(self.n, dtype=np.int64)
        place[_near_order(faces, self.n)] = np.arange(self.n)
        self.seat = np.stack([2 * place, 2 * place + 1], axis=-1)
        corner = self.seat[faces].reshape(len(faces), 6)
        pair = self.seat[self.springs.edges].reshape(-1, 4)
        rows = np.concatenate([np.repeat(corner, 6, axis=1).ravel(), np.repeat(pair, 4, axis=1).ravel()])
        columns = np.concatenate([np.tile(corner, (1, 6)).ravel(), np.tile(pair, (1, 4)).ravel()])
        # Only the upper half is kept; entry (i, j) lies in row band + i - j of the band.
        self.upper = np.flatnonzero(rows <= columns)
        rows, columns = rows[self.upper], columns[self.upper]
        self.band = int((columns - rows).max())
        self.slot = (self.band + rows - columns) * (2 * self.n) + columns

    def _jacobians(self, flat: FloatArray) -> FloatArray:
        return np.einsum("fki,fkj->fij", flat[self.faces], self.slope)

    def _turns(self, j: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Nearest rotation (f, 2, 2) of each slope, and the sum of its two stretches (f,)."""
        c, s = j[:, 0, 0] + j[:, 1, 1], j[:, 1, 0] - j[:, 0, 1]
        size = np.maximum(np.hypot(c, s), 1e-12)
        c, s = c / size, s / size
        return np.stack([np.stack([c, -s], -1), np.stack([s, c], -1)], axis=1), size

    def energy(self, flat: FloatArray) -> float:
        """In square metres."""
        j = self._jacobians(flat)
        turn, _ = self._turns(j)
        return float(self.area @ ((j - turn) ** 2).sum(axis=(1, 2))) + self._spring_energy(flat)

    def _spring_energy(self, flat: FloatArray) -> float:
        ends = self.springs.edges
        long = np.linalg.norm(flat[ends[:, 1]] - flat[ends[:, 0]], axis=1)
        return float(self.springs.stiff * ((long - self.springs.length_m) ** 2).sum())

    def _slopes(self, flat: FloatArray, exact: bool) -> tuple[FloatArray, FloatArray]:
        """First derivative (2n,) and the entries of the second; where not `exact`, turns are held (the global step)."""
        j = self._jacobians(flat)
        turn, size = self._turns(j)
        g, a = self.slope, self.area
        first = 2.0 * a[:, None, None] * np.einsum("fij,fkj->fki", j - turn, g)
        push = np.zeros(2 * self.n)
        np.add.at(push, np.stack([2 * self.faces, 2 * self.faces + 1], -1).ravel(), first.ravel())
        # 2 (1 - s t tT): t the slope that only turns. s is kept to 1, so that no step climbs.
        spin = np.stack([-turn[:, :, 1], turn[:, :, 0]], axis=-1) / np.sqrt(2.0)
        share = np.minimum(2.0 / size, 1.0) if exact else np.zeros_like(size)
        turned = np.einsum("fij,fkj->fki", spin, g).reshape(-1, 6)
        plain = np.einsum("fki,fli->fkl", g, g)
        small = np.einsum("fkl,ij->fkilj", plain, np.eye(2)).reshape(-1, 6, 6)
        small = small - share[:, None, None] * turned[:, :, None] * turned[:, None, :]
        entries = [(2.0 * a[:, None, None] * small).ravel()]
        ends = self.springs.edges
        if len(ends):
            way = flat[ends[:, 1]] - flat[ends[:, 0]]
            long = np.maximum(np.linalg.norm(way, axis=1), 1e-12)
            way = way / long[:, None]
            pull = 2.0 * self.springs.stiff * (long - self.springs.length_m)[:, None] * way
            np.add.at(push, np.stack([2 * ends[:, 1], 2 * ends[:, 1] + 1], -1).ravel(), pull.ravel())
            np.add.at(push, np.stack([2 * ends[:, 0], 2 * ends[:, 0] + 1], -1).ravel(), -pull.ravel())
            both = way[:, :, None] * way[:, None, :]
            across = np.maximum(1.0 - self.springs.length_m / long, 0.0)[:, None, None]
            block = 2.0 * self.springs.stiff * (both + across * (np.eye(2) - both))
            signs = np.array([[1.0, -1.0], [-1.0, 1.0]])
            entries.append(np.einsum("kl,eij->ekilj", signs, block).ravel())
        return push, np.concatenate(entries)

    def _step(self, flat: FloatArray, exact: bool) -> tuple[FloatArray, float]:
        from scipy.linalg import solveh_banded

        push, entries = self._slopes(flat, exact)
        size = 2 * self.n
        band = np.bincount(self.slot, entries[self.upper], minlength=(self.band + 1) * size).reshape(-1, size)
        # Sliding and turning the whole patch costs nothing; a little weight on every vertex keeps them from wandering.
        band[-1] += 1e-7 * band[-1].mean()
        right = np.empty(size)
        right[self.seat.ravel()] = -push
        way = solveh_banded(band, right, overwrite_ab=True, check_finite=False)[self.seat]
        return way, float(push @ way.ravel())

    def relaxed(self, flat: FloatArray, *, steps: int = 40, within: float = 1e-9) -> FloatArray:
        """The flat state (n, 2) of least energy near `flat`; ends when a step would gain less than `within` of it."""
        now = self.energy(flat)
        scale = float(self.area.sum())
        for number in range(steps):
            # From far off, whole turns are found first with them held; then all at once.
            way, gain = self._step(flat, exact=number > 1)
            if -gain <= within * max(now, 1e-9 * scale):
                break
            size = 1.0
            while size > 1e-4:
                trial = flat + size * way
                then = self.energy(trial)
                if then <= now + 1e-4 * size * gain:
                    break
                size /= 2.0
            else:
                break
            flat, now = trial, then
        return flat
