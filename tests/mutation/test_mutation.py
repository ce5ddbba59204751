"""The tool itself: that it finds every mutant once, tells the fates of planted ones right, and what its page says.

The run that the page is of takes far too long for every change: `python -m tests.mutation` (docs/mutation.md).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.mutation import known
from tests.mutation.mutants import Mutant, all_mutants, mutants_of, operator_names, sampled
from tests.mutation.page import Run, page, wilson
from tests.mutation.reach import Reach
from tests.mutation.runner import Fate, fates, staged, unsteady, workers

REPOSITORY = Path(__file__).parents[2]
PAGE = REPOSITORY / "docs" / "mutation.md"

SOURCE = '''"""Text with 1 + 2 in it."""
from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from x import y

LIMIT: int | None = 3


def f(a: int | float, b: list[int] = (), *rest: int) -> int | None:
    """Returns 5 > 4."""
    if a < LIMIT and not b:
        return a + 1
    return -a
'''


def test_every_place_is_found_once_and_nothing_that_does_not_run() -> None:
    found = mutants_of("m.py", SOURCE)
    assert len({m.key for m in found}) == len(found)
    # Lines on which something runs that can be changed.
    assert sorted({m.line for m in found}) == [9, 14, 15, 16]
    made = {m.becomes(SOURCE) for m in found}
    # The library sets off what it puts in by a blank.
    said = {re.sub(r" +", " ", line) for line in made}
    assert {"LIMIT: int | None = 4", "LIMIT: int | None = 2", "return a - 1", "return a // 1", "return a + 0"} <= said
    assert {
        "if a <= LIMIT and not b:",
        "if a < LIMIT or not b:",
        "if a < LIMIT and b:",
        "return +a",
        "return a",
    } <= said
    assert {m.scope for m in found} == {"", "f"}
    for mutant in found:
        compile(mutant.applied(SOURCE), "m.py", "exec")


def test_only_signs_of_one_kind_replace_each_other() -> None:
    names = operator_names()
    assert "ReplaceBinaryOperator_Add_Sub" in names
    assert "ReplaceBinaryOperator_BitAnd_BitOr" in names
    mixed = re.compile(r"Add_(Bit|L?R?Shift)|Bit\w+_(Add|Mul)|_(Eq|NotEq)_Is|_Invert$")
    assert not [n for n in names if mixed.search(n) and "Delete" not in n]
    # 7 arithmetic signs, 3 bitwise, 6 relations, each to each other; two signs of one number; and the plain ones.
    assert len(names) == 42 + 6 + 30 + 2 + 16


def test_the_sample_is_the_same_again_and_mostly_the_same_after_a_change() -> None:
    every = all_mutants(REPOSITORY)
    assert len({m.key for m in every}) == len(every)
    assert every == all_mutants(REPOSITORY)
    drawn = sampled(every, 400, 8)
    assert drawn == sampled(list(reversed(every)), 400, 8)
    assert len({m.key for m in drawn}) == 400
    other = sampled(every, 400, 9)
    assert len({m.key for m in drawn} & {m.key for m in other}) < 80
    fewer = [m for m in every if not m.file.endswith("lamps.py")]
    kept = {m.key for m in drawn if not m.file.endswith("lamps.py")}
    assert kept <= {m.key for m in sampled(fewer, 400, 8)}


NOTICING, UNITS = "sightline/sight/noticing.py", "sightline/units.py"
TESTS = {NOTICING: "tests/sight/test_noticing.py", UNITS: "tests/scene/test_units.py"}
# A line, what it becomes, and what is known to come of it.
PLANTED = [
    (NOTICING, "SPOT_ARCMIN = 2.0", "SPOT_ARCMIN = 3.0", "killed"),
    (NOTICING, "if run_arcmin <= 0:", "if run_arcmin > 0:", "killed"),
    (
        NOTICING, "size = CAMERA_PIXELS * pixel_arcmin if pixel_arcmin else 0.0",
        "size = CAMERA_PIXELS / pixel_arcmin if pixel_arcmin else 0.0", "killed",
    ),
    # A run of no length comes to a spot of no size, which is not noticed either: it makes no difference.
    (NOTICING, "if run_arcmin <= 0:", "if run_arcmin < 0:", "survived"),
    (UNITS, "@dataclass(frozen=True)", "@dataclass(frozen=False)", "survived"),
    (
        UNITS, 'value += int(parts["up"]) / int(parts["down"])', 'value += int(parts["up"]) * int(parts["down"])', "killed",
    ),
    # Runs for ever on the blank between number and unit.
    (UNITS, "end += 1", "end += 0", "timed out"),
]  # fmt: skip


def test_fates_of_planted_mutants() -> None:
    """A worker in a copy of the tree; every planted change is one that the library makes."""
    sources = {file: (REPOSITORY / file).read_text(encoding="utf-8") for file in TESTS}
    before = {file: (REPOSITORY / file).stat().st_mtime_ns for file in TESTS}
    mutants = [_planted(file, sources[file], was, becomes) for file, was, becomes, _ in PLANTED]
    names = {
        UNITS: [f"{TESTS[UNITS]}::test_read[{text}-length-{m:g}]" for text, m in (("48 cm", 0.48), ("1/2 in", 0.0127))],
        NOTICING: [
            f"{TESTS[NOTICING]}::{name}"
            for name in (
                "test_the_published_thresholds", "test_a_camera_goes_by_its_pixels[phone]",
                "test_what_has_no_size_is_not_noticed_even_by_a_camera_that_misses_nothing",
            )
        ],
    }  # fmt: skip
    seconds = {test: 0.01 for tests in names.values() for test in tests}
    lines = {test: {file: list(range(1, 400))} for file, tests in names.items() for test in tests}
    reach = Reach(REPOSITORY, seconds, lines)
    with workers(REPOSITORY, 1) as pool:
        assert unsteady(reach, [*seconds], pool) == []
        found = fates(mutants, reach, pool, 10.0, 3.0, lambda mutant, fate: None)
        (tree,) = [worker.tree for worker in pool.queue]
        # The copy is as it was, and the tree itself was not touched.
        assert {file: (tree / file).read_text(encoding="utf-8") for file in TESTS} == sources
    assert [fate.fate for fate in found] == [fate for *_, fate in PLANTED]
    assert before == {file: (REPOSITORY / file).stat().st_mtime_ns for file in TESTS}
    assert not tree.exists()


def _planted(file: str, source: str, was: str, becomes: str) -> Mutant:
    found = [m for m in mutants_of(file, source) if m.was == was]
    return next(m for m in found if re.sub(r" +", " ", m.becomes(source)) == becomes)


def test_a_mutant_of_a_constant_is_asked_of_those_who_use_it() -> None:
    """`CAMERA_PIXELS` stands at the top; the test that runs the line with it in `acuity` is asked, another is not."""
    source = (REPOSITORY / NOTICING).read_text(encoding="utf-8").splitlines()
    use = next(i for i, line in enumerate(source, 1) if "CAMERA_PIXELS *" in line)
    elsewhere = next(i for i, line in enumerate(source, 1) if "return kind in PEOPLE" in line)
    lines = {"a": {NOTICING: [use]}, "b": {NOTICING: [use, elsewhere]}, "c": {NOTICING: [elsewhere]}}
    reach = Reach(REPOSITORY, {"a": 1.0, "b": 2.0, "c": 0.5}, lines)
    mutants = mutants_of(NOTICING, "\n".join(source) + "\n")
    constant = next(m for m in mutants if m.was.startswith("CAMERA_PIXELS ="))
    assert reach.tests_for(constant) == ["a", "b"]
    inside = next(m for m in mutants if m.line == use)
    assert reach.tests_for(inside) == ["a", "b"]


def test_the_quickest_come_first() -> None:
    seconds = {"a": 0.2, "b": 0.3, "c": 0.4, "d": 2.0}
    assert staged(["a", "b", "c", "d"], seconds) == [["a", "b", "c"], ["d"]]
    assert staged(["a"], seconds) == [["a"]]


@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson_interval(hits: int, of: int, low: float, high: float) -> None:
    """Newcombe 1998, Statistics in Medicine 17:857, table I, score method without continuity correction (from memory)."""
    assert wilson(hits, of) == pytest.approx((low, high), abs=6e-5)


def test_the_page_counts_what_came_of_the_run() -> None:
    found = mutants_of("m.py", SOURCE)[:4]
    ended = [Fate(fate, "", 1.0, 5, 0) for fate in ("killed", "survived", "survived", "timed out")]
    same = {found[1].key: known.Entry(found[1].key, "", "no difference")}
    why = {found[2].key: known.Entry(found[2].key, "", "a reason")}
    text = page(
        Run(3, 40, 2, 1.0, 0.5, 1.0, 9, [(m, m.becomes(SOURCE), f) for m, f in zip(found, ended, strict=True)]),
        same,
        why,
    )
    assert "| killed | 1 |" in text
    assert "| timed out (counts as killed) | 1 |" in text
    assert "= 25.0 % |" in text
    assert "2 of 3 = 66.7 %" in text
    assert "2 of 4 = 50.0 %" in text
    assert text.count("| a reason |") == 1


def test_what_the_page_says() -> None:
    """Of at least 400 mutants at least 80 % are killed, at most 10 % are equivalents, and every survivor has a reason."""
    text = PAGE.read_text(encoding="utf-8")
    size, population = (int(x) for x in re.search(r"sample of (\d+) out of (\d+)", text).groups())  # type: ignore[union-attr]
    assert size >= 400
    killed, of = (int(x) for x in re.search(r"no equivalents \| (\d+) of (\d+)", text).groups())  # type: ignore[union-attr]
    assert killed / of >= 0.80
    assert size - of <= 0.10 * size
    assert f"| survived | {of - killed} |" in text
    assert "not looked at yet" not in text
    assert "Listed as equivalent and yet killed" not in text
    # The tree has not become another one since.
    assert abs(len(all_mutants(REPOSITORY)) - population) < 0.25 * population


def test_what_is_known_of_mutants_is_of_mutants_that_there_are() -> None:
    """Entries of lines that were changed since match nothing; when many are, the run is due again."""
    every = {m.key: m for m in all_mutants(REPOSITORY)}
    entries = [*known.read("equivalent").values(), *known.read("survives").values()]
    gone = [entry.key for entry in entries if entry.key not in every]
    assert len(gone) <= 0.2 * len(entries), gone
    for entry in entries:
        assert len(entry.why) > 20, entry.key
        if entry.key in every:
            source = (REPOSITORY / entry.key[0]).read_text(encoding="utf-8")
            assert every[entry.key].becomes(source) == entry.becomes
    assert not known.read("equivalent").keys() & known.read("survives").keys()
