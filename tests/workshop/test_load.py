"""Masses, what hangs on what, and how near to tipping: against sums done by hand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sightline.errors import FileError
from sightline.geometry.shapes import box
from sightline.scene.materials import MATERIAL_NAMES
from sightline.scene.reading import read_scene
from sightline.workshop import hanging as hanging_module
from sightline.workshop import load
from sightline.workshop.armload import G_M_S2
from sightline.workshop.balance import Support, Tipping, hanging, shared_n
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.feet import gap_m, room_m
from sightline.workshop.masses import masses, middle_of
from sightline.workshop.materials import TABLE
from sightline.workshop.section import Item
from tests.conftest import REPOSITORY

HAND_WORKED = 1e-3
EXAMPLES = sorted((REPOSITORY / "examples").glob("*.yaml"))
HEAD = """\
version: 1
title: Crate
performer: {stature: 175 cm, mass: 75 kg, sex: male, hide: [left arm]}
prop:
  name: crate
  box: {width: 46 cm, depth: 32 cm, height: 30 cm, wall: 6 mm}
  at: {ahead: 37 cm, up: 118 cm, tilt: 4 deg}
  openings:
    - {wall: back, diameter: 14 cm, at: [12 cm, 0 cm]}
    - {wall: top, shape: rectangle, width: 22 cm, height: 15 cm, for: puppet}
puppet: {name: owl, height: 34 cm, grip: [4 cm, -2 cm, 2 cm]}
"""
EYES = "eyes: [{id: E1, at: [0 m, -5 m, 1.5 m]}]\n"


def bench_from(folder: Path, more: str = "", head: str = HEAD) -> Bench:
    path = folder / "scene.yaml"
    path.write_text(head + more + EYES, encoding="utf-8")
    return bench_of(read_scene(path, None))


def item(bench: Bench, key: str) -> Item:
    return next(found for found in load.section(bench).items if found.key == key)


# -- statics


def test_two_straps_by_hand() -> None:
    """3 kg (29.43 N) on two straps seen from the front, 60 and 45 deg to the level, made fast 0.4 m apart.

    By hand: level pulls are alike, A cos 60 = B cos 45, and together they bear the weight, A sin 60 + B sin 45 = W. So
    A = W sin 45 / sin 105 = 29.43 x .707107 / .965926 = 21.544 N, B = W sin 30 / sin 105 = 29.43 x .5 / .965926 = 15.234 N.
    Moments vanish where the three lines meet: s = .4 / (.5 + .866025) = .292820 along strap A, so x = -.2 + .5 s = -.053590.
    """
    straps = [
        Support("A", np.array([-0.2, 0.0, 1.0]), np.array([0.5, 0.0, np.sqrt(0.75)])),
        Support("B", np.array([0.2, 0.0, 1.0]), np.array([-np.sqrt(0.5), 0.0, np.sqrt(0.5)])),
    ]
    found = hanging(29.43, np.array([-0.0535898, 0.0, 0.8]), straps, "front", np.array([0.0, 0.0, 0.7]))
    # The last figure of the middle is rounded, so a trace of help is left over.
    assert found.hand_n == pytest.approx(0.0, abs=1e-4)
    for name, newtons in (("A", 21.544), ("B", 15.234)):
        assert found.least_n[name] == pytest.approx(newtons, rel=HAND_WORKED)
        assert found.most_n[name] == pytest.approx(newtons, rel=HAND_WORKED)


def test_two_plumb_straps_share_by_the_lever() -> None:
    """20 N, 0.1 m from the one and 0.3 m from the other: 15 N and 5 N."""
    assert shared_n(20.0, 0.1, 0.2, -0.2) == pytest.approx((15.0, 5.0), rel=HAND_WORKED)
    assert min(shared_n(20.0, 0.3, 0.2, -0.2)) < 0  # outside both: it rolls over


def test_hook_and_plate_by_hand() -> None:
    """3 kg whose middle is 0.16 m ahead of a hook, 0.2 m above where the wall rests on the plate.

    By hand: the hook bears W = 29.43 N; moments about the hook: N x 0.2 = W x 0.16, so the couple is 23.544 N each way.
    """
    hook = np.array([0.0, -0.2, 1.2])
    supports = [
        Support("up", hook, np.array([0.0, 0.0, 1.0])),
        Support("back", hook, np.array([0.0, 1.0, 0.0])),
        Support("rest", hook - [0.0, 0.0, 0.2], np.array([0.0, -1.0, 0.0])),
    ]
    found = hanging(29.43, hook + [0.0, -0.16, -0.1], supports, "side")
    for name, newtons in (("up", 29.43), ("back", 23.544), ("rest", 23.544)):
        assert found.least_n[name] == pytest.approx(newtons, rel=HAND_WORKED)
    assert found.by_itself


def test_what_cannot_hang() -> None:
    """A hook alone, with the weight ahead of it, swings: a hand 0.32 m ahead must bear half; without a hand, nothing does."""
    hook = np.array([0.0, 0.0, 1.0])
    supports = [Support("up", hook, np.array([0.0, 0.0, 1.0]))]
    middle = hook + [0.0, -0.16, 0.0]
    assert hanging(10.0, middle, supports, "side").hand_n is None
    helped = hanging(10.0, middle, supports, "side", hook + [0.0, -0.32, 0.0])
    assert helped.hand_n == pytest.approx(5.0, rel=HAND_WORKED)
    assert not helped.by_itself
    assert hanging(10.0, middle, [], "side").hand_n is None


def test_what_statics_leaves_open() -> None:
    """Three plumb straps in a row share in more ways than one: the range is told, not one of them."""
    straps = [
        Support(n, np.array([x, 0.0, 1.0]), np.array([0.0, 0.0, 1.0])) for n, x in (("L", -0.2), ("M", 0.0), ("R", 0.2))
    ]
    found = hanging(12.0, np.array([0.0, 0.0, 0.5]), straps, "front")
    assert (found.least_n["M"], found.most_n["M"]) == pytest.approx((0.0, 12.0), abs=1e-6)
    assert found.most_n["L"] == pytest.approx(6.0)


# -- balance


def test_tipping_by_hand() -> None:
    """Middle 1.0 m up with 0.1 m of room: tips at atan 0.1 = 5.71 deg, 0.1 g, and on a bend of 1 m at sqrt(.981) = .990 m/s."""
    found = Tipping(1.0, {"ahead": 0.2, "back": 0.15, "left": 0.1, "right": 0.12})
    assert found.nearest == "left"
    assert found.lean_deg("left") == pytest.approx(5.7106, rel=HAND_WORKED)
    assert found.push_g("left") == pytest.approx(0.1)
    assert found.turn_speed_m_s(1.0) == pytest.approx(0.99045, rel=HAND_WORKED)


def test_room_and_gap_in_the_plan() -> None:
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    assert room_m(square, np.array([0.3, 0.5]), np.array([-1.0, 0.0])) == pytest.approx(0.3)
    assert room_m(square, np.array([0.5, 0.5]), np.array([1.0, 1.0])) == pytest.approx(np.sqrt(0.5))
    assert room_m(square, np.array([1.2, 0.5]), np.array([1.0, 0.0])) == pytest.approx(-0.2)
    assert gap_m(square, square + [1.25, 0.0]) == pytest.approx(0.25)
    assert gap_m(square, square + [0.9, 0.0]) == pytest.approx(-0.1)


def test_standing_body_is_over_its_feet(tmp_path: Path) -> None:
    """A common middle at 0.54 to 0.58 of stature (from memory of textbooks), within the feet, load and all."""
    bench = bench_from(tmp_path)
    found = item(bench, "tipping")
    assert found.state == "told"
    assert isinstance(found.value, float)
    assert 0.02 < found.value < 0.25


def test_heavier_box_tips_sooner(tmp_path: Path) -> None:
    light = item(bench_from(tmp_path, "materials: {masses: {crate: 1 kg}}\n"), "tipping")
    heavy = item(bench_from(tmp_path, "materials: {masses: {crate: 30 kg}}\n"), "tipping")
    assert "ahead" in heavy.words
    assert isinstance(heavy.value, float)
    assert isinstance(light.value, float)
    assert heavy.value < light.value


# -- masses


def test_names_and_table_agree() -> None:
    assert tuple(TABLE) == MATERIAL_NAMES
    assert all((m.per_m2_kg is None) != (m.per_m3_kg is None) and m.source for m in TABLE.values())


def test_box_by_its_walls(tmp_path: Path) -> None:
    """Outer less inner volume, less both holes, by hand, times plywood's 576 kg/m3. A 48-gon is 0.3 % less than its circle."""
    walls = 0.46 * 0.32 * 0.30 - 0.448 * 0.308 * 0.288
    holes = 0.006 * (np.pi * 0.07**2 + 0.22 * 0.15)
    crate = next(part for part in masses(bench_from(tmp_path)) if part.name == "crate")
    assert crate.mass_kg == pytest.approx(576.0 * (walls - holes), rel=HAND_WORKED)
    assert not crate.given


def test_a_sheet_by_its_area(tmp_path: Path) -> None:
    """The same walls at 0.7 kg/m2 over 6 mm; an own material goes before the table's."""
    more = "materials: {box: my board, own: {my board: {mass per square metre: 700 g}}}\n"
    walls = 0.46 * 0.32 * 0.30 - 0.448 * 0.308 * 0.288 - 0.006 * (np.pi * 0.07**2 + 0.22 * 0.15)
    crate = next(part for part in masses(bench_from(tmp_path, more)) if part.name == "crate")
    assert crate.mass_kg == pytest.approx(0.7 * walls / 0.006, rel=HAND_WORKED)
    assert "given in the scene" in crate.how


def test_middle_of_a_block_and_of_a_sheet() -> None:
    block = box(0.2, 0.3, 0.4)
    moved = type(block)(block.vertices + [1.0, 2.0, 3.0], block.faces)
    assert middle_of(moved) == pytest.approx([1.0, 2.0, 3.0])
    sheet = type(block).of([[0, 0, 0], [2, 0, 0], [2, 1, 0], [0, 1, 0]], [[0, 1, 2], [0, 2, 3]])
    assert middle_of(sheet) == pytest.approx([1.0, 0.5, 0.0])


def test_total_and_share(tmp_path: Path) -> None:
    bench = bench_from(tmp_path, "materials: {masses: {crate: 2 kg, owl: 400 g}}\n")
    assert item(bench, "total").value == pytest.approx(2.4)
    assert item(bench, "share").value == pytest.approx(2.4 / 75)
    assert item(bench, "share").state == "yes"


def test_absurd_total_is_warned_of(tmp_path: Path) -> None:
    bench = bench_from(tmp_path, "materials: {masses: {crate: 2100 kg}}\n")
    assert item(bench, "absurd").state == "warn"
    assert item(bench, "share").state == "no"
    assert "absurd" not in {found.key for found in load.section(bench_from(tmp_path)).items}


def test_puppet_too_heavy_and_not_weighed(tmp_path: Path) -> None:
    assert item(bench_from(tmp_path), "puppet").state == "not known"
    assert item(bench_from(tmp_path, "materials: {masses: {owl: 1.2 kg}}\n"), "puppet").state == "no"
    assert item(bench_from(tmp_path, "materials: {masses: {owl: 700 g}}\n"), "puppet").state == "warn"
    assert item(bench_from(tmp_path, "materials: {masses: {owl: 300 g}}\n"), "puppet").state == "yes"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("materials: {masses: {crate: -2 kg}}\n", "must be more than nothing"),
        ("materials: {masses: {crrate: 2 kg}}\n", "did you mean 'crate'?"),
        ("materials: {box: plywod}\n", "did you mean 'plywood'?"),
        ("materials: {own: {mine: {}}}\n", "exactly one"),
        ("materials: {own: 3}\n", "These are named"),
        ("materials: [1]\n", "materials"),
        ("load: {straps: [{strap: nobody, at: {wall: back}}]}\n", "no strap named 'nobody'"),
        ("load: {arm strength: {holds: 0 kg, at: 50 cm}}\n", "must be more than nothing"),
        (
            "rig: [{strap: {over: right}}]\nload: {straps: [{strap: strap, at: {wall: back, at: [90 cm, 0 cm]}}]}\n",
            "beyond the edge",
        ),
    ],
)
def test_bad_input(tmp_path: Path, more: str, said: str) -> None:
    with pytest.raises(FileError) as caught:
        load.section(bench_from(tmp_path, more))
    assert said in str(caught.value)
    assert "scene.yaml:" in str(caught.value)


def test_mass_given_twice(tmp_path: Path) -> None:
    head = HEAD.replace("wall: 6 mm}", "wall: 6 mm, mass: 2 kg}")
    with pytest.raises(FileError, match="say it once"):
        load.section(bench_from(tmp_path, "materials: {masses: {crate: 3 kg}}\n", head))


# -- arm


def test_puppet_adds_its_lever(tmp_path: Path) -> None:
    """A kilogram more in the hand adds g times its level distance from the shoulder.

    Moments add as vectors; with far more in the hand than the arm weighs, all of them point the puppet's way.
    """
    one = item(bench_from(tmp_path, "materials: {masses: {owl: 500 kg}}\n"), "moment")
    two = item(bench_from(tmp_path, "materials: {masses: {owl: 501 kg}}\n"), "moment")
    assert isinstance(one.value, float)
    assert isinstance(two.value, float)
    bench = bench_from(tmp_path)
    rest = bench.hidden[0]
    owl = next(part for part in masses(bench) if part.name == "owl")
    lever = float(np.linalg.norm((owl.middle_m - rest.shoulder)[:2]))
    assert two.value - one.value == pytest.approx(G_M_S2 * lever, rel=HAND_WORKED)


def test_tested_arm_settles_the_share(tmp_path: Path) -> None:
    """4 kg at 0.5 m and the bare arm (11.33 N m for 75 kg and 1.75 m): 19.62 + 11.33 = 30.95 N m."""
    bench = bench_from(tmp_path, "load: {arm strength: {holds: 4 kg, at: 50 cm}}\n")
    moment, share = item(bench, "moment").value, item(bench, "strength share")
    assert share.state == "told"
    assert share.value == pytest.approx(moment / 30.95, rel=HAND_WORKED)  # type: ignore[operator]
    assert item(bench_from(tmp_path), "strength share").state == "not known"


def test_arm_that_cannot_hold_it(tmp_path: Path) -> None:
    bench = bench_from(tmp_path, "materials: {masses: {owl: 20 kg}}\n")
    assert item(bench, "endurance").state == "no"


# -- hanging in a scene


def test_strap_with_nothing_to_lean_on_is_not_known(tmp_path: Path) -> None:
    bench = bench_from(tmp_path, "rig: [{strap: {over: right}}]\n")
    assert item(bench, "hanging").state in ("not known", "warn")
    assert item(bench, "strap ends").state == "not known"
    assert item(bench, "rest gap").state == "warn"
    assert item(bench_from(tmp_path), "hanging").state == "warn"  # all on the hand


def test_hook_on_a_plate_bears_the_weight(tmp_path: Path) -> None:
    more = "rig: [{hook: {at: {wall: back, at: [0 cm, 10 cm]}}}, {plate: {height: 30 cm, up: 115 cm}}, {strap: {over: right}}]\n"
    bench = bench_from(tmp_path, more + "materials: {masses: {crate: 3 kg, hook: 100 g}}\n")
    up = item(bench, "force.hook, up")
    # The wall leans a little (4 deg), so its push bears or adds a few per cent.
    assert up.value == pytest.approx(3.1 * G_M_S2, rel=0.10)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_examples(path: Path) -> None:
    found = load.section(bench_of(read_scene(path, None)))
    assert found.items
    assert any("professional" in said or "doctor" in said for said in found.cautions)


@pytest.mark.parametrize(
    "scene",
    [
        "version: 1\nsecrets: [{name: t, disc: {radius: 1 cm}, at: [0 m, 0 m, 1 m], facing: [0, -1, 0]}]\n",
        "version: 1\nperformer: {stature: 172 cm}\n",
        "version: 1\nperformer: {age: 9}\n",
        "version: 1\nperformer: {stature: 172 cm}\npose: {visible hand: hangs}\n"
        "prop: {box: {width: 30 cm, depth: 30 cm, height: 30 cm}, at: {ahead: 40 cm, up: 1 m}}\n",
    ],
)
def test_less_than_a_whole_scene(tmp_path: Path, scene: str) -> None:
    found = load.section(bench_from(tmp_path, "", scene))
    assert any(part.state == "not known" or part.state == "warn" for part in found.items)
    assert ("age: 9" in scene) == any(part.key == "child" for part in found.items)


def test_figures_that_read_alike_are_one_figure() -> None:
    assert hanging_module._range(23.8, 24.4) == "24 N (2.4 kg)"
    assert hanging_module._range(20.0, 24.4) == "20 to 24 N, statics cannot say which"


def test_small_masses_are_told_in_grams_and_ounces() -> None:
    """A cuff of 22 g is not 0.0 lb."""
    assert load.kilograms(0.022) == "22 g (0.8 oz)"
    assert load.kilograms(2.1) == "2.10 kg (4.6 lb)"
