"""What is known of a run so far, kept as it goes: a run that was stopped goes on where it was."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from dataclasses import astuple
from pathlib import Path
from typing import Any

from tests.mutation.known import Key
from tests.mutation.mutants import Mutant
from tests.mutation.runner import Fate


class Log:
    """Fates by mutant, in a file of one JSON line each; those found with other sources are not taken.

    A mutant that was killed is killed by more tests as well; one that survived is tried again once the tests changed.
    """

    def __init__(self, path: Path, sources: str, tests: str):
        self.path, self.sources, self.tests, self.start = path, sources, tests, time.perf_counter()
        self.known: dict[Key, Fate] = {}
        self.earlier_core_s = self.earlier_minutes = 0.0
        self._unsteady: list[str] | None = None
        for line in path.read_text(encoding="utf-8").splitlines() if path.exists() else []:
            entry = json.loads(line)
            same = entry["tests"] == tests
            if entry["sources"] != sources:
                continue
            if "unsteady" in entry:
                self._unsteady = entry["unsteady"] if same else None
                continue
            if not same and entry["fate"][0] == "survived":
                continue
            file, scope, was, operator, nth = entry["key"]
            self.known[file, scope, was, operator, nth] = Fate(*entry["fate"])
            self.earlier_core_s += entry["fate"][2]
            self.earlier_minutes = max(self.earlier_minutes, entry["minutes"])

    def unsteady(self, find: Callable[[], list[str]]) -> list[str]:
        """The tests that fail where nothing is changed, found once."""
        if self._unsteady is None:
            self._unsteady = find()
            self._write({"unsteady": self._unsteady})
        return self._unsteady

    def add(self, mutant: Mutant, fate: Fate) -> None:
        print(
            f"{fate.fate:9} {fate.core_s:6.1f} s {mutant.file}:{mutant.line} {mutant.operator} {fate.by}",
            file=sys.stderr,
        )
        self.known[mutant.key] = fate
        minutes = self.earlier_minutes + (time.perf_counter() - self.start) / 60.0
        self._write({"key": mutant.key, "fate": astuple(fate), "minutes": round(minutes, 2)})

    def _write(self, entry: dict[str, Any]) -> None:
        with self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps({"sources": self.sources, "tests": self.tests, **entry}) + "\n")
