"""`check --robust`: plates, boxes and cloths whose edges clear a secret by a known distance, each put off by more or less.

Every scene is seen from so far that rays are all but parallel; where they are not, the closed form stands beside it.
"""

from __future__ import annotations

from textwrap import dedent
from typing import Any

import numpy as np
import pytest

from sightline.blocking.allowances import variations
from sightline.blocking.robust import Robust, backlit, robust
from sightline.blocking.robustreport import with_robust
from sightline.cli.work import thresholds
from sightline.geometry.frame import Placement
from sightline.geometry.mesh import Cover, Mesh
from sightline.geometry.shapes import rectangle
from sightline.house.eyes import Eye
from sightline.house.lamps import Lamp
from sightline.moment import Moment, Pose
from sightline.scene.reading import scene_from_text
from sightline.sight.check import VERDICTS, check
from sightline.sight.report import document
from sightline.staging.stage import STRAYING, put_together

NOTHING = "lower: 0 cm, tilt: 0 deg, cloth: 0 cm, build: 0 mm, stature: 0 cm, body: 0"


def of(text: str) -> Robust:
    written = scene_from_text("version: 1\n" + dedent(text))
    staged = put_together(written)
    limits = thresholds(written.model)
    return robust(written, staged, check(staged.moment(), limits), limits)


def first(found: Robust, eye: int = 0) -> tuple[str, str | None]:
    """The verdict that stands, and the allowance that first breaks it."""
    leak = found.first_leak(eye)
    return VERDICTS[found.verdict[eye]], leak.variation.allowance if leak else None


PLATE = """
covers: [{{name: plate, rectangle: {{width: {width}, height: 2 m}}, at: [0 m, -{gap}, 1 m], carried: {carried}}}]
secrets: [{{name: target, disc: {{radius: 1 cm}}, at: [0 m, 0 m, 1 m], carried: {carried}}}]
eyes: [{{id: E1, at: [0 m, -{far}, 1 m]}}]
blocking: {{stray: {{distance: {stray}, turn: 0 deg}}}}
allowances: {{{allowances}}}
"""


def plate(**said: str) -> str:
    usual = {"width": "4 cm", "gap": "50 cm", "far": "10 m", "carried": "yes", "stray": "0 m", "allowances": NOTHING}
    return PLATE.format(**{**usual, **said})


@pytest.mark.parametrize(("stray", "expected"), [("18 cm", ("hidden", None)), ("30 cm", ("seen", "stray"))])
def test_a_stray_uncovers_what_a_plate_hides(stray: str, expected: tuple[str, str | None]) -> None:
    # From the target's edge r past the plate's edge w, a tenth of 0.5 / 10 of the way: r + (X - r) / 20 = w at X = 0.21 m.
    assert first(of(plate(stray=stray))) == expected


@pytest.mark.parametrize(("build", "expected"), [("1 mm", ("hidden", None)), ("5 mm", ("seen", "build"))])
def test_a_plate_cut_small_uncovers_its_rim(build: str, expected: tuple[str, str | None]) -> None:
    # The plate stands 3 mm over the rim of the target; it is cut small or mounted off by the error.
    text = plate(
        width="26 mm", gap="1 cm", far="5 m", carried="no", allowances=NOTHING.replace("build: 0 mm", f"build: {build}")
    )
    assert first(of(text)) == expected


@pytest.mark.parametrize(("width", "expected"), [("22-40 mm", ("hidden", None)), ("10-40 mm", ("seen", "ranges"))])
def test_a_range_is_tried_at_both_ends(width: str, expected: tuple[str, str | None]) -> None:
    assert first(of(plate(width=width, gap="1 cm", far="5 m", carried="no"))) == expected


def test_errors_that_are_harmless_alone_are_tried_together() -> None:
    # Half of 22 mm covers the rim of 10 mm, and so does half of 28 mm less 3 mm; half of 22 mm less 3 mm does not.
    text = plate(
        width="22-34 mm", gap="1 cm", far="5 m", carried="no", allowances=NOTHING.replace("build: 0 mm", "build: 3 mm")
    )
    found = of(text)
    assert first(found) == ("seen", "together")
    alone = of(plate(width="22-34 mm", gap="1 cm", far="5 m", carried="no"))
    assert first(alone) == ("hidden", None)


BOX = """
prop: {{box: {{width: 40 cm, depth: 20 cm, height: 20 cm, mass: 1 kg}}, at: {{ahead: 30 cm, up: 110 cm}}}}
costume: []
secrets: [{{name: target, disc: {{radius: 1 cm}}, at: [0 m, 50 cm, {height}]}}]
eyes: [{{id: E1, at: [0 m, -10 m, {height}]}}]
allowances: {{{allowances}}}
"""


@pytest.mark.parametrize(("lower", "expected"), [("1 cm", ("hidden", None)), ("5 cm", ("seen", "late"))])
def test_a_box_sinks_late_in_the_set(lower: str, expected: tuple[str, str | None]) -> None:
    # The target, 1.16 to 1.18 m up, is level with its eye behind a box whose top is at 1.20 m.
    allowed = NOTHING.replace("lower: 0 cm", f"lower: {lower}")
    assert first(of(BOX.format(height="117 cm", allowances=allowed))) == expected


OPEN = """
prop: {{box: {{width: 40 cm, depth: 20 cm, height: 20 cm, top: open, mass: 1 kg}}, at: {{ahead: 30 cm, up: 110 cm}}}}
secrets: [{{name: target, disc: {{radius: 1 cm}}, at: [0 m, -30 cm, 117 cm]}}]
eyes: [{{id: E1, at: [0 m, -10 m, 2 m]}}]
allowances: {{{allowances}}}
"""


@pytest.mark.parametrize(("tilt", "expected"), [("5 deg", ("hidden", None)), ("10 deg", ("seen", "late"))])
def test_an_open_box_tips_forward(tilt: str, expected: tuple[str, str | None]) -> None:
    # The eye's line to the target's top, 1.18 m, passes the front wall at 1.188 m. Tipped about its middle by t that wall's
    # top, 0.1 m ahead and above, is at 1.1 + 0.1 (cos t - sin t): 1.191 m for 5 deg, 1.181 m for 10 deg.
    assert first(of(OPEN.format(allowances=NOTHING.replace("tilt: 0 deg", f"tilt: {tilt}")))) == expected


PERFORMER = """
performer: {{stature: 170 cm, sex: female, shoes: 0 cm}}
pose: {{visible hand: hangs}}
prop: {{box: {{width: 40 cm, depth: 20 cm, height: 20 cm, mass: 1 kg}}, at: {{ahead: 60 cm, up: 110 cm}}}}
costume: [{{drape: {{wall: front, edge: bottom, width: 40 cm, drop: 20 cm{opaque}}}}}]
secrets: [{{name: target, disc: {{radius: 1 cm}}, at: [0 cm, -50 cm, 82 cm]}}]
eyes: [{{id: E1, at: [0 m, -10 m, 82 cm]}}]
{venue}
allowances: {{{allowances}}}
"""


@pytest.mark.parametrize(("cloth", "expected"), [("5 mm", ("hidden", None)), ("20 mm", ("seen", "cloth"))])
def test_a_drape_drawn_up_uncovers_what_hangs_behind(cloth: str, expected: tuple[str, str | None]) -> None:
    # The drape hangs from 1.00 to 0.80 m; the target is 0.81 to 0.83 m up.
    allowed = NOTHING.replace("cloth: 0 cm", f"cloth: {cloth}")
    assert first(of(PERFORMER.format(opaque="", venue="", allowances=allowed))) == expected


LAMP = "venue: {{stage: {{kind: floor}}, lamps: [{{name: back light, at: [0 m, {y}, 3 m]}}]}}"


@pytest.mark.parametrize(
    ("opaque", "y", "expected"),
    [
        ("", "6 m", ("seen", "back light")),
        (", opaque: yes", "6 m", ("hidden", None)),
        ("", "-9 m", ("hidden", None)),  # from the front, beside the audience
    ],
)
def test_thin_cloth_with_a_lamp_behind_is_no_cover(opaque: str, y: str, expected: tuple[str, str | None]) -> None:
    text = PERFORMER.format(opaque=opaque, venue=LAMP.format(y=y), allowances=NOTHING)
    assert first(of(text)) == expected


def lit_through(cloth: Mesh, lamp: Lamp, *at_m: tuple[float, float, float]) -> list[bool]:
    """For eyes at these places, whether the lamp is taken to be behind the cloth."""
    eyes = tuple(Eye(f"E{k}", "point", at) for k, at in enumerate(at_m))
    moment = Moment("", Pose("still", (Cover("cloth", cloth),)), (Pose("rest"),), eyes, lamps=(lamp,))
    lit = backlit(moment, frozenset({"cloth"}), np.arange(len(eyes)))
    return np.isin(np.arange(len(eyes)), lit).tolist()


def test_eyes_that_are_mirror_images_have_one_lamp_behind_a_flat_cloth() -> None:
    """The cloth hangs in the plane y = -0.5 m; the lamp is a metre behind that plane, far to one side. Whoever is before
    the plane may see it through the cloth, on either side of the middle; whoever is behind it, or the lamp before it, not."""
    cloth = rectangle(0.6, 0.4).placed(Placement(np.eye(3), np.array([0.0, -0.5, 0.8])))
    side = Lamp("side", (6.0, 0.5, 0.8))
    assert lit_through(cloth, side, (1.5, -5.0, 0.9), (-1.5, -5.0, 0.9), (3.0, 2.0, 0.9)) == [True, True, False]
    front = Lamp("front", (6.0, -1.0, 3.0))
    assert lit_through(cloth, front, (1.5, -5.0, 0.9), (-6.0, -1.0, 0.9)) == [False, False]
    # 5 cm behind the plane: a head that leans is across it.
    assert lit_through(cloth, front, (6.0, -0.45, 0.9)) == [True]


def test_a_lamp_is_behind_part_of_a_cloth_that_curves() -> None:
    """Half a tube of 0.3 m about z, open upstage. Eye and lamp are 5 m away at 40 deg to either side of straight ahead, so
    less than a right angle apart. The part that faces 75 deg to the eye's side lies between them: of its plane, 0.3 m out,
    the eye is 5 cos 35 - 0.3 = 3.8 m before and the lamp 5 cos 115 - 0.3 = -2.4 m behind."""
    turn = np.radians(np.arange(-90, 91, 15))
    ring = np.column_stack([0.3 * np.sin(turn), -0.3 * np.cos(turn), 0.0 * turn])
    n, i = len(turn), np.arange(len(turn) - 1)
    faces = np.concatenate([np.column_stack([i, i + 1, n + i + 1]), np.column_stack([i, n + i + 1, n + i])])
    tube = Mesh.of(np.concatenate([ring, ring + [0.0, 0.0, 0.5]]), faces)
    x, y = 5 * np.sin(np.radians(40)), -5 * np.cos(np.radians(40))
    assert lit_through(tube, Lamp("front", (-x, y, 0.3)), (x, y, 0.3)) == [True]


def test_a_beam_that_meets_a_cloth_between_its_corners_lights_it() -> None:
    """The beam, 4 deg wide from 3 m, makes a spot 0.2 m across a metre from the middle of a cloth of 4 m."""
    cloth = rectangle(4.0, 2.0).placed(Placement(np.eye(3), np.array([0.0, 0.0, 1.0])))
    half = np.radians(2.0)
    assert lit_through(cloth, Lamp("on it", (1.0, 3.0, 1.0), (0.0, -1.0, 0.0), half), (0.0, -5.0, 1.0)) == [True]
    assert lit_through(cloth, Lamp("away", (1.0, 3.0, 1.0), (0.0, 1.0, 0.0), half), (0.0, -5.0, 1.0)) == [False]


def test_without_a_lamp_it_says_that_light_through_cloth_was_not_tried() -> None:
    found = of(PERFORMER.format(opaque="", venue="", allowances=NOTHING))
    assert any("lamp" in said for said in found.not_tried)


def test_what_stays_behind_is_not_strayed_from_and_that_is_said() -> None:
    found = of(PERFORMER.format(opaque="", venue="", allowances=NOTHING))
    assert any("stays where it is" in said for said in found.not_tried)


def test_the_measurement_to_take_next_is_the_one_that_uncovers_most() -> None:
    wide = "width: 10-40 mm"
    text = f"""
    covers:
      - {{name: left, rectangle: {{{wide}, height: 2 m}}, at: [0 m, -1 cm, 1 m]}}
    secrets: [{{name: target, disc: {{radius: 1 cm}}, at: [0 m, 0 m, 1 m]}}]
    eyes: [{{id: E1, at: [0 m, -5 m, 1 m]}}, {{id: E2, at: [0 m, -5.1 m, 1 m], weight: 3}}]
    allowances: {{{NOTHING}}}
    """
    found = of(text)
    assert found.measure_next is not None
    assert "covers[0].rectangle.width" in found.measure_next.variation.measure
    assert found.measure_next.weight == pytest.approx(4.0)


HOLDS: dict[str, Any] = {"stray": "5 cm", "width": "30 cm", "gap": "1 cm", "far": "5 m"}


def test_a_secret_well_covered_stays_hidden_under_every_usual_allowance() -> None:
    found = of(plate(**HOLDS, allowances=""))
    assert first(found) == ("hidden", None)
    assert found.measure_next is None
    assert {tried.variation.allowance for tried in found.tried} >= {"stray", "build", "together"}


REACH = """
performer: {stature: 172 cm, sex: female, hide: [left arm]}
prop:
  box: {width: 46 cm, depth: 32 cm, height: 30 cm, mass: 2 kg}
  at: {ahead: 37 cm, up: 118 cm}
  openings: [{wall: back, diameter: 13 cm, at: [9.5 cm, -5 cm]}]
puppet: {grip: [4 cm, -2 cm, 3 cm], moves: {duck: {by: [0 cm, 0 cm, -3 cm]}}}
covers: [{name: curtain, rectangle: {width: 8 m, height: 8 m}, at: [0 m, -5 m, 1 m]}]
eyes: [{id: E1, at: [0 m, -10 m, 1.2 m]}]
"""


def test_what_cannot_be_is_tried_less_far_and_told() -> None:
    # No arm reaches a prop 20 cm lower through the same hole; it does reach one a quarter of that lower, and the usual 5 cm.
    text = (
        REACH
        + "blocking: {stray: {distance: 0 cm, turn: 0 deg}}\n"
        + f"allowances: {{{NOTHING.replace('lower: 0 cm', 'lower: 20 cm')}}}"
    )
    found = of(text)
    assert any("lower" in said and ("Only" in said or "cannot be" in said) for said in found.not_tried)
    assert {tried.variation.words: tried.share < 1.0 for tried in found.of("late")} == {
        "the prop 50 mm lower": False,
        "the prop 20.0 cm lower": True,
    }


def test_farther_off_than_usual_is_also_tried_as_far_as_usual() -> None:
    """A window 10 cm wide comes before the target 5 cm aside, and at 30 cm it is past it: what only the end would call hidden."""
    text = """
    covers:
      - {{name: left, rectangle: {{width: 1 m, height: 4 m}}, at: [-50 cm, -1 m, 1 m]}}
      - {{name: right, rectangle: {{width: 1 m, height: 4 m}}, at: [60 cm, -1 m, 1 m]}}
    performer: {{stature: 172 cm, sex: female}}
    secrets: [{{name: target, disc: {{radius: 1 cm}}, at: [-2.5 cm, 0 m, 2.2 m], carried: yes}}]
    eyes: [{{id: E1, at: [0 m, -20 m, 2.2 m]}}]
    noticing: {{sway: no}}
    blocking: {{stray: {{distance: {stray}, turn: 0 deg}}}}
    allowances: {{{nothing}}}
    """
    assert first(of(text.format(stray="5 cm", nothing=NOTHING))) == ("seen", "stray")
    found = of(text.format(stray="30 cm", nothing=NOTHING))
    assert first(found) == ("seen", "stray")
    seen = [tried.variation.words for tried in found.of("stray") if tried.verdict[0] == 2]
    assert "off the mark: 50 mm to stage left" in seen
    assert "off the mark: 30.0 cm to stage left" not in seen


def test_what_the_scene_allows_nothing_for_is_named() -> None:
    assert any("lower, tilt, cloth, build, stature, body" in said for said in of(plate(**HOLDS)).not_tried)


def test_draws_that_cannot_be_are_told_once() -> None:
    found = of(REACH + "allowances: {lower: 50 cm}\n")
    assert sum("off at once" in said for said in found.not_tried) == 1


def test_sizes_that_somebody_measured_are_not_uncertain() -> None:
    def tried(measured: str) -> set[str]:
        text = REACH.replace("sex: female", f"sex: female, mass: 64 kg, measured: {{{measured}}}")
        written = scene_from_text("version: 1\n" + text)
        return {one.axis for one in variations(written, put_together(written)) if one.allowance == "body"}

    assert tried("") == {"stature", "shoulder height", "shoulder elbow", "elbow wrist"}
    assert tried("shoulder height: 141 cm, shoulder elbow: 35 cm, elbow wrist: 25 cm") == {"stature"}


def test_an_unknown_is_tried_about_its_usual_value() -> None:
    found = of(REACH.replace("sex: female", "sex: female, shoes: unknown"))
    said = [one.variation.words for one in found.of("ranges")]
    assert len(said) == 2
    assert all("shoes" in words for words in said)


def test_a_range_of_where_an_eye_is_moves_the_eye() -> None:
    # The plate's top is 1.2 m up, 1 cm before the target, the eye 1 m: from z it sees what is above (1.2 - z / 100) / 0.99.
    # From 2.1 m up that is 1.191 m, over the target's rim of 1.19 m; from 4 m up 1.172 m, nearly all of it.
    text = """
    covers: [{{name: plate, rectangle: {{width: 1 m, height: 40 cm}}, at: [0 m, -1 cm, 1 m]}}]
    secrets: [{{name: target, disc: {{radius: 1 cm}}, at: [0 m, 0 m, 1.18 m]}}]
    eyes: [{{id: E1, at: [0 m, -1 m, {height}]}}, {{id: E2, at: [0 m, -5 m, 1 m]}}]
    allowances: {{{allowances}}}
    """
    assert first(of(text.format(height="2.0-2.1 m", allowances=NOTHING))) == ("hidden", None)
    found = of(text.format(height="0.1-4 m", allowances=NOTHING))
    assert first(found) == ("seen", "ranges")
    assert first(found, 1) == ("hidden", None)


def test_what_was_tried_is_not_told_as_unchecked() -> None:
    written = scene_from_text("version: 1\n" + REACH)
    staged = put_together(written)
    finding = check(staged.moment(), thresholds(written.model))
    report = document(finding, "act.yaml")
    assert STRAYING in report["not_checked"]
    found = with_robust(report, robust(written, staged, finding, thresholds(written.model)))
    assert STRAYING not in found["not_checked"]
    assert len(found["not_checked"]) == len(report["not_checked"]) - 1
