"""A second body in the same act: nothing for the same body, published fractions for a taller one, and limits by name."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from sightline.cli.main import app
from sightline.figure.tables import DRILLIS_CONTINI
from sightline.scene.reading import scene_from_text
from sightline.scene.recasting import with_performer
from sightline.workshop.bench import bench_of
from sightline.workshop.bodyswap import wanted_of
from sightline.workshop.recast import Change, Recast, recast

TEXT = """\
version: 1
title: The Parcel
performer:
  stature: 170 cm                       # barefoot
  sex: female
  shoes: 0 cm
  hide: [left arm]
  allergies: []                         # asked
prop:
  name: crate
  box: {width: 46 cm, depth: 32 cm, height: 30 cm, wall: 6 mm, top: open, mass: 2.1 kg}
  at: {ahead: 37 cm, up: 112 cm}        # as hung
  openings:
    - {wall: back, shape: round, diameter: 16 cm, at: [12 cm, 0 cm]}
false limbs:
  - {replaces: left arm, hand at: {wall: left, at: [-2 cm, -6 cm]}, seams: [{name: wrist seam, ring: 0.97}]}
rig:
  - strap: {over: right, width: 38 mm}
  - plate: {up: 1.1 m}
  - hook: {at: {wall: back, at: [0 cm, 5 cm]}}
puppet: {name: owl, height: 34 cm, grip: [4 cm, -2 cm, 2 cm], mass: 0.35 kg, moves: {look left: {turn: 12 deg}}}
eyes: [{id: E1, at: [0 m, -5 m, 1.5 m]}, {id: E2, at: [3 m, -3 m, 1.5 m]}]
"""


def of(text: str = TEXT, **said: object) -> Recast:
    written = scene_from_text(text)
    known: dict[str, object] = dict.fromkeys(("stature", "sex", "age", "mass", "proportions")) | {"measured": {}} | said
    return recast(written, wanted_of(written, **known))  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def taller() -> Recast:
    return of(stature="187 cm", sex="female")


def changes(found: Recast) -> dict[str, Change]:
    return {change.key: change for change in found.changes}


def rise(found: Recast, key: str) -> float:
    change = changes(found)[key]
    return change.after.value - change.before.value


def test_the_same_body_changes_nothing() -> None:
    found = of(TEXT.replace("  allergies: []                         # asked\n", ""), stature="1.70 m", sex="female")
    assert found.changes == ()
    assert found.cannot == ()
    assert found.by_hand == ()
    assert found.text == TEXT.replace("  allergies: []                         # asked\n", "")
    assert all(mark.before.seen == mark.after.seen and not mark.worse for mark in found.marks)
    assert any("crate's middle above the floor" in said for said in found.stays)


def test_heights_move_by_the_published_fractions(taller: Recast) -> None:
    """Drillis & Contini 1966 (Winter 2009, Fig. 4.1): eyes .936, upper arm .186, forearm .146, hand .108 of stature; 17 cm."""
    more = 0.17
    shares = DRILLIS_CONTINI
    assert (shares["eye_height"], shares["upper_arm"], shares["forearm"], shares["hand_length"]) == (
        0.936,
        0.186,
        0.146,
        0.108,
    )
    assert rise(taller, "eye height") == pytest.approx(0.936 * more, abs=1e-6)
    assert rise(taller, "arm") == pytest.approx((0.186 + 0.146) * more, abs=1e-6)
    assert rise(taller, "hand") == pytest.approx(0.108 * more, abs=1e-6)
    assert rise(taller, "false left arm upper arm") == pytest.approx(0.186 * more, abs=1e-6)
    assert rise(taller, "false left arm forearm") == pytest.approx(0.146 * more, abs=1e-6)


def test_the_prop_goes_where_the_hands_are(taller: Recast) -> None:
    """Without shoes every height of such a body is a fraction of stature, so what the hands hold rises with stature itself.

    Hand and grip lie 2 cm below the box's middle on average: 110 cm times 187/170, to the millimetre that is written.
    """
    held = 1.12 + (-0.06 + 0.02) / 2
    assert rise(taller, "prop height") == pytest.approx(held * (187 / 170 - 1), abs=0.001)
    assert rise(taller, "hook height") == pytest.approx(rise(taller, "prop height"), abs=1e-6)
    assert rise(taller, "plate height") == pytest.approx(rise(taller, "prop height"), abs=1e-6)
    assert rise(taller, "strap length") > 0.02


def test_comments_stay_and_the_new_text_is_the_new_scene(taller: Recast) -> None:
    assert "# as hung" in taller.text
    assert "# barefoot" in taller.text
    assert "allergies" not in taller.text
    assert any("Allergies" in said for said in taller.by_hand)
    bench = bench_of(scene_from_text(taller.text))
    assert bench.sheet is not None
    assert bench.sheet.stature_m == pytest.approx(1.87)
    assert bench.carried is not None
    assert float(bench.carried.middle[2]) == pytest.approx(changes(taller)["prop height"].after.value, abs=1e-9)


def test_words_have_both_measures(taller: Recast) -> None:
    change = changes(taller)["prop height"]
    assert change.before.words() == "112.0 cm (3 ft 8 1/8 in)"
    assert changes(taller)["load share"].before.words().endswith("% of body mass")


def test_a_hole_too_small_for_the_new_arm_is_cut_larger() -> None:
    small = TEXT.replace("diameter: 16 cm", "diameter: 12 cm")
    found = of(small, stature="170 cm", sex="female", measured={"biceps": 0.42, "forearm": 0.36})
    change = changes(found)["back opening across"]
    assert change.after.value >= changes(found)["back opening least"].after.value - 1e-9
    assert change.after.value > 0.12


@pytest.mark.parametrize(
    ("text", "said", "limit", "word"),
    [
        (TEXT, {"stature": "95 cm"}, "reach", "a straight arm reaches"),
        (TEXT.replace("height: 30 cm, wall", "height: 15 cm, wall").replace("diameter: 16 cm", "diameter: 13 cm")
         .replace("[-2 cm, -6 cm]", "[-2 cm, -4 cm]"),
         {"stature": "190 cm", "measured": {"biceps": 0.50, "forearm": 0.40}}, "opening", "opening"),
    ],
)  # fmt: skip
def test_impossible_bodies_say_which_limit(text: str, said: dict[str, object], limit: str, word: str) -> None:
    found = of(text, **said)
    assert limit in {entry.limit for entry in found.cannot}
    assert any(word in entry.words for entry in found.cannot if entry.limit == limit)


def test_only_the_body_is_spliced() -> None:
    flow = "version: 1\nperformer: {stature: 172 cm, mass: 70 kg, hide: [left arm]}   # who\n"
    assert with_performer(flow, {"stature": "181 cm"}) == (
        "version: 1\nperformer: {stature: 181 cm, hide: [left arm]}   # who\n"
    )
    block = "version: 1\nperformer:\n  # first\n  measured:\n    height: 172 cm\n    biceps: 31 cm   # taped\n  hide: [left arm]\n"
    assert with_performer(block, {"age": "8"}) == "version: 1\nperformer:\n  # first\n  hide: [left arm]\n  age: 8\n"


def test_command(tmp_path: Path) -> None:
    scene, other, out = tmp_path / "a.yaml", tmp_path / "b.yaml", tmp_path / "new.yaml"
    scene.write_text(TEXT, encoding="utf-8")
    other.write_text("version: 1\nperformer: {stature: '5 ft 11 in', sex: male, mass: 80 kg}\n", encoding="utf-8")
    runner = CliRunner()
    done = runner.invoke(app, ["recast", str(scene), "--performer", str(other), "--out", str(out), "--json"])
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    assert said["after"]["mass_kg"] == 80.0
    assert said["fits"] is True
    assert {"changes", "stays", "cannot", "marks"} <= set(said)
    assert said["marks"][0]["before"]["eyes"] == 2
    assert "stature: 5 ft 11 in" in out.read_text(encoding="utf-8")
    assert runner.invoke(app, ["recast", str(scene)]).exit_code == 2
