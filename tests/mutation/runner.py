"""Tries mutants on copies of the tree: which of them the tests notice."""

from __future__ import annotations

import json
import os
import py_compile
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from queue import Queue
from typing import Any

from tests.mutation.mutants import Mutant, files_under_trial
from tests.mutation.reach import Reach

COPIED = ("sightline", "tests", "examples", "venues", "docs", "renders", "pyproject.toml", "README.md", "CHANGELOG.md")
# The first tests are so many seconds' worth of the quickest; most mutants fall to them.
FIRST_S = 0.6


@dataclass(frozen=True)
class Fate:
    """What became of a mutant: `killed`, `timed out` or `survived`, by which test, after how many processor seconds."""

    fate: str
    by: str
    core_s: float
    asked: int
    left_out: int


def copied(root: Path, to: Path) -> Path:
    """A copy of what the tests need. Byte code of what is mutated is checked by its source's text, not by its date."""
    to.mkdir(parents=True)
    for name in COPIED:
        if (root / name).is_dir():
            shutil.copytree(
                root / name, to / name, ignore=shutil.ignore_patterns("*.part", "sight.*.pyc", "units.*.pyc")
            )
        elif (root / name).exists():
            shutil.copy2(root / name, to / name)
    shutil.rmtree(to / "sightline" / "sight" / "__pycache__", ignore_errors=True)
    for file in files_under_trial(to):
        py_compile.compile(str(to / file), invalidation_mode=py_compile.PycInvalidationMode.CHECKED_HASH)
    return to


@contextmanager
def workers(root: Path, count: int) -> Iterator[Queue[Worker]]:
    """Worker processes, each with a copy of the tree of its own that is removed in the end."""
    with ExitStack() as stack:
        pool: Queue[Worker] = Queue()
        for _ in range(count):
            folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="mutation-")))
            worker = Worker(copied(root, folder / "tree"))
            stack.callback(worker.stop)
            pool.put(worker)
        yield pool


class Worker:
    """One process that judges mutants one after another."""

    def __init__(self, tree: Path):
        self.tree = tree
        environment = {**os.environ, "PYTHONPATH": str(tree), "OPENBLAS_NUM_THREADS": "1"}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.mutation.worker"], cwd=tree, env=environment, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, start_new_session=True,
        )  # fmt: skip

    def judge(self, job: dict[str, Any]) -> dict[str, Any]:
        assert self.process.stdin
        assert self.process.stdout
        self.process.stdin.write(json.dumps({**job, "temp": str(self.tree.parent / "temp")}) + "\n")
        self.process.stdin.flush()
        answer: dict[str, Any] = json.loads(self.process.stdout.readline())
        return answer

    def stop(self) -> None:
        assert self.process.stdin
        assert self.process.stdout
        self.process.stdin.close()
        self.process.wait(timeout=60)
        self.process.stdout.close()


def _unchanged(reach: Reach, tests: list[str], more: dict[str, Any]) -> dict[str, Any]:
    """A job that runs tests on the tree as it is."""
    text = (reach.root / "sightline/units.py").read_text(encoding="utf-8")
    known = {test: reach.seconds[test] for test in tests}
    whole = {"file": "sightline/units.py", "text": text, "stages": [tests], "seconds": known, "failures": 1000}
    return {**whole, "wall_s": 3600.0, **more}


def warm_up(reach: Reach, tests: list[str], pool: Queue[Worker]) -> None:
    """Let every worker collect the tests once, so that their byte code is there for all mutants."""
    idle = [pool.get() for _ in range(pool.qsize())]
    for worker in idle:
        worker.judge(_unchanged(reach, tests, {"first": True, "options": ["--collect-only"]}))
        pool.put(worker)


def unsteady(reach: Reach, tests: list[str], pool: Queue[Worker]) -> list[str]:
    """Those of the tests that fail in a worker where nothing is changed; they would kill every mutant."""
    worker = pool.get()
    try:
        said = worker.judge(_unchanged(reach, tests, {}))
    finally:
        pool.put(worker)
    if said["fate"] == "timed out":
        raise SystemExit("A test of the unchanged tree takes far longer in a worker than it did alone.")
    failed: list[str] = sorted(set(said["by"]))
    return failed


def chosen(tests: list[str], seconds: dict[str, float], budget_s: float, slow_s: float) -> list[str]:
    """Of tests in order of time those that are not slow, as many as the time for one mutant allows."""
    out, total = [], 0.0
    for test in tests:
        total += seconds[test]
        if seconds[test] > slow_s or total > budget_s:
            break
        out.append(test)
    return out


def staged(tests: list[str], seconds: dict[str, float]) -> list[list[str]]:
    """The quickest first, the rest after: collecting them all costs more than most mutants need."""
    total, at = 0.0, 0
    while at < len(tests) and total < FIRST_S:
        total, at = total + seconds[tests[at]], at + 1
    return [stage for stage in (tests[:at], tests[at:]) if stage]


def fates(
    mutants: list[Mutant],
    reach: Reach,
    pool: Queue[Worker],
    budget_s: float,
    slow_s: float,
    tell: Callable[[Mutant, Fate], None],
) -> list[Fate]:
    """What becomes of each mutant, in order. `tell` hears of each as it ends."""

    def work(mutant: Mutant) -> Fate:
        reaching = reach.tests_for(mutant)
        tests = chosen(reaching, reach.seconds, budget_s, slow_s)
        if not tests:
            fate = Fate("survived", "no quick test runs it", 0.0, 0, len(reaching))
            tell(mutant, fate)
            return fate
        text = mutant.applied((reach.root / mutant.file).read_text(encoding="utf-8"))
        known = {test: reach.seconds[test] for test in tests}
        worker = pool.get()
        try:
            said = worker.judge(
                {
                    "file": mutant.file,
                    "text": text,
                    "stages": staged(tests, known),
                    "seconds": known,
                    "failures": 1,
                    "wall_s": 300.0 + 20.0 * sum(known.values()),
                }
            )
        finally:
            pool.put(worker)
        fate = Fate(said["fate"], " ".join(said["by"]), said["core_s"], len(tests), len(reaching) - len(tests))
        tell(mutant, fate)
        return fate

    with ThreadPoolExecutor(pool.qsize()) as threads:
        return list(threads.map(work, mutants))
