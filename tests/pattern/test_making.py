"""From limb to pieces: which side is up, what meets what, darts where they are needed, and limbs that cannot be cut."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon

from sightline.errors import FileError, SightlineError
from sightline.figure.arm import Side
from sightline.geometry.mesh import Mesh
from sightline.pattern.joints import joints_of
from sightline.pattern.layers import layers
from sightline.pattern.limb import limb_named, oddities, pattern_for, tube_of
from sightline.pattern.making import pattern_of
from sightline.pattern.pattern import Foam, Pattern
from sightline.pattern.piece import Piece
from sightline.pattern.plain import cylinder, elbow, frustum
from sightline.pattern.plan import Choices, plan_of
from sightline.pattern.scanned import tube_of_mesh
from sightline.pattern.tube import Tube
from sightline.scene.reading import scene_from_text
from sightline.sight.lines import closest
from sightline.workshop.bench import bench_of
from sightline.workshop.limbs import limbs_of
from tests.conftest import mended_as_drawn
from tests.workshop.limbscenes import act, built, imported, left_arm, on_bench

FOAM = Foam("upholstery foam", 0.010, "outside", 0.5, 0.0, 0.08)
RADII, LENGTHS = (0.055, 0.048, 0.036), (0.280, 0.260)


def bent(bend_deg: float = 70.0, side: Side = "left") -> Tube:
    return elbow(RADII, LENGTHS, math.radians(bend_deg), side=side)


def edge_walk(piece: Piece, name: str, side: str | None = None) -> np.ndarray:
    return next(e.nodes for e in piece.edges if e.seam == name and side in (None, e.side))


def whole(pattern: Pattern) -> None:
    """What the contract says of every piece and every seam."""
    for piece in pattern.pieces:
        a, b, c = (piece.flat[piece.faces[:, k]] for k in range(3))
        ab, ac = b - a, c - a
        assert np.all(ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0] < 0.0)
        shape = Polygon(piece.flat[piece.outline])
        assert shape.is_valid
        assert shape.exterior.is_ccw
        assert piece.flat.min() == pytest.approx(0.0, abs=1e-12)
        corner = piece.vertices[piece.faces]
        area = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
        # Wound outward: away from the middle of its own ring of the limb.
        rings = pattern.skin.points.mean(axis=1)
        near = np.argmin(np.linalg.norm(corner.mean(axis=1)[:, None] - rings[None], axis=2), axis=1)
        assert ((area * (corner.mean(axis=1) - rings[near])).sum(axis=1) > 0).mean() > 0.99
        on_edges = np.unique(np.concatenate([edge.nodes for edge in piece.edges]))
        assert np.array_equal(np.sort(piece.outline), on_edges)
        assert len(np.unique(piece.outline)) == len(piece.outline)
    by = {piece.number: piece for piece in pattern.pieces}
    names = {seam.name for seam in pattern.seams}
    for joint in joints_of(pattern):
        assert joint.seam in names
        (i, e), (j, f) = joint.a, joint.b
        one, other = by[i].edges[e].nodes, by[j].edges[f].nodes
        assert by[i].vertices[one] == pytest.approx(by[j].vertices[other], abs=1e-6)
        long, wide = (np.linalg.norm(np.diff(p.flat[n], axis=0), axis=1) for p, n in ((by[i], one), (by[j], other)))
        assert abs(long.sum() - wide.sum()) < 0.5e-3
        assert np.all((np.abs(long - wide) <= 0.01 * long) | (np.abs(long - wide) <= 1e-4))


@pytest.mark.parametrize("side", ["left", "right"])
def test_seen_from_the_inside(side: Side) -> None:
    """Who stands inside a hanging limb and looks at its front faces as the performer does: the outer side of a left limb
    is on their left, that of a right limb on their right; so it lies on the table, shoulder up."""
    tube = frustum(0.06, 0.035, 0.28, side=side)
    pattern = pattern_of(tube, FOAM)
    whole(pattern)
    (piece,) = pattern.pieces
    top = edge_walk(piece, "shoulder")
    assert piece.flat[top, 1].mean() > piece.flat[edge_walk(piece, "wrist"), 1].mean()
    at, flat = piece.vertices[top], piece.flat[top]
    front = int(np.argmin(at[:, 1]))
    outer = int(np.argmax(at[:, 0] * (1 if side == "left" else -1)))
    # Facing -y with z up, the right hand is at -x.
    seen_right = -(at[outer, 0] - at[front, 0])
    assert (seen_right < 0) == (side == "left")
    assert np.sign(flat[outer, 0] - flat[front, 0]) == np.sign(seen_right)


@pytest.mark.parametrize("choices", [
    Choices(), Choices(panels=2), Choices(panels=3), Choices(shape="straight"),
    Choices(lines={"upper arm": ([0.0, 1.0], [3.0, 3.6]), "forearm": ([0.0, 0.6, 1.0], [1.0, 2.0, 2.0])}),
    Choices(panels=2, lines={"upper arm": ([0.0, 1.0], [0.5, 1.2])}),
])  # fmt: skip
@pytest.mark.parametrize("side", ["left", "right"])
def test_every_choice_comes_out_whole(choices: Choices, side: Side) -> None:
    whole(pattern_of(bent(side=side), FOAM, choices))


def test_shape_follows_the_bend() -> None:
    assert len(plan_of(bent(20.0), Choices()).parts) == 1
    assert len(plan_of(bent(30.0), Choices()).parts) == 2
    assert len(plan_of(bent(70.0), Choices(shape="straight")).parts) == 1
    assert bent(0.0).elbow is None


def test_a_seam_runs_where_it_is_told() -> None:
    line = ([0.0, 0.3, 1.0], [2.0, 3.0, 3.2])
    pattern = pattern_of(frustum(0.06, 0.035, 0.28), FOAM, Choices(lines={"limb": line}))
    (seam,) = pattern.seams
    assert seam.around_rad == pytest.approx(np.interp(seam.share, *line), abs=1e-6)
    # Drawn on the outside of the foam, which is the skin.
    radius = 0.06 + (0.035 - 0.06) * seam.share
    assert np.linalg.norm(seam.points[:, :2], axis=1) == pytest.approx(radius, rel=1e-3)


def test_darts_come_only_where_the_foam_needs_them() -> None:
    bench = built("left")
    soft = pattern_for(bench)
    stiff = pattern_of(tube_of(limbs_of(bench)[0]), replace(FOAM, limit=0.03))
    whole(stiff)
    darts = [seam for seam in stiff.seams if seam.kind == "dart"]
    assert darts
    assert len(darts) > sum(seam.kind == "dart" for seam in soft.seams)
    none = pattern_of(tube_of(limbs_of(bench)[0]), replace(FOAM, limit=0.03), Choices(darts=0))
    assert max(p.strain.rms for p in stiff.pieces) < 0.8 * max(p.strain.rms for p in none.pieces)


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_built_arm(side: Side) -> None:
    """Its tube lies on the scene's own mesh, and its shares and angles are those of seams."""
    (limb,) = limbs_of(built(side))
    assert limb.arm is not None
    tube = tube_of(limb)
    assert tube.bend_deg == pytest.approx(limb.arm.bend_deg, abs=0.1)
    apart = np.linalg.norm(closest(tube.points.reshape(-1, 3), limb.mesh)[0] - tube.points.reshape(-1, 3), axis=1)
    off = apart.reshape(tube.share.shape)
    # The mesh has the heel of the hand beyond the last 3 cm; the elbow's ball is 1.5 mm off, as it has few sides.
    assert off[:-5].max() < 1.5e-3
    assert np.all(np.diff(tube.share, axis=0) > 0.0)
    said = limb.arm.skin_points(tube.share.ravel(), tube.around_rad.ravel()).reshape(tube.points.shape)
    assert tube.elbow is not None
    beside = np.abs(np.arange(len(tube.share)) - tube.elbow) > 12
    assert np.abs(said - tube.points)[beside].max() < 1e-4
    pattern = pattern_for(built(side))
    whole(pattern)
    assert max(p.strain.rms for p in pattern.pieces) < 0.03
    assert any("10 mm of upholstery foam" in words for words in pattern.assumptions)


def test_the_same_again() -> None:
    one, other = (pattern_for(built("left")) for _ in range(2))
    assert all(np.array_equal(a.flat, b.flat) for a, b in zip(one.pieces, other.pieces, strict=True))


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_scan_is_cut_like_what_it_was_made_from(side: Side, tmp_path: Path) -> None:
    mesh, marks = left_arm()
    if side == "right":
        mesh, marks = mesh.mirrored_x(), {name: at * [-1.0, 1.0, 1.0] for name, at in marks.items()}
    bench = imported(tmp_path, mesh, marks, side)
    tube = tube_of(limbs_of(bench)[0])
    own = tube_of(limbs_of(built("left"))[0])
    assert tube.elbow is not None
    assert own.elbow is not None
    assert tube.outward == (-1 if side == "left" else 1)
    assert tube.bend_deg == pytest.approx(own.bend_deg, abs=0.5)
    assert tube.girth_m[5:30] == pytest.approx(own.girth_m[5:30], rel=0.02)
    assert np.all(np.diff(tube.share, axis=0) > 0.0)
    pattern = pattern_for(bench)
    whole(pattern)
    assert max(p.strain.rms for p in pattern.pieces) < 0.035


# Limbs and foams that cannot be.


def arm_mesh_and_marks() -> tuple[Mesh, tuple[np.ndarray, np.ndarray, np.ndarray]]:
    mesh, marks = left_arm()
    return mesh, (marks["shoulder"], marks["elbow"], marks["wrist"])


def test_a_limb_with_a_hole() -> None:
    mesh, joints = arm_mesh_and_marks()
    middles = mesh.corners.mean(axis=1)
    at = middles[np.argmin(np.linalg.norm(middles - (joints[0] + joints[1]) / 2.0, axis=1))]
    torn = Mesh(mesh.vertices, mesh.faces[np.linalg.norm(middles - at, axis=1) > 0.02])
    with pytest.raises(SightlineError, match=r"'scan' has a hole: .* 1\d cm from the shoulder"):
        tube_of_mesh("scan", "left", torn, *joints)


def test_a_limb_cut_open_at_the_shoulder_is_no_hole() -> None:
    mesh, joints = arm_mesh_and_marks()
    along = (mesh.corners.mean(axis=1) - joints[0]) @ (joints[1] - joints[0])
    tube = tube_of_mesh("scan", "left", Mesh(mesh.vertices, mesh.faces[along > 0.0]), *joints)
    assert 0.0 <= float(tube.share[0].mean()) < 0.05


def test_a_limb_that_crosses_itself() -> None:
    mesh, joints = arm_mesh_and_marks()
    twice = Mesh.joined([mesh, Mesh(mesh.vertices + [0.02, 0.0, 0.0], mesh.faces)])
    with pytest.raises(SightlineError, match=r"'scan' crosses itself .* from the shoulder"):
        tube_of_mesh("scan", "left", twice, *joints)


def test_a_limb_too_short() -> None:
    mesh, (s, e, w) = arm_mesh_and_marks()
    with pytest.raises(SightlineError, match="too short for a pattern: its forearm is 2"):
        tube_of_mesh("scan", "left", Mesh(mesh.vertices * 0.1, mesh.faces), s * 0.1, e * 0.1, w * 0.1)


def test_a_limb_beside_its_landmarks() -> None:
    mesh, (s, e, w) = arm_mesh_and_marks()
    off = np.array([0.5, 0.0, 0.0])
    with pytest.raises(SightlineError, match=r"no skin round the bone|hole"):
        tube_of_mesh("scan", "left", mesh, s + off, e + off, w + off)


def test_a_scan_without_landmarks(tmp_path: Path) -> None:
    bench = imported(tmp_path, left_arm()[0], None)
    with pytest.raises(SightlineError, match="a mesh without landmarks"):
        pattern_for(bench)


@pytest.mark.parametrize("thickness", [0.0, -0.01])
def test_foam_of_no_thickness(thickness: float) -> None:
    with pytest.raises(SightlineError, match="thickness of more than nothing"):
        layers(cylinder(0.05, 0.3), replace(FOAM, thickness_m=thickness))


@pytest.mark.parametrize(("tube", "thickness", "where"), [
    (cylinder(0.020, 0.3), 0.021, "0 cm from the shoulder"), (frustum(0.05, 0.02, 0.3), 0.025, "2[0-9] cm from the shoulder"),
    (bent(), 0.045, "from the shoulder"),
], ids=["cylinder", "frustum", "elbow"])  # fmt: skip
def test_foam_thicker_than_the_limb(tube: Tube, thickness: float, where: str) -> None:
    with pytest.raises(SightlineError, match=f"too thick .* {where}"):
        pattern_of(tube, replace(FOAM, thickness_m=thickness))


def test_a_fold_in_the_elbow() -> None:
    with pytest.raises(SightlineError, match="bent so far"):
        elbow((0.055, 0.048, 0.036), (0.10, 0.10), math.radians(150.0))


@pytest.mark.parametrize(("choices", "words"), [
    (Choices(panels=0), "1 to 4"), (Choices(panels=5), "1 to 4"), (Choices(darts=-1), "darts"),
    (Choices(shape="round"), "auto, straight or mitre"),  # type: ignore[arg-type]
    (Choices(lines={"hand": ([0, 1], [1, 1])}), "no part"), (Choices(lines={"limb": ([0.5], [1])}), "two points"),
    (Choices(lines={"limb": ([0.0, 0.5, 0.4], [1, 1, 1])}), "rising"), (Choices(lines={"limb": ([0, 1], [1, float("nan")])}), "two points"),
    (Choices(lines={"upper arm": [([0, 1], [1.0, 2.0]), ([0, 1], [2.0, 1.0])]}), "meet or cross"),
])  # fmt: skip
def test_choices_that_cannot_be(choices: Choices, words: str) -> None:
    with pytest.raises(SightlineError, match=words):
        pattern_of(bent(), FOAM, choices)


def test_a_straight_limb_has_no_mitre() -> None:
    with pytest.raises(SightlineError, match="no elbow to mitre"):
        pattern_of(cylinder(0.05, 0.3), FOAM, Choices(shape="mitre"))


def test_a_piece_over_itself_is_refused() -> None:
    """One piece over a strong bend with its seam on the outside of it, and no dart allowed."""
    outside = {"limb": ([0.0, 1.0], [-math.pi / 2, -math.pi / 2])}
    with pytest.raises(SightlineError, match="lies over itself"):
        pattern_of(bent(110.0), FOAM, Choices(shape="straight", darts=0, lines=outside))


# The foam as the scene says it.

WRITTEN = "hand at: {{wall: left, at: [0 cm, 0 cm]}}, foam: {{{}}}"


def test_foam_of_the_scene() -> None:
    said = "material: EVA foam, thickness: 8 mm, skin: inside, neutral: 0.4, ease: 5 mm, strain limit: 3 %"
    foam = pattern_for(on_bench(act(WRITTEN.format(said))), None, Choices(darts=0)).foam
    assert foam == Foam("EVA foam", 0.008, "inside", 0.4, 0.005, 0.03)
    assert pattern_for(on_bench(act(WRITTEN.format("material: EVA foam"))), None, Choices(darts=0)).foam.limit == 0.04


def test_the_scenes_limb_foam_is_taken() -> None:
    text = act("hand at: {wall: left, at: [0 cm, 0 cm]}", more="materials: {limb foam: latex foam}\n")
    assert pattern_for(on_bench(text)).foam.material == "latex foam"


@pytest.mark.parametrize(("said", "words"), [
    ("thickness: 0 mm", "more than nothing"), ("thickness: -5 mm", "more than nothing"), ("thickness: 20 cm", "does not bend"),
    ("thickness: 10", "unit"), ("strain limit: 90 %", "0.1 % to 50 %"), ("strain limit: a lot", "percent"),
    ("skin: middle", "not one of"), ("neutral: 2", "0 to 1"), ("colour: red", "colour"),
])  # fmt: skip
def test_foam_that_cannot_be(said: str, words: str) -> None:
    with pytest.raises(FileError, match=words) as raised:
        on_bench(act(WRITTEN.format(said)))
    assert "foam" in str(raised.value)


def test_foam_of_nothing_known() -> None:
    with pytest.raises(FileError, match="Did you mean 'EVA foam'"):
        pattern_for(on_bench(act(WRITTEN.format("material: EVA foams"))))


def test_ease_widens() -> None:
    tube = cylinder(0.05, 0.3)
    (plain,), (eased,) = (pattern_of(tube, replace(FOAM, ease_m=e)).pieces for e in (0.0, 0.02))
    assert float(np.ptp(eased.flat[:, 0]) - np.ptp(plain.flat[:, 0])) == pytest.approx(0.02, rel=1e-3)


def test_limbs_by_name() -> None:
    bench = built("left")
    assert pattern_for(bench, "false left arm").limb == "false left arm"
    with pytest.raises(SightlineError, match="'wing' is no false limb of the scene; there is 'false left arm'"):
        pattern_for(bench, "wing")


def test_a_limb_far_longer_than_the_real_arm_says_so_first() -> None:
    """The reach to the wall stays; an elbow bent to 150 degrees makes both bones three times as long."""
    text = mended_as_drawn().replace("    elbow out: 45 deg\n", "    elbow out: 45 deg\n    elbow: 150 deg\n")
    assert "elbow: 150 deg" in text
    taken = oddities(limb_named(bench_of(scene_from_text(text))))
    assert len(taken) == 1
    assert "longer than the real arm" in taken[0]
    assert oddities(limb_named(bench_of(scene_from_text(mended_as_drawn())))) == []
