"""200 kills: half at the very places where something is written, half at seeded moments. Old or new, never half."""

from __future__ import annotations

import random
import re
import signal
from pathlib import Path

import pytest

from tests.faults.runner import Warm
from tests.faults.writers import TOGETHER, WRITERS, Ground, Writer

AT_POINTS, AT_MOMENTS = 100, 100
SEED = 8
PART = re.compile(r"\.[^/]+\.[0-9]+(-[0-9]+)?\.(part|old)")
# After so many kills one run is let through to its end.
ROUND = 6


def shares(total: int) -> dict[str, int]:
    """How many of the kills each writer gets: as even as it goes."""
    each, more = divmod(total, len(WRITERS))
    return {writer.name: each + (k < more) for k, writer in enumerate(WRITERS)}


def whole_or_nothing(ground: Ground, said: str) -> None:
    """Old, or new, or nothing where there was nothing; and what is unfinished says so by its name, and is of one run."""
    assert ground.shown() in (ground.before, ground.after), f"{said}: {ground.shown()}"
    left = ground.unfinished()
    assert all(PART.fullmatch(name) for name in left), left
    assert len({re.findall(r"\.([0-9]+)(?:-[0-9]+)?\.(?:part|old)$", name)[0] for name in left}) <= 1, left


def let_through(ground: Ground, said: str) -> None:
    """The next run succeeds and leaves nothing but what it makes."""
    writer = ground.writer
    if not writer.old and ground.shown() == ground.after:
        ground.start_again()
    done = ground.run()
    assert done.code == 0, f"{said}: {done.stderr}"
    assert {**ground.shown(), **dict.fromkeys(ground.unfinished(), "unfinished")} == ground.after, said
    ground.start_again()


@pytest.mark.parametrize("writer", WRITERS, ids=lambda writer: writer.name)
def test_killed(writer: Writer, folder: Path, warm: Warm) -> None:
    ground = Ground(writer, folder, warm)
    where_it_writes(ground, shares(AT_POINTS)[writer.name])
    at_any_moment(ground, shares(AT_MOMENTS)[writer.name])


def where_it_writes(ground: Ground, wanted: int) -> None:
    """Every place once, as far as that goes, and those at which bytes go out or names are given as often as is left."""
    points = ground.points()
    assert {"open", "write"} <= set(points)
    assert {"os.rename", "os.link", "exchange"} & set(points), points
    naming = [n for n, event in enumerate(points, 1) if event in ("os.rename", "os.link", "exchange", "write")]
    drawn = random.Random(f"{SEED} {ground.writer.name}")
    places = sorted(drawn.sample(range(1, len(points) + 1), min(wanted, len(points))))
    places += [drawn.choice(naming) for _ in range(wanted - len(places))]
    for k, place in enumerate(places, 1):
        said = f"{ground.writer.name} killed at {place} ({points[place - 1]})"
        done = ground.run(under=str(ground.made), kill_at=place)
        assert done.code == -signal.SIGKILL, f"{said}: {done.code} {done.stderr}"
        whole_or_nothing(ground, said)
        go_on(ground, said, k % ROUND == 0 or k == len(places))


def at_any_moment(ground: Ground, wanted: int) -> None:
    drawn = random.Random(f"{SEED} {ground.writer.name} moments")
    kills, longest = 0, ground.seconds
    while kills < wanted:
        moment = drawn.uniform(0.02, 1.0) * longest
        done = ground.run(kill_after_s=moment)
        said = f"{ground.writer.name} killed after {moment:.3f} s"
        assert done.code in (0, -signal.SIGKILL), f"{said}: {done.stderr}"
        whole_or_nothing(ground, said)
        if done.code == 0:
            # It was done before: the machine is faster now than when it was timed.
            longest = min(longest, done.seconds)
            assert ground.shown() == ground.after
            ground.start_again()
            continue
        kills += 1
        go_on(ground, said, kills % (3 * ROUND) == 0 or kills == wanted)


def go_on(ground: Ground, said: str, through: bool) -> None:
    """On to the next kill, over what this one left; now and then a run is let through to its end first."""
    if through:
        let_through(ground, said)
    elif ground.shown() == ground.after:
        ground.start_again()


def test_files_that_belong_together_are_each_whole(folder: Path, warm: Warm) -> None:
    """Of several files each is old or new; all are old until every one is on the disk."""
    ground = Ground(TOGETHER, folder, warm)
    points = ground.points()
    first = points.index("os.rename") + 1
    assert points.count("write") == points.count("os.rename") == 3
    assert "write" not in points[first:]
    new_ones = ["act-spikes.csv", "act-cues.csv", "act-marks.pdf"]
    changed = {name for name in new_ones if ground.before[name] != ground.after[name]}
    assert len(changed) >= 2
    for place in (*range(1, first + 1, 2), first + 1, first + 2):
        done = ground.run(under=str(ground.made), kill_at=place)
        assert done.code == -signal.SIGKILL
        shown = ground.shown()
        assert set(shown) == set(ground.before)
        assert all(what in (ground.before[name], ground.after[name]) for name, what in shown.items()), place
        # Names are given in order: as many files are new as places were passed at which one was given.
        given = set(new_ones[: max(0, place - first)])
        assert {name for name in shown if shown[name] != ground.before[name]} == changed & given
        ground.start_again()
    let_through(ground, "marks")


def test_a_killed_tour_store_is_taken_up_again(folder: Path, warm: Warm) -> None:
    """Killed at each place at which results are kept: the table of the next run is that of an undisturbed one."""
    words = ("tour", "tour.yaml", "--workers", "1", "--state", "state", "--json")
    log = folder / "log"
    whole = warm.run(folder, *words, under=str(folder / "state"), log=str(log))
    assert whole.code == 0, whole.stderr
    count = len(log.read_text(encoding="utf-8").splitlines())
    for place in range(1, count + 1, 2):
        for path in sorted((folder / "state").rglob("*"), reverse=True):
            path.rmdir() if path.is_dir() else path.unlink()
        assert warm.run(folder, *words, under=str(folder / "state"), kill_at=place).code == -signal.SIGKILL
        again = warm.run(folder, *words)
        assert (again.code, again.stdout) == (0, whole.stdout), place
