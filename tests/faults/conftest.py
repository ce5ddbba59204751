"""The warm processes, one of each kind for all tests, and folders with the small scene in them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.runner import Warm
from tests.faults.scenes import put


@pytest.fixture(scope="session")
def warm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Warm]:
    with Warm(tmp_path_factory.mktemp("home"), PYTHONHASHSEED="1") as found:
        yield found


@pytest.fixture(scope="session")
def other(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Warm]:
    """One in which sets and dicts are in another order."""
    with Warm(tmp_path_factory.mktemp("other-home"), PYTHONHASHSEED="77") as found:
        yield found


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with the plain scene and its tour; outputs go into `made` in it."""
    put(tmp_path)
    (tmp_path / "made").mkdir()
    return tmp_path
