"""The room to walk about in, apart from its window; and the clear word where no window can be."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_rgb

from sightline.pictures import opengl, style
from sightline.pictures.lookroom import BELOW_EYE_M, LookRoom, line_of_sight, still
from sightline.pictures.palette import plain_palette
from tests.conftest import REPOSITORY
from tests.pictures.shown import ROWS, rows


def room() -> LookRoom:
    return LookRoom(rows(), plain_palette(rows().moment), size=(400, 300))


def test_a_look_at_a_seat_means_that_seat() -> None:
    here = room()
    start = here.camera().eye
    for i in (0, 7, 20):
        way = here.eyes_m[i] - [0, 0, BELOW_EYE_M] - start
        assert here.nearest(start, way) == i
    assert here.nearest(start, np.array([0.0, 0.0, 1.0])) is None


def test_a_seats_colour_tells_its_verdict() -> None:
    here = room()
    colours, verdict = here.colours(), rows().worst_verdict()
    assert np.allclose(colours[verdict == 0], to_rgb(style.HIDDEN))
    assert (np.abs(colours[verdict == 2] - to_rgb(style.HIDDEN)).max(axis=1) > 0.1).all()


def test_sitting_down_is_the_view_from_that_seat_and_says_so() -> None:
    here = room()
    assert "click a seat" in here.words()
    here.seat = 3
    assert np.array_equal(here.camera().eye, here.view(3).camera.eye)
    assert np.array_equal(here.camera().target, here.view(3).camera.target)
    assert rows().moment.eyes[3].id in here.words()
    assert "space to get up" in here.words()
    assert here.title() == rows().moment.eyes[3].id


def test_the_room_is_drawn_with_its_seats() -> None:
    """Off screen: seats that see something are there in their colours; from a seat they are gone."""
    if not opengl.available():
        pytest.skip("no OpenGL library can be loaded on this machine, so pyvista cannot draw")
    here = room()
    over = still(here)
    assert over.shape == (300, 400, 3)
    hot = style.scale()(0.75)[:3]
    near = np.abs(over - hot).max(axis=2) < 0.22
    assert near.sum() > 150
    here.seat = 3
    assert (np.abs(still(here) - over).max(axis=2) > 0.1).mean() > 0.05


def test_a_click_goes_where_the_camera_looks() -> None:
    """The middle of the window is the camera's own direction; the right of it is to the right."""
    if not opengl.available():
        pytest.skip("no OpenGL library can be loaded on this machine, so pyvista cannot draw")
    import pyvista
    from vtkmodules.vtkCommonCore import vtkLogger

    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    here = room()
    plotter = pyvista.Plotter(off_screen=True, window_size=[400, 300], lighting="none")
    here.fill(plotter)
    plotter.show(auto_close=False)
    ahead, right, _ = here.camera().axes
    start, way = line_of_sight(plotter, 200.0, 150.0)
    assert np.allclose(start, here.camera().eye, atol=1e-6)
    assert way @ ahead / np.linalg.norm(way) > 0.9999
    assert line_of_sight(plotter, 300.0, 150.0)[1] @ right > 0
    # And through the place where a seat is drawn, to that seat.
    from sightline.pictures.marking import pixels

    x, y = pixels(here.camera(), here.eyes_m[20:21] - [0, 0, BELOW_EYE_M])[0]
    assert here.nearest(*line_of_sight(plotter, float(x), 300.0 - float(y))) == 20
    plotter.close()


@pytest.mark.parametrize(
    ("unset", "extra", "words"),
    [
        ({"DISPLAY", "WAYLAND_DISPLAY"}, {}, "no display here"),
        (set(), {"DISPLAY": ":999", opengl.FORCED: "1"}, "no OpenGL here"),
    ],
)
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only X11 and Wayland tell by their variables")
def test_without_a_window_there_is_a_word_and_exit_1(
    tmp_path: Path, unset: set[str], extra: dict[str, str], words: str
) -> None:
    from textwrap import dedent

    scene = tmp_path / "rows.yaml"
    scene.write_text("version: 1\n" + dedent(ROWS), encoding="utf-8")
    env = {key: value for key, value in os.environ.items() if key not in unset} | extra
    done = subprocess.run(
        [sys.executable, "-m", "sightline", "look", str(scene)], env=env, capture_output=True, text=True, cwd=REPOSITORY
    )
    assert done.returncode == 1
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
