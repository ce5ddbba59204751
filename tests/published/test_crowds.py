"""Crowds against published figures: levels of service, statures, growth of children.

Fruin, Pedestrian Planning and Design (1971): walkway levels in square feet for each person (D and E read in the book's
text, the set in a worked solution); queue levels FROM MEMORY. HCM 2000 as a lecture of NPTEL quotes it.
ANSUR II (2012): mean and standard deviation of stature worked out from the public data file.
CDC 2000 growth charts, statage.csv: L, M, S and percentiles in cm, ages in half-months, read in an open copy of the file.
WHO growth reference 5-19 years (2007): medians, in figure/tables.py, for comparison.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from sightline.figure.tables import ANSUR, CHILD_STATURE, CHILD_STATURE_WHO
from sightline.house import sampled
from sightline.house.drawn import Crowd
from sightline.house.growth import AGES_MONTHS, CDC_LMS, child_stature_m, from_lms, lms
from sightline.house.people import SHOES_M
from sightline.house.sampled import SamplingError, adult_statures, drawn_people, uniforms
from sightline.scene.crowd import density_of, spacing_of
from sightline.scene.service import FT2_M2, LEAST_M2, SERVICES, floor_of_flow_m2, level_of, service_per_m2

# A test at this level of significance fails once in a hundred seeds; the seeds are fixed, so it fails always or never.
SIGNIFICANCE = 0.01


def test_the_corridor_of_the_worked_example_is_at_level_c() -> None:
    """30 ft wide, 300 people a minute at 3 ft/s: 10 a minute for each foot, 180/10 = 18 ft2 each, level C."""
    floor = floor_of_flow_m2(30 * 0.3048, 300 / 60, 3 * 0.3048)
    assert floor / FT2_M2 == pytest.approx(18.0, abs=1e-9)
    assert level_of("fruin walkway", floor) == "C"


@pytest.mark.parametrize(
    ("scheme", "level", "m2"),
    [
        ("fruin walkway", "A", 3.2516), ("fruin walkway", "B", 2.3226), ("fruin walkway", "C", 1.3935),
        ("fruin walkway", "D", 0.9290), ("fruin walkway", "E", 0.4645),
        ("fruin queue", "A", 1.21), ("fruin queue", "B", 0.93), ("fruin queue", "C", 0.65), ("fruin queue", "D", 0.28),
        ("fruin queue", "E", 0.19), ("hcm walkway", "A", 5.6), ("hcm walkway", "B", 3.7), ("hcm walkway", "C", 2.2),
    ],
)  # fmt: skip
def test_bounds_of_the_levels(scheme: str, level: str, m2: float) -> None:
    """In square metres; the walkway's to the rounding of feet into metres."""
    assert LEAST_M2[scheme][level] == pytest.approx(m2, abs=5e-5)
    below = {"A": "B", "B": "C", "C": "D", "D": "E", "E": "F"}[level]
    assert level_of(scheme, LEAST_M2[scheme][level]) == level
    assert level_of(scheme, m2 * 0.999) == (below if scheme != "hcm walkway" or level != "C" else "below C")


def test_queue_levels_agree_with_their_square_feet() -> None:
    """A 13 ft2, E 2 ft2 (from memory)."""
    assert LEAST_M2["fruin queue"]["A"] == pytest.approx(13 * FT2_M2, abs=0.005)
    assert LEAST_M2["fruin queue"]["E"] == pytest.approx(2 * FT2_M2, abs=0.005)


def test_schemes_are_never_mixed() -> None:
    """2 m2 each: C on Fruin's walkway, A in his queue, below C in the HCM."""
    assert [level_of(scheme, 2.0) for scheme in LEAST_M2] == ["C", "A", "below C"]


def test_a_level_is_taken_at_its_crowded_end() -> None:
    assert service_per_m2("fruin queue C") == pytest.approx(1 / 0.65)
    assert "fruin walkway F" not in SERVICES
    assert "fruin queue F" not in SERVICES


def test_spacings_at_the_guides_density() -> None:
    """47 people on 10 m2 (Green Guide, from memory): triangular grid 0.4957 m (computed)."""
    assert spacing_of(4.7) == pytest.approx(0.4957, abs=5e-5)
    assert density_of(0.4957) == pytest.approx(4.7, abs=0.001)


# L, M, S and P3, P5, P10, P25, P50, P75, P90, P95, P97, statage.csv: boys 60.5, 96.5, 144.5 months, girls the same.
PERCENTILES = (3, 5, 10, 25, 50, 75, 90, 95, 97)
STATAGE = [
    ("boys", 60.5, (100.331847, 101.4523027, 103.171181, 106.026498, 109.1751441, 112.2997816, 115.0923665, 116.7549954, 117.831386)),
    ("boys", 96.5, (117.4999879, 118.8052553, 120.830485, 124.2562127, 128.1237104, 132.0558684, 135.6503652, 137.8267001, 139.2501934)),
    ("boys", 144.5, (135.6621289, 137.3326017, 139.9279871, 144.3276874, 149.3088178, 154.3880792, 159.0439098, 161.8686162, 163.7185106)),
    ("girls", 60.5, (99.35047319, 100.3890853, 102.0108651, 104.7829358, 107.9566031, 111.2321213, 114.2701285, 116.1301284, 117.3552032)),
    ("girls", 96.5, (117.2736916, 118.5443251, 120.5300007, 123.92854, 127.8262759, 131.8566506, 135.6015364, 137.8974887, 139.411004)),
    ("girls", 144.5, (137.4380555, 139.2235689, 141.9594471, 146.4957662, 151.4865636, 156.4280126, 160.8353311, 163.4554684, 165.1502647)),
]  # fmt: skip


@pytest.mark.parametrize(("sex", "months", "printed_cm"), STATAGE)
def test_printed_percentiles_follow_from_the_printed_l_m_s(
    sex: str, months: float, printed_cm: tuple[float, ...]
) -> None:
    power, median, spread = CDC_LMS[sex][AGES_MONTHS.index(months)]
    scores = stats.norm.ppf(np.array(PERCENTILES) / 100)
    np.testing.assert_allclose(from_lms(power, median, spread, scores), printed_cm, rtol=0, atol=5e-7)


def test_the_boys_of_60_months_of_the_published_check() -> None:
    """L 1.266367398, M 109.1751441, S 0.042593311 -> P5 101.4523027, P95 116.7549954 cm."""
    found = from_lms(1.266367398, 109.1751441, 0.042593311, stats.norm.ppf([0.05, 0.95]))
    np.testing.assert_allclose(found, [101.4523027, 116.7549954], rtol=0, atol=5e-7)


def test_no_power_is_the_limit_of_a_small_one() -> None:
    """L near nothing: M exp(S z)."""
    np.testing.assert_allclose(
        from_lms(0.0, 130.0, 0.046, [-2.0, 0.0, 2.0]), 130.0 * np.exp(0.046 * np.array([-2.0, 0.0, 2.0]))
    )
    np.testing.assert_allclose(from_lms(2e-6, 130.0, 0.046, 2.0), from_lms(0.0, 130.0, 0.046, 2.0), rtol=1e-6)


@pytest.mark.parametrize(("sex", "as_written"), [("boys", "male"), ("girls", "female")])
def test_medians_by_age_are_those_of_the_body_tables(sex: str, as_written: str) -> None:
    """CDC medians at whole years within the straight line between half-months and years; WHO's within 2 cm of them."""
    for years in range(6, 13):
        median = float(child_stature_m(sex, years, 0.0))
        assert median == pytest.approx(CHILD_STATURE[as_written][years], abs=0.004)  # type: ignore[index]
        assert median == pytest.approx(CHILD_STATURE_WHO[as_written][years], abs=0.02)  # type: ignore[index]


def test_the_survey_is_the_same_as_the_bodies_use() -> None:
    """`house` may not read `figure`; both must hold the same figures."""
    for sex, stature, crown in (
        ("male", sampled.STATURE_MEN_M, sampled.CROWN_TO_EYE_MEN_M),
        ("female", sampled.STATURE_WOMEN_M, sampled.CROWN_TO_EYE_WOMEN_M),
    ):
        assert tuple(ANSUR[sex]["stature"]) == stature  # type: ignore[index]
        assert ANSUR[sex]["vertextoeye"].mean == crown  # type: ignore[index]


def test_drawn_statures_follow_the_published_distribution() -> None:
    """Kolmogorov-Smirnov, 4000 people of the seed that a file has by default, against the normal of ANSUR II; it can fail."""
    men, statures = adult_statures(4000, 1)
    for who, (mean, sd) in ((men, sampled.STATURE_MEN_M), (~men, sampled.STATURE_WOMEN_M)):
        assert stats.kstest(statures[who], "norm", args=(mean, sd)).pvalue > SIGNIFICANCE
        # A centimetre off, or a spread of a seventh less, would be found.
        assert stats.kstest(statures[who], "norm", args=(mean + 0.01, sd)).pvalue < SIGNIFICANCE
        assert stats.kstest(statures[who], "norm", args=(mean, sd * 0.85)).pvalue < SIGNIFICANCE
    assert stats.binomtest(int(men.sum()), 4000, 0.5).pvalue > SIGNIFICANCE


def test_no_seed_is_special() -> None:
    """If draws follow the distribution, the p-values of many crowds are even between 0 and 1: one crowd may be odd by chance."""
    for which, (mean, sd) in enumerate((sampled.STATURE_MEN_M, sampled.STATURE_WOMEN_M)):
        chances = []
        for seed in range(1, 81):
            men, statures = adult_statures(1000, seed)
            chances.append(stats.kstest(statures[~men if which else men], "norm", args=(mean, sd)).pvalue)
        assert stats.kstest(chances, "uniform").pvalue > SIGNIFICANCE


@pytest.mark.parametrize("sex", ["boys", "girls"])
def test_drawn_children_follow_the_growth_chart_of_their_age(sex: str) -> None:
    """Children of exactly 8 years: KS against the LMS distribution, by its own standard score."""
    crowd = Crowd("school", (("children", 1.0),), 4000, 5, 0.0, (8.0, 8.0))
    kinds, heights = drawn_people(crowd)
    assert set(kinds) == {"child"}
    boys = uniforms(4000, 5, 0, 1) < 0.5
    statures = heights[boys if sex == "boys" else ~boys] + sampled.CROWN_TO_EYE_CHILD_M - SHOES_M
    power, median, spread = (float(value) for value in lms(sex, 96.0))
    scores = ((statures * 100 / median) ** power - 1) / (power * spread)
    assert stats.kstest(scores, "norm").pvalue > SIGNIFICANCE
    assert stats.kstest(scores + 0.2, "norm").pvalue < SIGNIFICANCE


@pytest.mark.parametrize("use", range(4))
def test_the_hash_gives_even_and_independent_numbers(use: int) -> None:
    numbers = uniforms(20_000, 7, 3, use)
    assert 0 < numbers.min() < numbers.max() < 1
    assert stats.kstest(numbers, "uniform").pvalue > SIGNIFICANCE
    assert abs(np.corrcoef(numbers[:-1], numbers[1:])[0, 1]) < 4 / math.sqrt(20_000)
    for other in (uniforms(20_000, 8, 3, use), uniforms(20_000, 7, 4, use), uniforms(20_000, 7, 3, (use + 1) % 4)):
        assert abs(np.corrcoef(numbers, other)[0, 1]) < 4 / math.sqrt(20_000)


def test_shares_of_a_drawn_crowd_vary_as_the_binomial_says() -> None:
    """The share of wheelchairs over 400 draws of 200 people: mean p, standard deviation sqrt(p (1 - p) / n)."""
    share, count, draws = 0.1, 200, 400
    crowd = Crowd("yard", (("adults", 1 - share), ("wheelchair", share)), count, 2, 0.0, (5.0, 12.0))
    values = tuple(drawn_people(crowd, draw)[0].count("wheelchair") / count for draw in range(draws))
    error = SamplingError(values)
    exact = math.sqrt(share * (1 - share) / count)
    # Four standard errors of a mean and of a standard deviation.
    assert error.mean == pytest.approx(share, abs=4 * exact / math.sqrt(draws))
    assert error.spread == pytest.approx(exact, rel=4 / math.sqrt(2 * (draws - 1)))
    assert error.standard_error == pytest.approx(error.spread / 20.0)


def test_sampling_error_of_known_values() -> None:
    """2, 4, 4, 4, 5, 5, 7, 9: mean 5, sum of squares about it 32, standard deviation sqrt(32/7)."""
    error = SamplingError((2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0))
    assert error.mean == 5.0
    assert error.spread == pytest.approx(math.sqrt(32 / 7))
    assert error.standard_error == pytest.approx(math.sqrt(32 / 7 / 8))
    assert SamplingError((0.3,)).standard_error == 0.0
