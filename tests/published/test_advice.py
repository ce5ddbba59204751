"""Advice against closed forms: the least cross, the least turn and the least lip that hide a known target.

Sources: similar triangles and trigonometry; for the lip the trade's rule, setback x tan(look-down angle) (common
practice, no source: 58 mm per 100 at 30 deg). Tolerances are the issue's: 10 mm, 0.5 deg, 5 mm.
"""

from __future__ import annotations

import math
from textwrap import dedent

import pytest

from sightline.blocking.advise import advise
from sightline.scene.reading import scene_from_text


def smallest(text: str, kind: str) -> float:
    """Size of the first suggestion of one kind that leaves nobody who can see."""
    written = scene_from_text("version: 1\n" + dedent(text))
    advice = advise(written, frozenset({kind}), most=1)
    assert advice.before.eyes_seen > 0
    done = [s for s in advice.suggestions if s.after.eyes_seen == 0]
    assert done, "nothing found"
    (change,) = done[0].changes
    return change.size


@pytest.mark.parametrize(("eye", "edge"), [(0.0, -0.15), (1.0, -0.35), (-2.0, -0.6)])
def test_least_cross(eye: float, edge: float) -> None:
    """A screen stands still at y = -1 and covers x < edge; the target crosses into its shadow.

    The shadow's border runs from the eye at (eye, -5) over the edge at (edge, -1): the least cross is the distance
    from the target's farther corner to that line.
    """
    half = 0.02
    text = f"""
        secrets: [{{name: target, rectangle: {{width: {2 * half} m, height: 4 cm}}, at: [0 m, 0 m, 1 m], carried: yes}}]
        venue: {{scenery: [{{name: screen, flat: {{width: 8 m, height: 3 m}}, at: [{edge - 4:.6f} m, -1 m, 0 m]}}]}}
        eyes: [{{id: E1, at: [{eye} m, -5 m, 1 m]}}]
    """
    along = (edge - eye, 4.0)
    right = half * (1 - 1 / 6)  # patches are judged by their middles, the outermost lie a little inside
    away = abs((right - edge) * along[1] - 1.0 * along[0]) / math.hypot(*along)
    assert smallest(text, "cross") == pytest.approx(away, abs=0.010)


@pytest.mark.parametrize("angle", [6.0, 17.0])
def test_least_turn(angle: float) -> None:
    """A plate is carried before the target, its edge at x = a, 1 m ahead; from straight ahead the target shows past it.

    The performer must turn by what the bearing of the edge lacks of the eye's: atan(a) from the facing.
    """
    edge = -math.tan(math.radians(angle))
    text = f"""
        covers: [{{name: plate, rectangle: {{width: 4 m, height: 4 m}}, at: [{edge - 2:.6f} m, -1 m, 1 m], carried: yes}}]
        secrets: [{{name: target, rectangle: {{width: 4 mm, height: 4 mm}}, at: [0 m, 0 m, 1 m], carried: yes}}]
        eyes: [{{id: E1, at: [0 m, -6 m, 1 m]}}]
    """
    assert smallest(text, "turn") == pytest.approx(angle, abs=0.5)


@pytest.mark.parametrize(("setback_cm", "down_deg"), [(10.0, 30.0), (16.0, 30.0), (12.0, 40.0)])
def test_least_lip(setback_cm: float, down_deg: float) -> None:
    """The eye looks down over the box's front wall at a target level with its rim, `setback` behind it."""
    far = 6.0
    z, x = 1.5, 0.0
    # Box 40 x 40 x 30 cm; its front wall's outside is 20 cm ahead of its middle, the rim 15 cm above it.
    middle, rim = 1.2, 1.2 + 0.15
    ahead, front = 0.5, 0.5 + 0.2
    target_y = -(front - setback_cm / 100)
    slope = math.tan(math.radians(down_deg))
    eye = (x, target_y - far, rim + far * slope)
    text = f"""
        performer: {{stature: 172 cm}}
        pose: {{visible hand: hangs}}
        prop:
          box: {{width: 40 cm, depth: 40 cm, height: 30 cm, wall: 2 mm, top: open}}
          at: {{ahead: {ahead} m, up: {middle} m}}
        secrets:
          - name: target
            rectangle: {{width: 10 cm, height: 2 mm}}
            at: [0 m, {target_y:.6f} m, {rim:.6f} m]
            carried: yes
        eyes: [{{id: E1, at: [{eye[0]:.6f} m, {eye[1]:.6f} m, {eye[2]:.6f} m]}}]
    """
    assert z > rim
    assert smallest(text, "flap") == pytest.approx(setback_cm / 100 * slope, abs=0.005)
