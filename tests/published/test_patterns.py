"""Flat patterns of plain solids against published layouts and formulas (lengths in mm, angles in degrees)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sightline.figure.loft import tube as closed_tube
from sightline.geometry.mesh import Mesh
from sightline.pattern.layers import layers, offset
from sightline.pattern.making import pattern_of
from sightline.pattern.pattern import Foam, Pattern
from sightline.pattern.piece import Edge, Piece
from sightline.pattern.plain import cylinder, elbow, frustum, oblique
from sightline.pattern.plan import Choices
from sightline.pattern.tube import Tube

# Issue 5: lengths and angles within 0.05 % at the default density.
WITHIN = 5e-4
# Only its neutral surface counts here: a film whose neutral surface is the skin itself.
FILM = Foam("paper", 1e-6, "outside", 1.0, 0.0, 0.08)


def flat_of(tube: Tube, choices: Choices | None = None) -> Pattern:
    return pattern_of(tube, FILM, choices or Choices(darts=0))


def edge(piece: Piece, name: str, side: str | None = None) -> Edge:
    return next(e for e in piece.edges if e.seam == name and (side is None or e.side == side))


def long_mm(piece: Piece, one: Edge) -> float:
    return float(np.linalg.norm(np.diff(piece.flat[one.nodes], axis=0), axis=1).sum() * 1000.0)


def sector(piece: Piece) -> tuple[float, float, float]:
    """Inner and outer radius (mm) and angle (deg) of a flat cone's trunk, from its two seam edges."""
    a, b = (piece.flat[edge(piece, "limb seam", side).nodes] * 1000.0 for side in ("a", "b"))
    way_a, way_b = a[-1] - a[0], b[-1] - b[0]
    # Both edges run to the tip of the cone.
    t = np.linalg.solve(np.stack([way_a, -way_b], axis=1), b[0] - a[0])[0]
    tip = a[0] + t * way_a
    radii = sorted(float(np.linalg.norm(p - tip)) for p in (a[0], a[-1]))
    ring = piece.flat[edge(piece, "wrist").nodes] * 1000.0 - tip
    turn = np.unwrap(np.arctan2(ring[:, 1], ring[:, 0]))
    return radii[0], radii[1], math.degrees(abs(turn[-1] - turn[0]))


def test_cylinder() -> None:
    """r = 50, h = 300: its girth 2 pi r = 314.159265 by 300."""
    (piece,) = flat_of(cylinder(0.050, 0.300)).pieces
    wide, high = (float(np.ptp(piece.flat[:, k])) * 1000.0 for k in (0, 1))
    assert wide == pytest.approx(314.159265, rel=WITHIN)
    assert high == pytest.approx(300.0, rel=WITHIN)
    assert piece.strain.largest < 1e-9


FRUSTUMS = [
    # (top and low radius, height) -> inner and outer radius of the layout, its angle.
    # "Drawings and nets" 6, ceemrr.com/Geometry2/DrawingsNets: d 5 and 8, h 4: 7.12, 11.39, 126.4 deg; further digits computed.
    ((40.0, 25.0, 40.0), (71.20003, 113.92005, 126.404439)),
    # L = R s / (R - r), angle = 360 (R - r) / s (mathforum.org, Dr. Math 65796), computed: 60 to 35 over 280.
    ((60.0, 35.0, 280.0), (393.56, 674.67, 32.016)),
    # Girths of ANSUR men: wrist 175.92, forearm 310.06 over 267.88; computed.
    ((310.06 / math.tau, 175.92 / math.tau, 267.88), (352.4293, 621.1587, 28.59998)),
    # Biceps 358.14 to forearm 310.06 over 335.24: all but a cylinder; computed.
    ((358.14 / math.tau, 310.06 / math.tau, 335.24), (2162.471, 2497.798, 8.21520)),
]  # fmt: skip


@pytest.mark.parametrize(("solid", "layout"), FRUSTUMS)
def test_frustums(solid: tuple[float, float, float], layout: tuple[float, float, float]) -> None:
    top, low, high = solid
    (piece,) = flat_of(frustum(top / 1000, low / 1000, high / 1000)).pieces
    assert sector(piece) == pytest.approx(layout, rel=WITHIN)
    assert piece.strain.largest < 1e-8


def test_formula_and_table_agree() -> None:
    """The rows above against the formula they come from, to the digits they are given in."""
    for (big, small, high), (inner, outer, angle) in FRUSTUMS:
        slant = math.hypot(high, big - small)
        assert (inner, outer, angle) == pytest.approx(
            (small * slant / (big - small), big * slant / (big - small), 360.0 * (big - small) / slant), rel=2e-5
        )


def test_oblique_cut() -> None:
    """A cylinder of r = 50 cut at 45 deg: height r tan a (1 - cos(u / r)), girth of the cut 382.019779 (an ellipse)."""
    (piece,) = flat_of(oblique(0.050, 0.100, math.radians(45.0))).pieces
    cut = edge(piece, "wrist")
    assert long_mm(piece, cut) == pytest.approx(382.019779, rel=WITHIN)
    flat = piece.flat[cut.nodes] * 1000.0
    u = np.linspace(0.0, 1.0, len(flat)) * 2.0 * math.pi
    # The seam is on the inner side, where the cylinder is longest: half a turn on.
    height = 100.0 + 50.0 * (1.0 - np.cos(u + math.pi))
    assert flat[:, 1].max() - flat[:, 1] == pytest.approx(height - height.min(), abs=0.05)


def test_thickness() -> None:
    """10 mm round r = 50: girths differ by 2 pi t = 62.831853; neutral line at r + t / 2: 345.575."""
    tube = cylinder(0.050, 0.300)
    made = layers(tube, Foam("foam", 0.010, "inside", 0.5, 0.0, 0.08))
    outer, neutral, inner = (float(t.girth_m[5]) * 1000.0 for t in (made.outside, made.neutral, made.inside))
    assert outer - inner == pytest.approx(62.831853, rel=WITHIN)
    assert neutral == pytest.approx(345.575, rel=WITHIN)
    (piece,) = pattern_of(tube, Foam("foam", 0.010, "inside", 0.5, 0.0, 0.08)).pieces
    assert float(np.ptp(piece.flat[:, 0])) * 1000.0 == pytest.approx(345.575, rel=WITHIN)
    made = layers(tube, Foam("foam", 0.010, "outside", 0.5, 0.0, 0.08))
    assert float(made.neutral.girth_m[5]) * 1000.0 == pytest.approx(math.tau * 45.0, rel=WITHIN)


def defects_deg(mesh: Mesh) -> np.ndarray:
    """What is missing of a full turn at each vertex."""
    whole = mesh.merged(1e-9)
    corner = whole.corners
    to, back = np.roll(corner, -1, axis=1) - corner, np.roll(corner, 1, axis=1) - corner
    cosine = (to * back).sum(axis=2) / np.linalg.norm(to, axis=2) / np.linalg.norm(back, axis=2)
    turn = np.bincount(whole.faces.ravel(), np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))).ravel())
    return 360.0 - turn


def test_descartes() -> None:
    """Descartes' theorem: the defects of a closed mesh without handles sum to 720 deg, also of a closed limb."""
    for tube in (cylinder(0.05, 0.3), elbow((0.055, 0.048, 0.036), (0.28, 0.26), math.radians(70.0))):
        assert float(defects_deg(closed_tube(tube.points)).sum()) == pytest.approx(720.0, abs=1e-6)


def test_dart_angle_of_a_cone() -> None:
    """A cone of half-angle 45 deg laid flat leaves out its tip's defect, 360 (1 - sin 45 deg) = 105.441559 deg
    (layout angle 254.6 deg: anvilfire.com/21centbs/math/cones1.htm)."""
    (piece,) = flat_of(frustum(0.050, 0.002, 0.048)).pieces
    assert 360.0 - sector(piece)[2] == pytest.approx(105.441559, rel=WITHIN)
    ring = np.stack([frustum(0.050, 0.002, 0.048).points[k] for k in (0, -1)])
    tip = closed_tube(ring, end=np.array([0.0, 0.0, -0.050]))
    # The tip's own defect, of a pyramid of 96 sides whose rim is as long as the circle.
    assert float(
        defects_deg(tip)[np.argmin(np.linalg.norm(tip.merged(1e-9).vertices + [0, 0, 0.05], axis=1))]
    ) == pytest.approx(105.44, abs=0.05)


@pytest.mark.parametrize("side", ["left", "right"])
def test_elbow_of_70_degrees(side: str) -> None:
    """Issue 5, radii 55, 48, 36 and 280 + 260 mm: default pattern rms at most 1.5 %, p99 at most 8.5 %, no overlap; seams
    of both sides equal within 1 % or 1 mm, in all within 0.5 mm."""
    tube = elbow((0.055, 0.048, 0.036), (0.280, 0.260), math.radians(70.0), side=side)  # type: ignore[arg-type]
    assert tube.bend_deg == pytest.approx(70.0, abs=0.01)
    pattern = pattern_of(tube, FILM)
    assert [piece.name for piece in pattern.pieces] == ["upper arm", "forearm"]
    for piece in pattern.pieces:
        assert piece.strain.rms <= 0.015
        assert piece.strain.p99 <= 0.085
    one, other = (edge(piece, "elbow seam") for piece in pattern.pieces)
    first, last = pattern.pieces
    assert long_mm(first, one) == pytest.approx(long_mm(last, other), abs=0.5)
    a, b = (np.linalg.norm(np.diff(p.flat[e.nodes], axis=0), axis=1) for p, e in ((first, one), (last, other)))
    assert np.all((np.abs(a - b) <= 0.01 * a) | (np.abs(a - b) <= 1e-3))
    assert float(np.abs(a / b - 1.0).max()) < 0.01


def test_offset_of_a_mitre_is_the_mitre_of_the_thinner_limb() -> None:
    """10 mm inside an elbow of radii 55, 48, 36 lies one of 45, 38, 26 (cones change by 0.03 %)."""
    thick, thin = (
        elbow((a, b, c), (0.280, 0.260), math.radians(70.0))
        for a, b, c in ((0.055, 0.048, 0.036), (0.045, 0.038, 0.026))
    )
    moved = offset(thick, -0.010)
    assert thick.elbow is not None
    assert thin.elbow is not None
    assert float(moved.girth_m[thick.elbow]) == pytest.approx(float(thin.girth_m[thin.elbow]), rel=2e-3)
