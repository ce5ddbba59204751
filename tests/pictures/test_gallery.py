"""The gallery holds what its one command makes, and what the README shows is in it."""

from __future__ import annotations

from tests.renders import RENDERS, made_by, shown

# Pictures that are committed are small enough to be looked at over a slow line.
LARGEST_BYTES = 700_000


def test_every_picture_has_its_command_and_every_command_its_picture() -> None:
    there = {path.name for path in RENDERS.iterdir()}
    assert there == set(made_by())
    assert shown() <= there
    assert all((RENDERS / name).stat().st_size < LARGEST_BYTES for name in there)
