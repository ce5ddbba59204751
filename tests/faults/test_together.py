"""Two programs at once, on the same output and on the same cache: each output is one of theirs, and nothing is lost."""

from __future__ import annotations

import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.faults.runner import Ended, Warm, environment, left_in
from tests.faults.writers import MAP, PACKET

ROUNDS = 4


def both(warm: Warm, other: Warm, folder: Path, words: tuple[str, ...], env: dict[str, str]) -> list[Ended]:
    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(lambda one: one.run(folder, *words, env=env), (warm, other)))


@pytest.mark.parametrize("words", [PACKET, MAP], ids=["packet", "map"])
def test_the_same_output(folder: Path, warm: Warm, other: Warm, words: tuple[str, ...]) -> None:
    """Without --force exactly one of them writes it; with --force both say they did, and it is whole."""
    made, env = folder / "made", environment(folder / "home")
    assert warm.run(folder, *words, env=env).code == 0
    whole = left_in(made)
    for _ in range(ROUNDS):
        shutil.rmtree(made)
        made.mkdir()
        ended = both(warm, other, folder, words, env)
        assert sorted(one.code for one in ended) == [0, 1], [one.stderr for one in ended]
        assert all("Traceback" not in one.stderr for one in ended)
        assert left_in(made) == whole
        ended = both(warm, other, folder, (*words, "--force"), env)
        assert [one.code for one in ended] == [0, 0], [one.stderr for one in ended]
        assert left_in(made) == whole


def test_the_same_cache(folder: Path, warm: Warm, other: Warm) -> None:
    words, home = ("check", "plain.yaml", "--json"), folder / "home"
    whole = warm.run(folder, *words, env=environment(folder / "elsewhere")).stdout
    for _ in range(ROUNDS):
        ended = both(warm, other, folder, words, environment(home))
        assert [(one.code, one.stdout) for one in ended] == [(0, whole)] * 2
        kept = list((home / "cache/sightline/fields").iterdir())
        assert kept
        assert not [path for path in kept if path.name.startswith(".")]
        shutil.rmtree(home)


def test_the_same_results_of_a_tour(folder: Path, warm: Warm, other: Warm) -> None:
    words = ("tour", "tour.yaml", "--workers", "1", "--state", "state", "--json")
    whole = warm.run(folder, *words[:-3], "--json").stdout
    for _ in range(ROUNDS):
        ended = both(warm, other, folder, words, environment(folder / "home"))
        assert [(one.code, one.stdout) for one in ended] == [(0, whole)] * 2
        assert not list((folder / "state").rglob(".*"))
        shutil.rmtree(folder / "state")
