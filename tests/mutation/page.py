"""The page docs/mutation.md: what a run found, in numbers, and every survivor with its reason."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

from tests.mutation.known import Entry, Key
from tests.mutation.mutants import Mutant
from tests.mutation.runner import Fate


@dataclass(frozen=True)
class Run:
    """One finished run: how it was asked, and each mutant with what its line became and its fate."""

    seed: int
    population: int
    jobs: int
    minutes: float
    core_minutes: float
    load: float
    tests: int
    tried: list[tuple[Mutant, str, Fate]]
    note: str = ""


def wilson(hits: int, of: int, z: float = 1.959963984540054) -> tuple[float, float]:
    """The 95 % interval of a share (Wilson 1927, J. Am. Stat. Assoc. 22:209)."""
    if not of:
        return 0.0, 1.0
    p, z2 = hits / of, z * z
    middle, half = p + z2 / (2 * of), z * math.sqrt(p * (1 - p) / of + z2 / (4 * of * of))
    return (middle - half) / (1 + z2 / of), (middle + half) / (1 + z2 / of)


def share_line(what: str, hits: int, of: int) -> str:
    low, high = wilson(hits, of)
    return f"| {what} | {hits} of {of} = {100 * hits / max(of, 1):.1f} % | {100 * low:.1f} to {100 * high:.1f} % |"


def page(run: Run, equivalents: dict[Key, Entry], reasons: dict[Key, Entry]) -> str:
    """The whole page. Times are of the run itself; all else follows from the tree, the sample and the seed."""
    fates = Counter(fate.fate for _, _, fate in run.tried)
    same = [(m, b) for m, b, f in run.tried if f.fate == "survived" and m.key in equivalents]
    left = [(m, b) for m, b, f in run.tried if f.fate == "survived" and m.key not in equivalents]
    wrong = [m for m, _, f in run.tried if f.fate != "survived" and m.key in equivalents]
    total, dead = len(run.tried), fates["killed"] + fates["timed out"]
    out = [
        "# Mutation testing of `sightline/sight/` and `sightline/units.py`",
        "",
        "A mutant is the program with one small fault put in: a `<` for a `<=`, a sign turned, a number one more, a loop "
        "left out. A test suite that is worth something fails on it. This page is made by",
        "",
        f"    python -m tests.mutation --sample {total} --seed {run.seed} --jobs {run.jobs} --page docs/mutation.md",
        "",
        "## What came of it",
        "",
        f"| | sample of {total} out of {run.population} mutants, seed {run.seed} |",
        "|---|---|",
        f"| killed | {fates['killed']} |",
        f"| timed out (counts as killed) | {fates['timed out']} |",
        f"| survived | {len(left)} |",
        f"| equivalent (listed in `tests/mutation/known.yaml`) | {len(same)} = {100 * len(same) / max(total, 1):.1f} % |",
        "",
        "| | share | 95 % interval (Wilson) |",
        "|---|---|---|",
        share_line("killed, of those that are no equivalents", dead, total - len(same)),
        share_line("killed, of all", dead, total),
        "",
        f"Time: {run.minutes:.0f} min by the clock with {run.jobs} workers at a load average of {run.load:.0f} on 2 shared "
        f"cores; {run.core_minutes:.0f} min of a core, which two free cores do in {run.core_minutes / 2:.0f} min or a little "
        f"more. {run.tests} tests reach these files.",
        "",
        *([run.note, ""] if run.note else []),
        "By file (killed or timed out / equivalent / survived): " + by_file(run, equivalents) + ".",
        "",
        "## How it is done",
        "",
        "- **Operators**: those of the library cosmic-ray, without the ones that change variables. An arithmetic sign becomes "
        "each other arithmetic sign, a bitwise one each other bitwise one, a relation each other relation: the "
        "rest would end in a TypeError and flatter the rate. The library has no operator for strings, so that "
        "messages are not mutated.",
        "- **Left out**: type annotations and what stands under `if TYPE_CHECKING`, as nothing of them runs. "
        "Docstrings hold nothing that an operator touches, and a handler of an exception with a dot in its name is more than "
        "the library can change.",
        "- **Sample**: the mutants whose key (file, function, text of the line, operator, place) has the lowest hash with "
        "the seed. Any other seed draws others.",
        "- **Tests asked**: those of `tests/sight`, `tests/published`, `tests/scene` and two files of `tests/house` that run "
        "the changed line in one run under coverage, the quickest first, until one fails. Of a constant: those that "
        "run a line that uses it. A test that takes over 3 s of a core is not asked, nor are more than 10 s' worth for "
        "one mutant: a survivor may yet fall to those, or to the tests of commands and pictures, so that the rate is a low "
        "bound.",
        "- **Time out**: a test that takes 6 times its own processor time and 4 s more is stopped by the kernel. Memory "
        "is capped at 4 GiB above what the libraries take.",
        "- **Where**: in copies of the tree in a temporary folder; the tree itself is never changed.",
        "- **Equivalents**: read one by one; they are run like all others, and one that is killed is told as an error.",
        "",
        "## Survivors",
        "",
        "| where | change | why it survives |",
        "|---|---|---|",
        *[_row(mutant, becomes, reasons.get(mutant.key)) for mutant, becomes in left],
        "",
    ]
    if wrong:
        out += ["## Listed as equivalent and yet killed", "", *[f"- {m.file}:{m.line} {m.operator}" for m in wrong], ""]
    return "\n".join(out)


def by_file(run: Run, equivalents: dict[Key, Entry]) -> str:
    counts: dict[str, list[int]] = {}
    for mutant, _, fate in run.tried:
        entry = counts.setdefault(mutant.file.rpartition("/")[2], [0, 0, 0])
        entry[0 if fate.fate != "survived" else 1 if mutant.key in equivalents else 2] += 1
    return ", ".join(f"{file} {a}/{b}/{c}" for file, (a, b, c) in sorted(counts.items()))


def _row(mutant: Mutant, becomes: str, entry: Entry | None) -> str:
    def code(text: str) -> str:
        return "`` " + text.replace("|", "\\|") + " ``"

    why = entry.why if entry else "not looked at yet"
    return f"| {mutant.file}:{mutant.line} | {code(mutant.was)} becomes {code(becomes)} | {why} |"
