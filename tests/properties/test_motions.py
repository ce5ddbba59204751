"""What must not matter: where a scene stands and which way it is turned, left or right, how finely meshes are cut, size.

The motions are those that the format has: turns about the vertical, and moves. A shape that faces straight up keeps its
width along x by rule and does not turn with the rest; none is drawn. Eyes are points: people lean across the line to
the middle of the secrets' bounding box, which turns with nothing. Where a figure changes at all, a patch whose ray
passes an edge by less than rounding is the cause.
"""

from __future__ import annotations

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
from sightline.geometry.shapes import box, cylinder, disc, sphere
from sightline.sight.check import Finding, SecretFinding
from sightline.sight.patches import halved, patches_of
from sightline.sight.prepared import PreparedLine, PreparedSurface
from tests.properties.plain import Piece, as_mesh, bowl, drawn, found, mirrored, scaled, turned
from tests.properties.quiet import SEEDS, examples

# Sizes that eyes notice: of a bare point 1 arcmin, of people 2 (design.md section 5).
LEAST_ARCMIN = (1.0, 2.0)


@dataclass
class Change:
    """From one finding to another of the same eyes and secrets: how far the mean fraction goes, the largest change of one
    eye, the same in patches of that secret, and how many verdicts differ where no one patch could make them."""

    mean: float = 0.0
    largest: float = 0.0
    patches: float = 0.0
    verdicts: int = 0


def one_patch(secret: SecretFinding) -> float:
    """The largest share of a secret that one patch, or sample of a line, is."""
    first = secret.sighting.first
    if isinstance(first, PreparedLine):
        return float(first.line.lengths.max() / first.line.length_m)
    assert isinstance(first, PreparedSurface)
    return float(first.patches.areas.max(initial=0.0) / first.area_m2)


def change(before: Finding, after: Finding) -> Change:
    out = Change()
    assert list(before.secrets) == list(after.secrets)
    means = []
    for name, one in before.secrets.items():
        other = after.secrets[name]
        step = other.sighting.fraction - one.sighting.fraction
        means.append(step.mean())
        patch = max(one_patch(one), one_patch(other))
        out.largest = max(out.largest, float(np.abs(step).max()))
        out.patches = max(out.patches, float(np.abs(step).max()) / patch)
        out.verdicts += int(((one.verdict != other.verdict) & ~near_threshold(one, other, patch)).sum())
    out.mean = float(np.abs(np.mean(means)))
    return out


def near_threshold(one: SecretFinding, other: SecretFinding, patch: float) -> NDArray[np.bool_]:
    """Where a patch more or less takes a leak over a threshold: nothing to something, or over the eye's least size."""
    shares = np.array([one.sighting.fraction, other.sighting.fraction])
    sizes = np.array([one.size_arcmin, other.size_arcmin])
    most, least = shares.max(axis=0), shares.min(axis=0)
    # Sizes go as the root of the area.
    grown = sizes.max(axis=0) * np.sqrt((most + patch) / np.maximum(most, 1e-300))
    shrunk = sizes.min(axis=0) * np.sqrt(np.maximum(least - patch, 0.0) / np.maximum(least, 1e-300))
    return np.asarray((most <= patch * (1 + 1e-6)) | ((shrunk < LEAST_ARCMIN[1]) & (grown >= LEAST_ARCMIN[0])))


def test_the_scenes_are_worth_it() -> None:
    """Partly covered secrets are common, hidden ones and looks by the mirror occur, or nothing here would say much."""
    partly = hidden = by_mirror = total = 0
    for seed in range(8):
        for secret in found(drawn(seed)).secrets.values():
            share = secret.sighting.fraction
            partly += int(((share > 0.02) & (share < 0.9 * share.max())).sum())
            by_mirror += int((secret.sighting.seen.via >= 0).sum())
            hidden += int((secret.verdict == 0).sum())
            total += len(share)
    assert partly > 0.2 * total
    assert hidden > 0.05 * total
    assert by_mirror > 5


@given(SEEDS, st.floats(-180, 180), *[st.floats(-60, 60)] * 3)
@examples(12)
def test_turned_and_moved(seed: int, turn_deg: float, x: float, y: float, z: float) -> None:
    """The mean within 1e-4 and no eye by more than one patch."""
    plain = drawn(seed)
    got = change(found(plain), found(turned(plain, turn_deg, (x, y, z))))
    assert got.mean <= 1e-4
    assert got.patches <= 1 + 1e-6
    assert got.verdicts == 0


@pytest.mark.parametrize(
    "shape", [box(0.26, 0.15, 0.21), disc(0.09), cylinder(0.05, 0.3), sphere(0.1), box(0.2, 0.2, 0.2)]
)
def test_patches_are_the_same_wherever_a_shape_stands(shape: Mesh) -> None:
    """What the property above found: halves of one triangle have edges as long as each other, and rounding chose."""
    still = patches_of(shape, 0.02, two_sided=False).centres
    for by in ((2.0, 0.0, 0.0), (-31.7, 12.9, 4.1)):
        there = patches_of(Mesh.of(shape.vertices + by, shape.faces), 0.02, two_sided=False).centres
        assert there.shape == still.shape
        assert np.abs(there - by - still).max() < 1e-12


def test_a_cover_left_behind_is_noticed() -> None:
    """The measure can fail: a cover that stays put while all else moves by 20 cm."""
    plain = drawn(4)
    other = turned(plain, 0.0, (0.2, 0.0, 0.0))
    got = change(found(plain), found(replace(other, covers=(plain.covers[0], *other.covers[1:]))))
    assert got.patches > 1


@given(SEEDS, st.booleans())
@examples(8)
def test_mirror_image(seed: int, people: bool) -> None:
    """Round shapes are cut along diagonals that are not mirrored, so that patches differ: within 0.02."""
    plain = drawn(seed, ("seated", "point", "camera") if people else ("point",))
    got = change(found(plain), found(mirrored(plain)))
    assert got.largest <= 0.02
    assert got.verdicts == 0


@given(SEEDS)
@examples(4)
def test_meshes_cut_finer(tmp_path: Path, seed: int) -> None:
    """Every facet of an imported mesh made four: of covers it changes nothing at all, of secrets at most 0.02."""
    plain = drawn(seed, eyes=12)
    plain = replace(plain, covers=(*plain.covers, bowl("bowl", (0.1, -0.4, 1.4), 40.0)), must_see=())
    whole = replace(plain, covers=tuple(map(as_mesh, plain.covers)), secrets=tuple(map(as_mesh, plain.secrets)))
    before = found(whole, tmp_path)
    got = change(before, found(replace(whole, covers=tuple(map(split, whole.covers))), tmp_path))
    assert got.patches <= 1 + 1e-6
    assert got.mean <= 1e-4
    got = change(before, found(replace(whole, secrets=tuple(map(split, whole.secrets))), tmp_path))
    assert got.largest <= 0.02
    assert got.verdicts == 0


def split(piece: Piece) -> Piece:
    if piece.mesh is None:
        return piece
    corners = halved(piece.mesh.corners)
    return replace(piece, mesh=Mesh.of(corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3)))


@contextmanager
def lengths_scaled(by: float) -> Iterator[None]:
    """Within, every length that the check holds fixed is `by` times as long: offsets, and steps along seams."""
    fixed = ("LIFT_M", "FLUSH_M", "SLACK_M", "STEP_M", "MARGIN_M")
    modules = [
        m for name, m in sys.modules.items() if name.startswith("sightline.sight.") and isinstance(m, ModuleType)
    ]
    with pytest.MonkeyPatch.context() as patch:
        for module in modules:
            for name in fixed:
                if hasattr(module, name):
                    patch.setattr(module, name, getattr(module, name) * by)
        yield


@given(SEEDS, st.floats(0.5, 2.0))
@examples(6)
def test_scaled(tmp_path: Path, seed: int, by: float) -> None:
    """Everything so many times as large, spacing and offset as well: within 0.01.

    Shapes stand here as meshes: round ones are cut into facets of about 10 mm whatever their size. A scene file cannot
    scale the offset of rays (0.1 mm) nor the step along seams (5 mm), so that as a user would do it, with `detail` alone,
    a seam may change by a step more. Patches of 10 mm, or twice as large would be coarser than a scene may ask for.
    """
    plain = drawn(seed, eyes=12)
    covers, secrets = tuple(map(as_mesh, plain.covers)), tuple(map(as_mesh, plain.secrets))
    plain = replace(plain, covers=covers, secrets=secrets, must_see=(), detail_m=0.010)
    before = found(plain, tmp_path)
    larger = scaled(plain, by)
    with lengths_scaled(by):
        got = change(before, found(larger, tmp_path))
    assert got.largest <= 0.01
    assert got.verdicts == 0
    got = change(before, found(larger, tmp_path))
    assert got.largest <= 0.02
    assert got.verdicts == 0
