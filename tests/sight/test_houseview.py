"""What seats see of an empty stage: a pillar and a head, by similar triangles."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from sightline.geometry import shapes
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.eyes import Eye
from sightline.sight.houseview import look_at


def house(*places: tuple[float, float, float], scenery: tuple[Cover, ...] = ()) -> SimpleNamespace:
    eyes = tuple(Eye(f"E{i}", "seated", p) for i, p in enumerate(places))
    return SimpleNamespace(eyes=eyes, positions_m=np.array(places), scenery=scenery)


def pillar() -> Cover:
    """A sheet 1 m wide and 9 m high, 5 m before the stage's point at the origin."""
    sheet = shapes.rectangle(1.0, 9.0)
    return Cover("pillar", Mesh.of(sheet.vertices + [0, -5.0, 0], sheet.faces))


def test_scenery_hides_a_point_from_the_eyes_in_its_shadow() -> None:
    """10 m away the shadow of 1 m at 5 m is 2 m wide."""
    seats = house(
        (0.9, -10, 1.2), (1.1, -10, 1.2), (-0.9, -10, 1.2), (-1.1, -10, 1.2), (0.0, -4.0, 1.2), scenery=(pillar(),)
    )
    points = np.array([[0.0, 0, 1.2], [4.0, 0, 1.2]])
    found = look_at(seats, points, heads=False)  # type: ignore[arg-type]
    assert found.by_scenery[:, 0].tolist() == [True, False, True, False, False]
    # To the point 4 m to the side rays pass the pillar's plane 2 m to the side and more, but for the last two.
    assert found.by_scenery[:, 1].tolist() == [False, False, False, False, False]
    assert found.by_heads is None


def test_heads_hide_what_scenery_does_not() -> None:
    """The one behind looks over the same line; nobody's own head is in the way, and what scenery hides is told once."""
    points = np.array([[0.0, 0, 1.2]])
    clear = look_at(house((0.0, -5.0, 1.2), (0.0, -6.0, 1.2), (1.5, -6.0, 1.2)), points, heads=True)  # type: ignore[arg-type]
    assert clear.by_heads is not None
    assert not clear.by_scenery.any()
    assert clear.by_heads[:, 0].tolist() == [False, True, False]
    behind = house((0.0, -7.0, 1.2), (0.0, -8.0, 1.2), scenery=(pillar(),))
    both = look_at(behind, points, heads=True)  # type: ignore[arg-type]
    assert both.by_heads is not None
    assert both.by_scenery[:, 0].tolist() == [True, True]
    assert both.by_heads[:, 0].tolist() == [False, False]


@pytest.mark.parametrize("heads", [False, True])
def test_no_points_are_no_trouble(heads: bool) -> None:
    found = look_at(house((0.0, -5.0, 1.2)), np.zeros((0, 3)), heads)  # type: ignore[arg-type]
    assert found.by_scenery.shape == (1, 0)
    assert (found.by_heads is not None) is heads
