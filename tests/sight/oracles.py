"""Two other libraries as ray casters, each behind the same two lines: what does a set of triangles block?

Open3D (RaycastingScene) and Mitsuba 3 (its LLVM variant, `ray_test`) build scenes of their own from the bare triangles.
Both are handed single precision, as embree is, and both rest on a build of embree inside; what they do not share with
the planner is all that stands round it. Who is right where two of them differ is decided in doubles by `brute.py`.

A library that cannot be imported is a skip with the reason, except where the environment variable SIGHTLINE_ORACLES is
`required`, as in CI: there it is a failure.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any, Protocol

import numpy as np
import pytest

from tests.sight.brute import Bools, Points

# Both cast this much short of the eye: no eye of the scenes is nearer to anything.
SHORT = 1e-6


class Caster(Protocol):
    """Triangles (t, 3, 3) ready to be asked."""

    def blocked(self, starts: Points, ends: Points) -> Bools:
        """Whether anything lies between each start and end, both (n, 3) metres."""


class Open3DCaster:
    def __init__(self, triangles: Points, centre_m: Points):
        import open3d

        self._core, self._centre_m = open3d.core, centre_m
        self._scene: Any = None
        if len(triangles):
            self._scene = open3d.t.geometry.RaycastingScene(nthreads=1)
            corners = (triangles - centre_m).astype(np.float32).reshape(-1, 3)
            faces = np.arange(len(corners), dtype=np.uint32).reshape(-1, 3)
            self._scene.add_triangles(open3d.core.Tensor.from_numpy(corners), open3d.core.Tensor.from_numpy(faces))

    def blocked(self, starts: Points, ends: Points) -> Bools:
        if self._scene is None or not len(starts):
            return np.zeros(len(starts), dtype=bool)
        rays = np.concatenate([starts - self._centre_m, ends - starts], axis=1).astype(np.float32)
        found = self._scene.test_occlusions(self._core.Tensor.from_numpy(rays), tfar=1.0 - SHORT, nthreads=1)
        return np.asarray(found.numpy(), dtype=bool)


class MitsubaCaster:
    def __init__(self, triangles: Points, centre_m: Points):
        import mitsuba

        self._mitsuba, self._centre_m = mitsuba, centre_m
        self._scene: Any = None
        if len(triangles):
            corners = (triangles - centre_m).astype(np.float32)
            mesh = mitsuba.Mesh("covers", vertex_count=3 * len(corners), face_count=len(corners))
            params = mitsuba.traverse(mesh)
            params["vertex_positions"] = corners.ravel()
            params["faces"] = np.arange(3 * len(corners), dtype=np.uint32)
            params.update()
            self._scene = mitsuba.load_dict({"type": "scene", "covers": mesh})

    def blocked(self, starts: Points, ends: Points) -> Bools:
        if self._scene is None or not len(starts):
            return np.zeros(len(starts), dtype=bool)
        library = self._mitsuba
        from_, step = (
            np.ascontiguousarray(part.T, dtype=np.float32) for part in (starts - self._centre_m, ends - starts)
        )
        reach = library.Float(np.full(len(starts), 1.0 - SHORT, dtype=np.float32))
        ray = library.Ray3f(
            o=library.Point3f(*from_), d=library.Vector3f(*step), maxt=reach, time=0.0, wavelengths=library.Color0f()
        )
        return np.asarray(self._scene.ray_test(ray), dtype=bool)


def _open3d() -> Callable[[Points, Points], Caster]:
    import open3d  # noqa: F401

    return Open3DCaster


def _mitsuba() -> Callable[[Points, Points], Caster]:
    import mitsuba

    mitsuba.set_variant("llvm_ad_rgb")
    # The LLVM library itself is only looked for when something is computed.
    mitsuba.Float(1.0) + mitsuba.Float([1.0, 2.0])
    return MitsubaCaster


LIBRARIES: dict[str, tuple[Callable[[], Callable[[Points, Points], Caster]], str]] = {
    "open3d": (_open3d, "pip install open3d-cpu; Debian: libusb-1.0-0, libgomp1, libegl1, libgl1"),
    "mitsuba": (_mitsuba, "pip install mitsuba; Debian: libllvm15"),
}


def library(name: str) -> Callable[[Points, Points], Caster]:
    """What makes a caster of triangles (t, 3, 3) about a centre; a skip, or where it is required a failure."""
    load, needs = LIBRARIES[name]
    try:
        return load()
    except Exception as error:
        reason = f"{name} cannot be used here ({error}); it needs: {needs}"
    if os.environ.get("SIGHTLINE_ORACLES") == "required":
        pytest.fail(f"SIGHTLINE_ORACLES=required, but {reason}")
    pytest.skip(reason)


def those_there() -> dict[str, Callable[[Points, Points], Caster]]:
    """The makers of all libraries that can be used here."""
    out = {}
    for name, (load, _) in LIBRARIES.items():
        try:
            out[name] = load()
        except Exception:
            continue
    return out
