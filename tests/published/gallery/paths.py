"""The three ways of looking: exact rays, direction fields first, and no ray library at all."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from unittest.mock import patch

import numpy as np

from sightline.blocking.placing import Placing
from sightline.geometry.frame import unit
from sightline.geometry.mesh import Mesh
from sightline.moment import Moment
from sightline.scene.reading import scene_from_text
from sightline.sight import rays
from sightline.sight.check import Finding, check
from sightline.sight.margins import margins
from sightline.staging.stage import Staged, put_together
from tests.published.gallery.case import Case, Turning
from tests.sight.brute import blocked
from tests.sight.planted import first_met

# Cells a side of the direction fields: enough to settle most of what is hidden, and quick to make.
SIDE = 32
# Everything of the planner that casts rays has the class from one of these.
WHERE = ("rays", "scenery", "looking")


class Doubles:
    """Stands in for the ray library: the same questions, every triangle asked in double precision."""

    def __init__(self, meshes: list[Mesh], centre_m: object = None, short_m: float = rays.LIFT_M):
        self.indices = [i for i, mesh in enumerate(meshes) if len(mesh.faces)]
        self.short_m = short_m
        parts = [meshes[i].corners for i in self.indices]
        self.corners = np.concatenate(parts) if parts else np.zeros((0, 3, 3))
        self.of = np.repeat(self.indices, [len(part) for part in parts]).astype(np.intp)

    def blocked_pairs(self, starts: Any, of_start: Any, ends: Any, of_end: Any) -> Any:
        return blocked(starts[of_start], ends[of_end], self.corners, self.short_m)

    def blocked_here(self, starts: Any, ends: Any) -> Any:
        return blocked(starts, ends, self.corners, self.short_m)

    blocked = blocked_here

    def first(self, starts: Any, ends: Any) -> rays.Hits:
        """For few rays, one by one: who is inside a solid."""
        count = len(starts)
        mesh, facet = (np.full(count, -1, dtype=np.intp) for _ in range(2))
        far, normals = np.full(count, np.inf), np.zeros((count, 3))
        across = np.cross(self.corners[:, 1] - self.corners[:, 0], self.corners[:, 2] - self.corners[:, 0])
        for i, (start, end) in enumerate(zip(starts, ends, strict=True)):
            (distance,), (which,) = first_met(start, unit(end - start)[None], self.corners)
            if distance < np.linalg.norm(end - start):
                mesh[i], facet[i], far[i] = self.of[which], which, distance
                normals[i] = unit(across[which])
        return rays.Hits(mesh, facet, np.zeros((count, 2)), far, normals)


@contextmanager
def without_the_library() -> Iterator[None]:
    with ExitStack() as stack:
        for name in WHERE:
            stack.enter_context(patch(f"sightline.sight.{name}.Blockers", Doubles))
        yield


@dataclass
class Got:
    """What each way says, and whether direction fields served any eye."""

    exact: float
    field: float
    served: bool
    doubles: float


class Looking:
    """A case read from its scene file, ready to be asked in each way."""

    def __init__(self, case: Case):
        self.case = case

    @cached_property
    def staged(self) -> Staged:
        with TemporaryDirectory() as name:
            folder = Path(name)
            for file, text in self.case.files.items():
                (folder / file).write_text(text, encoding="ascii")
            return put_together(scene_from_text("version: 1\n" + self.case.scene, folder=folder))

    @cached_property
    def placing(self) -> Placing:
        return Placing(self.staged, side=SIDE)

    def exact(self) -> float:
        return self._asked(self.staged.moment(), lambda moment: check(moment, brief=True))

    def doubles(self) -> float:
        with without_the_library():
            return self.exact()

    def field(self) -> float:
        mark = self.staged.mark_m, self.staged.facing_rad
        if isinstance(self.case.measure, Turning):
            moment = self.placing.moment(*mark)
            hidden = check(moment, brief=True).hidden()
            (found,) = margins(moment, hidden, self.placing.fields).values()
            return float(found[_place(moment, self.case.measure.eye)])
        return self.case.measure(self.placing.quick(*mark, must_sees=True))

    def served(self) -> bool:
        moment = self.placing.moment(self.staged.mark_m, self.staged.facing_rad)
        return not self.placing.fields.near(moment.eye_points(), 0.0).all()

    def _asked(self, moment: Moment, look: Callable[[Moment], Finding]) -> float:
        measure = self.case.measure
        return _turned(moment, measure, look) if isinstance(measure, Turning) else measure(look(moment))

    def got(self) -> Got:
        return Got(self.exact(), self.field(), self.served(), self.doubles())


def _place(moment: Moment, name: str) -> int:
    return next(i for i, eye in enumerate(moment.eyes) if eye.id == name)


def _turned(moment: Moment, asked: Turning, look: Callable[[Moment], Finding]) -> float:
    """The angle (deg) by which the eye is turned about the secret until it sees it, halved down to a thousandth."""
    eye = moment.eyes[_place(moment, asked.eye)]
    middle = moment.focus_m
    step = np.array(eye.position_m) - middle
    far = float(np.linalg.norm(step))
    way = step / far
    side = np.array(asked.plane) - (np.array(asked.plane) @ way) * way
    side /= np.linalg.norm(side)

    def sees(angle_deg: float) -> bool:
        angle = math.radians(angle_deg)
        x, y, z = (middle + far * (math.cos(angle) * way + math.sin(angle) * side)).tolist()
        (found,) = look(replace(moment, eyes=(replace(eye, position_m=(x, y, z)),))).hidden().values()
        return not bool(found[0])

    if sees(0.0):
        return 0.0
    # By whole steps until it shows, then by halves: what lies further round is no margin.
    high = next((float(step) for step in range(2, 180, 2) if sees(float(step))), 180.0)
    low = high - 2.0
    while high - low > 1e-3 and high < 180.0:
        low, high = (low, (low + high) / 2) if sees((low + high) / 2) else ((low + high) / 2, high)
    return high
