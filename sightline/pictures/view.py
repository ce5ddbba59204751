"""What one eye sees: the picture with its degree scale, annotated or clean, in colour or as a silhouette."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from matplotlib.colors import to_rgb

from sightline.geometry.frame import FloatArray
from sightline.moment import Moment, MustSee, Secret
from sightline.pictures import style
from sightline.pictures.camera import ARCMIN_RAD, Camera, framing
from sightline.pictures.cast import Traced, edges, shaded, trace
from sightline.pictures.marking import mark_secrets, visible_points
from sightline.pictures.palette import Palette, plain_palette
from sightline.pictures.planned import AS_COMPUTED, planned
from sightline.pictures.typeset import broken, line_in
from sightline.pictures.verdicts import distance_m, must_see_sentence, shown, verdict_sentence
from sightline.sight.check import Finding
from sightline.sight.looking import head_positions

SIZE = (900, 720)
DOTS = 150
FINER = 2
Manner = Literal["colour", "silhouette"]
# Nearer than this few eyes see sharply: a near point of 25 cm is the usual figure (from memory); the young do better.
NEAREST_HELD_M = 0.20
# The figure in a silhouette, and what is round it.
OUTLINED, ROUND_ABOUT = "#1d1f23", "#d9d5cb"


@dataclass(frozen=True)
class View:
    """One eye, the pose that shows it most, and the camera there."""

    eye: int
    pose: int
    camera: Camera


def view_of(
    finding: Finding, eye: int, pose: int | None = None, width_rad: float | None = None, size: tuple[int, int] = SIZE
) -> View:
    """The view from an eye towards the performer; the pose that shows most unless one is named."""
    seen = [found.sighting.seen for found in finding.secrets.values()]
    worst = max(seen, key=lambda s: float(s.solid_angle_sr[eye]), default=None)
    chosen = pose if pose is not None else (int(worst.pose[eye]) if worst is not None else 0)
    position = int(worst.position[eye]) if worst is not None and worst.rank[eye] > 0 else 0
    at = head_positions(finding.moment, finding.swayed)[position, eye]
    camera = framing(at, subject(finding.moment, chosen), size)
    if width_rad is not None:
        # A close look is at what leaks, where something does.
        worst_name = max(
            finding.secrets, key=lambda n: float(finding.secrets[n].sighting.seen.solid_angle_sr[eye]), default=None
        )
        leak = visible_points(finding, worst_name, chosen, at) if worst_name else np.zeros((0, 3))
        camera = Camera(camera.eye, leak.mean(axis=0) if len(leak) else camera.target, width_rad, size)
    return View(eye, chosen, camera)


def by_arcmin(view: View) -> View:
    """The same view with one arcminute to each pixel in the middle of the picture."""
    across = round(2 * math.tan(view.camera.width_rad / 2) / math.tan(ARCMIN_RAD))
    down = round(across * view.camera.size[1] / view.camera.size[0])
    return replace(view, camera=replace(view.camera, size=(max(across, 2), max(down, 2))))


def paper_in(camera: Camera, hold_m: float) -> float:
    """How wide the picture must be on paper, inches, to show true angles from so far away."""
    return 2 * hold_m * math.tan(camera.width_rad / 2) / 0.0254


def held_at(view: View, hold_m: float) -> View:
    """The same view with as many pixels as its true size on paper takes."""
    across = max(round(paper_in(view.camera, hold_m) * DOTS), 2)
    down = max(round(across * view.camera.size[1] / view.camera.size[0]), 2)
    return replace(view, camera=replace(view.camera, size=(across, down)))


def hold_m(camera: Camera) -> float:
    """From how far away a picture of this many pixels, at DOTS to the inch, shows true angles."""
    return camera.size[0] / DOTS * 0.0254 / 2 / math.tan(camera.width_rad / 2)


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


def draw_view(
    finding: Finding,
    view: View,
    marked: bool = True,
    picture: FloatArray | None = None,
    palette: Palette | None = None,
    manner: Manner = "colour",
) -> Any:
    """The figure. `picture` (down, across, 3) may come from another renderer; it is cast with rays when None.

    At DOTS to the inch it has the very pixels of the view's camera.
    """
    moment, camera = finding.moment, view.camera
    across, down = camera.size
    room = max(across / DOTS, 4.2)
    eye = moment.eyes[view.eye]
    title = broken(f"{moment.title} - from {eye.id}", room, style.TITLE_PT, "bold")
    said = f"{eye.kind} eye, {distance_m(finding, view.eye):.1f} m away; {np.degrees(camera.width_rad):.1f} deg across"
    if len(moment.poses) > 1:
        said += f"; hidden arm: {moment.poses[view.pose].name}"
    under = broken(said, room, style.TEXT_PT)
    notes = [verdict_sentence(finding, view.eye), must_see_sentence(finding, view.eye)]
    notes = [*notes, hatched_sentence(finding, view.eye) if marked else "Nothing is marked on this picture."]
    foot = [line for note in notes if note for line in broken(note, room, style.TEXT_PT)]
    quiet = broken(_hold_sentence(camera), room, style.TEXT_PT)
    last = broken(f"{planned(moment.assumptions)} {AS_COMPUTED}", room, style.FOOT_PT)
    step, line = style.STEP_IN, line_in(style.TEXT_PT)
    head_in = style.EDGE_IN + len(title) * line_in(style.TITLE_PT) + len(under) * line + step / 2
    foot_in = step + (len(foot) + len(quiet)) * line + step + len(last) * line_in(style.FOOT_PT) + style.EDGE_IN / 2
    # Whole pixels, so that the picture's own are not smeared.
    wide, tall, low = (_whole(x) for x in (room + 2 * style.EDGE_IN, head_in + down / DOTS + foot_in, foot_in))
    figure = style.figure(wide, tall, DOTS)
    axes = figure.add_axes((_whole(style.EDGE_IN) / wide, low / tall, across / DOTS / wide, down / DOTS / tall))
    picture_on(axes, finding, view, marked, picture, palette, manner)
    pen = _Pen(figure, wide, tall, tall - style.EDGE_IN)
    pen.write(title, style.TITLE_PT, style.INK, "bold")
    pen.write(under, style.TEXT_PT, style.QUIET)
    pen.y = low - step
    pen.write(foot, style.TEXT_PT, style.INK)
    pen.write(quiet, style.TEXT_PT, style.QUIET)
    pen.y -= step
    pen.write(last, style.FOOT_PT, style.QUIET)
    return figure


def hatched_sentence(finding: Finding, eye: int) -> str:
    """What is marked on the picture from an eye."""
    names = shown(finding, eye)
    if not names:
        return "Nothing is hatched: no sample of a secret shows from here."
    return f"Hatched or dotted, where it shows in this pose: {', '.join(names)}."


def _hold_sentence(camera: Camera) -> str:
    away = hold_m(camera)
    if away < NEAREST_HELD_M:
        return "Printed at its own size and held as usual, everything looks smaller than it does from this seat."
    return f"Printed at its own size and held {away * 100:.0f} cm ({away / 0.0254:.0f} in) from the eye, all angles are true."


def _whole(inches: float) -> float:
    return round(inches * DOTS) / DOTS


@dataclass
class _Pen:
    """Lines of text one under the other from a height `y`, inches from the foot."""

    figure: Any
    wide: float
    tall: float
    y: float

    def write(self, lines: list[str], size_pt: float, colour: str, weight: str = "normal") -> None:
        for text in lines:
            self.figure.text(
                style.EDGE_IN / self.wide, self.y / self.tall, text, fontsize=size_pt, color=colour, fontweight=weight,
                va="top", parse_math=False,
            )  # fmt: skip
            self.y -= line_in(size_pt)


def picture_on(
    axes: Any,
    finding: Finding,
    view: View,
    marked: bool = True,
    picture: FloatArray | None = None,
    palette: Palette | None = None,
    manner: Manner = "colour",
) -> None:
    """The picture itself with its degree scale, filling `axes`; cast with rays unless another renderer gave it."""
    camera = view.camera
    colours = palette or plain_palette(finding.moment)
    traced = trace(finding.looked.scenery.covers(view.pose), camera, FINER)
    if manner == "silhouette":
        picture = silhouette(finding.moment, traced)
    elif picture is None:
        picture = shaded(traced, colours)
    else:
        picture = np.clip(picture * edges(traced, colours)[..., None], 0, 1)
    across, down = camera.size
    axes.imshow(picture, interpolation="antialiased", extent=(0, across, down, 0))
    axes.set_axis_off()
    if marked:
        mark_secrets(axes, finding, view.pose, traced)
    scale_bar(axes, camera)
    axes.set_xlim(0, across)
    axes.set_ylim(down, 0)


def silhouette(moment: Moment, traced: Traced) -> FloatArray:
    """The act as one dark shape (down, across, 3) before what is round it."""
    setting = {cover.name for cover in moment.setting}
    act = np.array([*[cover.name not in setting for cover in traced.covers], False])
    colours = np.array([to_rgb(style.BACKDROP), to_rgb(ROUND_ABOUT), to_rgb(OUTLINED)])
    index = traced.index
    return traced.averaged(colours[np.where(act[index], 2, np.where(index >= 0, 1, 0))])


def scale_bar(axes: Any, camera: Camera) -> None:
    """A bar in degrees (or arcminutes) in the lower left corner."""
    across, down = camera.size
    per_deg = across / np.degrees(camera.width_rad)
    step = next((s for s in (10, 5, 2, 1, 0.5, 1 / 6, 1 / 12, 1 / 60) if s * per_deg < across / 4), 1 / 60)
    word = f"{step:g} deg" if step >= 0.5 else f"{step * 60:.0f} arcmin"
    edge = 0.027 * across
    left, base, length = edge, down - edge, step * per_deg
    for colour, weight in ((style.PAPER, 4.5), (style.INK, 1.6)):
        axes.plot([left, left + length], [base, base], color=colour, lw=weight, zorder=7, solid_capstyle="butt")
    axes.text(
        left + length / 2, base - 0.3 * edge, word, ha="center", va="bottom", fontsize=style.LABEL_PT, zorder=8,
        bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.5, "alpha": 0.85},
    )  # fmt: skip
