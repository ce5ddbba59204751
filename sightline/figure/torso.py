"""The trunk: hips, waist, chest and the slope of the shoulders up into the neck."""

from __future__ import annotations

import numpy as np

from sightline.figure.loft import girths, smooth, tube
from sightline.figure.sheet import BodySheet
from sightline.figure.skeleton import shoulder_offset
from sightline.geometry.frame import FloatArray, Placement
from sightline.geometry.mesh import Mesh

FINE = (72, 64)
COARSE = (28, 22)


def heights(sheet: BodySheet) -> dict[str, float]:
    """Landmark heights above the bare floor, metres: shares of stature of ANSUR II from memory, fitted to the sheet."""
    crotch, shoulder = sheet.crotch_height_m, sheet.shoulder_height_m
    rise = shoulder - crotch
    return {
        "crotch": crotch,
        "hip": crotch + 0.085 * rise,
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
    top = at["neck"] + 0.03 * h
    # z, half breadth, front depth, back depth, exponent, middle's y. Depths are from the middle of the column.
    rows = [
        (at["crotch"] - 0.004 * h, 0.42 * hb, 0.40 * hd, 0.45 * hd, 2.0, 0.012 * h),
        (at["crotch"] + 0.012 * h, 0.86 * hb, 0.72 * hd, 0.86 * hd, 2.1, 0.008 * h),
        (at["hip"], hb, 0.86 * hd, 1.10 * hd, 2.25, 0.006 * h),
        (at["hip"] + 0.050 * h, 0.985 * hb, 0.90 * hd, 0.98 * hd, 2.25, 0.004 * h),
        (at["waist"], wb, 1.02 * wd, 0.96 * wd, 2.2, -0.002 * h),
        (at["waist"] + 0.065 * h, 0.5 * wb + 0.5 * cb, 0.52 * wd + 0.48 * cd, 0.5 * wd + 0.46 * cd, 2.2, 0.0),
        (at["chest"], 1.02 * cb, 1.00 * cd, 0.98 * cd, 2.35, 0.002 * h),
        (at["armpit"], 1.06 * cb, 0.90 * cd, 0.98 * cd, 2.3, 0.004 * h),
        (joint - 0.022 * h, 0.35 * cb + 0.68 * tip, 0.74 * cd, 0.90 * cd, 2.2, 0.007 * h),
        (joint + 0.30 * up, 0.97 * tip, 0.55 * cd, 0.75 * cd, 2.15, 0.009 * h),
        (joint + 1.05 * up, 0.83 * tip, 0.43 * cd, 0.64 * cd, 2.1, 0.010 * h),
        (at["shoulder"] + 0.016 * h, 0.54 * tip, 0.35 * cd, 0.56 * cd, 2.05, 0.010 * h),
        (at["shoulder"] + 0.030 * h, 1.30 * neck, 1.10 * neck, 1.22 * neck, 2.0, 0.010 * h),
        (at["neck"] + 0.010 * h, 0.99 * neck, 1.0 * neck, 1.0 * neck, 2.0, 0.004 * h),
        (top, 0.80 * neck, 0.80 * neck, 0.80 * neck, 2.0, -0.002 * h),
    ]
    table = np.array(rows)
    z = _levels(table[:, 0], count)
    read = smooth(table[:, 0], table[:, 1:], z)
    flat = _outline(read, sides)
    fixed = np.array([at["hip"], at["waist"], at["chest"]])
    rings = np.concatenate([flat, np.broadcast_to(z[:, None, None], (*flat.shape[:2], 1))], axis=-1)
    _bust(rings, sheet, at)
    wanted = np.array([sheet.hip_girth_m, sheet.waist_girth_m, sheet.chest_girth_m])
    lengths = girths(rings[..., :2])
    now = np.array([np.interp(level, z, lengths) for level in fixed])
    fit = smooth(
        [at["crotch"], *fixed, at["armpit"] + 0.01 * h, joint + up],
        [1.0, *(wanted / now), 1.0 + 0.4 * (wanted[2] / now[2] - 1.0), 1.0],
        z,
    )
    middle = np.stack([np.zeros(count), read[:, 4]], axis=-1)[:, None, :]
    rings[..., :2] = (rings[..., :2] - middle) * fit[:, None, None] + middle
    low = np.array([0.0, 0.012 * h, at["crotch"] - 0.012 * h])
    return rings, low, np.array([0.0, read[-1, 4], top + 0.3 * neck])


def _levels(stations: FloatArray, count: int) -> FloatArray:
    """Ring heights, closer together over the shoulders, where the outline changes fast."""
    z = np.linspace(stations[0], stations[-1], 400)
    weight = 1.0 + 2.2 / (1.0 + np.exp(-(z - stations[7]) / (0.01 * stations[-1])))
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
    size = 0.0145 * h if sheet.sex == "female" else 0.0045 * h if sheet.sex == "male" else 0.009 * h
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
