"""Openings: what passes, what is left of the wall, and what is refused."""

from __future__ import annotations

from textwrap import dedent

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sightline.errors import FileError
from sightline.figure.sheet import body_sheet
from sightline.scene.prop import CarriedBox, Opening
from sightline.scene.reading import scene_from_text
from sightline.workshop import cutting, gauge, openings
from sightline.workshop.bench import bench_of
from tests.workshop.test_reach import SCENE, bench, items


def found(*changes):
    return items(openings.section(bench(*changes)))


HOLE = "{wall: back, diameter: 16 cm, at: [12 cm, 0 cm]}"


def test_larger_than_needed_is_warned_of_in_millimetres():
    size = found()["back opening: size"]
    assert size.state == "warn"
    least = found()["back opening: smallest"].value[0]
    assert size.value == pytest.approx(0.16 - least)
    assert "every millimetre shows" in size.words
    exact = found((HOLE, HOLE.replace("16 cm", f"{least * 1000 + 1:.1f} mm")))
    assert exact["back opening: size"].state == "yes"


def test_too_small_for_hand_or_arm():
    hand = found((HOLE, HOLE.replace("16 cm", "80 mm")))
    # ANSUR II women, 95th percentile of hand breadth: 85 mm.
    assert hand["back opening: hand"].state == "no"
    assert hand["back opening: hand"].value == pytest.approx(-0.005)
    gloved = found((HOLE, HOLE.replace("16 cm", "90 mm")), ("version: 1", "version: 1\nfit: {glove: 12 mm}"))
    assert gloved["back opening: hand"].value == pytest.approx(-0.007)
    assert hand["back opening: size"].state == "warn"
    assert hand["back opening: size"].value < 0


def test_form_a_is_what_the_smallest_says():
    sheet = body_sheet(stature_m=1.72, sex="female")
    add = gauge.Allowances(0.012, 0.008, 0.020)
    hand, arm = gauge.hand_through(sheet), gauge.arm_through(sheet, 1, 0.5)
    assert gauge.least_size("round", hand, None, add)[0] == pytest.approx(0.085 + 0.012 + 0.020)
    assert gauge.least_size("round", hand, arm, add)[0] == pytest.approx(
        max(0.085 + 0.012, arm.broad_m + 0.008) + 0.020
    )
    long, short = gauge.least_size("slot", hand, arm, add)
    assert long >= short
    assert long <= gauge.least_size("round", hand, arm, add)[0]


@settings(derandomize=True, max_examples=80, deadline=None)
@given(st.floats(0.05, 0.2), st.floats(0.0, 0.02), st.floats(0.0, 0.03))
def test_what_passes_a_p95_person_passes_a_p5_one(hole, glove, movement):
    add = gauge.Allowances(glove, 0.0, movement)
    for sex in ("male", "female"):
        low, _, high = gauge.HAND_BREADTH[sex]
        least = [gauge.least_size("round", gauge.Passing(b, 0.045, "", False), None, add)[0] for b in (low, high)]
        assert not hole >= least[1] or hole >= least[0]


@settings(derandomize=True, max_examples=60, deadline=None)
@given(st.integers(0, 1), st.floats(0.0, 0.95), st.floats(0.0, 0.05))
def test_a_deeper_arm_never_needs_a_smaller_hole(bone, share, more):
    sheet = body_sheet(stature_m=1.75, sex="male")
    shallow, deep = gauge.arm_through(sheet, bone, min(share + more, 1.0)), gauge.arm_through(sheet, bone, share)
    assert deep.broad_m >= shallow.broad_m - 0.002  # sections are sampled
    assert gauge.arm_through(sheet, 0, 0.3).broad_m >= deep.broad_m - 0.002 or bone == 0


def test_own_girths_come_first():
    own = found(
        ("sex: female", "sex: female, measured: {hand girth over thumb: 24 cm, hand breadth: 79 mm, forearm: 26 cm}")
    )
    assert own["back opening: hand"].source.startswith("own hand")
    assert "79 mm" in own["back opening: hand"].words
    assert own["back opening: smallest"].value[0] < found()["back opening: smallest"].value[0]


def test_a_finger_must_go_through():
    for hole, key in (
        ("{wall: back, diameter: 10 mm, at: [3 cm, 9 cm]}", "diameter"),
        ("{wall: top, shape: slot, width: 20 cm, height: 2 cm, for: puppet}", "height"),
    ):
        text = SCENE if key == "diameter" else SCENE.replace(HOLE, f"{HOLE}, {hole}")
        written = scene_from_text(dedent(text.replace(HOLE, hole) if key == "diameter" else text))
        with pytest.raises(FileError, match="narrower than a finger") as error:
            bench_of(written)
        assert error.value.problems[0].path.endswith(key)
        assert error.value.problems[0].place.line > 1


BOX = CarriedBox(width=0.46, depth=0.32, height=0.30, wall=0.006)


def test_margins_by_hand():
    hole = Opening(wall="back", diameter=0.14, at=(0.12, 0.0))
    left = cutting.margins(BOX, hole, [hole])
    assert (left.left_m, left.right_m) == pytest.approx((0.04, 0.28))
    assert (left.below_m, left.above_m) == pytest.approx((0.08, 0.08))
    # To the corner: from (0.12, 0) to (0.23, 0.15), less the radius.
    assert left.corner_m == pytest.approx(np.hypot(0.11, 0.15) - 0.07)
    assert left.left_share == pytest.approx(1 - np.pi * 0.07**2 / (0.46 * 0.30))
    other = Opening(wall="back", diameter=0.06, at=(-0.05, 0.0))
    assert cutting.margins(BOX, hole, [hole, other]).bridge_m == pytest.approx(0.17 - 0.07 - 0.03, abs=1e-4)


@pytest.mark.parametrize(
    ("hole", "area_m2"),
    [(Opening(wall="back", diameter=0.1), np.pi * 0.0025),
     (Opening(wall="back", shape="slot", width=0.2, height=0.1), 0.1 * 0.1 + np.pi * 0.0025),
     (Opening(wall="back", shape="rectangle", width=0.2, height=0.1, corner_radius=0.02), 0.02 - (4 - np.pi) * 0.0004)],
)  # fmt: skip
def test_areas(hole, area_m2):
    assert cutting.area(hole) == pytest.approx(area_m2)


def test_edges_corners_rings_and_pieces():
    near = found(
        (HOLE, "{wall: back, shape: rectangle, width: 16 cm, height: 16 cm, at: [12 cm, 0 cm], corner radius: 5 mm}")
    )
    assert near["back opening: material left"].state == "warn"
    assert "left edge" in near["back opening: material left"].words
    assert near["back opening: ring"].state == "warn"
    assert near["back opening: corners"].state == "warn"
    lid = "{wall: top, shape: rectangle, width: 24 cm, height: 22 cm, corner radius: 3 cm, for: puppet}"
    both = found((HOLE, f"{HOLE}, {lid}"))
    assert both["top opening: corners"].state == "yes"
    assert "cut from the piece that the top opening leaves" in both["back opening: ring"].words
    assert both["back opening: cut-out"].value == pytest.approx([0.158, 0.158])


def test_moving_the_hole_as_advised_gives_room():
    off = (HOLE, HOLE.replace("[12 cm, 0 cm]", "[14 cm, 3 cm]"))
    before = found(off)["back opening: place"]
    assert before.state == "warn"
    at = np.array([14.0, 3.0]) + np.array(before.value) * 100
    moved = (HOLE, HOLE.replace("[12 cm, 0 cm]", f"[{at[0]:.1f} cm, {at[1]:.1f} cm]"))
    after = found(moved)["back opening: place"]
    assert (
        np.hypot(*np.array(after.value)) < np.hypot(*before.value)
        if isinstance(after.value, list)
        else after.state == "yes"
    )


def test_memory_values_are_marked():
    item = found()["access standards"]
    assert item.source == "from memory"
    assert "From memory" in item.words
    assert "MIL-STD" in item.words


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("secrets: [{name: t, disc: {radius: 1 cm}}]", "no prop"),
        ("secrets: [{name: t, disc: {radius: 1 cm}, at: [3 m, 0 m, 1 m]}]\n"
         "prop: {box: {width: 40 cm, depth: 30 cm, height: 30 cm}, at: {ahead: 0 m, up: 1 m}}", "no opening"),
    ],
)  # fmt: skip
def test_what_is_not_there_is_not_known(text, why):
    scene = f"version: 1\n{text}\neyes: [{{id: E, at: [0 m, -3 m, 1 m]}}]"
    section = openings.section(bench_of(scene_from_text(scene)))
    assert [item.state for item in section.items] == ["not known"]
    assert why in section.items[0].words


def test_a_prop_without_performer_still_has_its_walls():
    scene = """
    version: 1
    prop:
      box: {width: 40 cm, depth: 30 cm, height: 30 cm}
      at: {ahead: 0 m, up: 1 m}
      openings: [{wall: back, diameter: 12 cm}]
    eyes: [{id: E, at: [0 m, -3 m, 1 m]}]
    secrets: [{name: t, disc: {radius: 1 cm}, at: [3 m, 0 m, 1 m]}]
    """
    states = {k: v.state for k, v in items(openings.section(bench_of(scene_from_text(dedent(scene))))).items()}
    assert states["hand"] == "not known"
    assert states["back opening: material left"] == "yes"
