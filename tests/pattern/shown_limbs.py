"""Limbs for the tests of seams by sight: plain cylinders looked at by hand-made eyes, and scenes of a bent false arm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sightline.figure.loft import tube as lofted
from sightline.geometry.mesh import Cover, Mesh
from sightline.house.eyes import Eye
from sightline.moment import Moment, Pose
from sightline.pattern.looks import Look, Looks
from sightline.pattern.onskin import TubeSkin
from sightline.pattern.tube import Tube
from sightline.scene.reading import Written, scene_from_text
from sightline.scene.scene import Scene
from sightline.sight.looking import head_positions
from sightline.sight.scenery import Scenery
from tests.workshop.limbscenes import EYES, act

LIMB = "false left arm"


def closed(tube: Tube) -> Mesh:
    """The tube's skin with both ends closed by fans."""
    return lofted(tube.points)


def looks_at(
    tube: Tube, eyes: Sequence[Sequence[float]], weight: Sequence[float], covers: Sequence[Mesh] = ()
) -> Looks:
    """One look at a tube that stands alone but for `covers`."""
    mesh = closed(tube)
    people = tuple(
        Eye(f"E{i}", "point", (float(x), float(y), float(z)), weight=w)
        for i, ((x, y, z), w) in enumerate(zip(eyes, weight, strict=True))
    )
    around = [Cover(f"cover {i}", cover) for i, cover in enumerate(covers)]
    moment = Moment("plain", Pose("still", (Cover("tube", mesh), *around)), (Pose("as placed"),), people)
    look = Look(Scenery(moment), head_positions(moment, True), np.array(weight, dtype=float), 1.0, TubeSkin(tube), mesh)
    return Looks("tube", (look,), False, ())


def row_of(y_m: float, n: int = 9) -> str:
    """A row of eyes across the stage, every other one for two people."""
    places = np.linspace(-3.0, 3.0, n)
    return "eyes:\n" + "".join(
        f"  - {{id: E{i}, at: [{x:.2f} m, {y_m} m, 1.5 m], weight: {1 + i % 2}}}\n" for i, x in enumerate(places)
    )


def arm_scene(eyes: str, elbow: str = "40 deg", more: str = "") -> str:
    """A false left arm with the two seams that a maker gives it without looking who sees them."""
    seams = "[{name: inner seam, side: inner}, {name: outer seam, side: outer}]"
    return act(f"hand at: {{wall: left, at: [0 cm, 0 cm]}}, elbow: {elbow}, seams: {seams}", more=more).replace(
        EYES, eyes
    )


def arm_seen(y_m: float, elbow: str = "40 deg") -> Written[Scene]:
    return scene_from_text(arm_scene(row_of(y_m), elbow))
