"""A sheet's thickness on the limb: its outer, neutral and inner surface, each a tube over the same grid."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray
from sightline.pattern.pattern import Foam
from sightline.pattern.tube import Tube

# A patch whose two ways across differ in length by less than this share of a metre has no direction of its own.
_FLAT = 1e-12


@dataclass(frozen=True)
class Layers:
    outside: Tube
    neutral: Tube
    inside: Tube


def layers(skin: Tube, foam: Foam) -> Layers:
    """The three surfaces of the foam on a limb whose skin is its outside or inside.

    Ease widens all three. Raises SightlineError where a surface would cross itself: foam thicker than the limb there.
    """
    if not foam.thickness_m > 0.0:
        raise SightlineError(
            f"The foam of '{skin.name}' must have a thickness of more than nothing; got {foam.thickness_m:g} m."
        )
    ease = foam.ease_m / (2.0 * np.pi)
    out = ease + (0.0 if foam.skin == "outside" else foam.thickness_m)
    inner = out - foam.thickness_m
    neutral = inner + foam.neutral * foam.thickness_m
    made = [_offset(skin, by, foam) for by in (out, neutral, inner)]
    return Layers(*made)


def _offset(skin: Tube, by_m: float, foam: Foam) -> Tube:
    if abs(by_m) < 1e-9:
        return skin
    moved = offset(skin, by_m)
    bad = crossed(moved, skin)
    if bad is not None:
        raise SightlineError(
            f"Foam of {foam.thickness_m * 1000:g} mm is too thick for '{skin.name}': its {'inside' if by_m < 0 else 'outside'} crosses "
            f"itself {skin.where(bad)}, where the limb is {skin.girth_m[bad] * 100:.0f} cm round. Take thinner foam there, a thicker "
            "limb, or open the elbow."
        )
    return moved


def offset(skin: Tube, by_m: float) -> Tube:
    """The surface `by_m` metres outside the skin (inside where negative), each ring still in its own plane.

    Points move along the normal and slide along the limb back into their ring's plane, so that the ends stay cut where
    they are and the mitre stays a mitre; the distance from the skin is `by_m` to the first order.
    """
    planes = skin.normals
    if skin.elbow is None:
        points = skin.points + by_m * _out_in_plane(skin.points, planes, skin.outward)
        return replace(skin, points=points)
    e = skin.elbow
    first = _out_in_plane(skin.points[: e + 1], planes[: e + 1], skin.outward)
    last = _out_in_plane(skin.points[e:], planes[e:], skin.outward)
    middle = (first[-1] + last[0]) / 2.0
    # Both bones give the ring of the mitre; rings beside it follow it as far as they are near.
    fade = np.clip(1.0 - np.abs(np.arange(len(skin.points)) - e) / _FADE_ROWS, 0.0, 1.0)[:, None, None]
    ways = np.concatenate(
        [first[:-1] + fade[:e] * (middle - first[-1]), middle[None], last[1:] + fade[e + 1 :] * (middle - last[0])]
    )
    return replace(skin, points=skin.points + by_m * ways)


_FADE_ROWS = 6


def _out_in_plane(points: FloatArray, planes: FloatArray, outward: int) -> FloatArray:
    """Ways (m, n, 3) outward within each ring's plane whose part along the surface's normal is 1."""
    around = np.roll(points, -1, axis=1) - np.roll(points, 1, axis=1)
    ahead = np.gradient(points, axis=0)
    normal = np.cross(ahead, around) * outward
    normal = normal / np.maximum(np.linalg.norm(normal, axis=2, keepdims=True), _FLAT)
    ahead = ahead / np.maximum(np.linalg.norm(ahead, axis=2, keepdims=True), _FLAT)
    plane = planes[:, None, :]
    out = (normal * plane).sum(axis=2, keepdims=True)
    along = (ahead * plane).sum(axis=2, keepdims=True)
    return np.asarray(normal - ahead * out / np.maximum(along, 0.2))


def crossed(moved: Tube, skin: Tube) -> int | None:
    """The first ring of a moved surface beside a patch that has turned over or shrunk to nothing; None where none has."""
    was, now = _patches(skin), _patches(moved)
    size = np.linalg.norm(was, axis=2)
    bad = (was * now).sum(axis=2) < 0.02 * size * size
    # Patches keep their turn when a ring shrinks through its own middle in both directions at once.
    before = skin.points - skin.middles[:, None]
    after = moved.points - moved.middles[:, None]
    through = ((before * after).sum(axis=2) <= 0.0).any(axis=1)
    rows = np.flatnonzero(bad.any(axis=1) | through[:-1] | through[1:])
    return int(rows[0]) if len(rows) else None


def _patches(tube: Tube) -> FloatArray:
    """Area vectors (m - 1, n, 3) of the grid's patches, from their diagonals."""
    p, q = tube.points, np.roll(tube.points, -1, axis=1)
    return np.asarray(np.cross(p[1:] - q[:-1], q[1:] - p[:-1]) / 2.0)


__all__ = ["Layers", "crossed", "layers", "offset"]
