"""The report's values against sizes worked out by hand, and what a finding sums up."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sightline.house.eyes import Camera, Eye
from sightline.scene.reading import scene_from_text
from sightline.sight.check import Thresholds, check, pixel_arcmin
from sightline.sight.report import document, rounded
from sightline.staging import stage
from tests.conftest import finding_of, report_of

# Two discs of 5 cm: `front` faces the house, `back` upstage. A plate hides `front` from E3. E4 is a kilometre away.
SCENE = """
title: Two discs
covers: [{name: plate, rectangle: {width: 1 m, height: 1 m}, at: [4 m, -4 m, 0 m], facing: [1, -1, 0]}]
must see: [{name: owl, disc: {radius: 50 cm}, at: [0 m, 0 m, 2 m]}]
secrets: [{name: front, kind: rig, disc: {radius: 5 cm}}, {name: back, disc: {radius: 5 cm}, at: [0 m, 0.01 m, 0 m], facing: [0, 1, 0]}]
eyes:
  - {id: E1, at: [0 m, -10 m, 0 m], weight: 2}
  - {id: E2, at: [0 m, 10 m, 0 m]}
  - {id: E3, at: [8 m, -8 m, 0 m], weight: 5}
  - {id: E4, at: [0 m, -1000 m, 0 m], weight: 0.5}
"""
ARCMIN = math.degrees(1) * 60


def test_every_value_of_an_eye() -> None:
    """A disc of radius 0.05 at 10 m: pi r2 / d2; as a disc of equal solid angle it is 0.01 rad wide."""
    report = report_of(SCENE)
    one = report["eyes"][0]["secrets"]["front"]
    assert one["visible_fraction"] == pytest.approx(1.0, rel=1e-6)
    assert one["solid_angle_sr"] == pytest.approx(math.pi * 0.0025 / 100, rel=2e-2)
    assert one["angular_size_arcmin"] == pytest.approx(0.01 * ARCMIN, rel=1e-2)
    assert one["verdict"] == "seen"
    assert (one["pose"], one["via"], one["margin_deg"]) == (None, None, None)
    assert (one["visible_length_m"], one["longest_run_m"], one["angular_width_arcmin"]) == (None, None, None)
    assert report["eyes"][0]["position_m"] == [0.0, -10.0, 0.0]
    assert [eye["weight"] for eye in report["eyes"]] == [2.0, 1.0, 5.0, 0.5]
    verdicts = [[eye["secrets"][name]["verdict"] for eye in report["eyes"]] for name in ("front", "back")]
    assert verdicts == [["seen", "hidden", "hidden", "faint"], ["hidden", "seen", "hidden", "hidden"]]
    hidden = report["eyes"][1]["secrets"]["front"]
    assert (hidden["visible_fraction"], hidden["solid_angle_sr"], hidden["angular_size_arcmin"]) == (0.0, 0.0, 0.0)


def test_sums_over_the_eyes() -> None:
    """E2 is 1 cm nearer to what it sees than E1."""
    report = report_of(SCENE)
    assert report["title"] == "Two discs"
    assert report["schema_version"] == 1
    assert report["summary"] == {
        "eyes": 4, "eyes_seen": 2, "eyes_faint": 1, "worst_eye": "E2", "eye_seconds": None, "weighted_eyes_seen": 3.0,
    }  # fmt: skip
    front, back = report["secrets"]["front"], report["secrets"]["back"]
    assert (front["kind"], front["eyes_seen"], front["eyes_faint"]) == ("rig", 1, 1)
    assert (back["kind"], back["eyes_seen"], back["eyes_faint"]) == ("limb", 1, 0)
    assert front["area_m2"] == pytest.approx(math.pi * 0.0025, rel=1e-2)
    assert front["patches_inside_solids"] == 0
    assert [w["eye"] for w in front["worst"]] == ["E1", "E4"]
    assert [w["eye"] for w in back["worst"]] == ["E2"]
    assert [w["how"] for w in back["worst"]] == ["with nothing in the way"]


def test_a_must_see_is_measured_too() -> None:
    """The owl of half a metre radius, 2 m up and one-sided: E2 is behind it, and at a kilometre it is 3.4 arcmin wide."""
    report = report_of(SCENE)
    owl = [eye["must_see"]["owl"] for eye in report["eyes"]]
    assert [o["clear"] for o in owl] == [True, True, True, False]
    assert [o["clear_fraction"] for o in owl] == pytest.approx([1.0, 1.0, 1.0, 1.0])
    assert [o["clear_fraction_without_heads"] for o in owl] == pytest.approx([1.0, 1.0, 1.0, 1.0])
    assert owl[3]["angular_size_arcmin"] == pytest.approx(0.001 * ARCMIN, rel=1e-2)
    assert owl[0]["solid_angle_sr"] == pytest.approx(math.pi * 0.25 * 10 / 104**1.5, rel=1e-2)
    assert report["must_see"]["owl"]["eyes_with_clear_view"] == 3


def test_what_covers_what() -> None:
    """Of the pairs of eye and patch that do not see: facing away counts as `itself`."""
    covered = report_of(SCENE)["secrets"]["front"]["covered_by"]
    assert list(covered) == ["itself", "plate"]
    assert covered["itself"] == pytest.approx(0.5)
    assert covered["plate"] == pytest.approx(0.5)
    # `back` is turned away from three eyes, and `front` stands 1 cm before it without hiding anything from E2.
    assert report_of(SCENE)["secrets"]["back"]["covered_by"] == {"itself": 1.0}


def test_a_finding_sums_up() -> None:
    finding = finding_of(SCENE)
    assert finding.worst_verdict().tolist() == [2, 2, 0, 1]
    assert finding.seen_ids() == {"E1", "E2"}
    assert finding.weighted_seen() == 3.0
    assert {name: h.tolist() for name, h in finding.hidden().items()} == {
        "front": [False, True, True, False], "back": [True, False, True, True],
    }  # fmt: skip
    sizes = finding.size_of_leak()
    assert sizes[:2] == pytest.approx([0.01 * ARCMIN, 0.01 * ARCMIN], rel=1e-2)
    assert sizes[2] == 0.0
    assert finding.least_margin() is None
    some = finding.with_margins({"front": np.array([0.0, 3.0, 2.0, 0.0]), "back": np.array([5.0, 0.0, np.nan, 7.0])})
    least = some.least_margin()
    assert least is not None
    assert least[[0, 1, 3]].tolist() == [0.0, 0.0, 0.0]
    assert math.isnan(least[2])


@pytest.mark.parametrize(
    ("eye", "arcmin"),
    [
        (Camera(math.radians(60.0), 1000), 2 * math.tan(math.radians(30)) / 1000 * ARCMIN),
        (Camera(math.radians(90.0), 60), 2 / 60 * ARCMIN),
        (Camera(None, 1000), None),
        (Camera(1.0, None), None),
        (None, None),
    ],
)
def test_the_angle_of_a_pixel(eye: Camera | None, arcmin: float | None) -> None:
    """In the middle of the picture: twice the tangent of half the field over the pixels."""
    found = pixel_arcmin(Eye("E1", "camera", (0.0, 0.0, 0.0), camera=eye))
    assert found == (pytest.approx(arcmin, rel=1e-3) if arcmin else None)


def test_nine_digits() -> None:
    assert rounded(1.0 / 3.0) == 0.333333333
    assert rounded(123456789.12) == 123456789.0
    assert rounded(0.0) == 0.0


def test_a_search_asks_for_less() -> None:
    moment = stage(scene_from_text("version: 1\n" + SCENE))
    brief = check(moment, brief=True)
    whole = check(moment)
    assert brief.secrets["front"].covered_by == {}
    assert brief.secrets["front"].sighting.missable_rad.tolist() == [0.0] * 4
    assert (whole.secrets["front"].sighting.missable_rad[[0, 2, 3]] > 0).all()
    assert brief.worst_verdict().tolist() == whole.worst_verdict().tolist()
    assert not check(moment, must_sees=False).must_see
    assert list(whole.must_see) == ["owl"]


def test_thresholds_of_the_scene_and_sway() -> None:
    """E4 sees the disc 0.34 arcmin wide; it is seen from a threshold of less."""
    moment = stage(scene_from_text("version: 1\n" + SCENE))
    assert check(moment, Thresholds(spot_arcmin=0.3)).worst_verdict().tolist() == [2, 2, 0, 2]
    assert check(moment, Thresholds(spot_arcmin=0.4)).worst_verdict().tolist() == [2, 2, 0, 1]
    assert check(moment).swayed
    assert not check(moment, Thresholds(sway=False)).swayed


def test_the_work_is_told_step_by_step() -> None:
    told: list[tuple[int, int]] = []
    check(stage(scene_from_text("version: 1\n" + SCENE)), tick=lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_margins_are_told_to_a_tenth_and_what_could_be_missed_in_arcmin() -> None:
    finding = finding_of(SCENE)
    some = finding.with_margins(
        {"front": np.array([0.0, 3.149, np.nan, 0.0]), "back": np.array([12.26, 0.0, 1.0, 180.0])}
    )
    eyes = document(some, "scene.yaml")["eyes"]
    assert [eye["secrets"]["front"]["margin_deg"] for eye in eyes] == [0.0, 3.1, None, 0.0]
    assert [eye["secrets"]["back"]["margin_deg"] for eye in eyes] == [12.3, 0.0, 1.0, 180.0]
    missable = finding.secrets["front"].sighting.missable_rad
    assert [eye["secrets"]["front"]["missable_arcmin"] for eye in eyes] == pytest.approx(missable * ARCMIN)
