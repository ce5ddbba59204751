"""How a scene is written does not matter: the order of keys, and the unit of each length."""

from __future__ import annotations

import itertools
import json
from typing import Any

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from sightline.sight.check import SecretFinding
from sightline.sight.report import document
from sightline.units import UNITS
from tests.properties.plain import drawn, finding_of_tree, metres, tree_of
from tests.properties.quiet import SEEDS, examples


def shuffled(value: Any, chance: np.random.Generator) -> Any:
    """The same tree with the keys of every mapping in another order; lists stay as they are."""
    if isinstance(value, dict):
        keys = list(value)
        return {keys[i]: shuffled(value[keys[i]], chance) for i in chance.permutation(len(keys))}
    return [shuffled(part, chance) for part in value] if isinstance(value, list) else value


def report(tree: Any) -> dict[str, Any]:
    return document(finding_of_tree(tree), "scene.yaml")


@given(SEEDS, SEEDS)
@examples(10)
def test_the_order_of_keys_is_irrelevant(seed: int, order: int) -> None:
    """The same bytes, whatever comes first in the file: also where some values are only known about."""
    tree = tree_of(drawn(seed, ("seated", "point"), eyes=8))
    tree["detail"] = "about 1.5 cm"
    for entry in tree["covers"][:2]:
        sizes = next(value for value in entry.values() if isinstance(value, dict))
        for key in sizes:
            sizes[key] = f"about {sizes[key]}"
    other = shuffled(tree, np.random.default_rng(order))
    assert list(tree) != list(other) or list(tree["covers"][0]) != list(other["covers"][0])
    assert json.dumps(report(tree)) == json.dumps(report(other))


def written(value_m: float, unit: str) -> str:
    """A length in a unit, or in feet and inches."""
    if unit != "ft in":
        return f"{value_m / UNITS['length'][unit]:.13f} {unit}"
    feet, inches = divmod(abs(value_m) / 0.0254, 12.0)
    return f"{'-' if value_m < 0 else ''}{int(feet)} ft {inches:.13f} in"


@given(SEEDS, st.sampled_from(["cm", "mm", "in", "ft", "yd", "ft in", "mixed"]))
@examples(12)
def test_units_are_irrelevant(seed: int, unit: str) -> None:
    """The same lengths in other units: the same verdicts, and figures to 1e-9."""
    plain = drawn(seed, ("seated", "point"), eyes=8)
    units = itertools.cycle(["cm", "mm", "in", "ft", "yd", "ft in", "m"])
    before = finding_of_tree(tree_of(plain, metres))
    after = finding_of_tree(tree_of(plain, lambda value: written(value, next(units) if unit == "mixed" else unit)))
    for name, one in before.secrets.items():
        other = after.secrets[name]
        assert np.array_equal(one.verdict, other.verdict), name
        for figure, same in zip(figures(one), figures(other), strict=True):
            assert np.allclose(figure, same, rtol=1e-9, atol=0.0), name


def figures(secret: SecretFinding) -> list[NDArray[np.float64]]:
    """All that a report says of a secret to each eye (e,), before it is rounded to nine digits."""
    seen = secret.sighting.seen
    return [
        secret.sighting.fraction, seen.solid_angle_sr, secret.size_arcmin, secret.sighting.missable_rad, seen.length_m,
        seen.run_m, seen.width_arcmin,
    ]  # fmt: skip
