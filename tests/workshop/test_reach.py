"""Reach: the solver's promise, clearance against closed forms, and what the report says of a scene."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import cache
from textwrap import dedent

import numpy as np
import pytest

from sightline.figure.arm import allowed, flexion, shoulder_wrist_distance, solve, swivel_family
from sightline.figure.limits import arm_limits
from sightline.figure.sheet import body_sheet
from sightline.geometry.frame import Placement
from sightline.scene.prop import CarriedBox
from sightline.scene.reading import read_scene, scene_from_text
from sightline.workshop import comfort, reach, sides
from sightline.workshop.armway import ArmWay
from sightline.workshop.bench import Bench, bench_of
from sightline.workshop.grips import grips
from sightline.workshop.mirroring import mirrored_scene
from sightline.workshop.reachable import WHY, inside_of
from tests.conftest import REPOSITORY

SCENE = """
version: 1
performer: {stature: 172 cm, sex: female, hide: [left arm]}
prop:
  box: {width: 46 cm, depth: 32 cm, height: 30 cm, wall: 6 mm}
  at: {ahead: 37 cm, up: 112 cm, tilt: 4 deg}
  openings: [{wall: back, diameter: 16 cm, at: [12 cm, 0 cm]}]
puppet: {grip: [4 cm, -2 cm, 2 cm], moves: {duck: {by: [2 cm, 0 cm, -3 cm]}, look: {turn: 15 deg}}}
eyes: [{id: E1, at: [2 m, -5 m, 1.2 m]}, {id: E2, at: [-0.5 m, -5 m, 1.2 m]}]
"""


@cache
def bench(*changes: tuple[str, str]) -> Bench:
    text = SCENE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return bench_of(scene_from_text(dedent(text)))


def items(section):
    return {item.key: item for item in section.items}


# --- the solver ---


def swivels_of(shoulder, elbows, wrists):
    """How far each elbow (n, 3) of a left arm stands out from straight below its line of shoulder and wrist, deg."""
    along = wrists - shoulder
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    off = (elbows - shoulder) - ((elbows - shoulder) * along).sum(axis=1, keepdims=True) * along
    below = np.array([0.0, 0.0, -1.0]) + along[:, 2:] * along
    # About the line; of a hand ahead this is towards the performer's left.
    out = np.cross(along, below)
    return np.degrees(np.arctan2((off * out).sum(axis=1), (off * below).sum(axis=1)))


@pytest.mark.parametrize("table", ["usual", "aaos", "walker", "p5"])
def test_a_thousand_random_targets_are_solved_within_the_limits(table):
    limits, sheet = arm_limits(table), body_sheet(stature_m=1.75)
    upper, fore = sheet.upper_arm_m, sheet.forearm_m
    rng = np.random.default_rng(11)
    shoulder = np.array([0.17, 0.0, 1.4])
    swivels = swivel_family("left", 61, limits)
    # Reachable by making, not by asking the solver: both bones laid out with every joint a little within its limits
    # (2 deg: the family's own step is 2), the hand wherever that puts it ahead of the body.
    bones = rng.normal(size=(60_000, 2, 3))
    bones /= np.linalg.norm(bones, axis=2, keepdims=True)
    made = shoulder + upper * bones[:, 0]
    hands = made + fore * bones[:, 1]
    upper_v, bend = bones[:, 0], np.degrees(np.arccos(np.clip((bones[:, 0] * bones[:, 1]).sum(axis=1), -1, 1)))
    lifted = np.degrees(np.arccos(np.clip(-upper_v[:, 2], -1, 1)))
    behind = np.degrees(np.arcsin(np.clip(upper_v[:, 1], -1, 1)))
    across = np.degrees(np.arcsin(np.clip(-upper_v[:, 0], -1, 1)))
    turned = swivels_of(shoulder, made, hands)
    within = (
        (hands[:, 1] < 0) & (bend > 5) & (bend < limits.elbow_flexion_deg - 2) & (lifted < limits.shoulder_flexion_deg - 2)
        & (behind < limits.shoulder_extension_deg - 2) & (across < limits.across_deg - 2)
        & (turned > -limits.swivel_in_deg + 2) & (turned < limits.swivel_out_deg - 2)
    )  # fmt: skip
    targets = hands[within][:1000]
    assert len(targets) == 1000
    began = time.perf_counter()
    elbows = solve(shoulder, targets, upper, fore, swivels, "left", limits=limits)
    good = allowed(shoulder, elbows, targets[:, None], "left", limits)
    each_s = (time.perf_counter() - began) / len(targets)
    assert each_s < 1e-3
    assert good.any(axis=1).all()
    kept, hand = elbows[good], np.broadcast_to(targets[:, None], elbows.shape)[good]
    assert np.abs(np.linalg.norm(kept - shoulder, axis=1) - upper).max() < 1e-4
    assert np.abs(np.linalg.norm(kept - hand, axis=1) - fore).max() < 1e-4
    assert np.degrees(flexion(shoulder, kept, hand)).max() <= limits.elbow_flexion_deg + 1e-6
    v = (kept - shoulder) / upper
    assert np.degrees(np.arccos(np.clip(-v[:, 2], -1, 1))).max() <= limits.shoulder_flexion_deg + 1e-6
    assert np.degrees(np.arcsin(np.clip(v[:, 1], -1, 1))).max() <= limits.shoulder_extension_deg + 1e-6


@pytest.mark.parametrize(("bend_deg", "fits"), [(149.0, True), (151.0, False)])
def test_an_elbow_bent_151_deg_is_not_allowed_however_it_was_found(bend_deg, fits):
    """AAOS: 150 deg. `allowed` says so itself, without the solver's own refusal before it."""
    bend = np.radians(bend_deg)
    elbow = np.array([0.0, 0.0, -0.32])
    wrist = elbow + 0.25 * np.array([0.0, -np.sin(bend), -np.cos(bend)])
    assert bool(allowed(np.zeros(3), elbow, wrist, "left", arm_limits("aaos"))) is fits


def test_less_than_a_person_makes_no_arm_better():
    """An eye in a crowd may stand for half a person."""
    one = sides.Build("left arm", 0.0, 1.5, 25.0, 4, 4, 0.01, 20.0, 7.0)
    assert sides.better(one, replace(one, arm="right arm", seen=1.0)) == (None, "")
    assert sides.better(one, replace(one, arm="right arm", seen=0.5))[0] == "right arm"


# --- grips ---


def test_a_scene_with_room_reaches_all_grips():
    found = items(reach.section(bench()))
    assert found["every grip"].state == "yes"
    assert found["edge clearance"].state == "yes"
    assert found["wall clearance"].value > 0
    assert found["comfort"].source == comfort.SOURCE
    assert 0 < found["reachable inside"].value < 0.0397


def test_a_tight_hole_presses():
    found = items(reach.section(bench(("16 cm, at", "7 cm, at"))))
    assert found["every grip"].state == "no"
    assert found["edge clearance"].value < 0
    assert "presses" in found["edge clearance"].words


def test_the_solver_and_the_family_of_staging_agree():
    for grip in grips(bench()):
        staged = [pose for pose in bench().hidden if pose.move == grip.move]
        assert staged
        ours = np.array([way.elbow for way in grip.ways])
        assert all(np.linalg.norm(ours - pose.elbow, axis=1).min() < 1e-9 for pose in staged)


def test_the_elderly_and_their_source():
    over = bench(("version: 1", "version: 1\nfit: {ages: over 65}"))
    said = " ".join(reach.section(over).assumptions)
    assert "Walker" in said
    assert "143 deg" in said
    by_age = bench(("172 cm, sex: female", "172 cm, sex: female, age: 70"))
    assert "Walker" in " ".join(reach.section(by_age).assumptions)
    assert "AAOS" in " ".join(reach.section(bench()).assumptions)


def test_too_near_for_one_table_says_how_far():
    # A box hugged to the chest with a hole just below the shoulder: the elbow folds beyond what Walker's elderly do.
    near = bench(("version: 1", "version: 1\nfit: {limits: ama}"))
    way = reach.arm_way(near)
    wrist = way.shoulder + np.array([0.0, -0.17, 0.0])
    short = float(way.shortfall(wrist))
    assert short == pytest.approx(0.17 - float(shoulder_wrist_distance(
        way.sheet.upper_arm_m, way.sheet.forearm_m, np.radians(140))), abs=1e-9)  # fmt: skip
    assert short < 0


def test_comfort_bands():
    # EN 1005-4 bands, second-hand (craft notes): 0-20 good, 20-60 if supported or brief, above 60 no.
    assert [comfort.band(x) for x in (0, 20, 20.1, 60, 60.1, 120)] == ["good", "good", "brief", "brief", "no", "no"]


def test_the_inside_without_a_wall_in_the_way_is_a_ball():
    """Closed form: with no opening to pass, a free arm reaches all within its length of the shoulder, but for the joints."""
    sheet = body_sheet(stature_m=1.75)
    limits = arm_limits("aaos")
    box = CarriedBox(width=0.4, depth=0.4, height=0.4, wall=0.004)
    shoulder = np.array([0.17, 0.0, 1.4])
    way = ArmWay(sheet, "left", shoulder, limits, box, None, Placement(np.eye(3), np.array([0.17, -0.6, 1.3])), 0.0)
    inside = inside_of(way, 0.02)
    why = inside.why
    assert set(np.unique(why)) <= {WHY.index(n) for n in ("reached", "too far", "joints")}
    far = inside.short_m > 0
    assert ((why == WHY.index("too far")) == far).all()
    assert sum(inside.shares().values()) + inside.share == pytest.approx(1.0)
    assert 0.1 < inside.share < 0.9


def test_the_reachable_inside_shrinks_with_the_hole_and_the_cloth():
    from dataclasses import replace

    way = reach.arm_way(bench())
    plenty = inside_of(way, 0.02).volume_m3
    small = replace(way, opening=way.opening.model_copy(update={"diameter": 0.11}))
    assert inside_of(small, 0.02).volume_m3 < plenty
    assert inside_of(replace(way, cloth_m=0.02), 0.02).volume_m3 < plenty


def test_the_rim_test_agrees_with_the_slanted_closed_form():
    way = reach.arm_way(bench())
    middle = way.prop.points(np.array([0.12, 0.16 - 0.003, 0.0]))
    a = np.radians(30)
    along = way.prop.directions(np.array([0.0, np.cos(a), np.sin(a)]))
    elbow, wrist = middle + along * 0.1, middle - along * 0.1
    crossing = way.crossing(elbow[None], wrist[None], (wrist - along * 0.01)[None])
    assert crossing.met.all()
    assert np.abs(crossing.at).max() < 1e-9
    apart = way._rim_apart(crossing, np.array([0]))[0]
    assert apart == pytest.approx(0.08 * np.cos(a) - 0.003 * np.sin(a), abs=1e-6)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("secrets: [{name: t, disc: {radius: 1 cm}}]\neyes: [{id: E, at: [0 m, -3 m, 1 m]}]", "no performer"),
        ("performer: {stature: 170 cm}\nsecrets: [{name: t, disc: {radius: 1 cm}, at: [3 m, 0 m, 1 m]}]\n"
         "eyes: [{id: E, at: [0 m, -3 m, 1 m]}]", "hides no arm"),
    ],
)  # fmt: skip
def test_what_is_not_there_is_not_known(text, why):
    found = bench_of(scene_from_text(f"version: 1\n{text}"))
    section = reach.section(found)
    assert [item.state for item in section.items] == ["not known"]
    assert why in section.items[0].words
    assert sides.section(found).items[0].state == "not known"
    assert reach.view(found) is None


@pytest.mark.parametrize("name", ["courier-pitch", "courier-stage-mended"])
def test_examples_are_answered(name):
    found = bench_of(read_scene(REPOSITORY / "examples" / f"{name}.yaml"))
    section = reach.section(found)
    assert {item.state for item in section.items} <= {"yes", "no", "warn", "told"}
    assert any("licensed professional" in said for said in section.cautions)


# --- which arm ---


def test_mirrored_twice_is_the_scene_itself():
    scene = read_scene(REPOSITORY / "examples" / "courier-stage-mended.yaml").model
    names = [o.name for o in mirrored_scene(scene).prop.openings]
    twice = mirrored_scene(mirrored_scene(scene))
    named = scene.model_copy(update={"prop": scene.prop.model_copy(update={"openings": [
        o.model_copy(update={"name": n}) for o, n in zip(scene.prop.openings, names, strict=True)]})})  # fmt: skip
    assert twice == named
    assert mirrored_scene(scene) != named


def test_a_mirrored_act_before_a_mirrored_house_shows_the_same():
    other = bench(("E1, at: [2 m", "E1, at: [-2 m"), ("E2, at: [-0.5 m", "E2, at: [0.5 m"))
    here, there = sides.builds(bench())
    mirrored_here, mirrored_there = sides.builds(other)
    assert (here.arm, there.arm) == ("left arm", "right arm")
    assert there.seen == mirrored_here.seen
    assert here.seen == mirrored_there.seen
    assert there.clear_m == pytest.approx(here.clear_m, abs=1e-6)
    assert there.raise_deg == pytest.approx(here.raise_deg, abs=1e-6)


def test_every_elbow_of_the_mirrored_build_is_the_mirror_of_one_here():
    from dataclasses import replace

    from sightline.staging.stage import put_together

    written = replace(bench().written, model=mirrored_scene(bench().scene))
    other = Bench(written, put_together(written))
    for here, there in zip(grips(bench()), grips(other), strict=True):
        assert here.ways
        assert there.asked.wrist == pytest.approx(here.asked.wrist * [-1, 1, 1], abs=1e-9)
        for one, two in zip(here.ways, there.ways, strict=True):
            assert two.elbow == pytest.approx(one.elbow * [-1, 1, 1], abs=1e-9)
            assert two.edge.distance_m == pytest.approx(one.edge.distance_m, abs=5e-4)


def test_people_on_one_side_make_one_arm_better():
    """The mended act with nobody but three people close by at its left: only the left build shows them its arm."""
    passing = ", ".join(f"{{id: E{k}, at: [2.2 m, {0.5 + k / 2} m, 1.6 m], kind: standing}}" for k in (1, 2, 3))
    text = (REPOSITORY / "examples" / "courier-pitch-mended.yaml").read_text(encoding="utf-8")
    assert "venue: {use: convention-aisle}" in text
    seen = bench_of(scene_from_text(text.replace("venue: {use: convention-aisle}", f"eyes: [{passing}]")))
    found = items(sides.section(seen))
    assert found["leaks"].value == [3.0, 0.0]
    assert found["better arm"].value == "right arm"
    assert "right arm hidden" in found["leaks"].words


# --- the picture ---


def test_the_picture_is_drawn_the_same_twice():
    from sightline.pictures.reach import draw_reach
    from sightline.pictures.style import picture_bytes

    seen = reach.view(bench())
    first, second = (picture_bytes(draw_reach(seen, "A crate"), "png") for _ in range(2))
    assert first == second
    assert first.startswith(b"\x89PNG")
