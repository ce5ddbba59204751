"""Margins against closed forms: the angle from the eye's direction to the edge, seen from the target.

Source: trigonometry. A target at the origin, a wall 1 m before it: an edge at x = a is seen from it at atan(a) from
straight ahead, the rim of a round hole of radius r on its axis at atan(r). Targets are 2 mm wide, so that all their
patches agree within atan(0.001) = 0.06 deg. Tolerance: 0.5 deg (the issue's), of which 0.1 is the search's own.
"""

from __future__ import annotations

import math
from pathlib import Path
from textwrap import dedent

import numpy as np
import pytest

from sightline.scene.reading import scene_from_text
from sightline.sight.check import check
from sightline.sight.fields import Fields
from sightline.sight.margins import margins
from sightline.sight.scenery import Scenery
from sightline.staging.stage import put_together

TOLERANCE_DEG = 0.5
TARGET = "secrets: [{name: target, rectangle: {width: 2 mm, height: 2 mm}}]\n"


def margin_of(text: str, folder: Path = Path(".")) -> dict[str, float]:
    """Margin of the one secret, by eye."""
    staged = put_together(scene_from_text("version: 1\n" + dedent(text), folder=folder))
    own = staged.own()
    moment = staged.seen_from(own, staged.mark_m, staged.facing_rad)
    finding = check(moment)
    (found,) = margins(moment, finding.hidden(), Fields(Scenery(own))).values()
    return {eye.id: float(m) for eye, m in zip(moment.eyes, found, strict=True)}


def eyes_at(bearings_deg: list[float], up_deg: float = 0.0, far_m: float = 5.0) -> str:
    rows = []
    for b in bearings_deg:
        x, y = math.sin(math.radians(b)), -math.cos(math.radians(b))
        c, s = math.cos(math.radians(up_deg)), math.sin(math.radians(up_deg))
        rows.append(f"{{id: E{b:g}, at: [{far_m * c * x:.6f} m, {far_m * c * y:.6f} m, {far_m * s:.6f} m]}}")
    return f"eyes: [{', '.join(rows)}]\n"


@pytest.mark.parametrize("edge", [-0.4, 0.0, 0.3, 1.0])
@pytest.mark.parametrize("carried", ["no", "yes"])
def test_half_plane(edge: float, carried: str) -> None:
    """The screen covers all x < edge; from an eye on its side the margin is the angle to the edge."""
    screen = f"covers: [{{name: screen, rectangle: {{width: 40 m, height: 40 m}}, at: [{edge - 20} m, -1 m, 0 m], carried: {carried}}}]\n"
    bearings = [math.degrees(math.atan(edge)) - step for step in (-3.0, 1.0, 4.0, 11.0, 25.0)]
    target = TARGET.replace("}}", f"}}, carried: {carried}}}")
    found = margin_of(screen + target + eyes_at(bearings))
    for b, step in zip(bearings, (-3.0, 1.0, 4.0, 11.0, 25.0), strict=True):
        assert found[f"E{b:g}"] == pytest.approx(max(step, 0.0), abs=TOLERANCE_DEG), b


def test_half_plane_from_above() -> None:
    """An eye raised by e sees the upright edge at asin(cos e sin of the bearing between)."""
    screen = "covers: [{name: screen, rectangle: {width: 40 m, height: 40 m}, at: [-20 m, -1 m, 0 m]}]\n"
    found = margin_of(screen + TARGET + eyes_at([-20.0, -8.0], up_deg=35.0))
    for b in (-20.0, -8.0):
        want = math.degrees(math.asin(math.cos(math.radians(35.0)) * math.sin(math.radians(-b))))
        assert found[f"E{b:g}"] == pytest.approx(want, abs=TOLERANCE_DEG)


@pytest.mark.parametrize("radius", [0.02, 0.2])
def test_round_hole(tmp_path: Path, radius: float) -> None:
    """Through a round hole the target shows within atan(r) of the axis: the margin is what the eye lacks."""
    turn = np.linspace(0, 2 * np.pi, 257)[:-1]
    ring = [np.column_stack([r * np.cos(turn), 0 * turn, r * np.sin(turn)]) for r in (radius, 30.0)]
    lines = [f"v {x:.9f} {y:.9f} {z:.9f}" for x, y, z in np.concatenate(ring)]
    for i in range(256):
        j = (i + 1) % 256
        lines += [f"f {i + 1} {j + 1} {256 + i + 1}", f"f {j + 1} {256 + j + 1} {256 + i + 1}"]
    (tmp_path / "wall.obj").write_text("\n".join(lines), encoding="ascii")
    wall = "covers: [{name: wall, mesh: wall.obj, at: [0 m, -1 m, 0 m]}]\n"
    rim = math.degrees(math.atan(radius))
    steps = (1.0, 5.0, 20.0)
    found = margin_of(wall + TARGET + eyes_at([rim + s for s in steps]), tmp_path)
    for s in steps:
        assert found[f"E{rim + s:g}"] == pytest.approx(s, abs=TOLERANCE_DEG)


def test_nothing_uncovers_what_is_shut_in() -> None:
    box = "covers: [{name: shell, sphere: {radius: 20 cm}}]\n"
    assert margin_of(box + TARGET + eyes_at([0.0, 90.0])) == {"E0": 180.0, "E90": 180.0}


def test_a_near_eye_is_asked_directly() -> None:
    """Between target and screen no direction field serves; the closed form holds all the same."""
    screen = "covers: [{name: screen, rectangle: {width: 40 m, height: 40 m}, at: [-20 m, -1 m, 0 m]},"
    plate = screen + " {name: far plate, rectangle: {width: 30 m, height: 30 m}, at: [0 m, -9 m, 0 m]}]\n"
    found = margin_of(plate + TARGET + eyes_at([-10.0]))
    assert found["E-10"] == pytest.approx(10.0, abs=TOLERANCE_DEG)


def test_scenery_uncovers_nothing() -> None:
    """What the act would show a little way down, the stage hides: the margin leads round it, not through it."""
    text = """
        secrets: [{name: target, rectangle: {width: 2 mm, height: 2 mm}, at: [0 m, 0 m, 1 m], carried: yes}]
        covers: [{name: lip, rectangle: {width: 40 m, height: 1 m}, at: [0 m, -1 m, 1.5 m], carried: yes}]
        venue: {scenery: [{name: bench, box: {width: 40 m, depth: 0.5 m, height: 0.95 m}, at: [0 m, -2 m, 0 m]}]}
        eyes: [{id: E1, at: [0 m, -5 m, 3 m]}]
    """
    # The lip's lower edge is level with the target: down to there it hides; below, the bench does from -1.64 deg on.
    want = math.degrees(math.atan(2.0 / 5.0))
    assert margin_of(text)["E1"] == pytest.approx(want, abs=TOLERANCE_DEG)
