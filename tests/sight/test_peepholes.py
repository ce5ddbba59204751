"""Holes that a grid of directions steps over: what is asked quickly must see through them as rays do.

The cells of a field are about 2.8 degrees wide; the holes here are 0.5 to 2.3 degrees wide seen from the secret.
"""

from __future__ import annotations

import numpy as np
import pytest

from sightline.blocking.placing import Placing
from sightline.geometry import shapes
from sightline.scene.reading import scene_from_text
from sightline.sight.margins import margins
from sightline.sight.peepholes import BESIDE_M, beside, edges_of, outlines
from sightline.staging.stage import put_together
from tests.sight.meshes import shifted

FAR_M = 5.0


def rectangle(name: str, low: tuple[float, float], high: tuple[float, float], ahead_m: float) -> str:
    """A carried plate square to the y axis, from one corner (x, z) to the other."""
    (x0, z0), (x1, z1) = low, high
    size = f"width: {x1 - x0:.4f} m, height: {z1 - z0:.4f} m"
    return f"  - {{name: {name}, rectangle: {{{size}}}, at: [{(x0 + x1) / 2:.4f} m, {-ahead_m} m, {(z0 + z1) / 2:.4f} m], carried: yes}}\n"


def screen(name: str, hole: tuple[float, float], wide_m: float, ahead_m: float) -> str:
    """A screen 6 m wide with a square hole about (x, z), as four plates that meet."""
    (x, z), half = hole, wide_m / 2
    return (
        rectangle(f"{name} top", (-3.0, z + half), (3.0, 4.2), ahead_m)
        + rectangle(f"{name} bottom", (-3.0, -1.8), (3.0, z - half), ahead_m)
        + rectangle(f"{name} left", (-3.0, z - half), (x - half, z + half), ahead_m)
        + rectangle(f"{name} right", (x + half, z - half), (3.0, z + half), ahead_m)
    )


def scene(covers: str, eyes: list[tuple[float, float, float]], secret: str = "disc: {radius: 1 cm}") -> Placing:
    listed = ", ".join(
        f"{{id: E{i}, at: [{x:.4f} m, {y:.4f} m, {z:.4f} m], kind: point}}" for i, (x, y, z) in enumerate(eyes)
    )
    text = (
        f"version: 1\ncovers:\n{covers}secrets: [{{name: arm, {secret}, at: [0 m, 0 m, 1.2 m], carried: yes}}]\n"
        f"eyes: [{listed}]\nblocking: {{mark: [0 m, 0 m], facing: 0 deg}}\n"
    )
    return Placing(put_together(scene_from_text(text)))


def same(placing: Placing) -> bool:
    quick, exact = placing.quick((0.0, 0.0), 0.0), placing.exact((0.0, 0.0), 0.0)
    return bool(np.array_equal(quick.secrets["arm"].verdict, exact.secrets["arm"].verdict))


@pytest.mark.parametrize("wide_m", [0.01, 0.02, 0.04])
def test_a_hole_in_one_screen_is_seen_through(wide_m: float) -> None:
    random = np.random.default_rng(4)
    for _ in range(8):
        x, z = random.uniform(-0.8, 0.8), random.uniform(-0.5, 0.5)
        placing = scene(
            screen("front", (x, 1.2 + z), wide_m, 1.0), [(x * FAR_M, -FAR_M, 1.2 + z * FAR_M), (2.0, -FAR_M, 3.0)]
        )
        assert placing.exact((0.0, 0.0), 0.0).secrets["arm"].verdict[0] == 2
        assert same(placing)


def test_two_holes_in_a_row_are_seen_through() -> None:
    """The front hole, 4 cm wide, lies where a line through the back hole, 3 cm wide, comes out."""
    random = np.random.default_rng(9)
    for _ in range(6):
        x, z = random.uniform(-0.5, 0.5), random.uniform(-0.4, 0.4)
        covers = screen("back", (0.5 * x, 1.2 + 0.5 * z), 0.03, 0.5) + screen("front", (x, 1.2 + z), 0.04, 1.0)
        placing = scene(covers, [(x * FAR_M, -FAR_M, 1.2 + z * FAR_M)], "sphere: {radius: 3 cm}")
        assert placing.exact((0.0, 0.0), 0.0).secrets["arm"].verdict[0] == 2
        assert same(placing)


def test_a_slit_between_two_screens_is_seen_through() -> None:
    """1 cm wide and as tall as the screens: 0.57 degrees at a metre."""
    random = np.random.default_rng(2)
    for _ in range(6):
        x = random.uniform(-0.8, 0.8)
        covers = rectangle("left", (-3.0, -1.8), (x - 0.005, 4.2), 1.0) + rectangle(
            "right", (x + 0.005, -1.8), (3.0, 4.2), 1.0
        )
        placing = scene(covers, [(x * FAR_M, -FAR_M, 1.2)])
        assert placing.exact((0.0, 0.0), 0.0).secrets["arm"].verdict[0] == 2
        assert same(placing)


def test_what_is_to_spare_beside_a_hole_is_small() -> None:
    """The hole is 4 cm wide a metre away, 1.15 degrees to each side; the eye is turned 2 degrees from its middle."""
    turned = np.radians(2.0)
    placing = scene(screen("front", (0.0, 1.2), 0.04, 1.0), [(FAR_M * np.sin(turned), -FAR_M * np.cos(turned), 1.2)])
    exact = placing.exact((0.0, 0.0), 0.0)
    assert exact.secrets["arm"].verdict[0] == 0
    found = margins(placing.moment((0.0, 0.0), 0.0), exact.hidden(), placing.fields)["arm"]
    # From the disc's middle 0.85 degrees. From a patch s cm to the other side the rim is 0.57 s and the eye 0.11 s degrees
    # farther over, and no patch's middle is as much as a centimetre off.
    assert 0.854 - 0.459 < found[0] < 0.854 - 0.459 * 0.4


def test_the_outline_of_a_box_is_that_of_its_three_visible_faces() -> None:
    """Seen along (1, 1, 1): six edges, a hexagon; seen square to a face: the four round that face."""
    edges = edges_of([shapes.box(1.0, 1.0, 1.0)])
    assert len(edges.of) == 12
    assert len(outlines(edges, np.array([9.0, 9.0, 9.0])).of) == 6
    assert len(outlines(edges, np.array([0.0, 0.0, 9.0])).of) == 4


def test_the_rim_of_a_plate_is_an_outline_from_everywhere() -> None:
    edges = edges_of([shifted(shapes.rectangle(2.0, 1.0), 0.0, -1.0, 0.0)])
    assert len(edges.of) == 4
    for centre in ([0.0, 0.0, 0.0], [0.0, -5.0, 0.0], [0.3, -1.0, 7.0]):
        assert len(outlines(edges, np.array(centre)).of) == 4


def test_points_are_close_by_the_rim_on_both_sides() -> None:
    """Of a plate 1 m away: half of them a little within its rectangle, half a little outside, none farther than is said."""
    edges = edges_of([shifted(shapes.rectangle(2.0, 1.0), 0.0, -1.0, 0.0)])
    points = beside(edges, np.zeros(3))
    assert points[:, 1] == pytest.approx(-1.0, abs=2 * max(BESIDE_M))
    off = np.maximum(np.abs(points[:, 0]) - 1.0, np.abs(points[:, 2]) - 0.5)
    assert np.abs(off).max() <= max(BESIDE_M) * (1 + 1e-9)
    assert (off > 0).mean() == pytest.approx(0.5, abs=0.02)
    # Every degree or so of the rim is passed: seen from there it is 90 + 53 degrees twice over, and somewhat less.
    assert 2 * 150 < len(points) < 2 * 330
