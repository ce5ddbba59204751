"""Mirrors against what they are equal to: the eye's image looking through a window of the mirror's shape.

Law of reflection; an image lies as far behind a plane mirror as the thing before it (Euclid, Catoptrics). The explicit
scenes know no mirrors: the image is an eye, covers on its side are mirrored meshes, the mirror is a hole in a wall.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray, Placement, toward
from sightline.moment import Pose
from sightline.scene.reading import scene_from_text
from sightline.sight.check import check
from sightline.sight.report import document
from sightline.staging import stage
from tests.conftest import finding_of, report_of

Vector = tuple[float, float, float]


@dataclass(frozen=True)
class Glass:
    """A mirror as the tests need it, worked out apart from the program's own."""

    at: Vector
    facing: Vector
    width_m: float = 0.0
    height_m: float = 0.0
    radius_m: float = 0.0

    @property
    def words(self) -> str:
        size = (
            f"disc: {{radius: {self.radius_m} m}}"
            if self.radius_m
            else f"rectangle: {{width: {self.width_m} m, height: {self.height_m} m}}"
        )
        return f"{{name: glass, {size}, at: {metres(self.at)}, facing: {[round(x, 6) for x in self.facing]}}}"

    def image(self, points: FloatArray) -> FloatArray:
        normal = np.array(self.facing) / np.linalg.norm(self.facing)
        return np.asarray(points - 2 * ((points - np.array(self.at)) @ normal)[:, None] * normal)

    def wall(self) -> tuple[FloatArray, NDArray[Any]]:
        """A wall 80 m wide in the mirror's plane with a hole of its shape: vertices, faces."""
        if self.radius_m:
            turn = 2 * np.pi * np.arange(720) / 720
            inner = self.radius_m * np.column_stack([np.cos(turn), np.sin(turn)])
            outer = inner * 40.0 / self.radius_m
        else:
            inner = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [self.width_m / 2, self.height_m / 2]
            outer = np.array([[-40, -40], [40, -40], [40, 40], [-40, 40]])
        flat, n = np.vstack([inner, outer]), len(inner)
        i = np.arange(n)
        j = (i + 1) % n
        faces = np.vstack([np.column_stack([i, n + i, n + j]), np.column_stack([i, n + j, j])])
        own = np.column_stack([flat[:, 0], np.zeros(2 * n), flat[:, 1]])
        return own @ toward(self.facing).T + np.array(self.at), faces


def metres(at: Vector | FloatArray) -> str:
    return "[" + ", ".join(f"{float(x):.7f} m" for x in at) + "]"


def write_obj(path: Path, vertices: FloatArray, faces: NDArray[Any]) -> None:
    lines = [f"v {x!r} {y!r} {z!r}" for x, y, z in vertices.tolist()]
    lines += [f"f {a + 1} {b + 1} {c + 1}" for a, b, c in faces.tolist()]
    path.write_text("\n".join(lines) + "\n", encoding="ascii")


def scene_with(glass: Glass, covers: list[str], target: str, eye: Vector) -> str:
    listed = "covers: [" + ", ".join(covers) + "]\n" if covers else ""
    return f"venue: {{mirrors: [{glass.words}]}}\n{listed}secrets: [{target}]\neyes: [{{id: E1, at: {metres(eye)}}}]\n"


def through_window(
    folder: Path, glass: Glass, covers: list[str], target: str, eye: Vector, behind: tuple[str, ...] = ()
) -> dict[str, Any]:
    """The same scene without a mirror; covers named in `behind` are on the mirror's back and left away."""
    made = finding_of(scene_with(glass, covers, target, eye)).looked.scenery.covers(0)
    kept = [text for text in covers if not any(f"name: {name}," in text for name in behind)]
    for index, cover in enumerate(made):
        if cover.name not in (*behind, "glass"):
            write_obj(folder / f"{index}.obj", glass.image(cover.mesh.vertices), cover.mesh.faces)
            kept.append(f"{{name: image {index}, mesh: {index}.obj}}")
    write_obj(folder / "wall.obj", *glass.wall())
    kept.append("{name: windowed, mesh: wall.obj}")
    image = glass.image(np.array([eye]))[0]
    text = f"covers: [{', '.join(kept)}]\nsecrets: [{target}]\neyes: [{{id: E1, at: {metres(image)}}}]\n"
    return dict(report_of(text, folder)["eyes"][0]["secrets"]["target"])


def in_mirror(glass: Glass, covers: list[str], target: str, eye: Vector) -> dict[str, Any]:
    return dict(report_of(scene_with(glass, covers, target, eye))["eyes"][0]["secrets"]["target"])


def check_equal(mirrored: dict[str, Any], explicit: dict[str, Any]) -> None:
    assert mirrored["visible_fraction"] == pytest.approx(explicit["visible_fraction"], abs=0.01)
    assert mirrored["angular_size_arcmin"] == pytest.approx(explicit["angular_size_arcmin"], rel=0.01, abs=0.05)
    assert mirrored["via"] == ("glass" if mirrored["verdict"] != "hidden" else None)


FRONT = Glass((0.2, 3.0, 1.2), (0.0, -1.0, 0.0), 1.4, 0.5)
# Turned and leaning over, as over a bar.
LEANING = Glass((-1.5, 3.0, 2.6), (0.35, -1.0, -0.28), 1.1, 0.35)
ROUND = Glass((0.2, 3.0, 1.2), (0.1, -1.0, 0.05), radius_m=0.30)
BALL = "{name: target, sphere: {radius: 20 cm}, at: [0 m, 0.5 m, 1.1 m]}"
# A panel that keeps every direct look out.
SCREEN = "{name: screen, rectangle: {width: 1.6 m, height: 1.2 m}, at: [0 m, -0.2 m, 1.1 m]}"
WALL = "{name: wall, rectangle: {width: 30 m, height: 9 m}, at: [0 m, 3.02 m, 1 m]}"


def partly(found: dict[str, Any]) -> bool:
    """A share of what a ball can show at all (half) that an edge passes through."""
    return bool(0.03 < found["visible_fraction"] < 0.45)


@pytest.mark.parametrize(
    ("glass", "eye"),
    [
        (FRONT, (3.2, -3.9, 0.8)), (FRONT, (-1.1, -1.1, 0.9)), (FRONT, (0.7, -2.3, 1.9)),
        (LEANING, (-1.8, -3.0, 2.1)), (LEANING, (0.6, -3.0, 2.1)), (LEANING, (-1.8, -4.0, 1.5)),
        (ROUND, (1.5, -2.9, 1.0)), (ROUND, (2.7, -2.9, 1.5)), (ROUND, (1.2, -2.2, 1.6)),
    ],
)  # fmt: skip
def test_mirror_is_a_window_for_the_image(glass: Glass, eye: Vector, tmp_path: Path) -> None:
    covers = [SCREEN]
    mirrored = in_mirror(glass, covers, BALL, eye)
    assert partly(mirrored), mirrored["visible_fraction"]
    check_equal(mirrored, through_window(tmp_path, glass, covers, BALL, eye))


def test_a_wall_behind_the_mirror_changes_nothing(tmp_path: Path) -> None:
    eye = (3.2, -3.9, 0.8)
    alone, hung = in_mirror(FRONT, [SCREEN], BALL, eye), in_mirror(FRONT, [SCREEN, WALL], BALL, eye)
    assert partly(alone)
    assert hung == alone
    check_equal(hung, through_window(tmp_path, FRONT, [SCREEN, WALL], BALL, eye, behind=("wall",)))
    # Flush on the face of a wall, in the very same plane, it is still before it.
    flush = in_mirror(FRONT, [SCREEN, WALL.replace("3.02", "3.0")], BALL, eye)
    assert flush == alone


@pytest.mark.parametrize(
    ("leg", "at"),
    # From the eye by way of about 0.53, 3.0 to the ball: a post on either leg.
    [("second", (1.40, -1.0)), ("first", (0.30, 2.0))],
)
def test_a_cover_on_either_leg(leg: str, at: tuple[float, float], tmp_path: Path) -> None:
    eye = (1.8, -3.0, 1.3)
    post = f"{{name: post, box: {{width: 12 cm, depth: 4 cm, height: 3 m}}, at: [{at[0]} m, {at[1]} m, 1.2 m]}}"
    free, held = in_mirror(FRONT, [SCREEN], BALL, eye), in_mirror(FRONT, [SCREEN, post], BALL, eye)
    assert held["visible_fraction"] < 0.9 * free["visible_fraction"], leg
    assert partly(held)
    check_equal(held, through_window(tmp_path, FRONT, [SCREEN, post], BALL, eye))


def test_many_scenes_equal_their_windows(tmp_path: Path) -> None:
    """Covers strewn about before the mirror, on both legs and on neither."""
    rng = np.random.default_rng(5)
    shares = []

    def some(low: float, high: float) -> float:
        return round(float(rng.uniform(low, high)), 4)

    for case in range(24):
        eye, at = (some(-2.5, 2.5), some(-4, -2.2), some(0.8, 1.8)), (some(-1, 1), 3.0, 1.2)
        # Turned about half way between the eye and the ball, so that most show something of it.
        to_eye, to_ball = np.array(eye) - at, np.array([0, 0.5, 1.1]) - at
        x, y, z = (to_eye / np.linalg.norm(to_eye) + to_ball / np.linalg.norm(to_ball)).round(4).tolist()
        glass = Glass(at, (x + some(-0.06, 0.06), y, z + some(-0.04, 0.04)), some(0.8, 2.0), some(0.4, 1.2))
        covers = ["{name: screen, rectangle: {width: 1.1 m, height: 80 cm}, at: [0 m, 0.25 m, 1.1 m]}"]
        for i in range(7):
            spot = (some(-1.2, 1.2), some(-2.0, 2.0), some(0.6, 1.7))
            covers.append(f"{{name: d{i}, disc: {{radius: {some(0.05, 0.2)} m}}, at: {metres(spot)}}}")
        folder = tmp_path / str(case)
        folder.mkdir()
        mirrored = in_mirror(glass, covers, BALL, eye)
        check_equal(mirrored, through_window(folder, glass, covers, BALL, eye))
        shares.append(mirrored["visible_fraction"])
    assert sum(0.03 < share < 0.45 for share in shares) >= 6, shares


def test_a_seam_in_a_mirror(tmp_path: Path) -> None:
    seam = "{name: target, kind: seam, path: [[-30 cm, 0.5 m, 1.1 m], [30 cm, 0.5 m, 1.15 m]], width: 3 mm}"
    eye = (3.2, -3.9, 1.0)
    mirrored = in_mirror(FRONT, [SCREEN], seam, eye)
    explicit = through_window(tmp_path, FRONT, [SCREEN], seam, eye)
    assert 0.05 < mirrored["longest_run_m"] < 0.55
    for key in ("visible_length_m", "longest_run_m"):
        assert mirrored[key] == pytest.approx(explicit[key], abs=0.006)
    assert mirrored["angular_width_arcmin"] == pytest.approx(explicit["angular_width_arcmin"], rel=0.01)
    assert (mirrored["via"], mirrored["verdict"]) == ("glass", explicit["verdict"])


def test_the_back_of_a_mirror_shows_nothing() -> None:
    """Eye and secret before the back of it, where its front would show one to the other."""
    turned = Glass(FRONT.at, (0.0, 1.0, 0.0), 3.0, 2.0)
    facing = Glass(FRONT.at, FRONT.facing, 3.0, 2.0)
    eye = (1.5, -3.0, 1.3)
    assert in_mirror(facing, [SCREEN], BALL, eye)["via"] == "glass"
    found = in_mirror(turned, [SCREEN], BALL, eye)
    assert (found["verdict"], found["via"], found["solid_angle_sr"]) == ("hidden", None, 0.0)
    # An eye behind the mirror, the secret before it: neither in the mirror nor through it.
    found = in_mirror(facing, [], BALL, (0.2, 5.0, 1.2))
    assert (found["verdict"], found["via"], found["solid_angle_sr"]) == ("hidden", None, 0.0)


@pytest.mark.parametrize("front", [-1.0, 1.0])
def test_a_mirror_covers_what_is_behind_it(front: float) -> None:
    small = "{name: target, disc: {radius: 5 cm}, at: [0.2 m, 3.5 m, 1.2 m]}"
    found = in_mirror(Glass((0.2, 3.0, 1.2), (0.0, front, 0.0), 0.6, 0.6), [], small, (0.2, -3.0, 1.2))
    assert found["verdict"] == "hidden"
    beside = in_mirror(Glass((0.9, 3.0, 1.2), (0.0, front, 0.0), 0.6, 0.6), [], small, (0.2, -3.0, 1.2))
    assert (beside["verdict"], beside["via"]) == ("seen", None)


@pytest.mark.parametrize("inside", [True, False])
@pytest.mark.parametrize("edge", ["stage left", "stage right", "top", "bottom"])
@pytest.mark.parametrize("disc", [False, True])
def test_law_of_reflection_at_the_edge(edge: str, inside: bool, disc: bool) -> None:
    """A spot 3 m before the mirror and an eye 7 m before it meet 3 / 10 of the way across from the spot."""
    size = "disc: {radius: 50 cm}" if disc else "rectangle: {width: 1 m, height: 1 m}"
    crossing = 0.495 if inside else 0.505
    across, up = {"stage left": (1, 0), "stage right": (-1, 0), "top": (0, 1), "bottom": (0, -1)}[edge]
    text = f"""
        venue: {{mirrors: [{{name: glass, {size}, at: [0 m, 3 m, 1.5 m], facing: full front}}]}}
        secrets: [{{name: target, rectangle: {{width: 2 mm, height: 2 mm}}, at: [0 m, 0 m, 1.5 m], facing: full back}}]
        eyes: [{{id: E1, at: [{across * crossing / 0.3:.6f} m, -4 m, {1.5 + up * crossing / 0.3:.6f} m]}}]
        noticing: {{spot arcmin: 0.1}}
    """
    found = report_of(text)["eyes"][0]["secrets"]["target"]
    assert (found["visible_fraction"] > 0.5) is inside
    assert found["via"] == ("glass" if inside else None)


def test_size_is_that_from_the_image() -> None:
    """A disc of 10 cm, 3 m before the mirror, eye 7 m before it: seen square from 10 m."""
    disc = "{name: target, disc: {radius: 10 cm}, at: [0.2 m, 0 m, 1.2 m], facing: full back}"
    found = in_mirror(FRONT, [], disc, (0.2, -4.0, 1.2))
    # Itself in the way of the second leg: step the eye aside, and slant is cos of what that makes.
    assert found["visible_fraction"] < 1.0
    eye = (1.2, -4.0, 1.2)
    found = in_mirror(FRONT, [], disc, eye)
    distance = np.hypot(10.0, 1.0)
    assert found["visible_fraction"] == pytest.approx(1.0)
    assert found["solid_angle_sr"] == pytest.approx(np.pi * 0.1**2 * (10.0 / distance) / distance**2, rel=0.003)


def test_the_larger_of_both_looks_counts() -> None:
    """A two-sided sheet seen directly from near and in the mirror from far: the direct look stays."""
    sheet = "{name: target, rectangle: {width: 20 cm, height: 20 cm}, two sided: true, at: [0.2 m, 0 m, 1.2 m]}"
    found = in_mirror(FRONT, [], sheet, (1.2, -4.0, 1.2))
    assert (found["via"], found["verdict"]) == (None, "seen")
    # The direct look behind a narrow board, the mirror's beside it.
    board = "{name: board, rectangle: {width: 50 cm, height: 1 m}, at: [0.2 m, -0.05 m, 1.2 m]}"
    found = in_mirror(FRONT, [board], sheet, (1.2, -4.0, 1.2))
    assert (found["via"], found["verdict"]) == ("glass", "seen")


def test_the_pose_that_shows_in_the_mirror_is_named() -> None:
    """The ball moves from behind one board to behind another: in the mirror only the second is open."""
    eye = (2.2, -3.0, 1.3)
    moment = stage(scene_from_text("version: 1\n" + scene_with(FRONT, [SCREEN], BALL, eye)))
    (ball,) = moment.still.secrets
    low = replace(ball, mesh=ball.mesh.placed(Placement(np.eye(3), np.array([0.0, 0.0, -0.2]))))
    aside = replace(ball, mesh=ball.mesh.placed(Placement(np.eye(3), np.array([0.0, 9.0, 0.0]))))
    poses = (Pose("away", secrets=(aside,)), Pose("low", secrets=(low,)), Pose("up", secrets=(ball,)))
    found = check(replace(moment, still=replace(moment.still, secrets=()), poses=poses))
    entry = document(found, "")["eyes"][0]["secrets"]["target"]
    whole = in_mirror(FRONT, [SCREEN], BALL, eye)
    assert (entry["pose"], entry["via"], entry["verdict"]) == ("up", "glass", "seen")
    assert entry["solid_angle_sr"] == pytest.approx(whole["solid_angle_sr"])


def test_it_is_said_that_a_mirror_shows_it() -> None:
    report = report_of(scene_with(FRONT, [SCREEN], BALL, (2.2, -3.0, 1.3)))
    assert report["secrets"]["target"]["worst"] == [{"eye": "E1", "how": "in the mirror glass"}]
    assert any("one reflection" in said for said in report["assumptions"])
    assert "lamps not drawn: not checked" in report["not_checked"]


def test_without_mirrors_that_is_said() -> None:
    report = report_of(f"secrets: [{BALL}]\neyes: [{{id: E1, at: [0 m, -5 m, 1 m]}}]")
    assert "mirrors and lamps not drawn: not checked" in report["not_checked"]
    assert report["shadows"] == []
