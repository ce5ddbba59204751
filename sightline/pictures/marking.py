"""What must not be seen, marked on a view: hatched and outlined where it shows, ringed where it is small."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.pictures import style
from sightline.pictures.camera import Camera
from sightline.pictures.cast import Traced
from sightline.sight.check import Finding
from sightline.sight.lines import line_facing, line_unblocked
from sightline.sight.prepared import PreparedLine

SMALL_SHARE = 0.002


def mark_secrets(axes: Any, finding: Finding, pose: int, traced: Traced) -> None:
    """Hatch and outline what is visible of each secret; lines as a bold dotted stroke. `axes` are in pixels."""
    moment, camera = finding.moment, traced.camera
    names = [c.name for c in traced.covers]
    wanted = [names.index(s) for s in finding.secrets if s in names]
    across, down = camera.size
    shown = traced.averaged(np.isin(traced.index, wanted).astype(float))
    if shown.max() > 0:
        x, y = np.arange(across) + 0.5, np.arange(down) + 0.5
        axes.contourf(x, y, shown, levels=[0.5, 2], colors=[style.MARKED], alpha=0.30, zorder=3)
        hatched = axes.contourf(x, y, shown, levels=[0.5, 2], colors="none", hatches=["//////"], zorder=4)
        hatched.set_edgecolor(style.MARKED)
        axes.contour(x, y, shown, levels=[0.5], colors=[style.MARKED], linewidths=1.2, zorder=5)
        if (shown > 0.5).sum() < SMALL_SHARE * shown.size:
            rows, columns = np.nonzero(shown > 0)
            _ring(axes, float(columns.mean()), float(rows.mean()), float(max(np.ptp(columns), np.ptp(rows))))
    for secret in (*moment.still.secrets, *moment.poses[pose].secrets):
        if secret.path is None and secret.covers:
            continue
        points = visible_points(finding, secret.name, pose, camera.eye)
        if len(points):
            axes.scatter(*pixels(camera, points).T, s=3.0, color=style.MARKED, linewidths=0, zorder=6)


def _ring(axes: Any, x: float, y: float, size: float) -> None:
    """A ring round a leak so small that it would be overlooked on the picture."""
    from matplotlib.patches import Circle

    for colour, weight in ((style.PAPER, 3.0), (style.MARKED, 1.4)):
        axes.add_patch(Circle((x, y), size / 2 + 16, fill=False, edgecolor=colour, linewidth=weight, zorder=6))


def visible_points(finding: Finding, name: str, pose: int, eye: FloatArray) -> FloatArray:
    """Where what an eye (3,) sees of a secret lies, (n, 3)."""
    scenery = finding.looked.scenery
    ready = finding.secrets[name].sighting.in_pose(pose)
    groups = [*scenery.before_poses, scenery.pose(pose)[1]]
    at = eye[None]
    if isinstance(ready, PreparedLine):
        return np.asarray(ready.line.points[line_unblocked(ready.line, line_facing(ready.line, at), groups, at)[0]])
    from sightline.sight.leak import facing, unblocked

    return np.asarray(ready.patches.centres[unblocked(ready.patches, facing(ready.patches, at), groups, at).columns])


def pixels(camera: Camera, points: FloatArray) -> FloatArray:
    """Where points (n, 3) fall in the picture (n, 2)."""
    ahead, right, up = camera.axes
    away = points - camera.eye
    depth = away @ ahead
    half = np.tan(camera.width_rad / 2)
    across, down = camera.size
    x = (away @ right / depth / half + 1) / 2 * across
    y = (1 - away @ up / depth / half * across / down) / 2 * down
    return np.column_stack([x, y])
