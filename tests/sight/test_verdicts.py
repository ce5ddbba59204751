"""Hidden, faint or seen: every threshold a little below and a little above, and what a verdict then leads to."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sightline.geometry.shapes import disc
from sightline.house.eyes import Camera, Eye
from sightline.moment import Moment, Pose, Secret
from sightline.sight.check import VERDICTS, Thresholds, check
from tests.conftest import finding_of, leak_of_scene

ARCMIN = math.radians(1 / 60)
FAR_M = 20.0
STILL_HEADS = Thresholds(sway=False)


def spot(arcmin: float, eye: str, contrast: float = 1.0, limits: Thresholds = STILL_HEADS) -> str:
    """The verdict on a face-on disc of this angular size."""
    radius = FAR_M * arcmin * ARCMIN / 2
    text = f"""
        secrets: [{{name: target, disc: {{radius: {radius:.9f} m}}, contrast: {contrast}}}]
        eyes: [{{id: E1, at: [0 m, -{FAR_M} m, 0 m], {eye}}}]
    """
    found = finding_of(text, thresholds=limits).secrets["target"]
    assert found.size_arcmin[0] == pytest.approx(arcmin, rel=1e-3)
    return VERDICTS[found.verdict[0]]


def line(width_arcsec: float, run_arcmin: float, eye: str = "kind: point", contrast: float = 1.0) -> str:
    """The verdict on a free cord in the open, across the view."""
    long, wide = FAR_M * run_arcmin * ARCMIN, FAR_M * width_arcsec / 60 * ARCMIN
    text = f"""
        secrets:
          - {{name: target, kind: seam, width: {wide:.12f} m, contrast: {contrast},
             path: [[0 m, 0 m, 0 m], [{long:.9f} m, 0 m, 0 m]]}}
        eyes: [{{id: E1, at: [{long / 2:.9f} m, -{FAR_M} m, 0 m], {eye}}}]
    """
    return VERDICTS[finding_of(text, thresholds=STILL_HEADS).secrets["target"].verdict[0]]


# One pixel in the middle of a picture 40 deg wide over 1920 pixels; two of them make a spot (the sampling theorem).
PIXEL_ARCMIN = 2 * math.tan(math.radians(20)) / 1920 / ARCMIN
LENS = "field of view: 40 deg, pixels: 1920"


@pytest.mark.parametrize(
    ("eye", "threshold_arcmin"),
    [
        # 1 arcmin: normal acuity (IES definition of visual acuity, references.md section 7).
        ("kind: point", 1.0),
        # 2 arcmin: one line pair at that acuity (Johnson's detection criterion, from memory).
        *[(f"kind: {kind}", 2.0) for kind in ("seated", "standing", "child", "floor child", "wheelchair")],
        (f"kind: camera, {LENS}", 2 * PIXEL_ARCMIN),
        (f"kind: phone, {LENS}", 2 * PIXEL_ARCMIN),
    ],
)
def test_spot_threshold(eye: str, threshold_arcmin: float) -> None:
    assert spot(0.9 * threshold_arcmin, eye) == "faint"
    assert spot(1.1 * threshold_arcmin, eye) == "seen"
    # Contrast times area is constant (Ricco's law, from memory): a quarter of the contrast wants twice the width.
    assert spot(1.8 * threshold_arcmin, eye, contrast=0.25) == "faint"
    assert spot(2.2 * threshold_arcmin, eye, contrast=0.25) == "seen"


def test_a_spot_threshold_of_the_scene_is_for_people() -> None:
    for size, verdict in ((4.5, "faint"), (5.5, "seen")):
        assert spot(size, "kind: seated", limits=Thresholds(spot_arcmin=5.0, sway=False)) == verdict


@pytest.mark.parametrize(
    "eye", ["kind: camera", "kind: phone", "kind: camera, pixels: 1920", "kind: phone, field of view: 60 deg"]
)
def test_an_unknown_camera_misses_nothing(eye: str) -> None:
    assert spot(0.01, eye) == "seen"
    assert line(1e-3, 1.0, eye) == "seen"


@pytest.mark.parametrize("contrast", [1.0, 0.3, 0.05])
@pytest.mark.parametrize("eye", ["kind: point", "kind: seated"])
def test_line_threshold(eye: str, contrast: float) -> None:
    """Contrast x width from 0.5 arcsec (Hecht & Mintz 1939, from memory), over a run of at least 4 arcmin."""
    assert line(0.9 * 0.5 / contrast, 30, eye, contrast) == "faint"
    assert line(1.1 * 0.5 / contrast, 30, eye, contrast) == "seen"


def test_a_short_line_is_a_spot() -> None:
    """Below 4 arcmin of run summation is not believed (common practice, no source)."""
    assert line(2.0, 1.1 * 4) == "seen"
    assert line(2.0, 0.9 * 4) == "faint"
    assert line(60.0, 3.6) == "seen"


def test_an_eye_chart_letter() -> None:
    """A 20/20 letter is 8.87 mm high at 20 ft and subtends 5 arcmin (opticiancertification.org, visual acuity)."""
    text = "secrets: [{name: target, disc: {radius: 4.435 mm}}]\neyes: [{id: E1, at: [0 ft, -20 ft, 0 ft]}]\n"
    assert leak_of_scene(text)["angular_size_arcmin"] == pytest.approx(5.0, rel=0.002)


def moving(arcmin: float, kind: str, moves: bool, camera: Camera | None = None) -> str:
    target = Secret("target", "limb", disc(FAR_M * arcmin * ARCMIN / 2), moves=moves)
    eye = Eye("E1", kind, (0.0, -FAR_M, 0.0), camera=camera)
    return VERDICTS[
        check(Moment("", Pose("still", secrets=(target,)), (Pose("as placed"),), (eye,))).secrets["target"].verdict[0]
    ]


@pytest.mark.parametrize("kind", ["point", "seated", "camera"])
def test_a_moving_secret_is_never_faint(kind: str) -> None:
    camera = Camera(math.radians(40), 1920) if kind == "camera" else None
    assert moving(0.1, kind, moves=True, camera=camera) == "seen"
    assert moving(0.1, kind, moves=False, camera=camera) == "faint"


# A plate half way with its edge at x = 0: an eye that moves to x = -s sees what lies at x < s.
EDGE = """
covers: [{{name: plate, rectangle: {{width: 2 m, height: 4 m}}, at: [1 m, -5 m, 0 m]}}]
secrets: [{{name: target, rectangle: {{width: 10 mm, height: 10 mm}}, at: [{x} m, 0 m, 0 m]}}]
eyes: [{{id: E1, at: [0 m, -10 m, 0 m], kind: {kind}}}]
"""


@pytest.mark.parametrize(("x_m", "kind", "verdict"), [
    # Half of 63 mm between the eyes and 50 mm of lean are 81.5 mm: what lies up to there on the far side shows.
    (0.070, "seated", "seen"), (0.070, "point", "hidden"), (0.070, "camera", "hidden"), (0.095, "seated", "hidden"),
])  # fmt: skip
def test_sway_reaches_so_far_and_no_further(x_m: float, kind: str, verdict: str) -> None:
    assert leak_of_scene(EDGE.format(x=x_m, kind=kind))["verdict"] == verdict
    found = finding_of(EDGE.format(x=x_m, kind=kind), thresholds=STILL_HEADS)
    assert VERDICTS[found.secrets["target"].verdict[0]] == "hidden"


def test_sway_only_adds() -> None:
    eyes = "".join(
        f"\n  - {{id: E{k}, at: [{0.4 * (k - 12):.2f} m, -6 m, {0.1 * (k % 5):.2f} m], kind: seated}}"
        for k in range(25)
    )
    text = (
        """
covers:
  - {name: plate, rectangle: {width: 1 m, height: 1 m}, at: [0.2 m, -1 m, 0 m]}
  - {name: ball, sphere: {radius: 20 cm}, at: [-0.6 m, -1 m, 0 m]}
secrets:
  - {name: target, cylinder: {radius: 6 cm, height: 50 cm}}
  - {name: cord, kind: seam, path: [[-0.3 m, 0 m, 0 m], [0.3 m, 0 m, 0.2 m]]}
eyes:"""
        + eyes
    )
    with_sway, without = finding_of(text), finding_of(text, thresholds=STILL_HEADS)
    for name, found in with_sway.secrets.items():
        other = without.secrets[name]
        assert np.all(found.verdict >= other.verdict)
        assert np.all(found.sighting.seen.rank >= other.sighting.seen.rank - 1e-15)
        assert np.any(found.sighting.seen.rank > other.sighting.seen.rank * 1.05)
