"""Patterns laid over plain surfaces: a face and hair on the head, shoes on the legs, eyes and feathers on the owl.

They only colour: no surface is moved by them, and no verdict asks them.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sightline.figure.skeleton import Skeleton
from sightline.geometry.frame import FloatArray, about_z
from sightline.geometry.mesh import Cover, Mesh
from sightline.moment import Moment
from sightline.props.puppet import puppet_mesh

# From the eyes' middle to the crown of the head that the sizes below are for, m.
_CROWN_M = 0.112
# How low hair reaches (second row), so far ahead of the eyes (first row): brow, temple, before and behind the ear, nape.
_HAIRLINE_M = np.array(
    [[-0.20, -0.115, -0.10, -0.075, -0.055, -0.02, 0.03], [-0.085, -0.08, -0.02, 0.0, 0.03, 0.058, 0.062]]
)
_DARK, _LIP, _WHITE = np.array([0.13, 0.10, 0.09]), np.array([0.66, 0.36, 0.33]), np.array([0.86, 0.83, 0.79])


def _rgb(colour: str) -> FloatArray:
    from matplotlib.colors import to_rgb

    return np.array(to_rgb(colour))


def _laid(colours: FloatArray, where: FloatArray, colour: FloatArray) -> None:
    """Mix a colour in by the share `where` (n,), in place."""
    share = np.clip(where, 0.0, 1.0)[:, None]
    colours += share * (colour - colours)


def _oval(x: FloatArray, y: FloatArray, wide: float, tall: float, soft: float = 0.18) -> FloatArray:
    """1 inside an oval, 0 outside, with a soft rim."""
    return np.asarray((1.0 - np.hypot(x / wide, y / tall)) / soft + 0.5)


def head_paint(skeleton: Skeleton, moment: Moment, skin: str, hair: str) -> Callable[[Cover, FloatArray], FloatArray]:
    """Hair above the hairline; brows, eyes and lips, each where the head's own relief has them."""
    mark = np.array([*(moment.plan.mark_m or (0.0, 0.0)), 0.0])
    turn = about_z(moment.plan.facing_rad)
    back = skeleton.skull.inverse()
    left, right, crown = (back.points(p) for p in (skeleton.left_eye, skeleton.right_eye, skeleton.crown))
    middle = (left + right) / 2
    size = float(crown[2] - middle[2]) / _CROWN_M
    apart = float(left[0] - right[0]) / 2 / size
    skin_rgb, hair_rgb = _rgb(skin), _rgb(hair)

    def paint(cover: Cover, points: FloatArray) -> FloatArray:
        local = back.points((points - mark) @ turn)
        x, y, z = ((local - middle) / size).T
        aside, ahead = np.abs(x), -y
        out = np.tile(skin_rgb, (len(points), 1))
        # A little colour in the cheeks keeps the head from looking cast.
        _laid(out, 0.16 * _oval(aside - 0.042, z + 0.04, 0.03, 0.026, 1.0) * (ahead > -0.05), _LIP)
        hairy = (z - np.interp(ahead, _HAIRLINE_M[0], _HAIRLINE_M[1])) / 0.006 + 0.5
        ear = (ahead > -0.115) & (ahead < -0.062) & (z < 0.012) & (z > -0.07) & (aside > 0.062)
        _laid(out, np.where(ear, 0.0, hairy), hair_rgb)
        front = ahead > -0.045
        brow = _oval(aside - apart * 1.02, z - 0.0225 + 5.0 * (aside - apart) ** 2, 0.021, 0.0042)
        _laid(out, 0.8 * brow * front, hair_rgb * 0.85)
        _laid(out, _oval(aside - apart, z, 0.0145, 0.0062) * front, _WHITE)
        _laid(out, _oval(aside - apart, z, 0.0062, 0.0060) * front, _DARK)
        # The upper lid's shadow.
        _laid(out, 0.75 * _oval(aside - apart, z - 0.0062, 0.0155, 0.0018) * front, skin_rgb * 0.45)
        _laid(out, 0.55 * _oval(aside, z + 0.0715, 0.0245, 0.0072, 0.4) * front, _LIP)
        _laid(out, 0.55 * _oval(aside, z + 0.0715, 0.0225, 0.0011, 0.5) * front, skin_rgb * 0.4)
        return out

    return paint


def dressed(cloth: str, below: str, from_m: float) -> Callable[[Cover, FloatArray], FloatArray]:
    """One cloth, and another below a height: shoes under trousers, trousers under a shirt."""
    cloth_rgb, below_rgb = _rgb(cloth), _rgb(below)

    def paint(cover: Cover, points: FloatArray) -> FloatArray:
        out = np.tile(cloth_rgb, (len(points), 1))
        _laid(out, (from_m - points[:, 2]) / 0.004 + 0.5, below_rgb)
        return out

    return paint


def puppet_paint(form: str, height_m: float, colour: str) -> Callable[[Cover, FloatArray], FloatArray]:
    """The bird's eyes, beak, face and breast; told from where the puppet's own points went in each pose."""
    own = puppet_mesh(form, height_m)
    base = _rgb(colour)
    pale, deep = base + 0.62 * (1.0 - base), base * 0.62
    # The bird as modelled stands 0.02 of its unit below nothing.
    size = height_m / 1.10

    def paint(cover: Cover, points: FloatArray) -> FloatArray:
        out = np.tile(base, (len(points), 1))
        back = _carried_back(own, cover.mesh, points)
        if back is None:
            return out
        x, y, z = (back / size).T
        z = z - 0.02
        aside, front = np.abs(x), y < -0.02
        _laid(out, (aside - 0.245) / 0.02 * (z < 0.66), deep)
        _laid(out, (z - 0.90) / 0.03, deep)
        breast = _oval(aside, z - 0.33, 0.20, 0.26, 0.3) * (y < -0.10)
        _laid(out, breast, pale)
        bars = np.clip(2.0 * np.sin(z * 62.0 + 9.0 * aside) - 0.8, 0.0, 1.0)
        _laid(out, 0.45 * np.clip(breast, 0, 1) * bars, deep)
        _laid(out, 0.85 * _oval(aside - 0.115, z - 0.77, 0.135, 0.145, 0.15) * front * (y < -0.14), pale)
        _laid(out, _oval(aside - 0.12, z - 0.79, 0.078, 0.078, 0.08) * (y < -0.24), np.array([0.86, 0.60, 0.16]))
        _laid(out, _oval(aside - 0.118, z - 0.79, 0.042, 0.042, 0.10) * (y < -0.24), _DARK * 0.8)
        beak = (y < -0.255) & (aside < 0.046) & (z > 0.60) & (z < 0.765)
        _laid(out, beak.astype(float), np.array([0.36, 0.30, 0.24]))
        return out

    return paint


def _carried_back(own: Mesh, placed: Mesh, points: FloatArray) -> FloatArray | None:
    """Points (n, 3) of a placed copy where they are on the original; None where it is no copy."""
    if own.vertices.shape != placed.vertices.shape:
        return None
    a, b = own.vertices.mean(axis=0), placed.vertices.mean(axis=0)
    u, _, vt = np.linalg.svd((placed.vertices - b).T @ (own.vertices - a))
    turn = u @ np.diag([1.0, 1.0, float(np.sign(np.linalg.det(u @ vt)))]) @ vt
    return np.asarray((points - b) @ turn + a)
