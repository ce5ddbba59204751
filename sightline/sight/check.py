"""The check: from a moment to a verdict for every eye and secret, and what covers the rest."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.geometry.solid_angle import disc_of
from sightline.house.eyes import Eye
from sightline.moment import Moment
from sightline.sight import noticing
from sightline.sight.fields import Fields
from sightline.sight.lamps import Shadow, shadows
from sightline.sight.leak import facing, origins
from sightline.sight.looking import Looked, Sighting, Tick, look
from sightline.sight.prepared import PreparedSurface
from sightline.sight.rays import BoolArray, nearest_mesh
from sightline.sight.scenery import Scenery

VerdictArray = NDArray[np.int8]
VERDICTS = ("hidden", "faint", "seen")
RANK = {verdict: rank for rank, verdict in enumerate(VERDICTS)}
# A must-see is clear from half its face up, and not smaller than 8 arcmin. Common practice, no source.
CLEAR_FRACTION = 0.5
CLEAR_ARCMIN = 8.0


@dataclass(frozen=True)
class Thresholds:
    """The scene's overrides of what people notice; None takes the published figure."""

    spot_arcmin: float | None = None
    line_arcsec: float | None = None
    sway: bool = True


@dataclass(frozen=True)
class SecretFinding:
    """One secret over all eyes (e,): verdicts are indices into VERDICTS; margins are 0 where it is not hidden."""

    sighting: Sighting
    verdict: VerdictArray
    size_arcmin: FloatArray
    covered_by: dict[str, float]
    margin_deg: FloatArray | None = None


@dataclass(frozen=True)
class MustSeeFinding:
    clear_fraction: FloatArray
    solid_angle_sr: FloatArray
    size_arcmin: FloatArray
    clear: BoolArray
    without_heads: FloatArray


@dataclass(frozen=True)
class Finding:
    """All that one check found."""

    moment: Moment
    secrets: dict[str, SecretFinding]
    must_see: dict[str, MustSeeFinding]
    looked: Looked
    swayed: bool
    shadows: tuple[Shadow, ...] = ()

    def worst_verdict(self) -> VerdictArray:
        """Per eye the worst verdict over all secrets."""
        worst = np.zeros(len(self.moment.eyes), dtype=np.int8)
        for finding in self.secrets.values():
            worst = np.maximum(worst, finding.verdict)
        return worst

    def seen_ids(self) -> frozenset[str]:
        """The eyes by name that see any secret."""
        return frozenset(
            eye.id for eye, k in zip(self.moment.eyes, self.worst_verdict().tolist(), strict=True) if k == 2
        )

    def hidden(self) -> dict[str, BoolArray]:
        """Which eyes (e,) see nothing of each secret."""
        return {name: found.verdict == 0 for name, found in self.secrets.items()}

    def with_margins(self, margins: dict[str, FloatArray]) -> Finding:
        """The same with the margins (e,) in degrees of each secret."""
        secrets = {name: replace(found, margin_deg=margins[name]) for name, found in self.secrets.items()}
        return replace(self, secrets=secrets)

    def least_margin(self) -> FloatArray | None:
        """Per eye the least margin (e,) in degrees over all secrets, NaN where one is not known; None without any."""
        known = [found.margin_deg for found in self.secrets.values() if found.margin_deg is not None]
        return np.min(known, axis=0) if known and len(known) == len(self.secrets) else None

    def size_of_leak(self) -> FloatArray:
        """Per eye the angular size (arcmin) of the largest leak over all secrets."""
        sizes = [finding.size_arcmin for finding in self.secrets.values()]
        return np.max(sizes, axis=0) if sizes else np.zeros(len(self.moment.eyes))

    def weighted_seen(self) -> float:
        """Weight of the eyes that can see any secret, each counted once."""
        weights = np.array([eye.weight for eye in self.moment.eyes])
        return float(weights[self.worst_verdict() == 2].sum())


def check(
    moment: Moment,
    thresholds: Thresholds | None = None,
    tick: Tick | None = None,
    fields: Fields | None = None,
    must_sees: bool = True,
    known: Scenery | None = None,
    brief: bool = False,
) -> Finding:
    """Judge every eye and secret of a moment.

    For `fields`, `known` and `must_sees` see `look`. `brief`: for a search over many marks, without what covers the
    rest and without shadows. Raises Misfit for eyes inside a body or a secret too large."""
    limits = thresholds or Thresholds()
    looked = look(moment, limits.sway, tick, fields, must_sees, known, brief)
    acuities = [
        noticing.acuity(eye.kind, pixel_arcmin(eye), limits.spot_arcmin, limits.line_arcsec) for eye in moment.eyes
    ]
    secrets = {}
    for name, sighting in looked.sightings.items():
        size = disc_of(sighting.seen.solid_angle_sr)
        verdict = np.array([_verdict(sighting, size, i, a) for i, a in enumerate(acuities)], dtype=np.int8)
        covered_by = {} if brief else _covered_by(sighting, looked.scenery)
        secrets[name] = SecretFinding(sighting, verdict, size, covered_by)
    must_see = {}
    for name, showing in looked.showings.items():
        size = disc_of(showing.solid_angle_sr)
        clear = (showing.clear_fraction >= CLEAR_FRACTION) & (size >= CLEAR_ARCMIN)
        must_see[name] = MustSeeFinding(
            showing.clear_fraction, showing.solid_angle_sr, size, clear, showing.without_heads
        )
    thrown = () if brief else shadows(moment, looked.scenery)
    return Finding(moment, secrets, must_see, looked, limits.sway, thrown)


def pixel_arcmin(eye: Eye) -> float | None:
    """The angle of one pixel in the middle of the picture; None when the camera is not known."""
    if eye.camera is None or not eye.camera.fov_rad or not eye.camera.pixels:
        return None
    return math.degrees(2 * math.tan(eye.camera.fov_rad / 2) / eye.camera.pixels) * 60


def _verdict(sighting: Sighting, size: FloatArray, i: int, eye: noticing.Acuity) -> int:
    secret, seen = sighting.secret, sighting.seen
    if seen.rank[i] <= 0:
        return 0
    if secret.moves:
        return 2
    if secret.path is not None:
        run, width = float(seen.run_arcmin[i]), float(seen.width_arcmin[i])
        return 2 if noticing.line_noticed(width, run, secret.contrast, eye) else 1
    return 2 if noticing.spot_noticed(float(size[i]), secret.contrast, eye) else 1


COVER_SAMPLE = 30_000


def _covered_by(sighting: Sighting, scenery: Scenery) -> dict[str, float]:
    """Share of hidden (eye, patch) pairs by the cover nearest the patch, `itself` for facing away or own surface.

    Taken in the first pose with heads still, from at most COVER_SAMPLE pairs: every so many eyes.
    """
    if not isinstance(sighting.first, PreparedSurface) or not sighting.first.patches.count:
        return {}
    patches, eyes = sighting.first.patches, scenery.moment.eye_points()
    eyes = eyes[:: max(1, -(-len(eyes) * patches.count // COVER_SAMPLE))]
    pairs = facing(patches, eyes)
    counts = {"itself": float(len(eyes) * patches.count - len(pairs.rows))}
    starts, ends = origins(patches, pairs), eyes[pairs.rows]
    found, *_ = nearest_mesh(scenery.surfaces(0), starts, ends)
    for index in np.unique(found[found >= 0]):
        name = scenery.covers(0)[index].name
        name = "itself" if name == sighting.secret.name else name
        counts[name] = counts.get(name, 0.0) + float((found == index).sum())
    total = sum(counts.values())
    shares = {name: count / total for name, count in counts.items() if count} if total else {}
    return dict(sorted(shares.items(), key=lambda item: (-item[1], item[0])))
