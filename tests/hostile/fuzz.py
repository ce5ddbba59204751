"""Coverage-guided fuzzing of every reader: `python -m tests.hostile.fuzz [TARGET ...] --seconds N`.

Without TARGET each in turn, in a process of its own. Ends with 1 and the input where a reader raised anything but an
error of ours, wrote or read elsewhere, took longer than MOST_SECONDS or more memory than MOST_MEMORY_MB. What is found
lies in the folder of `--out`; a find that was mended goes to `tests/hostile/corpus/TARGET/`, which a test replays.
"""

from __future__ import annotations

import argparse
import importlib
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

CORPUS = Path(__file__).parent / "corpus"
# So large an input says more about the fuzzer than about the reader; what is long is in the tests.
MOST_INPUT = 16_384
# Where the fuzzer looks which ways are taken: our own; in a run that is worth the start, also what reads for us.
OURS, LIBRARIES = ["sightline", "json", "csv"], ["trimesh.exchange", "trimesh.util", "ezdxf.recover", "ezdxf.lldxf"]
LONG_RUN_S = 30


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def fuzz(target: str, seconds: int, out: Path, seed: int) -> None:
    """Fuzz one target in this process, which ends with it."""
    # It has no types, and is not everywhere.
    atheris: Any = importlib.import_module("atheris")
    looked_into = OURS + (LIBRARIES if seconds >= LONG_RUN_S else [])
    with atheris.instrument_imports(include=looked_into):
        from sightline.house import dxf_seats
        from tests.hostile import seeds, targets
        from tests.hostile.watched import Watch
    sandbox = Path(tempfile.mkdtemp(prefix=f"sightline-fuzz-{target}-"))
    for name in ("kept", "begin", "given"):
        (sandbox / name).mkdir()
    given = sandbox / "given"
    seeds.furnish(given)
    kept = [path.read_bytes() for path in sorted((CORPUS / target).glob("*"))]
    with atheris.instrument_imports(include=looked_into):
        for number, data in enumerate([*seeds.seeds(target), *kept]):
            (sandbox / "begin" / f"{number:03d}").write_bytes(data[:MOST_INPUT])
            # Also loads what is loaded on first use, before the watch is set and the memory is counted.
            targets.survives(target, data, given)
    said = "".join(f'"{_escaped(word)}"\n' for word in seeds.words(target))
    (sandbox / "words").write_text(said, encoding="ascii")
    watch = Watch(given)
    room = targets.MOST_MEMORY_MB * 2**20
    used = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (used + 2 * room, used + 2 * room))
    before = peak_mb()

    # A grid of blocks costs seconds up to the cap, which has a test of its own.
    dxf_seats.MOST_OPENED = 2_000

    def one(data: bytes) -> None:
        started = time.process_time()
        targets.survives(target, data, given, watch)
        assert time.process_time() - started < targets.MOST_SECONDS, "more time than an input may take"
        assert peak_mb() - before < targets.MOST_MEMORY_MB, "more memory than an input may take"

    atheris.Setup(
        [
            "fuzz", f"-max_total_time={seconds}", f"-timeout={6 * targets.MOST_SECONDS}", f"-max_len={MOST_INPUT}",
            f"-seed={seed}", f"-artifact_prefix={out}{os.sep}{target}-", f"-dict={sandbox / 'words'}", "-rss_limit_mb=0",
            "-print_final_stats=1", "-verbosity=0", "-len_control=0", str(sandbox / "kept"), str(sandbox / "begin"),
        ],
        one,
    )  # fmt: skip
    try:
        atheris.Fuzz()
    finally:
        shutil.rmtree(sandbox, ignore_errors=True)


def _escaped(word: str) -> str:
    return "".join(chr(b) if 32 <= b < 127 and b not in b'"\\' else f"\\x{b:02X}" for b in word.encode())


def child(target: str, seconds: int, out: Path, seed: int) -> subprocess.CompletedProcess[str]:
    """Fuzz one target in a process of its own, ended should it ever outstay its time."""
    words = [sys.executable, "-m", "tests.hostile.fuzz", "--here", target, "--seconds", str(seconds), "--out", str(out)]
    return subprocess.run(
        [*words, "--seed", str(seed)], cwd=Path(__file__).parents[2], capture_output=True, text=True, errors="replace",
        timeout=seconds + 400,
    )  # fmt: skip


def runs_of(said: str) -> int:
    """How many inputs were tried, from the fuzzer's own last words."""
    found = [line.rpartition(":")[2] for line in said.splitlines() if line.startswith("stat::number_of_executed_units")]
    return int(found[-1]) if found else 0


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.hostile.fuzz", description=str(__doc__).partition("\n")[0])
    parser.add_argument("target", nargs="*", help="readers to fuzz; all without one")
    parser.add_argument("--seconds", type=int, default=60, help="for each reader (default 60)")
    parser.add_argument("--seed", type=int, default=1, help="which random inputs (default 1)")
    parser.add_argument("--out", type=Path, default=Path(tempfile.gettempdir()), help="folder for what is found")
    parser.add_argument("--here", action="store_true", help="in this process, one reader")
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    if given.here:
        fuzz(given.target[0], given.seconds, given.out.resolve(), given.seed)
        return 0
    from tests.hostile.targets import TARGETS

    unknown = sorted(set(given.target) - set(TARGETS))
    if unknown:
        parser.error(f"there is no reader '{unknown[0]}'; there are {', '.join(TARGETS)}")
    bad = 0
    for target in given.target or TARGETS:
        ended = child(target, given.seconds, given.out.resolve(), given.seed)
        print(f"{target}: {'clean' if not ended.returncode else 'FAULT'}, {runs_of(ended.stderr)} inputs", flush=True)
        if ended.returncode:
            bad += 1
            print(ended.stdout[-3000:] + ended.stderr[-3000:], flush=True)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
