"""What the audience sees of a limb's skin: arcs known by formula, covers, weights, beats, and what cannot be asked."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sightline.errors import FileError, SightlineError
from sightline.pattern.exposure import MOST_PAIRS, exposure_of, shown
from sightline.pattern.looks import limb_index, looks_of
from sightline.pattern.plain import cylinder, elbow, frustum
from sightline.scene.reading import scene_from_text
from sightline.sight.check import check
from sightline.staging.stage import stage
from tests.conftest import REPOSITORY
from tests.pattern.shown_limbs import LIMB, arm_scene, arm_seen, looks_at, row_of

R_M, H_M, COLUMNS = 0.05, 0.5, 36
CELL_RAD = 2 * math.pi / COLUMNS
FRONT = math.pi / 2


@pytest.mark.parametrize("distance_m", [0.08, 0.1, 0.2, 0.5, 2.0, 5_000.0])
def test_the_arc_a_near_eye_sees_of_a_cylinder(distance_m: float) -> None:
    """Tangents from a point at D from the axis touch a circle at acos(r / D) to either side: the arc seen is
    2 acos(r / D), half of the whole from afar. Derived: the normal there is square to the line of sight, and the
    radius, the tangent and D make a right-angled triangle. Every row alike, for D is measured square to the axis."""
    seen = exposure_of(looks_at(cylinder(R_M, H_M), [(0, -distance_m, -0.2)], [1]), columns=COLUMNS).seen
    # The rims' normals are half those of the ends.
    arc = seen[1:-1].sum(axis=1) * CELL_RAD
    assert np.abs(arc - 2 * math.acos(R_M / distance_m)).max() <= CELL_RAD + 1e-9
    middle = np.angle((seen[1:-1] * np.exp(1j * np.arange(COLUMNS) * CELL_RAD)).sum(axis=1))
    assert middle == pytest.approx(FRONT, abs=CELL_RAD / 2)


def test_a_far_eye_sees_exactly_half_by_the_cosine() -> None:
    looks = looks_at(cylinder(R_M, H_M), [(1e4, 0, -0.25)], [1])
    found = exposure_of(looks, columns=COLUMNS)
    turned = np.cos(np.arange(COLUMNS) * CELL_RAD) > 1e-9
    edge = np.abs(np.cos(np.arange(COLUMNS) * CELL_RAD)) < 1e-9
    assert np.array_equal(found.seen[1:-1][:, ~edge], np.tile(turned.astype(float), (len(found.seen) - 2, 1))[:, ~edge])


def test_eyes_count_by_their_weight() -> None:
    seen = exposure_of(looks_at(cylinder(R_M, H_M), [(0, -5, -0.2), (0, 5, -0.2)], [1, 3]), columns=COLUMNS).seen
    assert set(np.round(seen[1:-1], 9).ravel()) <= {0.0, 0.25, 0.75, 1.0}
    assert np.all(seen[1:-1, COLUMNS // 4] == 0.25)
    assert np.all(seen[1:-1, 3 * COLUMNS // 4] == 0.75)


def test_covers_hide_and_so_does_the_limb_itself() -> None:
    sleeve = frustum(0.06, 0.06, 0.25)
    from tests.pattern.shown_limbs import closed

    half = exposure_of(looks_at(cylinder(R_M, H_M), [(0, -5, -0.2)], [1], [closed(sleeve)]), columns=COLUMNS)
    assert half.seen[(half.share > 0) & (half.share < 0.49)].max() == 0.0
    assert half.seen[(half.share > 0.55) & (half.share < 1.0), COLUMNS // 4].min() == 1.0
    # Bent to the front, the forearm hides some of the upper arm's front from an eye before it and below.
    bent = elbow((0.05, 0.048, 0.04), (0.28, 0.26), math.radians(110))
    straight = exposure_of(looks_at(elbow((0.05, 0.048, 0.04), (0.28, 0.26), 0.0), [(0, -3, -2.0)], [1]), columns=36)
    folded = exposure_of(looks_at(bent, [(0, -3, -2.0)], [1]), columns=36)
    near = (folded.share > 0.35) & (folded.share < 0.5)
    assert folded.seen[near, 9].max() < straight.seen[(straight.share > 0.35) & (straight.share < 0.5), 9].min()


def test_the_grid_is_fine_enough_and_read_between_its_points() -> None:
    looks = looks_at(cylinder(R_M, H_M), [(0, -1, -0.2)], [1])
    found = exposure_of(looks)
    assert np.diff(found.share).max() * H_M <= 0.0151
    assert 24 <= len(found.around_rad) <= 36
    i, j = 7, 5
    share, around = found.share[[i, i]], found.around_rad[[j, j]] + [0.0, 2 * np.pi]
    assert found.at(share, around) == pytest.approx(found.seen[i, j], abs=1e-9)
    last = np.array([2 * np.pi - np.pi / len(found.around_rad)])
    assert found.at(found.share[[i]], last) == pytest.approx((found.seen[i, -1] + found.seen[i, 0]) / 2)


def test_a_seam_is_measured_by_its_length() -> None:
    looks = looks_at(cylinder(R_M, H_M), [(0, -5, -0.2), (0, 5, -0.2)], [1, 3])
    front = shown(looks, np.array([[0.1, FRONT], [0.9, FRONT]]))
    assert front.length_m == pytest.approx(0.8 * H_M, rel=1e-3)
    assert front.visible_m == pytest.approx(0.25 * 0.8 * H_M, rel=1e-3)
    assert front.audience == 0.25
    ring = shown(looks, np.array([[0.5, 0.0], [0.5, 2 * np.pi]]))
    # From each eye 2 acos(r / D) of the circle.
    assert ring.visible_m == pytest.approx(2 * math.acos(R_M / 5) * R_M, rel=0.02)
    assert ring.audience == 1.0


def test_it_is_what_the_check_sees() -> None:
    """The seams of a scene, looked at by both: the mean over the eyes of the visible length."""
    written = arm_seen(-6)
    finding = check(stage(written))
    looks = looks_of(written, LIMB)
    weight = np.array([eye.weight for eye in finding.moment.eyes])
    for name, angle in (("inner seam", math.pi), ("outer seam", 0.0)):
        mean = float(weight @ finding.secrets[name].sighting.seen.length_m / weight.sum())
        # The scene's `side` leaves the forearm untwisted, a path does not: a sample more or less per eye.
        assert shown(looks, np.array([[0.0, angle], [1.0, angle]])).visible_m == pytest.approx(mean, abs=0.005)


def test_beats_count_by_their_seconds() -> None:
    still = arm_seen(-6)
    beats = "blocking:\n  beats: [{at: 0 s, mark: [0 m, 0 m], facing: FACING, hold: 3 s}]\n"
    alike = scene_from_text(arm_scene(row_of(-6)) + beats.replace("FACING", "0 deg"))
    plain, timed = looks_of(still, LIMB), looks_of(alike, LIMB)
    assert not plain.timed
    assert timed.timed
    assert "no beats" in plain.said[0]
    assert "eye-seconds" in timed.said[0]
    assert timed.total == pytest.approx(3 * plain.total)
    assert np.array_equal(exposure_of(plain).seen, exposure_of(timed).seen)


def test_two_beats_are_weighed_by_how_long_they_last() -> None:
    scene = arm_scene(row_of(-6))
    turned = "blocking:\n  ease: even\n  beats:\n    - {at: 0 s, mark: [0 m, 0 m], facing: 0 deg, hold: 9 s}\n"
    turned += "    - {at: 9.5 s, facing: 60 deg, hold: 27 s}\n"
    both = exposure_of(looks_of(scene_from_text(scene + turned), LIMB)).seen
    one, other = (
        exposure_of(
            looks_of(scene_from_text(scene + f"blocking: {{mark: [0 m, 0 m], facing: {deg} deg}}\n"), LIMB)
        ).seen
        for deg in (0, 60)
    )
    assert np.abs(one - other).max() > 0.3
    # A quarter and three quarters of the time, but for the half second between them.
    assert np.abs(both - (0.25 * one + 0.75 * other)).max() < 0.5 / 36.5 + 1e-9


def test_many_eyes_are_thinned_and_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    written = arm_seen(-6)
    looks = looks_of(written, LIMB)
    whole = exposure_of(looks)
    monkeypatch.setattr("sightline.pattern.exposure.MOST_PAIRS", 4_000)
    rough = exposure_of(looks)
    assert not any("speaks" in said for said in whole.said)
    assert any("speaks for" in said and "every eye" in said for said in rough.said)
    assert 0.0 < np.abs(rough.seen - whole.seen).mean() < 0.1
    assert MOST_PAIRS > 1_000_000


def test_the_example_stage_in_time() -> None:
    """420 people: every one is asked, and it does not take long (printed figures: the benchmark)."""
    written = scene_from_text((REPOSITORY / "examples" / "courier-stage.yaml").read_text(encoding="utf-8"))
    found = exposure_of(looks_of(written, LIMB))
    assert not any("speaks" in said for said in found.said)
    # The sleeve covers all but the wrist, but for hardly anything near the elbow.
    assert found.seen[(found.share > 0.1) & (found.share < 0.5)].max() < 0.05
    assert found.seen[-3:].max() > 0.3


def test_nobody_watching() -> None:
    with pytest.raises(FileError, match="because nobody is watching: the scene has no eyes"):
        looks_of(scene_from_text(arm_scene("")), LIMB)


def test_a_limb_that_is_not_there() -> None:
    written = arm_seen(-6)
    assert limb_index(written, LIMB) == 0
    with pytest.raises(SightlineError, match="did you mean 'false left arm'"):
        limb_index(written, "false left am")
    with pytest.raises(SightlineError, match="it has 'false left arm'"):
        limb_index(written, "tail")
