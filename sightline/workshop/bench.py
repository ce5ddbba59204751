"""What the workshop measures: a scene put together, with the body, prop and arms it was made from at hand."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from sightline.figure.sheet import BodySheet
from sightline.props.falselimb import FalseArm
from sightline.scene.prop import CarriedBox, Opening, Prop
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.staging.body import Body, Carried
from sightline.staging.hidden import HiddenPose
from sightline.staging.stage import Staged, put_together
from sightline.staging.wearing import for_arm
from sightline.workshop.gauge import FINGER_M


@dataclass(frozen=True)
class Bench:
    """One scene on the bench. Everything is in the performer's own frame (+x the performer's left, -y ahead, +z up)."""

    written: Written[Scene]
    staged: Staged

    @property
    def scene(self) -> Scene:
        return self.written.model

    @property
    def body(self) -> Body | None:
        """None where the scene has no performer."""
        return self.staged.act.body

    @property
    def sheet(self) -> BodySheet | None:
        return self.body.sheet if self.body else None

    @property
    def carried(self) -> Carried | None:
        """Outer size and placement of the prop."""
        return self.staged.act.carried

    @property
    def prop(self) -> Prop | None:
        return self.scene.prop

    @property
    def box(self) -> CarriedBox | None:
        return self.scene.prop.box if self.scene.prop else None

    @property
    def false_arms(self) -> list[FalseArm]:
        return self.staged.act.false_arms

    @property
    def hidden(self) -> list[HiddenPose]:
        """The hidden arm in all poses, rest first."""
        return self.staged.act.hidden

    @cached_property
    def arm_opening(self) -> tuple[int, Opening] | None:
        """The opening that the hidden arm goes through, with its place in the list."""
        if self.scene.prop is None:
            return None
        return next(((i, opening) for i, opening in enumerate(self.scene.prop.openings) if for_arm(opening)), None)


def bench_of(written: Written[Scene]) -> Bench:
    """Put a scene on the bench. Raises SightlineError with the place of whatever does not go together."""
    # First, or a hole of 15 mm is told to be in the wrong place only because the arm's middle misses it.
    refuse_narrow(written)
    return Bench(written, put_together(written))


def refuse_narrow(written: Written[Scene]) -> None:
    """Raise FileError for an opening that a hand is to go through and no finger does."""
    for i, opening in enumerate(written.model.prop.openings if written.model.prop else []):
        narrow = min(opening.size_m)
        if (for_arm(opening) or opening.use == "puppet") and narrow < FINGER_M:
            key = "diameter" if opening.shape == "round" else "width" if opening.size_m[0] == narrow else "height"
            sentence = f"This opening is {narrow * 1000:.0f} mm, narrower than a finger ({FINGER_M * 1000:.0f} mm): "
            raise written.problem(("prop", "openings", i, key), sentence + "nothing goes through; make it larger.")
