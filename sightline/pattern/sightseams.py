"""The lengthwise seams of every part of a limb, placed by sight, and what is seen of those that cannot be moved."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.pattern.exposure import Exposure, Shown, shown
from sightline.pattern.looks import Looks
from sightline.pattern.pattern import SeamLine
from sightline.pattern.plan import INNER_RAD, Choices, Line, Part, plan_of
from sightline.pattern.routing import Route, Routing, Weighting, Wish, route, seam_line, simplified
from sightline.pattern.tube import Tube

# A seam as it is measured strays from itself by at most this.
WITHIN_M = 0.0005
# Where seams of two parts come nearer to each other at the elbow than this, they are led to one place there: a stub of
# ring between them is hard to glue. Common practice, no source.
MEET_M = 0.020
# And if no more of them shows than this.
SHOWS_M = 0.001


@dataclass(frozen=True)
class SightSeams:
    """`lines` are what `Choices.lines` takes: for each part its curves. Routes bear the names of the pattern's seams."""

    routing: Routing
    lines: dict[str, Sequence[Line]]


def sight_seams(
    looks: Looks, exposure: Exposure, tube: Tube, choices: Choices, weighting: Weighting,
    tick: Callable[[str], None] = lambda _: None,
) -> SightSeams:  # fmt: skip
    """Route the seams of each part by itself, for at the elbow they need not meet. Raises SightlineError for choices
    that cannot be, and where the seams find no room beside each other."""
    routes: list[Route] = []
    seams: list[SeamLine] = []
    said: list[str] = []
    lines: dict[str, Sequence[Line]] = {}
    for part in plan_of(tube, choices).parts:
        tick(f"seams of the {part.name}")
        made = route(looks, exposure, _wishes(tube, part, choices.panels), weighting)
        if routes:
            made = _met(made, routes, looks, tube, part)
        order = sorted(range(len(made.routes)), key=lambda k: _mean(made.routes[k].turns))
        names = [f"{part.name} seam{f' {n + 1}' if len(order) > 1 else ''}" for n in range(len(order))]
        for name, k in zip(names, order, strict=True):
            one = made.routes[k]
            routes.append(replace(one, wish=replace(one.wish, name=name)))
            seams.append(replace(made.lines[k], name=name))
        lines[part.name] = [(made.routes[k].turns[:, 0], made.routes[k].turns[:, 1]) for k in order]
        said += made.said
    return SightSeams(Routing(weighting, tuple(routes), tuple(seams), tuple(dict.fromkeys(said))), lines)


def _met(made: Routing, above: Sequence[Route], looks: Looks, tube: Tube, part: Part) -> Routing:
    """Seams of the forearm begun where a seam of the upper arm ends, if that is near and shows no more of them."""
    radius = float(tube.girth_m[part.first]) / (2.0 * np.pi)
    ends = [float(route.turns[-1, 1]) for route in above]
    routes, lines = list(made.routes), list(made.lines)
    for k, one in enumerate(made.routes):
        away = [float(np.angle(np.exp(1j * (end - one.turns[0, 1])))) for end in ends]
        step = min(away, key=abs)
        if step == 0.0 or abs(step) * radius >= MEET_M:
            continue
        turns = one.turns.copy()
        turns[0, 1] += step
        after = shown(looks, turns)
        if after.visible_m <= one.after.visible_m + SHOWS_M:
            routes[k] = replace(one, turns=turns, after=after)
            lines[k] = seam_line(looks.skin, one.wish.name, "lengthwise", turns)
    return replace(made, routes=tuple(routes), lines=tuple(lines))


def _wishes(tube: Tube, part: Part, panels: int) -> list[Wish]:
    """Where the pattern runs its seams by itself: on the inner side, others at even distances from there."""
    span = (float(tube.share[part.first].mean()), float(tube.share[part.last].mean()))
    return [
        Wish(f"{part.name} {k + 1}", "lengthwise", INNER_RAD + 2.0 * np.pi * k / panels, span) for k in range(panels)
    ]  # fmt: skip


def _mean(turns: FloatArray) -> float:
    """The mean angle within a full turn, by which the pattern numbers its seams."""
    return float(np.mod(turns[:, 1].mean(), 2.0 * np.pi))


def fixed_seams(looks: Looks, seams: Sequence[SeamLine], routed: Sequence[str]) -> dict[str, Shown]:
    """What is seen of rings and darts, which lie where the pieces need them."""
    out = {}
    length, radius = _size(looks)
    for seam in seams:
        if seam.name in routed:
            continue
        turns = np.column_stack([seam.share, np.unwrap(seam.around_rad)])
        if seam.kind == "ring":
            # Points on the ball of the elbow have its share but for a trifle.
            share = float(np.median(seam.share))
            turns = np.array([[share, 0.0], [share, 2.0 * np.pi]])
        out[seam.name] = shown(looks, simplified(turns, length, radius, WITHIN_M))
    return out


def _size(looks: Looks) -> tuple[float, float]:
    from sightline.pattern.onskin import size_of

    return size_of(looks.skin)
