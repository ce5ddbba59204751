"""The act looked at over time: who can see what at every frame, and for how long.

Frames in which nothing changed share one look. Where only place and facing change, direction fields settle what is
hidden for certain and exact rays decide the rest; where the prop is held another way in every frame, rays alone. All
beats, and one frame a second beside them, are looked at by rays alone; the worse of two verdicts is kept.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sightline.blocking.beats import Step, step_at, warnings
from sightline.blocking.caveats import assumptions, not_checked
from sightline.blocking.company import Company
from sightline.blocking.placing import weights
from sightline.blocking.posed import move_of
from sightline.blocking.stager import Stager, stager_of, staging_key
from sightline.blocking.timeline import Scheme, frame_times, scheme_at, scheme_of, spans_s
from sightline.errors import Misfit
from sightline.geometry.frame import FloatArray
from sightline.house.eyes import Eye
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, Thresholds
from sightline.sight.fieldcache import FieldCache
from sightline.sight.looking import Tick
from sightline.sight.rays import IndexArray
from sightline.staging.stage import Staged

# Direction fields cost about as much as so many looks by rays alone.
FIELDS_PAY = 8
MOST_CONFIRMED = 60
SEEN, FAINT = 2, 1


@dataclass
class Look:
    """What was found for one scheme, (s, e) each: verdict, size in arcmin, index of the worst pose's name."""

    verdict: NDArray[np.int8]
    size_arcmin: NDArray[np.float32]
    pose: NDArray[np.int16]
    exact: bool


@dataclass(frozen=True, eq=False)
class Rehearsal:
    """All that was found. Frames are (f,), looks (u,), secrets (s,), eyes (e,); `of_frame` and `of_step` say which look.

    A frame's `span_s` is the time it stands for. `eyes` are where the first beat finds them.
    """

    stager: Stager
    fps: float
    steps: tuple[Step, ...]
    company: Company
    secrets: tuple[str, ...]
    poses: tuple[str, ...]
    times_s: FloatArray
    schemes: tuple[Scheme, ...]
    of_frame: IndexArray
    of_step: IndexArray
    verdict: NDArray[np.int8]
    size_arcmin: NDArray[np.float32]
    pose: NDArray[np.int16]
    confirmed: int
    disagreements: int
    warnings: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = ()

    @property
    def written(self) -> Written[Scene]:
        return self.stager.written

    @property
    def staged(self) -> Staged:
        return self.stager.staged

    @property
    def eyes(self) -> tuple[Eye, ...]:
        return self.company.eyes

    @cached_property
    def span_s(self) -> FloatArray:
        return spans_s(self.times_s)

    @property
    def lasts(self) -> bool:
        """Whether any time passes; without, there are no eye-seconds."""
        return len(self.times_s) > 1

    @cached_property
    def weights(self) -> FloatArray:
        return weights(self.eyes)

    @cached_property
    def any_verdict(self) -> NDArray[np.int8]:
        """The worst verdict over all secrets (u, e)."""
        return self.verdict.max(axis=1, initial=0)

    @cached_property
    def beat_of(self) -> IndexArray:
        """Index of the beat in force at each frame (f,)."""
        return np.array([step_at(self.steps, t) for t in self.times_s.tolist()], dtype=np.intp)

    def looks(self, secret: str | None = None) -> NDArray[np.int8]:
        """Verdicts (u, e) of one secret, or the worst of all."""
        return self.any_verdict if secret is None else self.verdict[:, self.secrets.index(secret)]

    def eyes_seen(self, secret: str | None = None) -> IndexArray:
        """How many eyes can see it at each frame (f,)."""
        return np.asarray((self.looks(secret) == SEEN).sum(axis=1)[self.of_frame])

    def eye_seconds(self, secret: str | None = None, spans_s: FloatArray | None = None) -> float:
        """Weight times seconds for which it is seen. Of all secrets together each eye counts once."""
        heavy = (self.looks(secret) == SEEN) @ self.weights
        return float(heavy[self.of_frame] @ (self.span_s if spans_s is None else spans_s))

    def beat_spans_s(self, beat: int) -> FloatArray:
        """How long each frame (f,) is part of one beat: from its own time until the next beat's."""
        start = self.steps[beat].at_s
        end = self.steps[beat + 1].at_s if beat + 1 < len(self.steps) else self.times_s[-1]
        within = np.flatnonzero((self.times_s >= start) & (self.times_s <= end))
        out = np.zeros(len(self.times_s))
        out[within] = spans_s(self.times_s[within])
        return out

    def seconds_seen(self) -> FloatArray:
        """For how long each eye (e,) sees any secret."""
        spans = np.bincount(self.of_frame, self.span_s, len(self.schemes))
        return np.asarray(spans @ (self.any_verdict == SEEN))

    @cached_property
    def ever_seen(self) -> NDArray[np.bool_]:
        """Which eyes (e,) see a secret at any frame, or when any beat is reached."""
        used = np.unique(np.concatenate([self.of_frame, self.of_step]))
        return np.asarray((self.any_verdict[used] == SEEN).any(axis=0))

    def worst_of_look(self, look: int) -> int | None:
        """The eye that sees most in one look; None where nothing shows."""
        verdict, size = self.any_verdict[look], self.size_arcmin[look].max(axis=0, initial=0.0)
        best = int(np.lexsort((-np.arange(len(size)), size, verdict))[-1])
        return best if verdict[best] else None

    def worst_moment(self, secret: str) -> tuple[int, int] | None:
        """Frame and eye of the largest leak of a secret, the first of equals; None where nothing ever shows."""
        s = self.secrets.index(secret)
        looks, first = in_order(self.of_frame)
        verdict, size = self.verdict[looks, s], self.size_arcmin[looks, s]
        if not verdict.any():
            return None
        size = np.where(verdict == verdict.max(), size, -1.0)
        k, eye = np.unravel_index(int(size.argmax()), size.shape)
        return int(first[k]), int(eye)

    def pose_name(self, secret: str, look: int, eye: int) -> str:
        return self.poses[int(self.pose[look, self.secrets.index(secret), eye])]

    def move(self, secret: str, look: int, eye: int) -> str:
        """The puppet's move in which an eye sees most of a secret."""
        return move_of(self.pose_name(secret, look, eye))


def in_order(of_frame: IndexArray) -> tuple[IndexArray, IndexArray]:
    """Every look once, by the first of the frames (f,) that has it, and which frame that is."""
    first = np.sort(np.unique(of_frame, return_index=True)[1])
    return of_frame[first], first


def rehearse(
    written: Written[Scene],
    fps: float,
    thresholds: Thresholds | None = None,
    cache: FieldCache | None = None,
    tick: Tick | None = None,
) -> Rehearsal:
    """Look at the whole act, `fps` frames a second. Raises FileError with the place of what cannot be."""
    stager, company, not_drawn = stager_of(written, thresholds or Thresholds(), cache)
    found, staged, ease = stager.steps, stager.staged, written.model.blocking.ease
    poses = list(dict.fromkeys(pose.name for pose in staged.act.poses))
    times = frame_times(found, fps)
    of_scheme: dict[Scheme, int] = {}
    seconds: list[float] = []

    def index(scheme: Scheme, t_s: float) -> int:
        if scheme not in of_scheme:
            of_scheme[scheme] = len(of_scheme)
            seconds.append(t_s)
        return of_scheme[scheme]

    of_step = np.array([index(scheme_of(step, stager.moves), step.at_s) for step in found], dtype=np.intp)
    of_frame = np.array([index(scheme_at(found, t, ease, stager.moves), t) for t in times.tolist()], dtype=np.intp)
    schemes = tuple(of_scheme)
    counts = Counter(map(staging_key, schemes))
    stager.keep = frozenset(key for key, count in counts.items() if count > 1)
    beats_own = set(of_step.tolist())
    quick = {
        i
        for i, scheme in enumerate(schemes)
        if i not in beats_own and staged.goes_along and counts[staging_key(scheme)] >= FIELDS_PAY
    }
    again = _confirmed(times, of_frame, quick)
    names = tuple(staged.moment().secret_names())
    looks: list[Look] = []
    done, of = 0, len(schemes) + len(again)
    disagreements = 0
    for i, scheme in enumerate(schemes):
        posed = stager.posed(scheme, seconds[i])
        eyes = company.at(scheme.mark_m, scheme.facing_rad)
        try:
            if i in beats_own:
                finding = posed.checked(scheme.mark_m, scheme.facing_rad, eyes)
            elif i in quick:
                finding = posed.quick(scheme.mark_m, scheme.facing_rad, eyes)
            else:
                finding = posed.exact(scheme.mark_m, scheme.facing_rad, eyes)
            look = _look(finding, names, poses, scheme.moving, staged, exact=i not in quick)
            if i in again:
                finding = posed.exact(scheme.mark_m, scheme.facing_rad, eyes)
                disagreements += _worse(look, _look(finding, names, poses, scheme.moving, staged, exact=True))
                done += 1
        except Misfit as misfit:
            raise stager.problem(seconds[i], misfit.sentence) from misfit
        looks.append(look)
        done += 1
        if tick:
            tick(done, of)
    confirmed = sum(look.exact for look in looks)
    return Rehearsal(
        stager, fps, tuple(found), company, names, tuple(poses), times, schemes, of_frame, of_step,
        np.stack([look.verdict for look in looks]), np.stack([look.size_arcmin for look in looks]),
        np.stack([look.pose for look in looks]), confirmed, disagreements,
        warnings=tuple(warnings(found, ease)),
        assumptions=(*staged.notes, *assumptions(stager, company, schemes)),
        not_checked=(*not_checked(staged, len(quick), len(again), disagreements), *([not_drawn] if not_drawn else [])),
    )  # fmt: skip


def _confirmed(times_s: FloatArray, of_frame: IndexArray, quick: set[int]) -> set[int]:
    """The looks that are confirmed by rays: of the frame nearest to each whole second, at most MOST_CONFIRMED."""
    whole = np.arange(np.ceil(times_s[0]), np.floor(times_s[-1]) + 1)
    nearest = [int(np.abs(times_s - t).argmin()) for t in whole]
    chosen = [look for look in dict.fromkeys(of_frame[nearest].tolist()) if look in quick]
    if len(chosen) > MOST_CONFIRMED:
        chosen = [chosen[i] for i in np.round(np.linspace(0, len(chosen) - 1, MOST_CONFIRMED)).astype(int)]
    return set(chosen)


def _look(finding: Finding, names: Sequence[str], poses: list[str], moving: bool, staged: Staged, exact: bool) -> Look:
    """One finding as arrays. What moves while it shows is never faint: on the way that is all that goes along.

    `poses` grows by what it does not hold: elbows are elsewhere where the prop is held another way.
    """
    poses += [pose.name for pose in finding.moment.poses if pose.name not in poses]
    eyes = len(finding.moment.eyes)
    verdict = np.zeros((len(names), eyes), dtype=np.int8)
    size = np.zeros((len(names), eyes), dtype=np.float32)
    pose = np.zeros((len(names), eyes), dtype=np.int16)
    stays = {secret.name for secret in staged.plain.secrets}
    number = np.array([poses.index(p.name) for p in finding.moment.poses], dtype=np.int16)
    for s, name in enumerate(names):
        secret = finding.secrets.get(name)
        if secret is None:
            continue
        verdict[s], size[s] = secret.verdict, secret.size_arcmin
        if moving and name not in stays:
            verdict[s][verdict[s] == FAINT] = SEEN
        pose[s] = number[secret.sighting.seen.pose]
    return Look(verdict, size, pose, exact)


def _worse(look: Look, other: Look) -> int:
    """Take over into `look` what is worse in `other`; how many verdicts differed."""
    differ = int((look.verdict != other.verdict).sum())
    worse = (other.verdict > look.verdict) | ((other.verdict == look.verdict) & (other.size_arcmin > look.size_arcmin))
    look.verdict[worse], look.size_arcmin[worse] = other.verdict[worse], other.size_arcmin[worse]
    look.pose[worse] = other.pose[worse]
    look.exact = True
    return differ
