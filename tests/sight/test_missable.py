"""`missable_arcmin`: no leak wider than it can be called hidden. Pinholes are planted to find out."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest

from tests.conftest import report_of
from tests.sight.meshes import plate_with_hole, write_mesh

SECRETS = {
    "disc": "disc: {radius: 25 cm}",
    "rectangle": "rectangle: {width: 60 cm, height: 40 cm}, facing: [0.4, -1.0, 0.3]",
    "tube": "cylinder: {radius: 12 cm, height: 60 cm}",
    "ball": "sphere: {radius: 25 cm}",
}
BEYOND_M = 2.0


def pinhole(
    folder: Path, secret: str, hole_arcmin: float, target: tuple[float, float], detail: str = "2 cm"
) -> dict[str, float | str]:
    """The leak through a round hole this wide, 2 m before the secret, on the line to a place on it."""
    eye = (0.3, -9.0, 0.4)
    way = [t - e for t, e in zip((target[0], 0.0, target[1]), eye, strict=True)]
    length = math.sqrt(sum(x * x for x in way))
    middle = [e + x * (length - BEYOND_M) / length for e, x in zip(eye, way, strict=True)]
    hole_m = 2 * math.tan(math.radians(hole_arcmin / 60) / 2) * (length - BEYOND_M)
    write_mesh(folder / "plate.obj", plate_with_hole(3.0, hole_m))
    place, facing = (", ".join(f"{x:.9f}{unit}" for x in v) for v, unit in ((middle, " m"), ([-x for x in way], "")))
    text = f"""
        detail: {detail}
        covers: [{{name: plate, mesh: plate.obj, at: [{place}], facing: [{facing}]}}]
        secrets: [{{name: target, {secret}}}]
        eyes: [{{id: E1, at: [{eye[0]} m, {eye[1]} m, {eye[2]} m]}}]
    """
    leak: dict[str, float | str] = report_of(text, folder)["eyes"][0]["secrets"]["target"]
    return leak


def places(count: int, seed: int) -> list[tuple[float, float]]:
    chance = random.Random(seed)
    return [(chance.uniform(-0.07, 0.07), chance.uniform(-0.1, 0.1)) for _ in range(count)]


@pytest.mark.parametrize("secret", SECRETS)
def test_a_wider_pinhole_is_never_hidden(tmp_path: Path, secret: str) -> None:
    missable = float(pinhole(tmp_path, SECRETS[secret], 1.0, (0.0, 0.0))["missable_arcmin"])
    for at in places(30, seed=20):
        leak = pinhole(tmp_path, SECRETS[secret], 1.02 * missable, at)
        assert leak["missable_arcmin"] == missable
        assert leak["verdict"] != "hidden", at
        assert float(leak["visible_fraction"]) > 0


@pytest.mark.parametrize("secret", SECRETS)
@pytest.mark.parametrize(("detail", "detail_m"), [("2 cm", 0.020), ("6 mm", 0.006)])
def test_it_is_of_the_size_of_the_detail(tmp_path: Path, secret: str, detail: str, detail_m: float) -> None:
    """Between half and three times the spacing, seen from the nearest point: not a figure that says nothing."""
    leak = pinhole(tmp_path, SECRETS[secret], 1.0, (0.0, 0.0), detail)
    spacing = math.degrees(detail_m / 9.0) * 60
    assert 0.5 * spacing < float(leak["missable_arcmin"]) < 3 * spacing


def test_a_small_pinhole_can_be_missed(tmp_path: Path) -> None:
    """The figure is needed: a hole of a tenth of it does slip between samples somewhere."""
    missable = float(pinhole(tmp_path, SECRETS["disc"], 1.0, (0.0, 0.0))["missable_arcmin"])
    verdicts = {pinhole(tmp_path, SECRETS["disc"], 0.1 * missable, at)["verdict"] for at in places(12, seed=4)}
    assert "hidden" in verdicts


def test_a_finer_detail_finds_it(tmp_path: Path) -> None:
    missable = float(pinhole(tmp_path, SECRETS["disc"], 1.0, (0.0, 0.0))["missable_arcmin"])
    for at in places(6, seed=9):
        assert pinhole(tmp_path, SECRETS["disc"], 0.35 * missable, at, detail="5 mm")["verdict"] != "hidden"


def test_a_seam_through_a_pinhole(tmp_path: Path) -> None:
    seam = "kind: seam, path: [[-0.3 m, 0 m, -0.01 m], [0.3 m, 0 m, 0.01 m]]"
    missable = float(pinhole(tmp_path, seam, 1.0, (0.0, 0.0))["missable_arcmin"])
    assert missable == pytest.approx(math.degrees(0.005 / 9.0) * 60, rel=0.2)
    for x, _ in places(30, seed=7):
        leak = pinhole(tmp_path, seam, 1.02 * missable, (x, x / 30))
        assert leak["verdict"] != "hidden", x


def test_what_turns_away_misses_nothing() -> None:
    """A one-sided sheet seen from behind has no leak between its samples; from the front it may have."""
    text = """
        secrets: [{name: target, disc: {radius: 20 cm}}]
        eyes: [{id: before, at: [0 m, -9 m, 0 m]}, {id: behind, at: [0 m, 9 m, 0 m]}]
    """
    before, behind = (eye["secrets"]["target"]["missable_arcmin"] for eye in report_of(text)["eyes"])
    assert behind == 0
    assert before > 1
