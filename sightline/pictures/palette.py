"""What colour each thing has in a view: from the scene's own words, or by its name; what is round the act is paler."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.geometry.mesh import Cover
from sightline.moment import Moment
from sightline.pictures import style

if TYPE_CHECKING:
    from sightline.scene.scene import Scene

Paint = Callable[[Cover, FloatArray], FloatArray]
"""From a cover and points (n, 3) on it to their colours (n, 3) in 0..1."""

SKIN, HAIR, SHIRT, TROUSERS, PROP, PUPPET = "#cf9f82", "#46342a", "#4a6079", "#3d434d", "#b08a5a", "#93734a"
STRAP, LINING, SHOES = "#33373d", "#54483f", "#2a2724"
# How far walls, masking and floor are bleached towards the backdrop, so that the act stands out before them.
BLEACHED = 0.62


@dataclass(frozen=True)
class Palette:
    """Colours by the exact names of covers; a name that is not there is told by its words (`style.MATERIALS`).

    `paints` lay a pattern over one cover: a face, hair, an owl's eyes. Names in `round_about` are bleached.
    """

    by_name: dict[str, str] = field(default_factory=dict)
    paints: dict[str, Paint] = field(default_factory=dict)
    round_about: frozenset[str] = frozenset()

    def base(self, name: str) -> FloatArray:
        """The plain colour (3,) of a cover."""
        from matplotlib.colors import to_rgb

        said = self.by_name.get(name)
        colour = np.array(to_rgb(said or style.material(name)))
        if name in self.round_about and said is None:
            colour = colour + BLEACHED * (np.array(to_rgb(style.BACKDROP)) * 0.93 - colour)
        return colour

    def colours(self, cover: Cover, points: FloatArray) -> FloatArray:
        """The colours (n, 3) of points (n, 3) on a cover."""
        if cover.name in self.paints:
            return self.paints[cover.name](cover, points)
        return np.tile(self.base(cover.name), (len(points), 1))


def plain_palette(moment: Moment) -> Palette:
    """By names alone."""
    return Palette(round_about=frozenset(cover.name for cover in moment.setting))


def palette_of(scene: Scene, moment: Moment, skeleton: object = None) -> Palette:
    """As the scene says. `skeleton` (of the performer, in the performer's frame) lets the head have face and hair.

    What a performer or a costume has no colour for takes the defaults above.
    """
    from sightline.figure.skeleton import Skeleton
    from sightline.pictures.paint import dressed, head_paint, puppet_paint

    said = scene.colours
    skin, shirt = said.skin or SKIN, said.shirt or SHIRT
    names: dict[str, str] = {}
    if scene.performer is not None:
        names |= {part: skin for part in ("head", "body", "left arm", "right arm", "real left arm", "real right arm")}
        names |= {f"false {side} arm": skin for side in ("left", "right")}
        names |= {"torso": shirt, "legs": said.trousers or TROUSERS}
        names |= {limb.name: skin for limb in scene.false_limbs if limb.name}
    shirts = 0
    for part in scene.costume:
        if part.sleeve is not None:
            names[part.sleeve.name] = said.sleeve or shirt
        elif part.shirt is not None:
            names[part.shirt.name] = shirt if not shirts else said.cloth or style.material(part.shirt.name)
            shirts += 1
        elif part.flap is not None:
            names[part.flap.name] = said.cloth or said.prop or PROP
        elif part.cuff is not None:
            names[part.cuff.name] = said.cloth or LINING
        elif part.drape is not None:
            names[part.drape.name] = said.cloth or style.material("drape")
    if scene.prop is not None:
        names[scene.prop.name] = said.prop or PROP
    if scene.puppet is not None:
        names[scene.puppet.name] = said.puppet or PUPPET
    names |= said.named
    paints: dict[str, Paint] = {}
    if isinstance(skeleton, Skeleton):
        paints["head"] = head_paint(skeleton, moment, names.get("head", skin), said.hair or HAIR)
        paints["legs"] = dressed(names["legs"], SHOES, skeleton.shoe_m + 0.085)
        # A shirt ends above the trunk's foot; what shows below it is trousers.
        paints["torso"] = dressed(names["torso"], names["legs"], float(skeleton.left_hip[2]) + 0.06)
    if scene.puppet is not None and scene.puppet.mesh is None and scene.puppet.form != "ball":
        paints[scene.puppet.name] = puppet_paint(scene.puppet.form, scene.puppet.height, names[scene.puppet.name])
    return Palette(names, paints, frozenset(cover.name for cover in moment.setting))


def known_names(scene: Scene, moment: Moment) -> list[str]:
    """Every cover that `colours: {named: ...}` may name."""
    covers = [*moment.still.surfaces(), *moment.setting, *[c for pose in moment.poses for c in pose.surfaces()]]
    return list(dict.fromkeys(cover.name for cover in covers))
