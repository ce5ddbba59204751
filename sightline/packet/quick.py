"""The quick answer of the page, in Python: the twin of `js/quick.js`, by which the page's own answer is measured."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sightline.geometry.frame import FloatArray
from sightline.geometry.solid_angle import disc_of
from sightline.moment import Moment
from sightline.packet.quickfield import STEP_RAD, QuickField
from sightline.sight import noticing
from sightline.sight.check import Thresholds, pixel_arcmin
from sightline.sight.looking import head_positions
from sightline.sight.rays import Blockers

# So near to the edge counts as shown: doubt goes against the plan. Chosen so that of 50 marks hardly one seat that sees
# is missed (tests/packet/test_quick.py).
DOUBT_RAD = np.radians(0.25)


@dataclass(frozen=True)
class Quick:
    """What the fields answer: verdicts (e,) by secret."""

    verdict: dict[str, NDArray[np.int8]]

    def worst(self) -> NDArray[np.int8]:
        return np.max(list(self.verdict.values()), axis=0)


def quick(fields: list[QuickField], moment: Moment, thresholds: Thresholds) -> Quick:
    """Judge the eyes of a moment in the act's own frame (as `Staged.seen_from` gives it)."""
    setting = Blockers([c.mesh for c in moment.setting], np.zeros(3))
    places = head_positions(moment, thresholds.sway)
    out = {}
    acuities = [
        noticing.acuity(e.kind, pixel_arcmin(e), thresholds.spot_arcmin, thresholds.line_arcsec) for e in moment.eyes
    ]
    for field in fields:
        verdict = np.zeros(len(moment.eyes), dtype=np.int8)
        for at in places:
            verdict = np.maximum(verdict, _judged(field, at, setting, acuities))
        out[field.secret.name] = verdict
    return Quick(out)


def _judged(
    field: QuickField, eyes: FloatArray, setting: Blockers, acuities: list[noticing.Acuity]
) -> NDArray[np.int8]:
    step = eyes[:, None, :] - field.centres_m[None]
    distance = np.linalg.norm(step, axis=2)
    edge = looked_up(field.edge, field.side, step) * STEP_RAD
    shown = edge > -DOUBT_RAD
    rows, columns = np.nonzero(shown)
    if setting.indices and len(rows):
        blocked = setting.blocked(field.centres_m[columns], eyes[rows])
        shown[rows[blocked], columns[blocked]] = False
    verdict = np.zeros(len(eyes), dtype=np.int8)
    anything = shown.any(axis=1)
    if field.secret.moves:
        verdict[anything] = 2
        return verdict
    share = looked_up(field.size, field.side // 2, step) / 255.0
    much = share**2 * field.most * shown
    for i in np.flatnonzero(anything):
        if field.secret.path is not None:
            run = math.degrees(float((much[i] / distance[i]).sum())) * 60
            width = math.degrees(field.secret.width_m / float(distance[i][shown[i]].mean())) * 60
            seen = noticing.line_noticed(width, run, field.secret.contrast, acuities[i])
        else:
            size = float(disc_of(np.array([(much[i] / distance[i] ** 2).sum()]))[0])
            seen = noticing.spot_noticed(size, field.secret.contrast, acuities[i])
        verdict[i] = 2 if seen else 1
    return verdict


def looked_up(values: NDArray[np.int8] | NDArray[np.uint8], side: int, step: FloatArray) -> FloatArray:
    """Values at the corners of the map (k, (side + 1)^2), between them, for steps to eyes (e, k, 3): (e, k)."""
    total = np.abs(step).sum(axis=2)
    u, v = step[..., 0] / total, step[..., 1] / total
    lower = step[..., 2] < 0
    fold_u, fold_v = np.copysign(1 - np.abs(v), u), np.copysign(1 - np.abs(u), v)
    u, v = np.where(lower, fold_u, u), np.where(lower, fold_v, v)
    x, y = (u + 1) * side / 2, (v + 1) * side / 2
    column, row = np.minimum(x.astype(np.intp), side - 1), np.minimum(y.astype(np.intp), side - 1)
    a, b = x - column, y - row
    k = np.arange(len(values))[None]
    at = row * (side + 1) + column
    table = values.astype(float)
    near = table[k, at] * (1 - a) + table[k, at + 1] * a
    far = table[k, at + side + 1] * (1 - a) + table[k, at + side + 2] * a
    return np.asarray(near * (1 - b) + far * b)
