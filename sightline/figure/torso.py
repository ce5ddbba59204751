"""The trunk: hips, waist, chest and the slope of the shoulders up into the neck."""

from __future__ import annotations

import numpy as np

from sightline.figure.loft import girths, smooth, tube
from sightline.figure.sheet import BodySheet
from sightline.figure.skeleton import shoulder_offset
from sightline.geometry.frame import FloatArray, Placement
from sightline.geometry.mesh import Mesh

# Breadth gives way more than depth where breadth, depth and girth of a section do not agree.
_WIDER, _DEEPER = 1.3, 0.6

FINE = (64, 60)
COARSE = (28, 22)


def heights(sheet: BodySheet) -> dict[str, float]:
    """Landmark heights above the bare floor, metres: shares of stature of ANSUR II from memory, fitted to the sheet."""
    crotch, shoulder = sheet.crotch_height_m, sheet.shoulder_height_m
    rise = shoulder - crotch
    return {
        "crotch": crotch,
        "hip": crotch + 0.105 * rise,
        "waist": crotch + 0.36 * rise,
        "chest": crotch + 0.71 * rise,
        "armpit": crotch + 0.815 * rise,
        "shoulder": shoulder,
        "neck": shoulder + 0.46 * (sheet.chin_height_m - shoulder),
    }


def torso_rings(sheet: BodySheet, sides: int, count: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Rings (count, sides, 3) from crotch to neck in the upright performer's frame without shoes, and both end points.

    The chest, waist and hip rings are as long as the sheet's girths.
    """
    h = sheet.stature_m
    at = heights(sheet)
    half, joint = shoulder_offset(sheet)
    neck = sheet.neck_girth_m / (2.0 * np.pi)
    hb, hd = sheet.hip_breadth_m / 2.0, sheet.hip_depth_m / 2.0
    wb, wd = sheet.waist_breadth_m / 2.0, sheet.waist_depth_m / 2.0
    cb, cd = sheet.chest_breadth_m / 2.0, sheet.chest_depth_m / 2.0
    tip = half + 0.004 * h
    up = at["shoulder"] - joint
    top = at["shoulder"] + 0.056 * h
    # z, half breadth, front depth, back depth, exponent, middle's y. Depths are from the middle of the column.
    rows = [
        (at["crotch"] - 0.010 * h, 0.60 * hb, 0.44 * hd, 0.46 * hd, 2.1, 0.006 * h),
        (at["crotch"] + 0.004 * h, 0.88 * hb, 0.62 * hd, 0.74 * hd, 2.2, 0.006 * h),
        (at["crotch"] + 0.020 * h, 0.965 * hb, 0.76 * hd, 0.93 * hd, 2.4, 0.006 * h),
        (at["hip"], hb, 0.86 * hd, 1.08 * hd, 2.5, 0.006 * h),
        (at["hip"] + 0.045 * h, 0.99 * hb, 0.91 * hd, 1.00 * hd, 2.45, 0.005 * h),
        (at["waist"], wb, 1.00 * wd, 0.96 * wd, 2.35, 0.001 * h),
        (at["waist"] + 0.065 * h, 0.48 * wb + 0.52 * cb, 0.52 * wd + 0.44 * cd, 0.5 * wd + 0.47 * cd, 2.35, 0.003 * h),
        (at["chest"], 1.02 * cb, 0.96 * cd, 1.00 * cd, 2.5, 0.007 * h),
        (at["armpit"], 1.08 * cb, 0.88 * cd, 0.98 * cd, 2.55, 0.009 * h),
        (joint - 0.022 * h, 0.25 * cb + 0.76 * tip, 0.76 * cd, 0.86 * cd, 2.45, 0.010 * h),
        (joint + 0.10 * up, tip, 0.64 * cd, 0.68 * cd, 2.2, 0.010 * h),
        (at["shoulder"], 0.93 * tip, 0.56 * cd, 0.56 * cd, 2.0, 0.010 * h),
        (at["shoulder"] + 0.008 * h, 0.72 * tip, 0.52 * cd, 0.54 * cd, 1.95, 0.010 * h),
        (at["shoulder"] + 0.018 * h, 0.28 * tip + 0.72 * neck, 1.00 * neck, 1.13 * neck, 1.95, 0.010 * h),
        (at["shoulder"] + 0.029 * h, 0.07 * tip + 0.94 * neck, 0.94 * neck, 1.05 * neck, 2.0, 0.009 * h),
        (at["shoulder"] + 0.042 * h, 1.0 * neck, 0.90 * neck, 1.01 * neck, 2.0, 0.006 * h),
        (top, 0.92 * neck, 0.84 * neck, 0.92 * neck, 2.0, 0.003 * h),
    ]
    table = np.array(rows)
    z = _levels(table[:, 0], count)
    read = smooth(table[:, 0], table[:, 1:], z)
    flat = _outline(read, sides)
    rings = np.concatenate([flat, np.broadcast_to(z[:, None, None], (*flat.shape[:2], 1))], axis=-1)
    _bust(rings, sheet, at)
    middle = np.stack([np.zeros(count), read[:, 4]], axis=-1)[:, None, :]
    round_it = rings[..., :2] - middle
    taped = {"hip": sheet.hip_girth_m, "waist": sheet.waist_girth_m, "chest": sheet.chest_girth_m}
    fits = [_fit(round_it, z, at[name], girth) for name, girth in taped.items()]
    fit = smooth(
        [at["crotch"], *(at[name] for name in taped), at["armpit"] + 0.01 * h, joint + up],
        [fits[0], *fits, 1.0 + 0.5 * (fits[2] - 1.0), 1.0],
        z,
    )
    rings[..., :2] = round_it * np.stack([fit**_WIDER, fit**_DEEPER], axis=-1)[:, None, :] + middle
    # The neck's root is higher behind than in front: the upper rings tip forward.
    tip_up = 0.30 * np.clip((z - at["armpit"]) / (at["shoulder"] + 0.02 * h - at["armpit"]), 0.0, 1.0) ** 2
    rings[..., 2] += tip_up[:, None] * (rings[..., 1] - 0.008 * h)
    low = np.array([0.0, 0.006 * h, at["crotch"] - 0.014 * h])
    return rings, low, np.array([0.0, read[-1, 4], top + 0.3 * neck])


def _fit(flat: FloatArray, z: FloatArray, level: float, girth_m: float) -> float:
    """The size factor that makes the outline at one height as long as the tape says."""
    i = int(np.clip(np.searchsorted(z, level), 1, len(z) - 1))
    share = (level - z[i - 1]) / (z[i] - z[i - 1])
    outline = flat[i - 1] * (1.0 - share) + flat[i] * share
    fit = 1.0
    for _ in range(12):
        fit *= girth_m / float(girths((outline * [fit**_WIDER, fit**_DEEPER])[None])[0])
    return fit


def _levels(stations: FloatArray, count: int) -> FloatArray:
    """Ring heights, closer together over the shoulders, where the outline changes fast."""
    z = np.linspace(stations[0], stations[-1], 400)
    weight = 1.0 + 2.2 / (1.0 + np.exp(-(z - stations[8]) / (0.01 * stations[-1])))
    total = np.concatenate([[0.0], np.cumsum((weight[1:] + weight[:-1]) / 2.0)])
    return np.interp(np.linspace(0.0, total[-1], count), total, z)


def _outline(read: FloatArray, sides: int) -> FloatArray:
    """Sections (m, sides, 2) whose front (-y) and back half have their own depth."""
    turn = 2.0 * np.pi * np.arange(sides) / sides
    c, s = np.cos(turn), np.sin(turn)
    power = 2.0 / read[:, 3:4]
    x = np.sign(c) * np.abs(c) ** power * read[:, 0:1]
    y = np.sign(s) * np.abs(s) ** power * np.where(s < 0, read[:, 1:2], read[:, 2:3])
    return np.stack([x, y + read[:, 4:5]], axis=-1)


def _bust(rings: FloatArray, sheet: BodySheet, at: dict[str, float]) -> None:
    """Breasts of a grown woman, chest muscle of anyone else grown: swells on the front, in place."""
    if sheet.age_years is not None and sheet.age_years < 14.0:
        return
    h = sheet.stature_m
    size = 0.0145 * h if sheet.sex == "female" else 0.0035 * h if sheet.sex == "male" else 0.0065 * h
    x, y, z = rings[..., 0], rings[..., 1], rings[..., 2]
    front = np.clip(-y / (0.4 * sheet.chest_depth_m), 0.0, 1.0)
    level = at["chest"] + (0.0 if sheet.sex == "female" else 0.012 * h)
    spread = 0.26 * sheet.chest_breadth_m
    tall = np.where(z > level, 0.036 * h, 0.024 * h)
    swell = np.exp(-(((np.abs(x) - spread) / (0.17 * sheet.chest_breadth_m)) ** 2) - ((z - level) / tall) ** 2)
    rings[..., 1] -= size * front * swell


def torso_mesh(sheet: BodySheet, trunk: Placement, shoe_m: float, *, coarse: bool = False) -> Mesh:
    """The trunk as a closed solid where `trunk` carries it; it runs up into the neck and down into the legs."""
    sides, count = COARSE if coarse else FINE
    rings, low, top = torso_rings(sheet, sides, count)
    lift = np.array([0.0, 0.0, shoe_m])
    mesh = tube(rings + lift, low + lift, top + lift)
    return mesh.placed(trunk)
