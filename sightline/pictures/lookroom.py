"""The house as a room to walk about in: the act, the venue, and every seat as a small shape with its heat colour.

What is drawn and which seat a click means is told here, apart from any window, so that it can be tested off screen.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover
from sightline.pictures import style
from sightline.pictures.camera import Camera
from sightline.pictures.layer import LARGEST_ARCMIN, SMALLEST_ARCMIN
from sightline.pictures.opengl import add_covers, aim
from sightline.pictures.palette import Palette
from sightline.pictures.verdicts import distance_m, short_verdict
from sightline.pictures.view import View, view_of
from sightline.sight.check import Finding

# A seat's shape: a ball hidden, a cone faint, a cube seen; so large, m, and this far below the eye, not to be in the way.
SHAPE_M, BELOW_EYE_M = 0.26, 0.28
# A click farther from every seat than this, as an angle at the viewer, is no seat.
MISS_RAD = np.radians(2.0)
# Where one stands first: behind and above the audience, looking at the act.
BACK_M, UP_M = 2.0, 8.0


@dataclass
class LookRoom:
    """One finding ready to be walked about in; `seat` is the eye (index) one sits in, None for the overview."""

    finding: Finding
    palette: Palette
    size: tuple[int, int] = (1200, 900)
    seat: int | None = None
    seats: list[Any] = field(default_factory=list)

    @property
    def eyes_m(self) -> FloatArray:
        return self.finding.moment.eye_points()

    def covers(self) -> list[Cover]:
        """What stands about: of the pose that shows most from the seat one sits in, or at rest."""
        pose = self.view(self.seat).pose if self.seat is not None else 0
        return self.finding.looked.scenery.covers(pose)

    def view(self, eye: int) -> View:
        return view_of(self.finding, eye, size=self.size)

    def camera(self) -> Camera:
        """From the seat one sits in, or over the heads of the audience."""
        if self.seat is not None:
            return self.view(self.seat).camera
        focus, eyes = self.finding.moment.focus_m, self.eyes_m
        middle = eyes.mean(axis=0)
        away = middle[:2] - focus[:2]
        far = float(np.hypot(*(eyes[:, :2] - focus[:2]).T).max())
        way = away / np.hypot(*away) if np.hypot(*away) > 0.5 else np.array([0.0, -1.0])
        at = np.array([*(focus[:2] + way * (far + BACK_M)), float(eyes[:, 2].max()) + UP_M])
        return Camera(at, focus - [0.0, 0.0, 0.8], float(np.radians(62)), self.size)

    def colours(self) -> FloatArray:
        """The heat colour of each eye (e, 3) in 0..1; what sees nothing has that of a hidden one."""
        from matplotlib.colors import LogNorm, to_rgb

        verdict, size = self.finding.worst_verdict(), self.finding.size_of_leak()
        out = np.tile(to_rgb(style.HIDDEN), (len(verdict), 1))
        shown = verdict > 0
        norm = LogNorm(SMALLEST_ARCMIN, LARGEST_ARCMIN, clip=True)
        out[shown] = style.scale()(norm(size[shown]))[:, :3]
        return out

    def nearest(self, start: FloatArray, way: FloatArray) -> int | None:
        """The seat that a line of sight from `start` (3,) along `way` (3,) means; None where it passes all by."""
        at = self.eyes_m - [0.0, 0.0, BELOW_EYE_M] - start
        far = np.linalg.norm(at, axis=1)
        cosine = at @ (way / np.linalg.norm(way)) / np.maximum(far, 1e-9)
        off = np.arccos(np.clip(cosine, -1.0, 1.0)) - np.arctan(SHAPE_M / 2 / np.maximum(far, 0.1))
        hit = np.flatnonzero(off < 0)
        # Of several shapes in the line the one in front; of none the nearest beside it.
        best = int(hit[np.argmin(far[hit])]) if len(hit) else int(np.argmin(off))
        return best if off[best] < MISS_RAD else None

    def title(self) -> str:
        """Of the window: the act, and the seat one sits in."""
        return self.finding.moment.title if self.seat is None else self.finding.moment.eyes[self.seat].id

    def words(self) -> str:
        """What is written in the corner, and that it is planned."""
        return f"{self._finding_words()}\nplanned, not walked; light and cloth as computed; the whole list: sightline check"

    def _finding_words(self) -> str:
        if self.seat is None:
            seen = int((self.finding.worst_verdict() == 2).sum())
            return (
                f"{self.finding.moment.title}: {seen} of {len(self.eyes_m)} can see a secret\n"
                "cube: seen   cone: faint   ball: hidden\nclick a seat to sit in it   drag to look about   q to leave"
            )
        eye = self.finding.moment.eyes[self.seat]
        return (
            f"{eye.id}, {eye.kind}, {distance_m(self.finding, self.seat):.1f} m away\n{short_verdict(self.finding, self.seat)}\n"
            "space to get up again   left and right: next seat   q to leave"
        )

    def fill(self, plotter: Any) -> None:
        """Everything as it is now into a plotter, whatever was there before; drawn when the caller says so."""
        plotter.suppress_rendering = True
        self._put_into(plotter)
        plotter.suppress_rendering = False

    def _put_into(self, plotter: Any) -> None:
        plotter.clear()
        plotter.remove_all_lights()
        plotter.set_background(style.BACKDROP)
        add_covers(plotter, self.covers(), self.palette)
        # Nobody sees their own seat, nor do others' heads count here.
        self.seats = [] if self.seat is not None else self._add_seats(plotter)
        plotter.add_text(self.words(), position="upper_left", font_size=11, color=style.INK, name="words")
        aim(plotter, self.camera())

    def _add_seats(self, plotter: Any) -> list[Any]:
        import pyvista

        verdict, colours = self.finding.worst_verdict(), self.colours()
        shapes = (
            pyvista.Sphere(radius=SHAPE_M / 2, theta_resolution=10, phi_resolution=8),
            pyvista.Cone(direction=(0, 0, 1), height=SHAPE_M * 1.2, radius=SHAPE_M / 1.7, resolution=10),
            pyvista.Cube(x_length=SHAPE_M, y_length=SHAPE_M, z_length=SHAPE_M),
        )
        actors = []
        for k, shape in enumerate(shapes):
            member = verdict == k
            if not member.any():
                continue
            cloud = pyvista.PolyData(self.eyes_m[member] - [0.0, 0.0, BELOW_EYE_M])
            cloud["heat"] = np.round(colours[member] * 255).astype(np.uint8)
            glyphs = cloud.glyph(geom=shape, scale=False, orient=False)
            actors.append(plotter.add_mesh(glyphs, scalars="heat", rgb=True, ambient=0.6, diffuse=0.5))
        return actors


def still(room: LookRoom) -> FloatArray:
    """The room as it is now, drawn off screen: (down, across, 3) in 0..1. Only where OpenGL is there."""
    import pyvista
    from vtkmodules.vtkCommonCore import vtkLogger

    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    plotter: Any = pyvista.Plotter(off_screen=True, window_size=list(room.size), lighting="none")
    room.fill(plotter)
    plotter.enable_anti_aliasing("ssaa")
    plotter.show(auto_close=False)
    picture = np.asarray(plotter.screenshot(return_img=True), dtype=float)[..., :3] / 255.0
    plotter.close()
    return picture


def open_window(room: LookRoom) -> None:
    """The window; ends when it is closed. Only where there is a display."""
    import pyvista

    plotter: Any = pyvista.Plotter(window_size=list(room.size), lighting="none", title=room.title())

    def sit(seat: int | None) -> None:
        room.seat = seat
        room.fill(plotter)
        plotter.render_window.SetWindowName(room.title())
        plotter.render()

    def clicked(*_: Any) -> None:
        if room.seat is not None:
            return
        x, y = plotter.mouse_position if plotter.mouse_position is not None else plotter.iren.get_event_position()
        start, way = line_of_sight(plotter, float(x), float(y))
        seat = room.nearest(start, way)
        if seat is not None:
            sit(seat)

    def step(by: int) -> None:
        if room.seat is not None:
            sit((room.seat + by) % len(room.eyes_m))

    room.fill(plotter)
    plotter.track_click_position(callback=clicked, side="left", viewport=True)
    # Letters are VTK's own: r, for one, would move the camera as well.
    plotter.add_key_event("space", lambda: sit(None))
    plotter.add_key_event("Left", lambda: step(-1))
    plotter.add_key_event("Right", lambda: step(1))
    plotter.show()


def line_of_sight(plotter: Any, x: float, y: float) -> tuple[FloatArray, FloatArray]:
    """From the viewer through a place on the window, in pixels from its lower left corner."""
    renderer = plotter.renderer
    ends = []
    for depth in (0.0, 1.0):
        renderer.SetDisplayPoint(x, y, depth)
        renderer.DisplayToWorld()
        a, b, c, w = renderer.GetWorldPoint()
        ends.append(np.array([a, b, c]) / w)
    start = np.array(plotter.camera.position, dtype=float)
    return start, ends[1] - start
