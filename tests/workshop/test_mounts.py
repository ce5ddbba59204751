"""Mount points: coordinates from the edges, levers worked by hand, and mounts that hold nothing."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sightline.errors import FileError
from sightline.geometry.frame import unit
from sightline.geometry.mesh import Mesh
from sightline.props.box import wall_of
from sightline.scene.prop import Opening
from sightline.workshop import mounts
from sightline.workshop.fit import document, sections
from sightline.workshop.landing import landing_spot
from sightline.workshop.lever import allowed_deg, lever, screw_tolerance_m, turned
from sightline.workshop.limbs import limbs_of
from sightline.workshop.screws import EDGE_M, HOLE_EDGE_M, edge_words, screw_pair, spot_on
from tests.workshop.limbscenes import act, built, imported, items, left_arm, on_bench

SIZE = np.array([0.46, 0.32, 0.30])


def test_the_lever_worked_by_hand() -> None:
    """A shoulder 300 mm back and 400 mm up from the mount is 500 mm off along the wall, by Pythagoras.

    One degree turns it by 500 x pi / 180 = 8.7266 mm; 10 mm allow 1.1459 deg. With 120 mm in besides it is
    sqrt(500^2 + 120^2) = 514.198 mm off, and a palm one degree from flat moves it by at most 8.9744 mm.
    """
    x, y = np.array([1.0, 0, 0]), np.array([0, 1.0, 0])
    found = lever("shoulder", np.array([-0.12, 0.3, 0.4]), np.zeros(3), x, y)
    assert found.turn_m_per_deg() * 1000 == pytest.approx(8.7266, abs=1e-4)
    assert found.tilt_m_per_deg() * 1000 == pytest.approx(8.9744, abs=1e-4)
    assert allowed_deg(0.010, found.turn_m) == pytest.approx(1.1459, abs=1e-4)
    assert found.shift == 1.0


def test_the_lever_is_what_turning_does() -> None:
    rng = np.random.default_rng(4)
    x, y, z = np.eye(3)
    for at in rng.normal(size=(50, 3)):
        found = lever("joint", at, np.zeros(3), x, y)
        small = 1e-5
        assert np.linalg.norm(turned(at, np.zeros(3), x, small) - at) / small == pytest.approx(found.turn_m, rel=1e-4)
        tilts = [
            np.linalg.norm(turned(at, np.zeros(3), np.cos(t) * y + np.sin(t) * z, small) - at) / small
            for t in np.linspace(0, np.pi, 721)
        ]
        assert max(tilts) == pytest.approx(found.tilt_m, rel=1e-4)


def test_two_screws_worked_by_hand() -> None:
    """500 mm of reach on screws 50 mm apart: t (1 + 2 x 500 / 50) = 21 t; for 10 mm each may be 0.476 mm off."""
    assert screw_tolerance_m(0.010, 0.5, 0.05) * 1000 == pytest.approx(10 / 21)


def test_no_two_screw_errors_within_the_tolerance_exceed_it() -> None:
    """Screws and joint as points of the wall's plane; the limb follows both holes as a rigid body."""
    rng = np.random.default_rng(5)
    a, b, joint = 0 - 0.03j, 0 + 0.03j, 0.3 + 0.4j
    t = screw_tolerance_m(0.010, abs(joint), abs(b - a))
    worst = 0.0
    for _ in range(2000):
        ea, eb = (t * np.exp(1j * angle) for angle in rng.uniform(0, 2 * np.pi, 2))
        turn = (b + eb - a - ea) / (b - a)
        to = (a + ea + b + eb) / 2 + turn / abs(turn) * joint
        worst = max(worst, abs(to - joint))
    assert 0.8 * 0.010 < worst <= 0.010 + 1e-5


@pytest.mark.parametrize(
    ("name", "at", "left", "bottom", "edges"),
    [
        # Across runs to the performer's left; the audience, in front, has that on their right.
        ("front", (0.10, 0.05), 0.33, 0.20, ("performer's right", "lower")),
        ("back", (0.10, 0.05), 0.13, 0.20, ("performer's left", "lower")),
        # Across runs back to the performer: right for one who looks at the left wall.
        ("left", (0.10, 0.05), 0.26, 0.20, ("front", "lower")),
        ("right", (0.10, 0.05), 0.06, 0.20, ("back (performer's)", "lower")),
        ("top", (0.10, 0.05), 0.33, 0.21, ("performer's right", "front")),
        ("bottom", (0.10, 0.05), 0.13, 0.21, ("performer's left", "front")),
    ],
)
def test_places_are_told_from_the_edges_as_seen_from_outside(
    name: str, at: tuple[float, float], left: float, bottom: float, edges: tuple[str, str]
) -> None:
    wall = wall_of(SIZE, name)
    spot = spot_on(wall, *at)
    assert (spot.from_left_m, spot.from_bottom_m) == pytest.approx((left, bottom))
    assert edge_words(wall) == (
        f"seen from outside the left edge is the {edges[0]} one, the bottom edge the {edges[1]} one"
    )


def test_screws_go_under_the_palm_along_the_fingers_and_keep_off_edges_and_openings() -> None:
    wall, fingers = wall_of(SIZE, "left"), unit(np.array([-0.8, -0.6, 0.0]))[:2]
    pair = screw_pair(wall, "left", np.zeros(2), fingers, [], 0.18, 0.08)
    assert pair is not None
    # 0.17 of 180 mm either way, on a grid of 5 mm: 60 mm apart along the fingers, the heel's first.
    assert np.linalg.norm(pair[1] - pair[0]) == pytest.approx(0.060, abs=0.002)
    assert unit(pair[1] - pair[0]) @ fingers > 0.9
    corner = screw_pair(wall, "left", np.array(wall.size_m) / 2 - 0.02, fingers, [], 0.18, 0.08)
    assert corner is not None
    assert all(np.all(np.abs(place) <= np.array(wall.size_m) / 2 - EDGE_M + 1e-9) for place in corner)
    hole = Opening(wall="left", shape="round", diameter=0.04, at=(0.0, 0.0))
    beside = screw_pair(wall, "left", np.array([0.03, 0.0]), fingers, [hole], 0.18, 0.08)
    assert beside is not None
    assert all(np.linalg.norm(place) >= 0.02 + HOLE_EDGE_M - 1e-3 for place in beside)
    large = Opening(wall="left", shape="round", diameter=0.20, at=(0.0, 0.0))
    assert screw_pair(wall, "left", np.array([0.08, 0.0]), fingers, [large], 0.18, 0.08) is None


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_built_limb_lands(side: str) -> None:
    bench = built(side)  # type: ignore[arg-type]
    found = items(mounts.section(bench))
    assert found["hand"].state == "yes"
    # The middle of a wall 320 mm deep and 300 mm high.
    assert found["hand"].value == pytest.approx([0.16, 0.15])
    assert found["shoulder lands"].state == "yes"
    assert found["own lengths"].state == "yes"
    assert "159 mm (6 1/4 in) from the middle" in found["strap point"].words
    # The elbow's place, worked from the prop's own frame.
    arm, carried = bench.false_arms[0], bench.carried
    assert carried is not None
    elbow = carried.placement.inverse().points(arm.elbow)
    assert found["elbow lands"].value[0] == pytest.approx(abs(elbow[0]) - 0.23)  # type: ignore[index]
    far = [np.linalg.norm((arm.shoulder - carried.placement.points([x, 0, 0]))[1:]) for x in (0.23, -0.23)]
    assert found["shoulder moves"].value[1] == pytest.approx(np.radians(1) * far[0] * 1000, rel=0.02)  # type: ignore[index]
    assert found["screw tolerance"].state == "warn"


def test_an_arm_of_own_lengths_gets_a_place_where_it_lands() -> None:
    bench = on_bench(act("hand at: {wall: left}, elbow: 60 deg"))
    arm, carried, body = bench.false_arms[0], bench.carried, bench.body
    assert abs(arm.scale - 1) > 0.01
    assert carried is not None
    assert body is not None
    spot = bench.scene.false_limbs[0].hand_at
    assert spot is not None
    found = landing_spot(arm, spot, carried, body)
    assert found is not None
    item = items(mounts.section(bench))["own lengths"]
    assert item.state == "warn"
    # Written into the scene as the report says, to a millimetre, it lands with the own lengths.
    hint = item.words[item.words.index("hand at: ") :].rstrip(".")
    again = on_bench(act(f"{hint}, elbow: 60 deg"))
    assert again.false_arms[0].scale == pytest.approx(1.0, abs=0.004)
    assert items(mounts.section(again))["own lengths"].state == "yes"


def test_no_place_for_own_lengths_is_said() -> None:
    item = items(mounts.section(on_bench(act("hand at: {wall: back, at: [15 cm, 0 cm]}, elbow: 5 deg"))))["own lengths"]
    assert "No place on the back wall" in item.words


def test_a_hand_beyond_the_wall_is_an_error_with_its_place() -> None:
    with pytest.raises(FileError, match="in mid-air") as caught:
        on_bench(act("hand at: {wall: left, at: [0 cm, 20 cm]}"))
    (problem,) = caught.value.problems
    assert "hand at" in problem.path
    assert problem.place.line == 10


@pytest.mark.parametrize(
    ("limb", "openings", "top", "why"),
    [
        ("hand at: {wall: left}", "    - {wall: left, diameter: 6 cm}\n", "", "the left wall has an opening"),
        ("hand at: {wall: top}", "", ", top: open", "the box has no top wall"),
    ],
)
def test_a_hand_on_nothing_is_a_no(limb: str, openings: str, top: str, why: str) -> None:
    found = items(mounts.section(on_bench(act(limb, openings=openings, top=top))))
    assert found["hand"].state == "no"
    assert why in found["hand"].words
    assert "screws" not in found


def test_an_imported_limb_lands_or_is_in_mid_air(tmp_path: Path) -> None:
    mesh, marks = left_arm()
    found = items(mounts.section(imported(tmp_path, mesh, marks)))
    assert (found["hand"].state, found["shoulder lands"].state) == ("yes", "yes")
    out = np.array([0.04, 0.0, 0.0])
    away = {name: at + out for name, at in marks.items()}
    found = items(mounts.section(imported(tmp_path, Mesh(mesh.vertices + out, mesh.faces), away)))
    assert (found["hand"].state, found["shoulder lands"].state) == ("no", "no")
    assert "off the left wall" in found["hand"].words
    (item,) = mounts.section(imported(tmp_path, mesh, None)).items
    assert item.state == "not known"


def test_a_limb_through_the_wall_is_told_where(tmp_path: Path) -> None:
    """The forearm carried inward by a hand's breadth runs through the box."""
    mesh, marks = left_arm()
    inward = np.array([-0.08, 0.0, 0.0])
    moved = {name: at + inward for name, at in marks.items()}
    found = items(mounts.section(imported(tmp_path, Mesh(mesh.vertices + inward, mesh.faces), moved)))
    item = found["through the wall"]
    assert item.state == "no"
    assert "goes through the wall" in item.words
    assert "behind the left wall" in item.words
    assert item.value is not None
    assert float(item.value) > 3e-4  # type: ignore[arg-type]
    out = -1.5 * inward
    clear = {name: at + out for name, at in marks.items()}
    found = items(mounts.section(imported(tmp_path, Mesh(mesh.vertices + out, mesh.faces), clear)))
    assert (found["through the wall"].state, found["through the wall"].value) == ("yes", 0.0)
    # Open, nobody can tell what is inside it.
    part = Mesh.of(mesh.vertices, mesh.faces[: len(mesh.faces) // 2 * 2 - 40])
    assert items(mounts.section(imported(tmp_path, part, marks)))["through the wall"].state == "not known"


def test_a_built_limb_with_its_elbow_drawn_in_goes_through_the_box() -> None:
    """Drawn in, the elbow is inboard of the left wall and the forearm must pass through it to the hand outside.

    Carried out, its middle stays outside and the skin that is in the way can be cut flat.
    """
    for out, state in ((-30, "no"), (20, "warn")):
        found = items(
            mounts.section(on_bench(act(f"hand at: {{wall: left, at: [0 cm, -6 cm]}}, elbow out: {out} deg")))
        )
        assert found["through the wall"].state == state, out


def test_scenes_without_the_parts_say_so_and_the_report_holds_all_three() -> None:
    plain = "version: 1\nsecrets: [{name: t, disc: {radius: 10 cm}}]\neyes: [{id: E1, at: [0 m, -5 m, 1 m]}]\n"
    (item,) = mounts.section(on_bench(plain)).items
    assert item.state == "not known"
    bench = built("left")
    assert limbs_of(bench)
    found = document(bench, "scene.yaml", sections(bench), [])["sections"]
    assert {"anatomy", "right hand", "mounts"} <= set(found)
