"""Every reader fuzzed for a few seconds, and every find of longer runs read again.

`python -m tests.hostile.fuzz --seconds 600` is the long run.
"""

from __future__ import annotations

import importlib.util
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from sightline.errors import Misfit
from tests.hostile.conftest import bounded
from tests.hostile.fuzz import CORPUS, child, runs_of
from tests.hostile.seeds import seeds
from tests.hostile.targets import TARGETS, survives
from tests.hostile.watched import Strayed, Watch

SECONDS = int(os.environ.get("SIGHTLINE_FUZZ_SECONDS", "6"))
FINDS = sorted(path for path in CORPUS.rglob("*") if path.is_file())


@pytest.fixture(scope="module")
def watch(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Watch]:
    made = Watch(tmp_path_factory.getbasetemp())
    yield made
    # An audit hook stays as long as the process; it does nothing while it is not armed.
    assert made.armed == 0


@pytest.mark.parametrize("path", FINDS, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_finds_stay_mended(path: Path, sandbox: Path, watch: Watch, monkeypatch: pytest.MonkeyPatch) -> None:
    # As the fuzzer does; the whole cap has a test of its own.
    monkeypatch.setattr("sightline.house.dxf_seats.MOST_OPENED", 2_000)
    with bounded():
        # Once before the watch is set: what is loaded on first use is the program's own.
        said = survives(path.parent.name, path.read_bytes(), sandbox)
        assert survives(path.parent.name, path.read_bytes(), sandbox, watch) == said


def test_every_find_belongs_to_a_reader() -> None:
    assert {path.parent.name for path in FINDS} <= set(TARGETS)
    assert len(FINDS) <= 60
    assert sum(path.stat().st_size for path in FINDS) < 200_000


@pytest.mark.parametrize("target", TARGETS)
def test_the_fuzzer_begins_from_good_files(target: str, sandbox: Path) -> None:
    """Else it would learn nothing past the first check."""
    said = [survives(target, data, sandbox) for data in seeds(target)]
    assert not any(said), said


@pytest.mark.parametrize("what", ["a file written", "a folder made", "a program started", "a file elsewhere read"])
def test_the_watch_sees_what_no_reader_may_do(what: str, tmp_path: Path) -> None:
    import subprocess

    watch = Watch(tmp_path / "given")
    doing: Callable[[], object] = {
        "a file written": lambda: (tmp_path / "new").write_bytes(b""),
        "a folder made": lambda: (tmp_path / "new").mkdir(),
        "a program started": lambda: subprocess.run(["true"], check=True),
        "a file elsewhere read": lambda: Path("/etc/hostname").read_bytes(),
    }[what]
    with pytest.raises(Strayed), watch:
        doing()
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize("target", TARGETS)
def test_nothing_but_our_own_errors_comes_out(target: str, tmp_path: Path) -> None:
    """Also no hang, no memory above the cap, nothing written, nothing else read: see targets.py for the limits."""
    if importlib.util.find_spec("atheris") is None:
        sentence = "atheris, which fuzzes, is not installed (it is for Linux on x86_64 only)"
        if os.environ.get("SIGHTLINE_ORACLES") == "required":
            pytest.fail(sentence)
        pytest.skip(sentence)
    ended = child(target, SECONDS, tmp_path, seed=1)
    found = {path.name: path.read_bytes()[:200] for path in tmp_path.iterdir()}
    assert ended.returncode == 0, f"{found}\n{ended.stdout[-3000:]}\n{ended.stderr[-3000:]}"
    # On a machine so slow that nothing was tried, nothing was shown.
    assert runs_of(ended.stderr) >= 20, ended.stderr[-2000:]


def test_what_a_reader_of_plans_mends_is_not_printed(sandbox: Path, capfd: pytest.CaptureFixture[str]) -> None:
    """stdout holds the result alone, and a stranger's characters reach no terminal."""
    from sightline.house.dxf_seats import read_dxf
    from sightline.scene.seatsource import PlanBlock, SeatSource

    source = SeatSource(dxf="s.dxf", unit="m", blocks=[PlanBlock(layer="SEATS", block="CHAIR")])
    with pytest.raises(Misfit, match="a number that cannot be read"):
        read_dxf((CORPUS / "plan/a-broken-number.dxf").read_bytes(), source, -1.0)
    assert capfd.readouterr() == ("", "")
