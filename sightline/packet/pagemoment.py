"""The moments that the page knows exactly: the scene's own mark, every beat, and another scene to compare with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sightline.blocking.company import Company
from sightline.blocking.notation import clock, facing_words
from sightline.blocking.placing import Placing
from sightline.blocking.posed import REST
from sightline.blocking.stager import Stager, stager_of, staging_key
from sightline.blocking.timeline import Scheme, frame_times, scheme_at, scheme_of
from sightline.packet.bundle import short
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.sight.check import Finding, Thresholds
from sightline.sight.fieldcache import FieldCache

# Moments in between are shown so often.
FRAMES_PER_S = 4.0
MOST_FRAMES = 2400


@dataclass(frozen=True)
class PageMoment:
    """One moment checked by rays: `act` is the index of its staging, `at_s` None where it is no beat."""

    name: str
    kind: str
    at_s: float | None
    mark_m: tuple[float, float]
    facing_rad: float
    act: int
    finding: Finding
    note: str = ""
    hold_s: float = 0.0

    def as_data(self, secrets: list[str]) -> dict[str, Any]:
        worst = self.finding.worst_verdict()
        found = self.finding.secrets
        none = np.zeros(len(worst), dtype=np.int8)
        return {
            "name": self.name,
            "kind": self.kind,
            "at": self.at_s,
            "hold": self.hold_s,
            "clock": None if self.at_s is None else clock(self.at_s),
            "mark": short(self.mark_m, 3),
            "facing": round(float(np.degrees(self.facing_rad)), 2),
            "position": facing_words(self.facing_rad),
            "note": self.note,
            "act": self.act,
            "verdicts": [_digits(found[name].verdict if name in found else none) for name in secrets],
            "size": short(self.finding.size_of_leak(), 1),
            "seen": int((worst == 2).sum()),
            "faint": int((worst == 1).sum()),
        }

    def details(self, secrets: list[str]) -> list[dict[str, Any] | None]:
        """What a seat's panel says beyond the verdict, per secret: sizes, share in view, margins, worst pose."""
        return [_details(self.finding, name) if name in self.finding.secrets else None for name in secrets]


def _digits(verdict: Any) -> str:
    return "".join(map(str, verdict.tolist()))


def _details(finding: Finding, name: str) -> dict[str, Any]:
    found = finding.secrets[name]
    seen = found.sighting.seen
    shown = found.verdict > 0
    several = len(finding.moment.poses) > 1
    margin = found.margin_deg
    return {
        "size": short(found.size_arcmin, 1),
        "share": short(np.minimum(found.sighting.fraction, 1.0) * 100, 1),
        "length": short(seen.length_m * 100, 1) if found.sighting.secret.path is not None else None,
        "margin": None if margin is None else [None if np.isnan(m) else round(float(m), 1) for m in margin],
        "pose": [int(p) if s and several else -1 for p, s in zip(seen.pose, shown, strict=True)],
        "via": [int(v) if s else -1 for v, s in zip(seen.via, shown, strict=True)],
    }


@dataclass
class Timeline:
    """The beats, and where the act is in between: rows of second, x, y, facing in degrees, and the beats it is between."""

    moments: list[PageMoment]
    placings: list[Placing]
    company: Company
    frames: list[list[float]]
    warnings: list[str]


def timeline_of(
    written: Written[Scene], thresholds: Thresholds, cache: FieldCache | None, placing: Placing
) -> Timeline | None:
    """Every beat by rays; None for a scene without beats. `placing` serves where a beat is staged as the scene is.

    Raises FileError with the place of a beat that cannot be.
    """
    if not written.model.blocking.beats:
        return None
    stager, company, not_drawn = stager_of(written, thresholds, cache)
    placings: list[Placing] = [placing]
    known: dict[Any, int] = {}
    moments = []
    for step in stager.steps:
        scheme = scheme_of(step, stager.moves)
        act = _act(stager, scheme, step.at_s, placings, known)
        eyes = company.at(scheme.mark_m, scheme.facing_rad)
        finding = stager.posed(scheme, step.at_s).checked(scheme.mark_m, scheme.facing_rad, eyes)
        note = "; ".join(part for part in (_moves_words(scheme), step.false_arm or "") if part)
        moments.append(
            PageMoment(step.name, "beat", step.at_s, scheme.mark_m, scheme.facing_rad, act, finding, note, step.hold_s)
        )
    return Timeline(moments, placings, company, _frames(stager), [not_drawn] if not_drawn else [])


def _moves_words(scheme: Scheme) -> str:
    if scheme.moves is None:
        return ""
    return "the puppet: " + (", ".join(sorted(scheme.moves - {REST})) or "rests")


def _act(stager: Stager, scheme: Scheme, t_s: float, placings: list[Placing], known: dict[Any, int]) -> int:
    """Which staging a scheme is; a new one is put last."""
    key = staging_key(scheme)
    if key not in known:
        posed = stager.posed(scheme, t_s)
        if posed.staged is stager.staged and scheme.moves is None:
            known[key] = 0
        else:
            known[key] = len(placings)
            placings.append(posed)
    return known[key]


def _frames(stager: Stager) -> list[list[float]]:
    end = stager.steps[-1].until_s - stager.steps[0].at_s
    rate = min(FRAMES_PER_S, MOST_FRAMES / max(end, 1.0))
    ease = stager.written.model.blocking.ease
    out = []
    for t in frame_times(stager.steps, rate).tolist():
        scheme = scheme_at(stager.steps, t, ease, stager.moves)
        before = max((i for i, s in enumerate(stager.steps) if s.at_s <= t), default=0)
        after = before + 1 if before + 1 < len(stager.steps) and t > stager.steps[before].until_s else before
        out.append(
            [*short([t], 3), *short(scheme.mark_m, 3), round(float(np.degrees(scheme.facing_rad)), 2), before, after,
             1 if scheme.moving else 0]
        )  # fmt: skip
    return out
