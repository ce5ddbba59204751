"""`python -m tests.mutation [--sample 400] [--seed 8] [--jobs 2]`: mutants of sight/ and units.py against the tests."""

from __future__ import annotations

import argparse
import os
import resource
import sys
import tempfile
import time
from pathlib import Path

from tests.mutation import known
from tests.mutation.log import Log
from tests.mutation.mutants import all_mutants, sampled
from tests.mutation.page import Run, page, wilson
from tests.mutation.reach import reach
from tests.mutation.runner import chosen, copied, fates, unsteady, warm_up, workers

REPOSITORY = Path(__file__).parents[2]


def main() -> None:
    ask = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    ask.add_argument("--sample", type=int, default=400, help="how many mutants are drawn")
    ask.add_argument("--seed", type=int, default=8, help="which are drawn")
    ask.add_argument("--jobs", type=int, default=2, help="how many are tried at a time")
    ask.add_argument("--budget", type=float, default=10.0, help="seconds of a core of tests for one mutant at most")
    ask.add_argument("--slow", type=float, default=3.0, help="a test that takes more seconds of a core is not asked")
    ask.add_argument("--only", default="", help="only mutants of files of which the name holds this")
    ask.add_argument(
        "--kept",
        type=Path,
        help="a folder that keeps which test runs what and all fates, so that a stopped run goes on",
    )
    ask.add_argument("--page", type=Path, help="where the page goes, for example docs/mutation.md")
    ask.add_argument("--note", default="", help="a sentence for the page, for example what an earlier run came to")
    said = ask.parse_args()
    start = time.perf_counter()
    with tempfile.TemporaryDirectory(prefix="mutation-") as folder:
        tree = copied(REPOSITORY, Path(folder) / "tree")
        kept = said.kept or Path(folder)
        kept.mkdir(parents=True, exist_ok=True)
        run, equivalents = tried(tree, kept, said, start)
    reasons = known.read("survives")
    left = [(m, b) for m, b, f in run.tried if f.fate == "survived" and m.key not in equivalents]
    dead = sum(f.fate != "survived" for _, _, f in run.tried)
    low, high = wilson(dead, dead + len(left))
    for mutant, becomes in left:
        print(known.entry_text(mutant, becomes, reasons[mutant.key].why if mutant.key in reasons else ""), end="")
    print(f"# {dead} killed of {dead + len(left)}: {dead / max(1, dead + len(left)):.1%} ({low:.1%} to {high:.1%})")
    print(f"# {run.minutes:.1f} min, {run.core_minutes:.1f} min of a core")
    if said.page:
        said.page.write_text(page(run, equivalents, reasons), encoding="utf-8")


def tried(tree: Path, kept: Path, said: argparse.Namespace, start: float) -> tuple[Run, dict[known.Key, known.Entry]]:
    """Draw the sample of the tree as it stands in the copy `tree` and try it."""
    equivalents = known.read("equivalent")
    found = reach(tree, kept / "reach.json", said.jobs)
    every = all_mutants(tree)
    drawn = sampled([m for m in every if said.only in m.file], said.sample, said.seed)
    log = Log(kept / "fates.jsonl", found.sources, found.tests)
    todo = [mutant for mutant in drawn if mutant.key not in log.known]
    with workers(tree, said.jobs) as pool:
        asked = sorted({t for m in drawn for t in chosen(found.tests_for(m), found.seconds, said.budget, said.slow)})
        warm_up(found, asked, pool)
        for test in log.unsteady(lambda: unsteady(found, asked, pool)):
            print(f"left out, as it fails where nothing is changed: {test}", file=sys.stderr)
            if test not in found.lines:
                raise SystemExit("The tests could not be run in a worker.")
            found.drop(test)
        fates(todo, found, pool, said.budget, said.slow, log.add)
    spent = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    core_s = log.earlier_core_s + sum(u.ru_utime + u.ru_stime for u in spent)
    minutes = log.earlier_minutes + (time.perf_counter() - start) / 60.0
    rows = [(m, m.becomes((tree / m.file).read_text(encoding="utf-8")), log.known[m.key]) for m in drawn]
    used = sum(bool(lines) for lines in found.lines.values())
    return Run(
        said.seed, len(every), said.jobs, minutes, core_s / 60.0, os.getloadavg()[2], used, rows, said.note
    ), equivalents


if __name__ == "__main__":
    main()
