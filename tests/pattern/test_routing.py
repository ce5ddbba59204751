"""Seams by sight: hidden where they can be, straight where nothing is gained, apart, and never worse than by hand."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sightline.errors import SightlineError
from sightline.pattern.applied import applied
from sightline.pattern.cheapest import MOST_ASIDE, TURN_M, cheapest
from sightline.pattern.exposure import Exposure, exposure_of, shown
from sightline.pattern.looks import Looks, looks_of
from sightline.pattern.onskin import Skin, TubeSkin
from sightline.pattern.plain import cylinder, elbow, frustum
from sightline.pattern.routing import APART_M, INNER, OUTER, Routing, Wish, route, routed, simplified
from sightline.sight.check import check
from sightline.staging.stage import stage
from tests.pattern.shown_limbs import LIMB, arm_seen, looks_at

TUBES = {
    "cylinder": cylinder(0.05, 0.5), "frustum": frustum(0.06, 0.035, 0.5),
    "bent": elbow((0.055, 0.048, 0.036), (0.28, 0.26), math.radians(70)),
}  # fmt: skip
WISHES = (INNER, OUTER)


def seen_alike(share_seen: float) -> Exposure:
    """A limb that is seen alike all over."""
    return Exposure("tube", np.linspace(0, 1, 12), np.arange(32) / 32 * 2 * np.pi, np.full((12, 32), share_seen), False)


@settings(max_examples=8, deadline=None)
@given(share_seen=st.floats(0.0, 1.0), name=st.sampled_from(sorted(TUBES)), how=st.sampled_from(["hide", "balanced"]))
def test_where_all_is_seen_alike_seams_run_as_the_flat_ones(share_seen: float, name: str, how: str) -> None:
    skin = TubeSkin(TUBES[name])
    ways = routed(skin, seen_alike(share_seen), WISHES, how)  # type: ignore[arg-type]
    flat = routed(skin, seen_alike(share_seen), WISHES, "flat")
    for way, straight, wish in zip(ways, flat, WISHES, strict=True):
        assert np.array_equal(way, straight)
        assert way == pytest.approx(wish.default, abs=1e-9)


@pytest.fixture(scope="module", params=[(-6.0, "40 deg"), (-6.0, "95 deg"), (6.0, "40 deg"), (6.0, "95 deg")])
def seen_from_one_side(request: pytest.FixtureRequest) -> tuple[float, Looks, Exposure, Routing]:
    """A bent arm that only the front, or only the back, sees: routed to hide."""
    y, bend = request.param
    looks = looks_of(arm_seen(y, bend), LIMB)
    exposure = exposure_of(looks)
    return y, looks, exposure, route(looks, exposure, WISHES)


def test_a_tenth_of_the_default_is_seen_at_most(seen_from_one_side: tuple[float, Looks, Exposure, Routing]) -> None:
    found = seen_from_one_side[3]
    assert found.visible_before_m > 0.1
    assert found.visible_after_m <= 0.10 * found.visible_before_m
    assert "as a maker puts it" in " ".join(found.said)


def test_before_is_the_default_and_after_is_what_is_drawn(
    seen_from_one_side: tuple[float, Looks, Exposure, Routing],
) -> None:
    _, looks, _, found = seen_from_one_side
    for one, line in zip(found.routes, found.lines, strict=True):
        assert one.before == shown(looks, one.wish.default)
        drawn = shown(looks, np.column_stack([line.share, line.around_rad]))
        # The crease of the elbow is sampled at other places.
        assert drawn.length_m == pytest.approx(one.after.length_m, rel=0.01)
        assert drawn.visible_m == pytest.approx(one.after.visible_m, abs=1e-3)
        assert line.share[0] == 0.0
        assert line.share[-1] == 1.0
        assert np.all(np.diff(line.share) > 0)
        assert np.linalg.norm(np.diff(line.points, axis=0), axis=1).max() < 0.045  # half over the ball
        # It can be cut: hardly longer than straight, and no step is steeper than the grid allows.
        assert one.after.length_m < 1.25 * one.before.length_m


def test_seams_keep_apart(seen_from_one_side: tuple[float, Looks, Exposure, Routing]) -> None:
    _, looks, _, found = seen_from_one_side
    one, other = (route.turns for route in found.routes)
    share = np.linspace(0.02, 0.98, 97)
    away = np.interp(share, *one.T) - np.interp(share, *other.T)
    ring = np.array([looks.skin.points(np.full(24, s), np.arange(24) / 24 * 2 * np.pi) for s in share])
    radius = np.linalg.norm(ring - ring.mean(axis=1, keepdims=True), axis=2).mean(axis=1)
    # Even curves cut the grid's corners by a little.
    assert (np.abs(np.angle(np.exp(1j * away))) * radius).min() > 0.9 * APART_M


def test_hide_shows_least_and_flat_is_straight() -> None:
    looks = looks_of(arm_seen(-6), LIMB)
    exposure = exposure_of(looks)
    hide, balanced, flat = (route(looks, exposure, WISHES, how) for how in ("hide", "balanced", "flat"))
    assert hide.visible_after_m <= balanced.visible_after_m <= flat.visible_after_m == flat.visible_before_m
    assert [np.array_equal(r.turns, r.wish.default) for r in flat.routes] == [True, True]
    bends = [np.abs(np.diff(r.turns[:, 1])).sum() for found in (hide, balanced, flat) for r in found.routes]
    assert max(bends[2:4]) <= max(bends[:2]) + 1e-9


def test_front_and_back_are_mirror_images() -> None:
    """A straight cylinder, one eye before it and one behind: the ways are each other's image."""
    ways = []
    for y in (-3.0, 3.0):
        looks = looks_at(TUBES["cylinder"], [(0, y, -0.25)], [1])
        ways.append(route(looks, exposure_of(looks), WISHES))
    for front, back in zip(*(found.routes for found in ways), strict=True):
        assert front.after.visible_m == back.after.visible_m == 0.0
        share = np.linspace(0, 1, 50)
        one, other = (np.interp(share, *found.turns.T) for found in (front, back))
        assert np.exp(1j * one) == pytest.approx(np.exp(-1j * other), abs=0.15)
        # The front's seam lies behind, on the far half.
        assert np.all(np.sin(one[5:-5]) < 0.01)


def test_the_check_agrees_after_applying(seen_from_one_side: tuple[float, Looks, Exposure, Routing]) -> None:
    y, looks, _, found = seen_from_one_side
    bend = "40 deg" if abs(np.degrees(_bend(looks.skin)) - 40) < 1 else "95 deg"
    written = arm_seen(y, bend)
    finding = check(stage(applied(written, LIMB, found.lines, looks.skin).written))
    weight = np.array([eye.weight for eye in finding.moment.eyes])
    for one in found.routes:
        secret = finding.secrets[one.wish.name]
        seen = secret.sighting.seen.length_m
        # The check keeps the worst pose and head position, the routing whatever any of them shows.
        assert float(weight @ seen / weight.sum()) == pytest.approx(one.after.visible_m, abs=0.002)
        if one.after.visible_m == 0.0:
            assert not secret.verdict.any()
        assert one.after.audience == pytest.approx(weight[seen > 0].sum() / weight.sum())


def _bend(skin: Skin) -> float:
    arm = skin.arm  # type: ignore[attr-defined]
    return math.radians(arm.bend_deg)


def test_a_map_that_misleads_changes_nothing_for_the_worse() -> None:
    """Told that the front is hidden and the back is seen, it would go the wrong way; the rays know better."""
    looks = looks_at(TUBES["cylinder"], [(-3.0, -1.0, -0.25)], [1])
    true = exposure_of(looks)
    found = route(looks, replace(true, seen=1.0 - true.seen), (OUTER,))
    assert found.visible_after_m <= found.visible_before_m
    assert found.routes[0].turns == pytest.approx(OUTER.default)
    assert "stay where a maker puts them" in " ".join(found.said)


def test_strain_has_a_say() -> None:
    """Nothing is seen anywhere, and the pieces lie flattest with the seam at the back."""
    ways = routed(
        TubeSkin(TUBES["cylinder"]), seen_alike(0.0), (INNER,), "balanced",
        strain=lambda share, around: 0.5 * (1 + np.sin(around)),
    )  # fmt: skip
    assert ways[0][:, 1] == pytest.approx(1.5 * math.pi, abs=0.01)


def test_a_limb_too_thin_for_its_seams() -> None:
    thin = TubeSkin(cylinder(0.010, 0.3))
    with pytest.raises(SightlineError, match="too thin for 2 seams at least 40 mm apart"):
        routed(thin, seen_alike(0.5), WISHES)
    assert len(routed(thin, seen_alike(0.5), (INNER,))) == 1


def test_a_ring_moves_where_it_is_covered() -> None:
    """Everything beyond 0.62 of the limb is seen by all: a ring at 0.65 goes up, and closes on itself."""
    share = np.linspace(0, 1, 101)
    seen = np.repeat((share > 0.62).astype(float)[:, None], 32, axis=1)
    exposure = Exposure("tube", share, np.arange(32) / 32 * 2 * np.pi, seen, False)
    for tube in (TUBES["cylinder"], TUBES["frustum"]):
        way = routed(TubeSkin(tube), exposure, (Wish("ring", "ring", 0.65),))[0]
        assert way[:, 0].max() <= 0.62
        assert way[:, 0].min() >= 0.65 - 0.051 / 0.5
        assert way[0, 0] == way[-1, 0]
        assert way[[0, -1], 1] == pytest.approx([0.0, 2 * math.pi])
    still = routed(TubeSkin(TUBES["cylinder"]), seen_alike(0.7), (Wish("ring", "ring", 0.65),))[0]
    assert still[:, 0] == pytest.approx(0.65, abs=1e-4)


@pytest.mark.parametrize("ring", [False, True])
def test_no_way_is_cheaper(ring: bool) -> None:
    """Every way over a small grid, tried one by one."""
    rng = np.random.default_rng(7)
    m, n = 5, 6
    places = rng.normal(size=(m, n, 3)) * 0.01
    sight, strain = rng.random((m, n)) * 5, rng.random((m, n))
    banned = rng.random((m, n)) < 0.15
    flat = (0.006, np.full(m - 1, 0.004))
    best = math.inf
    for start in range(n):
        for moves in itertools.product(range(-MOST_ASIDE, MOST_ASIDE + 1), repeat=m - 1):
            way = np.concatenate([[start], start + np.cumsum(moves)])
            if ring and (way.min() < 0 or way.max() >= n or way[-1] != way[0]):
                continue
            at = way % n
            rows = np.arange(m)
            if banned[rows, at].any():
                continue
            size = np.linalg.norm(np.diff(places[rows, at], axis=0), axis=1)
            seen, bent = sight[rows, at], strain[rows, at]
            cost = size @ ((seen[1:] + seen[:-1]) / 2)
            cost += np.hypot(0.006, 0.004 * np.array(moves)) @ (1 + (bent[1:] + bent[:-1]) / 2)
            cost += TURN_M * (np.diff(moves) ** 2).sum()
            best = min(best, cost)
    found = cheapest(places, sight, strain, banned, flat, ring)
    assert found is not None
    assert found[1] == pytest.approx(best, abs=1e-12)
    assert len(found[0]) == m
    assert np.abs(np.diff(found[0])).max() <= MOST_ASIDE
    assert not banned[np.arange(m), found[0].astype(int) % n].any()


def test_no_way_at_all() -> None:
    grid = np.zeros((4, 5))
    assert cheapest(np.zeros((4, 5, 3)), grid, grid, np.ones((4, 5), bool), (0.01, np.full(3, 0.01)), False) is None


def test_simplified_strays_no_farther_than_said() -> None:
    share = np.linspace(0, 1, 101)
    way = np.column_stack([share, 0.5 * np.sin(4 * share)])
    few = simplified(way, 0.5, 0.05, 0.001)
    assert 2 < len(few) < 30
    off = np.abs(np.interp(share, few[:, 0], few[:, 1]) - way[:, 1]) * 0.05
    assert off.max() <= 0.0012
    assert len(simplified(way[:, [0, 0]], 0.5, 0.05, 0.001)) == 2
