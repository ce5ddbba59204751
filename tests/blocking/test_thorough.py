"""`check --thorough`: what slips between the usual patches does not slip between these, down to what an eye notices."""

from __future__ import annotations

from textwrap import dedent

import numpy as np
import pytest

from sightline.blocking.thorough import FINEST_M, THOROUGH_ELBOWS, put_together_thoroughly
from sightline.cli.work import thresholds
from sightline.scene.reading import scene_from_text
from sightline.sight.check import VERDICTS, check
from sightline.sight.draws import share_over_draws
from sightline.staging.stage import put_together
from tests.blocking.test_robust import REACH

# A window 8 mm square between four plates 1 cm before a secret, 9 m from a person: as large as a disc of 3.4 arcmin.
WINDOW = """
covers:
  - {{name: left, rectangle: {{width: 1 m, height: 3 m}}, at: [{left} m, -1 cm, 1 m]}}
  - {{name: right, rectangle: {{width: 1 m, height: 3 m}}, at: [{right} m, -1 cm, 1 m]}}
  - {{name: below, rectangle: {{width: 3 m, height: 1 m}}, at: [0 m, -1 cm, {below} m]}}
  - {{name: above, rectangle: {{width: 3 m, height: 1 m}}, at: [0 m, -1 cm, {above} m]}}
secrets: [{{name: target, rectangle: {{width: 30 cm, height: 30 cm}}, at: [0 m, 0 m, 1 m]}}]
eyes: [{{id: E1, at: [0 m, -9 m, 1 m], kind: seated}}]
noticing: {{sway: no}}
"""


def window(x_m: float, z_m: float) -> str:
    return WINDOW.format(left=x_m - 0.504, right=x_m + 0.504, below=1 + z_m - 0.504, above=1 + z_m + 0.504)


def verdicts(text: str) -> tuple[str, str, float, float]:
    """Usual and thorough verdict, and the arcminutes that each can miss."""
    written = scene_from_text("version: 1\n" + dedent(text))
    limits = thresholds(written.model)
    found = [check(staged.moment(), limits).secrets["target"] for staged in (
        put_together(written), put_together_thoroughly(written, limits))]  # fmt: skip
    said = [VERDICTS[one.verdict[0]] for one in found]
    down = [float(np.degrees(one.sighting.missable_rad[0]) * 60) for one in found]
    return said[0], said[1], down[0], down[1]


def test_a_window_that_slips_between_usual_patches_is_found() -> None:
    found = [verdicts(window(x * 0.004, x * 0.0027)) for x in range(-3, 4)]
    assert all(thorough == "seen" for _, thorough, _, _ in found)
    # Otherwise this test shows nothing.
    assert any(usual == "hidden" for usual, _, _, _ in found)
    # Two arcminutes is what a person notices.
    assert all(down <= 2.0 for _, _, _, down in found)
    assert all(down > 2.0 for _, _, down, _ in found)


def test_an_eye_too_near_is_told_so() -> None:
    written = scene_from_text("version: 1\n" + dedent(window(0.0, 0.0).replace("-9 m", "-30 cm")))
    staged = put_together_thoroughly(written, thresholds(written.model))
    assert staged.detail_m == pytest.approx(FINEST_M)
    assert any("nearest eyes" in note for note in staged.notes)


def test_twice_as_many_elbows_are_looked_at() -> None:
    written = scene_from_text("version: 1\n" + dedent(REACH))
    usual, thorough = put_together(written), put_together_thoroughly(written, thresholds(written.model))
    by_move: dict[str, int] = {}
    for pose in thorough.act.hidden:
        by_move[pose.move] = by_move.get(pose.move, 0) + 1
    assert max(by_move.values()) <= THOROUGH_ELBOWS
    assert len(thorough.act.poses) > len(usual.act.poses)


# Two boards with a gap 0.4 mm wide between them, as tall as both; one person, drawn by chance, stands 2.5 m away.
SLIT = """
covers:
  - {name: left board, rectangle: {width: 2 m, height: 3 m}, at: [1.0002 m, -0.3 m, 1.5 m]}
  - {name: right board, rectangle: {width: 2 m, height: 3 m}, at: [-1.0002 m, -0.3 m, 1.5 m]}
secrets: [{name: arm, rectangle: {width: 30 cm, height: 60 cm}, at: [0.0075 m, 0 m, 1.2 m]}]
venue:
  standing: [{area: pit, rectangle: {from: [-0.1 m, -3 m], to: [0.1 m, -2 m]}, spacing: 50 cm, sampled: yes}]
noticing: {sway: no}
"""


def test_slits_are_gone_after_in_every_draw_of_a_crowd() -> None:
    """A slit that runs from floor to head shows as much to everybody there, however tall: all of one person, each time."""
    written = scene_from_text("version: 1\n" + SLIT)
    limits = thresholds(written.model)
    finding = check(put_together_thoroughly(written, limits).moment(), limits)
    assert share_over_draws(finding, limits, 4).values == (1.0, 1.0, 1.0, 1.0)
