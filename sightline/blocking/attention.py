"""Where eyes are drawn while something shows, how long the false arm is still, and which hand is needed twice.

None of this changes a verdict: it stands beside the finding in columns of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sightline.blocking.beats import Step
from sightline.blocking.notation import clock
from sightline.blocking.rehearsal import SEEN, Rehearsal, in_order
from sightline.geometry.frame import FloatArray
from sightline.scene.blocking import Focus
from sightline.scene.scene import Scene

# A focus within this of the eyes that see the secret looks their way. Common practice, no source.
TOWARDS_RAD = math.radians(45.0)
TOWARDS, AWAY, NONE = "towards the leak", "away from it", "none"
# Words that say the needed hand is at what it does anyway: holding the prop.
HOLDING = ("hold", "carr", "stead", "support", "keeps", "grip")


@dataclass(frozen=True)
class Spell:
    """A stretch of one beat in which some eye sees a secret, from its first frame to its last.

    `seconds` is the time that its frames stand for, `worst_s` and `worst_eye` its largest leak, `move` the puppet's
    move in that. `focus` is TOWARDS, AWAY or NONE.
    """

    beat: int
    start_s: float
    end_s: float
    seconds: float
    eye_seconds: float
    eyes_seen: int
    secrets: tuple[str, ...]
    worst_secret: str
    worst_eye: int
    worst_s: float
    size_arcmin: float
    move: str
    focus: str


@dataclass(frozen=True)
class Stillness:
    """A time in which neither performer nor prop moves, so that the false arm does not either.

    `reason` is what the beats say for it; a stretch without one is told by itself. `too_long` for more than the limit.
    """

    start_s: float
    seconds: float
    reason: str | None
    too_long: bool
    beats: tuple[str, ...]


@dataclass(frozen=True)
class HandNeed:
    """A real hand that a beat needs. `conflict` where both are taken, and then what to do before."""

    beat: int
    needs: str
    conflict: bool
    proposal: str | None


@dataclass(frozen=True)
class Attention:
    spells: tuple[Spell, ...]
    still: tuple[Stillness, ...]
    hands: tuple[HandNeed, ...]
    still_for_s: float

    def warnings(self) -> list[str]:
        """A sentence for everything that nobody has given a reason for, or no hand."""
        out = [
            f"The false arm is still for {part.seconds:.1f} s from {clock(part.start_s)} and no beat gives a reason "
            f"(false arm: ...); the limit is {self.still_for_s:g} s (still for)."
            for part in self.still
            if part.too_long and part.reason is None
        ]
        return out + [need.proposal for need in self.hands if need.conflict and need.proposal]


def attention_of(rehearsal: Rehearsal) -> Attention:
    scene = rehearsal.written.model
    limit = scene.blocking.still_for
    return Attention(
        tuple(spells(rehearsal)),
        tuple(stillness(rehearsal.steps, limit)) if scene.false_limbs else (),
        tuple(hand_needs(rehearsal.steps, scene)),
        limit,
    )


def spells(rehearsal: Rehearsal) -> Iterator[Spell]:
    """All stretches in which anything is seen, in order; a new beat begins a new one."""
    seen, beat = rehearsal.eyes_seen() > 0, rehearsal.beat_of
    starts = [
        i for i in range(len(seen)) if seen[i] and (i == 0 or not seen[i - 1] or beat[i] != beat[i - 1])
    ]  # fmt: skip
    for start in starts:
        end = start
        while end + 1 < len(seen) and seen[end + 1] and beat[end + 1] == beat[start]:
            end += 1
        yield _spell(rehearsal, start, end)


def _spell(rehearsal: Rehearsal, start: int, end: int) -> Spell:
    looks, first = in_order(rehearsal.of_frame[start : end + 1])
    spans = np.zeros(len(rehearsal.times_s))
    spans[start : end + 1] = rehearsal.span_s[start : end + 1]
    verdict = rehearsal.verdict[looks]
    size = np.where(verdict == SEEN, rehearsal.size_arcmin[looks], -1.0)
    k, s, eye = (int(i) for i in np.unravel_index(int(size.argmax()), size.shape))
    shown = (verdict == SEEN).any(axis=(0, 2))
    secret, look = rehearsal.secrets[s], int(looks[k])
    beat = int(rehearsal.beat_of[start])
    return Spell(
        beat, float(rehearsal.times_s[start]), float(rehearsal.times_s[end]), float(spans.sum()),
        rehearsal.eye_seconds(spans_s=spans), int((verdict == SEEN).any(axis=(0, 1)).sum()),
        tuple(name for name, there in zip(rehearsal.secrets, shown, strict=True) if there), secret, eye,
        float(rehearsal.times_s[start + first[k]]), float(size[k, s, eye]), rehearsal.move(secret, look, eye),
        _focus(rehearsal, look, rehearsal.steps[beat].focus),
    )  # fmt: skip


def _focus(rehearsal: Rehearsal, look: int, focus: Focus | None) -> str:
    """Whether the focus looks the way of those who see the secret.

    Eyes follow where puppet and performer look, and they look back at the puppet when it looks at them. The focus is
    towards the leak where it and the middle of the eyes that see (by weight) are within TOWARDS_RAD at the mark.
    """
    if focus is None:
        return NONE
    scheme = rehearsal.schemes[look]
    eyes = rehearsal.company.at(scheme.mark_m, scheme.facing_rad)
    at = np.array([eye.position_m[:2] for eye in eyes])
    seeing = rehearsal.any_verdict[look] == SEEN
    weights = rehearsal.weights[seeing]
    weights = weights if weights.sum() > 0 else np.ones(len(weights))
    middle = np.average(at[seeing], axis=0, weights=weights) - scheme.mark_m
    if focus.eye is not None:
        there = next(eye.position_m for eye in eyes if eye.id == focus.eye)
        way = np.array(there[:2]) - scheme.mark_m
    else:
        bearing = focus.bearing or 0.0
        way = np.array([math.sin(bearing), -math.cos(bearing)])
    return TOWARDS if _angle(middle, way) <= TOWARDS_RAD else AWAY


def _angle(a: FloatArray, b: FloatArray) -> float:
    size = float(np.linalg.norm(a) * np.linalg.norm(b))
    return math.acos(min(1.0, max(-1.0, float(a @ b) / size))) if size > 0 else 0.0


def stillness(steps: Sequence[Step], limit_s: float) -> Iterator[Stillness]:
    """Every time of stillness, cut where the reason for it begins, ends or changes."""
    runs: list[list[tuple[float, float, Step]]] = []
    for step, after in pairwise([*steps, None]):
        assert step is not None
        goes = after is not None and (after.way_m > 0 or after.facing_rad != step.facing_rad or after.held != step.held)
        end = step.until_s if goes or after is None else after.at_s
        if not runs or not runs[-1] or runs[-1][-1][1] < step.at_s:
            runs.append([])
        if end > step.at_s:
            runs[-1].append((step.at_s, end, step))
    for run in runs:
        whole = sum(end - start for start, end, _ in run)
        while run:
            reason = run[0][2].false_arm
            part = [run.pop(0)]
            while run and run[0][2].false_arm == reason:
                part.append(run.pop(0))
            seconds = part[-1][1] - part[0][0]
            # With a reason what counts is how long the arm is still in all.
            too_long = (seconds if reason is None else whole) > limit_s + 1e-9
            names = tuple(step.name for _, _, step in part)
            yield Stillness(part[0][0], seconds, reason, too_long, names)


def hand_needs(steps: Sequence[Step], scene: Scene) -> Iterator[HandNeed]:
    """Every beat that begins to need a real hand; one that holds the prop and one that is hidden are both taken."""
    taken = (
        scene.performer is not None
        and bool(scene.performer.hide)
        and scene.prop is not None
        and scene.pose.visible_hand is not None
    )
    for i, step in enumerate(steps):
        if step.hands is None or (i and steps[i - 1].hands == step.hands):
            continue
        said = step.hands.casefold()
        thing = scene.prop.name.casefold() if scene.prop else "prop"
        holding = any(word in said for word in HOLDING) and (thing in said or "prop" in said)
        conflict = taken and not holding
        yield HandNeed(i, step.hands, conflict, _proposal(steps, i, scene) if conflict else None)


def _proposal(steps: Sequence[Step], i: int, scene: Scene) -> str:
    step, thing = steps[i], scene.prop.name if scene.prop else "prop"
    before = f"in '{steps[i - 1].name}' ({clock(steps[i - 1].at_s)})" if i else "before the act begins"
    return (
        f"'{step.name}' ({clock(step.at_s)}) needs a hand ({step.hands}), but one holds the {thing} and the other is "
        f"hidden: {before}, set the {thing} down in view, or give the false arm a reason to hold it alone."
    )
