"""The octahedral map against the octahedron itself: places worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from sightline.sight import octahedral

# Place on the square, and the point of the octahedron |x| + |y| + |z| = 1 that is folded there. Beyond the diamond
# |u| + |v| = 1 the corner of the square is turned over its edge: (u, v) goes to (1 - |v|, 1 - |u|).
FOLDED = [
    ((0.0, 0.0), (0.0, 0.0, 1.0)),
    ((1.0, 0.0), (1.0, 0.0, 0.0)),
    ((0.0, -1.0), (0.0, -1.0, 0.0)),
    ((0.5, 0.25), (0.5, 0.25, 0.25)),
    ((-0.5, 0.25), (-0.5, 0.25, 0.25)),
    ((0.75, 0.5), (0.5, 0.25, -0.25)),
    ((-0.75, 0.5), (-0.5, 0.25, -0.25)),
    ((0.75, -0.5), (0.5, -0.25, -0.25)),
    ((1.0, 1.0), (0.0, 0.0, -1.0)),
    ((-1.0, 1.0), (0.0, 0.0, -1.0)),
]


@pytest.mark.parametrize(("place", "point"), FOLDED)
def test_a_place_is_the_folded_octahedron(place: tuple[float, float], point: tuple[float, float, float]) -> None:
    found = octahedral.directions(np.array([place]))[0]
    assert found == pytest.approx(np.array(point) / np.linalg.norm(point), abs=1e-15)


@pytest.mark.parametrize(("place", "point"), FOLDED)
@pytest.mark.parametrize("side", [6, 10])
def test_a_point_is_in_the_cell_round_its_place(
    place: tuple[float, float], point: tuple[float, float, float], side: int
) -> None:
    """Moved a hair inward, so that no place is on the line between two cells; any length of the direction will do."""
    u, v = place[0] * 0.999 - 1e-4, place[1] * 0.999 - 1e-4
    way = octahedral.directions(np.array([[u, v]]))[0] * 3.7
    column, row = int((u + 1) / 2 * side), int((v + 1) / 2 * side)
    x, y, z = way[:, None]
    assert octahedral.cells(x, y, z, side).tolist() == [row * side + column]


def test_the_last_row_and_column_hold_the_rim() -> None:
    """Straight down is all four corners of the square; the rim is no cell of its own."""
    up, down = np.array([1.0]), np.array([-1.0])
    none, less = np.array([0.0]), np.array([-0.0])
    assert octahedral.cells(none, none, down, 8).tolist() == [63]
    assert octahedral.cells(less, less, down, 8).tolist() == [0]
    assert octahedral.cells(none, less, down, 8).tolist() == [7]
    assert octahedral.cells(less, none, down, 8).tolist() == [56]
    assert octahedral.cells(none, none, up, 8).tolist() == [4 * 8 + 4]
    assert octahedral.cells(up, none, none, 8).tolist() == [4 * 8 + 7]


def test_corners_and_middles_go_row_by_row() -> None:
    corners = octahedral.corner_directions(2).round(12) + 0.0
    assert corners.tolist() == [
        [0, 0, -1], [0, -1, 0], [0, 0, -1], [-1, 0, 0], [0, 0, 1], [1, 0, 0], [0, 0, -1], [0, 1, 0], [0, 0, -1]
    ]  # fmt: skip
    # Middles of the four cells lie on the diamond's edges: level, at 45 degrees.
    half = np.sqrt(0.5)
    middles = octahedral.centre_directions(2)
    assert middles == pytest.approx(np.array([[-half, -half, 0], [half, -half, 0], [-half, half, 0], [half, half, 0]]))


@pytest.mark.parametrize("side", [4, 7])
def test_the_samples_of_a_cell_are_its_middle_and_its_four_corners(side: int) -> None:
    table = octahedral.sample_table(side)
    assert table.shape == (side * side, 5, 3)
    step = 2.0 / side
    for cell in range(side * side):
        v, u = (np.array(divmod(cell, side)) + 0.5) * step - 1.0
        places = [(u, v), *[(u + i * step / 2, v + j * step / 2) for j in (-1, 1) for i in (-1, 1)]]
        assert table[cell] == pytest.approx(octahedral.directions(np.array(places)), abs=1e-12)


def test_the_narrowest_cell() -> None:
    """Of two cells a side all corners are the octahedron's own, sqrt 2 apart. Of four, the middles of its edges lie
    between them: from +z to (1, 0, 1) / sqrt 2 it is sqrt(2 - sqrt 2); from there to (0.5, 0.5, 0) / ... it is 1."""
    assert octahedral.narrowest_rad(2) == pytest.approx(np.sqrt(2.0), abs=1e-12)
    assert octahedral.narrowest_rad(4) == pytest.approx(np.sqrt(2.0 - np.sqrt(2.0)), abs=1e-12)


@pytest.mark.parametrize(
    ("marked", "reached"),
    [
        ((2, 2), {(r, c) for r in (1, 2, 3) for c in (1, 2, 3)}),
        # On the top edge: the same edge run backwards is met again (columns 3, 4 and 2 of 6, mirrored).
        ((0, 2), {(r, c) for r in (0, 1) for c in (1, 2, 3)} | {(0, 4), (0, 2), (0, 3)}),
        ((5, 1), {(r, c) for r in (4, 5) for c in (0, 1, 2)} | {(5, 3), (5, 4), (5, 5)}),
        ((1, 0), {(r, c) for r in (0, 1, 2) for c in (0, 1)} | {(3, 0), (4, 0), (5, 0)}),
        ((3, 5), {(r, c) for r in (2, 3, 4) for c in (4, 5)} | {(1, 5), (2, 5), (3, 5)}),
        # At a corner: its own neighbours, the far ends of both edges and the opposite corner.
        ((0, 0), {(0, 0), (0, 1), (1, 0), (1, 1), (0, 4), (0, 5), (4, 0), (5, 0), (5, 5)}),
        ((0, 5), {(0, 5), (0, 4), (1, 5), (1, 4), (0, 0), (0, 1), (4, 5), (5, 5), (5, 0)}),
        ((5, 0), {(5, 0), (4, 0), (5, 1), (4, 1), (5, 4), (5, 5), (0, 0), (1, 0), (0, 5)}),
        ((5, 5), {(5, 5), (5, 4), (4, 5), (4, 4), (5, 0), (5, 1), (0, 5), (1, 5), (0, 0)}),
    ],
)
def test_spreading_goes_on_over_the_folds(marked: tuple[int, int], reached: set[tuple[int, int]]) -> None:
    cells = np.zeros((2, 6, 6), dtype=bool)
    cells[1][marked] = True
    found = octahedral.spread(cells)
    assert not found[0].any()
    assert {(int(r), int(c)) for r, c in np.argwhere(found[1])} == reached
