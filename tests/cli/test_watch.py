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
    scene = tmp_path / "small.yaml"
    scene.write_text(SMALL, encoding="utf-8")
    words = [sys.executable, "-m", "sightline", "check", str(scene), "--watch"]
    with (
        (tmp_path / "out").open("w") as out,
        subprocess.Popen(words, stdout=out, stderr=subprocess.PIPE, text=True) as run,
    ):
        assert run.stderr is not None
        assert "Watching" in run.stderr.readline()
        time.sleep(0.7)
        scene.write_text(SMALL.replace("width: 60 cm", "widht: 300 cm"), encoding="utf-8")
        assert "did you mean 'width'" in run.stderr.readline()
        run.stderr.readline()
        scene.write_text(SMALL.replace("width: 60 cm", "width: 300 cm"), encoding="utf-8")
        assert "1 -> 0" in run.stderr.readline()
        run.send_signal(signal.SIGINT)
        assert run.wait(20) == 130
    assert (tmp_path / "out").read_text().count("a plate before a board") == 2
