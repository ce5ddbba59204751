"""A false arm beside the real one: equal arms pass, and every way of being wrong is told by how much."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sightline.geometry.frame import about_x, unit
from sightline.geometry.mesh import Mesh
from sightline.geometry.shapes import box, cylinder, sphere
from sightline.workshop import anatomy
from sightline.workshop.girth import girth_m
from sightline.workshop.limbs import LimbPose, limbs_of
from sightline.workshop.silhouette import outline, outlooks, view_axes
from tests.workshop.limbscenes import act, built, imported, items, left_arm, on_bench

# Of a polygon in place of a circle of 96 sides.
FACETS = 2e-3
# Of polygons kept on the grid of the library that joins them.
GRID = 1e-6


def test_two_balls_overlap_as_two_circles_do() -> None:
    """Two circles of radius r a distance r apart share r2 (2 pi / 3 - sqrt(3) / 2) (plane geometry)."""
    r = 0.1
    one = sphere(r, splits=5)
    other = Mesh(one.vertices + np.array([r, 0.0, 0.0]), one.faces)
    both = r * r * (2 * np.pi / 3 - np.sqrt(3) / 2)
    want = both / (2 * np.pi * r * r - both)
    ahead = next(view for view in outlooks(one, other) if (view.bearing_deg, view.height_deg) == (0.0, 0.0))
    beside = next(view for view in outlooks(one, other) if (view.bearing_deg, view.height_deg) == (90.0, 0.0))
    assert ahead.overlap == pytest.approx(want, abs=FACETS)
    assert ahead.extra_m2 == pytest.approx(np.pi * r * r - both, rel=0.01)
    assert beside.overlap == pytest.approx(1.0, abs=FACETS)


def test_an_open_or_inside_out_mesh_has_the_same_shadow() -> None:
    solid = box(0.3, 0.2, 0.1)
    axes = view_axes(45.0, 30.0)
    want = outline(solid, axes).area()
    # Of a box: the sum over its faces seen of area times the cosine.
    to_eye = np.cross(axes[0], axes[1])
    assert want == pytest.approx(float(np.abs(to_eye) @ [0.2 * 0.1, 0.3 * 0.1, 0.3 * 0.2]), rel=GRID)
    assert outline(solid.flipped(), axes).area() == pytest.approx(want, rel=GRID)
    # Without the bottom, which nobody sees from above.
    kept = solid.faces[np.any(solid.corners[:, :, 2] > 0, axis=1)]
    assert outline(Mesh.of(solid.vertices, kept), axes).area() == pytest.approx(want, rel=GRID)


def test_a_tape_round_a_tube_reads_its_girth() -> None:
    tube = cylinder(0.05, 0.4, 96)
    at = np.array([0.01, 0.0, 0.05])
    assert girth_m(tube, at, np.array([0, 0, 1.0])) == pytest.approx(2 * np.pi * 0.05, rel=FACETS)
    # Askew by 45 deg the cut is an ellipse of half axes 50 and 70.7107 mm, round 382.019779 mm (references, section 12).
    askew = about_x(np.pi / 4) @ np.array([0, 0, 1.0])
    assert girth_m(tube, at, askew) == pytest.approx(0.382019779, rel=FACETS)
    assert girth_m(tube, np.array([0.0, 0, 3.0]), np.array([0, 0, 1.0])) is None


def test_a_tape_goes_round_the_limb_it_is_at_only() -> None:
    near, far = cylinder(0.05, 0.4, 96), cylinder(0.08, 0.4, 96)
    two = Mesh.joined([near, Mesh(far.vertices + np.array([0.3, 0, 0]), far.faces)])
    assert girth_m(two, np.zeros(3), np.array([0, 0, 1.0])) == pytest.approx(2 * np.pi * 0.05, rel=FACETS)


def test_a_false_arm_like_the_real_one_passes() -> None:
    found = items(anatomy.section(built("left")))
    for part in ("upper arm", "forearm", "biceps girth", "forearm girth", "wrist girth", "hand length", "hand breadth"):
        assert found[part].state == "yes", part
        assert found[part].value == pytest.approx(0.0, abs=5e-4)
        assert " in)" in found[part].words
    assert found["shoulder point"].value == pytest.approx(0.0, abs=1e-9)
    assert (found["elbow bend"].state, found["elbow way"].state) == ("yes", "yes")
    assert found["outline"].value == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize(("girth", "state"), [(1.08, "yes"), (1.15, "warn"), (1.4, "no"), (0.7, "no")])
def test_a_limb_too_thick_or_thin_is_told_by_how_much(girth: float, state: str) -> None:
    bench = on_bench(act(f"hand at: {{wall: left}}, girth: {girth}"))
    found = items(anatomy.section(bench))
    assert bench.sheet is not None
    assert found["biceps girth"].state == state
    assert found["biceps girth"].value == pytest.approx((girth - 1) * bench.sheet.biceps_girth_m, rel=0.01)
    assert f"{abs(girth - 1) * 100:.1f} % {'thicker' if girth > 1 else 'thinner'}" in found["biceps girth"].words
    assert found["upper arm"].state == "yes"
    assert 0.3 < float(found["outline"].value or 0) < 0.99  # type: ignore[arg-type]


def test_a_limb_stretched_to_its_bend_is_told() -> None:
    """At 40 deg of bend the arm must be shorter than the real one to put its hand there."""
    bench = on_bench(act("hand at: {wall: left}, elbow: 40 deg"))
    found = items(anatomy.section(bench))
    scale = bench.false_arms[0].scale
    assert scale < 0.9
    assert found["upper arm"].state in ("warn", "no")
    assert bench.sheet is not None
    assert found["upper arm"].value == pytest.approx((scale - 1) * bench.sheet.upper_arm_m, rel=1e-6)
    assert found["elbow bend"].value == pytest.approx(40.0, abs=1e-6)


def test_an_elbow_that_stands_up_bends_as_no_arm_does() -> None:
    for out, state in ((0, "yes"), (90, "yes"), (-30, "yes"), (-60, "no"), (180, "no")):
        found = items(anatomy.section(on_bench(act(f"hand at: {{wall: left}}, elbow out: {out} deg"))))
        assert found["elbow way"].state == state, out
        assert abs(float(found["elbow way"].value or 0)) == pytest.approx(abs(out), abs=1e-6)  # type: ignore[arg-type]


def test_an_elbow_beyond_150_degrees_is_refused(tmp_path: Path) -> None:
    """AAOS: 150 deg; 151 is no elbow's. Imported, for the arm solver does not build one."""
    mesh, marks = left_arm(coarse=True)
    shoulder, elbow = marks["shoulder"], marks["elbow"]
    for bend, state in ((149.0, "yes"), (151.0, "no")):
        along = unit(elbow - shoulder)
        side = unit(np.cross(along, [1.0, 0.0, 0.0]))
        wrist = elbow + 0.25 * (np.cos(np.radians(bend)) * along + np.sin(np.radians(bend)) * side)
        pose = LimbPose(shoulder, elbow, wrist, unit(wrist - elbow), np.array([-1.0, 0, 0]))
        limb = limbs_of(imported(tmp_path, mesh, marks))[0]
        assert next(iter(anatomy.elbow_items(limb, pose))).state == state


def test_a_shoulder_set_wrong_is_told_in_mm_and_slope(tmp_path: Path) -> None:
    """Imported 30 mm too low: the line of the shoulders, about 317 mm long, falls by atan(30 / 317) = 5.4 deg."""
    mesh, marks = left_arm()
    down = np.array([0.0, 0.0, -0.03])
    moved = {name: at + down for name, at in marks.items()}
    bench = imported(tmp_path, Mesh(mesh.vertices + down, mesh.faces), moved)
    found = items(anatomy.section(bench))
    assert found["shoulder point"].state == "no"
    assert found["shoulder point"].value == pytest.approx(0.030, abs=1e-5)
    assert "30 mm lower" in found["shoulder point"].words
    assert bench.body is not None
    wide = 2 * abs(bench.body.shoulder("right")[0])
    assert found["shoulder slope"].value == pytest.approx(-np.degrees(np.arctan(0.03 / wide)), abs=0.01)
    assert found["shoulder slope"].state == "no"
    # Its bones, girths and hand are the real arm's all the same.
    for part in ("upper arm", "forearm", "biceps girth", "forearm girth", "hand length"):
        assert found[part].state == "yes", part


def test_a_child_s_hand_on_a_grown_arm_is_told(tmp_path: Path) -> None:
    """The whole hand beyond the wrist at three quarters of its size."""
    mesh, marks = left_arm()
    fingers = unit(marks["middle tip"] - marks["wrist"])

    def shrunk(points: np.ndarray) -> np.ndarray:
        from_wrist = points - marks["wrist"]
        hand = ((from_wrist @ fingers) > 0) & (np.linalg.norm(from_wrist, axis=1) < 0.22)
        return np.asarray(np.where(hand[:, None], marks["wrist"] + 0.75 * from_wrist, points))

    names = ("thumb tip", "palm", "middle tip")
    small = marks | {name: shrunk(marks[name][None])[0] for name in names}
    found = items(anatomy.section(imported(tmp_path, Mesh(shrunk(mesh.vertices), mesh.faces), small)))
    assert found["hand length"].state == "no"
    # Of a hand of 174 mm a quarter is 43 mm; the landmarks' own line of the fingers is not quite the hand's.
    assert found["hand length"].value == pytest.approx(-0.0435, abs=0.004)
    assert found["forearm girth"].state == "yes"


def test_a_wrist_beyond_its_range_is_a_warning() -> None:
    pose = LimbPose(
        np.array([0.2, 0, 1.4]), np.array([0.2, 0, 1.1]), np.array([0.2, -0.25, 1.1]),
        unit(np.array([0, -np.cos(0.5), -np.sin(0.5)])), np.array([-1.0, 0, 0]),
    )  # fmt: skip
    flexed, to_thumb = anatomy.wrist_deg(pose, "left")
    # Thumb up, fingers 0.5 rad down: bent to the little finger by as much.
    assert flexed == pytest.approx(0.0, abs=1e-9)
    assert to_thumb == pytest.approx(-np.degrees(0.5))


def test_estimates_are_named_and_a_scene_without_limbs_says_so() -> None:
    assert "estimated, not taped" in anatomy.section(built("left")).assumptions[0]
    text = act("hand at: {wall: left}")
    (item,) = anatomy.section(on_bench(text[: text.index("false limbs")] + text[text.index("eyes:") :])).items
    assert (item.state, "no false limb" in item.words) == ("not known", True)
