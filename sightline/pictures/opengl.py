"""A still picture by pyvista, where the machine has an OpenGL library; asked in a child process first.

VTK ends the whole process where none can be loaded, so the question must not be put in this one.
"""

from __future__ import annotations

import os
import subprocess
import sys
from functools import cache
from typing import Any

import numpy as np
from matplotlib.colors import to_rgb

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover
from sightline.pictures import style
from sightline.pictures.camera import Camera
from sightline.pictures.cast import AMBIENT, FILL, FILL_STRENGTH, KEY, KEY_STRENGTH, SMOOTH_DEG
from sightline.pictures.palette import Palette

_PROBE = """
import pyvista
plotter = pyvista.Plotter(off_screen={off}, window_size=(64, 48))
plotter.add_mesh(pyvista.Sphere())
plotter.show(auto_close=False, interactive=False)
assert plotter.screenshot(return_img=True).shape == (48, 64, 3)
"""
# A painted surface is cut finer than this, so that its pattern is as sharp as the rays draw it, m.
PAINT_DETAIL_M = 0.004
# Without OpenGL by the user's own wish, as if the machine had none.
FORCED = "SIGHTLINE_NO_OPENGL"


@cache
def available(window: bool = False) -> bool:
    """Whether pyvista can draw here, or with `window` also open one. Takes about two seconds the first time."""
    if os.environ.get(FORCED):
        return False
    try:
        words = [sys.executable, "-c", _PROBE.format(off=not window)]
        done = subprocess.run(words, capture_output=True, timeout=60, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0


def has_display() -> bool:
    """Whether there is a screen to open a window on. Only X11 and Wayland tell by their variables."""
    if not sys.platform.startswith("linux"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def render(covers: list[Cover], camera: Camera, palette: Palette | None = None) -> FloatArray:
    """The picture (down, across, 3) in 0..1. Only where `available()`."""
    import pyvista
    from vtkmodules.vtkCommonCore import vtkLogger

    # Without a screen VTK complains on stderr and then draws all the same.
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    plotter: Any = pyvista.Plotter(off_screen=True, window_size=list(camera.size), lighting="none")
    plotter.set_background(style.BACKDROP)
    add_covers(plotter, covers, palette or Palette())
    aim(plotter, camera)
    plotter.enable_anti_aliasing("ssaa")
    plotter.show(auto_close=False)
    picture = np.asarray(plotter.screenshot(return_img=True), dtype=float)[..., :3] / 255.0
    plotter.close()
    return picture


def add_covers(plotter: Any, covers: list[Cover], palette: Palette) -> list[Any]:
    """All surfaces with their colours, and the two soft lights that the rays use. Gives the actors."""
    import pyvista

    actors = []
    for cover in covers:
        if not len(cover.mesh.faces):
            continue
        surface = _surface(cover)
        look: dict[str, Any] = {"color": tuple(palette.base(cover.name))}
        if cover.name in palette.paints:
            while np.sqrt(float(surface.area) / surface.n_cells) > PAINT_DETAIL_M and surface.n_cells < 200_000:
                surface = surface.subdivide(1, "linear")
            paint = palette.colours(cover, np.asarray(surface.points, dtype=float))
            surface["paint"] = np.round(np.clip(paint, 0, 1) * 255).astype(np.uint8)
            look = {"scalars": "paint", "rgb": True}
        actors.append(
            plotter.add_mesh(
                surface,
                smooth_shading=True,
                split_sharp_edges=True,
                feature_angle=SMOOTH_DEG,
                ambient=AMBIENT,
                diffuse=1.0,
                specular=0.0,
                pickable=False,
                **look,
            )
        )
    for direction, strength in ((KEY, KEY_STRENGTH), (FILL, FILL_STRENGTH)):
        plotter.add_light(pyvista.Light(position=tuple(direction), intensity=strength, light_type="scene light"))
    return actors


def aim(plotter: Any, camera: Camera) -> None:
    """Put the plotter's camera where ours is."""
    plotter.camera.position = tuple(camera.eye)
    plotter.camera.focal_point = tuple(camera.target)
    plotter.camera.up = tuple(camera.axes[2])
    plotter.camera.view_angle = float(np.degrees(camera.height_rad))
    near = max(0.05, float(np.linalg.norm(camera.target - camera.eye)) - 30.0)
    plotter.camera.clipping_range = (near, 300.0)


def shape(picture: FloatArray) -> FloatArray:
    """Where a picture (down, across, 3) shows anything but the backdrop, true or false (down, across)."""
    return np.asarray(np.abs(picture - to_rgb(style.BACKDROP)).max(axis=2) > 0.03)


def _surface(cover: Cover) -> Any:
    import pyvista

    faces = np.column_stack([np.full(len(cover.mesh.faces), 3), cover.mesh.faces]).ravel()
    return pyvista.PolyData(cover.mesh.vertices, faces)
