"""Getting out, and what the wearer must mind: never a silent yes."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from sightline.errors import FileError
from sightline.scene.reading import read_scene
from sightline.workshop import cautions, release
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.pullout import elbows_words, pull_out
from sightline.workshop.section import Item
from tests.workshop.test_load import EXAMPLES, HEAD, bench_from

DRAFT = next(path for path in EXAMPLES if path.stem == "courier-stage")
STRAP = "rig: [{strap: {over: right}}]\n"
CLEAR = HEAD.replace("ahead: 37 cm", "ahead: 45 cm")


def top(bench: Bench, key: str) -> Item:
    return next(item for item in release.section(bench).top if item.key == key)


def caution(bench: Bench, key: str) -> Item | None:
    return next((item for item in cautions.section(bench).items if item.key == key), None)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_examples_answer_every_question(path: Path) -> None:
    bench = bench_of(read_scene(path, None))
    found = release.section(bench)
    assert len(found.top) == 7
    assert {item.state for item in found.top} <= {"yes", "no", "not known"}
    assert [item.key for item in found.items] == ["free the arm", "drop the box", "out of everything"]
    # What only a trial can tell is not known before somebody has tried it and said so.
    tried = bench.scene.release.limb_parts is not None
    for key in ("no loop tightens", "limb parts under a grab", "costume ties part under a grab"):
        assert top(bench, key).state == ("yes" if tried else "not known")
    assert cautions.section(bench).cautions


@pytest.mark.parametrize(
    ("said", "key", "state"),
    [
        ("loop tightens: no", "no loop tightens", "yes"),
        ("loop tightens: yes", "no loop tightens", "no"),
        ("neck: breakaway", "nothing round the neck", "yes"),
        ("neck: fixed", "nothing round the neck", "no"),
        ("arm pulls straight: no", "arm pulls straight", "no"),
        ("hard edges padded: yes", "nothing hard at face, throat, breastbone, armpit", "yes"),
        ("drop clear: no", "prop drops clear of the feet", "no"),
    ],
)
def test_answers_of_the_workshop(tmp_path: Path, said: str, key: str, state: str) -> None:
    bench = bench_from(tmp_path, STRAP + f"release: {{{said}}}\n")
    assert top(bench, key).state == state


def test_grab(tmp_path: Path) -> None:
    limb = "false limbs: [{replaces: left arm, hand at: {wall: left, at: [-2 cm, -6 cm]}}]\n"
    key = "limb parts under a grab"
    assert top(bench_from(tmp_path, limb), key).state == "not known"
    assert top(bench_from(tmp_path, limb + "release: {limb parts: yes}\n"), key).state == "yes"
    assert top(bench_from(tmp_path, limb + "release: {limb parts: no}\n"), key).state == "no"
    assert top(bench_from(tmp_path), key).state == "yes"  # there is none


def test_pull_through_a_small_and_a_large_hole(tmp_path: Path) -> None:
    """A hole narrower than the hand is a no, whatever was said; one of nearly the whole wall lets it pass."""
    small = HEAD.replace("diameter: 14 cm, at: [12 cm, 0 cm]", "diameter: 7 cm, at: [12 cm, -3 cm]")
    assert top(bench_from(tmp_path, "", small), "arm pulls straight").state == "no"
    disagree = top(bench_from(tmp_path, "release: {arm pulls straight: yes}\n", small), "arm pulls straight")
    assert disagree.state == "not known"
    assert "disagree" in disagree.words
    wide = HEAD.replace("diameter: 14 cm, at: [12 cm, 0 cm]", "diameter: 26 cm, at: [8 cm, 0 cm]")
    pinned = bench_from(tmp_path, "pose: {hidden elbow: 0 deg}\n", wide)
    assert top(pinned, "arm pulls straight").state == "yes"
    # With the elbow anywhere it catches in some positions, and that is no yes.
    free = top(bench_from(tmp_path, "", wide), "arm pulls straight")
    assert free.state == "not known"
    assert "of the 9 elbow positions" in free.words


def test_pulled_beside_the_middle(tmp_path: Path) -> None:
    """A disc of the hand's width clears a hole only where its line is within half the difference of the two."""
    bench = bench_from(tmp_path)
    rest = [pull_out(bench, pose) for pose in bench.hidden if pose.move == "rest"]
    assert not any(found.clear and found.off_m > found.spare_m / 2 for found in rest)
    # At rest the hand itself points through the middle.
    assert all(found.bent_clear for found in rest)
    assert top(bench, "arm pulls straight").state == "not known"


def test_a_cuff_leaves_less(tmp_path: Path) -> None:
    """A cuff turned over the edge takes its cloth off both sides of the hole."""
    bare = pull_out(bench := bench_from(tmp_path), bench.hidden[0])
    lined = pull_out(bench := bench_from(tmp_path, "costume: [{cuff: {length: 7 cm}}]\n"), bench.hidden[0])
    assert bare.hole_m - lined.hole_m == pytest.approx(0.006)


def test_strap_at_the_throat(tmp_path: Path) -> None:
    neck = "rig: [{strap: {path: [[-6 cm, 0 cm, 1.50 m], [0 cm, 8 cm, 1.52 m], [6 cm, 0 cm, 1.50 m], [3 cm, -20 cm, 1.3 m]]}}]\n"
    key = "nothing round the neck"
    assert top(bench_from(tmp_path, neck), key).state == "not known"
    assert top(bench_from(tmp_path, neck + "release: {neck: nothing}\n"), key).state == "not known"
    assert top(bench_from(tmp_path, neck + "release: {neck: breakaway}\n"), key).state == "yes"
    # A strap well out on the shoulder is not at the neck.
    assert top(bench_from(tmp_path, STRAP), key).state == "yes"


def test_box_up_at_the_chin_is_a_no(tmp_path: Path) -> None:
    key = "nothing hard at face, throat, breastbone, armpit"
    near = (
        HEAD.split("puppet: {name")[0]
        .replace(", hide: [left arm]", "")
        .replace("ahead: 37 cm, up: 118 cm", "ahead: 31 cm, up: 122 cm")
    )
    assert top(bench_from(tmp_path, "", near), key).state == "no"
    assert top(bench_from(tmp_path, "release: {hard edges padded: yes}\n", near), key).state == "yes"
    assert top(bench_from(tmp_path, "", CLEAR), key).state == "yes"
    # A hook on the top edge counts as well as the edge.
    assert top(bench_from(tmp_path, "release: {hard edges padded: no}\n", CLEAR), key).state == "no"


def test_dropped_on_the_toes(tmp_path: Path) -> None:
    key = "prop drops clear of the feet"
    assert (
        top(
            bench_from(tmp_path, "release: {drop clear: yes}\n", HEAD.replace("ahead: 37 cm", "ahead: 30 cm")), key
        ).state
        == "no"
    )
    assert top(bench_from(tmp_path), key).state == "not known"  # a few centimetres
    assert top(bench_from(tmp_path, "", CLEAR), key).state == "yes"
    assert top(bench_from(tmp_path, STRAP, CLEAR), key).state == "not known"  # does the strap let go?
    assert top(bench_from(tmp_path, STRAP + "release: {drop clear: yes}\n", CLEAR), key).state == "yes"


@pytest.mark.parametrize("said", ["neck: loose", "loop tightens: maybe", "neck tie: yes", "drop clear: [1]"])
def test_answers_that_are_none(tmp_path: Path, said: str) -> None:
    with pytest.raises(FileError, match=r"scene\.yaml:"):
        bench_from(tmp_path, f"release: {{{said}}}\n")


@pytest.mark.parametrize("scene", ["version: 1\nperformer: {stature: 172 cm}\n", "version: 1\n"])
def test_less_than_a_whole_scene(tmp_path: Path, scene: str) -> None:
    plain = (
        ""
        if "performer" in scene
        else "secrets: [{name: t, disc: {radius: 1 cm}, at: [0 m, 0 m, 1 m], facing: [0, -1, 0]}]\n"
    )
    bench = bench_from(tmp_path, plain, scene)
    assert release.section(bench).items
    assert cautions.section(bench).items


# -- wearer cautions


def test_strap_over_the_collarbone(tmp_path: Path) -> None:
    bench = bench_from(tmp_path, STRAP)
    found = caution(bench, "strap right collarbone")
    assert found is not None
    assert found.state == "warn"
    assert caution(bench, "strap left collarbone") is None
    belt = "rig: [{strap: {path: [[-16 cm, 0 cm, 1.05 m], [0 cm, -14 cm, 1.05 m], [16 cm, 0 cm, 1.05 m]]}}]\n"
    assert not [i for i in cautions.section(bench_from(tmp_path, belt)).items if i.key.startswith("strap")]


def test_strap_through_the_armpit(tmp_path: Path) -> None:
    from sightline.workshop.bodyspots import armpit

    body = bench_from(tmp_path).body
    assert body is not None
    x, y, z = (float(v) for v in armpit(body, "right"))
    under = f"rig: [{{strap: {{path: [[{x:.3f} m, {y - 0.1:.3f} m, {z:.3f} m], [{x:.3f} m, {y + 0.1:.3f} m, {z:.3f} m]]}}}}]\n"
    assert caution(bench_from(tmp_path, under), "strap right armpit") is not None


def test_opening_edge_names_radius_and_padding(tmp_path: Path) -> None:
    found = caution(bench_from(tmp_path), "opening edge")
    assert found is not None
    assert "radius" in found.words
    assert "pad" in found.words


def test_allergies(tmp_path: Path) -> None:
    assert caution(bench_from(tmp_path), "allergies").state == "not known"  # type: ignore[union-attr]
    none = HEAD.replace("hide:", "allergies: [], hide:")
    assert caution(bench_from(tmp_path, "", none), "allergies").state == "told"  # type: ignore[union-attr]
    some = HEAD.replace("hide:", "allergies: [latex, nickel, lanolin], hide:")
    foam = bench_from(tmp_path, "materials: {puppet: latex foam}\nrig: [{hook: {}}]\n", some)
    latex, nickel, other = (caution(foam, f"allergy {name}") for name in ("latex", "nickel", "lanolin"))
    assert latex is not None
    assert latex.value == ["owl"]
    assert nickel is not None
    assert nickel.value == ["hook"]
    assert other is not None
    assert other.state == "not known"
    assert "no proof" in other.words


def test_no_medical_limit_and_ask_a_professional(tmp_path: Path) -> None:
    said = " ".join(cautions.section(bench_from(tmp_path)).cautions)
    for word in ("Pins and needles", "Water without hands", "batteries", "Between wearers", "Heat", "professional"):
        assert word in said


def test_times_come_from_the_dressing(tmp_path: Path) -> None:
    """Three ways out, each its own figure; what the dressing does not name stays not known."""
    steps = "dressing:\n  - {step: arm in, takes hand: left, undo: {seconds: 2 s}}\n  - {step: belt, undo: {seconds: 5 s}}\n"
    found = {item.key: item for item in release.section(bench_from(tmp_path, steps)).items}
    assert found["free the arm"].value == pytest.approx(2.0)
    assert found["drop the box"].state == "not known"
    assert found["out of everything"].value == pytest.approx(7.0)


def test_elbows_that_let_the_arm_out_are_named() -> None:
    assert elbows_words([0.0]) == "the elbow straight below"
    assert (
        elbows_words([math.radians(20), 0.0, math.radians(-30)]) == "the elbow 30 deg in, straight below or 20 deg out"
    )


def test_guessed_times_are_told_as_guesses_beside_the_ones_under_getting_out() -> None:
    """What 'getting out' guesses is not said to be unknown further down, nor is it taken for measured."""
    found = {item.key: item for item in release.section(bench_of(read_scene(DRAFT, None))).items}
    for key, seconds in (("free the arm", 5), ("drop the box", 13), ("out of everything", 31)):
        assert found[key].state == "not known"
        assert f"{seconds} s are only guessed" in found[key].words


def test_under_a_grab_in_whole_sentences(tmp_path: Path) -> None:
    bench = bench_from(tmp_path, "release: {limb parts: no, ties part: no}\ncostume: [{shirt: {}}]\n")
    assert "some costume tie does not come away" in top(bench, "costume ties part under a grab").words
    assert "the false limb does not come away" in top(bench, "limb parts under a grab").words
