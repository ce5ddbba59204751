"""Plans over time: what each seat can see at worst during one beat, or during every beat of the act."""

from __future__ import annotations

from typing import Any

import numpy as np

from sightline.blocking.notation import clock
from sightline.blocking.rehearsal import SEEN, Rehearsal
from sightline.geometry.frame import FloatArray
from sightline.moment import Moment
from sightline.pictures.layer import Layer
from sightline.pictures.plan import PlanSheet


def beat_layer(rehearsal: Rehearsal, beat: int, secret: str | None = None) -> Layer:
    """The worst over all that happens from a beat's own time until the next one's."""
    looks = beat_looks(rehearsal, beat)
    step = rehearsal.steps[beat]
    if secret is None:
        verdict, size = rehearsal.any_verdict[looks], rehearsal.size_arcmin[looks].max(axis=1, initial=0.0)
    else:
        s = rehearsal.secrets.index(secret)
        verdict, size = rehearsal.verdict[looks, s], rehearsal.size_arcmin[looks, s]
    return Layer(f"{clock(step.at_s)} {step.name}", verdict.max(axis=0).astype(np.int8), size.max(axis=0).astype(float))


def beat_looks(rehearsal: Rehearsal, beat: int) -> list[int]:
    """Which looks a beat has: its own, and of all frames that are part of it."""
    frames = np.flatnonzero(rehearsal.beat_spans_s(beat) > 0)
    return sorted({int(rehearsal.of_step[beat]), *rehearsal.of_frame[frames].tolist()})


def worst_beat(rehearsal: Rehearsal, secret: str | None = None) -> int:
    """The beat during which most people can see something; of equals the one with the largest leaks."""
    layers = [beat_layer(rehearsal, beat, secret) for beat in range(len(rehearsal.steps))]
    weights = rehearsal.weights
    return max(
        range(len(layers)),
        key=lambda b: (
            float(weights[layers[b].verdict == SEEN].sum()),
            float(layers[b].size_arcmin.max(initial=0.0)),
            -b,
        ),
    )


def beat_sheet(
    rehearsal: Rehearsal, beat: int, every: bool, secret: str | None = None, held_m: FloatArray | None = None
) -> PlanSheet:
    """A large plan of one beat, the performer on its mark with the way that follows; with `every` small ones of all beats."""
    moment = moment_at(rehearsal, beat)
    layer = beat_layer(rehearsal, beat, secret)
    what = secret or "a secret"
    step = rehearsal.steps[beat]
    which = "the beat in which most people can see something" if every else "the worst of one beat"
    said = (
        f"{layer.seen} of {len(rehearsal.eyes)} eyes can see {what} at some time from {clock(step.at_s)} ('{step.name}') until the next "
        f"beat: {which}; {rehearsal.fps:g} frames a second are looked at"
    )
    beats = range(len(rehearsal.steps))
    small = tuple(beat_layer(rehearsal, b, secret) for b in beats) if every else ()
    moments = tuple(moment_at(rehearsal, b) for b in beats) if every else ()
    note = (
        "Small plans: every beat in its order, each seat at its worst, the mark where the beat begins." if every else ""
    )
    return PlanSheet(
        moment, moment.title, said, layer, small, note, held_m, walk_of(rehearsal, beat), small_moments=moments,
        listed="sightline rehearse",
    )  # fmt: skip


def moment_at(rehearsal: Rehearsal, beat: int) -> Moment:
    """The moment at a beat: mark, facing and crowd as they are then."""
    from dataclasses import replace

    step = rehearsal.steps[beat]
    moment = rehearsal.staged.moment(step.mark_m, step.facing_rad)
    return replace(moment, eyes=rehearsal.company.at(step.mark_m, step.facing_rad))


def walk_of(rehearsal: Rehearsal, beat: int) -> FloatArray:
    """Where the performer is from one beat to the next (n, 2); nothing where they stay."""
    marks = [scheme.mark_m for scheme in (rehearsal.schemes[i] for i in _in_time(rehearsal, beat))]
    points = np.array(marks, dtype=float).reshape(-1, 2)
    return points if len(points) > 1 and float(np.ptp(points, axis=0).max()) > 0.05 else np.zeros((0, 2))


def _in_time(rehearsal: Rehearsal, beat: int) -> list[int]:
    frames = np.flatnonzero(rehearsal.beat_spans_s(beat) > 0)
    looks = [int(rehearsal.of_step[beat]), *rehearsal.of_frame[frames].tolist()]
    return list(dict.fromkeys(looks))


def json_of(rehearsal: Rehearsal, secret: str | None = None) -> dict[str, Any]:
    """Per beat the worst of every eye, as plain dicts and lists."""
    from sightline.sight.check import VERDICTS

    beats = []
    for b, step in enumerate(rehearsal.steps):
        layer = beat_layer(rehearsal, b, secret)
        beats.append(
            {
                "name": step.name,
                "at_s": float(f"{step.at_s:.9g}"),
                "eyes_seen": layer.seen,
                "eyes": [
                    {"id": eye.id, "verdict": VERDICTS[int(v)], "angular_size_arcmin": float(f"{float(s):.9g}")}
                    for eye, v, s in zip(rehearsal.eyes, layer.verdict, layer.size_arcmin, strict=True)
                ],
            }
        )
    return {
        "worst_beat": rehearsal.steps[worst_beat(rehearsal, secret)].name, "beats": beats,
        "assumptions": list(rehearsal.assumptions), "not_checked": list(rehearsal.not_checked),
    }  # fmt: skip
