"""How hypothesis runs here: the same examples every time, no time limit for one, nothing written to disk."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

SEEDS = st.integers(0, 2**32 - 1)


def examples(count: int) -> Callable[[Any], Any]:
    return settings(
        max_examples=count, derandomize=True, deadline=None, database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
    )  # fmt: skip
