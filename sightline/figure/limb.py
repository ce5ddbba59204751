"""One bone's flesh: a loft along a straight bone with rounded ends, its outline exact in girth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sightline.figure.loft import dome, sections, smooth, swept, tube
from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh


@dataclass(frozen=True)
class Flesh:
    """How thick a limb is along its bone: stations `at` (0 start joint, 1 end joint), rising.

    `girth_m` round it, `aspect` the extent across (outward) over that along (front), `shift_m` how far the middle of
    the section stands to the front of the bone. `start` and `end` are the heights of the rounded ends as shares of the
    end sections' mean radius; 0 cuts the end flat.
    """

    at: tuple[float, ...]
    girth_m: tuple[float, ...]
    aspect: tuple[float, ...]
    shift_m: tuple[float, ...]
    start: float = 1.0
    end: float = 1.0
    exponent: float = 2.1

    def swollen(self, scale: float, extra_m: float) -> Flesh:
        """The same limb with girths times `scale` and `extra_m` more radius everywhere."""
        girth = tuple(g * scale + 2.0 * np.pi * extra_m for g in self.girth_m)
        return Flesh(self.at, girth, self.aspect, self.shift_m, self.start, self.end, self.exponent)

    def read(self, at: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Girth, aspect and shift (m,) at fractions of the bone (m,)."""
        table = np.column_stack([self.girth_m, self.aspect, self.shift_m])
        out = smooth(self.at, table, at)
        return out[:, 0], out[:, 1], out[:, 2]

    def outlines(self, at: FloatArray, sides: int, twist_rad: FloatArray | float = 0.0) -> FloatArray:
        """Flat sections (m, sides, 2) on (outward, front) axes, turned by `twist_rad` from outward to front."""
        girth, aspect, shift = self.read(at)
        flat = sections(sides, girth, aspect, self.exponent)
        turn = np.broadcast_to(np.asarray(twist_rad, dtype=float), at.shape)[:, None]
        c, s = np.cos(turn), np.sin(turn)
        x, y = flat[..., 0], flat[..., 1]
        return np.stack([x * c - y * s, x * s + y * c + shift[:, None]], axis=-1)


def bone_rings(
    flesh: Flesh,
    start: FloatArray,
    end: FloatArray,
    out: FloatArray,
    front: FloatArray,
    *,
    sides: int,
    step_m: float,
    span: tuple[float, float] = (0.0, 1.0),
    twist_rad: tuple[float, float] = (0.0, 0.0),
    domes: int = 4,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Rings (m, sides, 3) round the bone `start` to `end` between the fractions `span`, and both end points (3,).

    `out` and `front` are unit axes square to the bone; the outline turns evenly by `twist_rad` from start to end joint.
    """
    axis = end - start
    length = float(np.linalg.norm(axis))
    count = max(2, round(length * (span[1] - span[0]) / step_m)) + 1
    at = np.linspace(span[0], span[1], count)
    twist = twist_rad[0] + (twist_rad[1] - twist_rad[0]) * at
    flat = flesh.outlines(at, sides, twist)
    centres = start + at[:, None] * axis
    unit_axis = axis / length
    girth, _, shift = flesh.read(at)
    pieces, middles = [flat], [centres]
    points = [centres[0] + shift[0] * front, centres[-1] + shift[-1] * front]
    for which, height, sign in ((0, flesh.start, -1.0), (-1, flesh.end, 1.0)):
        if height <= 0.0:
            continue
        beyond = float(girth[which]) / (2.0 * np.pi) * height
        rise, share = dome(beyond, domes)
        offset = np.array([0.0, shift[which]])
        rim = (flat[which] - offset) * share[:, None, None] + offset
        middle = centres[which] + sign * rise[:, None] * unit_axis
        order = slice(None, None, -1) if which == 0 else slice(None)
        pieces.insert(0 if which == 0 else len(pieces), rim[order])
        middles.insert(0 if which == 0 else len(middles), middle[order])
        points[which] = points[which] + sign * beyond * unit_axis
    return swept(np.concatenate(middles), out, front, np.concatenate(pieces)), points[0], points[1]


def bone(flesh: Flesh, start: FloatArray, end: FloatArray, out: FloatArray, front: FloatArray, **how: object) -> Mesh:
    """The closed skin of one bone; arguments as for `bone_rings`."""
    rings, first, final = bone_rings(flesh, start, end, out, front, **how)  # type: ignore[arg-type]
    return tube(rings, first, final)
