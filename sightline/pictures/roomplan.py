"""A small plan of the room at a true scale: walls, mark, box, knots, and the cameras by number."""

from __future__ import annotations

from typing import Any

from matplotlib.patches import Circle, Rectangle

from sightline.pictures import style
from sightline.pictures.page import Page
from sightline.workshop.mockup import Mockup
from sightline.workshop.roomsheet import RoomSheet

SCALES = (10, 20, 25, 50, 100, 200, 500, 1000)
# Room for the words round the walls.
EDGE_MM = 9.0


def draw_plan(
    page: Page, made: Mockup, sheet: RoomSheet, at_mm: tuple[float, float], room_mm: tuple[float, float]
) -> int:
    """The plan within `room_mm` from its upper left corner `at_mm`; audience below. Gives the scale's divisor."""
    across, along = sheet.room.across_m, sheet.room.along_m
    scale = next(
        (s for s in SCALES if across * 1000 / s <= room_mm[0] - 2 * EDGE_MM and along * 1000 / s <= room_mm[1] - 1.6 * EDGE_MM),
        SCALES[-1],
    )  # fmt: skip
    mm = 1000 / scale
    wide, tall = across * mm, along * mm
    left, top = at_mm[0] + (room_mm[0] - wide) / 2, at_mm[1] + 4.0
    page.axes.add_patch(Rectangle((left, top), wide, tall, fc="none", ec=style.INK, lw=style.HEAVY))

    def place(x_m: float, y_m: float) -> tuple[float, float]:
        return left + (sheet.mark_m[0] + x_m) * mm, top + (sheet.mark_m[1] - y_m) * mm

    look = {"fontsize": 6.4, "color": style.QUIET, "ha": "center", "va": "center", "parse_math": False}
    page.axes.text(left + wide / 2, top - 2.2, f"wall behind the performer, {across:.2f} m", **look)
    page.axes.text(left + wide / 2, top + tall + 2.4, "ahead: where the audience is", **look)
    page.axes.text(left - 4.0, top + tall / 2, f"performer's right\nSR / HL, {along:.2f} m", rotation=90, **look)
    page.axes.text(left + wide + 4.0, top + tall / 2, "performer's left\nSL / HR", rotation=90, **look)
    corners = [mark.at_m for mark in made.marks if mark.name.startswith("box ")]
    if corners:
        x, y = zip(*[place(c[0], c[1]) for c in [*corners, corners[0]]], strict=True)
        page.line(x, y, style.MEDIUM, style.QUIET)
    mark = place(0.0, 0.0)
    for spot in sheet.spots:
        if spot.camera_m is None:
            continue
        at = place(float(spot.camera_m[0]), float(spot.camera_m[1]))
        knot = place(float(spot.knot.at_m[0]), float(spot.knot.at_m[1]))
        clean = spot.chosen == "clean"
        page.axes.plot(
            [knot[0], at[0]], [knot[1], at[1]], lw=style.THIN, ls="--" if clean else "-",
            color=style.HIDDEN if clean else style.MARKED, zorder=3,
        )  # fmt: skip
        size = 2.3
        edge: dict[str, Any] = {
            "fc": "white",
            "ec": style.HIDDEN if clean else style.MARKED,
            "lw": style.MEDIUM,
            "zorder": 5,
        }
        shape = (
            Rectangle((at[0] - size, at[1] - size), 2 * size, 2 * size, **edge) if clean else Circle(at, size, **edge)
        )
        page.axes.add_patch(shape)
        page.axes.text(
            *at, str(spot.number), fontsize=7.5, fontweight="bold", ha="center", va="center_baseline", zorder=6
        )
    for knot_ in sheet.knots:
        at = place(float(knot_.at_m[0]), float(knot_.at_m[1]))
        page.axes.add_patch(Circle(at, 0.7, fc=style.INK, ec="white", lw=0.4, zorder=7))
    arm = 2.2
    page.line([mark[0] - arm, mark[0] + arm], [mark[1], mark[1]], style.HEAVY)
    page.line([mark[0], mark[0]], [mark[1] - arm, mark[1] + arm], style.HEAVY)
    foot = top + tall + 6.6
    page.say(at_mm[0], foot, "cross: the mark   grey: the box   dot: knots   line: string", 6.4, color=style.QUIET)
    page.say(
        at_mm[0],
        foot + 3.2,
        f"circle: worst, or least to spare   square: clean   scale 1:{scale}",
        6.4,
        color=style.QUIET,
    )
    return scale
