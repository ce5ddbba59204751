"""A check in the arena of about 18,000 seats: its memory, and how its time grows with the eyes, on a part of them.

In a process of its own, and processor time instead of the clock's, because other work shares the machine; the whole
house is measured by `python -m tests.benchmarks arena`.
"""

from __future__ import annotations

import subprocess
import sys

import pytest

SCRIPT = """
import re
from tests.benchmarks.arena import arena_moment, check_seconds, thinned

moment = arena_moment()
check_seconds(thinned(moment, 200))
few, many = (check_seconds(thinned(moment, count)) for count in (700, 2_800))
peak = int(re.search(r"VmHWM:\\s+(\\d+)", open("/proc/self/status").read())[1]) / 1e6
print(len(moment.eyes), few[0], many[0], few[2], many[2], peak)
"""
# Below 1.5 GB: issue 7, for all of the eyes.
MOST_GB = 1.5
# What the clock of a busy machine may add. Measured: 3.3 to 3.7 for four times the eyes.
NOISE = 1.15


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the peak is read from /proc, which only Linux has")
def test_time_grows_no_faster_than_the_eyes_and_memory_stays() -> None:
    done = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True)
    eyes, few_s, many_s, patches, same, peak_gb = map(float, done.stdout.split())
    assert eyes > 17_500
    assert patches == same > 3_000
    assert many_s / few_s < 4.0 * NOISE
    assert peak_gb < MOST_GB
