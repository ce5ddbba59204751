"""One act with only the puppet's moves of a beat, and the act with its prop held another way."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from sightline.blocking.beats import HELD_KEYS
from sightline.blocking.placing import Eyes, Placing
from sightline.moment import Moment, Pose
from sightline.scene.blocking import Held
from sightline.scene.prop import Attitude
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, check
from sightline.staging.stage import Mark, Staged, put_together

Moves = frozenset[str] | None
"""Names of the puppet's moves that may happen; None all of them. Rest may always be."""

REST = "rest"


def move_of(pose: str) -> str:
    """The move that a pose is of: poses are named `duck` or `duck, elbow +52 deg`."""
    return pose.rsplit(", elbow ", 1)[0]


def kept_poses(poses: tuple[Pose, ...], moves: Moves) -> tuple[Pose, ...]:
    """The poses of these moves, and of rest; all of them where none has such a name, as in a scene without an arm."""
    if moves is None:
        return poses
    wanted = moves | {REST}
    return tuple(pose for pose in poses if move_of(pose.name) in wanted) or poses


@dataclass
class Posed(Placing):
    """A Placing in which only some moves happen. Where something stays behind, everything is asked by rays alone."""

    moves: Moves = None
    # Whether the arm moves while it is seen, as with all the scene's moves; None leaves that as it was staged.
    stirs: bool | None = None

    @cached_property
    def own(self) -> Moment:
        return self._kept(self.staged.own())

    def moment(self, mark_m: Mark, facing_rad: float, eyes: Eyes = None) -> Moment:
        if self.staged.goes_along:
            return super().moment(mark_m, facing_rad, eyes)
        return self.on_stage(mark_m, facing_rad, eyes)

    def on_stage(self, mark_m: Mark, facing_rad: float, eyes: Eyes = None) -> Moment:
        """The moment in the frame of the stage, put together just as `sightline check` does."""
        moment = self._kept(self.staged.moment(mark_m, facing_rad))
        return moment if eyes is None else replace(moment, eyes=tuple(eyes))

    def quick(self, mark_m: Mark, facing_rad: float, eyes: Eyes = None, must_sees: bool = False) -> Finding:
        if self.staged.goes_along:
            return super().quick(mark_m, facing_rad, eyes, must_sees)
        return self.exact(mark_m, facing_rad, eyes, must_sees)

    def checked(self, mark_m: Mark, facing_rad: float, eyes: Eyes = None, must_sees: bool = False) -> Finding:
        """By rays alone in the frame of the stage: the very computation of `sightline check`."""
        return check(self.on_stage(mark_m, facing_rad, eyes), self.thresholds, must_sees=must_sees)

    def _kept(self, moment: Moment) -> Moment:
        if self.moves is None and self.stirs is None:
            return moment
        poses = kept_poses(moment.poses, self.moves)
        if self.stirs is not None:
            poses = tuple(
                replace(pose, secrets=tuple(replace(secret, moves=self.stirs) for secret in pose.secrets))
                for pose in poses
            )
        return replace(moment, poses=poses)


def attitude(at: Attitude, held: Held) -> Attitude:
    """How the prop is held in a beat: as the scene says, but for what the beats say otherwise."""
    said = {key: value for key in HELD_KEYS if (value := getattr(held, key)) is not None}
    if "up" in said:
        # The beats have worked out height and tilt from the two edges.
        said |= {"front_edge": None, "back_edge": None}
    return at.model_copy(update=said)


def restaged(written: Written[Scene], staged: Staged, held: Held, moves: Moves) -> Staged:
    """The scene put together with its prop held so, for the same audience; as it was where it is held as before.

    Only moves that may happen are built, so that one which is out of reach here but not used here is no error.
    Raises FileError with the place of whatever does not go together.
    """
    prop, puppet = written.model.prop, written.model.puppet
    if prop is None or (at := attitude(prop.at, held)) == prop.at or _same(prop.at, at):
        return staged
    update: dict[str, object] = {"prop": prop.model_copy(update={"at": at})}
    if puppet is not None and puppet.moves is not None and moves is not None:
        kept = {name: move for name, move in puppet.moves.items() if name in moves | {REST}}
        update["puppet"] = puppet.model_copy(update={"moves": kept})
    scene = written.model.model_copy(update=update)
    return put_together(replace(written, model=scene), house=staged.house)


def _same(at: Attitude, other: Attitude) -> bool:
    """A tilt left out is no tilt."""
    return at.model_copy(update={"tilt": at.tilt or 0.0}) == other.model_copy(update={"tilt": other.tilt or 0.0})
