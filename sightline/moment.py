"""One beat, ready to be looked at: the surfaces that cover, the secrets, the must-sees and the eyes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.eyes import Eye
from sightline.house.lamps import Lamp
from sightline.house.mirrors import Mirror

SecretKind = Literal["limb", "seam", "rig", "inside"]


@dataclass(frozen=True)
class Secret:
    """A surface that must not be seen; for a seam, a `path` (n, 3) on the cover named `on`.

    `covers`: whether it blocks views itself (a hole in a wall does not). `moves`: it stirs while visible.
    """

    name: str
    kind: SecretKind
    mesh: Mesh
    two_sided: bool = False
    covers: bool = True
    moves: bool = False
    contrast: float = 1.0
    path: FloatArray | None = None
    on: str | None = None
    width_m: float = 0.001


@dataclass(frozen=True)
class MustSee:
    """A surface the audience should see. It covers what is behind it, unless it is only a part of another cover."""

    name: str
    mesh: Mesh
    covers: bool = True


@dataclass(frozen=True)
class Pose:
    """Everything that differs from pose to pose: the hidden arm, the puppet, and what they carry along."""

    name: str
    covers: tuple[Cover, ...] = ()
    secrets: tuple[Secret, ...] = ()
    must_see: tuple[MustSee, ...] = ()

    def surfaces(self) -> list[Cover]:
        """Every surface that blocks: covers, secrets that are material, must-sees."""
        return [
            *self.covers,
            *[Cover(s.name, s.mesh) for s in self.secrets if s.covers and len(s.mesh.faces)],
            *[Cover(m.name, m.mesh) for m in self.must_see if m.covers],
        ]


@dataclass(frozen=True)
class Moment:
    """What `still` holds is the same in every pose; `poses` has at least one. `setting` are the covers that stay where
    they are when the performer moves; a mirror is also among them. `apertures` are holes, for the reasons.
    `slits`: gaps between two covers are gone after as well, however narrow."""

    title: str
    still: Pose
    poses: tuple[Pose, ...]
    eyes: tuple[Eye, ...]
    apertures: tuple[Cover, ...] = ()
    setting: tuple[Cover, ...] = ()
    heads_count: bool = False
    detail_m: float = 0.020
    slits: bool = False
    assumptions: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = ()
    plan: PlanOutline = field(default_factory=lambda: PlanOutline())
    mirrors: tuple[Mirror, ...] = ()
    lamps: tuple[Lamp, ...] = ()

    def eye_points(self) -> FloatArray:
        return np.array([eye.position_m for eye in self.eyes], dtype=float).reshape(-1, 3)

    @property
    def focus_m(self) -> FloatArray:
        """The middle of what is secret, or of all covers: where eyes look and where rays are exact."""
        meshes = [s.mesh for s in (*self.still.secrets, *self.poses[0].secrets) if len(s.mesh.faces)]
        meshes = (
            meshes
            or [c.mesh for c in (*self.still.surfaces(), *self.setting)]
            or [Mesh.of([[0.0, 0.0, 1.0]], np.zeros((0, 3)))]
        )
        low = np.min([m.vertices.min(axis=0) for m in meshes], axis=0)
        high = np.max([m.vertices.max(axis=0) for m in meshes], axis=0)
        return np.asarray((low + high) / 2.0)

    def secret_names(self) -> list[str]:
        return _unique([s.name for s in (*self.still.secrets, *[s for p in self.poses for s in p.secrets])])

    def must_see_names(self) -> list[str]:
        return _unique([m.name for m in (*self.still.must_see, *self.poses[0].must_see)])


def _unique(names: Sequence[str]) -> list[str]:
    return list(dict.fromkeys(names))


@dataclass(frozen=True)
class PlanOutline:
    """What a plan drawing needs beside the eyes: venue lines, the mark and the facing (rad)."""

    outlines: tuple[object, ...] = ()
    mark_m: tuple[float, float] | None = None
    facing_rad: float = 0.0
    venue: str = ""
    levels: tuple[str, ...] = ()
