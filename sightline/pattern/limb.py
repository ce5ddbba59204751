"""The pattern of a limb of a scene."""

from __future__ import annotations

from sightline.errors import SightlineError
from sightline.pattern.making import Progress, pattern_of
from sightline.pattern.pattern import Pattern
from sightline.pattern.plan import Choices
from sightline.pattern.scanned import tube_of_mesh
from sightline.pattern.sheetfoam import foam_of
from sightline.pattern.skin import tube_of_arm
from sightline.pattern.tube import Tube
from sightline.workshop.bench import Bench
from sightline.workshop.limbs import BenchLimb, limbs_of


def limb_named(bench: Bench, name: str | None = None) -> BenchLimb:
    """A false arm of the scene by its name; without one, the only one. Raises SightlineError naming those there are."""
    limbs = limbs_of(bench)
    if not limbs:
        legs = " A false leg has no pattern yet." if bench.scene.false_limbs else ""
        raise SightlineError(f"The scene has no false arm to make a pattern of.{legs}")
    names = ", ".join(f"'{limb.name}'" for limb in limbs)
    if name is None:
        if len(limbs) > 1:
            raise SightlineError(f"The scene has several false limbs; name one of {names}.")
        return limbs[0]
    found = next((limb for limb in limbs if limb.name == name), None)
    if found is None:
        raise SightlineError(f"'{name}' is no false limb of the scene; there is {names}.")
    return found


def tube_of(limb: BenchLimb) -> Tube:
    """A limb's skin as a tube. Raises SightlineError for a mesh without landmarks, with a hole, or that crosses itself."""
    if limb.arm is not None:
        return tube_of_arm(limb.arm)
    if limb.pose is None:
        raise SightlineError(
            f"'{limb.name}' is a mesh without landmarks: where its joints are nobody knows. Give landmarks: shoulder, elbow, "
            "wrist, thumb tip, palm and middle tip, each [left, back, up]."
        )
    return tube_of_mesh(limb.name, limb.side, limb.mesh, limb.pose.shoulder, limb.pose.elbow, limb.pose.wrist)


def pattern_for(
    bench: Bench, name: str | None = None, choices: Choices | None = None, *, progress: Progress = lambda _: None
) -> Pattern:
    """The pattern of the false arm of that name, cut of the foam that the scene gives it."""
    limb = limb_named(bench, name)
    progress("skin")
    foam, taken = foam_of(bench.written, limb.index)
    taken = (*oddities(limb), *taken)
    return pattern_of(
        tube_of(limb), foam, choices, title=bench.scene.title or limb.name, assumptions=taken, progress=progress
    )


def oddities(limb: BenchLimb) -> list[str]:
    """What stands out about a limb before anything is cut: lengths far from the real arm's."""
    return limb.arm.notes() if limb.arm is not None else []
