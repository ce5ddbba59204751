"""What cloth does in wearing and what goes wrong in cutting and mounting, as variations of a scene."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sightline.blocking.nudges import Nudge
from sightline.blocking.variation import Variation
from sightline.scene.document import KeyPath
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.staging.stage import Staged
from sightline.units import say_length


def cloth_drawn_back(written: Written[Scene], staged: Staged) -> Iterator[Variation]:
    """All edges of cloth at once: what is worn or hangs covers less by as much as it can be drawn back."""
    back, body = written.model.allowances.cloth, staged.act.body
    nudges: list[Nudge] = []
    for i, piece in enumerate(written.model.costume):
        at: KeyPath = ("costume", i)
        if piece.drape is not None:
            nudges += [Nudge((*at, "drape", "drop"), -back), Nudge((*at, "drape", "width"), -2 * back)]
        if piece.cuff is not None:
            nudges.append(Nudge((*at, "cuff", "length"), -back))
        if piece.sleeve is not None and body is not None:
            share = back / body.sheet.arm_m
            nudges.append(Nudge((*at, "sleeve", "to"), -share, kind="number", base=piece.sleeve.end))
            # A sleeve that starts at the shoulder is sewn to the garment there.
            if piece.sleeve.start > 0:
                nudges.append(Nudge((*at, "sleeve", "from"), share, kind="number", base=piece.sleeve.start))
        if piece.shirt is not None and piece.shirt.slot is not None:
            nudges += [Nudge((*at, "shirt", "slot", key), 2 * back) for key in ("width", "height")]
        # A cape that hangs wide may as well hang closer.
        if piece.shirt is not None and piece.shirt.ease > 2 * back:
            nudges.append(Nudge((*at, "shirt", "ease"), -back, base=piece.shirt.ease))
    if nudges and back:
        said = f"every edge of cloth drawn back {say_length(back)}, and what hangs wide that much closer"
        measure = "Wear it, work the puppet for a minute, and measure how far each edge of cloth has crept"
        yield Variation("cloth", "cloth", said, measure, tuple(nudges))


def build_errors(written: Written[Scene], staged: Staged) -> Iterator[Variation]:
    scene, off = written.model, written.model.allowances.build
    if not off:
        return
    said = say_length(off)
    openings = scene.prop.openings if scene.prop else []
    wide: list[Nudge] = []
    for i, opening in enumerate(openings):
        keys = ("diameter",) if opening.diameter is not None else ("width", "height")
        wide += [Nudge(("prop", "openings", i, key), 2 * off) for key in keys]
    if wide:
        measure = "Measure every opening as cut: its size, and its middle from the wall's edges"
        yield Variation("build", "openings", f"every opening {said} larger all round", measure, tuple(wide))
        for axis, sides in enumerate((("left", "right"), ("up", "down"))):
            for sign, way in zip((1.0, -1.0), sides, strict=True):
                moved = tuple(Nudge(("prop", "openings", i, "at", axis), sign * off) for i in range(len(openings)))
                yield Variation("build", f"openings {axis}", f"every opening {said} too far {way}", measure, moved)
    small = [*_lips_small(scene, off), *_limbs_thin(scene, staged, off), *_covers_small(scene, off)]
    if small:
        measure = "Measure lips, plates and false arm as made, and write what the tape says in the scene"
        yield Variation(
            "build", "small", f"lips, plates and false arm cut {said} small all round", measure, tuple(small)
        )
    hands = [i for i, limb in enumerate(scene.false_limbs) if limb.hand_at is not None]
    for axis, sides in enumerate((("across one way", "across the other"), ("up", "down"))):
        for sign, way in zip((1.0, -1.0), sides, strict=True):
            if hands:
                moved = tuple(Nudge(("false limbs", i, "hand at", "at", axis), sign * off) for i in hands)
                measure = "Measure where the false hand is mounted, from the wall's edges"
                yield Variation("build", f"hand {axis}", f"the false hand mounted {said} off, {way}", measure, moved)
    if scene.covers:
        for axis, name in enumerate(("across", "up or down stage", "in height")):
            for sign in (1.0, -1.0):
                moved = tuple(Nudge(("covers", i, "at", axis), sign * off, row=3) for i in range(len(scene.covers)))
                way = "one way" if sign > 0 else "the other way"
                measure = "Measure where each cover stands, from the centre line and the floor"
                yield Variation("build", f"covers {axis}", f"every cover {said} off {name}, {way}", measure, moved)


def _lips_small(scene: Scene, off: float) -> Iterator[Nudge]:
    for i, piece in enumerate(scene.costume):
        if piece.flap is not None:
            yield Nudge(("costume", i, "flap", "length"), -off)
            yield Nudge(("costume", i, "flap", "width"), -2 * off)


def _limbs_thin(scene: Scene, staged: Staged, off: float) -> Iterator[Nudge]:
    if staged.act.body is None:
        return
    girth_m = staged.act.body.sheet.forearm_girth_m
    for i, limb in enumerate(scene.false_limbs):
        if limb.mesh is None:
            yield Nudge(("false limbs", i, "girth"), -math.tau * off / girth_m, kind="number", base=limb.girth)


def _covers_small(scene: Scene, off: float) -> Iterator[Nudge]:
    for i, cover in enumerate(scene.covers):
        key = cover.shape_key
        if key is not None and key != "mesh":
            for name in type(getattr(cover, key)).model_fields:
                yield Nudge(("covers", i, key, name), -off if name == "radius" else -2 * off)
