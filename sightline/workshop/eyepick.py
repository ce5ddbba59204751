"""Which eyes are worth trying in a room: the worst, from directions that differ, and some that should be clean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sightline.blocking.worstseats import from_other_ways
from sightline.geometry.frame import FloatArray
from sightline.house.eyes import Eye
from sightline.moment import Moment, Secret
from sightline.sight.check import Finding, Thresholds, check

WORST, CLEAN = 5, 2
# Two eyes whose directions differ by less look alike. Common practice, no source.
DISTINCT_DEG = 10.0
# More clean eyes than are wanted are tried, for what scenery alone hides shows in a bare room.
CLEAN_TRIED = 24


def worst_eyes(finding: Finding, count: int = WORST) -> list[tuple[int, str]]:
    """Eyes of distinct directions by size of leak, then those with least to spare; why each was chosen."""
    size, worst = finding.size_of_leak(), finding.worst_verdict()
    order = sorted(np.flatnonzero(worst > 0).tolist(), key=lambda i: (-int(worst[i]), -float(size[i]), i))
    chosen = [(i, "worst") for i in _distinct(finding, order, count)]
    margin = finding.least_margin()
    if margin is not None and len(chosen) < count:
        rest = [i for i in np.argsort(margin, kind="stable").tolist() if worst[i] == 0 and not np.isnan(margin[i])]
        more = _distinct(finding, rest, count - len(chosen), [i for i, _ in chosen])
        chosen += [(i, "least to spare") for i in more]
    return chosen


def clean_eyes(
    finding: Finding, bare: Moment, places: FloatArray, thresholds: Thresholds, count: int = CLEAN
) -> list[tuple[int, str]]:
    """Eyes with most to spare that see nothing even without scenery, of distinct directions.

    `places` (e, 3): where the eyes are in the frame of `bare`.
    """
    margin, worst = finding.least_margin(), finding.worst_verdict()
    if margin is None:
        return []
    taken = [i for i, _ in worst_eyes(finding)]
    order = [
        i for i in np.argsort(-np.nan_to_num(margin, nan=-1.0), kind="stable").tolist()
        if worst[i] == 0 and margin[i] > 0 and i not in taken
    ]  # fmt: skip
    order = _distinct(finding, order, CLEAN_TRIED, taken)
    if not order:
        return []
    eyes = tuple(point_eye(f"clean {i}", places[i]) for i in order)
    still = check(replace(bare, eyes=eyes), thresholds, must_sees=False, brief=True).worst_verdict() == 0
    return [(i, "clean") for i, hidden in zip(order, still, strict=True) if hidden][:count]


def _distinct(finding: Finding, order: Sequence[int], count: int, beside: Sequence[int] = ()) -> list[int]:
    """The first of `order` whose directions from the focus differ from each other's and from those of `beside`."""
    moment = finding.moment
    return from_other_ways(moment.eye_points(), moment.focus_m, order, count, DISTINCT_DEG, beside)


def secret_for(finding: Finding, index: int) -> str:
    """The secret that this eye sees most of; where it sees nothing, the one with least to spare."""

    def rank(name: str) -> tuple[float, float, float]:
        found = finding.secrets[name]
        margin = 999.0 if found.margin_deg is None else float(np.nan_to_num(found.margin_deg[index], nan=998.0))
        return (-float(found.verdict[index]), -float(found.size_arcmin[index]), margin)

    return min(finding.secrets, key=rank)


def point_eye(name: str, at: Sequence[float] | FloatArray) -> Eye:
    return Eye(name, "point", (float(at[0]), float(at[1]), float(at[2])))


def secret_in(moment: Moment, name: str, pose: int) -> Secret:
    """A secret as it is in a pose; in the first that has it where that one has not."""
    every = [*moment.still.secrets, *moment.poses[pose].secrets, *[s for p in moment.poses for s in p.secrets]]
    return next(secret for secret in every if secret.name == name)


def points_of(secret: Secret) -> FloatArray:
    return np.asarray(secret.path if secret.path is not None else secret.mesh.vertices)
