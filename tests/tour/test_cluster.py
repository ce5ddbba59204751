"""The same tour on a Dask scheduler with two workers, all begun here on this machine's own loopback address.

What talks to Dask runs in a process of its own, so that what Dask leaves behind when workers are killed stays there.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from sightline.tour.plan import read_plan
from sightline.tour.run import Where, run
from sightline.tour.store import Store
from sightline.tour.summary import document
from tests.conftest import REPOSITORY
from tests.tour.scenes import TOUR, many, put

# A machine that many share is slow to begin a process.
BEGUN_S = 90.0
OTHER = """
import sys
import sightline
sightline.__version__ = "99.0"
from distributed.cli.dask_worker import main
sys.argv[0] = "worker"
main()
"""


@dataclass
class Cluster:
    folder: Path
    address: str = ""
    processes: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def begin(self, *words: str) -> subprocess.Popen[bytes]:
        log = (self.folder / f"{len(self.processes)}.log").open("wb")
        with log:
            process = subprocess.Popen([sys.executable, *words], cwd=REPOSITORY, stdout=log, stderr=log)
        self.processes.append(process)
        return process

    def worker(self, *how: str) -> subprocess.Popen[bytes]:
        """A worker that has joined."""
        process = self.begin(
            *(how or ("-m", "distributed.cli.dask_worker")), self.address, "--no-nanny", "--nworkers", "1", "--nthreads", "1",
            "--no-dashboard", "--host", "127.0.0.1", "--local-directory", str(self.folder),
        )  # fmt: skip
        log = self.folder / f"{len(self.processes) - 1}.log"
        _wait(lambda: b"Registered to" in log.read_bytes(), log)
        return process


def _wait(there: object, log: Path) -> None:
    until = time.monotonic() + BEGUN_S
    while not there():  # type: ignore[operator]
        assert time.monotonic() < until, log.read_text(encoding="utf-8", errors="replace")
        time.sleep(0.05)


@pytest.fixture
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    pytest.importorskip("distributed", reason="Dask is an optional extra: sightline[cluster]")
    made = Cluster(tmp_path_factory.mktemp("cluster"))
    told = made.folder / "scheduler.json"
    try:
        made.begin(
            "-m", "distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard",
            "--scheduler-file", str(told),
        )  # fmt: skip
        _wait(lambda: told.exists() and told.read_bytes().endswith(b"}"), made.folder / "0.log")
        made.address = json.loads(told.read_text(encoding="utf-8"))["address"]
        yield made
    finally:
        for process in made.processes:
            process.kill()
        for process in made.processes:
            process.wait(20)


def begin_tour(path: Path, address: str, state: Path) -> subprocess.Popen[str]:
    words = [
        sys.executable,
        "-m",
        "sightline",
        "tour",
        str(path),
        "--cluster",
        address,
        "--state",
        str(state),
        "--json",
    ]
    return subprocess.Popen(words, cwd=REPOSITORY, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def local(path: Path, state: Path) -> str:
    return json.dumps(document(run(read_plan(path), Store(state), Where(1)), path.name), ensure_ascii=False) + "\n"


def kept(state: Path) -> int:
    return sum(1 for path in state.glob("??/*") if not path.name.startswith("."))


def test_two_workers_give_the_same_table_also_when_one_is_killed(cluster: Cluster, tmp_path: Path) -> None:
    first, _ = cluster.worker(), cluster.worker()
    path = put(tmp_path, TOUR.replace("[hall.yaml,", "[broken.yaml, hall.yaml,") + "drift: {draws: 3, seed: 1}\n")
    out, said = begin_tour(path, cluster.address, tmp_path / "state").communicate(timeout=300)
    assert out == local(path, tmp_path / "local"), said

    (tmp_path / "season").mkdir()
    path = many(tmp_path / "season", 10, 40, draws=3)
    state = tmp_path / "season-state"
    process = begin_tour(path, cluster.address, state)
    until = time.monotonic() + BEGUN_S
    while kept(state) < 1 and process.poll() is None and time.monotonic() < until:
        time.sleep(0.02)
    assert process.poll() is None, "it ended before a worker could be killed"
    os.kill(first.pid, signal.SIGKILL)
    out, said = process.communicate(timeout=300)
    assert process.returncode == 0, said
    assert out == local(path, tmp_path / "season-local"), said
    assert not any(row["error"] for row in json.loads(out)["rows"])


def test_another_version_on_a_worker_is_told(cluster: Cluster, tmp_path: Path) -> None:
    cluster.worker("-c", OTHER)
    process = begin_tour(put(tmp_path), cluster.address, tmp_path / "state")
    out, said = process.communicate(timeout=300)
    assert (process.returncode, out) == (1, "")
    assert "has sightline 99.0, this machine has " in said
    assert "install the same version on both" in said
    assert "Traceback" not in said


def test_a_cluster_without_workers_is_told(cluster: Cluster, tmp_path: Path) -> None:
    process = begin_tour(put(tmp_path), cluster.address, tmp_path / "state")
    out, said = process.communicate(timeout=120)
    assert (process.returncode, out) == (1, "")
    assert "no workers have joined it" in said


ASK = """
import sys, time
from pathlib import Path
from sightline.errors import SightlineError
from sightline.tour.cluster import on_cluster
from sightline.tour.plan import read_plan
from sightline.tour.program import here
plan = read_plan(Path(sys.argv[1]))
start = time.monotonic()
try:
    on_cluster(plan.points(), plan.bundle, here(), sys.argv[2], lambda point, result: None)
except SightlineError as error:
    print(f"{time.monotonic() - start:.2f} {error}")
"""


@pytest.mark.parametrize("what", ["nobody", "silent", "hangs up", "no address", "no port"])
def test_a_scheduler_that_is_not_there_is_told_within_ten_seconds(tmp_path: Path, what: str) -> None:
    import threading

    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port = listener.getsockname()[1]
        if what in ("silent", "hangs up"):
            listener.listen()
        if what == "hangs up":
            threading.Thread(target=lambda: listener.accept()[0].close(), daemon=True).start()
        address = {"no address": "somewhere", "no port": "tcp://127.0.0.1:99999"}.get(what, f"tcp://127.0.0.1:{port}")
        ended = subprocess.run(
            [sys.executable, "-c", ASK, str(put(tmp_path)), address],
            capture_output=True, text=True, timeout=120, cwd=REPOSITORY, check=True,
        )  # fmt: skip
    seconds, _, said = ended.stdout.partition(" ")
    assert float(seconds) < 10.0
    assert ("is no address of a scheduler" if what.startswith("no ") else "No scheduler answers at") in said
    assert ended.stderr == ""
