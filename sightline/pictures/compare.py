"""Two scenes side by side: which eyes got better, which worse."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.pictures import style
from sightline.pictures.plan import Layer, draw_panel, extent, legend, level_shifts
from sightline.sight.check import Finding

BETTER, WORSE = "#2f6f8f", "#c2255c"


def change_of(before: Finding, after: Finding) -> tuple[list[str], np.ndarray[Any, Any]]:
    """Ids of the eyes that both have, and -1 (better), 0 or +1 (worse) for each: verdict first, then size by a tenth."""
    old = {eye.id: i for i, eye in enumerate(before.moment.eyes)}
    new = {eye.id: i for i, eye in enumerate(after.moment.eyes)}
    both = [name for name in old if name in new]
    i, j = [old[name] for name in both], [new[name] for name in both]
    verdict = after.worst_verdict()[j].astype(int) - before.worst_verdict()[i].astype(int)
    a, b = before.size_of_leak()[i], after.size_of_leak()[j]
    size = np.where(b > 1.1 * a, 1, np.where(b < 0.9 * a, -1, 0))
    return both, np.where(verdict != 0, np.sign(verdict), size)


def draw_comparison(before: Finding, after: Finding, names: tuple[str, str]) -> Any:
    """The figure: the plan of either scene, all secrets together, with the eyes that changed ringed on the second."""
    sides = (before, after)
    panels = [Layer("", f.worst_verdict(), f.size_of_leak()) for f in sides]
    shifts = [level_shifts(f.moment) for f in sides]
    points = [f.moment.eye_points()[:, :2] + s for f, s in zip(sides, shifts, strict=True)]
    bounds = [extent(f.moment, p) for f, p in zip(sides, points, strict=True)]
    low, high = np.min([b[0] for b in bounds], axis=0), np.max([b[1] for b in bounds], axis=0)
    wide_in = 5.0
    tall = float(np.clip(wide_in * (high[1] - low[1]) / (high[0] - low[0]), 3.0, 8.0))
    height = tall + 2.2
    figure = style.figure(2 * wide_in + 0.8, height)
    width = 2 * wide_in + 0.8
    seen = [int((p.verdict == 2).sum()) for p in panels]
    figure.text(0.04, 1 - 0.30 / height, before.moment.title, fontsize=14, fontweight="bold", va="center")
    said = f"eyes that can see a secret: {seen[0]} before, {seen[1]} after"
    figure.text(0.04, 1 - 0.56 / height, said, fontsize=9.5, color=style.QUIET, va="center")
    both, change = change_of(before, after)
    for k in range(2):
        left = (0.3 + k * (wide_in + 0.2)) / width
        axes = figure.add_axes((left, 1.05 / height, wide_in / width, tall / height))
        draw_panel(axes, sides[k].moment, panels[k], points[k], shifts[k], low, high, large=True)
        axes.set_title(f"{('Before', 'After')[k]}: {names[k]} - {seen[k]} can see it", fontsize=9, loc="left", pad=4)
        if k == 1:
            _rings(axes, sides[k], points[k], both, change)
    better, worse = int((change < 0).sum()), int((change > 0).sum())
    figure.text(
        0.5,
        0.86 / height,
        f"better for {better} eyes, worse for {worse} (ringed double)",
        fontsize=8.5,
        color=style.INK,
        ha="center",
    )
    legend(figure, height)
    return figure


def _rings(
    axes: Any, finding: Finding, points: np.ndarray[Any, Any], both: list[str], change: np.ndarray[Any, Any]
) -> None:
    """A double ring round every eye that got worse: it must not be missed."""
    where = {eye.id: i for i, eye in enumerate(finding.moment.eyes)}
    worse = [where[name] for name, sign in zip(both, change, strict=True) if sign > 0]
    for size in (70, 130):
        axes.scatter(
            *points[worse].T, s=size, marker="o", facecolors="none", edgecolors=WORSE, linewidths=1.0, zorder=9
        )
