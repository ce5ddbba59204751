"""A scene's file with single values put off by a little: what an error or a range does to what was written."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sightline.scene.document import KeyPath
from sightline.units import Kind, QuantityError, Unknown, parse, plain_number

# What a quantity of each kind is written in here: the SI units of `units.parse`.
UNIT: dict[Kind, str] = {"length": "m", "angle": "rad", "mass": "kg", "time": "s"}


@dataclass(frozen=True)
class Nudge:
    """One value of the file moved `by` so much (SI), or set `to` a value.

    `base` is what holds where the file says nothing, or `unknown`; `row` the length of a list that has to be made for
    it. A bare number (a share, a factor) is of kind "number".
    """

    path: KeyPath
    by: float = 0.0
    to: float | None = None
    kind: Kind | Literal["number"] = "length"
    base: float = 0.0
    row: int = 2


def nudged(tree: Any, nudges: Sequence[Nudge], share: float = 1.0) -> Any:
    """A copy of a file's tree with every nudge made, or a share of it. What an alias shared is no longer shared."""
    out = _copied(tree)
    for nudge in nudges:
        at, key = _holder(out, nudge)
        value = _value(at, key, nudge)
        end = value + nudge.by if nudge.to is None else nudge.to
        value += share * (end - value)
        said = plain_number(value, 9)
        at[key] = said if nudge.kind == "number" else f"{said} {UNIT[nudge.kind]}"
    return out


def measured_range(text: str) -> tuple[Kind, float, float] | None:
    """What a range or an `about` runs from and to, SI, and the kind of it; None for what is no quantity."""
    for kind in UNIT:
        try:
            found = parse(text, kind)
        except (QuantityError, Unknown):
            continue
        return kind, found.low, found.high
    return None


def _copied(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {key: _copied(value) for key, value in tree.items()}
    return [_copied(value) for value in tree] if isinstance(tree, list) else tree


def _holder(tree: Any, nudge: Nudge) -> tuple[Any, Any]:
    """The mapping or list that holds the value, made where the file has none, and the key in it."""
    at = tree
    for step, after in zip(nudge.path[:-1], nudge.path[1:], strict=True):
        if isinstance(at, dict) and step not in at:
            at[step] = ["0 m"] * nudge.row if isinstance(after, int) else {}
        at = at[step]
    return at, nudge.path[-1]


def _value(at: Any, key: Any, nudge: Nudge) -> float:
    """What the file says there now."""
    said = at.get(key) if isinstance(at, dict) else at[key]
    if said is None:
        return nudge.base
    if nudge.kind == "number":
        try:
            return float(said)
        except ValueError:
            return nudge.base
    try:
        value = parse(said, nudge.kind).value
    except (QuantityError, Unknown):
        return nudge.base
    return value if math.isfinite(value) else nudge.base
