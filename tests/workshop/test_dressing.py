"""Dressing and getting out: the solver against every order by hand, cycles, and what a scene says."""

from __future__ import annotations

import itertools
import random
import re

import pytest

from sightline.errors import FileError
from sightline.scene.reading import read_scene, scene_from_text
from sightline.workshop import doffing, dressing, signals
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.ordering import (
    MOST_EXACT,
    Cost,
    CycleError,
    Task,
    cost_of,
    find_cycle,
    solve_order,
    step_in_place,
)
from tests.conftest import REPOSITORY, mended_as_drawn

DRAWN = mended_as_drawn()


def task(
    *needs: int, hands: int = 2, helper: bool = False, s: float = 10.0, ties: bool = False, takes: str | None = None
) -> Task:
    return Task(frozenset(needs), hands, helper, s, ties, takes)


def brute(tasks: list[Task]) -> Cost:
    """The least cost over all permutations that keep every need."""
    best: Cost | None = None
    for order in itertools.permutations(range(len(tasks))):
        before, cost = 0, (0, 0, 0)
        for i in order:
            if any(not before >> need & 1 for need in tasks[i].needs):
                break
            c = cost_of(step_in_place(tasks, i, before))
            cost = (cost[0] + c[0], cost[1] + c[1], cost[2] + c[2])
            before |= 1 << i
        else:
            best = cost if best is None else min(best, cost)
    assert best is not None
    return best


# Three small cases of our own, worked by hand beside the brute force.
CASES = {
    # Arm in first as written; best is the cape before it: no helper, nothing with one hand.
    "cape before the arm": ([task(hands=0, takes="left"), task(ties=True)], (0, 0, 20_000)),
    # The tie can only close once the arm is in, and one hand does it: twice its 10 s.
    "a tie behind the arm": ([task(hands=0, takes="left"), task(0, hands=1, ties=True)], (0, 1, 30_000)),
    # Two fastenings need the arm in; one needs both hands, so a helper does it.
    "a helper at the end": (
        [task(hands=0, takes="left"), task(0, ties=True), task(0, hands=1, ties=True), task(hands=0, takes="right")],
        (1, 1, 50_000),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_the_optimum_is_that_of_all_orders(name: str) -> None:
    tasks, by_hand = CASES[name]
    assert brute(tasks) == by_hand
    assert solve_order(tasks).cost == by_hand


def test_the_order_as_written_is_dearer() -> None:
    """The check can fail: taken as written, the cape needs a helper."""
    tasks, _ = CASES["cape before the arm"]
    assert cost_of(step_in_place(tasks, 1, 1))[0] == 1


@pytest.mark.parametrize("seed", range(25))
def test_random_cases_equal_brute_force(seed: int) -> None:
    dice = random.Random(seed)
    tasks = [
        task(
            *[k for k in range(i) if dice.random() < 0.25], hands=dice.randint(0, 2), helper=dice.random() < 0.1,
            s=dice.choice([5.0, 10.0, 12.5]), ties=dice.random() < 0.6, takes=dice.choice([None, None, "left", "right"]),
        )
        for i in range(6)
    ]  # fmt: skip
    found = solve_order(tasks)
    assert found.exact
    assert found.cost == brute(tasks)
    place = {done.index: k for k, done in enumerate(found.done)}
    assert all(place[need] < place[i] for i, one in enumerate(tasks) for need in one.needs)


def test_many_steps_are_ordered_one_by_one_and_said_so() -> None:
    tasks = [task(hands=0, takes="left"), *[task(ties=True) for _ in range(MOST_EXACT)]]
    found = solve_order(tasks)
    assert not found.exact
    assert found.cost[0] == 0


def test_a_cycle_is_found_and_each_needs_the_next() -> None:
    tasks = [task(), task(0, 3), task(1), task(2)]
    cycle = find_cycle(tasks)
    assert cycle is not None
    assert set(cycle) == {1, 2, 3}
    assert all(b in tasks[a].needs for a, b in itertools.pairwise([*cycle, cycle[0]]))
    with pytest.raises(CycleError):
        solve_order(tasks)


def bench(extra: str = "", replace: tuple[str, str] = ("", "")) -> Bench:
    return bench_of(scene_from_text(DRAWN.replace(*replace) + "\n" + extra))


def test_a_cyclic_dressing_is_refused_with_its_cycle_and_place() -> None:
    on = bench(
        "dressing:\n  - {step: shirt}\n  - {step: plate, needs: [shirt, crate]}\n  - {step: cape, needs: [plate]}\n"
        "  - {step: crate, needs: [cape], takes prop: yes}\n"
    )
    with pytest.raises(FileError) as caught:
        dressing.section(on)
    said = str(caught.value)
    for a, b in (("plate", "crate"), ("crate", "cape"), ("cape", "plate")):
        assert f"'{a}' needs '{b}'" in said
    assert "'shirt'" not in said
    assert re.search(r"scene\.yaml:\d+:\d+: dressing\[\d\]", said)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("dressing: [{step: shirt}, {step: shirt}]", "Two steps are named 'shirt'"),
        ("dressing: [{step: shirt}, {step: cape, needs: [shrit]}]", "did you mean 'shirt'"),
        ("dressing: [{step: shirt, needs: [shirt]}]", "'shirt' needs 'shirt'"),
    ],
)
def test_wrong_names_are_told(text: str, words: str) -> None:
    with pytest.raises(FileError, match=re.escape(words)):
        dressing.section(bench(text))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("dressing: [{step: shirt, hands: 3}]", "hands"),
        ("dressing: [{step: shirt, takes hand: middle}]", "takes hand"),
        ("dressing: [{step: shirt, seconds: 20}]", "no unit"),
        ("dressing: [{step: shirt, seconds: -3 s}]", "too small"),
        ("dressing: [{stepp: shirt}]", "step"),
        ("signals: {doors: [91 cm]}", "Doors are named"),
        ("signals: {evacuation: maybe}", "wear"),
    ],
)
def test_bad_values_are_refused_where_they_are_written(text: str, words: str) -> None:
    with pytest.raises(FileError, match=re.escape(words)):
        scene_from_text(DRAWN + "\n" + text)


def test_the_couriers_usual_steps() -> None:
    """Guessed from the parts: everything that closes closes before a hand is gone; nobody has to help."""
    found = dressing.dressing_of(bench())
    assert found is not None
    assert found.assumed
    names = [step.step for step, _ in found.placed()]
    arm = names.index("left arm into the crate")
    fastenings = [k for k, (step, _) in enumerate(found.placed()) if step.fastening]
    assert max(fastenings) < arm
    assert found.order.cost[:2] == (0, 0)
    assert found.closes_last is not None
    assert "guessed" in dressing.section(bench()).assumptions[0]


OWN = """
dressing:
  - {step: shirt, seconds: 30 s, undo: {seconds: 10 s, hands: 2}}
  - {step: arm in, needs: [crate], hands: 0, takes hand: left, undo: {seconds: 2 s, hands: 0}}
  - {step: wrist tie, needs: [arm in], hands: 2, fastening: tie, undo: {seconds: 6 s, hands: 2, cut: yes}}
  - {step: crate, needs: [shirt], hands: 2, takes prop: yes, undo: {seconds: 4 s}}
  - {step: cape, needs: [shirt], hands: 2, fastening: zip, start: open}
"""


def test_written_steps_are_solved_and_helped_where_two_hands_are_wanted() -> None:
    items = {item.key: item for item in dressing.section(bench(OWN)).items}
    assert items["helper"].state == "no"
    assert "wrist tie" in items["helper"].words
    order = items["order"].value
    assert isinstance(order, list)
    assert order.index("cape") < order.index("arm in")


def test_ways_out_by_hand() -> None:
    """Arm: tie 6 + arm 2 = 8 s; crate: 12 s; everything: + cape by its zip 4 + shirt 10 = 26 s. The tie needs a helper."""
    ways = {way.key: way for way in doffing.ways_out(bench(OWN))}
    assert [off.step.step for off in ways["free the arm"].offs] == ["wrist tie", "arm in"]
    assert ways["free the arm"].seconds == pytest.approx(8.0)
    assert ways["drop the prop"].seconds == pytest.approx(12.0)
    assert ways["out of everything"].seconds == pytest.approx(26.0)
    assert not ways["free the arm"].alone
    # With the tie cut in 3 s (common practice).
    assert ways["free the arm"].cut_seconds == pytest.approx(5.0)
    top = {item.key: item.state for item in doffing.section(bench(OWN)).top}
    assert top == {"free the arm alone": "no", "drop the prop alone": "no"}


def test_what_is_not_said_is_not_known_and_stands_on_top() -> None:
    text = "dressing: [{step: shirt}, {step: crate, needs: [shirt]}]"
    top = {item.key: item for item in doffing.section(bench(text)).top}
    assert {item.state for item in top.values()} == {"not known"}
    assert "takes hand: left" in top["free the arm"].words
    assert "takes prop: yes" in top["drop the prop"].words


def test_signals_are_each_their_own_and_can_be_written() -> None:
    forms = [row.form for row in signals.signals_of(bench())]
    assert len(set(forms)) == len(forms) == 5
    own = bench("signals: {water: the owl coughs, slow: the owl coughs, doors: {stage door: 60 cm, dock: 2.4 m}}")
    items = {item.key: item for item in signals.section(own).items}
    assert items["told apart"].state == "no"
    assert items["water"].value == "the owl coughs"
    assert "wide enough: dock" in items["door"].words
    assert "too narrow to wear it through: stage door" in items["door"].words


def test_without_doors_which_is_wide_enough_is_not_known() -> None:
    items = {item.key: item for item in signals.section(bench()).items}
    assert items["door"].state == "not known"
    assert items["nobody answers"].value == 10
    assert items["nobody answers"].words.startswith("Nobody answers in 10 s: stand still, out of role")
    assert "no source" in (items["nobody answers"].source or "")


def test_what_nobody_answering_means_is_the_scenes_own_where_it_says_so() -> None:
    own = {i.key: i for i in signals.section(bench("signals: {nobody answers: walk off and sit down}")).items}
    assert own["nobody answers"].words == "Nobody answers in 10 s: walk off and sit down."
    assert own["nobody answers"].source is None


def test_without_a_performer_nothing_is_known() -> None:
    plain = bench_of(
        scene_from_text(
            "version: 1\neyes: [{id: E1, at: [0 m, -5 m, 1 m]}]\n"
            "secrets: [{name: s, disc: {radius: 1 m}, at: [0 m, 0 m, 1 m]}]\n"
        )
    )
    for part in (dressing, doffing, signals):
        assert [item.state for item in part.section(plain).items] == ["not known"]


@pytest.mark.parametrize("path", sorted((REPOSITORY / "examples").glob("*.yaml")), ids=lambda path: path.name)
def test_examples_have_their_sections(path: object) -> None:
    on = bench_of(read_scene(path))  # type: ignore[arg-type]
    for part in (dressing, doffing, signals):
        assert part.section(on).items
