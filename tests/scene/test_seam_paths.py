"""Seams along a path: what is wrong is said with its place; what is right lies on the skin without a gap."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sightline.errors import FileError
from sightline.props.falselimb import SEAM_SIDES, FalseArm
from sightline.scene.prop import LimbSeam
from sightline.scene.reading import scene_from_text
from sightline.scene.scene import Scene
from sightline.sight.check import check
from sightline.sight.lines import closest, line_on
from sightline.staging.stage import put_together, stage
from tests.workshop.limbscenes import act

HELD = "hand at: {wall: left, at: [0 cm, 0 cm]}"


def scene(seam: str, key: str = "seams") -> str:
    return act(f"{HELD}, elbow: 95 deg, {key}: [{{name: s, {seam}}}]")


@pytest.mark.parametrize(
    ("seam", "says", "path"),
    [
        ("path: [[0, 180 deg], [1.2, 170 deg]]", "1.2 is outside what can be: 0 to 1", "path[1][0]"),
        ("path: [[-0.1, 180 deg], [1, 170 deg]]", "-0.1 is outside what can be: 0 to 1", "path[0][0]"),
        ("path: [[0, 180 deg]]", "A path needs two points or more", "seams[0]"),
        ("path: []", "A path needs two points or more", "seams[0]"),
        ("path: [[0, 180], [1, 180 deg]]", "'180' has no unit", "path[0][1]"),
        (
            "path: [[0, 180 deg, 3], [1, 180 deg]]",
            "A point of a path is [share along the limb, angle round it]",
            "path[0]",
        ),
        ("path: [0, 1]", "A point of a path is [share along the limb, angle round it]", "path[0]"),
        ("path: straight", "A list belongs here", "path"),
        ("path: [[0, 180 deg], [1, 730 deg]]", "the most here is 2 full turns", "path[1][1]"),
        ("path: [[0, 180 deg], [0, 180 deg], [1, 0 deg]]", "follow each other are the same", "seams[0]"),
        ("path: [[0, 180 deg], [1, 0 deg]], side: inner", "give one", "seams[0]"),
        ("path: [[0, 180 deg], [1, 0 deg]], ring: 0.5", "give one", "seams[0]"),
        ("path: [[0, 180 deg], [1, 0 deg]], from: 0.2", "take from and to away", "seams[0]"),
        ("width: 1 mm", "give one", "seams[0]"),
        (f"path: [{', '.join(['[0, 1 deg], [1, 2 deg]'] * 101)}]", "more entries here than the 200", "path"),
    ],
)
@pytest.mark.parametrize("key", ["seams", "darts"])
def test_what_is_wrong_has_its_place(seam: str, says: str, path: str, key: str) -> None:
    with pytest.raises(FileError) as caught:
        scene_from_text(scene(seam, key), "bad.yaml")
    problem = caught.value.problems[0]
    assert says in problem.sentence
    assert path.replace("seams", key) in problem.path
    line = scene(seam, key).splitlines()[problem.place.line - 1]
    assert "name: s" in line
    assert problem.place.column > 1


def arm(elbow_deg: float) -> FalseArm:
    return put_together(scene_from_text(act(f"{HELD}, elbow: {elbow_deg:g} deg"))).act.false_arms[0]


BENT = {deg: arm(deg) for deg in (0.0, 40.0, 95.0)}


def length_of(arm: FalseArm, seam: LimbSeam) -> float:
    return line_on(arm.seam_path(seam), arm.mesh, 0.001).length_m


@pytest.mark.parametrize("deg", sorted(BENT))
@pytest.mark.parametrize("side", SEAM_SIDES)
def test_a_straight_path_is_a_side(deg: float, side: str) -> None:
    around = math.radians(SEAM_SIDES[side])
    path = LimbSeam(name="s", path=[(0.0, around), (1.0, around)])
    same = LimbSeam(name="s", side=side)
    # The forearm's outline is turned to the hand in one and not in the other, before both are laid on the skin.
    assert length_of(BENT[deg], path) == pytest.approx(length_of(BENT[deg], same), rel=0.005)


@pytest.mark.parametrize("deg", sorted(BENT))
def test_a_ring_as_a_path_is_as_long_as_the_limb_is_round(deg: float) -> None:
    path = LimbSeam(name="s", path=[(0.3, 0.0), (0.3, 2 * math.pi)])
    assert length_of(BENT[deg], path) == pytest.approx(length_of(BENT[deg], LimbSeam(name="s", ring=0.3)), rel=0.005)
    assert line_on(BENT[deg].seam_path(path), BENT[deg].mesh, 0.001).ring


turn = st.floats(-2 * math.pi, 4 * math.pi).map(lambda x: round(x, 3))
share = st.floats(0.0, 1.0).map(lambda x: round(x, 4))


@settings(max_examples=40, deadline=None)
@given(deg=st.sampled_from(sorted(BENT)), path=st.lists(st.tuples(share, turn), min_size=2, max_size=6))
def test_any_path_is_drawn_without_a_gap(deg: float, path: list[tuple[float, float]]) -> None:
    try:
        seam = LimbSeam(name="s", path=path)
    except ValueError:
        return  # the same point twice
    points = BENT[deg].seam_path(seam)
    if len(points) > 1:
        assert np.linalg.norm(np.diff(points, axis=0), axis=1).max() <= 0.005 + 1e-9
    assert np.isfinite(points).all()


@pytest.mark.parametrize("deg", sorted(BENT))
@pytest.mark.parametrize("around", [0.0, 1.0, math.pi, 4.0, 1.5 * math.pi])
def test_a_lengthwise_path_runs_on_over_the_elbow_on_the_skin(deg: float, around: float) -> None:
    # Short of the wrist, where the heel of the hand stands out.
    points = BENT[deg].seam_path(LimbSeam(name="s", path=[(0.0, around), (0.93, around + 0.4)]))
    away = np.linalg.norm(closest(points, BENT[deg].mesh)[0] - points, axis=1)
    # The ball over a bent elbow is drawn a little round; the check lays it on the skin.
    assert away.max() < 0.009
    assert np.median(away) < 0.0005


def test_at_the_elbows_share_a_point_is_in_the_mitre_plane() -> None:
    bent = BENT[95.0]
    upper = (bent.elbow - bent.shoulder) / np.linalg.norm(bent.elbow - bent.shoulder)
    fore = (bent.hold.wrist - bent.elbow) / np.linalg.norm(bent.hold.wrist - bent.elbow)
    points = bent.skin_points(np.full(24, bent.elbow_share), np.arange(24) / 24 * 2 * math.pi)
    assert np.abs((points - bent.elbow) @ (upper + fore)).max() < 1e-9
    off = np.linalg.norm(closest(points, bent.mesh)[0] - points, axis=1)
    assert off.max() < 0.005


def test_the_check_sees_a_path() -> None:
    """In front of the elbow's crease in full view, and behind the arm not at all."""
    eye = "eyes: [{id: E1, at: [1 m, -5 m, 1.5 m]}]\n"
    for around, sees in (("20 deg", True), ("220 deg", False)):
        text = scene(f"path: [[0.05, {around}], [0.35, {around}]]")
        finding = check(stage(scene_from_text(text[: text.index("eyes:")] + eye)))
        assert (finding.secrets["s"].sighting.seen.length_m[0] > 0.05) == sees


def test_editors_know_of_paths() -> None:
    schema = Scene.model_json_schema(by_alias=True)
    assert "path" in schema["$defs"]["LimbSeam"]["properties"]
