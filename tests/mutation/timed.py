"""A pytest plugin: how many processor seconds each test takes, put into the file that MUTATION_TIMES names.

A test that does not pass has less than none.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Generator
from pathlib import Path

import pytest

_TOOK: dict[str, float] = {}
_FAILED: set[str] = set()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    before = time.process_time()
    result = yield
    _TOOK[item.nodeid] = time.process_time() - before
    return result


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    if report.failed:
        _FAILED.add(report.nodeid)


def pytest_sessionfinish() -> None:
    took = {test: -1.0 if test in _FAILED else seconds for test, seconds in _TOOK.items()}
    Path(os.environ["MUTATION_TIMES"]).write_text(json.dumps(took), encoding="utf-8")
