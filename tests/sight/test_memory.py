"""20,000 eyes times 2,000 patches stay below 1 GB, measured on a process of their own."""

from __future__ import annotations

import subprocess
import sys

import pytest

SCRIPT = """
import re
import numpy as np
from sightline.geometry.shapes import cylinder, disc
from sightline.geometry.mesh import Cover
from sightline.house.eyes import Eye
from sightline.moment import Moment, Pose, Secret
from sightline.sight.check import check

tube = cylinder(0.05, 0.6)
eyes = tuple(
    Eye(f"E{i}", "seated", (float(20 * np.sin(t)), float(-20 * np.cos(t)), 1.0 + 0.001 * (i % 1000)))
    for i, t in enumerate(np.linspace(-1.2, 1.2, 20_000))
)
screen = Cover("screen", disc(0.2).placed(__import__("sightline.geometry.frame", fromlist=["Placement"]).Placement(
    np.eye(3), np.array([0.0, -1.0, 0.0]))))
finding = check(Moment("", Pose("still", (screen,), (Secret("tube", "limb", tube),)), (Pose("as placed"),), eyes))
print(finding.secrets["tube"].sighting.count, int(re.search(r"VmHWM:\\s+(\\d+)", open("/proc/self/status").read())[1]) / 1e6)
"""


# Not by getrusage: its peak starts at that of the process which forked, here the whole test run.
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the peak is read from /proc, which only Linux has")
def test_a_large_house_fits_in_a_gigabyte() -> None:
    done = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True)
    patches, peak_gb = done.stdout.split()
    assert int(patches) >= 2_000
    assert float(peak_gb) < 1.0
