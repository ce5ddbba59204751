"""Whether what is hidden stays so when the act is a little off: the check asked again under every allowance.

An eye's secret is called hidden only if it stays hidden under each allowance alone, and under all of them at once in a
few seeded draws. Changed acts are looked at by exact rays; strays of the act as planned by direction fields, and the
farthest of them by rays again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from sightline.blocking.allowances import allowed_words, untried, variations
from sightline.blocking.nudges import Nudge, nudged
from sightline.blocking.placing import Placing, weights
from sightline.blocking.variation import ALLOWANCES, Variation
from sightline.errors import SightlineError
from sightline.geometry.frame import FloatArray, unit
from sightline.geometry.mesh import Mesh
from sightline.house.build import House
from sightline.house.eyes import Eye
from sightline.house.lamps import Lamp
from sightline.moment import Moment
from sightline.scene.reading import Written, retold
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, Thresholds, VerdictArray, check
from sightline.sight.fieldcache import FieldCache
from sightline.sight.looking import Tick
from sightline.sight.noticing import HEAD_REACH_M
from sightline.staging.stage import Staged, put_together

# How often all allowances are drawn at once, and the draws' seed.
DRAWS, SEED = 12, 1
BY_CHANCE = frozenset({"stray", "body"})
# What cannot be (out of reach, past its opening) is tried again half and a quarter as far.
SHARES = (1.0, 0.5, 0.25)

Stage = Callable[[Written[Scene], House | None], Staged]


@dataclass(frozen=True)
class Tried:
    """One variation over all eyes (e,): the worst verdict and its size, the secret by name; `share` of the whole tried.

    `weight` is that of the people who could not see anything before and can now.
    """

    variation: Variation
    share: float
    verdict: VerdictArray
    size_arcmin: FloatArray
    secret: tuple[str | None, ...]
    weight: float


@dataclass(frozen=True)
class Robust:
    """What was tried, in the order of ALLOWANCES. `planned` (e,) are the verdicts with nothing off."""

    eyes: tuple[Eye, ...]
    planned: VerdictArray
    tried: tuple[Tried, ...]
    not_tried: tuple[str, ...]
    allowed: dict[str, str]

    @property
    def verdict(self) -> VerdictArray:
        """Per eye (e,) the worst that was found of all secrets, with nothing or anything off."""
        return np.max([self.planned, *[tried.verdict for tried in self.tried]], axis=0)

    def first_leak(self, eye: int) -> Tried | None:
        """What first makes an eye's verdict worse than planned."""
        return next((tried for tried in self.tried if tried.verdict[eye] > self.planned[eye]), None)

    def first_seen(self) -> Tried | None:
        """What first lets anybody see a secret who could not before."""
        return next((tried for tried in self.tried if tried.weight > 0), None)

    def of(self, allowance: str) -> list[Tried]:
        return [tried for tried in self.tried if tried.variation.allowance == allowance]

    def newly_seen(self, allowance: str) -> NDArray[np.bool_]:
        """Which eyes (e,) see a secret under an allowance and not without it."""
        worst = np.max([self.planned, *[tried.verdict for tried in self.of(allowance)]], axis=0)
        return (worst == 2) & (self.planned < 2)

    @property
    def measure_next(self) -> Tried | None:
        """The single thing whose being off uncovers most people: what to measure next."""
        alone = [tried for tried in self.tried if tried.variation.allowance != "together" and tried.weight > 0]
        return max(alone, key=lambda tried: tried.weight, default=None)


@dataclass
class _Trying:
    written: Written[Scene]
    staged: Staged
    thresholds: Thresholds
    asked: NDArray[np.intp]
    planned: VerdictArray
    not_tried: list[str] = field(default_factory=list)
    stage: Stage = put_together

    def __post_init__(self) -> None:
        self.placing = Placing(self.staged, self.thresholds, FieldCache())
        self.weights = weights(self.staged.house.eyes)

    def attempt(self, variation: Variation, sure: bool = False) -> Tried | None:
        """The variation as far as it can be; what cannot be at all goes to `not_tried`."""
        why = ""
        for share in SHARES:
            try:
                found, asked = self._look(variation, share, sure)
            except SightlineError as error:
                why = why or error.sentence
                continue
            if share < 1.0:
                self._tell(variation, f"Only {share:.0%} of '{variation.words}' was tried; all of it cannot be: {why}")
            return self._tried(variation, share, found, asked)
        self._tell(variation, f"'{variation.words}' cannot be, and was not tried: {why}")
        return None

    def _tell(self, variation: Variation, sentence: str) -> None:
        """Note what could not be tried; of draws, which are alike, the first stands for all."""
        if variation.allowance != "together":
            self.not_tried.append(sentence)
        elif not any("off at once" in said for said in self.not_tried):
            self.not_tried.append(f"{sentence} (Of other draws perhaps as little.)")

    def _look(self, variation: Variation, share: float, sure: bool) -> tuple[Finding | None, NDArray[np.intp]]:
        dx, dy, turn = (share * part for part in variation.stray)
        mark = (self.staged.mark_m[0] + dx, self.staged.mark_m[1] + dy)
        facing = self.staged.facing_rad + turn
        if not variation.nudges and not variation.bare:
            eyes = tuple(self.staged.house.eyes[i] for i in self.asked)
            look = self.placing.exact if sure else self.placing.quick
            return look(mark, facing, eyes), self.asked
        staged = self.staged
        if variation.nudges:
            changed = retold(self.written, nudged(self.written.document.tree, variation.nudges, share))
            staged = self.stage(changed, self._house(variation))
            if [eye.id for eye in staged.house.eyes] != [eye.id for eye in self.staged.house.eyes]:
                raise SightlineError("other people would be there, who cannot be compared one by one.")
            # A stray is from the mark and the facing of the changed scene: a range may be of those.
            mark = (staged.mark_m[0] + dx, staged.mark_m[1] + dy)
            facing = staged.facing_rad + turn
        asked, whole = self.asked, staged.moment(mark, facing)
        finding = None
        if variation.nudges or any(variation.stray):
            finding = self._check(whole, asked)
        if variation.bare:
            lit = backlit(whole, variation.bare, asked)
            if finding is None:
                return (self._check(_without(whole, variation.bare), lit) if len(lit) else None), lit
            if len(lit):
                finding = _worse(
                    finding, self._check(_without(whole, variation.bare), lit), np.searchsorted(asked, lit)
                )
        return finding, asked

    def _house(self, variation: Variation) -> House | None:
        """The audience as it is, unless what is off moves it; None: it is made anew."""
        moved = any(nudge.path[0] in ("venue", "eyes", "blocking") for nudge in variation.nudges)
        return None if moved else self.staged.house

    def _check(self, moment: Moment, asked: NDArray[np.intp]) -> Finding:
        some = replace(moment, eyes=tuple(moment.eyes[i] for i in asked))
        return check(some, self.thresholds, must_sees=False, brief=not moment.slits)

    def _tried(self, variation: Variation, share: float, found: Finding | None, asked: NDArray[np.intp]) -> Tried:
        eyes = len(self.planned)
        verdict, size = np.zeros(eyes, dtype=np.int8), np.zeros(eyes)
        secret: list[str | None] = [None] * eyes
        for name, one in found.secrets.items() if found else ():
            worse = (one.verdict > verdict[asked]) | ((one.verdict == verdict[asked]) & (one.size_arcmin > size[asked]))
            worse &= one.verdict > 0
            at = asked[worse]
            verdict[at], size[at] = one.verdict[worse], one.size_arcmin[worse]
            for i in at:
                secret[i] = name
        new = (verdict == 2) & (self.planned < 2)
        return Tried(variation, share, verdict, size, tuple(secret), float(self.weights[new].sum()))


def robust(
    written: Written[Scene],
    staged: Staged,
    planned: Finding,
    thresholds: Thresholds,
    tick: Tick | None = None,
    stage: Stage = put_together,
) -> Robust:
    """Ask the check again under every allowance of the scene, of the eyes that see nothing as planned.

    `planned` is the check of `staged` on its own mark, `stage` how a changed scene is put together with the same house.
    What cannot be (a hand out of reach) is tried half and a quarter as far, and told."""
    verdict = planned.worst_verdict()
    asked = np.flatnonzero(verdict < 2)
    trying = _Trying(written, staged, thresholds, asked, verdict, untried(written, staged), stage)
    found = variations(written, staged) if len(asked) else []
    draws = _together(found)
    tried: list[Tried] = []
    for n, variation in enumerate([*found, *draws]):
        # Turned and off the mark at once is the farthest that a stray goes: rays alone have the last word on it.
        far = variation.allowance == "stray" and bool(variation.stray[2]) and any(variation.stray[:2])
        one = trying.attempt(variation, sure=far)
        if one is not None:
            tried.append(one)
        if tick:
            tick(n + 1, len(found) + len(draws))
    order = list(ALLOWANCES)
    tried.sort(key=lambda one: order.index(one.variation.allowance))
    return Robust(
        tuple(staged.house.eyes), verdict, tuple(tried), tuple(dict.fromkeys(trying.not_tried)), allowed_words(written)
    )


def _together(found: Sequence[Variation]) -> list[Variation]:
    """Seeded draws of everything at once: of each axis one of its variations, ranges set before anything is put off.

    Strays and body sizes are drawn as normal, what is stated being two standard deviations; all else is off by all of it.
    """
    axes: dict[tuple[str, str], list[Variation]] = {}
    for variation in found:
        axes.setdefault((variation.allowance, variation.axis), []).append(variation)
    if len(axes) < 2:
        return []
    rng = np.random.default_rng(SEED)
    out = []
    for draw in range(DRAWS):
        chosen = [choices[int(rng.integers(len(choices)))] for choices in axes.values()]
        # Half of a normal draw is one standard deviation where what is stated is two; never more than is stated.
        sizes = np.clip(np.abs(rng.standard_normal(len(chosen))) / 2, 0.0, 1.0).tolist()
        nudges: list[Nudge] = []
        stray = np.zeros(3)
        for one, size in zip(chosen, sizes, strict=True):
            part = size if one.allowance in BY_CHANCE else 1.0
            nudges += [replace(nudge, by=part * nudge.by) for nudge in one.nudges]
            stray += part * np.array(one.stray)
        nudges.sort(key=lambda nudge: nudge.to is None)
        x, y, turn = stray.tolist()
        bare = frozenset(name for one in chosen for name in one.bare)
        words = f"everything off at once, draw {draw + 1} of {DRAWS}"
        out.append(Variation("together", "together", words, "", tuple(nudges), (x, y, turn), bare))
    return out


def backlit(moment: Moment, names: frozenset[str], asked: NDArray[np.intp]) -> NDArray[np.intp]:
    """Those of the asked eyes for whom some lamp stands behind some of the named covers.

    Behind: they are on two sides of the plane of any of the cover's faces, or either is so near to that plane that a head
    or a lamp may be across it; and some of the lamp's beam may reach the ball round the cover's bounds. So a flat cloth
    lets light through only from its other side, and one that is curved also where some part of it comes between. What
    else is in the light's way is not asked: doubt counts as seen.
    """
    points = moment.eye_points()[asked]
    lit = np.zeros(len(asked), dtype=bool)
    for cover in (*moment.still.covers, *moment.setting):
        if cover.name not in names:
            continue
        faces = cover.mesh.areas > 0
        normals, corners = unit(cover.mesh.area_normals[faces]), cover.mesh.corners[faces, 0]
        for lamp in moment.lamps:
            if not _may_light(lamp, cover.mesh):
                continue
            lamp_m = np.einsum("ij,ij->i", lamp.at_m - corners, normals)
            for i in np.flatnonzero(~lit):
                eye_m = np.einsum("ij,ij->i", points[i] - corners, normals)
                near = np.minimum(np.abs(lamp_m), np.abs(eye_m)) <= HEAD_REACH_M
                lit[i] = bool((near | (lamp_m * eye_m < 0)).any())
    return asked[lit]


def _may_light(lamp: Lamp, mesh: Mesh) -> bool:
    """Whether a lamp's beam meets the ball round a mesh's bounds, whatever is in between."""
    if lamp.aim is None or lamp.half_beam_rad is None:
        return True
    low, high = mesh.bounds
    step = (low + high) / 2 - np.array(lamp.at_m)
    far, radius = float(np.linalg.norm(step)), float(np.linalg.norm(high - low)) / 2
    if far <= radius:
        return True
    aside = math.acos(float(np.clip(step @ np.array(lamp.aim) / far, -1.0, 1.0)))
    return aside <= lamp.half_beam_rad + math.asin(radius / far)


def _without(moment: Moment, names: frozenset[str]) -> Moment:
    """The moment with the named covers gone."""
    still = replace(moment.still, covers=tuple(c for c in moment.still.covers if c.name not in names))
    return replace(moment, still=still, setting=tuple(c for c in moment.setting if c.name not in names))


def _worse(finding: Finding, other: Finding, at: NDArray[np.intp]) -> Finding:
    """The finding with the verdicts of `other`, which is of its eyes `at`, where those are worse."""
    secrets = {}
    for name, one in finding.secrets.items():
        verdict, size = one.verdict.copy(), one.size_arcmin.copy()
        if name in other.secrets:
            worse = other.secrets[name].verdict > verdict[at]
            verdict[at[worse]] = other.secrets[name].verdict[worse]
            size[at[worse]] = other.secrets[name].size_arcmin[worse]
        secrets[name] = replace(one, verdict=verdict, size_arcmin=size)
    return replace(finding, secrets=secrets)
