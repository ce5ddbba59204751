"""`check --watch` checks again on a save and says what changed; Ctrl-C ends it with 130."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.test_commands import SMALL


@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C is sent as a signal")
def test_watch_says_what_changed(tmp_path: Path) -> None:
    scene, told, said = tmp_path / "small.yaml", tmp_path / "err", tmp_path / "out"
    scene.write_text(SMALL, encoding="utf-8")
    words = [sys.executable, "-m", "sightline", "check", str(scene), "--watch"]
    with told.open("w") as err, said.open("w") as out:
        # Under a shell's background job Ctrl-C is ignored from the start; the test is of a terminal's.
        run = subprocess.Popen(
            words, stdout=out, stderr=err, preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL)
        )
    try:
        _wait(told, "Watching")
        scene.write_text(SMALL.replace("width: 60 cm", "widht: 300 cm"), encoding="utf-8")
        _wait(told, "did you mean 'width'")
        scene.write_text(SMALL.replace("width: 60 cm", "width: 300 cm"), encoding="utf-8")
        _wait(told, "1 -> 0")
        run.send_signal(signal.SIGINT)
        assert run.wait(60) == 130
    finally:
        run.kill()
        run.wait()
    assert said.read_text().count("a plate before a board") == 2


@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C is sent as a signal")
def test_watch_goes_by_the_seats_of_the_venue_too(tmp_path: Path) -> None:
    """A hall whose seats were moved must not go on being called hidden."""
    scene, seats, told = tmp_path / "small.yaml", tmp_path / "seats.csv", tmp_path / "err"
    scene.write_text(SMALL.partition("eyes:")[0] + "venue: {use: hall.yaml}\n", encoding="utf-8")
    (tmp_path / "hall.yaml").write_text("version: 1\nname: hall\neyes: [{csv: seats.csv}]\n", encoding="utf-8")
    seats.write_text("id,x_m,y_m,z_m,kind,weight\nA1,0,-6,0,,\n", encoding="utf-8")
    with told.open("w") as err:
        run = subprocess.Popen(
            [sys.executable, "-m", "sightline", "check", str(scene), "--watch"], stdout=subprocess.DEVNULL, stderr=err
        )
    try:
        _wait(told, "and the 2 files it names; save to check again")
        seats.write_text("id,x_m,y_m,z_m,kind,weight\nA1,1.2,-4,0,,\n", encoding="utf-8")
        _wait(told, "0 -> 1")
    finally:
        run.kill()
        run.wait()


def _wait(file: Path, text: str) -> None:
    """Until the text stands in the file, a minute at most."""
    for _ in range(600):
        if text in file.read_text():
            return
        time.sleep(0.1)
    raise AssertionError(f"'{text}' was not told: {file.read_text()}")
