"""The blockers of a moment: what stands still, what each pose adds, and heads, each built once."""

from __future__ import annotations

from functools import cached_property

from sightline.geometry.mesh import Cover, Mesh
from sightline.house.heads import heads_of
from sightline.moment import Moment
from sightline.sight.rays import Blockers, Solid
from sightline.sight.shields import Shields


class Scenery:
    """Everything that can block in one moment, centred on what is secret so that rays are exact there."""

    def __init__(self, moment: Moment):
        self.moment = moment
        self.centre_m = moment.focus_m
        self.still_covers = moment.still.surfaces()
        self.still = Blockers([c.mesh for c in self.still_covers], self.centre_m)
        self._poses: dict[int, tuple[list[Cover], Blockers]] = {}
        self._solids: dict[int, tuple[Mesh, Solid | None]] = {}

    @cached_property
    def heads(self) -> Blockers:
        """The heads of all people in the audience; rays stop short of the one that looks."""
        return Blockers(heads_of(self.moment.eyes), self.centre_m, short_m=0.30)

    def pose(self, index: int) -> tuple[list[Cover], Blockers]:
        """What one pose adds: its surfaces and their blockers."""
        if index not in self._poses:
            covers = self.moment.poses[index].surfaces()
            self._poses[index] = (covers, Blockers([c.mesh for c in covers], self.centre_m))
        return self._poses[index]

    def covers(self, index: int) -> list[Cover]:
        """All surfaces of one pose, the still ones first."""
        return [*self.still_covers, *self.pose(index)[0]]

    def surfaces(self, index: int) -> list[Blockers]:
        """All that blocks in one pose, heads left out."""
        return [self.still, self.pose(index)[1]]

    @property
    def before_poses(self) -> list[Blockers]:
        """All that blocks a secret in every pose: heads only where the scene says that they count."""
        return [self.still, self.heads] if self.moment.heads_count else [self.still]

    @cached_property
    def shields(self) -> Shields:
        """The large flat faces among what stands still."""
        return Shields([c.mesh for c in self.still_covers], self.centre_m)

    def solid(self, mesh: Mesh) -> Solid | None:
        """The mesh ready to be asked what is inside it; None when it encloses nothing."""
        key = id(mesh)
        if key not in self._solids:
            self._solids[key] = (mesh, Solid(mesh, self.centre_m) if mesh.closed else None)
        return self._solids[key][1]
