"""Flattening by itself: what rolls out does so exactly, and another program of this kind comes to the same."""

from __future__ import annotations

import importlib.util
import math

import numpy as np
import pytest

from sightline.pattern.arap import Sheet, Springs
from sightline.pattern.conformal import conformal, gradients, laid
from sightline.pattern.plain import elbow
from sightline.pattern.slit import Named, Rim, boundary, slit
from sightline.pattern.strain import strain_of

FREE: Named = ("", "free", "a")


def half_elbow() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The upper arm of a bent limb, opened on its inner side: vertices, faces wound outward, outline."""
    tube = elbow((0.055, 0.048, 0.036), (0.280, 0.260), math.radians(70.0))
    assert tube.elbow is not None
    rings = np.roll(tube.points[: tube.elbow + 1], -48, axis=1)
    rings = np.concatenate([rings, rings[:, :1]], axis=1)
    made = slit((rings.shape[0], rings.shape[1]), [], Rim(FREE, FREE, FREE, FREE, {}), tube.outward)
    return rings.reshape(-1, 3)[made.of], made.faces, made.outline


def test_slopes_are_those_of_the_energy() -> None:
    """First derivatives against finite differences, springs and all."""
    vertices, faces, outline = half_elbow()
    springs = Springs(np.stack([outline[:-1], outline[1:]], axis=1), np.full(len(outline) - 1, 0.005), 3.0)
    sheet = Sheet(vertices, faces, springs)
    flat = conformal(vertices, faces, apart=(0, len(vertices) - 1))
    push, _ = sheet._slopes(flat, exact=True)
    rng = np.random.default_rng(5)
    for _ in range(3):
        way = rng.normal(size=flat.shape)
        step = 1e-8
        rise = (sheet.energy(flat + step * way) - sheet.energy(flat - step * way)) / (2 * step)
        assert float(push @ way.ravel()) == pytest.approx(rise, rel=1e-4)


@pytest.mark.skipif(importlib.util.find_spec("igl") is None, reason="libigl is not installed; pip install libigl")
def test_equals_libigl() -> None:
    """The ARAP of libigl 2.6, on triangles in the plane, from the same start: strain and energy within 0.1 %.

    Its own iterations are slow to end; they are run until their own energy changes no more.
    """
    import igl

    vertices, faces, outline = half_elbow()
    start = conformal(vertices, faces, apart=(int(outline[0]), int(outline[len(outline) // 2])))
    sheet = Sheet(vertices, faces)
    ours = sheet.relaxed(start)
    data = igl.ARAPData()
    data.max_iter = 400
    data.energy = igl.ARAP_ENERGY_TYPE_ELEMENTS
    held = np.zeros(1, dtype=np.int64)
    igl.arap_precomputation(vertices, faces, 2, held, data)
    theirs = start.copy()
    for _ in range(20):
        before = sheet.energy(theirs)
        theirs = np.asarray(igl.arap_solve(start[held], data, theirs))
        if before - sheet.energy(theirs) < 1e-6 * before:
            break
    one, other = (strain_of(vertices, faces, flat, 0.08) for flat in (ours, theirs))
    assert sheet.energy(ours) == pytest.approx(sheet.energy(theirs), rel=1e-3)
    assert one.rms == pytest.approx(other.rms, rel=1e-3)
    assert one.p95 == pytest.approx(other.p95, rel=1e-3)
    assert sheet.energy(ours) < 0.5 * sheet.energy(start)


def test_areas_and_slopes_of_one_triangle() -> None:
    vertices = np.array([[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [0.0, 0.0, 3.0]])
    slope, area = gradients(laid(vertices, np.array([[0, 1, 2]])))
    assert float(area[0]) == pytest.approx(3.0)
    # A function that rises by 1 along the first side.
    rise = slope[0].T @ [0.0, 2.0, 0.0]
    assert rise == pytest.approx([1.0, 0.0])


def test_one_walk_round() -> None:
    """A ring has two edges, and two triangles at a point pass it twice: neither is a piece."""
    assert boundary(np.array([[0, 1, 2], [0, 2, 3]])).tolist() == [0, 1, 2, 3]
    ring = np.array([[0, 1, 4], [0, 4, 3], [1, 2, 5], [1, 5, 4], [2, 0, 3], [2, 3, 5]])
    with pytest.raises(ValueError, match="more than one edge"):
        boundary(ring)
    with pytest.raises(ValueError, match="twice"):
        boundary(np.array([[0, 1, 2], [2, 3, 4]]))
