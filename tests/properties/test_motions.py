"""What must not matter: where a scene stands and which way it is turned, left or right, how finely meshes are cut, size.

The motions are those that the format has: turns about the vertical, and moves. A shape that faces straight up keeps its
width along x by rule and does not turn with the rest; none is drawn. Eyes are points: people lean across the line to
the middle of the secrets' bounding box, which turns with nothing. Where a figure changes at all, a patch whose ray
passes an edge by less than rounding is the cause.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from sightline.geometry.mesh import Mesh
from sightline.sight.check import Finding, SecretFinding
from sightline.sight.patches import halved
from sightline.sight.prepared import PreparedLine, PreparedSurface
from tests.properties.plain import Piece, Plain, as_mesh, bowl, drawn, found, mirrored, scaled, turned
from tests.properties.quiet import SEEDS, examples

POINT_ARCMIN = 1.0


@dataclass
class Change:
    """Between two findings of one scene: the change of the mean fraction, the largest of one eye and secret, both also
    for one patch more, and how many verdicts differ though no one patch makes them."""

    mean: float
    largest: float
    one_patch: float
    verdicts: int


def one_patch(secret: SecretFinding) -> float:
    """The largest share of a secret that one patch, or sample of a line, is."""
    first = secret.sighting.first
    if isinstance(first, PreparedLine):
        return float(first.line.lengths.max() / first.line.length_m)
    assert isinstance(first, PreparedSurface)
    return float(first.patches.areas.max(initial=0.0) / first.area_m2)


def change(before: Finding, after: Finding) -> Change:
    out = Change(0.0, 0.0, 0.0, 0)
    assert list(before.secrets) == list(after.secrets)
    means = []
    for name, one in before.secrets.items():
        other = after.secrets[name]
        step = other.sighting.fraction - one.sighting.fraction
        means.append(step.mean())
        patch = max(one_patch(one), one_patch(other))
        out.largest = max(out.largest, float(np.abs(step).max()))
        out.one_patch = max(out.one_patch, float(np.abs(step).max()) / patch)
        out.verdicts += int((differ(one, other) & ~near_threshold(one, other, patch)).sum())
    out.mean = float(np.abs(np.mean(means)))
    return out


def differ(one: SecretFinding, other: SecretFinding) -> NDArray[np.bool_]:
    return np.asarray(one.verdict != other.verdict)


def near_threshold(one: SecretFinding, other: SecretFinding, patch: float) -> NDArray[np.bool_]:
    """Where a patch more or less takes a leak over a threshold: nothing to something, or over the eye's least size."""
    low, high = (np.minimum, np.maximum)
    shares = np.array([one.sighting.fraction, other.sighting.fraction])
    few = shares.max(axis=0) <= patch * (1 + 1e-6)
    # What one patch adds to a size: sizes go as the root of the area.
    sizes = np.array([one.size_arcmin, other.size_arcmin])
    grown = high(*sizes) * np.sqrt((shares.max(axis=0) + patch) / np.maximum(shares.max(axis=0), 1e-300))
    shrunk = low(*sizes) * np.sqrt(np.maximum(shares.min(axis=0) - patch, 0) / np.maximum(shares.min(axis=0), 1e-300))
    return np.asarray(few | ((shrunk < POINT_ARCMIN) & (grown >= POINT_ARCMIN)))


@pytest.mark.parametrize("seed", range(3))
def test_the_scenes_are_worth_it(seed: int) -> None:
    """Partly covered secrets are common, all verdicts and a look in the mirror occur, or nothing here would say much."""
    partly = total = by_mirror = hidden = 0
    for k in range(6):
        for secret in found(drawn(100 * seed + k)).secrets.values():
            whole = secret.sighting.fraction.max()
            partly += int(((secret.sighting.fraction > 0.02) & (secret.sighting.fraction < 0.9 * whole)).sum())
            by_mirror += int((secret.sighting.seen.via >= 0).sum())
            hidden += int((secret.verdict == 0).sum())
            total += len(secret.verdict)
    print(partly, total, by_mirror, hidden)


@given(SEEDS, st.floats(-180, 180), *[st.floats(-60, 60)] * 3)
@examples(25)
def test_turned_and_moved(seed: int, turn_deg: float, x: float, y: float, z: float) -> None:
    plain = drawn(seed)
    got = change(found(plain), found(turned(plain, turn_deg, (x, y, z))))
    print("rigid", got)


@given(SEEDS, st.booleans())
@examples(25)
def test_mirror_image(seed: int, people: bool) -> None:
    plain = drawn(seed, ("seated", "point", "camera") if people else ("point",))
    got = change(found(plain), found(mirrored(plain)))
    print("mirror", got)


def split(piece: Piece, times: int) -> Piece:
    piece = as_mesh(piece)
    if piece.mesh is None:
        return piece
    corners = piece.mesh.corners
    for _ in range(times):
        corners = halved(corners)
    return replace(piece, mesh=Mesh.of(corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3)))


@given(SEEDS)
@examples(15)
def test_meshes_cut_finer(tmp_path: Path, seed: int) -> None:
    plain = drawn(seed)
    plain = replace(plain, covers=(*plain.covers, bowl("bowl", (0.1, -0.4, 1.4), 40.0)))
    whole = replace(plain, covers=tuple(map(as_mesh, plain.covers)), secrets=tuple(map(as_mesh, plain.secrets)))
    finer = replace(whole, covers=tuple(split(p, 1) for p in whole.covers))
    before=found(whole, tmp_path)
    print("shape", change(found(plain,tmp_path), before))
    print("covers", change(before, found(finer, tmp_path)))
    finer = replace(whole, secrets=tuple(split(p, 1) for p in whole.secrets))
    print("secrets", change(before, found(finer, tmp_path)))


@contextmanager
def lengths_scaled(by: float) -> Iterator[None]:
    """Within, every length that the check holds fixed is `by` times as long: offsets, and steps along seams."""
    fixed = ("LIFT_M", "FLUSH_M", "SLACK_M", "STEP_M", "MARGIN_M")
    modules = [m for name, m in sys.modules.items() if name.startswith("sightline.sight.") and isinstance(m, ModuleType)]
    with pytest.MonkeyPatch.context() as patch:
        for module in modules:
            for name in fixed:
                if hasattr(module, name):
                    patch.setattr(module, name, getattr(module, name) * by)
        yield


@given(SEEDS, st.floats(0.5, 2.0))
@examples(20)
def test_scaled(seed: int, by: float) -> None:
    plain = drawn(seed)
    before=found(plain)
    with lengths_scaled(by):
        after = found(scaled(plain, by))
    print("scale", by, change(before, after))
    after = found(scaled(plain, by))
    print("scale without offset", by, change(before, after))
