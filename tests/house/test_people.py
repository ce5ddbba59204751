"""Published eye heights, and crowds that mix them."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sightline.house import people
from sightline.house.people import mixed, shuffled, standing_heights, whole_shares


def test_standing_heights_follow_the_published_percentiles() -> None:
    """ANSUR II standing eye heights, barefoot: P5, P50, P95 of women 1.421, 1.517, 1.626; of men 1.536, 1.640, 1.753.

    Huston, Principles of Biomechanics (2009): women 1.427, 1.520, 1.630; men 1.545, 1.644, 1.748. Both within 10 mm.
    """
    heights = standing_heights(4000) - people.SHOES_M
    for start, ansur, huston in [
        (0, (1.421, 1.517, 1.626), (1.427, 1.520, 1.630)),
        (1, (1.536, 1.640, 1.753), (1.545, 1.644, 1.748)),
    ]:
        found = np.percentile(heights[start::2], [5, 50, 95])
        np.testing.assert_allclose(found, ansur, atol=0.006)
        np.testing.assert_allclose(found, huston, atol=0.013)


def test_seated_and_wheelchair_heights_are_those_published() -> None:
    assert pytest.approx(44 * 0.0254, abs=0.005) == people.SEATED_EYE_M  # Long: 44 in, adult female.
    assert pytest.approx(48 * 0.0254, abs=0.005) == people.SEATED_EYE_HIGH_M  # Long: 48 in, adult male.
    assert pytest.approx(47.45 * 0.0254, abs=1e-4) == people.WHEELCHAIR_EYE_M  # ADA consent order.
    # The same order's mean standing spectator eye is 1611.6 mm.
    assert pytest.approx(1.6116, abs=0.010) == people.STANDING_EYE_M


def test_a_child_of_eight_lies_within_the_range_of_children() -> None:
    assert people.CHILD_EYE_LOW_M < people.CHILD_EYE_M < people.CHILD_EYE_HIGH_M


def test_a_mix_holds_its_shares() -> None:
    kinds, heights = mixed({"adults": 0.6, "children": 0.2, "wheelchair": 0.05, "raised phones": 0.15}, 200, 7)
    assert Counter(kinds) == {"standing": 120, "child": 40, "wheelchair": 10, "phone": 30}
    by_kind = {kind: heights[np.array(kinds) == kind] for kind in set(kinds)}
    assert np.all(by_kind["wheelchair"] == people.WHEELCHAIR_EYE_M)
    assert by_kind["phone"].min() > 1.9
    assert by_kind["phone"].max() < 2.3
    assert by_kind["child"].max() < 1.47


@given(
    st.lists(st.floats(0.0, 1.0), min_size=1, max_size=6).filter(lambda shares: sum(shares) > 0.01),
    st.integers(0, 500),
)
def test_whole_shares_add_up_and_are_near(shares: list[float], count: int) -> None:
    named = {str(i): share for i, share in enumerate(shares)}
    found = whole_shares(named, count)
    assert sum(found.values()) == count
    for name, number in found.items():
        assert abs(number - named[name] / sum(shares) * count) < 1.0 + 1e-6


def test_mixing_is_the_same_every_time_and_depends_on_the_seed() -> None:
    shares = {"adults": 0.5, "children": 0.5}
    first, again, other = mixed(shares, 60, 3), mixed(shares, 60, 3), mixed(shares, 60, 4)
    assert first[0] == again[0]
    np.testing.assert_array_equal(first[1], again[1])
    assert first[0] != other[0]


@given(st.integers(0, 300), st.integers(0, 100_000))
def test_shuffling_loses_nobody(count: int, seed: int) -> None:
    assert sorted(shuffled(count, seed)) == list(range(count))


def test_shuffling_is_pinned() -> None:
    """So that a saved plan names the same people after an upgrade."""
    assert shuffled(8, 1).tolist() == [3, 5, 7, 4, 1, 2, 6, 0]
