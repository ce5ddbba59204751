"""A pytest plugin: how many processor seconds each test takes, put into the file that MUTATION_TIMES names."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Generator
from pathlib import Path

import pytest

_TOOK: dict[str, float] = {}


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    before = time.process_time()
    result = yield
    item.stash[_KEY] = time.process_time() - before
    _TOOK[item.nodeid] = item.stash[_KEY]
    return result


_KEY = pytest.StashKey[float]()


def pytest_sessionfinish(session: pytest.Session) -> None:
    name = os.environ.get("PYTEST_XDIST_WORKER", "main")
    if _TOOK:
        Path(os.environ["MUTATION_TIMES"]).with_suffix(f".{name}.json").write_text(json.dumps(_TOOK), encoding="utf-8")
