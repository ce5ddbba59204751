"""What one eye sees: the picture with its degree scale, plain or with the visible secret marked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover
from sightline.moment import Moment, MustSee, Secret
from sightline.pictures import style
from sightline.pictures.camera import Camera, framing
from sightline.pictures.cast import cast, indices
from sightline.sight.check import VERDICTS, Finding
from sightline.sight.lines import line_facing, line_unblocked
from sightline.sight.looking import head_positions
from sightline.sight.prepared import PreparedLine

SIZE = (900, 720)
FINER = 2
SMALL_SHARE = 0.002


@dataclass(frozen=True)
class View:
    """One eye, the pose that shows it most, and the camera there."""

    eye: int
    pose: int
    camera: Camera


def view_of(finding: Finding, eye: int, pose: int | None = None, width_rad: float | None = None) -> View:
    """The view from an eye towards the performer; the pose that shows most unless one is named."""
    seen = [found.sighting.seen for found in finding.secrets.values()]
    worst = max(seen, key=lambda s: float(s.solid_angle_sr[eye]), default=None)
    chosen = pose if pose is not None else (int(worst.pose[eye]) if worst is not None else 0)
    position = int(worst.position[eye]) if worst is not None and worst.rank[eye] > 0 else 0
    at = head_positions(finding.moment, finding.swayed)[position, eye]
    camera = framing(at, subject(finding.moment, chosen), SIZE)
    if width_rad is not None:
        # A close look is at what leaks, where something does.
        worst_name = max(
            finding.secrets, key=lambda n: float(finding.secrets[n].sighting.seen.solid_angle_sr[eye]), default=None
        )
        leak = visible_points(finding, worst_name, chosen, at) if worst_name else np.zeros((0, 3))
        camera = Camera(camera.eye, leak.mean(axis=0) if len(leak) else camera.target, width_rad, SIZE)
    return View(eye, chosen, camera)


def subject(moment: Moment, pose: int) -> FloatArray:
    """The points that a picture should hold: the act above the knees, or all secrets and covers of a plain scene."""
    surfaces: list[Secret | MustSee] = [
        *moment.still.secrets,
        *moment.poses[pose].secrets,
        *moment.still.must_see,
        *moment.poses[pose].must_see,
    ]
    points = [s.mesh.vertices for s in surfaces if len(s.mesh.vertices)]
    points += [c.mesh.vertices for c in moment.still.covers if c.name in {"head", "torso", "right arm", "left arm"}]
    if not points:
        points = [c.mesh.vertices for c in (*moment.still.surfaces(), *moment.setting)]
    return np.concatenate(points)


def draw_view(finding: Finding, view: View, marked: bool = True, picture: FloatArray | None = None) -> Any:
    """The figure. `picture` (down, across, 3) may come from another renderer; it is cast with rays when None."""
    moment, camera = finding.moment, view.camera
    across, down = camera.size
    figure = style.figure(across / 150 + 0.5, down / 150 + 1.55)
    wide, tall = figure.get_size_inches()
    axes = figure.add_axes((0.25 / wide, 0.85 / tall, (across / 150) / wide, (down / 150) / tall))
    picture_on(axes, finding, view, marked, picture)
    eye = moment.eyes[view.eye]
    away = float(np.linalg.norm(np.asarray(eye.position_m) - camera.target))
    figure.text(
        0.25 / wide, 1 - 0.28 / tall, f"{moment.title} - from {eye.id}", fontsize=12, fontweight="bold", va="center"
    )
    said = f"{eye.kind} eye, {away:.1f} m away, {np.degrees(camera.width_rad):.1f} deg across"
    if len(moment.poses) > 1:
        said += f"; hidden arm: {moment.poses[view.pose].name}"
    figure.text(0.25 / wide, 1 - 0.50 / tall, said, fontsize=8.5, color=style.QUIET, va="center")
    figure.text(0.25 / wide, 0.66 / tall, _sentence(finding, view.eye), fontsize=8.5, va="top", linespacing=1.4)
    return figure


def picture_on(
    axes: Any, finding: Finding, view: View, marked: bool = True, picture: FloatArray | None = None
) -> None:  # fmt: skip
    """The picture itself with its degree scale, filling `axes`; cast with rays unless another renderer gave it."""
    camera = view.camera
    drawn = finding.looked.scenery.covers(view.pose)
    if picture is None:
        picture = cast(drawn, camera, FINER)
    across, down = camera.size
    axes.imshow(picture, interpolation="antialiased", extent=(0, across, down, 0))
    axes.set_axis_off()
    if marked:
        _mark(axes, finding, view, drawn, indices(drawn, camera, FINER))
    _scale(axes, camera)
    axes.set_xlim(0, across)
    axes.set_ylim(down, 0)


def _sentence(finding: Finding, eye: int) -> str:
    """The verdicts of this eye in words, two to a line."""
    said = []
    for name, found in finding.secrets.items():
        verdict = VERDICTS[found.verdict[eye]]
        if verdict == "hidden":
            said.append(f"{name}: hidden")
        else:
            size = found.size_arcmin[eye]
            much = f"{size:.0f}'" if size < 60 else f"{size / 60:.1f} deg"
            said.append(f"{name}: {verdict} ({much})")
    lines = ["   ".join(said[i : i + 3]) for i in range(0, len(said), 3)]
    return "\n".join(lines[:3])


def _mark(axes: Any, finding: Finding, view: View, drawn: list[Cover], index: Any) -> None:
    """Hatch and outline what is visible of each secret; lines as a bold dotted stroke."""
    moment, camera = finding.moment, view.camera
    names = [c.name for c in drawn]
    wanted = [names.index(s) for s in finding.secrets if s in names]
    across, down = camera.size
    shown = np.isin(index, wanted).reshape(down, FINER, across, FINER).mean(axis=(1, 3))
    if shown.max() > 0:
        x, y = np.arange(across) + 0.5, np.arange(down) + 0.5
        axes.contourf(x, y, shown, levels=[0.5, 2], colors=[style.MARKED], alpha=0.30, zorder=3)
        hatched = axes.contourf(x, y, shown, levels=[0.5, 2], colors="none", hatches=["//////"], zorder=4)
        hatched.set_edgecolor(style.MARKED)
        axes.contour(x, y, shown, levels=[0.5], colors=[style.MARKED], linewidths=1.2, zorder=5)
        if (shown > 0.5).sum() < SMALL_SHARE * shown.size:
            rows, columns = np.nonzero(shown > 0)
            _ring(axes, float(columns.mean()), float(rows.mean()), float(max(np.ptp(columns), np.ptp(rows))))
    for secret in (*moment.still.secrets, *moment.poses[view.pose].secrets):
        if secret.path is None and secret.covers:
            continue
        points = visible_points(finding, secret.name, view.pose, camera.eye)
        if len(points):
            axes.scatter(*_pixels(camera, points).T, s=3.0, color=style.MARKED, linewidths=0, zorder=6)


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


def _pixels(camera: Camera, points: FloatArray) -> FloatArray:
    """Where points (n, 3) fall in the picture (n, 2)."""
    ahead, right, up = camera.axes
    away = points - camera.eye
    depth = away @ ahead
    half = np.tan(camera.width_rad / 2)
    across, down = camera.size
    x = (away @ right / depth / half + 1) / 2 * across
    y = (1 - away @ up / depth / half * across / down) / 2 * down
    return np.column_stack([x, y])


def _scale(axes: Any, camera: Camera) -> None:
    """A bar in degrees (or arcminutes) in the lower left corner."""
    across, down = camera.size
    per_deg = across / np.degrees(camera.width_rad)
    step = next((s for s in (10, 5, 2, 1, 0.5, 1 / 6, 1 / 12, 1 / 60) if s * per_deg < across / 4), 1 / 60)
    word = f"{step:g} deg" if step >= 0.5 else f"{step * 60:.0f} arcmin"
    left, base = 24.0, down - 24.0
    length = step * per_deg
    for colour, weight in ((style.PAPER, 4.5), (style.INK, 1.6)):
        axes.plot([left, left + length], [base, base], color=colour, lw=weight, zorder=7, solid_capstyle="butt")
    axes.text(
        left + length / 2, base - 8, word, ha="center", va="bottom", fontsize=8, zorder=8,
        bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.5, "alpha": 0.85},
    )  # fmt: skip
