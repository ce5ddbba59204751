"""The window itself, on a screen that nobody sees (Xvfb), with a hand that nobody moves (xdotool)."""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from textwrap import dedent

import pytest

from sightline.pictures import opengl
from sightline.pictures.lookroom import BELOW_EYE_M, LookRoom
from sightline.pictures.marking import pixels
from sightline.pictures.palette import plain_palette
from tests.conftest import REPOSITORY
from tests.pictures.shown import ROWS, rows

pytestmark = [
    pytest.mark.skipif(
        not (shutil.which("Xvfb") and shutil.which("xdotool")), reason="Xvfb and xdotool are not installed"
    ),
    pytest.mark.skipif(not opengl.available(), reason="no OpenGL library can be loaded on this machine"),
]
PATIENCE_S = 120.0


@pytest.fixture
def screen() -> Iterator[str]:
    """A virtual screen of its own, by its name."""
    reading, writing = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1300x1000x24", "-nolisten", "tcp"],
        pass_fds=[writing], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    os.close(writing)
    try:
        with os.fdopen(reading) as said:
            yield f":{said.readline().strip()}"
    finally:
        server.terminate()
        server.wait()


class Hand:
    """Clicks and presses keys on one screen, and reads what the window there is called."""

    def __init__(self, screen: str) -> None:
        self.env = os.environ | {"DISPLAY": screen}

    def does(self, *words: str) -> str:
        return subprocess.run(["xdotool", *words], env=self.env, capture_output=True, text=True).stdout.strip()

    def waits_for(self, title: str, *then: str) -> None:
        """Until a window is called so; `then` is done again each second until it is."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            if self.does("search", "--onlyvisible", "--name", f"^{title}$"):
                return
            if then:
                self.does(*then)
            time.sleep(1.0)
        pytest.fail(f"no window was called '{title}' within {PATIENCE_S:g} s")


def test_sit_down_step_aside_get_up_and_leave(tmp_path: Path, screen: str) -> None:
    scene = tmp_path / "rows.yaml"
    scene.write_text("version: 1\n" + dedent(ROWS), encoding="utf-8")
    room = LookRoom(rows(), plain_palette(rows().moment))
    x, y = pixels(room.camera(), room.eyes_m[20:21] - [0, 0, BELOW_EYE_M])[0]
    seats = [eye.id for eye in rows().moment.eyes]
    hand = Hand(screen)
    command = [sys.executable, "-m", "sightline", "look", str(scene)]
    with subprocess.Popen(
        command, env=hand.env, cwd=REPOSITORY, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as window:
        try:
            hand.waits_for(rows().moment.title)
            hand.does("mousemove", f"{x:.0f}", f"{y:.0f}")
            hand.waits_for(seats[20], "click", "1")
            hand.does("key", "Right")
            hand.waits_for(seats[21])
            hand.does("key", "Left")
            hand.waits_for(seats[20])
            hand.does("key", "space")
            hand.waits_for(rows().moment.title)
            hand.does("key", "q")
            _, errors = window.communicate(timeout=PATIENCE_S)
        finally:
            with contextlib.suppress(ProcessLookupError):
                window.kill()
    assert window.returncode == 0, errors
    assert "Traceback" not in errors
