"""How a check would vary with the people who happen to stand in a sampled crowd."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sightline.errors import SightlineError
from sightline.house.sampled import SamplingError, is_sampled, redrawn
from sightline.sight.check import Finding, Thresholds, check
from sightline.sight.looking import Tick


def share_seen(finding: Finding) -> float:
    """The share of people, by weight, who can see a secret."""
    weights = np.array([eye.weight for eye in finding.moment.eyes])
    return float(weights[finding.worst_verdict() == 2].sum() / weights.sum()) if len(weights) else 0.0


def share_over_draws(finding: Finding, thresholds: Thresholds, draws: int, tick: Tick | None = None) -> SamplingError:
    """The share who can see a secret over `draws` draws of the sampled crowds, the finding's own among them.

    Each draw is looked at as the finding was: where slits were gone after, they are in every draw.
    Raises SightlineError where no crowd is sampled.
    """
    moment = finding.moment
    if not is_sampled(moment.eyes):
        raise SightlineError(
            "No crowd of this scene is drawn by chance, so that nothing varies: write 'sampled: yes' for a standing area."
        )
    values = [share_seen(finding)]
    for draw in range(1, draws):
        other = replace(moment, eyes=tuple(redrawn(moment.eyes, draw)))
        # A brief look leaves slits out.
        values.append(share_seen(check(other, thresholds, tick, must_sees=False, brief=not moment.slits)))
    return SamplingError(tuple(values))
