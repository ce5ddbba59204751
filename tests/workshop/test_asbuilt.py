"""Sizes as built against the plan: a plate whose eyes are counted by hand, the round trip, and what tape and scene say."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from pathlib import Path
from textwrap import dedent, indent
from typing import Any

import pytest

from sightline.errors import FileError, Misfit, SightlineError
from sightline.figure.arm import flexion_at_distance
from sightline.scene.editing import edited
from sightline.scene.reading import Written, read_as_built, read_scene, scene_from_text
from sightline.scene.scene import Scene
from sightline.sight.check import Thresholds
from sightline.workshop.asbuilt import Reading, read_against
from sightline.workshop.asbuiltedits import edits_of, plain
from sightline.workshop.asbuiltlook import Looking, in_the_room, judged
from sightline.workshop.asbuiltreport import matters_most, verdicts_changed, worst_of
from sightline.workshop.asbuiltsheet import sheet_text
from sightline.workshop.asbuiltsize import arm_of, edges_m, printed_size, sleeved_m, straight_m
from sightline.workshop.asbuiltsizes import sizes_of
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.room import room_of
from sightline.workshop.roomsheet import RoomSheet
from tests.conftest import REPOSITORY

# A target 2 cm wide at the origin, a plate 1 m before it, eyes 3 m before it every 10 cm across. An eye at x meets the
# plate's plane between x/3 - 2/3 cm and x/3 + 2/3 cm, so a plate from a to b covers it whole if
# 3 a + 2 cm <= x <= 3 b - 2 cm: plane geometry. Planned: -0.5 m to 0.5 m, |x| <= 1.48 m.
PLATE = """\
version: 1
title: plate   # before a target
covers:
  - {name: plate, rectangle: {width: 1 m, height: 2 m}, at: [0 m, -1 m, 0 m]}   # of plywood
secrets: [{name: target, rectangle: {width: 2 cm, height: 2 cm}}]
eyes:
"""
PLATE += "".join(f"  - {{id: E{k}, at: [{k / 10:g} m, -3 m, 0 m]}}\n" for k in range(-20, 21))
WIDTH, ACROSS = "covers[0].rectangle.width", "covers[0].at[0]"


def covered(width_m: float, across_m: float = 0.0) -> set[str]:
    """The eyes that the plate covers whole, counted by the inequality above."""
    low, high = across_m - width_m / 2, across_m + width_m / 2
    return {f"E{k}" for k in range(-20, 21) if 3 * low + 0.02 <= k / 10 <= 3 * high - 0.02}


@pytest.fixture(scope="module")
def plate() -> Bench:
    return bench_of(scene_from_text(PLATE))


@pytest.fixture(scope="module")
def courier() -> Bench:
    return bench_of(read_scene(REPOSITORY / "examples" / "courier-pitch-mended.yaml", None))


def filled(
    folder: Path, bench: Bench, measured: Mapping[str, str], ticks: str = "", title: str | None = None
) -> Reading:  # fmt: skip
    """A sheet with these sizes read against its scene."""
    path = folder / "built.yaml"
    lines = "".join(f"  {plain(key)}: {{measured: {plain(said)}}}\n" for key, said in measured.items())
    text = f"version: 1\nas built: {plain(title or bench.scene.title)}\nsizes:\n{lines}ticks:\n{indent(dedent(ticks), '  ')}"
    path.write_text(text, encoding="utf-8")
    eyes = [eye.id for eye in bench.staged.house.eyes]
    return read_against(read_as_built(path), bench.scene.title, sizes_of(bench), eyes)


def rewritten(bench: Bench, reading: Reading) -> Written[Scene]:
    """The scene as measured."""
    edits = edits_of(bench, {size.key: size for size in sizes_of(bench)}, reading.taken)
    first = bench.written
    return scene_from_text(edited(first.document.text, edits), first.document.file, first.folder, first.root)


def rebuilt(bench: Bench, reading: Reading) -> Bench:
    """The scene as measured, on the bench again."""
    return bench_of(rewritten(bench, reading))


def seen_by(bench: Bench) -> set[str]:
    from sightline.cli.work import finding_of

    return set(finding_of(bench.written, bench.staged).seen_ids())


@pytest.mark.parametrize(
    ("measured", "width_m", "across_m"),
    [
        ({}, 1.0, 0.0),
        ({WIDTH: "80 cm"}, 0.8, 0.0),
        ({ACROSS: "5 cm"}, 1.0, 0.05),
        ({WIDTH: "80 cm", ACROSS: "5 cm"}, 0.8, 0.05),
        ({WIDTH: "3 ft 11 1/4 in"}, 47.25 * 0.0254, 0.0),
    ],
)
def test_a_plate_of_another_size_uncovers_a_known_number(
    plate: Bench, tmp_path: Path, measured: dict[str, str], width_m: float, across_m: float
) -> None:
    every = {f"E{k}" for k in range(-20, 21)}
    assert seen_by(rebuilt(plate, filled(tmp_path, plate, measured))) == every - covered(width_m, across_m)


def test_each_alone_and_which_matters_most(plate: Bench, tmp_path: Path) -> None:
    """The width alone uncovers 6, by the inequality; the shift alone uncovers 1 and covers 2."""
    looking = Looking(plate, sizes_of(plate), filled(tmp_path, plate, {ACROSS: "5 cm", WIDTH: "80 cm"}))
    alone = {one.keys[0]: (one.worse, one.better, one.eyes_seen) for one in looking.alone()}
    plan = covered(1.0)
    expected = {}
    for key, now in ((WIDTH, covered(0.8)), (ACROSS, covered(1.0, 0.05))):
        expected[key] = (len(plan - now), len(now - plan), 41 - len(now))
    assert alone == expected
    assert (expected[WIDTH][:2], expected[ACROSS][:2]) == ((6, 0), (1, 2))
    assert matters_most(looking.alone()) == [WIDTH]


def test_what_does_nothing_alone_and_much_together(tmp_path: Path) -> None:
    """Two plates, one behind the other, each of which covers the target by itself: |x| <= 1.48 m by the first.

    The second is 0.6 m before the target, where an eye at x meets it between x/5 - 0.8 cm and x/5 + 0.8 cm: half of 1 m
    covers |x| <= 2.46 m. Either at 20 cm alone uncovers nobody; both do, and either put right mends it.
    """
    second = "  - {name: second, rectangle: {width: 1 m, height: 2 m}, at: [0 m, -0.6 m, 0 m]}\nsecrets:"
    near = [line for line in PLATE.splitlines() if not re.search(r"id: E-?(1[5-9]|20)", line)]
    bench = bench_of(scene_from_text("\n".join(near).replace("secrets:", second)))
    reading = filled(tmp_path, bench, {WIDTH: "20 cm", "covers[1].rectangle.width": "20 cm"})
    looking = Looking(bench, sizes_of(bench), reading)
    alone, put_right = looking.alone(), looking.put_right()
    assert {(one.worse, one.better, one.eyes_seen) for one in alone} == {(0, 0, 0)}
    assert {(one.worse, one.eyes_seen) for one in put_right} == {(0, 0)}
    # 3 x 0.1 - 2 cm = 0.28 m by the first; by the second 5 x 0.1 - 4 cm = 0.46 m, so |x| <= 0.4 m stay hidden.
    assert seen_by(rebuilt(bench, reading)) == {f"E{k}" for k in range(-14, 15) if abs(k) > 4}
    assert matters_most(alone) is None
    assert matters_most(alone, put_right, 20) in ([WIDTH], ["covers[1].rectangle.width"])
    assert matters_most(alone, put_right, 0) is None


def test_a_range_counts_at_its_worst(plate: Bench, tmp_path: Path) -> None:
    """70-90 cm: the middle covers what 80 cm covers, and the verdict is that of 70 cm."""
    from sightline.cli.work import finding_of
    from sightline.sight.report import document

    reading = filled(tmp_path, plate, {WIDTH: "70-90 cm"})
    looking = Looking(plate, sizes_of(plate), reading)
    middle = bench_of(looking.built())
    assert middle.scene.covers[0].rectangle is not None
    assert middle.scene.covers[0].rectangle.width == pytest.approx(0.8)
    report = document(finding_of(middle.written, middle.staged), "built")
    assert report["summary"]["eyes_seen"] == 41 - len(covered(0.8))
    ends = [found for _, found in looking.ends() if not isinstance(found, str)]
    assert len(ends) == 2
    worst_of(report, [document(found, "built") for found in ends])
    assert report["summary"]["eyes_seen"] == 41 - len(covered(0.7))
    before = document(finding_of(plate.written, plate.staged), "plan")
    changed = verdicts_changed(before, report)
    assert set(changed["any"]["hidden -> seen"]) == covered(1.0) - covered(0.7)
    assert changed["secrets"]["target"] == changed["any"]


def test_ranges_are_tried_together(plate: Bench, tmp_path: Path) -> None:
    reading = filled(tmp_path, plate, {WIDTH: "about 1 m", ACROSS: "0 - 2 cm"})
    assert reading.taken[0].built.low == pytest.approx(0.95)  # 5 % either way: units.ABOUT_SHARE
    said = [words for words, _ in Looking(plate, sizes_of(plate), reading).ends()]
    assert len(said) == 6
    assert said[-2:] == ["every range at its least", "every range at its most"]


@pytest.mark.parametrize("name", ["courier-pitch", "courier-stage-beats"])
def test_a_sheet_filled_in_as_planned_changes_nothing(name: str, tmp_path: Path) -> None:
    bench = bench_of(read_scene(REPOSITORY / "examples" / f"{name}.yaml", None))
    sizes = sizes_of(bench)
    assert len(sizes) > 20
    assert len({size.key for size in sizes}) == len(sizes)
    room = RoomSheet(room_of("4 x 3 m"), (2.0, 1.0), (), (), None, None, ())  # type: ignore[arg-type]
    text = sheet_text(bench.scene.title, sizes, room, "scene.yaml", "sheet.yaml")
    path = tmp_path / "sheet.yaml"
    path.write_text(text, encoding="utf-8")
    blank = read_against(read_as_built(path), bench.scene.title, sizes, ["E1"])
    assert (blank.taken, len(blank.blank)) == ((), len(sizes))
    full = re.sub(r"\{planned: (.*), measured: \}", r"{planned: \1, measured: \1}", text)
    path.write_text(full, encoding="utf-8")
    reading = read_against(read_as_built(path), bench.scene.title, sizes, ["E1"])
    assert (reading.moved, reading.blank, len(reading.as_planned)) == ((), (), len(sizes))
    assert edits_of(bench, {size.key: size for size in sizes}, reading.taken) == ()


def test_both_edges_say_height_and_tilt(courier: Bench, tmp_path: Path) -> None:
    """Held with its edges where they were measured, on a box that came out deeper and lower than planned."""
    measured = {"prop.at.front edge": "98.3 cm", "prop.at.back edge": "104.9 cm", "prop.box.depth": "33.5 cm"}
    made = rebuilt(courier, filled(tmp_path, courier, measured | {"prop.box.height": "29 cm"}))
    # The scene keeps tenths of millimetres and hundredths of degrees: 33.5 cm turn by 0.005 deg move 0.03 mm.
    assert edges_m(made) == pytest.approx((0.983, 1.049), abs=1e-4)
    assert made.prop is not None
    assert made.prop.at.tilt == pytest.approx(math.asin((1.049 - 0.983) / 0.335), abs=math.radians(0.005))


def test_a_hole_is_where_it_is_measured_from_the_edges(courier: Bench, tmp_path: Path) -> None:
    """The back wall is seen from behind: its left edge is the performer's own left."""
    key = "prop.openings[0]"
    made = rebuilt(courier, filled(tmp_path, courier, {f"{key}.from left": "14 cm", "prop.box.width": "48 cm"}))
    assert made.prop is not None
    # 24 cm from the middle to the edge, less 14.
    assert made.prop.openings[0].at == pytest.approx((0.10, -0.05), abs=5e-5)
    assert made.written.document.tree["prop"]["openings"][0]["at"][1] == "-5 cm"
    sizes = {size.key: size for size in sizes_of(made)}
    assert sizes[f"{key}.from left"].planned.value == pytest.approx(0.14, abs=5e-5)
    # Not measured, it stays where the plan has it from the middle; measured as planned on a wider box, it is nearer to
    # the edge than the plan's middle has it.
    for more, across in (({}, 0.095), ({f"{key}.from left": "13.5 cm"}, 0.24 - 0.135)):
        prop = rewritten(courier, filled(tmp_path, courier, {"prop.box.width": "48 cm", **more})).model.prop
        assert prop is not None
        assert prop.openings[0].at == pytest.approx((across, -0.05), abs=5e-5)


def test_a_straighter_arm_and_a_shorter_sleeve(courier: Bench, tmp_path: Path) -> None:
    """The bend by the cosine rule on the lengths of the arm as it was planned."""
    arm = arm_of(courier, 0)
    assert arm is not None
    straight = straight_m(arm) + 0.02
    upper, fore = (arm.sheet.upper_arm_m * arm.scale, arm.sheet.forearm_m * arm.scale)
    cosine = (upper**2 + fore**2 - straight**2) / (2 * upper * fore)
    measured = {"false limbs[0].shoulder to wrist": f"{straight * 100:.3f} cm", "costume[5].sleeve.to": "48 cm"}
    made = rebuilt(courier, filled(tmp_path, courier, measured))
    other = arm_of(made, 0)
    assert other is not None
    assert other.bend_deg == pytest.approx(180 - math.degrees(math.acos(cosine)), abs=0.01)
    sleeve, long = made.scene.costume[5].sleeve, sleeved_m(courier, "false arm")
    assert sleeve is not None
    assert long is not None
    assert sleeve.end == pytest.approx(0.48 / long, abs=5e-5)
    assert float(flexion_at_distance(upper, fore, straight)) == pytest.approx(math.pi - math.acos(cosine))
    # Past the wrist it counts to the wrist; an arm that no bend makes is refused.
    far = rewritten(courier, filled(tmp_path, courier, {"costume[5].sleeve.to": "70 cm"})).model.costume[5].sleeve
    assert far is not None
    assert far.end == 1.0
    with pytest.raises(Misfit, match="No bend"):
        rewritten(courier, filled(tmp_path, courier, {"false limbs[0].shoulder to wrist": "90 cm"}))


def test_only_what_moved_is_spliced(courier: Bench, tmp_path: Path) -> None:
    measured = {"prop.box.width": "18 1/4 in", "costume[2].flap.angle": "70-74 deg", "blocking.mark[1]": "5 cm"}
    reading = filled(tmp_path, courier, measured | {"prop.box.depth": "32 cm", "rig[1].strap.width": "unknown"})
    assert [one.size.key for one in reading.moved] == list(measured)
    assert [size.key for size in reading.unknown] == ["rig[1].strap.width"]
    old = courier.written.document.text.splitlines()
    new = rewritten(courier, reading).document.text.splitlines()
    assert len(old) == len(new)
    assert [there for here, there in zip(old, new, strict=True) if here != there] == [
        "  box: {width: 18 1/4 in, depth: 32 cm, height: 30 cm, wall: 6 mm, mass: 2.1 kg}",
        "  - flap: {name: top lip, wall: back, edge: top, width: 46 cm, length: 14 cm, angle: 70-74 deg}",
        "blocking: {mark: [0 m, 5 cm], facing: 3 deg}   # mark: to stage left, upstage of the middle of the pitch",
    ]


def test_a_slip_of_the_unit_is_asked_about(courier: Bench, tmp_path: Path) -> None:
    (said,) = filled(tmp_path, courier, {"costume[4].cuff.length": "17 cm", "prop.box.width": "47 cm"}).warnings
    assert "costume[4].cuff.length is 17 cm where 7 cm was planned" in said


def test_what_somebody_saw(plate: Bench, tmp_path: Path) -> None:
    """E0 is hidden behind the plate and E20 sees past it, from their own places and from a camera 1 m nearer."""
    ticks = """\
      E0: {saw: yes, where: a gap in the plate}
      E1: {saw: no}
      E2: {saw: unknown}
      E3: {saw: }
      E19: {saw: no}
      E20: {saw: yes}
      E4: {camera: [40 cm, -3 m, 0 m], saw: yes}
      E18: {camera: [180 cm, -3 m, 0 m], saw: yes}
    """
    reading = filled(tmp_path, plate, {}, ticks)
    house = {f"E{k}": 0 if f"E{k}" in covered(1.0) else 2 for k in range(-20, 21)}
    room = in_the_room(reading.ticks, plate.staged, Thresholds())
    assert room == {"E4": 0, "E18": 2}
    told = {tick["eye"]: tick for tick in judged(reading.ticks, house, room)}
    assert "E3" not in told
    agrees = {"E0": False, "E1": True, "E2": False, "E19": False, "E20": True, "E4": False, "E18": True}
    assert {eye: tick["agrees"] for eye, tick in told.items()} == agrees
    # Who saw it is believed; who did not is not, and nothing that is computed seen becomes hidden.
    assert {eye for eye, tick in told.items() if tick["counts_as_seen"]} == {"E0", "E2", "E4"}
    assert told["E0"]["where"] == "a gap in the plate"
    assert told["E19"]["computed"] == "seen"


def test_an_eye_that_sees_what_is_computed_faint_is_believed() -> None:
    from sightline.workshop.asbuilt import Tick

    ticks = [Tick("A", "yes", "", None), Tick("B", "no", "", None), Tick("gone", "yes", "", None)]
    a, b, gone = judged(ticks, {"A": 1, "B": 1}, {})
    assert (a["agrees"], a["counts_as_seen"]) == (False, True)
    assert (b["agrees"], b["counts_as_seen"]) == (True, False)
    assert (gone["computed"], gone["counts_as_seen"]) == (None, True)


def test_a_sheet_of_another_scene(plate: Bench, tmp_path: Path) -> None:
    with pytest.raises(FileError, match="made for 'screen', and the scene is 'plate'"):
        filled(tmp_path, plate, {}, title="screen")


def test_one_edge_alone_says_too_little(courier: Bench, tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"measure 'prop\.at\.back edge' as well"):
        filled(tmp_path, courier, {"prop.at.front edge": "98 cm"})
    steep = {"prop.at.front edge": "50 cm", "prop.at.back edge": "104 cm"}
    with pytest.raises(Misfit, match="more than the prop is deep"):
        rewritten(courier, filled(tmp_path, courier, steep))


def test_sizes_that_do_not_go_together(tmp_path: Path) -> None:
    """Walls that leave no inside: neither file is to blame, what was measured is."""
    text = PLATE + "prop: {box: {width: 30 cm, depth: 30 cm, height: 30 cm, wall: 4 mm}, at: {ahead: 3 m, up: 3 m}}\n"
    boxed = bench_of(scene_from_text(text))
    looking = Looking(boxed, sizes_of(boxed), filled(tmp_path, boxed, {"prop.box.wall": "16 cm"}))
    with pytest.raises(SightlineError, match="As measured, the act does not go together: The walls are so thick"):
        looking.built()
    (alone,) = looking.alone()
    assert "so thick" in str(alone.why_not)
    assert matters_most([alone]) is None


@pytest.mark.parametrize(
    ("kind", "value", "said"),
    [
        ("length", 0.46, "46 cm"), ("length", 0.006, "6 mm"), ("offset", 0.0, "0 cm"), ("offset", -0.00001, "0 cm"),
        ("offset", -0.095, "-9.5 cm"), ("length", 4.25, "4.25 m"), ("angle", math.radians(12.5), "12.5 deg"),
        ("length", 0.46255, "46.26 cm"),
    ],
)  # fmt: skip
def test_sizes_as_they_are_printed(kind: Any, value: float, said: str) -> None:
    assert printed_size(kind, value) == said


@pytest.mark.parametrize(
    "text", ["46 cm", "46-47 cm", "5'10\"", "about 46 cm", "- 2 cm", "~4 cm", "a, b: {c} #d", "", "*x", "- a"]
)
def test_any_text_stays_text(text: str) -> None:
    import yaml

    assert str(yaml.load(f"{{a: {plain(text)}, b: 1}}", Loader=yaml.BaseLoader)["a"]) == text
