"""The check: from a moment to a verdict for every eye and secret, and what covers the rest."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sightline.geometry.frame import FloatArray
from sightline.house.eyes import Eye
from sightline.moment import Moment
from sightline.sight import noticing
from sightline.sight.looking import Looked, Scenery, Sighting, Tick, head_positions, look
from sightline.sight.solid_angle import disc_of

VERDICTS = ("hidden", "faint", "seen")
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
    """One secret over all eyes (e,): verdicts are indices into VERDICTS."""

    sighting: Sighting
    verdict: np.ndarray[tuple[int], np.dtype[np.int8]]
    size_arcmin: FloatArray
    covered_by: dict[str, float]


@dataclass(frozen=True)
class MustSeeFinding:
    clear_fraction: FloatArray
    solid_angle_sr: FloatArray
    size_arcmin: FloatArray
    clear: np.ndarray[tuple[int], np.dtype[np.bool_]]
    without_heads: FloatArray


@dataclass(frozen=True)
class Finding:
    """All that one check found."""

    moment: Moment
    secrets: dict[str, SecretFinding]
    must_see: dict[str, MustSeeFinding]
    looked: Looked
    swayed: bool

    def worst_verdict(self) -> np.ndarray[tuple[int], np.dtype[np.int8]]:
        """Per eye the worst verdict over all secrets."""
        worst = np.zeros(len(self.moment.eyes), dtype=np.int8)
        for finding in self.secrets.values():
            worst = np.maximum(worst, finding.verdict)
        return worst

    def size_of_leak(self) -> FloatArray:
        """Per eye the angular size (arcmin) of the largest leak over all secrets."""
        sizes = [finding.size_arcmin for finding in self.secrets.values()]
        return np.max(sizes, axis=0) if sizes else np.zeros(len(self.moment.eyes))

    def weighted_seen(self) -> float:
        """Weight of the eyes that can see any secret, each counted once."""
        weights = np.array([eye.weight for eye in self.moment.eyes])
        return float(weights[self.worst_verdict() == 2].sum())


def check(moment: Moment, thresholds: Thresholds | None = None, tick: Tick | None = None) -> Finding:
    """Judge every eye and secret of a moment. Raises SightlineError for eyes inside a body."""
    limits = thresholds or Thresholds()
    looked = look(moment, limits.sway, tick)
    scenery = Scenery(moment)
    acuities = [
        noticing.acuity(eye.kind, pixel_arcmin(eye), limits.spot_arcmin, limits.line_arcsec) for eye in moment.eyes
    ]
    secrets = {}
    for name, sighting in looked.sightings.items():
        size = disc_of(sighting.solid_angle_sr)
        verdict = np.array([_verdict(sighting, size, i, a) for i, a in enumerate(acuities)], dtype=np.int8)
        secrets[name] = SecretFinding(sighting, verdict, size, _covered_by(sighting, scenery))
    must_see = {}
    for name, showing in looked.showings.items():
        size = disc_of(showing.solid_angle_sr)
        clear = (showing.clear_fraction >= CLEAR_FRACTION) & (size >= CLEAR_ARCMIN)
        must_see[name] = MustSeeFinding(
            showing.clear_fraction, showing.solid_angle_sr, size, clear, showing.without_heads
        )
    return Finding(moment, secrets, must_see, looked, limits.sway)


def pixel_arcmin(eye: Eye) -> float | None:
    """The angle of one pixel in the middle of the picture; None when the camera is not known."""
    if eye.camera is None or not eye.camera.fov_rad or not eye.camera.pixels:
        return None
    return math.degrees(2 * math.tan(eye.camera.fov_rad / 2) / eye.camera.pixels) * 60


def _verdict(sighting: Sighting, size: FloatArray, i: int, eye: noticing.Acuity) -> int:
    secret = sighting.secret
    if sighting.fraction[i] <= 0 and sighting.solid_angle_sr[i] <= 0:
        return 0
    if secret.moves:
        return 2
    if sighting.run_arcmin is not None and sighting.width_arcmin is not None:
        run, width = float(sighting.run_arcmin[i]), float(sighting.width_arcmin[i])
        return 2 if noticing.line_noticed(width, run, secret.contrast, eye) else 1
    return 2 if noticing.spot_noticed(float(size[i]), secret.contrast, eye) else 1


COVER_SAMPLE = 200_000


def _covered_by(sighting: Sighting, scenery: Scenery) -> dict[str, float]:
    """Share of hidden (eye, patch) pairs by the cover nearest the patch, `itself` for facing away or own surface.

    Taken in the first pose, from at most COVER_SAMPLE pairs spread evenly.
    """
    if sighting.patches is None or not sighting.patches.count:
        return {}
    from sightline.sight.leak import facing, starts

    patches, eyes = sighting.patches, scenery.moment.eye_points()
    pairs = len(eyes) * patches.count
    step = max(1, -(-pairs // COVER_SAMPLE))
    # A stride that shares no factor with the patch count visits all patches and all eyes.
    while step > 1 and math.gcd(step, patches.count) > 1:
        step += 1
    rows, columns = np.divmod(np.arange(0, pairs, step), patches.count)
    turned = _turned(patches, eyes, rows, columns)
    covers = scenery.covers(0)
    counts = {"itself": float((~turned).sum())}
    rows, columns = rows[turned], columns[turned]
    if len(rows):
        origins = starts(patches, patches.centres[columns], eyes[rows], columns)
        best = np.full(len(rows), -1)
        nearest = np.full(len(rows), np.inf)
        shift = 0
        for group, members in zip(scenery.surfaces(0), (scenery.still_covers, scenery.pose(0)[0]), strict=True):
            found, away, _ = group.first(origins, eyes[rows])
            closer = away < nearest
            best = np.where(closer, found + shift, best)
            nearest = np.where(closer, away, nearest)
            shift += len(members)
        for index in np.unique(best[best >= 0]):
            name = "itself" if covers[index].name == sighting.secret.name else covers[index].name
            counts[name] = counts.get(name, 0.0) + float((best == index).sum())
    total = sum(counts.values())
    shares = {name: count / total for name, count in counts.items() if count} if total else {}
    return dict(sorted(shares.items(), key=lambda item: (-item[1], item[0])))


def _turned(patches: object, eyes: FloatArray, rows: FloatArray, columns: FloatArray) -> FloatArray:
    from sightline.sight.patches import Patches

    assert isinstance(patches, Patches)
    if patches.two_sided:
        return np.ones(len(rows), dtype=bool)
    return np.einsum("ij,ij->i", eyes[rows] - patches.centres[columns], patches.normals[columns]) > 0


__all__ = ["Finding", "MustSeeFinding", "SecretFinding", "Thresholds", "check", "head_positions"]
