"""The finding as one JSON document, as `sightline check --json` prints it. The keys are a contract."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from sightline.sight.check import VERDICTS, Finding, SecretFinding
from sightline.sight.lamps import Shadow
from sightline.sight.noticing import HEAD_REACH_M
from sightline.sight.reasons import reason, worst_eyes

SCHEMA_VERSION = 1
ARCMIN_PER_RAD = math.degrees(1.0) * 60.0


def rounded(value: float) -> float:
    """Nine significant digits: the same input gives the same bytes."""
    return float(f"{value:.9g}")


def document(finding: Finding, scene_name: str) -> dict[str, Any]:
    """The whole report as plain dicts and lists."""
    moment = finding.moment
    worst = finding.worst_verdict()
    sizes = finding.size_of_leak()
    order = sorted(range(len(moment.eyes)), key=lambda i: (-int(worst[i]), -float(sizes[i]), i))
    return {
        "schema_version": SCHEMA_VERSION,
        "title": moment.title,
        "scene": scene_name,
        "eyes": [_eye(finding, i) for i in range(len(moment.eyes))],
        "secrets": {name: _secret(finding, name) for name in finding.secrets},
        "must_see": {name: {"eyes_with_clear_view": int(seen.clear.sum())} for name, seen in finding.must_see.items()},
        "summary": {
            "eyes": len(moment.eyes),
            "eyes_seen": int((worst == 2).sum()),
            "eyes_faint": int((worst == 1).sum()),
            "worst_eye": moment.eyes[order[0]].id if order and worst[order[0]] > 0 else None,
            "eye_seconds": None,
            "weighted_eyes_seen": rounded(finding.weighted_seen()),
        },
        "shadows": [_shadow(finding, shadow) for shadow in finding.shadows],
        "assumptions": [*moment.assumptions, *_spare_notes(finding)],
        "not_checked": list(moment.not_checked),
    }


def _spare_notes(finding: Finding) -> list[str]:
    """What a margin does not hold, where there are margins."""
    if all(found.margin_deg is None for found in finding.secrets.values()):
        return []
    near, far = (math.degrees(math.atan(HEAD_REACH_M / far_m)) for far_m in (1.0, 10.0))
    return [
        "What there is to spare is told of the eye where it stands and of the middles of patches: a head that leans takes "
        f"{near:.1f} deg of it a metre away, {far:.1f} at ten, and finer patches (--thorough) may find less."
    ]


def _eye(finding: Finding, i: int) -> dict[str, Any]:
    eye = finding.moment.eyes[i]
    return {
        "id": eye.id,
        "kind": eye.kind,
        "position_m": [rounded(x) for x in eye.position_m],
        "weight": rounded(eye.weight),
        "level": eye.level,
        "row": eye.row,
        "seat": eye.seat,
        "secrets": {name: _eye_secret(finding, secret, i) for name, secret in finding.secrets.items()},
        "must_see": {
            name: {
                "clear_fraction": rounded(seen.clear_fraction[i]),
                "clear_fraction_without_heads": rounded(seen.without_heads[i]),
                "solid_angle_sr": rounded(seen.solid_angle_sr[i]),
                "angular_size_arcmin": rounded(seen.size_arcmin[i]),
                "clear": bool(seen.clear[i]),
            }
            for name, seen in finding.must_see.items()
        },
    }


def _eye_secret(finding: Finding, secret: SecretFinding, i: int) -> dict[str, Any]:
    sighting, seen = secret.sighting, secret.sighting.seen
    shown = secret.verdict[i] != 0 and len(finding.moment.poses) > 1
    line = sighting.secret.path is not None
    return {
        "visible_fraction": rounded(sighting.fraction[i]),
        "solid_angle_sr": rounded(seen.solid_angle_sr[i]),
        "angular_size_arcmin": rounded(secret.size_arcmin[i]),
        "missable_arcmin": rounded(sighting.missable_rad[i] * ARCMIN_PER_RAD),
        "verdict": VERDICTS[secret.verdict[i]],
        "margin_deg": _margin(secret, i),
        "pose": finding.moment.poses[seen.pose[i]].name if shown else None,
        "via": finding.moment.mirrors[seen.via[i]].name if seen.via[i] >= 0 else None,
        "visible_length_m": rounded(seen.length_m[i]) if line else None,
        "longest_run_m": rounded(seen.run_m[i]) if line else None,
        "angular_width_arcmin": rounded(seen.width_arcmin[i]) if line else None,
    }


def _shadow(finding: Finding, shadow: Shadow) -> dict[str, Any]:
    return {
        "lamp": shadow.lamp,
        "secret": shadow.secret,
        "surface": shadow.surface,
        "at_m": [rounded(x) for x in shadow.at_m],
        "eyes_seen": shadow.eyes_seen,
        "eye": None if shadow.worst_eye is None else finding.moment.eyes[shadow.worst_eye].id,
    }


def _margin(secret: SecretFinding, i: int) -> float | None:
    if secret.margin_deg is None or math.isnan(secret.margin_deg[i]):
        return None
    # A tenth of a degree is what is found.
    return round(float(secret.margin_deg[i]), 1)


def _secret(finding: Finding, name: str) -> dict[str, Any]:
    secret = finding.secrets[name]
    return {
        "kind": secret.sighting.secret.kind,
        "area_m2": rounded(secret.sighting.first.area_m2),
        "patches": int(secret.sighting.count),
        "patches_inside_solids": int(secret.sighting.buried),
        "eyes_seen": int(np.sum(secret.verdict == 2)),
        "eyes_faint": int(np.sum(secret.verdict == 1)),
        "covered_by": {name: rounded(share) for name, share in secret.covered_by.items()},
        "worst": [
            {"eye": finding.moment.eyes[i].id, "how": reason(finding, name, i)} for i in worst_eyes(finding, name)
        ],
    }
