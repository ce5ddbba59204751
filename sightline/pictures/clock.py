"""The handler's card: the performer from above, facing up, and from which side how near people may come. A7 to print."""

from __future__ import annotations

import math
import textwrap
from typing import Any

from sightline.blocking.clock import HONEST, Clock, Hour, Post
from sightline.blocking.ring import DISTANCES_M, HEIGHTS_M, hour_of
from sightline.blocking.tapeout import short_way
from sightline.pictures import style

# ISO 216 A7: it goes in a palm and a pocket.
CARD_MM = (74.0, 105.0)
MM_IN = 1 / 25.4
# Printed small: so many dots to the inch, and no letter below this.
DOTS = 400
LEAST_PT = 5.5
CENTRE_MM = (37.0, 45.0)
MM_PER_M = 7.6
RIM_M = 3.0
RIM_MM = RIM_M * MM_PER_M + 1.4
RINGS_M = (1.0, 1.5, 2.0, 3.0)
# By nearest clean distance: colour from the tool's one scale, and hatching that tells the same without colour.
SHADES = (
    (1.5, style.SCALE_STOPS[0], "", "1.5 m"),
    (2.0, style.SCALE_STOPS[1], "......", "2 m"),
    (3.0, style.SCALE_STOPS[2], "/////", "3 m"),
    (6.0, style.SCALE_STOPS[3], "xxxxxx", "6 m"),
    (math.inf, style.SCALE_STOPS[5], "", "never"),
)
CAUTION = "Crowd safety and local code are the venue's. The performer needs the handler's eyes: clear the way before any turn."
# Where it holds, which no colour tells.
HOLDS = f"for this mark and facing; eyes {min(HEIGHTS_M):.2f} to {max(HEIGHTS_M):.2f} m up"
PLANNED = "Planned, not walked. The whole list: sightline clock."
LINE_MM = 2.4


def draw_clock(clock: Clock, title: str, mark: str) -> Any:
    """The figure, exactly A7. `mark`: where it holds, in a few words."""
    figure = style.figure(CARD_MM[0] * MM_IN, CARD_MM[1] * MM_IN, DOTS)
    figure.set_facecolor("white")
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, CARD_MM[0])
    axes.set_ylim(CARD_MM[1], 0)
    axes.set_axis_off()
    _say(axes, 4, 6.2, title[:34], 7.5, weight="bold")
    _say(axes, CARD_MM[0] - 4, 6.2, "handler's clock", 6.5, ha="right", color=style.QUIET)
    _say(axes, 4, 9.4, mark[:62], LEAST_PT, color=style.QUIET)
    _say(axes, 4, 11.8, HOLDS, LEAST_PT, color=style.QUIET)
    _sectors(axes, clock)
    _rings(axes, clock)
    _performer(axes)
    for hour in clock.hours:
        _hour(axes, hour)
    for n, post in enumerate(clock.posts, 1):
        _post(axes, n, post)
    if clock.photo:
        x, y = _at(clock.photo.bearing_rad, clock.photo.distance_m * MM_PER_M)
        axes.plot([x], [y], marker="*", ms=9, mfc="white", mec=style.MARKED, mew=1.0, zorder=9)
    _sides(axes)
    _foot(axes, clock)
    axes.plot(
        [0.3, CARD_MM[0] - 0.3, CARD_MM[0] - 0.3, 0.3, 0.3], [0.3, 0.3, CARD_MM[1] - 0.3, CARD_MM[1] - 0.3, 0.3],
        color=style.FAINT_LINE, lw=style.THIN,
    )  # fmt: skip
    return figure


def _say(axes: Any, x: float, y: float, text: str, size: float, **look: Any) -> None:
    axes.text(x, y, text, fontsize=max(size, LEAST_PT), parse_math=False, **({"va": "baseline", "zorder": 10} | look))


def _at(bearing_rad: float, radius_mm: float) -> tuple[float, float]:
    """On the card: up is the front, and what is at the performer's left is at the left."""
    return CENTRE_MM[0] - radius_mm * math.sin(bearing_rad), CENTRE_MM[1] - radius_mm * math.cos(bearing_rad)


def _shade(nearest_m: float | None) -> tuple[str, str]:
    need = math.inf if nearest_m is None else nearest_m
    return next((colour, hatch) for most, colour, hatch, _ in SHADES if need <= most)


def _sectors(axes: Any, clock: Clock) -> None:
    """Filled as far out as it leaks: nobody should stand on colour."""
    from matplotlib.patches import Wedge

    half = math.pi / len(clock.rays)
    for ray in clock.rays:
        if ray.nearest_m is not None and ray.nearest_m <= 1.0:
            continue
        colour, hatch = _shade(ray.nearest_m)
        reach = RIM_MM if ray.nearest_m is None or ray.nearest_m > RIM_M else ray.nearest_m * MM_PER_M
        # Angles of a wedge are clockwise on axes whose y points down, from the right.
        low, high = (math.degrees(-ray.bearing_rad + side) - 90.0 for side in (-half, half))
        axes.add_patch(Wedge(CENTRE_MM, reach, low, high, fc=colour, ec=style.INK, hatch=hatch, lw=0.0, zorder=2))


def _rings(axes: Any, clock: Clock) -> None:
    from matplotlib.patches import Circle

    for ring in RINGS_M:
        axes.add_patch(Circle(CENTRE_MM, ring * MM_PER_M, fill=False, ec=style.QUIET, lw=0.35, zorder=3))
    axes.add_patch(Circle(CENTRE_MM, RIM_MM, fill=False, ec=style.INK, lw=style.THIN, zorder=3))
    for k in range(12):
        edge = math.radians(30.0 * k + 15.0)
        (x0, y0), (x1, y1) = _at(edge, 1.0 * MM_PER_M), _at(edge, RIM_MM)
        axes.plot([x0, x1], [y0, y1], color=style.QUIET, lw=0.3, zorder=3)
    # The distances are written where least is coloured.
    clearest = min(range(12), key=lambda k: _need(clock, k) + _need(clock, k + 1))
    for ring, said in ((1.0, "1 m"), (2.0, "2 m"), (3.0, "3 m")):
        x, y = _at(-math.radians(30.0 * clearest + 15.0), ring * MM_PER_M)
        box = {"boxstyle": "round,pad=0.08", "fc": "white", "ec": "none", "alpha": 0.85}
        _say(axes, x, y, said, LEAST_PT, ha="center", va="center", bbox=box, zorder=4)


def _need(clock: Clock, k: int) -> float:
    nearest = clock.hours[k % 12].nearest_m
    return 10.0 if nearest is None else nearest


def _performer(axes: Any) -> None:
    """From above: shoulders, head, what is carried in front."""
    from matplotlib.patches import Circle, Ellipse, Rectangle

    x, y = CENTRE_MM
    axes.add_patch(Circle(CENTRE_MM, 0.62 * MM_PER_M, fc="white", ec="none", zorder=5))
    axes.add_patch(Rectangle((x - 1.7, y - 4.2), 3.4, 2.4, fc=style.PLAIN, ec=style.INK, lw=0.5, zorder=6))
    axes.add_patch(Ellipse(CENTRE_MM, 4.2, 2.2, fc="#566273", ec=style.INK, lw=0.5, zorder=7))
    axes.add_patch(Circle(CENTRE_MM, 0.85, fc="#cfa286", ec=style.INK, lw=0.5, zorder=8))


def _hour(axes: Any, hour: Hour) -> None:
    """Outside the rim: the hour, and the least turn that hides all from there, with its way round."""
    bearing = -math.radians(30.0 * (hour.hour % 12))
    x, y = _at(bearing, RIM_MM + 2.5)
    _say(axes, x, y, str(hour.hour), 7.0, ha="center", va="center", weight="bold")
    turn = hour.least_rad
    if turn is not None and turn == 0:
        return
    if abs(math.sin(bearing)) > 0.9:  # beside the rim words need more room
        x += 2.6 * math.copysign(1.0, x - CENTRE_MM[0])
    y += 3.1 if math.cos(bearing) < 0.1 else -3.1  # on the side of the numeral that is away from the rim
    if turn is None:
        _say(axes, x, y, "no turn", LEAST_PT, ha="center", va="center", color=style.QUIET)
        return
    said = f"{'↶' if turn > 0 else '↷'}{abs(math.degrees(turn)):.0f}°{'L' if turn > 0 else 'R'}"
    _say(axes, x, y, said, 6.2, ha="center", va="center", color=style.MARKED, weight="bold")


def _post(axes: Any, n: int, post: Post) -> None:
    x, y = _at(post.bearing_rad, min(post.leaks_to_m, RIM_M) * MM_PER_M - 0.6)
    axes.plot([x], [y], marker="o", ms=8.2, mfc="white", mec=style.INK, mew=0.9, zorder=8)
    _say(axes, x, y, f"H{n}", LEAST_PT, ha="center", va="center", weight="bold", zorder=9)


def _sides(axes: Any) -> None:
    look = {"weight": "bold", "color": style.INK}
    _say(axes, 3.5, 15.4, "PERFORMER'S\nLEFT", LEAST_PT, va="center", **look)
    _say(axes, CARD_MM[0] - 3.5, 15.4, "PERFORMER'S\nRIGHT", LEAST_PT, ha="right", va="center", **look)
    _say(axes, 3.5, 71.6, "top view,\nfront is up", LEAST_PT, color=style.QUIET, va="center")
    # The nearest ring that was asked: nearer nothing is known.
    white = "white: clean\nfrom 1 m; not\nasked nearer"
    _say(axes, CARD_MM[0] - 3.5, 71.6, white, LEAST_PT, ha="right", color=style.QUIET, va="center")


def _foot(axes: Any, clock: Clock) -> None:
    from matplotlib.patches import Rectangle

    y = 78.0
    _say(axes, 4, y, "Keep people off the colour. Clean from:", LEAST_PT, weight="bold")
    x = 4.0
    y += 1.0
    for (_, colour, hatch, said), step in zip(SHADES, (13.8, 12.8, 12.8, 12.8, 0.0), strict=True):
        axes.add_patch(Rectangle((x, y), 4.6, 2.6, fc=colour, ec=style.INK, hatch=hatch, lw=0.35))
        _say(axes, x + 5.2, y + 2.1, said, LEAST_PT)
        x += step
    y += 5.5
    for line in foot_lines(clock):
        for part in textwrap.wrap(line, 62):
            _say(axes, 4, y, part, LEAST_PT)
            y += LINE_MM
    for part in textwrap.wrap(CAUTION, 62):
        _say(axes, 4, y, part, LEAST_PT, color=style.QUIET)
        y += LINE_MM
    _say(axes, 4, CARD_MM[1] - 1.5, PLANNED, LEAST_PT, color=style.QUIET)


def foot_lines(clock: Clock) -> list[str]:
    """What is to be done, in few words."""
    lines = ["Somebody there? Turn ↶ own left, ↷ own right. Look behind."]
    if clock.clean_share(DISTANCES_M[-1]) == 0:
        lines.append(HONEST)
    if clock.photo:
        spot = clock.photo
        lines.append(f"★ photographs: {hour_of(spot.bearing_rad)} o'clock, {spot.distance_m:g} m.")
    else:
        lines.append("No spot for photographs within 60° of the front.")
    if clock.posts:
        posts = enumerate(clock.posts, 1)
        where = ", ".join(
            f"H{n} {hour_of(post.bearing_rad)} o'clock ({short_way(clock.facing_rad + post.bearing_rad)})"
            for n, post in posts
        )
        lines.append(f"Handlers: {where}.")
    return lines
