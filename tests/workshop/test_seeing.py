"""What the performer sees, and what passes a door: by plain geometry, then on a whole scene."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import box, rectangle
from sightline.scene.reading import read_scene, scene_from_text
from sightline.sight.rays import Blockers
from sightline.workshop import freehands, passing, seeing
from sightline.workshop.bench import Bench, bench_of
from tests.conftest import REPOSITORY

# Rays are cast in single precision and edges followed to 0.1 mm.
EDGE_TOL_M = 2e-4
EYE_M, EDGE_UP_M, EDGE_AHEAD_M = 1.64, 1.10, 0.35


def bench(text: str) -> Bench:
    return bench_of(scene_from_text("version: 1\n" + text))


def example(name: str) -> Bench:
    return bench_of(read_scene(REPOSITORY / "examples" / name))


def wall(ahead_m: float, top_m: float, width_m: float = 40.0) -> Mesh:
    """A sheet from the floor up, square to the way ahead."""
    sheet = rectangle(width_m, top_m)
    return Mesh(sheet.vertices + [0.0, -ahead_m, top_m / 2], sheet.faces)


EYE = np.array([[0.0, 0.0, EYE_M]])


@pytest.mark.parametrize("cover", ["edge", "box"])
def test_floor_hidden_by_an_edge(cover: str) -> None:
    """Similar triangles: 0.35 * 1.64 / (1.64 - 1.10) = 1.0630 m (issue 4, must hold)."""
    if cover == "edge":
        mesh = wall(EDGE_AHEAD_M, EDGE_UP_M)
    else:  # a carried box from the chest to the edge
        solid = box(0.5, 0.30, 0.30)
        mesh = Mesh(solid.vertices + [0.0, -EDGE_AHEAD_M + 0.15, EDGE_UP_M - 0.15], solid.faces)
    found = seeing.seen_from(EYE, Blockers([mesh]), [0.0])
    by_hand = EDGE_AHEAD_M * EYE_M / (EYE_M - EDGE_UP_M)
    assert by_hand == pytest.approx(1.0630, abs=5e-5)
    assert found[0] == pytest.approx(by_hand, abs=EDGE_TOL_M)


def test_a_childs_crown_over_the_edge() -> None:
    """The same triangles, down to 1.0 m: 0.35 * 0.64 / 0.54 = 0.4148 m."""
    found = seeing.seen_from(EYE, Blockers([wall(EDGE_AHEAD_M, EDGE_UP_M)]), [0.0], height_m=1.0)
    assert found[0] == pytest.approx(0.35 * 0.64 / 0.54, abs=EDGE_TOL_M)


@pytest.mark.parametrize("bearing_deg", [-60, -30, 20, 45])
def test_obliquely_the_edge_is_farther(bearing_deg: int) -> None:
    """A straight edge is 0.35 / cos(bearing) away along a bearing."""
    found = seeing.seen_from(EYE, Blockers([wall(EDGE_AHEAD_M, EDGE_UP_M)]), [math.radians(bearing_deg)])
    by_hand = EDGE_AHEAD_M / math.cos(math.radians(bearing_deg)) * EYE_M / (EYE_M - EDGE_UP_M)
    assert found[0] == pytest.approx(by_hand, abs=EDGE_TOL_M / math.cos(math.radians(bearing_deg)))


def test_positive_bearings_are_to_the_left() -> None:
    """A post at the performer's left hides floor at +90 deg alone."""
    post = box(0.1, 0.4, 1.2)
    at_left = Mesh(post.vertices + [0.5, 0.0, 0.6], post.faces)
    found = seeing.seen_from(EYE, Blockers([at_left]), np.radians([90.0, -90.0, 0.0]).tolist())
    assert found[0] > 0.5
    assert found[1] == found[2] == 0.0


def test_two_eyes_see_round_a_thin_post() -> None:
    """Eyes 63 mm apart: a post of 20 mm at half a metre hides floor from one eye that the other sees."""
    post = box(0.02, 0.02, 2.0)
    blockers = Blockers([Mesh(post.vertices + [0.0, -0.5, 1.0], post.faces)])
    both = EYE + np.array([[0.0315, 0.0, 0.0], [-0.0315, 0.0, 0.0]])
    assert seeing.seen_from(EYE, blockers, [0.0])[0] == math.inf
    assert seeing.seen_from(both, blockers, [0.0])[0] < 1.0


def test_nothing_in_the_way_and_a_wall_to_the_eyes() -> None:
    assert seeing.seen_from(EYE, Blockers([]), [0.0]).tolist() == [0.0]
    assert seeing.seen_from(EYE, Blockers([wall(0.5, 3.0)]), [0.0]).tolist() == [math.inf]


def test_blind_sectors_go_round_behind() -> None:
    floor = tuple(1.0 for _ in seeing.BEARINGS_DEG)
    found = seeing.Seeing(seeing.BEARINGS_DEG, floor, floor)
    assert found.blind() == [(170, -170)]
    assert seeing.sector_words((170, -170)).endswith("behind")
    ahead = tuple(math.inf if abs(b) <= 20 else 1.0 for b in seeing.BEARINGS_DEG)
    assert (-20, 20) in seeing.Seeing(seeing.BEARINGS_DEG, ahead, floor).blind()


def test_on_a_scene_the_prop_hides_floor() -> None:
    """The crate's edge, its height and place read off the example, by similar triangles at least."""
    on = example("courier-stage-mended.yaml")
    found = seeing.seeing_of(on)
    assert found is not None
    assert on.body is not None
    eye = on.body.skeleton.eye
    # Front top edge of the crate: 37 + 16 cm ahead of the mark, 118 + 15 cm up, give or take the tilt of 4 deg.
    ahead, up = 0.53 + eye[1], 1.33 - 0.02
    assert found.floor(0) > ahead * eye[2] / (eye[2] - up) * 0.9
    assert found.floor(0) > found.floor(-40) > 0
    told = next(item for item in seeing.section(on).items if item.key == "all bearings")
    assert f"straight ahead {found.floor(0):.2f} m / " in told.words


def test_the_same_scene_without_its_prop_sees_more() -> None:
    bare = bench(
        "performer: {stature: 172 cm}\nsecrets: [{name: s, disc: {radius: 1 cm}, at: [0 m, -1 m, 1 m]}]\n"
        "pose: {gaze: audience}\neyes: [{id: E1, at: [0 m, -5 m, 1.2 m]}]\n"
    )
    found, full = seeing.seeing_of(bare), seeing.seeing_of(example("courier-stage-mended.yaml"))
    assert found is not None
    assert full is not None
    assert found.floor(0) < 0.6 < full.floor(0)


PLAN = np.array([[x, y] for x in (-0.3, 0.3) for y in (-0.6, 0.2)])


def test_footprint_of_a_rectangle() -> None:
    """0.6 x 0.8 m about a spine 0.2 m from its back: the farthest corner is sqrt(0.3^2 + 0.6^2) away."""
    found = passing.footprint(PLAN, np.zeros(2))
    assert (found.width_m, found.depth_m) == pytest.approx((0.6, 0.8))
    assert found.turning_m == pytest.approx(math.hypot(0.3, 0.6))
    assert found.narrowest_m == pytest.approx(0.6)
    assert found.straight_m == pytest.approx(0.7)
    assert found.sideways_m == pytest.approx(0.9)


@pytest.mark.parametrize("turn_deg", [20.0, -30.0])
def test_the_best_turn_is_found_and_named_by_the_right_side(turn_deg: float) -> None:
    """A plank held askew: turning the body against it brings it in line with the door."""
    turn = math.radians(turn_deg)
    about = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    plank: FloatArray = np.array([[x, y] for x in (-0.1, 0.1) for y in (-1.0, 1.0)]) @ about.T
    found = passing.footprint(plank, np.zeros(2))
    assert found.narrowest_m == pytest.approx(0.2)
    # Counter-clockwise from above (x left, -y ahead) is a turn to the own left: the plank then needs one to the right.
    assert passing.body_turn_deg(found) == pytest.approx(-turn_deg)


def test_hands_of_the_courier() -> None:
    on = example("courier-stage-beats.yaml")
    states = {state.side: state for state in freehands.hand_states(on)}
    assert "hidden" in states["left"].doing
    assert not states["right"].free
    items = {item.key: item for item in freehands.section(on).items}
    assert items["free hand"].state == "no"
    assert items["door"].state == "no"
    assert "crate" in items["false left arm"].words
    assert "heavy" in items["false left arm"].words


def test_an_idle_hand_is_free() -> None:
    text = (REPOSITORY / "examples/courier-stage-mended.yaml").read_text(encoding="utf-8")
    text = text.replace("visible hand: {wall: right, at: [0 cm, -8 cm]}", "visible hand: hangs")
    items = {item.key: item for item in freehands.section(bench_of(scene_from_text(text))).items}
    assert items["free hand"].state == "yes"
    assert items["rail"].value == "right"


PLAIN = "eyes: [{id: E1, at: [0 m, -5 m, 1 m]}]\nsecrets: [{name: s, disc: {radius: 1 m}, at: [0 m, 0 m, 1 m]}]\n"


def test_without_a_performer_nothing_is_known() -> None:
    plain = bench(PLAIN)
    for part in (seeing, passing, freehands):
        assert [item.state for item in part.section(plain).items] == ["not known"]


@pytest.mark.parametrize("path", sorted((REPOSITORY / "examples").glob("*.yaml")), ids=lambda path: path.name)
def test_examples_have_their_sections(path: Path) -> None:
    on = bench_of(read_scene(path))
    for part in (seeing, passing, freehands):
        assert part.section(on).items


def test_what_hides_the_floor_is_named() -> None:
    """On the draft the owl stands higher than the crate's edge; without it the crate hides the floor."""
    with_owl = example("courier-stage.yaml")
    assert "by 'owl'" in next(i.words for i in seeing.section(with_owl).items if i.key == "floor ahead")
    text = (REPOSITORY / "examples/courier-stage.yaml").read_text(encoding="utf-8")
    small = bench_of(scene_from_text(text.replace("height: 34 cm", "height: 6 cm")))
    assert "by 'crate'" in next(i.words for i in seeing.section(small).items if i.key == "floor ahead")
