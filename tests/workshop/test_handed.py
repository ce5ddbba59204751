"""The wrong-hand check: mirrored limbs are caught, correct ones are not, built from sizes or imported."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sightline.errors import FileError
from sightline.geometry.mesh import Mesh
from sightline.workshop import handed
from sightline.workshop.limbs import LimbPose, limbs_of
from tests.workshop.limbscenes import MIRROR, act, built, imported, items, left_arm, on_bench

LENGTH_M = 0.18


def mirrored(marks: dict[str, np.ndarray], middle: float = 0.0) -> dict[str, np.ndarray]:
    return {name: at * MIRROR + np.array([2 * middle, 0.0, 0.0]) for name, at in marks.items()}


def test_the_triple_product_of_ones_own_hand() -> None:
    """A left hand held out palm down, fingers ahead (-y): its thumb points to the performer's right (-x)."""
    right, ahead, down = np.array([-1.0, 0, 0]), np.array([0, -1.0, 0]), np.array([0, 0, -1.0])
    assert handed.triple(right, down, ahead) == pytest.approx(1.0)
    assert handed.hand_side(handed.triple(right, down, ahead)) == "left"
    assert handed.hand_side(handed.triple(-right, down, ahead)) == "right"
    assert handed.hand_side(handed.triple(ahead + 0.05 * right, down, ahead)) == "left"
    assert handed.hand_side(handed.triple(down, down, ahead)) is None


def test_the_hinge_of_ones_own_arm() -> None:
    """Upper arm down, forearm ahead, palm towards the body: a left arm has its palm to the right (-x), thumb up."""
    joints = (np.array([0.2, 0, 1.4]), np.array([0.2, 0, 1.1]), np.array([0.2, -0.25, 1.1]))
    fingers, inward = np.array([0, -1.0, 0]), np.array([-1.0, 0, 0])
    assert handed.hinge_share(LimbPose(*joints, fingers, inward)) == pytest.approx(1.0)
    assert handed.hinge_side(LimbPose(*joints, fingers, inward)) == "left"
    assert handed.hinge_side(LimbPose(*joints, fingers, -inward)) == "right"
    # Palm down is a forearm turned 90 deg from thumb-up: more than 80, so neither arm's.
    assert handed.hinge_side(LimbPose(*joints, fingers, np.array([0, 0, -1.0]))) is None


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_built_limb_of_its_own_side_passes(side: str) -> None:
    found = items(handed.section(built(side)))  # type: ignore[arg-type]
    assert (found["hand"].state, found["elbow hinge"].state) == ("yes", "yes")
    assert side.upper() in found["marks"].words
    assert f"your own {side} hand" in found["proof"].words


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_built_limb_of_the_other_hand_is_caught(side: str) -> None:
    other = "right" if side == "left" else "left"
    text = act(f"hand at: {{wall: {side}, at: [0 cm, 0 cm]}}, handed: {other}", side=side)  # type: ignore[arg-type]
    found = items(handed.section(on_bench(text)))
    assert found["hand"].state == "no"
    assert f"replaces the {side} arm and is a {other} limb" in found["hand"].words


def test_a_built_limb_is_told_by_its_skin_not_by_its_label() -> None:
    limb = limbs_of(built("left"))[0]
    assert limb.pose is not None
    assert handed.thumb_reach(limb.mesh, limb.pose, LENGTH_M) > handed.THUMB_M
    pose = LimbPose(*(getattr(limb.pose, name) * MIRROR for name in ("shoulder", "elbow", "wrist", "fingers", "palm")))
    assert handed.thumb_reach(limb.mesh.mirrored_x(), pose, LENGTH_M) < -handed.THUMB_M


def test_an_imported_left_limb_passes(tmp_path: Path) -> None:
    found = items(handed.section(imported(tmp_path, *left_arm())))
    assert (found["hand"].state, found["elbow hinge"].state) == ("yes", "yes")
    assert "inside out" not in found


def test_the_same_limb_mirrored_with_its_landmarks_is_caught(tmp_path: Path) -> None:
    """Mirrored in its own middle, so that it still hangs at the left shoulder: only its hand is wrong."""
    mesh, marks = left_arm()
    middle = float(marks["shoulder"][0])
    turned = mesh.mirrored_x()
    turned = Mesh(turned.vertices + np.array([2 * middle, 0.0, 0.0]), turned.faces)
    found = items(handed.section(imported(tmp_path, turned, mirrored(marks, middle))))
    assert (found["hand"].state, found["elbow hinge"].state) == ("no", "no")
    assert "is a right limb" in found["hand"].words
    assert "mirror the pattern" in found["hand"].words


def test_a_right_limb_passes_at_the_right_shoulder(tmp_path: Path) -> None:
    mesh, marks = left_arm()
    found = items(handed.section(imported(tmp_path, mesh.mirrored_x(), mirrored(marks), "right")))
    assert (found["hand"].state, found["elbow hinge"].state) == ("yes", "yes")


@pytest.mark.parametrize("open_mesh", [False, True])
def test_a_mirror_that_left_the_winding_is_caught_and_named(tmp_path: Path, open_mesh: bool) -> None:
    """As a negative scale leaves it: corners mirrored, faces not turned; also where the mesh has no inside."""
    mesh, marks = left_arm()
    middle = float(marks["shoulder"][0])
    faces = mesh.faces[mesh.corners[:, :, 2].max(axis=1) < 1.36] if open_mesh else mesh.faces
    turned = Mesh(mesh.vertices * MIRROR + np.array([2 * middle, 0.0, 0.0]), faces)
    found = items(handed.section(imported(tmp_path, turned, mirrored(marks, middle))))
    assert found["hand"].state == "no"
    assert ("inside out" in found) is not open_mesh


def test_landmarks_of_before_the_mirroring_are_caught(tmp_path: Path) -> None:
    mesh, marks = left_arm()
    with pytest.raises(FileError, match=r"(?s)mirrored after it was taken.*landmarks") as caught:
        handed.section(imported(tmp_path, mesh.mirrored_x(), marks))
    assert caught.value.problems[0].path.startswith("false limbs")


def test_a_thumb_taken_for_a_little_finger_is_not_believed(tmp_path: Path) -> None:
    """The landmark tells one hand and the skin another: not known, and never a yes."""
    mesh, marks = left_arm()
    fingers = marks["middle tip"] - marks["wrist"]
    fingers /= np.linalg.norm(fingers)
    wrong = marks["thumb tip"] - marks["wrist"]
    across = wrong - (wrong @ fingers) * fingers
    aim = marks["wrist"] + 0.12 * fingers - 0.6 * across
    marks["thumb tip"] = mesh.vertices[np.argmin(np.linalg.norm(mesh.vertices - aim, axis=1))]
    assert items(handed.section(imported(tmp_path, mesh, marks)))["hand"].state == "not known"


def test_without_landmarks_nothing_is_known(tmp_path: Path) -> None:
    found = handed.section(imported(tmp_path, left_arm()[0], None))
    assert [item.state for item in found.items] == ["not known"]
    assert "thumb tip" in found.items[0].words


@pytest.mark.parametrize("gone", ["shoulder", "elbow", "wrist", "thumb tip", "palm", "middle tip"])
def test_a_missing_landmark_is_named_with_its_place(tmp_path: Path, gone: str) -> None:
    mesh, marks = left_arm(coarse=True)
    del marks[gone]
    with pytest.raises(FileError) as caught:
        imported(tmp_path, mesh, marks)
    (problem,) = caught.value.problems
    assert f"no landmark '{gone}'" in problem.sentence
    assert problem.path.endswith("landmarks")
    assert problem.place.line > 1


def test_bad_landmarks_are_refused(tmp_path: Path) -> None:
    mesh, marks = left_arm(coarse=True)
    with pytest.raises(FileError, match="no key 'thumb'"):
        imported(tmp_path, mesh, marks | {"thumb": marks["palm"]})
    with pytest.raises(FileError, match="'elbow' and 'wrist' are in one place"):
        handed.section(imported(tmp_path, mesh, marks | {"wrist": marks["elbow"] + 0.001}))
    with pytest.raises(FileError, match="scale"):
        imported(tmp_path, mesh, marks, scale=", scale: -1")
    with pytest.raises(FileError, match="Landmarks belong to the mesh"):
        on_bench(act("hand at: {wall: left}, landmarks: {" + ", ".join(f"{k}: [0 m, 0 m, 0 m]" for k in marks) + "}"))


def test_a_scene_without_false_limbs_says_so() -> None:
    text = act("hand at: {wall: left}")
    text = text[: text.index("false limbs")] + text[text.index("eyes:") :]
    (item,) = handed.section(on_bench(text)).items
    assert item.state == "not known"
    assert "the scene has no false limb" in item.words
