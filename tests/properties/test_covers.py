"""A cover more never shows more, an eye more changes nothing for the others, and the order of lists none of the results.

Two figures of a report may rise under a cover more without any leak that does, and are left out: the fraction and the
split solid angle are those of whichever head position, or way by a mirror, shows most, and that choice may change. So
for eyes that sway, and where the choice differs, what each eye sees at worst (`rank`) is held, and the verdict always.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from sightline.sight.check import Finding
from tests.properties.plain import Plain, drawn, found
from tests.properties.quiet import SEEDS, examples

KINDS = ("point", "seated", "camera", "point", "child")
# Sums of the same numbers may be taken in another order.
ROUNDING = 1e-12
Part = TypeVar("Part")


def no_more(fewer: Finding, more: Finding) -> None:
    """With more covers no eye sees more of any secret."""
    assert list(fewer.secrets) == list(more.secrets)
    for name, before in fewer.secrets.items():
        one, other = before.sighting.seen, more.secrets[name].sighting.seen
        assert np.all(other.rank <= one.rank * (1 + ROUNDING)), name
        assert np.all(more.secrets[name].verdict <= before.verdict), name
        same = (other.position == one.position) & (other.via == one.via)
        assert np.all((other.area_m2 <= one.area_m2 * (1 + ROUNDING))[same]), name
        assert np.all((other.solid_angle_sr <= one.solid_angle_sr * (1 + ROUNDING))[same]), name


@given(SEEDS, SEEDS, st.integers(0, 2))
@examples(10)
def test_a_cover_more_never_shows_more(seed: int, other: int, leave: int) -> None:
    """One cover taken from a scene, the scene, and the scene with those of another: never more from one to the next."""
    plain = drawn(seed, KINDS)
    added = tuple(replace(cover, name=f"added {k}") for k, cover in enumerate(drawn(other).covers))
    fewer = found(replace(plain, covers=plain.covers[:leave] + plain.covers[leave + 1 :]))
    as_is, more = found(plain), found(replace(plain, covers=plain.covers + added))
    no_more(fewer, as_is)
    no_more(as_is, more)


def test_a_cover_more_does_hide() -> None:
    """The measure can fail: covers do hide here, and taken the other way round the property does not hold."""
    plain = drawn(1, KINDS)
    bare, covered = found(replace(plain, covers=())), found(plain)
    gone = [
        int((bare.secrets[name].sighting.seen.rank > covered.secrets[name].sighting.seen.rank).sum())
        for name in bare.secrets
    ]
    assert min(gone) >= 5
    try:
        no_more(covered, bare)
    except AssertionError:
        return
    raise AssertionError("fewer covers were taken for more")


def rows(finding: Finding) -> dict[tuple[str, str], tuple[float, ...]]:
    """All figures of each eye and secret."""
    out = {}
    for name, secret in finding.secrets.items():
        seen = secret.sighting.seen
        for i, eye in enumerate(finding.moment.eyes):
            figures = (seen.rank, seen.area_m2, seen.solid_angle_sr, seen.run_m, seen.via, secret.sighting.missable_rad)
            out[eye.id, name] = (float(secret.verdict[i]), *(float(part[i]) for part in figures))
    return out


def equal(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[0] == other[0] and bool(np.allclose(one, other, rtol=ROUNDING, atol=0.0))


@given(SEEDS, SEEDS)
@examples(8)
def test_the_order_of_lists_is_the_order_of_results_only(seed: int, order: int) -> None:
    """Covers, secrets, eyes and must-sees in any order; besides, an eye twice gives equal rows, and one more no change."""
    plain, chance = drawn(seed, KINDS), np.random.default_rng(order)
    twin = ("twin", plain.eyes[3][1], plain.eyes[3][2])

    def mixed(part: Sequence[Part]) -> tuple[Part, ...]:
        return tuple(part[i] for i in chance.permutation(len(part)))

    other = Plain(
        mixed(plain.covers), mixed(plain.secrets), mixed((*plain.eyes, twin)), plain.mirrors, mixed(plain.must_see)
    )
    before, after = rows(found(plain)), rows(found(other))
    for key, row in before.items():
        assert equal(row, after[key]), key
    for name in {name for _, name in before}:
        assert equal(after["twin", name], before[plain.eyes[3][0], name]), name
    assert len(after) == len(before) + len({name for _, name in before})
