"""The wearer from behind, in outline from the body's measures, with numbered places: the wearer's left is at the left."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.pictures import style
from sightline.pictures.page import Page
from sightline.workshop.cards import Figure, Pin

TALL_MM = 118.0
PIN_MM = 3.4
PIN_PT = 12.0


def draw_back(page: Page, figure: Figure, x_mm: float, top_mm: float, wide_mm: float) -> float:
    """Drawn about `x_mm`, from `top_mm` down within `wide_mm`. Gives where it ends."""
    from matplotlib.patches import Ellipse

    sheet = figure.sheet
    page.say(x_mm - page.width_mm("FROM BEHIND", 11, "bold") / 2, top_mm + 4, "FROM BEHIND", 11, weight="bold")
    top = top_mm + 8
    scale = min(TALL_MM / sheet.stature_m, wide_mm / (sheet.bideltoid_m * 1.9))

    def at(across_m: float, up_m: float) -> tuple[float, float]:
        return x_mm + across_m * scale, top + (sheet.stature_m - up_m) * scale

    def part(points: list[tuple[float, float]], hidden: bool = False) -> None:
        """All edges lie under all fillings, so that the parts run into one outline; a hidden one is dashed below it."""
        from matplotlib.patches import Polygon

        placed = _rounded(np.array([at(*point) for point in points]))
        edge = Polygon(placed, closed=True, fill=False, ec=style.INK, lw=2 * style.HEAVY, joinstyle="round", zorder=3)
        if hidden:
            edge.set(linestyle=(0, (2, 1.5)), linewidth=style.HEAVY, zorder=2)
        page.axes.add_patch(edge)
        if not hidden:
            page.axes.add_patch(Polygon(placed, closed=True, fc="white", ec="none", zorder=4))

    for sign, side in ((-1.0, "left"), (1.0, "right")):
        _arm(sheet, sign, side == figure.hidden, part)
        _leg(sheet, sign, part)
    part(_trunk(sheet))
    neck, low, high = sheet.neck_girth_m / np.pi / 2, sheet.shoulder_height_m - 0.03, sheet.chin_height_m + 0.05
    part([(-neck, low), (neck, low), (neck, high), (-neck, high)])
    middle = at(0.0, sheet.stature_m - sheet.head_height_m / 2)
    page.axes.add_patch(
        Ellipse(middle, sheet.head_breadth_m * scale, sheet.head_height_m * scale, fc="white", ec=style.INK, lw=style.HEAVY, zorder=5)
    )  # fmt: skip
    back = [at(0.0, sheet.shoulder_height_m - 0.06), at(0.0, sheet.hip_height_m + 0.05)]
    page.axes.plot([x for x, _ in back], [y for _, y in back], color=style.INK, lw=style.THIN, zorder=6)
    _sides(page, figure, x_mm, at(0.0, sheet.chin_height_m)[1], wide_mm)
    taken: dict[tuple[str, str], int] = {}
    for pin in figure.pins:
        nth = taken.get((pin.place, pin.level), 0)
        taken[pin.place, pin.level] = nth + 1
        x, y = at(*_spot(figure, pin))
        _pin(page, x, y + nth * 2.3 * PIN_MM, pin.number)
    end = at(0.0, 0.0)[1] + 3
    if figure.hidden:
        said = f"dashed: {figure.hidden} arm, hidden"
        page.say(x_mm - page.width_mm(said, 10) / 2, end + 3, said, 10)
        end += 5
    return end + 1


def _rounded(points: FloatArray, times: int = 3) -> FloatArray:
    """A closed line (n, 2) with its corners cut off again and again, a quarter of each side at a time."""
    for _ in range(times):
        after = np.roll(points, -1, axis=0)
        points = np.stack([0.75 * points + 0.25 * after, 0.25 * points + 0.75 * after], axis=1).reshape(-1, 2)
    return points


def _trunk(sheet: Any) -> list[tuple[float, float]]:
    """The right side from the neck down, mirrored for the left."""
    waist = (sheet.hip_height_m + sheet.shoulder_height_m) / 2
    half = [
        (sheet.neck_girth_m / np.pi / 2, sheet.shoulder_height_m + 0.03), (sheet.biacromial_m / 2, sheet.shoulder_height_m),
        (sheet.chest_breadth_m / 2, sheet.shoulder_height_m - 0.14), (sheet.waist_breadth_m / 2, waist),
        (sheet.hip_breadth_m / 2, sheet.hip_height_m), (sheet.hip_breadth_m / 2 * 0.98, sheet.crotch_height_m),
    ]  # fmt: skip
    return [*half, *((-x, z) for x, z in reversed(half))]


def _arm(sheet: Any, sign: float, dashed: bool, part: Any) -> None:
    """Hanging a little out; a hidden one is only dashed."""
    thick = sheet.biceps_girth_m / np.pi / 2
    thin = sheet.wrist_girth_m / np.pi / 2
    shoulder = np.array([sign * (sheet.bideltoid_m / 2 - thick), sheet.shoulder_height_m - 0.03])
    elbow = shoulder + sheet.upper_arm_m * np.array([sign * 0.22, -0.97])
    wrist = elbow + sheet.forearm_m * np.array([sign * 0.14, -0.99])
    tip = wrist + sheet.hand_length_m * np.array([sign * 0.02, -0.99])
    across = np.array([1.0, 0.15 * sign])
    palm = sheet.hand_breadth_m / 2
    stations = [
        (shoulder, thick),
        (elbow, thick * 0.85),
        (wrist, thin),
        (wrist * 0.5 + tip * 0.5, palm * 0.9),
        (tip, palm * 0.4),
    ]
    side = [tuple(p + across * r) for p, r in stations]
    other = [tuple(p - across * r) for p, r in reversed(stations)]
    part([*side, *other], dashed)


def _leg(sheet: Any, sign: float, part: Any) -> None:
    hip, foot = sheet.hip_breadth_m / 4, 0.0575 * sheet.stature_m
    stations = [
        (hip, sheet.hip_height_m + 0.02, sheet.hip_breadth_m / 4.2), (hip, sheet.crotch_height_m - 0.06, sheet.hip_breadth_m / 4.2),
        (hip * 0.6 + foot * 0.4, sheet.knee_height_m, sheet.knee_girth_m / np.pi / 2),
        (foot, sheet.ankle_height_m, sheet.ankle_girth_m / np.pi / 2), (foot * 1.15, 0.0, sheet.foot_breadth_m / 2),
    ]  # fmt: skip
    part([*((sign * (x - r), z) for x, z, r in stations), *((sign * (x + r), z) for x, z, r in reversed(stations))])


def _spot(figure: Figure, pin: Pin) -> tuple[float, float]:
    """Across (the wearer's right positive, as drawn) and up, metres."""
    sheet = figure.sheet
    waist = (sheet.hip_height_m + sheet.shoulder_height_m) / 2
    sign = {"left": -1.0, "right": 1.0, "middle": 0.0}[pin.place]
    across, up = {
        "neck": (0.0, sheet.shoulder_height_m + 0.02),
        "shoulder": (sheet.biacromial_m * 0.42, sheet.shoulder_height_m - 0.02),
        "chest": (sheet.chest_breadth_m * 0.36, sheet.shoulder_height_m - 0.19),
        "waist": (sheet.waist_breadth_m * 0.40, waist),
        "hand": (sheet.bideltoid_m * 0.66, sheet.shoulder_height_m - sheet.arm_m * 0.97),
    }[pin.level]
    return sign * across, up


def _pin(page: Page, x: float, y: float, number: int) -> None:
    from matplotlib.patches import Circle

    page.axes.add_patch(Circle((x, y), PIN_MM, fc="white", ec=style.INK, lw=style.HEAVY, zorder=8))
    page.axes.text(
        x, y, str(number), fontsize=PIN_PT, weight="bold", ha="center", va="center", color=style.INK, zorder=9
    )


def _sides(page: Page, figure: Figure, x_mm: float, y_mm: float, wide_mm: float) -> None:
    for sign, name in ((-1, "LEFT"), (1, "RIGHT")):
        width = page.width_mm(name, 13, "bold")
        x = x_mm + sign * (wide_mm / 2 - width / 2) - width / 2
        page.say(x, y_mm - 4, name, 13, weight="bold")
