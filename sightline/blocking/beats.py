"""The beats of a scene worked out: where the performer is, and how, at any time.

Places are metres in the frame of the stage (+x stage left, +y upstage), facings radians from full front towards the
performer's left. What a beat leaves out stays as it was in the beat before; a facing that came from `aim at` stays
the facing it was, it does not follow the eye.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import pairwise

import numpy as np

from sightline.blocking.notation import clock
from sightline.errors import FileError, Problem, gathering
from sightline.geometry.frame import FloatArray
from sightline.house.eyes import Eye
from sightline.scene.blocking import Beat, Focus, Held
from sightline.scene.prop import Prop
from sightline.scene.reading import Written
from sightline.scene.scene import Scene
from sightline.staging.hidden import default_moves
from sightline.staging.stage import facing_of

# A brisk walk, from memory; a parade goes at 1.1 m/s (2.5 mph, craft notes, section 5).
WALKING_M_S = 1.4
# A smooth ease 3u^2 - 2u^3 is fastest in its middle, at this many times the mean speed.
SMOOTH_PEAK = 1.5
HELD_KEYS = ("ahead", "left", "up", "tilt", "turn")

Mark = tuple[float, float]


@dataclass(frozen=True, eq=False)
class Step:
    """One beat with nothing left open: reached at `at_s`, held for `hold_s`.

    `path_m` (n, 2), n at least 2, is the way here from the mark before, both ends included (of the first step: its
    mark twice). `held` has a value for every key that any beat names, and None for those that stay as in `prop: at`.
    `moves` are names of the puppet's moves, None all of them, () none but rest.
    """

    index: int
    at_s: float
    hold_s: float
    name: str
    mark_m: Mark
    facing_rad: float
    path_m: FloatArray
    held: Held
    moves: tuple[str, ...] | None = None
    focus: Focus | None = None
    false_arm: str | None = None
    hands: str | None = None
    cue: str | None = None
    mark_name: str | None = None

    @property
    def until_s(self) -> float:
        """When the way to the next beat begins."""
        return self.at_s + self.hold_s

    @property
    def way_m(self) -> float:
        """Length of the way here."""
        return float(np.linalg.norm(np.diff(self.path_m, axis=0), axis=1).sum())


def steps(written: Written[Scene], eyes: list[Eye]) -> list[Step]:
    """Every beat as a Step, in order; without beats one step at 0 s on the scene's own mark.

    Raises FileError with all problems at once: beats out of order, names of marks, moves and eyes that are not
    there, ways that take no time.
    """
    blocking = written.model.blocking
    beats = blocking.beats or [Beat(at=0.0, name="mark")]
    problems: list[Problem] = []
    base = Held()
    with gathering(problems):
        base = _base(written, beats)
    found: list[Step] = []
    for i, beat in enumerate(beats):
        step = _step(written, i, beat, found[-1] if found else None, base, eyes, problems)
        if found:
            with gathering(problems):
                _check_time(written, found[-1], step, bool(beat.path))
        found.append(step)
    if problems:
        raise FileError(problems)
    return found


def _step(
    written: Written[Scene], i: int, beat: Beat, before: Step | None, base: Held, eyes: list[Eye],
    problems: list[Problem],
) -> Step:  # fmt: skip
    """One beat after the one before it; what is wrong with it goes to `problems` and is taken as not written."""
    blocking, path = written.model.blocking, ("blocking", "beats", i)
    mark = before.mark_m if before else blocking.mark
    with gathering(problems):
        if beat.mark is not None and beat.mark.spot is not None:
            mark = beat.mark.spot
        elif beat.mark is not None:
            mark = _named_mark(written, path, str(beat.mark.name))
    facing = before.facing_rad if before else 0.0
    with gathering(problems):
        if beat.facing is not None or beat.aim_at is not None:
            facing = facing_of(written, path, beat.facing, beat.aim_at, mark, eyes)
        elif before is None:
            facing = facing_of(written, ("blocking",), blocking.facing, blocking.aim_at, mark, eyes)
    moves = before.moves if before else None
    with gathering(problems):
        if beat.moves is not None:
            moves = _moves(written, path, beat.moves)
    focus = before.focus if before else None
    with gathering(problems):
        if beat.focus is not None:
            focus = beat.focus
            _check_eye(written, (*path, "focus", "eye"), beat.focus.eye, eyes)
    with gathering(problems):
        if before is None and beat.path:
            raise written.problem((*path, "path"), "There is no way to the first beat: it is where the act begins.")
    passed = beat.path if before else []
    held = before.held if before else base
    if beat.prop is not None:
        held = held.model_copy(update={key: v for key, v in beat.prop if v is not None})
    return Step(
        i, beat.at, beat.hold, beat.name or f"beat {i + 1}", mark, facing,
        np.array([before.mark_m if before else mark, *passed, mark], dtype=float), held, moves, focus,
        _said(beat.false_arm, before.false_arm if before else None), _said(beat.hands, before.hands if before else None),
        beat.cue, next((name for name, spot in blocking.marks.items() if spot == mark), None),
    )  # fmt: skip


def _said(now: str | None, before: str | None) -> str | None:
    """What holds from here on; `none` ends what the beat before said."""
    if now is None:
        return before
    return None if now.casefold() == "none" else now


def _hint(name: str, known: Sequence[str]) -> str:
    near = get_close_matches(name, known, n=1)
    if near:
        return f"; did you mean '{near[0]}'?"
    return f"; there are: {', '.join(known[:12])}." if known else "."


def _named_mark(written: Written[Scene], path: tuple[str | int, ...], name: str) -> Mark:
    marks = written.model.blocking.marks
    if name not in marks:
        raise written.problem((*path, "mark"), f"There is no mark '{name}' in 'marks'{_hint(name, list(marks))}")
    return marks[name]


def _moves(written: Written[Scene], path: tuple[str | int, ...], names: list[str]) -> tuple[str, ...] | None:
    """The names, each checked; None where they say `all`."""
    puppet = written.model.puppet
    if puppet is None:
        raise written.problem((*path, "moves"), "Moves are the puppet's; this scene has none.")
    known = ["rest", *(default_moves() if puppet.moves is None else puppet.moves)]
    if names == ["all"] and "all" not in known:
        return None
    problems: list[Problem] = []
    for k, name in enumerate(names):
        if name not in known:
            with gathering(problems):
                raise written.problem(
                    (*path, "moves", k), f"The puppet has no move '{name}'{_hint(name, [*known, 'all'])}"
                )
    if problems:
        raise FileError(problems)
    return tuple(dict.fromkeys(names))


def _check_eye(written: Written[Scene], path: tuple[str | int, ...], name: str | None, eyes: list[Eye]) -> None:
    if name is not None and not any(eye.id == name for eye in eyes):
        raise written.problem(path, f"There is no eye '{name}' to look at{_hint(name, [eye.id for eye in eyes])}")


def _base(written: Written[Scene], beats: list[Beat]) -> Held:
    """How `prop: at` says the prop is held, for the keys that some beat names; two edge heights are worked out."""
    first = next((i for i, beat in enumerate(beats) if beat.prop is not None), None)
    if first is None:
        return Held()
    prop = written.model.prop
    if prop is None:
        raise written.problem(("blocking", "beats", first, "prop"), "This scene has no prop to hold another way.")
    used = {key for beat in beats if beat.prop for key, value in beat.prop if value is not None}
    up, tilt = prop.at.up, prop.at.tilt or 0.0
    if prop.at.front_edge is not None and prop.at.back_edge is not None and used & {"up", "tilt"}:
        used |= {"up", "tilt"}
        up, tilt = _from_edges(written, prop, prop.at.front_edge, prop.at.back_edge)
    said = {"ahead": prop.at.ahead, "left": prop.at.left, "up": up, "tilt": tilt, "turn": prop.at.turn}
    return Held().model_copy(update={key: said[key] for key in HELD_KEYS if key in used})


def _from_edges(written: Written[Scene], prop: Prop, front_m: float, back_m: float) -> tuple[float, float]:
    """Height of the box's middle (m) and its tilt (rad) from the heights of its front and back bottom edges."""
    if prop.box is None:
        raise written.problem(
            ("prop", "at"), "Beats hold this prop another way, so say it here by up and tilt, not by its edges."
        )
    rise = (back_m - front_m) / prop.box.depth
    if abs(rise) >= 1:
        raise written.problem(("prop", "at"), "The two edge heights differ by more than the prop is deep.")
    return (front_m + back_m) / 2 + prop.box.height / 2 * math.sqrt(1 - rise**2), math.asin(rise)


def _check_time(written: Written[Scene], before: Step, step: Step, passes: bool) -> None:
    """Raises FileError for a beat earlier than the one before it, or one that must be reached in no time."""
    path = ("blocking", "beats", step.index, "at")
    if step.at_s < before.at_s:
        sentence = f"The beats are out of order: '{step.name}' at {clock(step.at_s)} comes after '{before.name}' at "
        raise written.problem(path, sentence + f"{clock(before.at_s)}.")
    if step.at_s > before.until_s:
        return
    differs = [
        word
        for word, is_so in (
            ("mark", step.mark_m != before.mark_m or (passes and step.way_m > 0)),
            ("facing", step.facing_rad != before.facing_rad),
            ("prop", step.held != before.held),
        )
        if is_so
    ]
    if differs:
        raise written.problem(
            path,
            f"The way to '{step.name}' has zero duration: '{before.name}' lasts until {clock(before.until_s)} and this "
            f"is at {clock(step.at_s)}, but {' and '.join(differs)} must change. Move the beat later or hold shorter.",
        )


def warnings(found: Sequence[Step], ease: str = "smooth") -> list[str]:
    """A sentence for every way whose fastest moment is above WALKING_M_S."""
    out = []
    for before, step in pairwise(found):
        if step.at_s <= before.until_s:
            continue
        mean = step.way_m / (step.at_s - before.until_s)
        peak = mean * (SMOOTH_PEAK if ease == "smooth" else 1.0)
        if peak > WALKING_M_S + 1e-9:
            said = f", as a smooth ease peaks at {SMOOTH_PEAK:g} x the mean" if ease == "smooth" else ""
            out.append(
                f"The way to '{step.name}' ({clock(before.until_s)} to {clock(step.at_s)}) is walked at up to "
                f"{peak:.2f} m/s{said}; a brisk walk is {WALKING_M_S:g} m/s."
            )
    return out


def step_at(found: Sequence[Step], t_s: float) -> int:
    """Index of the step that holds at a time, or that was last reached; the first one before it begins."""
    return max(bisect_right([step.at_s for step in found], t_s) - 1, 0)


def place_at(found: Sequence[Step], t_s: float, ease: str = "smooth") -> tuple[Mark, float, Held]:
    """Mark (m), facing (rad) and how the prop is held at a time in seconds.

    Between beats by share of the way's length, smooth (3u^2 - 2u^3 of the time) or even; the facing turns the short
    way round. Within a hold, before the first and after the last beat nothing moves and the values are the step's
    own, bit for bit.
    """
    i = step_at(found, t_s)
    step = found[i]
    if i + 1 == len(found) or t_s <= step.until_s:
        return step.mark_m, step.facing_rad, step.held
    coming = found[i + 1]
    u = (t_s - step.until_s) / (coming.at_s - step.until_s)
    share = u * u * (3.0 - 2.0 * u) if ease == "smooth" else u
    facing = step.facing_rad + share * _short_way(step.facing_rad, coming.facing_rad)
    between = {
        key: a + share * (getattr(coming.held, key) - a)
        for key in HELD_KEYS
        if (a := getattr(step.held, key)) is not None
    }
    return _along(coming.path_m, share), facing, step.held.model_copy(update=between)


def _short_way(from_rad: float, to_rad: float) -> float:
    """The turn from one facing to another, more than -pi and at most pi."""
    turn = (to_rad - from_rad) % (2 * math.pi)
    return turn - 2 * math.pi if turn > math.pi else turn


def _along(path_m: FloatArray, share: float) -> Mark:
    """The place at a share of the length of a way (n, 2)."""
    lengths = np.linalg.norm(np.diff(path_m, axis=0), axis=1)
    run = np.concatenate([[0.0], np.cumsum(lengths)])
    if run[-1] == 0.0:
        return float(path_m[-1, 0]), float(path_m[-1, 1])
    at = share * run[-1]
    return float(np.interp(at, run, path_m[:, 0])), float(np.interp(at, run, path_m[:, 1]))
