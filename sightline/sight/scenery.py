"""The blockers of a moment: what goes with the performer, what each pose adds, the setting, and heads; each built once."""

from __future__ import annotations

from functools import cached_property

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.heads import heads_of
from sightline.moment import Moment, Secret
from sightline.sight.prepared import PreparedLine, PreparedSurface, prepare
from sightline.sight.rays import Blockers, Solid
from sightline.sight.shields import Shields


class Scenery:
    """Everything that can block in one moment, centred on what is secret so that rays are exact there.

    `known`: the scenery of another moment with the same act in the same frame (the very same `still` and `poses`);
    what was built for it is used again, so that only the setting and the eyes cost anything.
    """

    def __init__(self, moment: Moment, known: Scenery | None = None):
        self.moment = moment
        same = known is not None and moment.still is known.moment.still and moment.poses is known.moment.poses
        self.centre_m: FloatArray = known.centre_m if same and known else moment.focus_m
        self.still_covers: list[Cover] = known.still_covers if same and known else moment.still.surfaces()
        self.still: Blockers = (
            known.still if same and known else Blockers([c.mesh for c in self.still_covers], self.centre_m)
        )
        self._poses: dict[int, tuple[list[Cover], Blockers]] = known._poses if same and known else {}
        self._solids: dict[int, tuple[Mesh, Solid | None]] = known._solids if same and known else {}
        self._prepared: dict[tuple[int, int], PreparedSurface | PreparedLine] = {}
        self._known = known if same else None
        self.setting = Blockers([c.mesh for c in moment.setting], self.centre_m)

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

    def prepared(self, secret: Secret, pose: int) -> PreparedSurface | PreparedLine:
        """The secret cut up as it is in a pose, as it serves for all moments of the act."""
        if self._known is not None:
            return self._known.prepared(secret, pose)
        key = (id(secret), pose)
        if key not in self._prepared:
            self._prepared[key] = prepare(secret, self, pose)
        return self._prepared[key]

    def burying(self, secret: Secret, pose: int) -> list[Cover]:
        """What may hold a part of a secret within it for good: what stays where it is as long as the secret does.

        A secret that is the same in every pose is not buried in what only one of them has there.
        """
        stays = any(secret is other for other in self.moment.still.secrets)
        covers = [*self.still_covers, *self.moment.setting, *([] if stays else self.pose(pose)[0])]
        return [cover for cover in covers if cover.name != secret.name]

    def members(self, index: int) -> list[list[Cover]]:
        """The covers of one pose, in the groups in which `surfaces` has them."""
        return [self.still_covers, list(self.moment.setting), self.pose(index)[0]]

    def covers(self, index: int) -> list[Cover]:
        """All surfaces of one pose, the still ones first."""
        return [cover for group in self.members(index) for cover in group]

    def surfaces(self, index: int) -> list[Blockers]:
        """All that blocks in one pose, heads left out."""
        return [self.still, self.setting, self.pose(index)[1]]

    @property
    def before_poses(self) -> list[Blockers]:
        """All that blocks a secret in every pose: heads only where the scene says that they count."""
        always = [self.still, self.setting]
        return [*always, self.heads] if self.moment.heads_count else always

    @cached_property
    def shields(self) -> Shields:
        """The large flat faces among what stands still."""
        if self._known is not None:
            return self._known.shields
        return Shields([c.mesh for c in (*self.still_covers, *self.moment.setting)], self.centre_m)

    def solid(self, mesh: Mesh) -> Solid | None:
        """The mesh ready to be asked what is inside it; None when it encloses nothing."""
        key = id(mesh)
        if key not in self._solids:
            self._solids[key] = (mesh, Solid(mesh, self.centre_m) if mesh.closed else None)
        return self._solids[key][1]
