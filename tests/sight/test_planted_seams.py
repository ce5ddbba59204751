"""Slits across seams, and holes over wide straps: what of a line can lie between its samples is stated."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.frame import unit
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.eyes import Eye
from sightline.moment import Moment, Pose, Secret
from tests.sight.planted import Found, Points, found_in, plate, slit, with_cover


def moment_with(secret: Secret, eye: Points, covers: tuple[Cover, ...] = ()) -> Moment:
    x, y, z = (float(c) for c in eye)
    return Moment("", Pose("still", covers, (secret,)), (Pose("rest"),), (Eye("E1", "point", (x, y, z)),))


def seam(*path: tuple[float, float, float], width_m: float = 0.001, on: str | None = None) -> Secret:
    return Secret("target", "seam", Mesh.empty(), covers=False, path=np.array(path), width_m=width_m, on=on)


def through(moment: Moment, mesh: Mesh) -> Found:
    return found_in(with_cover(moment, mesh))


@pytest.mark.parametrize("far_m", [0.5, 3.0, 20.0])
def test_a_stretch_longer_than_stated_is_never_hidden(far_m: float) -> None:
    random = np.random.default_rng(1)
    # Pieces of odd lengths, so that steps differ, and a bend.
    moment = moment_with(
        seam((-0.2, 0, 0), (-0.013, 0, 0), (0.05, 0, 0.03), (0.2, 0, 0.03)), np.array([0.1, -far_m, 0.2])
    )
    eye, stated = moment.eye_points()[0], found_in(moment).missable_rad
    for _ in range(60):
        spot = np.array([random.uniform(-0.19, -0.03), 0.0, 0.0])
        axis = unit(spot - eye)
        at = far_m * random.uniform(0.3, 0.95)
        wide = 2 * at * float(np.tan(stated * 1.001 / 2))
        assert not through(moment, plate(eye + axis * at, -axis, wide)).hidden


def test_a_shorter_stretch_can_be_missed() -> None:
    random = np.random.default_rng(1)
    moment = moment_with(seam((-0.2, 0, 0), (0.2, 0, 0)), np.array([0.0, -3.0, 0.0]))
    eye, stated = moment.eye_points()[0], found_in(moment).missable_rad
    hidden = [
        through(moment, plate(spot + np.array([0, -0.01, 0]), eye - spot, 0.6 * stated * 3.0)).hidden
        for spot in np.column_stack([random.uniform(-0.15, 0.15, 20), np.zeros(20), np.zeros(20)])
    ]
    assert any(hidden)
    assert not all(hidden)


@pytest.mark.parametrize("width_mm", [3, 5, 8, 30])
def test_a_hole_over_the_edge_of_a_wide_strap(width_mm: int) -> None:
    """A strap is judged along its middle line; a disc of it that holds no part of that line may still be wide."""
    random = np.random.default_rng(5)
    width = width_mm / 1000
    moment = moment_with(seam((-0.3, 0, 0), (0.3, 0, 0), width_m=width), np.array([0.0, -2.0, 0.0]))
    eye, stated = moment.eye_points()[0], found_in(moment).missable_rad
    across = 2 * 2.0 * float(np.tan(stated * 1.002 / 2))
    for _ in range(40):
        # As far from the middle as leaves the whole disc on the strap; no such disc on a narrow one, but a slit over all of it.
        aside = max(0.0, (width - across) / 2)
        spot = np.array([random.uniform(-0.2, 0.2), 0.0, random.choice([-1, 1]) * aside])
        assert not through(moment, plate(spot + unit(eye - spot) * 0.002, eye - spot, across)).hidden
    if width_mm == 30:
        # Half as wide a hole over the edge of the strap leaves half its disc, and is missed: the figure is needed.
        spot = np.array([0.0, 0.0, width / 2 - across / 4])
        assert through(moment, plate(spot + unit(eye - spot) * 0.002, eye - spot, across / 2)).hidden


def test_samples_that_are_drawn_apart_by_the_surface() -> None:
    """A path written as a chord of a tube is laid on its wall, where its samples are farther apart than on the chord."""
    random = np.random.default_rng(9)
    tube = shapes.cylinder(0.05, 0.4)
    path = seam((0.049, -0.0099, 0.0), (-0.049, -0.0099, 0.0), on="tube")
    moment = moment_with(path, np.array([0.0, -4.0, 0.0]), (Cover("tube", tube),))
    eye, stated = moment.eye_points()[0], found_in(moment).missable_rad
    assert stated * 3.95 > 0.0055
    for _ in range(80):
        turn = np.radians(random.uniform(-80, 80))
        spot = np.array([0.05 * np.sin(turn), -0.05 * np.cos(turn), 0.0])
        axis = unit(spot - eye)
        at = 3.9
        across = 2 * at * float(np.tan(stated * 1.001 / 2))
        # The slit leaves a stretch of the wall that is at least as wide as it.
        cut = slit(eye + axis * at, -axis, across, 0.05, 0.0)
        assert not through(moment, cut).hidden, np.degrees(turn)
