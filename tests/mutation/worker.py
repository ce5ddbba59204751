"""Runs tests against one mutant after another, each in a process forked from one that has all libraries loaded.

Started by `runner.py` in a copy of the tree, never in the tree itself; jobs come and fates go as lines of JSON.
"""

from __future__ import annotations

import contextlib
import importlib
import json
import os
import resource
import select
import signal
import sys
import time
from pathlib import Path
from typing import Any

# As the program sets it for itself, before numpy is there.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest

LIBRARIES = (
    "numpy", "scipy.sparse.linalg", "scipy.spatial", "trimesh", "manifold3d", "embreex.rtcore_scene", "pydantic", "yaml",
    "shapely", "hypothesis", "jsonschema", "threadpoolctl", "typer", "rich", "_pytest.assertion.rewrite",
)  # fmt: skip
# Ours that import nothing of sight/ (tests/test_architecture.py holds them to it).
BELOW_SIGHT = ("sightline.scene.reading", "sightline.moment", "sightline.staging")
# Processor seconds that a test may take beyond so many times what it takes unchanged.
GRACE_S, TIMES = 4.0, 6.0
# Processor seconds for finding the tests.
COLLECTING_S = 60.0
# Memory a mutant may ask for beyond what the libraries have, in bytes.
MOST_BYTES = 4 << 30

# The libraries are loaded before pytest could rewrite their assertions, which is as well.
QUIET = ("-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--tb=no", "-W", "ignore::pytest.PytestAssertRewriteWarning")


class Watch:
    """Runs the chosen tests only, in the order given, and notes which failed.

    Ends the process by SIGPROF when a test takes far more processor time than it should.
    """

    def __init__(self, seconds: dict[str, float], grace_s: float):
        self.seconds, self.grace_s, self.failed = seconds, grace_s, list[str]()
        self.chosen = dict[str, int]()

    def choose(self, tests: list[str]) -> list[str]:
        """The files that hold the tests to come."""
        self.chosen = {test: i for i, test in enumerate(tests)}
        return list(dict.fromkeys(test.partition("::")[0] for test in tests))

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted((i for i in items if i.nodeid in self.chosen), key=lambda i: self.chosen[i.nodeid])

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        signal.setitimer(signal.ITIMER_PROF, self.grace_s + TIMES * self.seconds.get(nodeid, 1.0))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)


def child(job: dict[str, Any], out: int) -> None:
    """Run the stages of tests until one fails; says which on `out`. Never returns."""
    code = 3
    with contextlib.suppress(BaseException):
        nowhere = os.open(os.devnull, os.O_RDWR)
        for number in (0, 1, 2):
            os.dup2(nowhere, number)
        signal.signal(signal.SIGPROF, signal.SIG_DFL)
        used = int(Path("/proc/self/statm").read_text().split()[5]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_DATA, (used + MOST_BYTES, used + MOST_BYTES))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        sys.dont_write_bytecode = not job.get("first", False)
        if not job["file"].startswith("sightline/sight/"):
            for name in [n for n in sys.modules if n.partition(".")[0] == "sightline"]:
                del sys.modules[name]
        watch = Watch(job["seconds"], job.get("grace_s", GRACE_S))
        ended = 0
        for tests in job["stages"]:
            signal.setitimer(signal.ITIMER_PROF, COLLECTING_S)
            ended = pytest.main(
                [
                    *QUIET,
                    *job.get("options", []),
                    f"--maxfail={job['failures']}",
                    f"--basetemp={job['temp']}",
                    *watch.choose(tests),
                ],
                plugins=[watch],
            )
            # 5: a change can leave no test of those chosen, as where names of tests are made from what it changes.
            if ended not in (0, 5):
                os.write(out, json.dumps(watch.failed or [f"pytest ended with {int(ended)}"]).encode())
                break
        code = 1 if ended not in (0, 5) else 0
    os._exit(code)


def judged(job: dict[str, Any]) -> dict[str, Any]:
    """The fate of one mutant: survived, killed or timed out; by which test, and processor seconds."""
    path = Path(job["file"])
    before = path.read_bytes()
    path.write_text(job["text"], encoding="utf-8")
    start = time.perf_counter()
    cost = resource.getrusage(resource.RUSAGE_CHILDREN)
    reading, writing = os.pipe()
    try:
        pid = os.fork()
        if not pid:
            child(job, writing)
        os.close(writing)
        handle = os.pidfd_open(pid)
        ready, _, _ = select.select([handle], [], [], job["wall_s"])
        if not ready:
            os.kill(pid, signal.SIGKILL)
        _, status = os.waitpid(pid, 0)
        os.close(handle)
        by = json.loads(os.read(reading, 1_000_000) or b"[]")
        os.close(reading)
    finally:
        path.write_bytes(before)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - cost.ru_utime - cost.ru_stime
    ended = os.waitstatus_to_exitcode(status)
    fate = "survived" if ended == 0 else "killed"
    if not ready or ended == -signal.SIGPROF:
        fate = "timed out"
    elif ended == 3:
        raise RuntimeError(f"the tests could not be started on a mutant of {job['file']}")
    elif ended not in (0, 1):
        by = [f"the process ended with {ended}"]
    return {"fate": fate, "by": by, "core_s": round(spent, 2), "wall_s": round(time.perf_counter() - start, 2)}


def main() -> None:
    """Warm up, then a job a line from stdin and a fate a line to stdout."""
    if Path.cwd() not in [Path(p).resolve() for p in sys.path if p]:
        raise SystemExit("not started in the copy that it should mutate")
    for name in (*LIBRARIES, *BELOW_SIGHT):
        importlib.import_module(name)
    if any(name.startswith("sightline.sight") for name in sys.modules):
        raise SystemExit("what is to be mutated is loaded already")
    for line in sys.stdin:
        print(json.dumps(judged(json.loads(line))), flush=True)


if __name__ == "__main__":
    main()
