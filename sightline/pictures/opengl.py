"""A still picture by pyvista, where the machine has an OpenGL library; asked in a child process first.

VTK ends the whole process where none can be loaded, so the question must not be put in this one.
"""

from __future__ import annotations

import subprocess
import sys
from functools import cache

import numpy as np
from matplotlib.colors import to_rgb

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover
from sightline.pictures import style
from sightline.pictures.camera import Camera

_PROBE = """
import pyvista
plotter = pyvista.Plotter(off_screen=True, window_size=(8, 8))
plotter.add_mesh(pyvista.Sphere())
plotter.show(auto_close=False)
assert plotter.screenshot(return_img=True).shape == (8, 8, 3)
"""


@cache
def available() -> bool:
    """Whether pyvista can draw here. Takes about two seconds the first time."""
    try:
        done = subprocess.run([sys.executable, "-c", _PROBE], capture_output=True, timeout=60, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0


def render(covers: list[Cover], camera: Camera) -> FloatArray:
    """The picture (down, across, 3) in 0..1. Only where `available()`."""
    from typing import Any

    import pyvista
    from vtkmodules.vtkCommonCore import vtkLogger

    # Without a screen VTK complains on stderr and then draws all the same.
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    plotter: Any = pyvista.Plotter(off_screen=True, window_size=list(camera.size), lighting="none")
    plotter.set_background(style.BACKDROP)
    for cover in covers:
        if not len(cover.mesh.faces):
            continue
        faces = np.column_stack([np.full(len(cover.mesh.faces), 3), cover.mesh.faces]).ravel()
        surface = pyvista.PolyData(cover.mesh.vertices, faces)
        plotter.add_mesh(
            surface, color=to_rgb(style.material(cover.name)), smooth_shading=True, split_sharp_edges=True,
            feature_angle=40.0, ambient=0.42, diffuse=0.62, specular=0.0,
        )  # fmt: skip
    for direction, strength in (((0.45, -0.75, 0.75), 0.9), ((-0.8, -0.5, 0.25), 0.35)):
        plotter.add_light(pyvista.Light(position=direction, intensity=strength, light_type="scene light"))
    plotter.camera.position = tuple(camera.eye)
    plotter.camera.focal_point = tuple(camera.target)
    plotter.camera.up = tuple(camera.axes[2])
    plotter.camera.view_angle = float(np.degrees(camera.height_rad))
    near = max(0.05, float(np.linalg.norm(camera.target - camera.eye)) - 30.0)
    plotter.camera.clipping_range = (near, 300.0)
    plotter.enable_anti_aliasing("ssaa")
    plotter.show(auto_close=False)
    picture = np.asarray(plotter.screenshot(return_img=True), dtype=float)[..., :3] / 255.0
    plotter.close()
    return picture
