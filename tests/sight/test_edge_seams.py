"""Seams on a sharp edge belong to every face that meets there; seams written off their cover are refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sightline.cli.work import find
from sightline.errors import FileError, Misfit
from sightline.geometry import shapes
from sightline.geometry.mesh import Mesh
from sightline.sight.lines import Line, line_facing, line_on, line_unblocked
from sightline.sight.rays import Blockers
from tests.conftest import finding_of, report_of
from tests.sight.meshes import coarse_tube

# The box is 1 m up, its front towards -y. Ten metres off and more, a head that sways by 50 mm looks past no face.
EYES = {"front": "0 m, -10 m, 1 m", "side": "10 m, 0 m, 1 m", "back": "0 m, 10 m, 1 m", "left": "-10 m, 0 m, 1 m"}
Points = np.ndarray


def shown_m(
    box_cm: float, path: str, more: str = "width: 5 mm", eyes: dict[str, str] | None = None
) -> dict[str, float]:
    """The length in metres of a seam on a cube that each eye sees."""
    eyes = EYES if eyes is None else eyes
    said = ", ".join(f"{{id: {name}, at: [{at}]}}" for name, at in eyes.items())
    size = f"width: {box_cm} cm, depth: {box_cm} cm, height: {box_cm} cm"
    found = finding_of(
        f"covers: [{{name: crate, box: {{{size}}}, at: [0 m, 0 m, 1 m]}}]\n"
        f"secrets: [{{name: s, kind: seam, on: crate, {more}, path: {path}}}]\neyes: [{said}]\n"
    )
    return dict(zip(eyes, found.secrets["s"].sighting.seen.length_m.tolist(), strict=True))


@pytest.mark.parametrize(("box_cm", "edge"), [(50, 0.25), (40, 0.2), (33, 0.165)])
def test_a_seam_on_an_edge_shows_whole_to_both_faces(box_cm: float, edge: float) -> None:
    """0.30 m upright along the edge of front and side: both faces end there, so both see all of it, the others none.

    By one face's normal for each sample, rounding would share the length out between them.
    """
    seen = shown_m(box_cm, f"[[{edge} m, -{edge} m, 0.86 m], [{edge} m, -{edge} m, 1.16 m]]")
    assert seen == pytest.approx({"front": 0.30, "side": 0.30, "back": 0.0, "left": 0.0}, abs=1e-9)


@pytest.mark.parametrize(("beside_mm", "side_sees"), [(0.0, True), (2.0, True), (-2.0, True), (3.0, False)])
def test_a_seam_bends_over_an_edge_within_half_its_width(beside_mm: float, side_sees: bool) -> None:
    """A tape 5 mm wide whose middle is on the front face 2 mm short of the edge runs on for 0.5 mm round the side; one
    that is 3 mm short ends before it. Written 2 mm past the edge it is laid on it."""
    x = 0.25 - beside_mm / 1000
    seen = shown_m(50, f"[[{x} m, -0.25 m, 0.85 m], [{x} m, -0.25 m, 1.15 m]]")
    assert seen == pytest.approx(
        {"front": 0.30, "side": 0.30 if side_sees else 0.0, "back": 0.0, "left": 0.0}, abs=1e-9
    )


def test_a_seam_that_ends_at_an_edge_is_not_on_the_next_face() -> None:
    """Up the middle of the front to the top edge, and from above behind only the top and the back are in view.

    The last sample stands 2.5 mm under the edge, which is no more than half the width, but ahead of it.
    """
    eyes = {"front": "0 m, -10 m, 1 m", "above behind": "0 m, 10 m, 6 m"}
    seen = shown_m(50, "[[0 m, -0.25 m, 1 m], [0 m, -0.25 m, 1.25 m]]", eyes=eyes)
    assert seen == pytest.approx({"front": 0.25, "above behind": 0.0}, abs=1e-9)


def test_a_seam_in_the_middle_of_a_face_is_hidden_from_behind() -> None:
    seen = shown_m(50, "[[-0.1 m, -0.25 m, 1 m], [0.1 m, -0.25 m, 1 m]]")
    assert seen == pytest.approx({"front": 0.20, "side": 0.0, "back": 0.0, "left": 0.0}, abs=1e-9)


def reaches(line: Line, mesh: Mesh, eyes: Points) -> list[bool]:
    """Which eyes the middle sample reaches past the mesh."""
    seen = line_unblocked(line, line_facing(line, eyes), [Blockers([mesh])], eyes)
    return [bool(row[len(line.points) // 2]) for row in seen]


WAYS = np.array([[1.0, 0.1, -0.2], [-0.1, -1.0, -0.1], [-0.2, 0.3, 1.0], [-1.0, 0.9, -0.1], [-0.5, 0.7, -1.0]]) * 5.0


@pytest.mark.parametrize("finer", [1, 3])
def test_at_a_corner_three_faces_meet(finer: int) -> None:
    """A sample on the corner +x, -y, +z of a cube: whoever is before one of the three faces sees it, whoever is before
    none does not. However many triangles a face is cut into."""
    cube = Mesh.from_manifold(shapes.box(0.4, 0.4, 0.4).manifold().refine(finer))
    corner, along = np.array([0.2, -0.2, 0.2]), np.array([1.0, 1.0, 0.0]) / np.sqrt(2.0)
    line = line_on(np.array([corner - 0.002 * along, corner + 0.002 * along]), cube, 0.001)
    assert reaches(line, cube, WAYS) == [True, True, True, False, False]


def test_on_the_fold_of_a_sheet_a_seam_is_seen_from_both_its_sides() -> None:
    """Two square sheets that meet at a right angle along the z axis: from outside before either, and from within."""
    points = [[0, 0, -0.2], [0, 0, 0.2], [-0.4, 0, -0.2], [-0.4, 0, 0.2], [0, 0.4, -0.2], [0, 0.4, 0.2]]
    fold = Mesh.of(points, [[2, 0, 1], [2, 1, 3], [0, 4, 5], [0, 5, 1]])
    line = line_on(np.array([[0, 0, -0.1], [0, 0, 0.1]]), fold, 0.001)
    assert line.two_sided
    eyes = np.array([[-2.0, -0.4, 0.03], [0.4, 2.0, 0.03], [2.0, -2.0, 0.03], [-2.0, 2.0, 0.03], [-0.4, 2.0, 0.03]])
    assert reaches(line, fold, eyes) == [True] * 5


@pytest.mark.parametrize("sides", [12, 24, 96])
def test_a_ring_on_the_rim_of_a_tin_shows_as_much_however_round_it_is(sides: int) -> None:
    """Level with the lid only the wall faces the eye: half the ring, 2 r acos(r / d) of 2 pi r; from above all of it."""
    tin = coarse_tube(0.15, 0.3, sides)
    turn = np.linspace(0.0, 2 * np.pi, 181)
    path = np.column_stack([0.15 * np.cos(turn), 0.15 * np.sin(turn), 0 * turn + 0.15])
    line = line_on(path, tin, 0.002)
    eyes = np.array([[6.0, 1.0, 0.0], [3.0, -2.0, 8.0]])
    seen = line_unblocked(line, line_facing(line, eyes), [Blockers([tin])], eyes) @ line.lengths
    assert seen[0] == pytest.approx(2 * 0.15 * np.arccos(0.15 / np.hypot(6.0, 1.0)), abs=0.02)
    assert seen[1] == pytest.approx(line.length_m)


FAR = """
covers: [{{name: plate, rectangle: {{width: 60 cm, height: 60 cm}}, at: [0 m, 0 m, 1 m]}}]
secrets: [{{name: s, kind: seam, on: plate, path: {path}}}]
eyes: [{{id: E, at: [0 m, -5 m, 1 m]}}]
"""


@pytest.mark.parametrize("off_cm", [4.1, 50])
def test_a_seam_written_off_its_cover_is_refused_with_its_place(tmp_path: Path, off_cm: float) -> None:
    """The plate ends 0.3 m over its middle: a point at 1.3 m and `off_cm` more would be moved down to its edge."""
    path = tmp_path / "far.yaml"
    text = FAR.format(path=f"[[0 m, 0 m, 1 m], [0 m, 0 m, {1.3 + off_cm / 100:.3f} m]]")
    path.write_text("version: 1" + text, encoding="ascii")
    with pytest.raises(FileError) as caught:
        find(path, None)
    (problem,) = caught.value.problems
    assert f"Point 2 of the path of 's' lies {off_cm:g} cm off 'plate'" in problem.sentence
    assert problem.path == "secrets[0]"
    assert problem.place.line == 3


def test_a_seam_measured_with_a_tape_is_laid_on_its_cover() -> None:
    """39 mm off in front of the plate all along: laid on it, with its whole length of 0.2 m."""
    report: dict[str, Any] = report_of(FAR.format(path="[[0 m, -0.039 m, 1 m], [0 m, -0.039 m, 1.2 m]]"))
    assert report["eyes"][0]["secrets"]["s"]["visible_length_m"] == pytest.approx(0.2)


def test_a_drawn_path_may_run_through_the_bend_of_an_elbow_but_not_off_the_limb() -> None:
    """Points 8 mm apart, as a program draws them: 55 mm off the plate is laid on it, 110 mm is refused."""
    for off_m, refused in ((0.055, False), (0.11, True)):
        path = ", ".join(f"[0 m, -{off_m} m, {1 + 0.008 * k:.3f} m]" for k in range(12))
        if refused:
            with pytest.raises(Misfit, match="11 cm off 'plate'"):
                finding_of(FAR.format(path=f"[{path}]"))
        else:
            finding_of(FAR.format(path=f"[{path}]"))
