"""Our rays against another library's, on the triangles, patches and eyes of the example scenes.

Open3D's RaycastingScene is asked about the same 200,000 pairs of eye and patch of each scene; at most 1 in 10,000 may
be answered otherwise. Grazing rays differ by rounding.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from sightline.scene.reading import read_scene
from sightline.sight.leak import Pairs, origins, unblocked
from sightline.sight.patches import Patches, patches_of
from sightline.sight.prepared import PreparedSurface, prepare
from sightline.sight.rays import LIFT_M, Blockers
from sightline.sight.scenery import Scenery
from sightline.sight.shields import Clusters
from sightline.staging import stage
from tests.conftest import REPOSITORY

PAIRS = 200_000
MOST_UNLIKE = PAIRS // 10_000
SCENES = sorted((REPOSITORY / "examples").glob("*.yaml"))
Bools = NDArray[np.bool_]


@dataclass
class Asked:
    """Pairs of one secret: our patches and pairs, where the rays start and end, and what Open3D says of them."""

    patches: Patches
    pairs: Pairs
    blocked: Bools


@dataclass
class Oracle:
    scenery: Scenery
    asked: list[Asked]
    scene: Any
    eyes: NDArray[np.float64]


def blocked_in(scene: Any, starts: NDArray[np.float64], ends: NDArray[np.float64]) -> Bools:
    """Whether Open3D finds anything between each start and just short of its end."""
    import open3d

    step = ends - starts
    # A ray from 0 to 1 along the whole way but for what ours leave out before the eye.
    step *= 1 - LIFT_M / np.linalg.norm(step, axis=1, keepdims=True)
    rays = open3d.core.Tensor.from_numpy(np.column_stack([starts, step]).astype(np.float32))
    return np.asarray(scene.test_occlusions(rays, tfar=1.0, nthreads=2).numpy(), dtype=bool)


@pytest.fixture(scope="module", params=SCENES, ids=lambda path: path.stem)
def oracle(request: pytest.FixtureRequest) -> Oracle:
    try:
        import open3d
    except Exception as error:
        pytest.skip(f"open3d cannot be imported here ({error}); it needs libusb-1.0-0, libgomp1, libegl1 and libgl1")
    path: Path = request.param
    moment = stage(read_scene(path))
    scenery = Scenery(moment)
    scene = open3d.t.geometry.RaycastingScene(nthreads=2)
    for cover in scenery.covers(0):
        # Recentred like ours: single precision in both.
        vertices = (cover.mesh.vertices - scenery.centre_m).astype(np.float32)
        scene.add_triangles(
            open3d.core.Tensor.from_numpy(vertices), open3d.core.Tensor.from_numpy(cover.mesh.faces.astype(np.uint32))
        )
    surfaces = []
    for secret in (*moment.still.secrets, *moment.poses[0].secrets):
        ready = prepare(secret, scenery, 0)
        if isinstance(ready, PreparedSurface) and ready.patches.count:
            surfaces.append(ready.patches)
    # Must-sees too: in a scene that hides well no secret is seen at all.
    must_see = [m.mesh for m in (*moment.still.must_see, *moment.poses[0].must_see)]
    surfaces += [patches_of(mesh, moment.detail_m, two_sided=not mesh.closed) for mesh in must_see]
    chance = np.random.default_rng(20)
    eyes = moment.eye_points()
    asked = []
    for patches in surfaces:
        pairs = some_facing(patches, eyes, -(-PAIRS // len(surfaces)), chance)
        starts = origins(patches, pairs) - scenery.centre_m
        asked.append(Asked(patches, pairs, blocked_in(scene, starts, eyes[pairs.rows] - scenery.centre_m)))
    return Oracle(scenery, asked, scene, eyes)


def some_facing(patches: Patches, eyes: NDArray[np.float64], count: int, chance: np.random.Generator) -> Pairs:
    """`count` pairs, drawn with repetition, in which the patch turns to the eye."""
    rows, columns = chance.integers(len(eyes), size=count * 8), chance.integers(patches.count, size=count * 8)
    heights = np.einsum("ij,ij->i", eyes[rows] - patches.centres[columns], patches.normals[columns])
    keep = np.flatnonzero(heights != 0 if patches.two_sided else heights > 0)[:count]
    assert len(keep) == count
    return Pairs(rows[keep], columns[keep], np.sign(heights[keep]) if patches.two_sided else None)


def ours(oracle: Oracle, asked: Asked) -> Bools:
    """Which pairs our own rays find blocked, through the same call as the check."""
    tagged = np.arange(len(asked.pairs.rows))
    side = asked.pairs.side
    blocked = np.ones(len(tagged), dtype=bool)
    for at in range(0, len(tagged), 50_000):
        part = slice(at, at + 50_000)
        # `rows` names the ray's own end here, so that each pair can be told from its repetitions.
        ends = oracle.eyes[asked.pairs.rows[part]]
        pairs = Pairs(np.arange(len(ends)), asked.pairs.columns[part], None if side is None else side[part])
        left = unblocked(asked.patches, pairs, oracle.scenery.surfaces(0), ends)
        blocked[at + left.rows] = False
    return blocked


def test_rays_agree(oracle: Oracle) -> None:
    unlike = total = hidden = 0
    for asked in oracle.asked:
        mine = ours(oracle, asked)
        unlike += int((mine != asked.blocked).sum())
        hidden += int(mine.sum())
        total += len(mine)
    assert total >= PAIRS
    # Both answers must be common, or agreement would say little.
    assert 0.05 * total < hidden < 0.95 * total
    assert unlike <= MOST_UNLIKE, f"{unlike} of {total} pairs"


def test_what_is_ruled_out_without_a_ray_is_blocked(oracle: Oracle) -> None:
    """The proof by large flat faces (sight/shields.py) never hides what a ray would reach."""
    clusters = Clusters.over(oracle.eyes[None])
    unlike = proved = 0
    for asked in oracle.asked:
        out = oracle.scenery.shields.hide_patches(asked.patches, clusters)
        ruled = out[clusters.of[asked.pairs.rows], asked.pairs.columns]
        proved += int(ruled.sum())
        unlike += int((ruled & ~asked.blocked).sum())
    assert proved > 0
    assert unlike == 0


def test_a_missing_cover_would_be_noticed(oracle: Oracle) -> None:
    """The comparison can fail: with every other cover left out the answers differ widely."""
    fewer = Blockers([c.mesh for c in oracle.scenery.covers(0)[::2]], oracle.scenery.centre_m)
    unlike = 0
    for asked in oracle.asked:
        mine = fewer.blocked(origins(asked.patches, asked.pairs), oracle.eyes[asked.pairs.rows])
        unlike += int((mine != asked.blocked).sum())
    assert unlike > 100 * MOST_UNLIKE
