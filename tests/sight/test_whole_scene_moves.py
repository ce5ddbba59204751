"""A scene turned and moved as a whole, eyes and all, gives the same leak: nothing hangs on where the origin is."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from sightline.geometry.shapes import sphere
from tests.conftest import finding_of
from tests.sight.meshes import only, write_mesh

SCENE = """
detail: 1.5 cm
covers:
  - {name: screen, rectangle: {width: 90 cm, height: 70 cm}, at: [-0.31 m, -1.10 m, 1.07 m], facing: 12 deg}
  - {name: plate, disc: {radius: 24 cm}, at: [0.47 m, -0.82 m, 1.31 m], facing: [0.3, -1.0, 0.4]}
  - {name: lid, rectangle: {width: 50 cm, height: 20 cm}, at: [0.05 m, -0.5 m, 1.45 m], facing: [0.2, -0.3, 1.0]}
  - {name: crate, box: {width: 46 cm, depth: 34 cm, height: 30 cm}, at: [0.05 m, 0.44 m, 0.95 m], facing: -21 deg}
  - {name: post, cylinder: {radius: 7 cm, height: 2.4 m}, at: [-0.77 m, 0.21 m, 1.2 m]}
  - {name: ball, sphere: {radius: 16 cm}, at: [0.52 m, 0.38 m, 1.53 m]}
  - {name: bowl, mesh: bowl.obj, at: [-0.18 m, -0.46 m, 1.62 m], facing: 33 deg}
secrets:
  - {name: arm, cylinder: {radius: 5 cm, height: 60 cm}, at: [0.02 m, -0.05 m, 1.2 m], facing: [0.2, -1.0, 0.7]}
  - {name: hatch, rectangle: {width: 30 cm, height: 20 cm}, two sided: yes, at: [0.3 m, 0.1 m, 1.1 m], facing: 50 deg}
  - name: strap
    kind: seam
    path: [[-0.2 m, -0.2 m, 0.9 m], [0.1 m, -0.3 m, 1.4 m], [0.4 m, 0.2 m, 1.7 m]]
eyes:
"""
EYES = [(6.1 * math.cos(0.2 + 0.2617 * k), 6.1 * math.sin(0.2 + 0.2617 * k), 0.4 + 0.11 * k) for k in range(24)]
TEXT = SCENE + "".join(f"  - {{id: E{k}, at: [{x:.6f} m, {y:.6f} m, {z:.6f} m]}}\n" for k, (x, y, z) in enumerate(EYES))
NUMBER = r"(-?[\d.]+)"
PLACE = re.compile(rf"\[{NUMBER} m, {NUMBER} m, {NUMBER} m\]")
DIRECTION = re.compile(rf"facing: \[{NUMBER}, {NUMBER}, {NUMBER}\]")
ANGLE = re.compile(rf"facing: {NUMBER} deg")
UNTURNED = re.compile(r"(name: (?:post|ball), .*m\])\}")


def moved(text: str, turn_deg: float, by_m: tuple[float, float, float]) -> str:
    """The same text with every place, direction and angle turned about the origin's vertical, then moved."""
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))

    def turned(found: re.Match[str], shift: tuple[float, float, float], unit: str) -> str:
        x, y, z = (float(part) for part in found.groups())
        place = (c * x - s * y + shift[0], s * x + c * y + shift[1], z + shift[2])
        return "[" + ", ".join(f"{part:.9f}{unit}" for part in place) + "]"

    text = UNTURNED.sub(r"\1, facing: 0 deg}", text)
    text = ANGLE.sub(lambda m: f"facing: {(float(m[1]) + turn_deg + 180) % 360 - 180:.9f} deg", text)
    text = DIRECTION.sub(lambda m: "facing: " + turned(m, (0.0, 0.0, 0.0), ""), text)
    return PLACE.sub(lambda m: turned(m, by_m, " m"), text)


def leaks(text: str, folder: Path) -> dict[str, tuple[NDArray[np.float64], float]]:
    """Visible fractions (e,) of each secret, and the largest share of it that one patch or sample is."""
    write_mesh(folder / "bowl.obj", only(sphere(0.2), sphere(0.2).corners.mean(axis=1)[:, 1] > 0))
    out = {}
    for name, found in finding_of(text, folder).secrets.items():
        first = found.sighting.first
        parts = first.patches.areas if hasattr(first, "patches") else first.line.lengths * first.line.width_m
        out[name] = found.sighting.fraction, float(parts.max()) / first.area_m2
    return out


@pytest.fixture(scope="module")
def still(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[NDArray[np.float64], float]]:
    return leaks(TEXT, tmp_path_factory.mktemp("still"))


def test_the_scene_is_worth_moving(still: dict[str, tuple[NDArray[np.float64], float]]) -> None:
    """Every secret is partly covered for many eyes, or the rest of this file would say nothing."""
    for name, (shares, _) in still.items():
        assert np.ptp(shares) > 0.2, name
        assert len(np.unique(np.round(shares, 3))) > 8, name


@pytest.mark.parametrize(
    ("turn_deg", "by_m"),
    [
        (0, (12.3, -47.1, 3.2)),
        (37, (0.0, 0.0, 0.0)),
        (90, (-3.3, 8.8, -1.1)),
        (-123.4, (250.0, 130.0, 20.0)),
        (180, (0.0, 0.0, 0.0)),
        (71, (-4321.0, 6789.0, 100.0)),
    ],
)
def test_turned_and_moved(
    still: dict[str, tuple[NDArray[np.float64], float]],
    tmp_path: Path,
    turn_deg: float,
    by_m: tuple[float, float, float],
) -> None:
    after = leaks(moved(TEXT, turn_deg, by_m), tmp_path)
    for name, (shares, one_patch) in still.items():
        assert abs(after[name][0].mean() - shares.mean()) <= 1e-4, name
        assert np.abs(after[name][0] - shares).max() <= one_patch * (1 + 1e-6), name


def test_a_cover_left_behind_is_noticed(still: dict[str, tuple[NDArray[np.float64], float]], tmp_path: Path) -> None:
    """The measure can fail: one cover that stays put while all else moves by 5 cm changes the leak."""
    text = moved(TEXT, 0, (0.05, 0.0, 0.0)).replace(
        "[-0.260000000 m, -1.100000000 m", "[-0.310000000 m, -1.100000000 m"
    )
    assert text != moved(TEXT, 0, (0.05, 0.0, 0.0))
    assert any(abs(leaks(text, tmp_path)[name][0].mean() - shares.mean()) > 1e-4 for name, (shares, _) in still.items())
