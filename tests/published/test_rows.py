"""C-values and viewing angles against published relations and worked inputs.

Relation and inputs of the 30 m example: plus.maths.org, "Arsenal Collection: Stadium Sightline"; the relation solved
for the riser and the quality bands: P. Shepherd, University of Bath, worksheet 2012. The answers to the other inputs
were worked out from the relation and, apart from it, by intersecting the two lines in the plane.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from sightline.house.rows import angle_below_horizontal, c_value, c_words, riser_for, row_heights

# D, T, R, C -> N, all m.
RISERS = [
    (30.0, 1.0, 10.0, 0.000, 0.333333),
    (30.0, 1.0, 10.0, 0.060, 0.395333),
    (30.0, 1.0, 10.0, 0.090, 0.426333),
    (30.0, 1.0, 10.0, 0.120, 0.457333),
    (30.0, 1.0, 10.0, 0.150, 0.488333),
]
# D, T, R, N -> C, all m.
CLEARANCES = [
    (10.0, 0.8, 2.0, 0.30, 0.129630),
    (17.0, 0.8, 6.0, 0.40, 0.112360),
    (6.0, 0.9, 0.6, 0.15, 0.052174),
    (4.0, 0.9, 0.3, 0.00, -0.055102),
]


@pytest.mark.parametrize(("d", "t", "r", "c", "n"), RISERS)
def test_riser(d: float, t: float, r: float, c: float, n: float) -> None:
    assert riser_for(c, d, r, t) == pytest.approx(n, abs=5e-7)
    assert c_value(d, r, t, riser_for(c, d, r, t)) == pytest.approx(c, abs=1e-12)


@pytest.mark.parametrize(("d", "t", "r", "n", "c"), CLEARANCES)
def test_clearance(d: float, t: float, r: float, n: float, c: float) -> None:
    assert c_value(d, r, t, n) == pytest.approx(c, abs=5e-7)
    # The same by the line from the rear eye to the focus, where it passes the front eye.
    rear, front = np.array([d + t, r + n]), np.array([d, r])
    assert rear[1] * front[0] / rear[0] - front[1] == pytest.approx(c, abs=5e-7)


def test_rear_eye_is_the_wrong_one_to_start_from() -> None:
    """The rear eye's own distance and height in the same relation give 120.7 mm instead of 129.6 mm."""
    assert c_value(10.8, 2.3, 0.8, 0.30) == pytest.approx(0.1207, abs=5e-5)
    assert c_value(10.0, 2.0, 0.8, 0.30) == pytest.approx(0.1296, abs=5e-5)


def test_rows_of_one_clearance() -> None:
    heights = row_heights(1.2, 5.0, 0.8, 0.12, 6)
    np.testing.assert_allclose(heights, [1.2, 1.5312, 1.878952, 2.241249, 2.616519, 3.003497], atol=5e-7)
    np.testing.assert_allclose(np.diff(heights), [0.3312, 0.347752, 0.362297, 0.375270, 0.386977], atol=1e-6)


def test_rows_never_descend_when_told() -> None:
    """Far below the focus the relation would dig: the riser is then nothing."""
    assert row_heights(-2.0, 5.0, 0.8, 0.06, 3)[1] < -2.0
    assert np.all(np.diff(row_heights(-2.0, 5.0, 0.8, 0.06, 3, descend=False)) >= 0.0)


def test_viewing_angle_of_the_30_m_example() -> None:
    assert math.degrees(angle_below_horizontal(30.0, 10.0)) == pytest.approx(18.4349, abs=5e-5)


def test_front_row_looks_up_less_than_30_deg() -> None:
    """Eye 1.2 m, 3 m from the edge of a 1.0 m stage, a head at 1.75 m standing 1 m upstage of the edge.

    The limit of 30 deg: Time-Saver Standards for Building Types.
    """
    up = -math.degrees(angle_below_horizontal(3.0 + 1.0, 1.2 - (1.0 + 1.75)))
    assert up == pytest.approx(21.181, abs=5e-4)
    assert up < 30.0


@pytest.mark.parametrize(
    ("c", "words"),
    [
        (0.150, "over hats"),
        (0.149, "optimal"),
        (0.120, "optimal"),
        (0.119, "tilted"),
        (0.090, "tilted"),
        (0.089, "between heads"),
        (0.060, "between heads"),
        (0.059, "blocked"),
        (-0.1, "blocked"),
    ],
)
def test_bands_of_the_worksheet(c: float, words: str) -> None:
    assert words in c_words(c)


@pytest.mark.parametrize(("d", "t"), [(0.0, 1.0), (-1.0, 1.0), (1.0, 0.0), (math.nan, 1.0), (math.inf, 1.0)])
def test_no_distance_is_an_error(d: float, t: float) -> None:
    with pytest.raises(ValueError, match="more than nothing"):
        c_value(d, 1.0, t, 0.1)
    with pytest.raises(ValueError, match="more than nothing"):
        riser_for(0.06, d, 1.0, t)
