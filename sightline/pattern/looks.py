"""Everything the audience is shown of a limb: the moments to look at it, for how long each, and what the skin is then."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING

import numpy as np

from sightline.blocking.placing import weights
from sightline.blocking.stager import Stager, stager_of, staging_key
from sightline.blocking.timeline import Scheme, frame_times, scheme_at, spans_s
from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray, Placement
from sightline.geometry.mesh import Mesh
from sightline.pattern.onskin import ArmSkin, Skin, TubeSkin
from sightline.props.falselimb import limb_name
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.check import Thresholds
from sightline.sight.looking import head_positions
from sightline.sight.scenery import Scenery
from sightline.staging.audience import audience
from sightline.staging.places import kept
from sightline.staging.stage import Staged, placement

if TYPE_CHECKING:
    from sightline.pattern.tube import Tube

# Frames a second on the way from beat to beat; halved until there are not more looks than MOST_LOOKS.
FPS = 0.5
MOST_LOOKS = 24
NOBODY = (
    "Seams cannot be placed where nobody looks, because nobody is watching: the scene has no eyes. "
    "Give a venue or eyes, or let the seams lie flat."
)


@dataclass(frozen=True, eq=False)
class Look:
    """One moment in which the limb is looked at, `span` long (seconds, or 1 where no time passes).

    `places` (h, e, 3) are the positions of the heads and `weight` (e,) the people each eye stands for. `skin` is in
    the performer's frame; `place` brings it to the moment's, None where that is the same. `surface` is the cover.
    """

    scenery: Scenery
    places: FloatArray
    weight: FloatArray
    span: float
    skin: Skin
    surface: Mesh
    place: Placement | None = None

    def points(self, share: FloatArray, around_rad: FloatArray) -> FloatArray:
        return self._put(self.skin.points(share, around_rad))

    def path(self, turns: FloatArray) -> FloatArray:
        return self._put(self.skin.path(turns))

    def _put(self, points: FloatArray) -> FloatArray:
        return points if self.place is None else self.place.points(points)


@dataclass(frozen=True, eq=False)
class Looks:
    """All looks at one limb. `timed`: beats say for how long each lasts; without, every eye counts by its weight."""

    limb: str
    looks: tuple[Look, ...]
    timed: bool
    said: tuple[str, ...]

    @property
    def total(self) -> float:
        """Eye-seconds of all looks, or the weight of all eyes where no time passes."""
        return float(sum(look.span * look.weight.sum() for look in self.looks))

    @property
    def skin(self) -> Skin:
        return self.looks[0].skin


def limb_index(written: Written[Scene], name: str) -> int:
    """Which of the scene's false limbs is called so. Raises SightlineError with the nearest names."""
    names = [limb_name(limb) for limb in written.model.false_limbs]
    if name in names:
        return names.index(name)
    if not names:
        raise SightlineError(f"There is no limb '{name}': the scene has no false limbs.")
    near = get_close_matches(name, names, n=2)
    hint = f"did you mean {' or '.join(repr(n) for n in near)}?" if near else f"it has {', '.join(map(repr, names))}."
    raise SightlineError(f"There is no false limb '{name}' in the scene; {hint}")


def looks_of(written: Written[Scene], limb: str, tube: Tube | None = None) -> Looks:
    """Every moment in which a limb is looked at: all beats and the ways between them, or the scene's one mark.

    `tube`: the skin of an imported limb, which the scene knows as a mesh only. Raises SightlineError for a limb that is
    not there, one without a skin to draw on, and where nobody is watching.
    """
    index = limb_index(written, limb)
    imported = written.model.false_limbs[index].mesh is not None
    if imported and tube is None:
        raise written.problem(("false limbs", index, "mesh"), "The skin of an imported limb must be measured first.")
    eyes = kept(written, audience(written)).eyes
    if not eyes:
        raise written.problem(("venue",) if written.model.venue else ("eyes",), NOBODY)
    noticing = written.model.noticing
    thresholds = Thresholds(noticing.spot_arcmin, noticing.line_arcsec, noticing.sway)
    stager, company, _ = stager_of(written, thresholds, ways=False)
    fps = FPS
    while len(schemes := _schemes(written, stager, fps)) > MOST_LOOKS and fps > FPS / 64:
        fps /= 2
    counts = Counter(staging_key(scheme) for scheme in schemes)
    stager.keep = frozenset(key for key, count in counts.items() if count > 1)
    found = []
    for scheme, (span, at_s) in schemes.items():
        posed = stager.posed(scheme, at_s)
        moment = posed.moment(scheme.mark_m, scheme.facing_rad, company.at(scheme.mark_m, scheme.facing_rad))
        staged = posed.staged
        found.append(
            Look(
                Scenery(moment, posed.scenery), head_positions(moment, noticing.sway), weights(moment.eyes), span,
                TubeSkin(tube) if imported and tube is not None else _arm_skin(staged, limb),
                next(c.mesh for c in moment.still.covers if c.name == limb),
                None if staged.goes_along else placement(scheme.mark_m, scheme.facing_rad),
            )
        )  # fmt: skip
    timed = len(stager.steps) > 1 or stager.steps[0].hold_s > 0
    return Looks(limb, tuple(found), timed, _said(timed, fps, len(found)))


def _schemes(written: Written[Scene], stager: Stager, fps: float) -> dict[Scheme, tuple[float, float]]:
    """What is so over time: how long each scheme lasts, and a second at which it is so."""
    steps = stager.steps
    times = frame_times(steps, fps)
    spans = spans_s(times) if len(times) > 1 else np.ones(1)
    out: dict[Scheme, tuple[float, float]] = {}
    for t, span in zip(times.tolist(), spans.tolist(), strict=True):
        scheme = scheme_at(steps, t, written.model.blocking.ease, stager.moves)
        before, first = out.get(scheme, (0.0, t))
        out[scheme] = (before + span, first)
    return out


def _arm_skin(staged: Staged, limb: str) -> Skin:
    return ArmSkin(next(arm for arm in staged.act.false_arms if arm.name == limb))


def _said(timed: bool, fps: float, count: int) -> tuple[str, ...]:
    if not timed:
        return (
            "The scene has no beats, so no time passes: seams are weighed by the people who see them, not by eye-seconds.",
        )
    every = f"every {1 / fps:g} s" if fps < 1 else "every second"
    return (
        f"Seams are weighed by eye-seconds over all beats; ways between them are looked at {every}, {count} looks.",
    )
