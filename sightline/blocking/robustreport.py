"""What `check --robust` found, as part of the report. The keys are a contract."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.blocking.placing import weights
from sightline.blocking.robust import DRAWS, SEED, Robust, Tried
from sightline.blocking.variation import ALLOWANCES
from sightline.sight.check import VERDICTS
from sightline.sight.report import rounded
from sightline.staging.stage import STRAYING


def with_robust(report: dict[str, Any], found: Robust) -> dict[str, Any]:
    """The report of a check with what stays hidden, in all and eye by eye."""
    eyes = [{**entry, "robust": _eye(found, i)} for i, entry in enumerate(report["eyes"])]
    not_checked = [said for said in report["not_checked"] if not (said == STRAYING and found.of("stray"))]
    return {**report, "eyes": eyes, "robust": _whole(found), "not_checked": not_checked}


def _eye(found: Robust, i: int) -> dict[str, Any]:
    leak = found.first_leak(i)
    return {
        "verdict": VERDICTS[found.verdict[i]],
        "first_leak": leak.variation.allowance if leak else None,
        "how": leak.variation.words if leak else None,
        "secret": leak.secret[i] if leak else None,
    }


def _whole(found: Robust) -> dict[str, Any]:
    verdict = found.verdict
    first, after = found.first_seen(), found.measure_next
    return {
        "eyes_hidden": int((verdict == 0).sum()),
        "eyes_faint": int((verdict == 1).sum()),
        "eyes_seen": int((verdict == 2).sum()),
        "weighted_eyes_seen": rounded(float(weights(found.eyes)[verdict == 2].sum())),
        "first_leak": None if first is None else {"allowance": first.variation.allowance, **_worst(found, first)},
        "measure_next": None
        if after is None
        else {
            "what": after.variation.measure,
            "if": after.variation.words,
            "weighted_eyes_seen": rounded(after.weight),
        },
        "allowances": [_allowance(found, name) for name in ALLOWANCES if found.of(name)],
        "draws": DRAWS,
        "seed": SEED,
        "not_tried": list(found.not_tried),
    }


def _allowance(found: Robust, name: str) -> dict[str, Any]:
    tried = found.of(name)
    worst = max(tried, key=lambda one: one.weight)
    return {
        "name": name,
        "says": found.allowed[name],
        "tried": len(tried),
        "eyes_newly_seen": int(found.newly_seen(name).sum()),
        "worst": _worst(found, worst) if worst.weight > 0 else None,
    }


def _worst(found: Robust, tried: Tried) -> dict[str, Any]:
    """The eye that then sees most of those that saw nothing as planned."""
    new = (tried.verdict == 2) & (found.planned < 2)
    i = int(np.argmax(np.where(new, tried.size_arcmin, -1.0)))
    return {
        "how": tried.variation.words,
        "eyes_newly_seen": int(new.sum()),
        "eye": found.eyes[i].id,
        "secret": tried.secret[i],
        "angular_size_arcmin": rounded(tried.size_arcmin[i]),
    }
