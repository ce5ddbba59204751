"""A rehearsal written down: one JSON document, and two tables for a spreadsheet. The keys are a contract."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sightline.blocking.attention import Attention, Spell
from sightline.blocking.cautions import BLIND
from sightline.blocking.cues import focus_words
from sightline.blocking.marks import csv_text
from sightline.blocking.notation import clock, degrees_from_front
from sightline.blocking.posed import move_of
from sightline.blocking.rehearsal import FAINT, SEEN, Rehearsal
from sightline.blocking.witness import look_at
from sightline.sight.check import VERDICTS
from sightline.sight.reasons import reason
from sightline.sight.report import rounded

SCHEMA_VERSION = 1


@dataclass(frozen=True)
class Worst:
    """The largest leak of one secret over the whole act, and how it gets past the covers, by rays alone."""

    secret: str
    t_s: float
    beat: int
    eye: str
    verdict: str
    size_arcmin: float
    pose: str | None
    how: str | None

    def document(self) -> dict[str, Any]:
        return {
            "t_s": rounded(self.t_s), "eye": self.eye, "pose": self.pose,
            "move": None if self.pose is None else move_of(self.pose),
            "angular_size_arcmin": rounded(self.size_arcmin), "verdict": self.verdict, "how": self.how,
        }  # fmt: skip


def worst_moments(rehearsal: Rehearsal) -> dict[str, Worst | None]:
    """Of every secret its largest leak; None for one that never shows."""
    out: dict[str, Worst | None] = {}
    for name in rehearsal.secrets:
        found = rehearsal.worst_moment(name)
        out[name] = None if found is None else _worst(rehearsal, name, *found)
    return out


def _worst(rehearsal: Rehearsal, name: str, frame: int, eye: int) -> Worst:
    look, t = int(rehearsal.of_frame[frame]), float(rehearsal.times_s[frame])
    scheme, s = rehearsal.schemes[look], rehearsal.secrets.index(name)
    eyes = rehearsal.company.at(scheme.mark_m, scheme.facing_rad)
    # Only where other people's heads count must the others be there as well.
    alone = not rehearsal.staged.heads_count
    finding = look_at(rehearsal.stager, scheme, t, (eyes[eye],) if alone else eyes)
    i = 0 if alone else eye
    how = reason(finding, name, i) if finding.secrets[name].verdict[i] else None
    pose = rehearsal.pose_name(name, look, eye) if len(rehearsal.poses) > 1 else None
    return Worst(
        name, t, int(rehearsal.beat_of[frame]), rehearsal.eyes[eye].id, VERDICTS[rehearsal.verdict[look, s, eye]],
        float(rehearsal.size_arcmin[look, s, eye]), pose, how,
    )  # fmt: skip


def document(
    rehearsal: Rehearsal, attention: Attention, worst: dict[str, Worst | None], scene_name: str
) -> dict[str, Any]:  # fmt: skip
    """The whole rehearsal as plain dicts and lists. Eye-seconds are null where no time passes."""
    most = _most(worst)
    any_seen = rehearsal.eyes_seen()
    by_secret = {name: rehearsal.eyes_seen(name) for name in rehearsal.secrets}
    frames = [
        {
            "t_s": rounded(t),
            "mark_m": [rounded(x) for x in rehearsal.schemes[look].mark_m],
            "facing_deg": rounded(degrees_from_front(rehearsal.schemes[look].facing_rad)),
            "eyes_seen": int(any_seen[i]),
            "secrets": {name: int(counts[i]) for name, counts in by_secret.items()},
        }
        for i, (t, look) in enumerate(zip(rehearsal.times_s.tolist(), rehearsal.of_frame.tolist(), strict=True))
    ]
    return {
        "schema_version": SCHEMA_VERSION, "title": rehearsal.written.model.title, "scene": scene_name,
        "fps": rounded(rehearsal.fps),
        "beats": [_beat(rehearsal, i) for i in range(len(rehearsal.steps))],
        "frames": frames,
        "secrets": {
            name: {
                "eye_seconds": _eye_seconds(rehearsal, name),
                "worst": None if (found := worst[name]) is None else found.document(),
            }
            for name in rehearsal.secrets
        },
        "summary": {
            "eye_seconds": _eye_seconds(rehearsal),
            "eyes": len(rehearsal.eyes),
            "eyes_ever_seen": int(rehearsal.ever_seen.sum()),
            "worst_eye": most.eye if most else None,
            "worst_t_s": rounded(most.t_s) if most else None,
            "looks": len(rehearsal.schemes),
            "looks_by_rays_alone": rehearsal.confirmed,
            "disagreements": rehearsal.disagreements,
        },
        "attention": _attention(rehearsal, attention),
        "warnings": [*rehearsal.warnings, *attention.warnings()],
        "cautions": [BLIND] if rehearsal.staged.has_performer else [],
        "assumptions": list(rehearsal.assumptions),
        "not_checked": list(rehearsal.not_checked),
    }  # fmt: skip


def _most(worst: dict[str, Worst | None]) -> Worst | None:
    """The largest leak of all secrets."""
    there = [found for found in worst.values() if found is not None]
    return max(there, key=lambda found: (VERDICTS.index(found.verdict), found.size_arcmin), default=None)


def _eye_seconds(rehearsal: Rehearsal, secret: str | None = None, beat: int | None = None) -> float | None:
    if not rehearsal.lasts:
        return None
    return rounded(rehearsal.eye_seconds(secret, None if beat is None else rehearsal.beat_spans_s(beat)))


def _beat(rehearsal: Rehearsal, i: int) -> dict[str, Any]:
    step, look = rehearsal.steps[i], int(rehearsal.of_step[i])
    verdict = rehearsal.any_verdict[look]
    worst = rehearsal.worst_of_look(look)
    return {
        "index": i, "name": step.name, "at_s": rounded(step.at_s), "hold_s": rounded(step.hold_s),
        "mark_m": [rounded(x) for x in step.mark_m], "facing_deg": rounded(degrees_from_front(step.facing_rad)),
        "eyes_seen": int((verdict == SEEN).sum()), "eyes_faint": int((verdict == FAINT).sum()),
        "worst_eye": None if worst is None else rehearsal.eyes[worst].id,
        "moves": None if step.moves is None else list(step.moves),
        "focus": focus_words(step.focus) or None, "false_arm": step.false_arm,
        "secrets": {
            name: {
                "eyes_seen": int((rehearsal.looks(name)[look] == SEEN).sum()),
                "eye_seconds": _eye_seconds(rehearsal, name, i),
            }
            for name in rehearsal.secrets
        },
    }  # fmt: skip


def _attention(rehearsal: Rehearsal, attention: Attention) -> dict[str, Any]:
    names = [step.name for step in rehearsal.steps]
    return {
        "risky": [_spell(rehearsal, spell, names) for spell in attention.spells],
        "still": [
            {
                "start_s": rounded(part.start_s), "seconds": rounded(part.seconds), "reason": part.reason,
                "too_long": part.too_long, "beats": list(part.beats),
            }
            for part in attention.still
        ],
        "still_for_s": rounded(attention.still_for_s),
        "hands": [
            {
                "beat": names[need.beat], "at_s": rounded(rehearsal.steps[need.beat].at_s), "needs": need.needs,
                "conflict": need.conflict, "proposal": need.proposal,
            }
            for need in attention.hands
        ],
    }  # fmt: skip


def _spell(rehearsal: Rehearsal, spell: Spell, names: Sequence[str]) -> dict[str, Any]:
    return {
        "beat": names[spell.beat], "start_s": rounded(spell.start_s), "end_s": rounded(spell.end_s),
        "seconds": rounded(spell.seconds), "eye_seconds": rounded(spell.eye_seconds), "eyes_seen": spell.eyes_seen,
        "secrets": list(spell.secrets), "worst_secret": spell.worst_secret,
        "worst_eye": rehearsal.eyes[spell.worst_eye].id, "worst_t_s": rounded(spell.worst_s),
        "angular_size_arcmin": rounded(spell.size_arcmin), "move": spell.move, "focus": spell.focus,
    }  # fmt: skip


def beats_csv(report: dict[str, Any], rehearsal: Rehearsal) -> str:
    """One row for every beat."""
    rows = []
    for beat, step in zip(report["beats"], rehearsal.steps, strict=True):
        row = {
            "beat": str(beat["index"] + 1), "time, s": _said(beat["at_s"]), "time": clock(beat["at_s"]),
            "name": beat["name"], "hold, s": _said(beat["hold_s"]), "mark x, m": _said(beat["mark_m"][0]),
            "mark y, m": _said(beat["mark_m"][1]), "facing, deg": _said(beat["facing_deg"]),
            "eyes seen at the cue": str(beat["eyes_seen"]), "eyes faint at the cue": str(beat["eyes_faint"]),
            "worst eye": beat["worst_eye"] or "", "moves": "all" if step.moves is None else ", ".join(step.moves),
            "focus": beat["focus"] or "", "false arm": step.false_arm or "", "hands": step.hands or "",
        }  # fmt: skip
        for name, found in beat["secrets"].items():
            row[f"{name}: eyes seen at the cue"] = str(found["eyes_seen"])
            row[f"{name}: eye-seconds"] = _said(found["eye_seconds"])
        rows.append(row)
    return csv_text(rows, list(rows[0]))


def frames_csv(report: dict[str, Any]) -> str:
    """One row for every frame."""
    rows = [
        {
            "time, s": _said(frame["t_s"]), "mark x, m": _said(frame["mark_m"][0]),
            "mark y, m": _said(frame["mark_m"][1]), "facing, deg": _said(frame["facing_deg"]),
            "eyes seen": str(frame["eyes_seen"]),
            **{f"{name}: eyes seen": str(count) for name, count in frame["secrets"].items()},
        }
        for frame in report["frames"]
    ]  # fmt: skip
    return csv_text(rows, list(rows[0]))


def _said(value: float | None) -> str:
    """A number without an exponent: spreadsheets take `1e-05` for a text, and so would the guard for formulas."""
    return "" if value is None else f"{value:.6f}".rstrip("0").rstrip(".")
