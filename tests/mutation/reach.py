"""Which tests run which lines of the files under trial, and how long each takes: one run with coverage's contexts."""

from __future__ import annotations

import ast
import hashlib
import json
import os
import subprocess
import sys
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from tests.mutation.mutants import Mutant, files_under_trial

# The tests that are asked. The commands and pictures run these files too, at a cost that a mutant is not worth.
ASKED = (
    "tests/sight", "tests/published", "tests/scene/test_units*.py", "tests/scene/test_seam_paths.py",
    "tests/scene/test_accepted.py", "tests/house/test_mirrors.py", "tests/house/test_crowds.py",
)  # fmt: skip
# Minutes of work each, or about figures and patterns.
NOT_ASKED = ("test_memory", "test_arena", "test_oracles", "test_advice", "test_patterns", "test_body", "test_loads")


@dataclass
class Reach:
    """Per test (its node id) its processor seconds and the lines it runs, by file under trial.

    `sources` and `tests` name what it was found with.
    """

    root: Path
    seconds: dict[str, float]
    lines: dict[str, dict[str, list[int]]]
    sources: str = ""
    tests: str = ""

    @cached_property
    def tests_of(self) -> dict[tuple[str, int], set[str]]:
        out: dict[tuple[str, int], set[str]] = {}
        for test, files in self.lines.items():
            for file, lines in files.items():
                for line in lines:
                    out.setdefault((file, line), set()).add(test)
        return out

    def drop(self, test: str) -> None:
        """Forget a test."""
        del self.lines[test], self.seconds[test]
        self.__dict__.pop("tests_of", None)

    @cached_property
    def trees(self) -> dict[str, ast.Module]:
        return {f: ast.parse((self.root / f).read_text(encoding="utf-8")) for f in files_under_trial(self.root)}

    def tests_for(self, mutant: Mutant) -> list[str]:
        """The tests that run what a mutant changes, the quickest first."""
        tests = {
            test
            for file, first, last in self._where(mutant)
            for line in range(first, last + 1)
            for test in self.tests_of.get((file, line), ())
        }
        return sorted(tests, key=lambda test: (self.seconds.get(test, 0.0), test))

    def _where(self, mutant: Mutant) -> list[tuple[str, int, int]]:
        """Files and lines that a mutant touches: its own statement, or where what it defines is used."""
        statement, around = _statement(self.trees[mutant.file], mutant.line)
        if any(isinstance(node, ast.FunctionDef) for node in around) and statement is not around[-1]:
            return [(mutant.file, statement.lineno, _last_of_head(statement))]
        if isinstance(statement, ast.FunctionDef):
            return [(mutant.file, statement.body[0].lineno, statement.end_lineno or 0)]
        names = {n.id for n in ast.walk(statement) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)}
        if around:
            # A default of a class, or its decorator: whoever uses the file may rest on it.
            return [(mutant.file, 1, 10_000)]
        used = [
            (file, node.lineno, node.lineno)
            for file, tree in self.trees.items()
            for node in ast.walk(tree)
            if (isinstance(node, ast.Name) and node.id in names)
            or (isinstance(node, ast.Attribute) and node.attr in names)
        ]
        return [*used, *[(file, n.body[0].lineno, n.end_lineno or 0) for file, n in self._with_default(names)]]

    def _with_default(self, names: set[str]) -> list[tuple[str, ast.FunctionDef]]:
        """Functions of which a default value is one of the names."""
        return [
            (file, node)
            for file, tree in self.trees.items()
            for node in ast.walk(tree)
            if isinstance(node, ast.FunctionDef)
            and any(isinstance(d, ast.Name) and d.id in names for d in (*node.args.defaults, *node.args.kw_defaults))
        ]


def _statement(tree: ast.Module, line: int) -> tuple[ast.stmt, list[ast.stmt]]:
    """The innermost statement whose own lines (decorators included) hold `line`, and the functions and classes round it."""

    def first(node: ast.stmt) -> int:
        return min([node.lineno, *(d.lineno for d in getattr(node, "decorator_list", []))])

    holding = [n for n in ast.walk(tree) if isinstance(n, ast.stmt) and first(n) <= line <= (n.end_lineno or 0)]
    inner = max(holding, key=lambda n: (first(n), -(n.end_lineno or 0)))
    return inner, [n for n in holding if isinstance(n, ast.FunctionDef | ast.ClassDef)]


def _last_of_head(statement: ast.stmt) -> int:
    """The last line of a statement, of a compound one that of its head."""
    body = getattr(statement, "body", None)
    if not body or not isinstance(body, list):
        return statement.end_lineno or statement.lineno
    return max(statement.lineno, body[0].lineno - 1)


def reach(root: Path, kept: Path, jobs: int, asked: tuple[str, ...] = ASKED) -> Reach:
    """Of a copy of the tree at `root`; what is known in the file `kept` is asked again only where files changed."""
    known = json.loads(kept.read_text(encoding="utf-8")) if kept.exists() else {}
    source = _digest(*[root / file for file in files_under_trial(root)])
    if known.get("source") != source:
        known = {"source": source, "files": {}}
    found = {p for a in asked for p in (root.glob(a) if a.endswith(".py") else (root / a).glob("test_*.py"))}
    files = sorted(path for path in found if path.stem not in NOT_ASKED)
    names = {str(path.relative_to(root)): _digest(path) for path in files}
    known["files"] = {name: entry for name, entry in known["files"].items() if entry["digest"] == names.get(name)}
    stale = [name for name in names if name not in known["files"]]
    if stale:
        for name, tests in _measured(root, stale, jobs).items():
            known["files"][name] = {"digest": names[name], "tests": tests}
        kept.write_text(json.dumps(known), encoding="utf-8")
    digest = hashlib.sha256(repr(sorted(names.items())).encode()).hexdigest()
    tests = {test: entry for file in known["files"].values() for test, entry in file["tests"].items()}
    return Reach(
        root, {t: e["seconds"] for t, e in tests.items()}, {t: e["lines"] for t, e in tests.items()}, source, digest
    )


def _measured(root: Path, files: list[str], jobs: int) -> dict[str, dict[str, dict[str, Any]]]:
    """Run test files under coverage: by file and test, its seconds and lines. Tests that fail are left out and told.

    Raises SystemExit where a good part of them fails."""
    import coverage

    command = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "--tb=line",
        "-p",
        "no:cacheprovider",
        "-p",
        "tests.mutation.timed",
    ]
    command += ["--cov=sightline.sight", "--cov=sightline.units", "--cov-context=test", "--cov-report="]
    started = []
    for job in range(jobs):
        data, times = root / f".coverage.reach{job}", root / f"times{job}.json"
        environment = {**os.environ, "PYTHONPATH": str(root), "COVERAGE_FILE": str(data), "MUTATION_TIMES": str(times)}
        mine = [*command, f"--basetemp={root}/temp{job}", *files[job::jobs]]
        process = subprocess.Popen(
            mine,
            cwd=root,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
        started.append((process, data, times))
    out: dict[str, dict[str, dict[str, Any]]] = {file: {} for file in files}
    failed = 0
    for process, data, times in started:
        said, _ = process.communicate()
        if not times.exists():
            if process.returncode == 5:
                continue
            raise SystemExit("The tests could not be run.\n" + said[-3000:])
        passed: dict[str, float] = json.loads(times.read_text(encoding="utf-8"))
        for test in [test for test, seconds in passed.items() if seconds < 0]:
            failed += 1
            print(f"left out, as it fails where nothing is changed: {test}", file=sys.stderr)
            del passed[test]
        lines: dict[str, dict[str, list[int]]] = {test: {} for test in passed}
        found = coverage.CoverageData(str(data))
        found.read()
        for file in files_under_trial(root):
            for line, contexts in found.contexts_by_lineno(str(root / file)).items():
                for test in {context.rpartition("|")[0] for context in contexts} & lines.keys():
                    lines[test].setdefault(file, []).append(line)
        for test, ran in lines.items():
            out[test.partition("::")[0]][test] = {"seconds": round(passed[test], 3), "lines": ran}
    if failed > 0.05 * sum(len(tests) for tests in out.values()) + 2:
        raise SystemExit(f"{failed} tests fail where nothing is changed: mend them first.")
    return out


def _digest(*paths: Path) -> str:
    return hashlib.sha256(b"\0".join(path.read_bytes() for path in paths)).hexdigest()
