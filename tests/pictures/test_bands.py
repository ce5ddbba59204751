"""Standing areas filled: what a grid finds is where a screen's shadow ends, by similar triangles."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.blocking.heightbands import BANDS, areas_of, height_bands
from sightline.blocking.placing import Placing
from sightline.house.people import EYE_HEIGHT_M
from sightline.pictures.bands import json_of
from sightline.sight.check import Thresholds
from tests.pictures.shown import staged_text

# A half plane (a very large screen with its left edge at x = 0, one metre before a board) and a square to stand in:
# an eye at (x, y) sees the board's right end at +0.3 m unless the line crosses the screen left of its edge. It crosses
# the plane y = -1 at 0.3 + (x - 0.3) / -y, which is right of 0 from x = 0.3 (1 + y) on: at y = -5 from x = -1.2 m.
EDGE = """
    covers: [{name: screen, rectangle: {width: 20 m, height: 20 m}, at: [-10 m, -1 m, 1 m]}]
    secrets: [{name: board, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, 0 m, 1.2 m]}]
    noticing: {sway: no}
    venue: {standing: [{area: crowd, rectangle: {from: [-3 m, -6 m], to: [1 m, -4 m]}, density: 1}]}
"""


def test_the_edge_of_what_is_hidden_is_where_it_must_be() -> None:
    found = height_bands(Placing(staged_text(EDGE)[1], Thresholds(sway=False)))
    assert found is not None
    area = found.areas[0]
    assert [band.name for band in found.bands] == [name for _, name in BANDS]
    for band, (kind, _) in zip(found.bands, BANDS, strict=True):
        assert band.eye_m == EYE_HEIGHT_M[kind]
        for row, y in enumerate(area.y):
            edge = 0.3 * (1 + y)
            asked = band.verdict[0][row] >= 0
            sees = band.size_arcmin[0][row] > 0
            # Patches are at most 20 mm: the first one that shows is that far from the board's end, seen at this ratio.
            clear = np.abs(area.x - edge) > 0.02 * (-y) + 1e-6
            assert (sees == (area.x > edge))[asked & clear].all()


def test_a_ring_is_hollow_and_a_file_is_points() -> None:
    text = """
        secrets: [{name: board, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, 0 m, 1.2 m]}]
        venue:
          standing:
            - {area: ring, ring: {inner: 2 m, outer: 3 m}, density: 1}
            - {area: file, line: [[4 m, -3 m], [4 m, 3 m]], spacing: 1 m}
    """
    house = staged_text(text)[1].house
    ring, file = areas_of(tuple(house.outlines), house.eyes, 0.2)
    assert ring.holds(np.array([[2.5, 0.0], [0.0, 0.0], [0.0, -2.9], [3.2, 0.0]])).tolist() == [
        True,
        False,
        True,
        False,
    ]
    assert not len(file.x)
    assert len(file.points) == pytest.approx(16, abs=1)


def test_the_document_counts_what_is_drawn() -> None:
    found = height_bands(Placing(staged_text(EDGE)[1]))
    assert found is not None
    said = json_of(found)
    for band, entry in zip(found.bands, said["bands"], strict=True):
        assert entry["areas"][0]["seen"] == int((band.verdict[0] == 2).sum())
        assert 0 < entry["areas"][0]["seen"] < entry["areas"][0]["places"]


def test_nobody_is_asked_where_nobody_can_be() -> None:
    """Inside a column, and on the mark."""
    text = EDGE.replace(
        "venue: {", "venue: {scenery: [{name: post, column: {radius: 40 cm, height: 3 m}, at: [-1 m, -5 m, 0 m]}], "
    )
    found = height_bands(Placing(staged_text(text)[1]))
    assert found is not None
    area, band = found.areas[0], found.bands[0]
    x, y = np.meshgrid(area.x, area.y)
    assert (band.verdict[0][np.hypot(x + 1, y + 5) < 0.38] == -1).all()
    assert (band.verdict[0][np.hypot(x + 1, y + 5) > 0.42] >= 0).mean() > 0.8


def test_without_standing_areas_there_is_nothing_to_fill() -> None:
    text = (
        "secrets: [{name: board, rectangle: {width: 60 cm, height: 60 cm}}]\neyes: [{id: E1, at: [0 m, -5 m, 0 m]}]\n"
    )
    assert height_bands(Placing(staged_text(text)[1])) is None


def test_an_area_stands_on_its_own_floor_whatever_other_areas_are_called() -> None:
    """'gallery' lies under 'gallery upper', whose name begins with its own: asked up there, nobody would see the arm.

    A lid three metres up is all that hides it, and only from above: the eyes of the lower floor, at 0 m, see past nothing.
    """
    text = """
        covers: [{name: lid, rectangle: {width: 12 m, height: 12 m}, at: [0 m, 0 m, 3 m], facing: [0, 0, 1]}]
        secrets: [{name: arm, disc: {radius: 5 cm}, at: [0 m, 0 m, 1.2 m], two sided: yes, carried: yes}]
        venue:
          standing:
            - {area: gallery upper, level: upper, rectangle: {from: [-4 m, -5 m], to: [4 m, -3 m]}, spacing: 1 m, floor: 4 m}
            - {area: gallery, rectangle: {from: [-4 m, -5 m], to: [4 m, -3 m]}, spacing: 1 m}
        blocking: {mark: [0 m, 0 m]}
    """
    found = height_bands(Placing(staged_text(text)[1]))
    assert found is not None
    assert [(area.name, area.floor_m) for area in found.areas] == [("gallery upper", 4.0), ("gallery", 0.0)]
    for band in found.bands:
        above, below = band.verdict
        assert not (above == 2).any()
        assert (below[below >= 0] == 2).all()


def test_those_who_closed_a_ring_behind_the_act_stand_on_its_floor() -> None:
    text = """
        secrets: [{name: board, rectangle: {width: 60 cm, height: 60 cm}, at: [0 m, 0 m, 1.2 m]}]
        venue:
          standing: [{area: ring, ring: {inner: 2 m, outer: 3 m, from: -90 deg, to: 90 deg}, density: 1, floor: 50 cm,
                      closed behind: 0.5}]
    """
    house = staged_text(text)[1].house
    behind = [eye for eye in house.eyes if " behind " in eye.id]
    assert behind
    assert [area.floor_m for area in areas_of(tuple(house.outlines), behind, 0.5)] == [0.5]
